// Where a cooler can sit, and what to assume about each place: values with a range and a source,
// made to be overridden and to be varied (would the winner change?).
#pragma once

#include <string>
#include <vector>

#include <lapheat/airflow/inlet.hpp>
#include <lapheat/airflow/path.hpp>
#include <lapheat/units/assumed.hpp>

namespace lapheat::airflow {

enum class Place {
    front,            ///< ahead of the radiator, in the front stack
    behind_radiator,  ///< in the radiator's outlet air
    side_duct,        ///< beside the radiator, own duct from the front
    under_floor,      ///< on a crossmember, out of the stream but for a scoop or fan
    behind_rear_axle,
    trunk_or_side_scoop,
    in_tank  ///< inside the radiator's tank: no air at all
};

/// Along the car: what of the exhaust a place has for a neighbour.
enum class AlongCar { engine_bay, floor, tail };

using lapheat::Assumed;
using lapheat::NamedAssumption;

struct AssumedShare {
    Assumed at_rest, at_speed;
};

struct PlaceDefaults {
    Place place = Place::front;
    const char* word = "";  ///< as a file spells it
    const char* name = "";  ///< as a report does
    bool has_air = true;
    Assumed ram_recovery;      ///< pressure coefficient at the opening, air from ahead
    Assumed opening_behind;    ///< the same, air from behind
    Assumed exit_coefficient;  ///< pressure coefficient where the air leaves
    Assumed exit_behind;
    Assumed fading_speed;  ///< m/s
    AssumedShare recirculation, bay, exhaust, gearbox, road;
    AlongCar along = AlongCar::engine_bay;
    Assumed exhaust_view;               ///< view factor of exhaust parts
    std::vector<std::string> warnings;  ///< clearance, debris, stones, exhaust, fuel lines
};

/// All places in the enum's order.
const std::vector<Place>& all_places();

PlaceDefaults defaults(Place place);

/// The values as inlet() wants them.
PlaceParameters parameters(const PlaceDefaults& defaults);

/// Sets the pressure coefficients of a path's openings. Losses stay as they are.
void apply(const PlaceDefaults& defaults, PathDescription& path);

/// Every number of `defaults`, to be read or changed in place.
std::vector<NamedAssumption> assumptions(PlaceDefaults& defaults);

}  // namespace lapheat::airflow
