// The demo car and its cycles, and ways to look into a result.
#pragma once

#include <algorithm>
#include <filesystem>
#include <string>
#include <vector>

#include "lapheat/drive/generate.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::model {

inline const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";
inline const std::vector<std::string> placements = {"ahead_of_radiator", "under_floor", "rear",
                                                    "in_tank", "tank_only"};
inline const drive::Surroundings hot_day{
    .ambient = 311.15, .humidity = 0.25, .sun = 850, .wind = 0, .altitude = 300};

inline Car demo_car(const std::string& placement) {
    return scenario::read(scenarios / "placements" / (placement + ".toml")).car;
}

inline drive::Cycle demo_cycle(const std::string& name, const drive::Vehicle& vehicle) {
    return scenario::read_cycle(scenarios / "cycles" / (name + ".toml"), vehicle);
}

/// Fans that wait for no switch and no compressor.
inline void run_fans_always(Car& car) {
    for (FanEntry& fan : car.fans) {
        fan.switches.clear();
        fan.with_air_conditioning = false;
    }
}

inline Result run(const Car& car, const drive::Cycle& cycle) {
    return simulate(*compile(car), cycle);
}

/// J of a path of the ledger; 0 of one that is not there.
inline double entry(const Result& result, const std::string& name) {
    for (const LedgerEntry& e : result.ledger.entries)
        if (e.name == name) return e.joules;
    return 0;
}

inline const Verdict& verdict(const Result& result, const std::string& loop) {
    for (const Verdict& v : result.verdicts)
        if (v.loop == loop) return v;
    throw Error("no verdict for " + loop);
}

inline const std::vector<double>& series(const Result& result, const std::string& group,
                                         const std::string& name) {
    for (const Series& s : result.series)
        if (s.group == group && s.name == name) return s.values;
    throw Error("no series " + group + "/" + name);
}

inline std::vector<Event> events(const Result& result, EventKind kind) {
    std::vector<Event> found;
    std::copy_if(result.events.begin(), result.events.end(), std::back_inserter(found),
                 [&](const Event& e) { return e.kind == kind; });
    return found;
}

/// The first warning of that code, about `subject` if one is given; nullptr if there is none.
inline const Diagnostic* warning(const Result& result, Code code, const std::string& subject = {}) {
    for (const Diagnostic& d : result.warnings)
        if (d.code == code && (subject.empty() || d.subject == subject)) return &d;
    return nullptr;
}

/// The part of that name, wherever it is in the loop.
inline Part& part(Car& car, const std::string& loop, const std::string& name) {
    for (Loop& l : car.loops)
        for (Run& r : l.runs)
            for (Part& p : r.parts)
                if (l.name == loop && p.name == name) return p;
    throw Error("no part " + name);
}

inline constexpr double celsius(double kelvin) { return kelvin - 273.15; }

}  // namespace lapheat::model
