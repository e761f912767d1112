#include "causes.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

#include "lapheat/results/binding.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity, units::System;

// J/(kg K) near 310 K and of half-strength coolant near 360 K; they only share x between streams.
constexpr double air_heat = 1007, coolant_heat = 3600;
// A flow that differs by less is the same flow; what its side's resistance differs then is the
// core's doing.
constexpr double same_flow = 0.03;
// K, and share of the difference, from which a cause is worth naming, and an opposing one.
constexpr double least_worth = 1, least_share = 0.2, least_against = 0.3;
constexpr std::size_t most_named = 2;

/// A core at its worst moment as resistances, K/W.
struct Resistances {
    double cooling = 0, wall = 0, fluid = 0;  ///< of the films with what the streams' warming takes
    [[nodiscard]] double sum() const { return cooling + wall + fluid; }
};

bool gives_off(const model::Verdict& v) {
    constexpr double least_heat = 1, least_rise = 0.1;  // W, K: nothing to take apart below
    return !v.core.empty() && v.core_heat > least_heat && v.core_inlet > v.air_inlet + least_rise &&
           v.air_flow > 0 && v.core_capacity > 0;
}

/// Of the fluid as it leaves the core instead, if the watched part stands behind it.
Resistances resistances(const model::Verdict& v, bool behind) {
    const double whole = (v.core_inlet - v.air_inlet) / v.core_heat;
    const double films = std::min(v.core_resistance, whole);
    const double by_cooling = 1 / (v.air_flow * (v.in_coolant ? coolant_heat : air_heat));
    const double by_fluid = 1 / v.core_capacity;
    const double streams = (whole - films) / (by_cooling + by_fluid);
    return {films * v.share_air + streams * by_cooling, films * v.share_wall,
            films * v.share_liquid + streams * by_fluid - (behind ? by_fluid : 0)};
}

/// The watched part is nearer to what leaves the core than to what enters it.
bool behind_core(const model::Verdict& v) {
    const double watched = v.limit - v.margin;
    const double out = v.core_inlet - v.core_heat / v.core_capacity;
    return std::abs(watched - out) < std::abs(watched - v.core_inlet);
}

double mean(double a, double b) { return 0.5 * (a + b); }

bool differs(double a, double b) { return std::abs(a - b) > same_flow * std::max(a, b); }

/// K by which `worse`'s side is worse for its flow; a flow that differs carries the whole side of
/// the same core, and of another one what its own change predicts by a film's square root of flow.
double by_flow(bool same_core, double better_flow, double worse_flow, double better_side,
               double worse_side) {
    if (!differs(better_flow, worse_flow)) return 0;
    if (same_core) return worse_side - better_side;
    const double ratio = std::sqrt(better_flow / worse_flow);
    return mean(better_side * (ratio - 1), worse_side * (1 - 1 / ratio));
}

}  // namespace

std::vector<Cause> causes(const model::Verdict& better, const model::Verdict& worse, double* rest) {
    const double difference = better.margin - worse.margin;
    if (rest) *rest = difference;
    if (!gives_off(better) || !gives_off(worse) || better.in_coolant != worse.in_coolant) return {};
    const bool behind = behind_core(better);
    const Resistances a = resistances(better, behind), b = resistances(worse, behind);
    const double heat = mean(better.core_heat, worse.core_heat);
    const bool same_core = better.core == worse.core;
    const double cooling =
        by_flow(same_core, better.air_flow, worse.air_flow, a.cooling, b.cooling);
    const double fluid = by_flow(same_core, better.core_flow, worse.core_flow, a.fluid, b.fluid);
    const std::vector<Cause> out{
        {CauseKind::cooling_temperature, worse.air_inlet - better.air_inlet},
        {CauseKind::cooling_flow, heat * cooling},
        {CauseKind::fluid_flow, heat * fluid},
        {CauseKind::core, heat * (b.sum() - a.sum() - cooling - fluid)},
        {CauseKind::heat, mean(a.sum(), b.sum()) * (worse.core_heat - better.core_heat)}};
    if (rest)
        for (const Cause& cause : out) *rest -= cause.worth;
    return out;
}

namespace {

/// "23 K warmer air reaches its core", of the worse of the two.
std::string words(const Cause& cause, const model::Verdict& better, const model::Verdict& worse,
                  System system) {
    const char* stream = results::cooled_by(worse);
    const bool less = cause.worth > 0;
    const auto instead = [&](const char* what, double there, double here, Quantity q) {
        const std::string a = say(there, q, system), b = say(here, q, system);
        return a == b ? std::string() : fmt::format("{} {} instead of {}", what, a, b);
    };
    switch (cause.kind) {
        case CauseKind::cooling_temperature:
            return fmt::format("the {} at its core is {} {}", stream,
                               say(std::abs(cause.worth), Quantity::temperature_difference, system),
                               less ? "hotter" : "cooler");
        case CauseKind::cooling_flow:
            return instead(worse.in_coolant ? "the coolant round its core is" : "its core breathes",
                           worse.air_flow, better.air_flow, Quantity::mass_flow);
        case CauseKind::fluid_flow:
            return instead("the fluid's flow through its core is", worse.core_flow,
                           better.core_flow, Quantity::volume_flow);
        case CauseKind::core:
            return worse.core == better.core ? ""
                   : less                    ? "its core does less"
                                             : "its core does more";
        case CauseKind::heat:
            return instead("its core has to give off", worse.core_heat, better.core_heat,
                           Quantity::power);
    }
    return "";
}

/// Why a core gives off nothing.
std::string idle_core(const model::Verdict& better, const model::Verdict& worse, System system) {
    constexpr double hardly = 0.1;  // of the other's flow
    const char* stream = results::cooled_by(worse);
    if (worse.air_flow < hardly * better.air_flow)
        return fmt::format(", because there hardly any {} goes through its core", stream);
    if (worse.core_flow < hardly * better.core_flow)
        return ", because there hardly any of it flows through its core";
    return fmt::format(", because there its core takes no heat from it: the {} is at {}", stream,
                       say(worse.air_inlet, Quantity::temperature, system));
}

}  // namespace

std::string cause_words(const model::Verdict& better, const model::Verdict& worse, System system) {
    if (!better.core.empty() && worse.core.empty())
        return ", because there that fluid has no core at all";
    if (gives_off(better) && !worse.core.empty() && !gives_off(worse))
        return idle_core(better, worse, system);
    const double difference = better.margin - worse.margin;
    if (difference <= 0) return "";
    std::vector<Cause> all = causes(better, worse);
    std::stable_sort(all.begin(), all.end(), [](const Cause& a, const Cause& b) {
        return std::abs(a.worth) > std::abs(b.worth);
    });
    std::vector<std::string> why, against;
    for (const Cause& cause : all) {
        const double share = std::abs(cause.worth) / difference;
        if (std::abs(cause.worth) < least_worth) continue;
        const std::string said = words(cause, better, worse, system);
        if (said.empty()) continue;
        if (cause.worth > 0 && share >= least_share && why.size() < most_named) why.push_back(said);
        // That a hotter fluid has lost more heat, or gives off less of it, is no merit of the
        // place.
        else if (cause.worth < 0 && share >= least_against && cause.kind != CauseKind::heat)
            against.push_back(said);
    }
    if (why.empty()) return "";
    std::string out = ", because there " + listed(why);
    if (!against.empty()) out += "; that " + listed(against) + " makes up for some of it";
    return out;
}

}  // namespace lapheat::study
