// The catalogue of measurements. How well each can be done with what a garage has is common
// practice, no source; an error given is two standard deviations.
#include "measure.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "lapheat/solve/distribution.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

// Placements whose chance to be best is less are not worth a trip with instruments.
constexpr double worth_a_look = 0.10;

/// A standard normal number of its own for each instrument and draw.
double noise(std::uint64_t series, const std::string& what, std::size_t n) {
    const std::uint64_t bits = solve::mixed(solve::mixed(series, what) ^ solve::mixed(n));
    return solve::normal_quantile((static_cast<double>(bits >> 11) + 0.5) * 0x1p-53);
}

/// One kind of reading at a core, taken in the cycle where the placement's margin is least.
struct AtCore {
    float FluidOutcome::*value;
    const char* what;  ///< of the fluid, of the placement
    const char* how;
    const char* how_well;
    double absolute, relative;  ///< standard deviation: of the reading's unit; of the reading
};

constexpr AtCore at_core[] = {
    {&FluidOutcome::air_rise, "the air that reaches the {0} core, {1}",
     "a thermometer a hand's width ahead of the core's place, shaded from the exhaust and the sun, "
     "against one in the open: on a hot day, in {2}",
     "to 2 K", 1, 0},
    {&FluidOutcome::air_flow, "the air through the {0} core, {1}",
     "a vane anemometer over nine squares of the core's face, its fan on, car at rest", "to 15 %",
     0, 0.075},
    {&FluidOutcome::flow, "the flow of {0} through its core, {1}",
     "warm, the return line into a can: time to fill a measure at idle and at 2000 rev/min, "
     "topping up "
     "as it runs (hot fluid: gloves, goggles)",
     "to 10 %", 0, 0.05}};

/// Numbers that can be measured by themselves, by their name.
struct OfNumber {
    const char* name;
    const char* what;  ///< {} is whose
    const char* how;
    const char* how_well;
    double absolute, relative;  ///< standard deviation: in the number's unit; of its value
};

constexpr OfNumber of_number[] = {
    {"heat to coolant and oil", "the heat the {} gives its coolant",
     "thermometers in both radiator hoses and the coolant's flow, ten minutes at a steady climb",
     "to 15 %", 0, 0.075},
    {"friction", "the friction of the {}", "fuel burned in an hour of warm idle, a can on scales",
     "to 10 %", 0, 0.05},
    {"flow", "the real flow of the fan {}",
     "a vane anemometer over nine squares of its core's face, the fan at the voltage it gets in "
     "the car",
     "to 10 %", 0, 0.05},
    {"free_flow", "the real flow of {}",
     "a vane anemometer over nine squares of its core's face, the fan at the voltage it gets in "
     "the car",
     "to 10 %", 0, 0.05},
    {"temperature of its switch", "when the switch of {} closes",
     "the switch in a pan of warming water with a thermometer and a lamp", "to 1 K", 0.5, 0},
    {"temperature of its thermostat", "when the thermostat of the {} opens",
     "the thermostat in a pan of warming water with a thermometer", "to 1 K", 0.5, 0},
    {"head", "the pressure the {} gives", "gauges before and behind it, warm, at two speeds",
     "to 10 %", 0, 0.05},
    {"flow through the cooler circuit", "the {}'s flow through its cooler",
     "warm, the return line into a can: time to fill a measure at idle and at 2000 rev/min, "
     "topping up "
     "as it runs (hot fluid: gloves, goggles)",
     "to 10 %", 0, 0.05},
    {"losses of bends", "what the bends of {} cost",
     "a gauge at the start of its lines and one at their end, warm", "to 15 %", 0, 0.075},
    {"rolling resistance", "how the car rolls",
     "the time from 50 to 30 km/h on the flat, out of "
     "gear, both ways",
     "to 10 %", 0, 0.05},
    {"converter capacity", "the converter's stall speed",
     "brakes held, full throttle for two seconds, warm, the tachometer read (nobody before or "
     "behind the car)",
     "to 5 %", 0, 0.05},
    {"rise over the air in the sun", "how hot the {} gets",
     "an infrared thermometer on the lane, against the air, on a sunny day", "to 10 %", 0, 0.05},
    {"conductance through the block", "the heat that passes {}",
     "thermometers in the pan and a hose over a quarter of an hour of warming up", "to 30 %", 0,
     0.15},
    {"ram recovery", "the pressure at speed at the opening, {}",
     "a tube at the opening and one in still air inside the car to a water gauge, at a steady "
     "speed",
     "to 20 %", 0, 0.10},
    {"exit pressure", "the pressure at speed where the air leaves, {}",
     "a tube at the exit and one in still air inside the car to a water gauge, at a steady speed",
     "to 20 %", 0, 0.10}};

