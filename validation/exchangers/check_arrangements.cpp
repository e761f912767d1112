// Effectiveness-NTU relations against the field solved directly, other series and books.
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <lapheat/exchangers/arrangement.hpp>

#include "check.hpp"
#include "cross_flow_field.hpp"

using namespace lapheat::exchangers;
using lapheat::validation::check;
using lapheat::validation::extrapolated_effectiveness;

namespace {

const std::string topic = "Arrangements";
constexpr Smaller both[] = {Smaller::first, Smaller::second};

std::string label(const ArrangementSpec& s) {
    std::string l = describe(s.kind);
    if (s.count > 1) l += " × " + std::to_string(s.count);
    if (s.kind == Arrangement::cross_counter || s.kind == Arrangement::cross_parallel) {
        l += std::string(" (") + describe(s.pass) + ")";
        if (s.coupling == PassCoupling::unmixed_identical)
            l += ", unmixed between, identical order";
        if (s.coupling == PassCoupling::unmixed_inverted) l += ", unmixed between, inverted order";
    }
    return l;
}

/// Largest disagreement with the field over a set of NTU, C* and both roles of the streams.
void check_against_field(const ArrangementSpec& s) {
    double worst = -1, published = 0, ours = 0;
    std::string where;
    for (const double n : {0.3, 1.0, 2.5, 5.0}) {
        for (const double c : {0.05, 0.5, 1.0}) {
            for (const Smaller smaller : both) {
                const double field = extrapolated_effectiveness(s, n, c, smaller);
                const double e = effectiveness(s, n, c, smaller);
                if (std::abs(e - field) > worst) {
                    worst = std::abs(e - field);
                    published = field;
                    ours = e;
                    where = "NTU " + std::to_string(n).substr(0, 3) + ", C* " +
                            std::to_string(c).substr(0, 4);
                }
            }
        }
    }
    check({.topic = topic,
           .quantity = "effectiveness, " + label(s) + "; worst of 24, at " + where,
           .source = "temperature field solved on a grid (box scheme, Richardson extrapolation)",
           .published = published,
           .ours = ours,
           .unit = "-",
           .absolute = 1e-9,
           .note = {}});
}

}  // namespace

TEST_CASE("every cross-flow arrangement agrees with its temperature field solved directly") {
    for (const auto kind : {Arrangement::cross_unmixed, Arrangement::cross_first_mixed,
                            Arrangement::cross_second_mixed, Arrangement::cross_mixed}) {
        check_against_field({kind});
    }
    for (int rows = 1; rows <= 4; ++rows) check_against_field({Arrangement::cross_rows, rows});
    for (const auto kind : {Arrangement::cross_counter, Arrangement::cross_parallel}) {
        for (const auto pass : {Arrangement::cross_unmixed, Arrangement::cross_first_mixed,
                                Arrangement::cross_second_mixed}) {
            for (const auto coupling : {PassCoupling::mixed, PassCoupling::unmixed_identical,
                                        PassCoupling::unmixed_inverted}) {
                check_against_field({kind, 2, coupling, pass});
            }
        }
        check_against_field({kind, 3, PassCoupling::unmixed_inverted, Arrangement::cross_unmixed});
        check_against_field(
            {kind, 4, PassCoupling::unmixed_identical, Arrangement::cross_first_mixed});
        check_against_field({kind, 2, PassCoupling::mixed, Arrangement::cross_mixed});
    }
}

TEST_CASE("the 1-2 shell and tube relation solves its differential equations") {
    // Shell stream once through, tube stream there and back, integrated by the classical
    // Runge-Kutta method; linear in the unknown temperature with which the tube stream leaves.
    const auto integrate = [](double shell, double tube, double leaving) {
        struct State {
            double s, a, b;
        };
        const auto slope = [&](const State& t) {
            return State{-0.5 * shell * (2 * t.s - t.a - t.b), 0.5 * tube * (t.s - t.a),
                         -0.5 * tube * (t.s - t.b)};
        };
        const auto plus = [](const State& t, const State& d, double h) {
            return State{t.s + h * d.s, t.a + h * d.a, t.b + h * d.b};
        };
        State t{1, 0, leaving};
        constexpr int steps = 2000;
        const double h = 1.0 / steps;
        for (int i = 0; i < steps; ++i) {
            const State k1 = slope(t), k2 = slope(plus(t, k1, h / 2)),
                        k3 = slope(plus(t, k2, h / 2)), k4 = slope(plus(t, k3, h));
            t = plus(plus(plus(plus(t, k1, h / 6), k2, h / 3), k3, h / 3), k4, h / 6);
        }
        return t;
    };
    for (const double n : {0.5, 2.0, 5.0}) {
        for (const double c : {0.3, 1.0}) {
            // The tube stream is the smaller one here; its effectiveness is its outlet temperature.
            const auto miss = [&](double leaving) {
                const auto t = integrate(n * c, n, leaving);
                return t.b - t.a;
            };
            const double m0 = miss(0), m1 = miss(1);
            check({.topic = topic,
                   .quantity =
                       "1-2 shell and tube, NTU " + std::to_string(n) + ", C* " + std::to_string(c),
                   .source =
                       "the exchanger's differential equations, integrated (Runge-Kutta, shooting)",
                   .from_memory = false,
                   .published = m0 / (m0 - m1),
                   .ours = effectiveness({Arrangement::shell_and_tube}, n, c, Smaller::second),
                   .unit = "-",
                   .tolerance = 0,
                   .absolute = 1e-10,
                   .note = {}});
        }
    }
}

