#include "lapheat/results/binding.hpp"

#include <fmt/core.h>

#include <algorithm>

#include "lapheat/results/words.hpp"

namespace lapheat::results {
namespace {

using units::Quantity;

// When a share of the core's resistance is worth naming, when air counts as pre-heated, when
// lines cost flow. Judgement, no source; they choose words, not numbers.
constexpr double main_share = 0.55;
constexpr double warm_air = 5;            // K over ambient
constexpr double worth_more = 0.7;        // effectiveness above which a larger core gives little
constexpr double heavy_line_loss = 60e3;  // Pa
constexpr double coolant_heat = 3600;     // J/(kg K), of half-strength coolant near 360 K
constexpr double air_heat = 1007;         // J/(kg K), specific heat of air near 300–330 K

std::string side_words(const model::Verdict& v) {
    const char* second = cooled_by(v);
    if (v.share_air >= main_share)
        return fmt::format("{} of its core's resistance is on the {} side", percent(v.share_air),
                           second);
    if (v.share_liquid >= main_share)
        return percent(v.share_liquid) +
               " of its core's resistance is inside the tubes, on the fluid's side";
    if (v.share_wall >= main_share)
        return percent(v.share_wall) + " of its core's resistance is the wall";
    return fmt::format("its core's resistance is shared, {} on the {} side and {} on the fluid's",
                       percent(v.share_air), second, percent(v.share_liquid));
}

}  // namespace

const char* cooled_by(const model::Verdict& v) noexcept {
    return v.core.empty() ? "" : v.in_coolant ? "coolant" : "air";
}

std::string what_binds(const model::Verdict& v, units::System system) {
    if (v.core.empty()) return "no core of its own, it sheds heat only through lines and housings";
    const bool air = !v.in_coolant;
    const double difference = v.limit - v.margin - v.air_inlet;
    if (v.core_heat <= 0 || difference <= 0)
        return "its core takes no heat then" +
               (difference <= 0
                    ? fmt::format(", for its {} is no cooler than the fluid", cooled_by(v))
                    : "");
    std::string out = side_words(v);
    // The smaller stream's capacity rate follows from heat = effectiveness · C_min · ITD.
    if (v.effectiveness >= worth_more) {
        const double smaller = v.core_heat / (v.effectiveness * difference);
        const bool by_air = smaller >= 0.9 * v.air_flow * air_heat;
        out += fmt::format(
            "; it works at {} effectiveness, so more {} would help, {}", percent(v.effectiveness),
            !air     ? "flow"
            : by_air ? "air through it"
                     : "fluid flow",
            air && by_air ? "a deeper core little (one of larger face takes more air)"
                          : "a larger core little");
    }
    if (air && v.air_inlet - v.ambient >= warm_air)
        out += fmt::format("; its air arrives {} above ambient",
                           say(v.air_inlet - v.ambient, Quantity::temperature_difference, system));
    if (!air)
        out += "; the coolant it works against is at " +
               say(v.air_inlet, Quantity::temperature, system);
    // A thermostat that is nearly shut leaves the tank standing: cooler days can be hotter for it.
    if (!air && v.air_flow * coolant_heat < v.core_capacity)
        out += fmt::format(
            ", and less of it flows than of the fluid, {}: the thermostat is nearly "
            "shut, and opens for hotter air",
            say(v.air_flow, Quantity::mass_flow, system));
    if (v.line_loss >= heavy_line_loss)
        out += fmt::format("; its lines cost {} and hold the flow to {}",
                           say(v.line_loss, Quantity::pressure, system),
                           say(v.flow, Quantity::volume_flow, system));
    return out;
}

std::string fluid_and_what_binds(const model::Verdict* v, units::System system) {
    return v ? sentence_case(plain_name(v->loop)) + ": " + what_binds(*v, system) : "";
}

const model::Verdict* tightest(const model::Result& result,
                               std::span<const std::string> left_out) noexcept {
    const model::Verdict* least = nullptr;
    for (const model::Verdict& v : result.verdicts)
        if (std::find(left_out.begin(), left_out.end(), v.loop) == left_out.end() &&
            (!least || v.margin < least->margin))
            least = &v;
    return least;
}

const model::Verdict* verdict_of(const model::Result& result, const std::string& loop) noexcept {
    for (const model::Verdict& v : result.verdicts)
        if (v.loop == loop) return &v;
    return nullptr;
}

std::vector<std::string> loops_of(std::span<const model::Result> runs, bool cooled) {
    std::vector<std::string> loops;
    for (const model::Result& run : runs)
        for (const model::Verdict& v : run.verdicts)
            if ((!cooled || !v.core.empty()) &&
                std::find(loops.begin(), loops.end(), v.loop) == loops.end())
                loops.push_back(v.loop);
    return loops;
}

}  // namespace lapheat::results
