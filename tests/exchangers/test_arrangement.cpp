#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/exchangers/arrangement.hpp>
#include <lapheat/exchangers/effectiveness_table.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <vector>

using namespace lapheat::exchangers;
using lapheat::Error;

namespace {

constexpr Smaller both[] = {Smaller::first, Smaller::second};
const double infinity = std::numeric_limits<double>::infinity();

std::vector<ArrangementSpec> quick() {
    using A = Arrangement;
    std::vector<ArrangementSpec> s;
    for (const A k : {A::counter, A::parallel, A::cross_unmixed, A::cross_first_mixed,
                      A::cross_second_mixed, A::cross_mixed}) {
        s.push_back({k});
    }
    for (int n = 1; n <= 4; ++n) s.push_back({A::cross_rows, n});
    for (int n = 1; n <= 3; ++n) s.push_back({A::shell_and_tube, n});
    for (const A k : {A::cross_counter, A::cross_parallel}) {
        for (const A p :
             {A::cross_unmixed, A::cross_first_mixed, A::cross_second_mixed, A::cross_mixed}) {
            for (const int n : {1, 2, 3, 6}) s.push_back({k, n, PassCoupling::mixed, p});
        }
    }
    return s;
}

std::vector<ArrangementSpec> unmixed_passes() {
    using A = Arrangement;
    std::vector<ArrangementSpec> s;
    for (const A k : {A::cross_counter, A::cross_parallel}) {
        for (const A p : {A::cross_unmixed, A::cross_first_mixed, A::cross_second_mixed}) {
            for (const PassCoupling c :
                 {PassCoupling::unmixed_identical, PassCoupling::unmixed_inverted}) {
                s.push_back({k, 2, c, p});
            }
        }
        s.push_back({k, 4, PassCoupling::unmixed_inverted, A::cross_unmixed});
    }
    return s;
}

std::vector<ArrangementSpec> all() {
    auto s = quick();
    for (const auto& x : unmixed_passes()) s.push_back(x);
    return s;
}

std::string name(const ArrangementSpec& s) {
    return std::string(describe(s.kind)) + " " + std::to_string(s.count) + " " + describe(s.pass) +
           " coupling " + std::to_string(static_cast<int>(s.coupling));
}

const std::vector<double> ntus = {1e-9, 1e-4, 0.01, 0.1, 0.5, 1, 2, 4, 8, 20, 50};
const std::vector<double> ratios = {0, 1e-9, 1e-3, 0.1, 0.4, 0.7, 0.95, 1 - 1e-9, 1};

}  // namespace

TEST_CASE("no arrangement beats counter-flow and none moves more than the second law allows") {
    for (const auto& s : all()) {
        for (const double n : ntus) {
            for (const double c : ratios) {
                for (const Smaller smaller : both) {
                    INFO(name(s) << " NTU " << n << " C* " << c);
                    const double e = effectiveness(s, n, c, smaller);
                    CHECK(e >= 0);
                    CHECK(e <= 1);
                    CHECK(e <= effectiveness({Arrangement::counter}, n, c) + 1e-14);
                }
            }
        }
    }
}

TEST_CASE("more surface never moves less heat, save where temperatures cross") {
    // Heat flows back where both streams mix, and in passes that go with each other.
    const auto crosses = [](const ArrangementSpec& s) {
        const bool mixed = s.pass == Arrangement::cross_mixed;
        return s.kind == Arrangement::cross_mixed ||
               (s.kind == Arrangement::cross_counter && mixed) ||
               (s.kind == Arrangement::cross_parallel && (mixed || s.count > 1));
    };
    for (const auto& s : all()) {
        if (crosses(s)) continue;
        for (const double c : ratios) {
            for (const Smaller smaller : both) {
                double before = 0;
                for (double n = 0.05; n < 60; n *= 1.25) {
                    INFO(name(s) << " NTU " << n << " C* " << c);
                    const double e = effectiveness(s, n, c, smaller);
                    CHECK(e >= before - 1e-13);
                    before = e;
                }
            }
        }
    }
    // And the four that are said to lose effectiveness do.
    const auto falls = [](const ArrangementSpec& s) {
        double most = 0, last = 0;
        for (double n = 0.5; n < 60; n *= 1.2) most = std::max(most, last = effectiveness(s, n, 1));
        return last < most - 1e-3;
    };
    CHECK(falls({Arrangement::cross_mixed}));
    CHECK(falls({Arrangement::cross_parallel, 2}));
    CHECK(falls({Arrangement::cross_counter, 2, PassCoupling::mixed, Arrangement::cross_mixed}));
}

