// By what relations a short description becomes a whole car, each once.
#include <array>

#include "derive.hpp"
#include "lapheat/scenario/number.hpp"

namespace lapheat::scenario {
namespace {

// Ranges are a builder's experience of what cars have, 95 of 100 within; where a source is named
// it gives the value, never the range.
constexpr std::string_view wong =
    "Wong, Theory of Ground Vehicles, chapter 3, A = 1.6 m2 + 0.00056 (mass - 765 kg); from memory";
constexpr std::string_view by_size = "as `of_engine` does, see the engine's lumps; no source";

constexpr Derivation table[] = {
    {"peak power speed",
     "mean piston speed 18 m/s (classic 14.5 m/s), stroke as the bore; where the "
     "redline is given, no more than it over 1.1",
     "displacement, cylinders, era", 0.08},
    {"peak torque", "1.17 times the torque at peak power", "peak power and its speed", 0.06},
    {"peak torque speed", "0.72 of the speed of peak power", "speed of peak power", 0.08},
    {"redline", "1.1 times the speed of peak power", "speed of peak power", 0.04},
    {"idle speed", "750 rev/min", "nothing", 0.1},
    {"frontal area", "grows with the mass", "mass", 0.1, wong},
    {"drag coefficient", "0.42, an older body", "nothing", 0.15},
    {"front weight", "0.55 of the weight", "nothing", 0.06},
    {"gear ratios", "what gearboxes of that many gears have", "gears, kind", 0.04},
    {"final drive", "2050 rev/min at 100 km/h in an overdrive, 2600 rev/min in a direct top gear",
     "tyre, top gear", 0.12},
    {"cooler flow", "7.8 L/min", "nothing", 0.25},
    {"cooler flow at idle", "0.43 of the flow when driven", "cooler flow", 0.25},
    {"cooler pressure", "450 kPa", "nothing", 0.2},
    {"stall torque", "0.8 of peak torque", "peak torque", 0.05},
    {"stall speed", "112 rev/min for each root of N m", "stall torque", 0.12},
    {"stall torque ratio", "1.95", "nothing", 0.06},
    {"full-load shift", "0.93 of the speed of peak power", "speed of peak power", 0.05},
    {"steering flow", "8.4 L/min after flow control", "nothing", 0.15},
    {"steering relief", "85 bar", "nothing", 0.15},
    {"steering pump", "9.6 cm3/rev", "nothing", 0.1},
    {"steering pulley", "1.2 times engine speed", "nothing", 0.1},
    {"coolant mix", "half glycol", "nothing", 0.1},
    {"tube pitch", "10.5 mm", "nothing", 0.1},
    {"tube height", "2 mm", "nothing", 0.1},
    {"tube depth", "depth over rows, less 2 mm, of one row 0.5 mm", "radiator's depth and rows",
     0.0075},
    {"fins", usual_fins_words, "nothing", 0.12},
    {"cooler liquid gap", "2.5 mm (stacked plates 4 mm)", "cooler's kind", 0.15},
    {"cooler air gap", "7 mm (stacked plates 11 mm from tube to tube)", "cooler's kind", 0.15},
    {"cooler inner fins", "14 to the inch", "cooler's kind", 0.2},
    {"cooler tube", "10 mm wide, pitch 25 mm", "cooler's kind", 0.06},
    {"tank cooler", "plates of 280 mm by 36 mm in the outlet tank", "nothing", 0.12},
    {"fan flow", "8.8 m/s through the blades' ring", "fan's diameter", 0.2},
    {"fan shut-off", "3.3 times the dynamic pressure of its free flow", "fan's flow, diameter",
     0.25},
    {"fan current", "free flow times shut-off pressure over 0.55, at 13 V", "fan's flow, diameter",
     0.3},
    {"fan on", "93 degC in the outlet tank", "thermostat", 2},
    {"fan off", "87 degC in the outlet tank", "thermostat", 2},
    {"cooler fan on", "85 degC in the supply", "nothing", 2},
    {"cooler fan off", "77 degC in the supply", "nothing", 2},
    {"alternator", "100 A", "nothing", 0.15},
    {"grille", "0.72 of the radiator's face", "radiator's face", 0.25},
    {"grille openness", "0.68 in the grille, 0.6 to 1 elsewhere", "nothing", 0.1},
    {"way out", "0.78 of the radiator's face", "radiator's face", 0.25},
    {"leaks", "0.013 of the radiator's face", "radiator's face", 0.7},
    {"condenser face", "0.8 of the radiator's width, 0.82 of its height", "radiator's face", 0.1},
    {"condenser loss", "45 Pa at 3 m/s", "nothing", 0.25},
    {"shroud cover", "0.9 of the face", "nothing", 0.05},
    {"water pump flow", "1.55 L/min free at 4000 rev/min for each kilowatt", "peak power", 0.2},
    {"water pump pressure", "180 kPa at 4000 rev/min", "nothing", 0.2},
    {"water pump pulley", "1.1 times engine speed", "nothing", 0.1},
    {"jacket passages", "25 kPa at 0.36 of the pump's free flow", "pump", 0.3},
    {"bypass passage", "60 kPa at 0.095 of the pump's free flow", "pump", 0.4},
    {"jacket volume", "1.2 L and 1.3 of its displacement, half of that at least in a small block",
     "displacement", 0.25, by_size},
    {"jacket metal", "0.4 of the engine's mass, 55 kg and 32 kg for each litre", "displacement",
     0.2, by_size},
    {"jacket wall", "from its size", "displacement", 0.4, by_size},
    {"jacket surface", "from its size", "displacement", 0.4, by_size},
    {"thermostat", "opens at 82 degC, full at 94 degC", "nothing", 2},
    {"thermostat bore", "0.84 of the upper hose's", "displacement", 0.1},
    {"radiator hoses", "1.5 inch and 1.75 inch from 4 litres on, else 1.25 inch and 1.5 inch",
     "displacement", 0.03},
    {"radiator hose length", "0.16 and 0.2 of the wheelbase", "wheelbase", 0.25},
    {"cap", "16 psi", "nothing", 0.06},
    {"expansion", "gas, a fifth of its displacement", "displacement", 0.3},
    {"gearbox fluid", "converter 4 L, sump 6 L", "kind", 0.25},
    {"gearbox metal", "converter 7 kJ/K, case 36 kJ/K", "kind", 0.25},
    {"gearbox case", "9 W/K at rest, 2.5 W/K more for each root of m/s", "kind", 0.3},
    {"line length",
     "by place, in wheelbases; steering's in proportion to `line_length` where that is given",
     "wheelbase, place, line_length", 0.15},
    {"steering fluid", "pump 0.15 L, gear 0.25 L, reservoir 0.6 L", "nothing", 0.3},
    {"steering metal", "pump 1.6 kJ/K, gear 4 kJ/K, reservoir 0.4 kJ/K", "nothing", 0.3},
    {"steering surface",
     "pump 1 W/K, gear 1.5 W/K and 0.3 W/K more for each root of m/s, reservoir 0.8 W/K", "nothing",
     0.4},
    {"oil pump", "2.3 cm3/rev for each litre, 450 kPa", "displacement", 0.2},
    {"oil passages", "350 kPa at 5 L/min for each litre", "displacement", 0.3},
    {"oil volume", "2.5 L and 0.5 for each litre", "displacement", 0.2, by_size},
    {"oil metal", "0.35 of the engine's mass", "displacement", 0.2, by_size},
    {"oil pan surface", "8 W/K at rest, 2.5 W/K more for each root of m/s", "nothing", 0.4},
    {"mouth of the place", "by place, in faces of the cooler", "cooler's face, place", 0.3},
    {"exhaust in sight", "by place, in faces of the cooler", "cooler's face, place", 0.5}};

// As derive_power.cpp and derive_cooling.cpp compute them.
constexpr Follows follows[] = {{"peak torque", "peak power speed", -1},
                               {"peak torque speed", "peak power speed", 1},
                               {"redline", "peak power speed", 1},
                               {"peak torque", "peak_power_speed", -1, true},
                               {"peak torque speed", "peak_power_speed", 1, true},
                               {"redline", "peak_power_speed", 1, true},
                               {"full-load shift", "peak power speed", 1},
                               {"stall torque", "peak torque", 1},
                               {"stall speed", "stall torque", 0.5},
                               {"cooler flow at idle", "cooler flow", 1},
                               {"fan shut-off", "fan flow", 2},
                               {"fan current", "fan flow", 1},
                               {"fan current", "fan shut-off", 1},
                               {"tube depth", "depth", 1, true},
                               {"fan shut-off", "free_flow", 2, true},
                               {"fan current", "free_flow", 1, true}};

}  // namespace

std::span<const Derivation> relations() { return table; }
std::span<const Follows> followers() { return follows; }

std::string path_by_name(const Number& n) {
    const std::size_t item = n.path.rfind('[');
    if (n.part.empty() || item == std::string::npos) return n.path;
    return n.path.substr(0, item) + ".\"" + n.part + '"' +
           n.path.substr(n.path.find(']', item) + 1);
}

const char* name(Origin origin) noexcept {
    switch (origin) {
        case Origin::yours:
            return "yours";
        case Origin::derived:
            return "derived";
        case Origin::assumed:
            return "assumed";
    }
    return "";
}

}  // namespace lapheat::scenario
