// The air a core gets, by place: ambient air with shares of hotter air mixed in, and radiation.
//
//     T_in = T_ambient + sum_i share_i(w) (T_i - T_ambient),   share(w) = s1 + (s0 - s1)
//     exp(-(w/w0)^2)
//
// w is the speed of the air from ahead (car plus headwind, none if the wind comes from behind),
// s0 the share at rest, s1 at speed. Shares have a source or are assumptions: see place.hpp.
#pragma once

namespace lapheat::airflow {

/// Share of the intake that comes from somewhere hotter.
struct Share {
    double at_rest = 0;   ///< 0..1
    double at_speed = 0;  ///< 0..1, usually far less
};

double share(const Share& s, double air_speed, double fading_speed);

/// A radiating part in sight of the core. The view factor counts from the core's face.
struct Radiator {
    double view_factor = 0;        ///< 0..1, see view_factor_parallel()
    double area = 0;               ///< m^2 of the core's face that sees it
    double emissivity = 0.8;       ///< of the hot part; oxidised steel 0.8 (Incropera, Table A.11)
    double core_emissivity = 0.9;  ///< a finned face is nearly black; assumption
    int shields = 0;               ///< sheets between
    double shield_emissivity = 0.1;  ///< bright aluminium, dusty; clean 0.05, dirty 0.3
};

/// Numbers of one place, as inlet() uses them; parameters(Place) gives a set to start from.
struct PlaceParameters {
    double fading_speed = 6;     ///< m/s at which ram has cleared most of what rest gathers
    Share recirculation;         ///< of the core's own outlet air
    Share bay;                   ///< engine-bay air
    Share exhaust;               ///< film of air warmed by exhaust parts
    Share gearbox;               ///< film of air warmed by transmission and axle
    Share road;                  ///< film of air over the road's surface
    double shield_keeps = 0.5;   ///< a shield leaves this part of the exhaust share; 0.3..0.8,
                                 ///< assumption
    double condenser_cover = 0;  ///< part of the face behind a condenser not in the stack, 0..1
    Radiator exhaust_radiation;
};

/// What surrounds the place now. Temperatures in K.
struct PlaceConditions {
    double ambient_temperature = 293.15;
    double road_temperature = 293.15;     ///< of its surface, see road_temperature()
    double vehicle_speed = 0;             ///< m/s
    double headwind = 0;                  ///< m/s, negative from behind
    double exhaust_temperature = 293.15;  ///< of the exhaust part's surface
    double bay_temperature = 293.15;
    double gearbox_temperature = 293.15;
    double core_outlet_temperature = 293.15;  ///< air, last known
    double core_temperature = 293.15;         ///< surface, for radiation
    double condenser_heat = 0;                ///< W, of a condenser ahead that is not in the stack
    double air_flow = 0;                      ///< kg/s through the core, last known
    double bay_backflow = 0;  ///< share of the core's air that comes back from the bay
                              ///< through leaks, as the air path found it, 0..1
};

/// Temperature and where its rise above ambient comes from, K each.
struct InletAir {
    double temperature = 0;  ///< K
    double radiation = 0;    ///< W onto the core's surface (below 0: the core radiates away)
    double recirculation = 0, bay = 0, exhaust = 0, gearbox = 0, road = 0, condenser = 0;
    /// What a kelvin of each brings: the shares that went in, as scaled.
    double core_share = 0, bay_share = 0, exhaust_share = 0, gearbox_share = 0;
    bool shares_limited = false;  ///< the shares summed to more than 0.95 and were scaled
};

InletAir inlet(const PlaceParameters& place, const PlaceConditions& now);

/// Surface temperature (K) of a dry dark road in the sun (W/m^2 on the level) about noon, by the
/// energy balance of Solaimanian & Kennedy, Transportation Research Record 1417 (1993), within 3 K
/// in 83 % of their cases: absorbed sun and sky against convection, ground and own radiation,
///     0.9 sun + 0.70 sigma Ta^4 = h (Ts - Ta) + ground + 0.90 sigma Ts^4
/// h by Vehrencamp as they use it, 698.24 (0.00144 Tm^0.3 U^0.7 + 0.00097 (Ts - Ta)^0.3) W/(m^2 K);
/// ground 0.18 of the absorbed sun, which is their conduction at full sun (equation and numbers
/// from memory). `wind` (m/s) is the weather's, not the car's: below their 4.5 m/s that is taken.
/// Never below the air. One road temperature for all who see the road.
double road_temperature(double ambient_temperature, double sun, double wind);

/// Air below a car over that road, K: a third of the road's rise above ambient at rest, a tenth at
/// speed (assumption, 0.2 to 0.5 and 0.03 to 0.25, as the road's shares of places below the floor).
double under_floor_air(double ambient_temperature, double sun, double wind, double vehicle_speed);
/// The same over a road whose temperature (K) is known.
double under_floor_air(double ambient_temperature, double road_temperature, double vehicle_speed);

/// Net radiation to the core, W: grey surfaces in series with `shields` sheets between
/// (Incropera et al., Fundamentals of Heat and Mass Transfer, section 13.3).
double radiation(const Radiator& part, double part_temperature, double core_temperature);

/// View factor between two equal aligned parallel rectangles, width x height (m) at a distance
/// (Incropera, Table 13.2; Howell's catalogue C-11).
double view_factor_parallel(double width, double height, double distance);

}  // namespace lapheat::airflow
