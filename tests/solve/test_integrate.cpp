#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/solve/integrate.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <vector>

using namespace lapheat::solve;
using lapheat::Error;

namespace {

/// A System without events whose right-hand side is a lambda; tests derive from it.
struct Quiet {
    std::size_t states = 1;
    std::vector<std::size_t> entered;
    std::size_t size() const { return states; }
    static std::size_t event_count() { return 0; }
    void events(double, const double*, double*) {}
    static Crossing event_direction(std::size_t) { return Crossing::either; }
    EventAction handle(std::size_t, double, double*) { return EventAction::go_on; }
    AtKnot enter_interval(std::size_t k) {
        entered.push_back(k);
        return AtKnot::continuous;
    }
};

/// One lump of heat capacity C with heat Q against an ambient T_a through UA.
struct Lump : Quiet {
    double q = 5000, ua = 50, c = 2e4, ambient = 300;
    void rhs(double, const double* y, double* dydt) const {
        dydt[0] = (q - ua * (y[0] - ambient)) / c;
    }
    double exact(double t, double start) const {
        const double end = ambient + q / ua;
        return end + (start - end) * std::exp(-t * ua / c);
    }
};

std::vector<double> even(double a, double b, int n) {
    std::vector<double> v;
    for (int i = 0; i <= n; ++i) v.push_back(a + (b - a) * i / n);
    return v;
}

}  // namespace

TEST_CASE("a lump warms up and cools down as the exponential says") {
    for (const double start : {280.0, 400.0, 450.0}) {
        Lump lump;
        std::vector<double> y{start};
        const auto samples = even(0, 3000, 3000);
        double worst = 0;
        int seen = 0;
        integrate(lump, y, IntegrationPlan{.end = 3000, .samples = samples},
                  Tolerances{.relative = 1e-9, .absolute = 1e-9}, [&](double t, const double* at) {
                      worst = std::max(worst, std::abs(at[0] - lump.exact(t, start)));
                      CHECK(t == samples[static_cast<std::size_t>(seen++)]);
                  });
        CHECK(seen == 3001);
        CHECK(worst < 2e-6);
    }
}

TEST_CASE("halving a fixed step divides the error as the order says, at knots and between") {
    struct Oscillator : Quiet {
        void rhs(double, const double* y, double* d) const {
            d[0] = y[1];
            d[1] = -y[0];
        }
    };
    Method method = Method::fifth_order;
    const auto run = [&](double step, double at) {
        Oscillator o;
        o.states = 2;
        std::vector<double> y{1, 0};
        const auto knots = even(0, 8, static_cast<int>(std::lround(8 / step)));
        const std::vector<double> samples{at};
        double error = 0;
        const Cost cost =
            integrate(o, y, IntegrationPlan{.end = 8, .knots = knots, .samples = samples},
                      Tolerances{.method = method,
                                 .relative = 0.5,
                                 .absolute = 1e3,
                                 .initial_step = step,
                                 .max_step = step},
                      [&](double t, const double* s) {
                          error = std::hypot(s[0] - std::cos(t), s[1] + std::sin(t));
                      });
        CHECK(cost.steps == knots.size() - 1);
        return error;
    };
    CHECK(std::log2(run(0.25, 8) / run(0.125, 8)) == Approx(5).margin(0.25));
    // The interpolant is of fourth order, its local error of fifth: globally both show as five.
    CHECK(std::log2(run(0.25, 7.87) / run(0.125, 7.87)) > 3.9);
    method = Method::third_order;
    CHECK(std::log2(run(0.25, 8) / run(0.125, 8)) == Approx(3).margin(0.15));
    CHECK(std::log2(run(0.25, 7.87) / run(0.125, 7.87)) == Approx(3).margin(0.3));
}

TEST_CASE("knots are landed on exactly, entered in order, one step each where smooth") {
    struct Ramp : Quiet {
        std::vector<double> heat;
        std::size_t k = 0;
        std::vector<double> step_ends;
        void rhs(double t, const double* y, double* d) const {
            const double f = t - static_cast<double>(k);
            d[0] = heat[k] + f * (heat[k + 1] - heat[k]) - 1e-3 * y[0];
        }
        AtKnot enter_interval(std::size_t i) {
            k = i;
            return Quiet::enter_interval(i);
        }
    };
    Ramp ramp;
    for (int i = 0; i <= 600; ++i) ramp.heat.push_back(1 + (i * 7919 % 13) / 13.0);
    const auto knots = even(0, 600, 600);
    std::vector<double> y{300};
    const Cost cost = integrate(ramp, y, IntegrationPlan{.end = 600, .knots = knots},
                                Tolerances{.relative = 1e-7, .absolute = 1e-5});
    CHECK(ramp.entered.size() == 600);
    CHECK(ramp.entered.back() == 599);
    CHECK(cost.steps <= 605);
    CHECK(cost.rejected == 0);
    // First-same-as-last over every knot: six calls a step and one at the start.
    CHECK(cost.rhs_calls == 6 * (cost.steps + cost.rejected) + 1);
    CHECK(cost.largest_step == 1);
    // The exact answer, interval by interval.
    double exact = 300;
    for (std::size_t i = 0; i < 600; ++i) {
        const double a = 1e-3;
        const double q = ramp.heat[i];
        const double s = ramp.heat[i + 1] - q;
        exact = exact * std::exp(-a) + q / a * (1 - std::exp(-a)) +
                s * (1 / a - (1 - std::exp(-a)) / (a * a));
    }
    CHECK(y[0] == Approx(exact).epsilon(1e-8));
}

