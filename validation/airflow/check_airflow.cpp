// The air path against hand calculation, handbook equations and published bands.
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <lapheat/airflow/fan_drive.hpp>
#include <lapheat/airflow/inlet.hpp>
#include <lapheat/airflow/path.hpp>

#include "check.hpp"
#include "fine_stack.hpp"
#include "invented_car.hpp"

using namespace lapheat::airflow;
using namespace lapheat::validation;

namespace {

constexpr double rho = 1.2;

/// A fan against a square law that loses `k` Q^2, at `density`.
Path fan_against(const Fan& fan, double k) {
    PathDescription d;
    d.inlet = {.coefficient = 0, .losses = {}};
    d.exit = {.coefficient = 0, .losses = {}};
    d.cores = {
        {.face = {0, 0, 0.6, 0.4}, .resistance = {.quadratic = k / rho}, .open_fraction = 1}};
    d.fans = {fan};
    d.shrouds = {{.cover = {0, 0, 0.6, 0.4}, .fans = {0}}};
    return make_path(d);
}

PathFlow run(const Path& path, const PathInputs& in) {
    PathFlow flow = make_flow(path);
    operating_point(path, in, flow);
    REQUIRE(flow.converged);
    return flow;
}

PathFlow run_fan(const Path& path, double speed, double density) {
    PathInputs in = make_inputs(path, density, 293.15);
    in.fan_speed.assign(path.description.fans.size(), speed);
    return run(path, in);
}

}  // namespace

TEST_CASE("fan laws") {
    Fan fan;
    fan.curve = fan_curve(1.0, 200);
    const Path path = fan_against(fan, 150);
    const FanPoint full = run_fan(path, 1, rho).fans[0], slow = run_fan(path, 0.7, rho).fans[0];
    const FanPoint thin = run_fan(path, 1, 0.9).fans[0];
    Row row{.topic = "Fans",
            .quantity = "flow, pressure and power at 0.7 speed and at 0.9/1.2 density, shares",
            .source = "AMCA 201 / ISO 5801 fan laws: Q ~ n, p ~ n^2 rho, P ~ n^3 rho",
            .from_memory = true,
            .relation = Relation::fan_affinity,
            .points = {{"flow, speed", 0.7, slow.flow / full.flow},
                       {"pressure, speed", 0.49, slow.rise / full.rise},
                       {"power, speed", 0.343, slow.electrical_power / full.electrical_power},
                       {"flow, density", 1, thin.flow / full.flow},
                       {"pressure, density", 0.75, thin.rise / full.rise},
                       {"power, density", 0.75, thin.electrical_power / full.electrical_power}}};
    row.band = {1e-4, 0, "the network's linear floor"};
    published(row);
}

TEST_CASE("operating point by hand") {
    Fan fan;
    fan.curve = fan_curve(1.0, 200, 0);
    const FanPoint line = run_fan(fan_against(fan, 100), 1, rho).fans[0];
    Row row{.topic = "Fans",
            .quantity = "flow, straight curve 200 (1 - Q) against 100 Q^2",
            .source = "fan curve met with system curve, by hand: Q = sqrt(3) - 1",
            .relation = Relation::air_path_balance,
            .outside = std::sqrt(3.0) - 1,
            .ours = line.flow,
            .unit = "m3/s"};
    row.band = {2e-5, 0, "the network's linear floor"};
    closed_form(row);
    row.quantity = "pressure at that point";
    row.source = "by hand: 100 Q^2";
    row.outside = 53.5898;
    row.ours = line.rise;
    row.unit = "Pa";
    closed_form(row);
    fan.curve = fan_curve(1.0, 200, 1);
    row.quantity = "flow, parabola 200 (1 - Q^2) against 100 Q^2";
    row.source = "by hand: Q = sqrt(2/3)";
    row.outside = std::sqrt(2.0 / 3);
    row.ours = run_fan(fan_against(fan, 100), 1, rho).fans[0].flow;
    row.unit = "m3/s";
    row.band = {1e-3, 0, "nine points of the parabola joined by monotone cubics"};
    closed_form(row);
}

