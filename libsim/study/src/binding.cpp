// What binds, in words: read off the state at the moment of least margin.
#include <algorithm>
#include <cmath>

#include "internal.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

// When a share of the core's resistance is worth naming, when air counts as pre-heated, when
// lines cost flow. Judgement, no source; they choose words, not numbers.
constexpr double main_share = 0.55;
constexpr double warm_air = 5;            // K over ambient
constexpr double worth_more = 0.7;        // effectiveness above which a larger core gives little
constexpr double heavy_line_loss = 60e3;  // Pa
constexpr double air_heat = 1007;         // J/(kg K), specific heat of air near 300–330 K

bool in_air(const model::Car& car, const std::string& core) {
    for (const model::AirPath& path : car.air)
        for (const model::StackItem& item : path.stack)
            if (item.core == core) return true;
    return false;
}

std::string side_words(const model::Verdict& v, bool air) {
    const std::string second = air ? "air" : "coolant";
    if (v.share_air >= main_share)
        return percent(v.share_air) + " of its core's resistance is on the " + second + " side";
    if (v.share_liquid >= main_share)
        return percent(v.share_liquid) +
               " of its core's resistance is inside the tubes, on the fluid's side";
    if (v.share_wall >= main_share)
        return percent(v.share_wall) + " of its core's resistance is the wall";
    return "its core's resistance is shared, " + percent(v.share_air) + " on the " + second +
           " side and " + percent(v.share_liquid) + " on the fluid's";
}

}  // namespace

std::string what_binds(const model::Verdict& v, const model::Car& car, double ambient,
                       units::System system) {
    const std::string fluid = sentence_case(plain_name(v.loop));
    if (v.core.empty())
        return fluid + ": no core of its own, it sheds heat only through lines and housings";
    const auto kelvins = [&](double x) { return say(x, Quantity::temperature_difference, system); };
    const bool air = in_air(car, v.core);
    const double fluid_temperature = v.limit - v.margin;
    const double difference = fluid_temperature - v.air_inlet;
    std::string out = fluid + ": ";
    if (v.core_heat <= 0 || difference <= 0) {
        out += "its core takes no heat then";
        if (difference <= 0)
            out += std::string(", for its ") + (air ? "air" : "coolant") +
                   " is no cooler than the fluid";
        return out;
    }
    out += side_words(v, air);
    // The smaller stream's capacity rate follows from heat = effectiveness · C_min · ITD.
    if (v.effectiveness >= worth_more) {
        const double smaller = v.core_heat / (v.effectiveness * difference);
        const bool by_air = smaller >= 0.9 * v.air_flow * air_heat;
        out += "; it works at " + percent(v.effectiveness) + " effectiveness, so more " +
               (air ? (by_air ? "air" : "fluid flow") : "flow") +
               " would help, a larger core little";
    }
    if (air && v.air_inlet - ambient >= warm_air)
        out += "; its air arrives " + kelvins(v.air_inlet - ambient) + " above ambient";
    if (!air)
        out += "; the coolant it works against is at " +
               say(v.air_inlet, Quantity::temperature, system);
    if (v.line_loss >= heavy_line_loss)
        out += "; its lines cost " + say(v.line_loss, Quantity::pressure, system) +
               " and hold the flow to " + say(v.flow, Quantity::volume_flow, system);
    return out;
}

}  // namespace lapheat::study