TEST_CASE("cross-flow with both streams unmixed agrees with Mason's and Baclic's series") {
    for (const double n : {0.1, 1.0, 3.0, 8.0, 30.0, 60.0}) {
        for (const double c : {0.1, 0.5, 0.9, 1.0}) {
            double mason = 0;
            for (int k = 0; k < 400; ++k) {
                mason += boost::math::gamma_p(k + 1.0, n) * boost::math::gamma_p(k + 1.0, c * n);
            }
            check(
                {.topic = topic,
                 .quantity = "both unmixed, NTU " + std::to_string(n) + ", C* " + std::to_string(c),
                 .source = "Mason 1954, double series, summed with incomplete gamma functions of "
                           "Boost.Math",
                 .published = mason / (c * n),
                 .ours = effectiveness({}, n, c),
                 .unit = "-",
                 .absolute = 1e-12,
                 .note = {}});
            const double z = 2 * n * std::sqrt(c);
            double sum =
                boost::math::cyl_bessel_i(0, z) + std::sqrt(c) * boost::math::cyl_bessel_i(1, z);
            for (int k = 2; k < 300 && c < 1; ++k) {
                sum -= (1 - c) / c * std::pow(c, 0.5 * k) * boost::math::cyl_bessel_i(k, z);
            }
            check(
                {.topic = topic,
                 .quantity = "both unmixed, NTU " + std::to_string(n) + ", C* " + std::to_string(c),
                 .source = "Baclic 1978, J. Heat Transfer 100, 746, Bessel series, as in Shah & "
                           "Sekulić (3.87)",
                 .published = 1 - std::exp(-(1 + c) * n) * sum,
                 .ours = effectiveness({}, n, c),
                 .unit = "-",
                 .absolute = 1e-12,
                 .note = {}});
        }
    }
}

TEST_CASE("effectiveness agrees with tables and examples of the books") {
    const auto book = [](const ArrangementSpec& s, double n, double c, double value,
                         double half_digit, const std::string& source, bool memory,
                         const std::string& note = {}) {
        check({.topic = topic,
               .quantity = "effectiveness, " + label(s) + ", NTU " + std::to_string(n) + ", C* " +
                           std::to_string(c),
               .source = source,
               .from_memory = memory,
               .published = value,
               .ours = effectiveness(s, n, c),
               .unit = "-",
               .absolute = half_digit,
               .note = note});
    };
    const std::string kl = "Kays & London, Compact Heat Exchangers, tables of chapter 2";
    book({Arrangement::counter}, 1, 1, 0.5, 5e-4, kl, true);
    book({Arrangement::counter}, 3, 0.5, 0.874, 5e-4, kl, true);
    book({Arrangement::parallel}, 2, 1, 0.491, 5e-4, kl, true);
    book({}, 1, 1, 0.476, 5e-4, kl, true);
    book({}, 2, 1, 0.614, 5e-4, kl, true);
    book({}, 5, 1, 0.751, 5e-4, kl, true);
    book({Arrangement::cross_mixed}, 2.5, 0.6, 0.6841, 5e-5,
         "Nellis & Klein, Heat Transfer, worked value", false);
    book({}, 2.5, 0.6, 0.7632, 0.012, "Nellis & Klein, Heat Transfer, worked value", false,
         "the book's value is the approximate formula with NTU^0.22, good to about 1 %; ours is "
         "the exact series");
    // Finned cross-flow, gas 300 to 100 °C heats 1 kg/s of water (cp 4197) from 35 to 125 °C,
    // U = 100 W/(m² K): the book reads NTU 2.1 from its chart and finds 39.7 m².
    const double water = 4197, gas = water * 90 / 200;
    const double needed = ntu({}, 200.0 / 265.0, gas / water);
    check({.topic = topic,
           .quantity = "NTU of the finned cross-flow water heater",
           .source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Example 11.3",
           .from_memory = true,
           .published = 2.1,
           .ours = needed,
           .unit = "-",
           .tolerance = 0,
           .absolute = 0.1,
           .note = "the book reads a chart; ours is the exact series"});
    check({.topic = topic,
           .quantity = "area of the finned cross-flow water heater",
           .source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Example 11.3",
           .from_memory = true,
           .published = 39.7,
           .ours = needed * gas / 100,
           .unit = "m²",
           .tolerance = 0.05,
           .absolute = 0,
           .note = "as above"});
}