TEST_CASE("third order takes half the calls where knots decide the step") {
    const auto knots = even(0, 600, 600);
    const auto run = [&](Method method, AtKnot at_knot, double* end) {
        struct Jumping : Lump {
            AtKnot knot = AtKnot::continuous;
            AtKnot enter_interval(std::size_t) const { return knot; }
        } lump;
        lump.knot = at_knot;
        std::vector<double> y{300};
        const Cost cost =
            integrate(lump, y, IntegrationPlan{.end = 600, .knots = knots},
                      Tolerances{.method = method, .relative = 1e-6, .absolute = 1e-4});
        *end = y[0] - lump.exact(600, 300);
        return cost.rhs_calls;
    };
    double error = 0;
    CHECK(run(Method::third_order, AtKnot::continuous, &error) < 1810);
    CHECK(std::abs(error) < 1e-4);
    CHECK(run(Method::third_order, AtKnot::jump, &error) < 2410);
    CHECK(run(Method::fifth_order, AtKnot::continuous, &error) > 3600);
}

TEST_CASE("a start between knots enters the interval it lies in") {
    Lump lump;
    const std::vector<double> knots{0, 10, 20, 20, 30};
    std::vector<double> y{300};
    integrate(lump, y, IntegrationPlan{.start = 12, .end = 25, .knots = knots}, Tolerances{});
    CHECK(lump.entered == std::vector<std::size_t>{1, 2, 3});
}

TEST_CASE("a state with infinite tolerance does not shorten steps and keeps a linear sum") {
    struct Ledger : Lump {
        void rhs(double t, const double* y, double* d) const {
            Lump::rhs(t, y, d);
            d[1] = ua * (y[0] - ambient);
        }
    };
    Ledger l;
    l.states = 2;
    std::vector<double> y{300, 0};
    const Cost with =
        integrate(l, y, IntegrationPlan{.end = 3600},
                  Tolerances{.relative = 1e-6,
                             .absolute_each = {1e-3, std::numeric_limits<double>::infinity()}});
    Lump alone;
    std::vector<double> z{300};
    const Cost without = integrate(alone, z, IntegrationPlan{.end = 3600},
                                   Tolerances{.relative = 1e-6, .absolute = 1e-3});
    CHECK(with.steps == without.steps);
    CHECK(l.c * (y[0] - 300) + y[1] == Approx(l.q * 3600).epsilon(1e-13));
}

TEST_CASE("a right-hand side that is not finite is an error that names the time") {
    struct Bad : Quiet {
        double from = 0;
        void rhs(double t, const double*, double* d) const {
            d[0] = t < from ? 1 : std::numeric_limits<double>::quiet_NaN();
        }
    };
    Bad bad;
    std::vector<double> y{0};
    CHECK_THROWS_WITH(integrate(bad, y, IntegrationPlan{.end = 10}, Tolerances{}),
                      Catch::Contains("state 0") && Catch::Contains("t = 0 s"));
    bad.from = 5;
    CHECK_THROWS_WITH(integrate(bad, y, IntegrationPlan{.end = 10}, Tolerances{}),
                      Catch::Contains("step size fell") && Catch::Contains("t = 5"));
}

TEST_CASE("a solution that blows up ends in a step underflow") {
    struct Blow : Quiet {
        void rhs(double, const double* y, double* d) const { d[0] = y[0] * y[0]; }
    };
    Blow blow;
    std::vector<double> y{1};
    CHECK_THROWS_WITH(integrate(blow, y, IntegrationPlan{.end = 2}, Tolerances{}),
                      Catch::Contains("step size fell"));
}

TEST_CASE("nonsense is refused before the first step") {
    Lump lump;
    std::vector<double> y{300};
    std::vector<double> two{300, 300};
    const std::vector<double> backwards{0, 5, 3, 10};
    const std::vector<double> short_knots{0, 5};
    const std::vector<double> late{11};
    CHECK_THROWS_AS(integrate(lump, two, IntegrationPlan{.end = 1}, Tolerances{}), Error);
    CHECK_THROWS_AS(integrate(lump, y, IntegrationPlan{.start = 2, .end = 1}, Tolerances{}), Error);
    CHECK_THROWS_AS(
        integrate(lump, y, IntegrationPlan{.end = 10, .knots = backwards}, Tolerances{}), Error);
    CHECK_THROWS_AS(
        integrate(lump, y, IntegrationPlan{.end = 10, .knots = short_knots}, Tolerances{}), Error);
    CHECK_THROWS_AS(integrate(lump, y, IntegrationPlan{.end = 10, .samples = late}, Tolerances{}),
                    Error);
    CHECK_THROWS_AS(integrate(lump, y, IntegrationPlan{.end = 10}, Tolerances{.absolute = 0}),
                    Error);
    CHECK_THROWS_AS(
        integrate(lump, y, IntegrationPlan{.end = 10}, Tolerances{.absolute_each = {1, 1}}), Error);
    CHECK(lump.entered.empty());
}

TEST_CASE("an integration can be watched and cancelled") {
    Lump lump;
    std::vector<double> y{300};
    std::atomic<bool> cancel = false;
    std::vector<double> seen;
    const auto knots = even(0, 1e5, 100000);
    const Cost cost = integrate(lump, y,
                                IntegrationPlan{.end = 1e5,
                                                .knots = knots,
                                                .progress =
                                                    [&](double f) {
                                                        seen.push_back(f);
                                                        cancel = seen.size() == 3;
                                                    },
                                                .cancel = &cancel,
                                                .progress_interval = 0},
                                Tolerances{});
    CHECK(cost.finish == Finish::cancelled);
    CHECK(seen.size() == 3);
    CHECK(cost.end_time < 1e3);
    CHECK(y[0] == Approx(lump.exact(cost.end_time, 300)).epsilon(1e-4));
}
