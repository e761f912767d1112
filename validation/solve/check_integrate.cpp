// The integrator against closed forms, SciPy and CVODE.
#include <cmath>
#include <cstdio>
#include <memory>
#include <string>

#include "check.hpp"
#include "cvode_chain.hpp"
#include "thermal_chain.hpp"

using namespace lapheat;
using namespace lapheat::validation;
using validation::ThermalChain;

namespace {

struct Lump {
    double c, ua, q, ambient;
    static constexpr std::size_t size() { return 1; }
    static constexpr std::size_t event_count() { return 0; }
    void rhs(double, const double* y, double* d) const { d[0] = (q - ua * (y[0] - ambient)) / c; }
    void events(double, const double*, double*) const {}
    static solve::Crossing event_direction(std::size_t) { return solve::Crossing::either; }
    static solve::EventAction handle(std::size_t, double, double*) {
        return solve::EventAction::go_on;
    }
    static solve::AtKnot enter_interval(std::size_t) { return solve::AtKnot::continuous; }
};

double lump_after(double seconds, double start, double heat) {
    Lump lump{60e3, 180, heat, 300};
    std::vector<double> y{start};
    solve::integrate(lump, y, solve::IntegrationPlan{.end = seconds},
                     solve::Tolerances{.relative = 1e-10, .absolute = 1e-10});
    return y[0];
}

/// Last state of the chain without its relay by SciPy, see thermal_chain.py.
std::vector<double> scipy_chain(std::size_t seconds) {
    const std::string command = "/usr/bin/python3 " LAPHEAT_SOURCE_DIR
                                "/validation/solve/thermal_chain.py " +
                                std::to_string(seconds);
    std::vector<double> values;
    const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
    double v = 0;
    while (pipe && std::fscanf(pipe.get(), "%lf", &v) == 1) values.push_back(v);
    return values;
}

}  // namespace

TEST_CASE("one lump against its exponential") {
    const double tau = 60e3 / 180;
    Row warm{.topic = "Integrator",
             .quantity = "single lump warming up, 60 to 2000 s",
             .source = "closed form T = T_end + (T_0 - T_end) exp(-UA t / C)",
             .unit = "K"};
    warm.band = {0, 1e-6, "tolerance 1e-10, over 2000 s"};
    Row cool = warm;
    cool.quantity = "single lump cooling down, 60 to 2000 s";
    for (const double t : {60.0, 333.0, 2000.0}) {
        warm.points.push_back(
            {number(t) + " s", 350 - 50 * std::exp(-t / tau), lump_after(t, 300, 9000)});
        cool.points.push_back(
            {number(t) + " s", 300 + 90 * std::exp(-t / tau), lump_after(t, 390, 0)});
    }
    closed_form(warm);
    closed_form(cool);
}

TEST_CASE("forty nonlinear lumps against SciPy at 1e-10") {
    constexpr std::size_t seconds = 120;
    const std::vector<double> theirs = scipy_chain(seconds);
    REQUIRE(theirs.size() == ThermalChain::n);
    ThermalChain chain(seconds);
    chain.relay = false;
    const std::vector<double> rows =
        validation::integrate_chain(chain, solve::Tolerances{.relative = 1e-10, .absolute = 1e-10});
    Row row{.topic = "Integrator",
            .quantity = "chain of 40 lumps, 120 s, lumps 0, 1, 20 and 39",
            .source = "SciPy solve_ivp, DOP853, rtol = atol = 1e-10, in the same run",
            .unit = "K"};
    row.band = {0, 1e-7, "the tolerances of both"};
    for (const std::size_t i : {0UL, 1UL, 20UL, 39UL})
        row.points.push_back(
            {"lump " + std::to_string(i), theirs[i], rows[rows.size() - ThermalChain::n + i]});
    library(row);
}

TEST_CASE("an hour of the chain with its relay against CVODE") {
    constexpr std::size_t seconds = 3600;
    ThermalChain ours(seconds);
    const auto reference =
        validation::integrate_chain(ours, solve::Tolerances{.relative = 1e-11, .absolute = 1e-10});
    ThermalChain theirs(seconds);
    const auto cvode = validation::cvode_chain(
        theirs, {.relative = 1e-11, .absolute = 1e-10, .adams = false, .stop_at_knots = true});
    REQUIRE(ours.switch_times.size() == theirs.switch_times.size());
    REQUIRE(ours.switch_times.size() > 4);
    Row row{.topic = "Integrator",
            .quantity =
                "chain of 40 lumps with a relay, 1 h, worst difference of any lump at any second",
            .source = "SUNDIALS CVODE 6, BDF, rtol 1e-11, in the same run",
            .ours = worst_difference(reference, cvode),
            .unit = "K"};
    row.band = {0, 1e-4, "BDF at its tightest"};
    library(row);
    double worst = 0;
    for (std::size_t i = 0; i < ours.switch_times.size(); ++i) {
        worst = std::max(worst, std::abs(ours.switch_times[i] - theirs.switch_times[i]));
    }
    row.quantity = "the same, worst difference of a switching time";
    row.ours = worst;
    row.unit = "s";
    row.band = {0, 1e-3, "BDF at its tightest over the rate of the sensor"};
    row.note = std::to_string(ours.switch_times.size()) + " switchings";
    library(row);
    // At everyday tolerance against the tight run just checked: 0.05 K is the project's target.
    ThermalChain quick(seconds);
    const auto loose =
        validation::integrate_chain(quick, solve::Tolerances{.relative = 1e-5, .absolute = 1e-2});
    CHECK(worst_difference(reference, loose) < 0.05);
}