TEST_CASE("a fan from two numbers against a measured curve") {
    // A fan of 36 in at 600 rev/min: flow in 10 000 ft³/min, pressure in inches of water.
    constexpr double cfm = 4.719474e-4, water = 249.089;
    Fan fan;
    fan.curve = fan_curve(60000 * cfm, 3.68 * water);
    Row row{.topic = "Fans",
            .quantity =
                "pressure between shut-off and free flow from these two numbers alone, 36 in fan",
            .source =
                "Fox & McDonald, Introduction to Fluid Mechanics, performance curve of the fan in "
                "Example 10.11",
            .read = "a public copy of the example's data",
            .relation = Relation::fan_curve,
            .unit = "Pa"};
    row.band = {0.15, 0, "none is known for a curve of two numbers: 15 % taken"};
    for (const auto& [flow, inches] :
         {std::pair{1.0, 3.75}, {2.0, 3.50}, {3.0, 2.96}, {4.0, 2.12}, {5.0, 1.02}})
        row.points.push_back({number(flow * 1e4) + " ft3/min", inches * water,
                              fan_pressure(fan, flow * 1e4 * cfm, 1, 1.2).rise});
    row.note = "an industrial fan with airfoil blades, not a car's";
    row.story =
        "This fan's curve is fuller than the assumed shape, 11 to 23 % in between; the full "
        "parabola (shape 1) would be within 10 %. One fan, and no car's: six of those were "
        "looked for in open data and not found.";
    measured(row);
}

TEST_CASE("core equation with entrance, exit and acceleration") {
    // Kays & London, eq. 2-26a: dp = G^2 / (2 rho1) [(Kc + 1 - s^2) + 2 (rho1/rho2 - 1)
    //   + f (A/Ac) (rho1/rho_m) - (1 - s^2 - Ke) (rho1/rho2)], 1/rho_m = (1/rho1 + 1/rho2) / 2.
    constexpr double s = 0.7, kc = 0.4, ke = 0.1, friction = 3.2, face = 0.25;
    constexpr double hot = 353.15, cold = 293.15;
    const double rho1 = rho, rho2 = rho * cold / hot;
    const double ram = 180;
    PathDescription d;
    d.inlet = {.coefficient = ram / (0.5 * rho * 400), .losses = {}};
    d.exit = {.coefficient = 0, .losses = {}};
    // What a test at one temperature would give: losses only.
    const double flow_area = s * face;
    d.cores = {{.face = {0, 0, 0.5, 0.5},
                .resistance = {.quadratic = (kc + ke + friction) / (2 * flow_area * flow_area)},
                .open_fraction = s}};
    const Path path = make_path(d);
    PathInputs in = make_inputs(path, rho, cold);
    in.passage_outlet_temperature = {hot};
    in.vehicle_speed = 20;
    const double flux = run(path, in).inlet_flow / flow_area;
    const double bracket = (kc + 1 - s * s) + 2 * (rho1 / rho2 - 1) +
                           friction * (rho1 / rho2 + 1) / 2 - (1 - s * s - ke) * rho1 / rho2;
    Row row{.topic = "Cores, air side",
            .quantity = "drop at the flow found for 180 Pa, air 20 to 80 degC",
            .source = "Kays & London, Compact Heat Exchangers, eq. 2-26a",
            .from_memory = true,
            .relation = Relation::air_path_balance,
            .outside = flux * flux / (2 * rho1) * bracket,
            .ours = ram,
            .unit = "Pa"};
    row.band = {0.01, 0,
                "ours puts Kc and Ke at the mean density with friction, the book Kc at the "
                "inlet's and Ke at the outlet's: under 1 % here"};
    published(row);
}

