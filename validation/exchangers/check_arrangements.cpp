// Effectiveness-NTU relations against the field solved directly, other series and books.
#include <boost/math/special_functions/bessel.hpp>
#include <boost/math/special_functions/gamma.hpp>
#include <lapheat/exchangers/arrangement.hpp>

#include "check.hpp"
#include "cross_flow_field.hpp"

using namespace lapheat::exchangers;
using namespace lapheat::validation;

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

/// The field over a set of NTU, C* and both roles of the streams.
void check_against_field(const ArrangementSpec& s) {
    Row row{.topic = topic,
            .quantity = "effectiveness, " + label(s),
            .source = "temperature field solved on a grid (box scheme, Richardson extrapolation)",
            .relation = Relation::effectiveness};
    row.band = {0, 1e-9, "error of the extrapolated grid"};
    for (const double n : {0.3, 1.0, 2.5, 5.0})
        for (const double c : {0.05, 0.5, 1.0})
            for (const Smaller smaller : both)
                row.points.push_back({"NTU " + number(n) + ", C* " + number(c),
                                      extrapolated_effectiveness(s, n, c, smaller),
                                      effectiveness(s, n, c, smaller)});
    closed_form(row);
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
    Row row{.topic = topic,
            .quantity = "effectiveness, 1-2 shell and tube, NTU 0.5 to 5, C* 0.3 and 1",
            .source = "the exchanger's differential equations, integrated (Runge-Kutta, shooting)",
            .relation = Relation::effectiveness};
    row.band = {0, 1e-10, "error of the integration"};
    for (const double n : {0.5, 2.0, 5.0}) {
        for (const double c : {0.3, 1.0}) {
            // The tube stream is the smaller one here; its effectiveness is its outlet temperature.
            const auto miss = [&](double leaving) {
                const auto t = integrate(n * c, n, leaving);
                return t.b - t.a;
            };
            const double m0 = miss(0), m1 = miss(1);
            row.points.push_back(
                {"NTU " + number(n) + ", C* " + number(c), m0 / (m0 - m1),
                 effectiveness({Arrangement::shell_and_tube}, n, c, Smaller::second)});
        }
    }
    closed_form(row);
}

TEST_CASE("cross-flow with both streams unmixed agrees with Mason's and Baclic's series") {
    Row mason{.topic = topic,
              .quantity = "effectiveness, both unmixed, NTU 0.1 to 60, C* 0.1 to 1",
              .source =
                  "Mason 1954, double series, summed with incomplete gamma functions of "
                  "Boost.Math",
              .relation = Relation::effectiveness};
    mason.band = {0, 1e-12, "rounding of the sums"};
    Row baclic = mason;
    baclic.source =
        "Baclic 1978, J. Heat Transfer 100, 746, Bessel series, as in Shah & Sekulić (3.87)";
    for (const double n : {0.1, 1.0, 3.0, 8.0, 30.0, 60.0}) {
        for (const double c : {0.1, 0.5, 0.9, 1.0}) {
            double sum = 0;
            for (int k = 0; k < 400; ++k)
                sum += boost::math::gamma_p(k + 1.0, n) * boost::math::gamma_p(k + 1.0, c * n);
            const std::string at = "NTU " + number(n) + ", C* " + number(c);
            mason.points.push_back({at, sum / (c * n), effectiveness({}, n, c)});
            const double z = 2 * n * std::sqrt(c);
            sum = boost::math::cyl_bessel_i(0, z) + std::sqrt(c) * boost::math::cyl_bessel_i(1, z);
            for (int k = 2; k < 300 && c < 1; ++k)
                sum -= (1 - c) / c * std::pow(c, 0.5 * k) * boost::math::cyl_bessel_i(k, z);
            baclic.points.push_back(
                {at, 1 - std::exp(-(1 + c) * n) * sum, effectiveness({}, n, c)});
        }
    }
    closed_form(mason);
    closed_form(baclic);
}

TEST_CASE("effectiveness agrees with tables and examples of the books") {
    Row kl{.topic = topic,
           .quantity = "effectiveness, counter, parallel and cross flow, NTU 1 to 5",
           .source = "Kays & London, Compact Heat Exchangers, tables of chapter 2",
           .from_memory = true,
           .relation = Relation::effectiveness};
    kl.band = {0, 5e-4, "half of the last digit"};
    struct Book {
        ArrangementSpec s;
        double n, c, value;
    };
    for (const Book& b :
         {Book{{Arrangement::counter}, 1, 1, 0.5}, Book{{Arrangement::counter}, 3, 0.5, 0.874},
          Book{{Arrangement::parallel}, 2, 1, 0.491}, Book{{}, 1, 1, 0.476}, Book{{}, 2, 1, 0.614},
          Book{{}, 5, 1, 0.751}})
        kl.points.push_back({label(b.s) + ", NTU " + number(b.n) + ", C* " + number(b.c), b.value,
                             effectiveness(b.s, b.n, b.c)});
    published(kl);
    Row row{
        .topic = topic,
        .quantity = "effectiveness, both mixed, NTU 2.5, C* 0.6",
        .source = "Nellis & Klein, Heat Transfer, formula; value of the worked example",
        .read =
            "the heat transfer library's documentation of EES, cross flow both mixed, example 1",
        .relation = Relation::effectiveness,
        .outside = 0.6841,
        .ours = effectiveness({Arrangement::cross_mixed}, 2.5, 0.6)};
    row.band = {0, 5e-5, "half of the last digit"};
    published(row);
    // Finned cross-flow, gas 300 to 100 °C heats 1 kg/s of water (cp 4197) from 35 to 125 °C,
    // U = 100 W/(m² K): the book reads NTU 2.1 from its chart.
    const double gas = 4197.0 * 90 / 200;
    row.quantity = "NTU of the finned cross-flow water heater";
    row.source = "Incropera et al., Fundamentals of Heat and Mass Transfer, Example 11.3";
    row.read = "";
    row.from_memory = true;
    row.outside = 2.1;
    row.ours = ntu({}, 200.0 / 265.0, gas / 4197);
    row.band = {0, 0.1, "the book reads a chart"};
    published(row);
}
