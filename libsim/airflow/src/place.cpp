// The table of places. Numbers marked as judgement have no measurement behind them that was found;
// value and range are what a comparison with draws varies.
#include <lapheat/airflow/place.hpp>

#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

constexpr const char* assumed = "judgement, no measurement found";
constexpr const char* hucho =
    "Hucho (ed.), Aerodynamics of Road Vehicles, chapter on cooling air; band from memory";
// The only measured anchor found for air that comes round to the front: Song, Fortier & Sarnia, SAE
// 2015-01-1689 (abstract): air at the condenser up to 18 K above ambient at idle. With some 45 K of
// the air that leaves the radiator in such a jam that is a share of 0.4; it is taken as the end of
// the range, the middle stays an assumption. SAE J2082 (scope) and SAE 760188 (abstract) tell how
// to measure and that bumper, grille and dam matter, and print no figure there; SAE 970138
// (abstract): 13 % less radiator capacity in a wind 20 degrees from the side at 14 m/s.
constexpr const char* recirculated =
    "judgement; high end Song et al., SAE 2015-01-1689 (abstract): 18 K above ambient at idle";
constexpr const char* barnard =
    "Barnard, Proc. IMechE D 214 (2000) 919: outlet pressure coefficient; band from memory";

AssumedShare none() { return {{0, 0, 0, assumed}, {0, 0, 0, assumed}}; }

AssumedShare of(Assumed at_rest, Assumed at_speed) { return {at_rest, at_speed}; }

PlaceDefaults front() {
    PlaceDefaults d;
    d.place = Place::front;
    d.word = "front";
    d.name = "ahead of the radiator";
    d.ram_recovery = {0.80, 0.55, 0.95, hucho};
    d.opening_behind = {-0.20, -0.35, 0.0, assumed};
    d.exit_coefficient = {-0.10, -0.30, 0.10, barnard};
    d.exit_behind = {0.10, -0.10, 0.30, assumed};
    d.fading_speed = {6, 3, 10, assumed};
    d.recirculation = of({0.10, 0.02, 0.40, recirculated}, {0, 0, 0.02, assumed});
    d.bay = of({0.04, 0, 0.12, assumed}, {0, 0, 0.02, assumed});
    d.exhaust = none();
    d.gearbox = none();
    d.road = of({0.08, 0, 0.25, assumed}, {0.02, 0, 0.08, assumed});
    d.exhaust_view = {0, 0, 0, assumed};
    d.warnings = {"stone strike: fit a mesh ahead of the core",
                  "takes air and coolness from the radiator behind it: see the coolant margin"};
    return d;
}

PlaceDefaults behind_radiator() {
    PlaceDefaults d = front();
    d.place = Place::behind_radiator;
    d.word = "behind_radiator";
    d.name = "behind the radiator";
    // The same opening and stack; the radiator's heat arrives through the stack itself.
    d.bay = of({0.10, 0.02, 0.25, assumed}, {0.02, 0, 0.08, assumed});
    d.exhaust_view = {0.05, 0, 0.20, assumed};
    d.warnings = {"breathes the radiator's outlet air: of use only for fluids hotter than that",
                  "keep clear of fan blades, which flex",
                  "exhaust manifold in sight: consider a heat shield"};
    return d;
}

PlaceDefaults side_duct() {
    PlaceDefaults d;
    d.place = Place::side_duct;
    d.word = "side_duct";
    d.name = "beside the radiator, in its own duct";
    d.ram_recovery = {0.70, 0.40, 0.90, hucho};
    d.opening_behind = {-0.20, -0.35, 0.0, assumed};
    d.exit_coefficient = {-0.20, -0.40, 0.0, assumed};
    d.exit_behind = {0.0, -0.20, 0.20, assumed};
    d.fading_speed = {5, 3, 10, assumed};
    d.recirculation = of({0.08, 0, 0.25, assumed}, {0, 0, 0.02, assumed});
    d.bay = of({0.05, 0, 0.20, assumed}, {0, 0, 0.03, assumed});
    d.exhaust = none();
    d.gearbox = none();
    d.road = of({0.10, 0, 0.25, assumed}, {0.02, 0, 0.08, assumed});
    d.exhaust_view = {0, 0, 0.02, assumed};
    d.warnings = {"a leaking duct loses most of the ram: seal it to the core",
                  "the way out needs as much area as the core and must not face the tyre's spray"};
    return d;
}