TEST_CASE(
    "without surface there is no heat and with a stream of boundless capacity all arrangements are "
    "alike") {
    for (const auto& s : all()) {
        for (const Smaller smaller : both) {
            INFO(name(s));
            CHECK(effectiveness(s, 0, 0.5, smaller) == 0);
            for (const double n : {0.1, 1.0, 3.0, 10.0}) {
                CHECK(effectiveness(s, n, 0, smaller) ==
                      Approx(-std::expm1(-n)).epsilon(0).margin(1e-12));
                CHECK(std::abs(effectiveness(s, n, 1e-10, smaller) -
                               effectiveness(s, n, 0, smaller)) < 1e-9);
            }
            // Slope one at the start.
            CHECK(effectiveness(s, 1e-7, 0.6, smaller) / 1e-7 == Approx(1).epsilon(1e-6));
        }
    }
}

TEST_CASE("effectiveness passes C* = 1 without a step") {
    for (const auto& s : all()) {
        for (const double n : {0.3, 2.0, 7.0}) {
            for (const Smaller smaller : both) {
                INFO(name(s) << " NTU " << n);
                const Effectiveness at = effectiveness_with_slopes(s, n, 1, smaller);
                for (const double d : {1e-6, 1e-9, 1e-12}) {
                    CHECK(std::abs(effectiveness(s, n, 1 - d, smaller) -
                                   (at.value - d * at.by_capacity_ratio)) < 1e-12);
                }
                // At C* = 1 the two streams' effectivenesses are one and the same heat.
                CHECK(std::abs(effectiveness(s, n, 1, Smaller::first) -
                               effectiveness(s, n, 1, Smaller::second)) < 1e-12);
            }
        }
    }
}

TEST_CASE("the slopes are those of the curve") {
    for (const auto& s : all()) {
        for (const double n : {0.02, 0.6, 3.0, 12.0, 45.0}) {
            for (const double c : {0.002, 0.3, 0.8}) {
                for (const Smaller smaller : both) {
                    INFO(name(s) << " NTU " << n << " C* " << c);
                    const Effectiveness e = effectiveness_with_slopes(s, n, c, smaller);
                    CHECK(e.value == Approx(effectiveness(s, n, c, smaller)).epsilon(1e-12));
                    const double h = 1e-4 * n, k = 1e-4 * c;
                    const auto central = [](double f2, double f1, double m1, double m2,
                                            double step) {
                        return (8 * (f1 - m1) - (f2 - m2)) / (12 * step);
                    };
                    const double by_n = central(effectiveness(s, n + 2 * h, c, smaller),
                                                effectiveness(s, n + h, c, smaller),
                                                effectiveness(s, n - h, c, smaller),
                                                effectiveness(s, n - 2 * h, c, smaller), h);
                    const double by_c = central(effectiveness(s, n, c + 2 * k, smaller),
                                                effectiveness(s, n, c + k, smaller),
                                                effectiveness(s, n, c - k, smaller),
                                                effectiveness(s, n, c - 2 * k, smaller), k);
                    CHECK(std::abs(e.by_ntu - by_n) < 2e-8);
                    CHECK(std::abs(e.by_capacity_ratio - by_c) < 2e-8);
                }
            }
        }
    }
}

TEST_CASE("NTU from effectiveness returns what effectiveness came from") {
    for (const auto& s : all()) {
        for (const double n : {1e-6, 0.05, 0.7, 1.2}) {
            for (const double c : {0.0, 0.4, 1.0}) {
                for (const Smaller smaller : both) {
                    INFO(name(s) << " NTU " << n << " C* " << c);
                    const Effectiveness e = effectiveness_with_slopes(s, n, c, smaller);
                    // Rounding of the effectiveness by 1e-16 already moves NTU by this much.
                    const double margin = 1e-12 * n + 4e-16 / e.by_ntu;
                    CHECK(std::abs(ntu(s, e.value, c, smaller) - n) < margin);
                }
            }
        }
    }
    CHECK(ntu({}, 0, 0.5) == 0);
}

