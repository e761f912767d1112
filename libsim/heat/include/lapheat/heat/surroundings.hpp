// What else is hot round the coolers: air conditioning, exhaust, brakes, the engine bay, the road.
// Everything here is common practice with no source unless one is named.
#pragma once

#include <lapheat/drive/trace.hpp>
#include <lapheat/drive/vehicle.hpp>
#include <vector>

namespace lapheat::heat {

/// A belt-driven air conditioner.
struct AirConditioning {
    double performance = 2.4;          ///< cold over shaft power with condenser air at 298 K
    double performance_slope = 0.035;  ///< lost for each kelvin above, down to 1
};
/// Heat (W) the condenser gives its air: shaft power (W) times one plus the performance at the
/// condenser's air temperature (K).
double condenser_heat(const AirConditioning& model, double shaft_power, double air_temperature);
/// Over a trace: shaft power is the demand times the vehicle's air_conditioning_power while the
/// engine runs, idle too. W, held.
std::vector<double> condenser_heat(const AirConditioning& model, const drive::Vehicle& vehicle,
                                   const drive::Trace& trace);

/// Exchange of heat by radiation between two grey bodies, W from hot to cold: sigma F A
/// (Th^4 - Tc^4) / (1/e1 + 1/e2 - 1) (Incropera et al., eq. 13.19 for large parallel plates, with F
/// the part of the colder body's area (m^2) that sees the hot one). Temperatures in K.
double radiant_heat(double hot, double cold, double area, double view = 1,
                    double hot_emissivity = 0.8, double cold_emissivity = 0.9);

/// Brakes of one axle pair as one lump on a trace, K at each knot: exact exponential in each
/// interval. Half the brake power at the front (share), the lump of discs cools with
/// conductance + slope * speed (W/K).
struct Brakes {
    double heat_capacity = 4.2e3 * 2;  ///< J/K, two discs
    double share = 0.65;               ///< of the brake power, front
    double conductance = 8;            ///< W/K at rest
    double conductance_slope = 1.6;    ///< (W/K)/(m/s)
};
std::vector<double> brake_temperature(const Brakes& brakes, const drive::Trace& trace);
/// W the discs give to the air around them at a temperature (K) and car speed (m/s).
double brake_air_heat(const Brakes& brakes, double temperature, double ambient, double speed);

/// Air under the hood: heat (W) into it lifts it above ambient by heat / (flow * cp), the flow
/// through the bay being at_rest + per_speed * speed (kg/s) besides what fans add.
struct EngineBay {
    double at_rest = 0.06;      ///< kg/s by buoyancy
    double per_speed = 0.035;   ///< kg/s for each m/s
    double recirculated = 0.3;  ///< part of fan air that passes the bay before it leaves
};
/// K. Fan air (kg/s) at its own temperature (K) mixes in.
double bay_temperature(const EngineBay& bay, double ambient, double speed, double heat,
                       double fan_flow, double fan_air_temperature);

/// Air above a road in the sun: surface to ambient by absorbed sun (W/m^2, absorptivity 0.9) over
/// 8 + 4 v W/(m^2 K) with v the car's speed in m/s plus 2; the air under the car is a third as much
/// above ambient as the surface is. K.
double road_surface_temperature(double ambient, double sun, double speed);
double under_floor_air(double ambient, double sun, double speed);

}  // namespace lapheat::heat
