// Converter characteristic, road load, steering torque and air against published figures.
#include <cmath>
#include <lapheat/drive/converter.hpp>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/road_load.hpp>
#include <lapheat/drive/steering.hpp>
#include <lapheat/drive/trace.hpp>
#include <numbers>

#include "../../tests/drive/invented_car.hpp"
#include "../check.hpp"

using namespace lapheat::drive;
using lapheat::validation::check;

namespace {

const char* cho_hedrick =
    "Cho & Hedrick, J. Dyn. Sys. Meas. Control 111 (1989) 568, after Kotwicki, SAE 820393";

// The published polynomials, N m with speeds in rad/s.
double published_pump(double w_p, double w_t) {
    if (w_t < 0.9 * w_p)
        return 3.4325e-3 * w_p * w_p + 2.2210e-3 * w_p * w_t - 4.6041e-3 * w_t * w_t;
    return -6.7644e-3 * w_p * w_p + 32.0084e-3 * w_p * w_t - 25.2441e-3 * w_t * w_t;
}
double published_turbine(double w_p, double w_t) {
    if (w_t < 0.9 * w_p)
        return 5.7656e-3 * w_p * w_p + 0.3107e-3 * w_p * w_t - 5.4323e-3 * w_t * w_t;
    return published_pump(w_p, w_t);
}

}  // namespace

TEST_CASE("a converter given by a published characteristic comes out between its points too") {
    std::vector<double> nu, ratio, factor;
    for (int k = 0; k < 20; ++k) {
        nu.push_back(0.05 * k);
        ratio.push_back(
            std::max(1.0, published_turbine(1, nu.back()) / published_pump(1, nu.back())));
        factor.push_back(1 / std::sqrt(published_pump(1, nu.back())));
    }
    const Converter c = converter_from_table(nu, ratio, factor);
    for (const double at : {0.0, 0.12, 0.33, 0.58, 0.77, 0.92}) {
        const ConverterPoint p = converter_at(c, 250, at * 250);
        const std::string where = " at 250 rad/s, speed ratio " + std::to_string(at).substr(0, 4);
        check({"Converter", "pump torque" + where, cho_hedrick, true, published_pump(250, at * 250),
               p.pump_torque, "N m", 0.012, 0, "table of 20 points from the polynomial"});
        check({"Converter", "turbine torque" + where, cho_hedrick, true,
               published_turbine(250, at * 250), p.turbine_torque, "N m", 0.012, 1.5,
               "the published branches do not meet at 0.9; straight lines between points"});
    }
}

TEST_CASE("the generic converter has the published shape of capacity") {
    const Converter c = generic_converter(250, published_pump(250, 0), 5.7656 / 3.4325);
    for (const double at : {0.0, 0.3, 0.6, 0.85}) {
        const ConverterPoint p = converter_at(c, 250, at * 250);
        const std::string where = ", speed ratio " + std::to_string(at).substr(0, 4);
        check({"Converter", "generic: pump torque" + where, cho_hedrick, true,
               published_pump(250, at * 250), p.pump_torque, "N m", 0.02, 0, ""});
        check({"Converter", "generic: efficiency" + where, cho_hedrick, true,
               published_turbine(250, at * 250) / published_pump(250, at * 250) * at,
               at * p.turbine_torque / p.pump_torque, "-", 0, 0.06,
               "torque ratio straight to the coupling point, the polynomial sags below it"});
    }
    double best = 0;
    for (double nu = 0.3; nu < 1; nu += 0.001) {
        const ConverterPoint p = converter_at(c, 250, nu * 250);
        best = std::max(best, nu * p.turbine_torque / p.pump_torque);
    }
    check({"Converter", "generic: highest efficiency", "common practice, no source", true, 0.97,
           best, "-", 0, 0.03,
           "0.95 to 0.99 in practice; without drag of its own the coupling nears 1 at no torque"});
}

TEST_CASE("the road load of an older car is of the size published for road cars") {
    const Vehicle v = invented_car();
    RoadPoint p;
    p.speed = 50 * 0.44704;
    const double lbf = 4.4482216;
    // 36.62 lbf + 0.1461 lbf/mph V + 0.01869 lbf/mph^2 V^2 at 50 mph.
    check(
        {"Road load", "power at 50 mph, level road",
         "coast-down coefficients of a passenger car as submitted for certification (US EPA form, "
         "A + B V + C V^2), quoted in a public forum, 2012",
         false, (36.62 + 0.1461 * 50 + 0.01869 * 2500) * lbf * p.speed,
         road_load(v, p).total() * p.speed, "W", 0.25, 0,
         "another car: a band for the size only; our invented one is blunter"});
    const Trace t = backward(v, steady(27.8, 60));
    check({"Road load", "power at the wheels of an older car at 100 km/h",
           "Heywood, Internal Combustion Engine Fundamentals (1988), eq. 2.7: P in kW = (2.73 C_R "
           "m + "
           "0.0126 C_D A S^2) S 1e-3, S in km/h",
           true, (2.73 * 0.012 * 1500 + 0.0126 * 0.42 * 2.0 * 100 * 100) * 100, t.wheel_power[30],
           "W", 0.12, 0, "ours has rolling resistance growing with speed, the equation has not"});
}

TEST_CASE("the torque that turns parked wheels is of the published size") {
    Vehicle v = invented_car();
    v.grip_lat = 0.58;
    const double load = 2400 * 9.81;
    v.tyre_pressure = 0.5 * load / (0.25 * std::numbers::pi * 0.25 * 0.25);
    check({"Steering", "scrub torque of a van's two front wheels, 2400 kg, contact 250 mm",
           "Barton & Fieldhouse, Automotive Chassis Engineering (2018), example E2.1", false, 1188,
           parking_torque(v, load), "N m", 0.2, 0,
           "Gough's relation has 1/3 where a round patch of even pressure has 0.376; the book's "
           "lever "
           "is longer still, with its offset of 25 mm"});
}

TEST_CASE("air at altitude is that of the standard atmosphere") {
    const char* source = "ISO 2533 (1975), table of the atmosphere";
    check({"Air for drag", "density, sea level", source, true, 1.225, air_density(288.15, 0),
           "kg/m3", 1e-3, 0, ""});
    check({"Air for drag", "density, 2000 m", source, true, 1.00655, air_density(275.15, 2000),
           "kg/m3", 1e-3, 0, ""});
}