TEST_CASE("single stream against a library's root finder") {
    PathDescription d = lapheat::validation::front_end();
    d.cores.erase(d.cores.begin());
    d.fans.resize(1);
    d.shrouds = {{.cover = d.cores[0].face, .fans = {0}}};
    d.leak_area = 0;
    const Path path = make_path(d);
    Row row{.topic = "Air path",
            .quantity = "mass flow of one stream at 0, 15 and 40 m/s",
            .source = "root of the one equation of that stream, Boost.Math toms748_solve",
            .relation = Relation::air_path_balance,
            .unit = "kg/s"};
    row.band = {3e-5, 0, "the network adds a linear floor to its losses (1e-5 of them)"};
    for (const double speed : {0.0, 15.0, 40.0}) {
        PathInputs in = make_inputs(path, rho, 293.15);
        in.vehicle_speed = speed;
        in.fan_speed = {0.8};
        const double ram = 0.5 * rho * speed * speed * (d.inlet.coefficient - d.exit.coefficient);
        const auto unbalanced = [&](double m) {
            return ram + fan_pressure(d.fans[0], m / rho, 0.8, rho).rise -
                   pressure_drop(d.cores[0].resistance, m, rho, in.viscosity) -
                   m * m * (path.branches[0].quadratic + path.branches[1].quadratic) / rho;
        };
        std::uintmax_t most = 200;
        const auto [low, high] = boost::math::tools::toms748_solve(
            unbalanced, 0.0, 10.0, boost::math::tools::eps_tolerance<double>(50), most);
        row.points.push_back({number(speed) + " m/s", (low + high) / 2, run(path, in).inlet_flow});
    }
    closed_form(row);
}

TEST_CASE("partly covered stack against a fine two-dimensional solution") {
    const Resistance unit =
        fit_resistance([](double g) { return 14.5 * std::pow(g, 1.6); }, 0.1, 10, 1.2, 1.81e-5);
    for (const double gap : {0.0, 0.02}) {
        lapheat::validation::FineStack s;
        s.gap = gap;
        s.front_drop =
            s.rear_drop = [unit](double g) { return pressure_drop(unit, g, 1.2, 1.81e-5); };
        const auto scaled = [&](double area) {
            return fit_resistance(
                [=](double m) { return pressure_drop(unit, m / area, 1.2, 1.81e-5); }, 0.1 * area,
                10 * area, 1.2, 1.81e-5);
        };
        PathDescription d;
        d.inlet = {.coefficient = s.front_pressure / (0.5 * 1.2 * 900), .losses = {}};
        d.exit = {.coefficient = 0, .losses = {}};
        d.cores = {{.face = {s.from, 0, s.to - s.from, s.height},
                    .resistance = scaled((s.to - s.from) * s.height),
                    .gap_behind = gap},
                   {.face = {0, 0, s.width, s.height}, .resistance = scaled(s.width * s.height)}};
        const Path path = make_path(d);
        PathInputs in = make_inputs(path, 1.2, 293.15);
        in.vehicle_speed = 30;
        const PathFlow flow = run(path, in);
        const auto fine = solve_fine(s);
        Row row{
            .topic = "Stacks",
            .quantity = std::string("flow of a front core over 46 % of the face and of the rear "
                                    "core, ") +
                        (gap > 0 ? "20 mm gap" : "cores touching"),
            .source =
                "the flow solved directly, 65 cells by width "
                "(validation/airflow/fine_stack.hpp)",
            .relation = Relation::air_path_balance,
            .unit = "kg/s",
            .points = {{"front", fine.front_flow, flow.core_flow[0]},
                       {"rear", fine.rear_flow, flow.core_flow[1]}}};
        row.band = gap > 0 ? Band{0.06, 0,
                                  "the gap is one loss between two columns, K = 2 on its "
                                  "mean speed; sealed columns would be 20 % off"}
                           : Band{2e-4, 0, "the grid's error"};
        closed_form(row);
    }
}