/// Numbers that a short description leaves out and a relation gives, by the relation's name. What
/// only the maker knows, or nobody, is not here.
struct OfRelation {
    const char* relation;
    const char* how;
    double absolute, percent;  ///< no more off in 95 of 100 cases: K; of the value
};

constexpr const char* manual = "the shop manual of that engine or gearbox";
constexpr const char* pan = "the switch in a pan of warming water with a thermometer and a lamp";
constexpr const char* caliper = "a caliper, at several places";
constexpr const char* tape = "a tape";
constexpr const char* by_filling = "drained cold and filled by measure";
constexpr const char* scales = "its shipping weight, or a crane scale";
constexpr const char* into_a_can =
    "warm, the return line into a can: time to fill a measure, topping up as it runs (hot fluid: "
    "gloves, goggles)";

constexpr OfRelation of_relation[] = {
    {"peak power speed", manual, 0, 3},
    {"peak torque", manual, 0, 3},
    {"peak torque speed", manual, 0, 4},
    {"redline", manual, 0, 1},
    {"idle speed", "the tachometer, warm, in gear on the brake", 0, 3},
    {"frontal area", "a photograph from far ahead, with a tape in it", 0, 4},
    {"drag coefficient", "coasting down on the flat from a fast, legal speed, both ways", 0, 8},
    {"front weight", "scales under the front wheels", 0, 1},
    {"gear ratios", manual, 0, 1},
    {"final drive", "the tag on the axle, or the shop manual", 0, 1},
    {"cooler flow", into_a_can, 0, 10},
    {"cooler flow at idle", into_a_can, 0, 10},
    {"cooler pressure", "a gauge in the cooler's line, warm", 0, 6},
    {"stall speed",
     "brakes held, full throttle for two seconds, warm, the tachometer read (nobody before or "
     "behind the car)",
     0, 4},
    {"full-load shift", "the tachometer at a full-throttle shift, on a closed course", 0, 2},
    {"steering flow", into_a_can, 0, 8},
    {"steering relief",
     "a gauge and a valve between pump and gear, shut for no more than two seconds", 0, 5},
    {"steering pump", "the shop manual, by the pump's number", 0, 4},
    {"steering pulley", "both pulleys, with a caliper", 0, 2},
    {"coolant mix", "a refractometer", 0, 4},
    {"tube pitch", "a ruler over ten tubes", 0, 2},
    {"tube height", caliper, 0, 4},
    {"tube depth", caliper, 0, 1},
    {"fins", "fins counted over 100 mm of the core", 0, 2},
    {"cooler air gap", caliper, 0, 4},
    {"cooler tube", caliper, 0, 2},
    {"tank cooler", "a string between its fittings, and the tank's inside", 0, 6},
    {"fan flow",
     "a vane anemometer over nine squares of its core's face, the fan at the voltage it gets in "
     "the car",
     0, 10},
    {"fan shut-off", "its maker's curve; or a board before it and a water gauge behind", 0, 10},
    {"fan current", "a current clamp on its wire, running", 0, 3},
    {"fan on", pan, 1, 0},
    {"fan off", pan, 1, 0},
    {"cooler fan on", pan, 1, 0},
    {"cooler fan off", pan, 1, 0},
    {"alternator", "its plate; a current clamp with all loads on", 0, 6},
    {"grille", tape, 0, 6},
    {"grille openness", "the gaps between its bars over their pitch, with a caliper", 0, 4},
    {"way out", tape, 0, 12},
    {"leaks", "gaps round the core, with feelers or a ruler", 0, 30},
    {"condenser face", tape, 0, 2},
    {"shroud cover", tape, 0, 2},
    {"water pump flow", "the maker's curve of that pump", 0, 10},
    {"water pump pressure", "gauges before and behind it, warm, at two speeds", 0, 10},
    {"water pump pulley", "both pulleys, with a caliper", 0, 2},
    {"jacket passages", "gauges before and behind the block, warm, at a steady speed", 0, 15},
    {"jacket volume", by_filling, 0, 6},
    {"jacket metal", scales, 0, 8},
    {"thermostat", "the thermostat in a pan of warming water with a thermometer", 1, 0},
    {"thermostat bore", caliper, 0, 3},
    {"radiator hoses", caliper, 0, 1},
    {"radiator hose length", tape, 0, 4},
    {"cap", "a cap tester", 0, 3},
    {"expansion", "the air above the cold level, filled up by measure", 0, 10},
    {"gearbox fluid", by_filling, 0, 8},
    {"gearbox metal", scales, 0, 12},
    {"line length", "a string along the way the line will take", 0, 3},
    {"steering fluid", by_filling, 0, 12},
    {"steering metal", "scales", 0, 15},
    {"oil pump", "the shop manual, by the pump's number", 0, 5},
    {"oil passages", "a gauge in the gallery, warm, at idle and at speed", 0, 10},
    {"oil volume", by_filling, 0, 5},
    {"oil metal", scales, 0, 10},
    {"mouth of the place", tape, 0, 8},
    {"exhaust in sight", "a tape, from where the core will sit", 0, 25}};

