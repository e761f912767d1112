// Converter stall, steering by hand, condenser and exhaust.
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/drive/trace.hpp>
#include <lapheat/heat/engine.hpp>
#include <lapheat/heat/fluid_life.hpp>
#include <lapheat/heat/steering.hpp>
#include <lapheat/heat/surroundings.hpp>
#include <lapheat/heat/transmission.hpp>
#include <numbers>

#include "../../tests/drive/invented_car.hpp"
#include "check.hpp"

using namespace lapheat;
using namespace lapheat::heat;
using validation::check;

TEST_CASE("stall heat is the power that goes in") {
    const drive::Trace t = drive::backward(drive::invented_car(), drive::brake_torque(0.5, 4));
    const TransmissionHeat h = transmission_heat(TransmissionModel{}, t);
    const std::size_t k = t.size() / 2;
    check({.topic = "Transmission heat",
           .quantity = "converter heat held at stall, half throttle",
           .source = "energy balance: turbine at rest, input power is heat",
           .published = t.engine_power[k] - t.accessory_power[k] - t.pump_drag[k] -
                        t.engine_inertia_power[k],
           .ours = h.converter[k],
           .unit = "W",
           .tolerance = 1e-9,
           .note = {}});
}

TEST_CASE("steering power by hand") {
    // Pump 9.6 cm3 a turn (1.528 cm3/rad) at 3600 rev/min: 5.76e-4 m3/s. Controlled flow 1.4e-4.
    // Kingpin torque 250 N m, assist 0.85, arm 0.14 m, piston 9 cm2, efficiency 0.85:
    // load pressure = 0.85*250/(0.14*9e-4*0.85) = 1.9841 MPa. With 0.3 MPa back pressure and 0.4
    // MPa over the orifice the pump stands at 2.6841 MPa. No leakage, no friction, wheel held
    // still.
    SteeringModel m;
    m.displacement = 9.6e-6 / (2 * std::numbers::pi);
    m.speed_ratio = 1;
    m.leakage = 0;
    m.pump_friction = 0;
    const SteeringPoint p = steering_point(m, {120 * std::numbers::pi, 250, 0, 0});
    const char* source = "Merritt, Hydraulic Control Systems: power = pressure times flow, by hand";
    const auto one = [&](const char* what, double published, double ours) {
        check({.topic = "Steering heat",
               .quantity = what,
               .source = source,
               .published = published,
               .ours = ours,
               .unit = "W",
               .tolerance = 1e-3,
               .note = {}});
    };
    one("shaft power, 3600 rev/min, corner held at 250 N m", 5.76e-4 * 2.68413e6, p.shaft);
    one("throttling at the steering valve", 1.4e-4 * 1.98413e6, p.throttling);
    one("round the flow control", (5.76e-4 - 1.4e-4) * 2.68413e6 + 1.4e-4 * 0.4e6, p.flow_control);
    one("line loss", 1.4e-4 * 0.3e6, p.line);
    const SteeringPoint lock = steering_point(m, {120 * std::numbers::pi, 0, 0, 1});
    one("relief valve with the wheel held at its lock", 1.4e-4 * 8.5e6, lock.relief);
}

TEST_CASE("exhaust pipe temperature closes its own balance") {
    const EngineModel m = engine_model(0.0057, 8, 560);
    const double gas = 1000;
    const double t = exhaust_surface_temperature(m, 0.1, gas, 300, 10);
    // Inside, by the book's formula at the film mean of 650 K (air: 31.6e-6 Pa s, 0.0497 W/(m K)).
    const double d = m.exhaust_pipe_diameter;
    const double reynolds = 4 * 0.05 / (std::numbers::pi * d * 32.2e-6);
    const double inside = 2.5 * 0.023 * std::pow(reynolds, 0.8) * std::pow(0.7, 0.3) * 0.0497 / d;
    const double out = (8 + 6 * std::sqrt(10.0)) * (t - 300) +
                       0.8 * 5.670374e-8 * (std::pow(t, 4) - std::pow(300.0, 4));
    check({.topic = "Surroundings",
           .quantity = "heat through a bare exhaust pipe, gas 1000 K, inside against outside",
           .source = "Incropera et al., eq. 8.60 (Dittus-Boelter) and Table A.4 (air, 650 K)",
           .from_memory = true,
           .published = inside * (gas - t),
           .ours = out,
           .unit = "W/m2",
           .tolerance = 0.06,
           .note = "our air properties are powers of temperature fitted to the table"});
}

TEST_CASE("fluid life rule") {
    check({.topic = "Fluid life",
           .quantity = "rate at 126 degC over 93 degC",
           .source = "halved for each 11 K above 93 degC: common practice, no source",
           .published = 8,
           .ours = aging_rate(FluidLife{}, 399.15),
           .unit = "-",
           .tolerance = 1e-12,
           .note = {}});
}
