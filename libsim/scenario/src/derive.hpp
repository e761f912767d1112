// A short description of a car made whole: what a file leaves out is derived from what it says.
//
// A file with a table [radiator], [radiator_fans] or [cooler] is short. The whole car is built from
// those, [engine], [gearbox] and [vehicle] by the relations of relations(), and the file is laid
// over it as over a file that it extends: each full key that it has wins.
#pragma once

#include "read_parts.hpp"

namespace lapheat::scenario {

extern const Table short_tables;

/// Fins of a core whose file does not count them: in words, and 1/m.
constexpr std::string_view usual_fins_words = "13 to the inch";
constexpr double usual_fins = 512;

/// What a short description says, SI.
struct Short {
    double displacement = 0, power = 0, power_speed = 0, redline = 0;  ///< speeds, 0: derived
    double mass = 0, wheelbase = 0;
    int cylinders = 8, gears = 4;
    bool classic = false, automatic = true;
    double tyre_radius = 0;
    double width = 0, height = 0, depth = 0;  ///< of the radiator
    int rows = 0;                             ///< 0: by depth
    bool condenser = true;
    int fans = 0;
    double fan_diameter = 0, fan_flow = 0;
    enum class Place { front, behind, duct, floor, rear, scoop, tank } place = Place::front;
    enum class Cooler { bar_plate, louvred, plate_fin } cooler = Cooler::bar_plate;
    double cooler_width = 0, cooler_height = 0, cooler_depth = 0, line_length = 0;
    double cooler_fan_diameter = 0;  ///< 0: derived where the place needs a fan
    std::string line = "-6";
    /// The tables themselves, for values that are taken as they stand.
    const DocumentNode *radiator = nullptr, *radiator_fans = nullptr, *cooler_table = nullptr;
    FilePlace engine_at, gearbox_at, vehicle_at, radiator_at, fans_at, cooler_at;
};
/// Reads it; mistakes go to `problems`.
Short read_short(const Document& document, Problems& problems);

/// The derived car, without what the file says.
DocumentNode derived_car(const Short& given);

/// `document`, or if it is short what it is laid over and itself.
Document whole_car(const Document& document, Problems& problems);
/// Takes the tables of a short description as read.
void ignore_short(Reader& root);

}  // namespace lapheat::scenario