PlaceDefaults under_floor() {
    PlaceDefaults d;
    d.place = Place::under_floor;
    d.along = AlongCar::floor;
    d.word = "under_floor";
    d.name = "under the floor on a crossmember";
    // Without a scoop the face lies in the floor's boundary layer, along the stream.
    d.ram_recovery = {0.20, 0.0, 0.50, assumed};
    d.opening_behind = {-0.05, -0.20, 0.10, assumed};
    d.exit_coefficient = {-0.10, -0.30, 0.05, assumed};
    d.exit_behind = {0.05, -0.10, 0.20, assumed};
    d.fading_speed = {8, 4, 15, assumed};
    d.recirculation = of({0.20, 0.05, 0.40, assumed}, {0.02, 0, 0.05, assumed});
    d.bay = of({0.15, 0.05, 0.30, assumed}, {0.08, 0.02, 0.20, assumed});
    d.exhaust = of({0.03, 0.01, 0.10, assumed}, {0.01, 0, 0.03, assumed});
    d.gearbox = of({0.10, 0.02, 0.25, assumed}, {0.03, 0, 0.08, assumed});
    d.road = of({0.25, 0.10, 0.50, assumed}, {0.10, 0.03, 0.25, assumed});
    d.exhaust_view = {0.10, 0.02, 0.30, assumed};
    d.warnings = {"ground clearance: the core must not be the lowest part of the car",
                  "debris, water and stone strike from the road: a plate or mesh below",
                  "exhaust nearby: keep 100 mm or fit a heat shield (common practice, no source)",
                  "keep fluid lines away from fuel and brake lines"};
    return d;
}

PlaceDefaults behind_rear_axle() {
    PlaceDefaults d;
    d.place = Place::behind_rear_axle;
    d.along = AlongCar::tail;
    d.word = "behind_rear_axle";
    d.name = "behind the rear axle";
    d.ram_recovery = {0.05, -0.10, 0.25, assumed};
    d.opening_behind = {0.10, -0.10, 0.30, assumed};
    d.exit_coefficient = {-0.15, -0.30, 0.0, assumed};
    d.exit_behind = {0.05, -0.10, 0.20, assumed};
    d.fading_speed = {8, 4, 15, assumed};
    d.recirculation = of({0.15, 0.02, 0.35, assumed}, {0.02, 0, 0.06, assumed});
    d.bay = of({0.02, 0, 0.08, assumed}, {0.05, 0.01, 0.12, assumed});
    d.exhaust = of({0.05, 0.01, 0.12, assumed}, {0.02, 0, 0.05, assumed});
    d.gearbox = of({0.05, 0, 0.15, assumed}, {0.03, 0, 0.08, assumed});
    d.road = of({0.20, 0.05, 0.40, assumed}, {0.08, 0.02, 0.20, assumed});
    d.exhaust_view = {0.15, 0.02, 0.40, assumed};
    d.warnings = {"silencer and tail pipe nearby: heat shield",
                  "dirt and spray from the rear tyres",
                  "fuel tank and lines nearby: route fluid lines clear of them",
                  "long lines: pressure cost and heat loss are in the line model"};
    return d;
}

PlaceDefaults trunk_or_side_scoop() {
    PlaceDefaults d;
    d.place = Place::trunk_or_side_scoop;
    d.along = AlongCar::tail;
    d.word = "side_scoop";
    d.name = "in the trunk or the side, with a scoop";
    d.ram_recovery = {0.40, 0.10, 0.75, assumed};
    d.opening_behind = {-0.10, -0.30, 0.10, assumed};
    d.exit_coefficient = {-0.20, -0.35, -0.05, barnard};
    d.exit_behind = {0.05, -0.10, 0.25, assumed};
    d.fading_speed = {6, 3, 12, assumed};
    d.recirculation = of({0.12, 0.02, 0.35, assumed}, {0.01, 0, 0.04, assumed});
    d.bay = none();
    d.exhaust = of({0.01, 0, 0.04, assumed}, {0, 0, 0.01, assumed});
    d.gearbox = none();
    d.road = of({0.05, 0, 0.15, assumed}, {0.01, 0, 0.05, assumed});
    d.exhaust_view = {0.01, 0, 0.05, assumed};
    d.warnings = {"hot fluid inside the body: a bulkhead, and hoses rated for it",
                  "fuel filler and vapour nearby: keep the fan's motor and wires away from it",
                  "long lines: pressure cost and heat loss are in the line model"};
    return d;
}