std::size_t worst_cycle(const Certainty& c, std::size_t p) {
    const std::size_t cycles = c.table.cycles.size();
    std::size_t worst = 0;
    for (std::size_t k = 1; k < cycles; ++k)
        if (c.cycles[p * cycles + k].margin_50 < c.cycles[p * cycles + worst].margin_50) worst = k;
    return worst;
}

void add_core_readings(const Certainty& c, std::size_t p, std::size_t served,
                       const std::vector<std::size_t>& draws, std::vector<Instrument>& out) {
    const DrawTable& t = c.table;
    const std::size_t cycle = worst_cycle(c, p);
    for (std::size_t l = 0; l < served; ++l)
        for (const AtCore& kind : at_core) {
            Instrument i;
            const std::string name = plain_name(t.loops[l]);
            i.what = fmt::format(fmt::runtime(kind.what), name, t.placements[p]);
            i.how = fmt::format(fmt::runtime(kind.how), name, t.placements[p], t.cycles[cycle]);
            i.how_well = kind.how_well;
            bool there = true;
            for (const std::size_t n : draws) {
                const double value = t.at(n, p, cycle, l).*kind.value;
                there = there && std::isfinite(value);
                i.reading.push_back(value + (kind.absolute + kind.relative * std::abs(value)) *
                                                noise(t.series, i.what, n));
            }
            if (there) out.push_back(std::move(i));
        }
}

std::string whose(const DoubtedNumber& n) {
    return n.whose.empty() ? plain_name(n.of) : fmt::format("{}", fmt::join(n.whose, ", "));
}

void add_number_readings(const Certainty& c, const std::vector<std::size_t>& draws,
                         std::vector<Instrument>& out) {
    const DrawTable& t = c.table;
    for (std::size_t k = 0; k < t.numbers.size(); ++k) {
        const DoubtedNumber& number = t.numbers[k];
        const auto* kind = std::find_if(std::begin(of_number), std::end(of_number),
                                        [&](const OfNumber& o) { return number.name == o.name; });
        Instrument i;
        double deviation = 0;
        if (kind != std::end(of_number)) {
            i.what = fmt::format(fmt::runtime(kind->what), whose(number));
            i.how = kind->how;
            i.how_well = kind->how_well;
            deviation = kind->absolute + kind->relative * std::abs(number.value);
        } else if (const auto* known = std::find_if(
                       std::begin(of_relation), std::end(of_relation),
                       [&](const OfRelation& r) { return number.relation == r.relation; });
                   known != std::end(of_relation)) {
            i.what = number.words();
            i.how = known->how;
            i.how_well = known->absolute > 0 ? fmt::format("to {:g} K", known->absolute)
                                             : fmt::format("to {:g} %", known->percent);
            deviation = 0.5 * (known->absolute + 0.01 * known->percent * std::abs(number.value));
        } else if (number.origin == scenario::Origin::yours && number.distribution.spread > 0) {
            i.what = number.words();
            i.how = "measure it again, with what is four times as fine";
            i.how_well = "to a quarter of the doubt stated";
            deviation = 0.25 * number.distribution.spread;
        } else {
            continue;
        }
        for (const std::size_t n : draws)
            i.reading.push_back(t.value(k, n) + deviation * noise(t.series, i.what, n));
        out.push_back(std::move(i));
    }
}

}  // namespace

std::vector<Instrument> instruments_for(const Certainty& c, std::size_t p, std::size_t served,
                                        const std::vector<std::size_t>& draws) {
    std::vector<Instrument> out;
    for (std::size_t q = 0; q < c.table.placements.size(); ++q)
        if (q == p || c.placements[q].best >= worth_a_look)
            add_core_readings(c, q, served, draws, out);
    add_number_readings(c, draws, out);
    return out;
}

}  // namespace lapheat::study