TEST_CASE("every limit is met smoothly to 1e-12: C* to 0 and to 1, NTU to 0 and without bound") {
    for (const auto& s : all()) {
        for (const Smaller smaller : both) {
            INFO(name(s));
            for (const double n : {0.4, 2.0, 6.0}) {
                // Next to an end of C* the curve is its tangent there, up to the curvature's d².
                for (const double end : {0.0, 1.0}) {
                    const Effectiveness at = effectiveness_with_slopes(s, n, end, smaller);
                    for (const double d : {1e-8, 1e-10, 1e-13}) {
                        const double c = end == 0 ? d : 1 - d;
                        CHECK(std::abs(effectiveness(s, n, c, smaller) - at.value -
                                       (c - end) * at.by_capacity_ratio) < 1e-12);
                    }
                }
            }
            for (const double c : {0.0, 1e-9, 0.5, 1.0}) {
                // No surface: NTU (1 - NTU (1 + C*) / 2), the same for every arrangement; what is
                // left is the third order, and rounding of the passes' integrals.
                for (const double d : {1e-5, 1e-7, 1e-12}) {
                    CHECK(std::abs(effectiveness(s, d, c, smaller) - (d - 0.5 * d * d * (1 + c))) <
                          1e-14);
                }
                // Surface without bound: settled, whatever large number stands for it. At C* = 1
                // some arrangements come there only as 1/NTU or its root: their step is bounded.
                const double far = effectiveness(s, 1e14, c, smaller);
                CHECK(std::abs(far - effectiveness(s, infinity, c, smaller)) <
                      (c == 1 ? 1e-6 : 1e-12));
            }
        }
    }
}

TEST_CASE("an effectiveness that an arrangement cannot reach is an error that says so") {
    CHECK_THROWS_AS(ntu({Arrangement::parallel}, 0.6, 1), Error);
    CHECK_THROWS_AS(ntu({Arrangement::cross_mixed}, 0.9, 1), Error);
    CHECK_THROWS_AS(ntu({Arrangement::shell_and_tube}, 0.7, 1), Error);
    CHECK_THROWS_AS(ntu({}, 1.2, 0.5), Error);
    CHECK_THROWS_AS(ntu({}, -0.1, 0.5), Error);
    CHECK_THROWS_AS(ntu({}, std::nan(""), 0.5), Error);
}

TEST_CASE("arrangements that treat both streams alike do not ask which one is smaller") {
    for (const auto kind : {Arrangement::counter, Arrangement::parallel, Arrangement::cross_unmixed,
                            Arrangement::cross_mixed, Arrangement::shell_and_tube}) {
        CHECK(effectiveness({kind}, 1.7, 0.6, Smaller::first) ==
              effectiveness({kind}, 1.7, 0.6, Smaller::second));
    }
    // And the mixed ones are each other's mirror image.
    CHECK(effectiveness({Arrangement::cross_first_mixed}, 1.7, 0.6, Smaller::first) ==
          effectiveness({Arrangement::cross_second_mixed}, 1.7, 0.6, Smaller::second));
}

TEST_CASE("more tube rows come closer to both streams unmixed") {
    double before = effectiveness({Arrangement::cross_first_mixed}, 2, 0.8);
    CHECK(effectiveness({Arrangement::cross_rows, 1}, 2, 0.8) == Approx(before).epsilon(1e-14));
    for (int rows = 2; rows <= 4; ++rows) {
        const double e = effectiveness({Arrangement::cross_rows, rows}, 2, 0.8);
        CHECK(e > before);
        CHECK(e < effectiveness({}, 2, 0.8));
        before = e;
    }
}

TEST_CASE("more passes come closer to counter-flow, and to parallel flow when overall parallel") {
    const double counter = effectiveness({Arrangement::counter}, 2, 0.9);
    const double parallel = effectiveness({Arrangement::parallel}, 2, 0.9);
    double up = effectiveness({}, 2, 0.9), down = up;
    for (int n = 2; n <= 20; ++n) {
        const double c = effectiveness({Arrangement::cross_counter, n}, 2, 0.9);
        const double p = effectiveness({Arrangement::cross_parallel, n}, 2, 0.9);
        CHECK(c > up);
        CHECK(p < down);
        up = c;
        down = p;
    }
    CHECK(up < counter);
    CHECK(counter - up < 0.002);
    CHECK(down > parallel);
}

TEST_CASE("a chain of one pass is the pass, and unmixed coupling of one pass changes nothing") {
    CHECK(effectiveness({Arrangement::cross_counter, 1}, 2, 0.7) ==
          Approx(effectiveness({}, 2, 0.7)).epsilon(1e-15));
    CHECK(effectiveness({Arrangement::cross_counter, 1, PassCoupling::unmixed_inverted}, 2, 0.7) ==
          Approx(effectiveness({}, 2, 0.7)).epsilon(1e-15));
}

