// Steering by hand.
#include <cmath>
#include <lapheat/heat/fluid_life.hpp>
#include <lapheat/heat/steering.hpp>
#include <numbers>

#include "check.hpp"

using namespace lapheat;
using namespace lapheat::heat;
using namespace lapheat::validation;

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
    const SteeringPoint lock = steering_point(m, {120 * std::numbers::pi, 0, 0, 1});
    Row row{.topic = "Steering heat",
            .quantity = "power of a steering pump at 3600 rev/min and where it goes",
            .source = "power = pressure times flow (Merritt, Hydraulic Control Systems), by hand",
            .relation = Relation::steering_heat,
            .unit = "W",
            .points = {{"shaft, corner held at 250 N m", 5.76e-4 * 2.68413e6, p.shaft},
                       {"throttling at the steering valve", 1.4e-4 * 1.98413e6, p.throttling},
                       {"round the flow control", (5.76e-4 - 1.4e-4) * 2.68413e6 + 1.4e-4 * 0.4e6,
                        p.flow_control},
                       {"line", 1.4e-4 * 0.3e6, p.line},
                       {"relief valve, wheel held at its lock", 1.4e-4 * 8.5e6, lock.relief}}};
    row.band = {1e-3, 0, "digits of the computation by hand"};
    closed_form(row);
}

TEST_CASE("life of transmission fluid against the chart that owners pass on") {
    struct Said {
        double fahrenheit, miles;
    };
    Row row{.topic = "Fluid life",
            .quantity = "life of transmission fluid at 175 to 315 degF, at 45 mile/h",
            .source =
                "chart of life expectancy in miles against temperature, on many owners' pages "
                "without an origin",
            .read = "three such pages, alike figure for figure",
            .common_practice = true,
            .own_data = true,
            .relation = Relation::fluid_life,
            .unit = "mile"};
    row.band = {0.12, 0, "the chart's own steps of 17 to 23 degF for a halving"};
    row.note =
        "the chart is the rule of halving for each 20 degF written out; 45 mile/h turns its "
        "miles into hours, ours";
    const FluidLife life;
    for (const Said& s : {Said{175, 100e3}, Said{195, 50e3}, Said{212, 25e3}, Said{235, 12e3},
                          Said{255, 6250}, Said{275, 3000}, Said{295, 1500}, Said{315, 750}}) {
        const double kelvin = (s.fahrenheit - 32) / 1.8 + 273.15;
        row.points.push_back({number(s.fahrenheit) + " degF", s.miles,
                              life.reference_life / aging_rate(life, kelvin) / 3600 * 45});
    }
    published(row);
}