TEST_CASE("openings, radiation, road, wire") {
    Row row{.topic = "Openings",
            .quantity = "K of thin grilles, open fraction 0.4, 0.5 and 0.8, on upstream velocity",
            .source = "Idelchik, Handbook of Hydraulic Resistance, diagram 8-1",
            .from_memory = true,
            .relation = Relation::opening_loss};
    row.band = {0.02, 0, "two to three printed digits"};
    for (const auto& [open, k] : {std::pair{0.4, 8.25}, {0.5, 4.0}, {0.8, 0.42}})
        row.points.push_back({"open " + number(open), k, grille_coefficient(open) / (open * open)});
    published(row);
    row.points.clear();
    row.quantity = "K of a sharp slot";
    row.source = "Idelchik: thin orifice into free space 2.7 to 2.8";
    row.outside = 2.75;
    row.ours = gap(1).coefficient;
    row.band = {0, 0.05, "the range printed"};
    published(row);
    row.topic = "Radiation";
    row.quantity = "view factor, opposite faces of a cube";
    row.source = "Siegel & Howell, Thermal Radiation Heat Transfer, catalogue C-11";
    row.relation = Relation::view_factor;
    row.outside = 0.1998;
    row.ours = view_factor_parallel(1, 1, 1);
    row.band = {0, 5e-5, "half of the last digit"};
    published(row);
    Radiator part{.view_factor = 1,
                  .area = 1,
                  .emissivity = 0.3,
                  .core_emissivity = 0.3,
                  .shield_emissivity = 0.3};
    const double bare = radiation(part, 700, 350);
    part.shields = 3;
    row.quantity = "three shields of the surfaces' own emissivity, share";
    row.source = "1 / (N + 1), as in Incropera et al., section 13.3";
    row.from_memory = false;
    row.relation = Relation::none;
    row.outside = 0.25;
    row.ours = radiation(part, 700, 350) / bare;
    row.band = {1e-9, 0, "rounding"};
    closed_form(row);
    row.quantity = "radiation between black plates, 700 and 350 K";
    row.source = "Stefan & Boltzmann, 5.670374e-8 (T1^4 - T2^4)";
    row.relation = Relation::radiation;
    row.outside = 5.670374e-8 * (std::pow(700.0, 4) - std::pow(350.0, 4));
    row.ours = radiation({.view_factor = 1,
                          .area = 1,
                          .emissivity = 1,
                          .core_emissivity = 1,
                          .shield_emissivity = 1},
                         700, 350);
    row.unit = "W";
    row.band = {1e-6, 0, "digits of the constant"};
    closed_form(row);
    // Design high temperature of a pavement's surface over air, with the clear sky's sun at noon of
    // midsummer as Solaimanian & Kennedy take it: 1350 tau^(1 / cos z) cos z, tau 0.81.
    Row road{.topic = "Surroundings",
             .quantity = "road over air of 34 degC at midsummer's noon",
             .source =
                 "Superpave surface temperature equation (SHRP-A-648A): "
                 "-0.00618 L^2 + 0.2289 L + 24.4",
             .from_memory = true,
             .relation = Relation::road_temperature,
             .unit = "K"};
    for (const double latitude : {30.0, 40.0}) {
        const double up = std::cos((latitude - 20) * 3.14159265358979323846 / 180);
        const double sun = 1350 * std::pow(0.81, 1 / up) * up;
        road.points.push_back({"latitude " + number(latitude),
                               -0.00618 * latitude * latitude + 0.2289 * latitude + 24.4,
                               road_temperature(307.15, sun, 0) - 307.15});
    }
    road.band = {0, 3, "Solaimanian & Kennedy, TRR 1417: within 3 K in 83 % of cases"};
    published(road);
    Row wire{.topic = "Wiring",
             .quantity = "2.5 mm2 copper, one metre, 60 degC",
             .source =
                 "ISO 6722-1: at most 7.60 mohm/m at 20 degC, carried to 60 degC with 0.00393 "
                 "1/K",
             .from_memory = true,
             .relation = Relation::wire_resistance,
             .outside = 7.60 * (1 + 0.00393 * 40),
             .ours =
                 [] {
                     for (double current = 1; current < 75; ++current)
                         if (const WireGuide g = wire_guide(current, 1); g.area == 2.5)
                             return 1000 * g.resistance / 2;
                     return 0.0;
                 }(),
             .unit = "mohm"};
    wire.band = {0.12, 0,
                 "the standard's limit allows for a tenth less copper than the nominal area"};
    published(wire);
}