TEST_CASE("boundless surface reaches each arrangement's limit") {
    CHECK(effectiveness({Arrangement::counter}, infinity, 1) == Approx(1).epsilon(1e-12));
    CHECK(effectiveness({Arrangement::counter}, infinity, 0.5) == 1);
    CHECK(effectiveness({Arrangement::parallel}, infinity, 0.6) == Approx(1 / 1.6).epsilon(1e-14));
    CHECK(effectiveness({}, infinity, 0.6) == 1);
    CHECK(effectiveness({}, infinity, 0) == 1);
    CHECK(effectiveness({}, infinity, 1) == Approx(1).epsilon(1e-7));
    CHECK(effectiveness({Arrangement::cross_mixed}, infinity, 0.6) ==
          Approx(1 / 1.6).epsilon(1e-14));
    CHECK(effectiveness({Arrangement::shell_and_tube}, infinity, 1) ==
          Approx(2 / (2 + std::sqrt(2.))).epsilon(1e-14));
    CHECK(effectiveness({Arrangement::cross_first_mixed}, infinity, 0.6, Smaller::second) ==
          Approx(-std::expm1(-0.6) / 0.6).epsilon(1e-14));
}

TEST_CASE(
    "both unmixed at C* = 1 approaches full effectiveness as the square root of the surface") {
    // 1 - e = e^(-2N) [I0(2N) + I1(2N)] ~ (1 - 1/(16 N)) / sqrt(pi N), Abramowitz & Stegun 9.7.1
    for (const double n : {1e3, 1e5, 1e8}) {
        const double tail = (1 - 1 / (16 * n)) / std::sqrt(M_PI * n);
        CHECK((1 - effectiveness({}, n, 1)) / tail == Approx(1).epsilon(3e-7));
    }
}

TEST_CASE("the series and the contour integral of unmixed cross-flow meet") {
    for (const double c : {0.01, 0.3, 0.6, 0.9, 0.999, 1.0}) {
        const double below = std::nextafter(40.0, 0.0), above = std::nextafter(40.0, 100.0);
        CHECK(std::abs(effectiveness({}, below, c) - effectiveness({}, above, c)) < 1e-13);
    }
}

TEST_CASE("identical order between passes beats mixing, and mixing beats inverted order") {
    for (const double n : {1.0, 3.0}) {
        const double identical =
            effectiveness({Arrangement::cross_counter, 2, PassCoupling::unmixed_identical}, n, 0.9);
        const double mixed =
            effectiveness({Arrangement::cross_counter, 2, PassCoupling::mixed}, n, 0.9);
        const double inverted =
            effectiveness({Arrangement::cross_counter, 2, PassCoupling::unmixed_inverted}, n, 0.9);
        CHECK(identical > mixed);
        CHECK(mixed > inverted);
    }
}

TEST_CASE("the table of a slow arrangement agrees with its exact form") {
    for (const auto& s : unmixed_passes()) {
        INFO(name(s));
        CHECK(is_slow(s));
        const EffectivenessTable t = make_effectiveness_table(s);
        CHECK(t.data->error < 1e-6);
        for (const double n : {1e-6, 0.2, 1.1, 3.3, 6.0, 14.0}) {
            for (const double c : {0.0, 0.13, 0.55, 0.93, 1.0}) {
                for (const Smaller smaller : both) {
                    CHECK(std::abs(effectiveness(t, n, c, smaller) -
                                   effectiveness(s, n, c, smaller)) < 1e-6);
                }
            }
        }
    }
    for (const auto& s : quick()) CHECK_FALSE(is_slow(s));
}

TEST_CASE("specs that cannot be are refused") {
    CHECK_THROWS_AS(check({Arrangement::cross_rows, 0}), Error);
    CHECK_THROWS_AS(check({Arrangement::cross_rows, 5}), Error);
    CHECK_THROWS_AS(check({Arrangement::shell_and_tube, 21}), Error);
    CHECK_THROWS_AS(
        check({Arrangement::cross_counter, 2, PassCoupling::mixed, Arrangement::counter}), Error);
    CHECK_THROWS_AS(check({Arrangement::cross_counter, 2, PassCoupling::unmixed_identical,
                           Arrangement::cross_mixed}),
                    Error);
}

TEST_CASE("values outside the physical range are clamped and not-a-number stays visible") {
    CHECK(effectiveness({}, -1, 0.5) == 0);
    CHECK(effectiveness({}, 1, 1.5) == effectiveness({}, 1, 1));
    CHECK(effectiveness({}, 1, -0.5) == effectiveness({}, 1, 0));
    CHECK(std::isnan(effectiveness({Arrangement::counter}, std::nan(""), 0.5)));
}
