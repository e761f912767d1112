// What drives the temperatures from outside: one row for each interval of the cycle, constant in
// it.
#pragma once

#include <string>
#include <vector>

#include "flat.hpp"
#include "lapheat/drive/trace.hpp"
#include "lapheat/model/result.hpp"

namespace lapheat::model {

/// V at the fans; common practice, no source.
inline double supply_voltage(bool engine_on) { return engine_on ? 13.8 : 12.4; }

struct ForcingRow {
    double speed = 0, headwind = 0, engine_speed = 0;  // m/s, m/s, rad/s
    double ambient = 0, pressure = 0, density = 0, viscosity = 0, air_specific_heat = 0,
           air_conductivity = 0;
    double road = 0, under_floor = 0;  // K, of the surface; of the air over it below the car
    heat::ExhaustFilms exhaust;        // of the engine's gas at warm walls
    double reaction = 0;               // W that a hot converter would burn
    double cold_exhaust = 0;           // W for each unit of friction factor − 1
    double surface_heat = 0;           // W of the engine into its bay
    double brakes = 0;                 // K of the discs, mean over the interval
    double brake_air = 0;              // W the discs give to the air
    double sqrt_speed = 0;
    double cooler_flow = 0;  // m³/s, warm, open
    double spare_power = 0;  // W electrical that the alternator has for fans
    // W into coolant, oil and exhaust for each W more at the crank.
    double coolant_each = 0, oil_each = 0, exhaust_each = 0;
    bool engine_on = false, locked = false;
    PerStream<double> heat;                 // W
    double cold_coolant = 0, cold_oil = 0;  // W for each unit of friction factor − 1

    bool operator==(const ForcingRow&) const = default;
};

struct Forcing {
    std::string cycle;
    std::vector<double> time;  ///< knots; rows[k] holds from time[k] to time[k + 1]
    std::vector<ForcingRow> rows;
    std::vector<drive::Phase> phases;
    double distance = 0;
    std::vector<HeatSource> sources;  ///< over the stretch asked for
    std::vector<Diagnostic> warnings;
};

/// All of a car that decides how a cycle drives it. Cars in which this is the same are driven
/// alike, wherever their coolers lie.
struct Driven {
    drive::Vehicle vehicle;
    heat::EngineModel engine;
    heat::Exhaust exhaust;  ///< with its metal
    heat::TransmissionModel transmission;
    heat::SteeringModel steering;
    heat::AirConditioning air_conditioning;
    heat::Brakes brakes;
    Electrics electrics;
    double road_rise_level = 1;
    bool forward_driver = false, condenser = false;
    bool brakes_felt = false;  ///< some air path takes up what the discs give

    bool operator==(const Driven&) const = default;
};
[[nodiscard]] Driven driven(const Model& model);

/// Drives the car over the cycle and sorts the heat; `sources` are summed from `begin` to `end`
/// (s). `averaged`: s that are driven as one, by the means of speeds, air and heats over them.
/// Throws Error as drive::backward does.
Forcing make_forcing(const Driven& car, const drive::Cycle& cycle, double begin = -1e300,
                     double end = 1e300, double averaged = 0);

/// Takes out knots at which nothing changes: idling and soaking need no steps of a second.
void join_equal_rows(Forcing& forcing);
/// As a run takes them: made, and joined.
Forcing joined_forcing(const Driven& car, const drive::Cycle& cycle, double begin = -1e300,
                       double end = 1e300, double averaged = 0);

}  // namespace lapheat::model