PlaceDefaults in_tank() {
    PlaceDefaults d;
    d.place = Place::in_tank;
    d.word = "in_tank";
    d.name = "in the radiator's tank";
    d.has_air = false;
    d.fading_speed = {6, 3, 10, assumed};
    d.warnings = {"a leak mixes coolant and fluid",
                  "heats the coolant; never cools below its temperature"};
    return d;
}

/// Every place, in the enum's order.
struct Entry {
    Place place;
    PlaceDefaults (*defaults)();
};
constexpr Entry entries[] = {{Place::front, front},
                             {Place::behind_radiator, behind_radiator},
                             {Place::side_duct, side_duct},
                             {Place::under_floor, under_floor},
                             {Place::behind_rear_axle, behind_rear_axle},
                             {Place::trunk_or_side_scoop, trunk_or_side_scoop},
                             {Place::in_tank, in_tank}};

}  // namespace

const std::vector<Place>& all_places() {
    static const std::vector<Place> places = [] {
        std::vector<Place> out;
        for (const Entry& entry : entries) out.push_back(entry.place);
        return out;
    }();
    return places;
}

PlaceDefaults defaults(Place place) {
    for (const Entry& entry : entries)
        if (entry.place == place) return entry.defaults();
    throw Error("no such place", "one of all_places()");
}

PlaceParameters parameters(const PlaceDefaults& d) {
    const auto values = [](const AssumedShare& s) {
        return Share{.at_rest = s.at_rest.value, .at_speed = s.at_speed.value};
    };
    PlaceParameters p;
    p.fading_speed = d.fading_speed.value;
    p.recirculation = values(d.recirculation);
    p.bay = values(d.bay);
    p.exhaust = values(d.exhaust);
    p.gearbox = values(d.gearbox);
    p.road = values(d.road);
    p.exhaust_radiation.view_factor = d.exhaust_view.value;
    return p;
}

void apply(const PlaceDefaults& d, PathDescription& path) {
    path.inlet.coefficient = d.ram_recovery.value;
    path.inlet.coefficient_behind = d.opening_behind.value;
    path.exit.coefficient = d.exit_coefficient.value;
    path.exit.coefficient_behind = d.exit_behind.value;
}

std::vector<NamedAssumption> assumptions(PlaceDefaults& d) {
    using M = NamedAssumption::Meaning;
    return {{"ram recovery", &d.ram_recovery, M::pressure_coefficient},
            {"opening pressure, wind from behind", &d.opening_behind, M::pressure_coefficient},
            {"exit pressure", &d.exit_coefficient, M::pressure_coefficient},
            {"exit pressure, wind from behind", &d.exit_behind, M::pressure_coefficient},
            {"fading speed", &d.fading_speed, M::speed},
            {"recirculation at rest", &d.recirculation.at_rest},
            {"recirculation at speed", &d.recirculation.at_speed},
            {"engine-bay share at rest", &d.bay.at_rest},
            {"engine-bay share at speed", &d.bay.at_speed},
            {"exhaust share at rest", &d.exhaust.at_rest},
            {"exhaust share at speed", &d.exhaust.at_speed},
            {"gearbox share at rest", &d.gearbox.at_rest},
            {"gearbox share at speed", &d.gearbox.at_speed},
            {"road share at rest", &d.road.at_rest},
            {"road share at speed", &d.road.at_speed},
            {"view of the exhaust", &d.exhaust_view}};
}

}  // namespace lapheat::airflow