TEST_CASE("radiator air speed against vehicle speed") {
    const Path path = make_path(lapheat::validation::front_end());
    PathInputs in = make_inputs(path, rho, 293.15);
    const auto face = [&](double speed) {
        in.vehicle_speed = speed;
        return run(path, in).face_velocity[1];
    };
    Row ratio{.topic = "Air path",
              .quantity = "radiator face velocity over vehicle speed, 50 to 130 km/h, fans off",
              .source = "Hucho (ed.), Aerodynamics of Road Vehicles, cooling air: about 0.1 to 0.2",
              .from_memory = true};
    ratio.band = {0, 0.05, "the range printed"};
    ratio.note = "the car is invented";
    for (const int kmh : {50, 80, 100, 130})
        ratio.points.push_back({number(kmh) + " km/h", 0.15, face(kmh / 3.6) / (kmh / 3.6)});
    published(ratio);
    Row tunnel{.topic = "Air path",
               .quantity = "radiator face velocity at 100 km/h, fans off",
               .source = "Ng, Watkins, Johnson & Mole, SAE 2002-01-0712 (wind tunnel): 3 to 6 m/s",
               .from_memory = true,
               .outside = 4.5,
               .ours = face(100 / 3.6),
               .unit = "m/s"};
    tunnel.band = {0, 1.5, "the range of the cars measured"};
    tunnel.note = "the car is invented";
    measured(tunnel);
    // Ducted radiator: what ram leaves over the exit is spent in core and openings. Here with
    // square-law losses throughout, fans and leaks absent, so that the relation is exact.
    PathDescription duct;
    duct.inlet = {.coefficient = 0.8, .losses = {{.coefficient = 0.5, .area = 0.1}}};
    duct.exit = {.coefficient = -0.2, .losses = {{.coefficient = 1, .area = 0.15}}};
    constexpr double core_loss = 12, core_area = 0.25;
    duct.cores = {{.face = {0, 0, 0.5, 0.5},
                   .resistance = {.quadratic = core_loss / (2 * core_area * core_area)}}};
    const Path ducted = make_path(duct);
    PathInputs ducted_in = make_inputs(ducted, rho, 293.15);
    ducted_in.vehicle_speed = 30;
    Row barnard{.topic = "Air path",
                .quantity = "ducted core, core speed over car speed",
                .source =
                    "Barnard, Proc. IMechE D 214 (2000) 919: recovery - CpO = sum of losses on "
                    "their own areas",
                .from_memory = true,
                .relation = Relation::air_path_balance,
                .outside = std::sqrt(1.0 / (core_loss + 0.5 * std::pow(core_area / 0.1, 2) +
                                            std::pow(core_area / 0.15, 2))),
                .ours = run(ducted, ducted_in).face_velocity[0] / 30};
    barnard.band = {1e-4, 0, "the network's linear floor"};
    published(barnard);
    in.fan_speed = {1, 1};
    Row idle{.topic = "Air path",
             .quantity = "radiator face velocity at idle, two electric fans",
             .source = "1.5 to 4 m/s",
             .common_practice = true,
             .outside = 2.75,
             .ours = face(0),
             .unit = "m/s"};
    idle.band = {0, 1.25, "the rule's range"};
    published(idle);
}
