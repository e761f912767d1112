// [[faults]]: what breaks, and when.
#include <numbers>

#include "read_parts.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using K = model::FaultKind;

std::vector<std::string> fan_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::FanEntry& fan : car.fans) out.push_back(fan.name);
    return out;
}

/// Cores, and the combined ones by their common name.
std::vector<std::string> core_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::CoreEntry& core : car.cores) {
        const std::string whole = core.name.substr(0, core.name.find('.'));
        if (out.empty() || out.back() != whole) out.push_back(whole);
        if (whole != core.name) out.push_back(core.name);
    }
    return out;
}

std::vector<std::string> loop_names(const model::Car& car) {
    std::vector<std::string> out;
    for (const model::Loop& loop : car.loops) out.push_back(loop.name);
    return out;
}

template <class Body>
std::vector<std::string> part_names(const model::Car& car, const std::string& loop) {
    std::vector<std::string> out;
    for (const model::Loop& l : car.loops)
        if (l.name == loop)
            for (const model::Run& run : l.runs)
                for (const model::Part& part : run.parts)
                    if (std::holds_alternative<Body>(part.body)) out.push_back(part.name);
    return out;
}

model::Fault read_fault(Reader& r, const model::Car& car) {
    model::Fault out;
    out.place = r.place();
    out.kind = r.kind<K>("kind", {{"fan_dead", K::fan_dead},
                                  {"thermostat_stuck", K::thermostat_stuck},
                                  {"belt_slip", K::belt_slip},
                                  {"coolant_low", K::coolant_low},
                                  {"core_blocked", K::core_blocked},
                                  {"core_fouled", K::core_fouled},
                                  {"hose_collapsed", K::hose_collapsed},
                                  {"cap_leaking", K::cap_leaking},
                                  {"spark_late", K::spark_late},
                                  {"lockup_lost", K::lockup_lost}});
    out.begins = r.optional_quantity("begins", Q::time, not_negative).value_or(0);
    const auto loop = [&] {
        out.loop = r.optional_reference("loop", loop_names(car)).value_or("coolant");
    };
    switch (out.kind) {
        case K::fan_dead:
            out.part = r.reference("fan", fan_names(car));
            break;
        case K::thermostat_stuck:
            loop();
            out.part =
                r.optional_reference("thermostat", part_names<model::Thermostat>(car, out.loop))
                    .value_or("");
            out.amount = r.quantity("open", Q::ratio, fraction);
            break;
        case K::belt_slip:
            loop();
            out.amount = r.quantity("slip", Q::ratio, fraction);
            break;
        case K::coolant_low:
            out.amount = r.quantity("missing", Q::ratio, between(0, 0.6));
            break;
        case K::core_blocked:
            out.part = r.reference("core", core_names(car));
            out.amount = r.quantity("blocked", Q::ratio, between(0, 0.95));
            break;
        case K::core_fouled:
            out.part = r.reference("core", core_names(car));
            out.amount = r.quantity("fouling", Q::fouling_resistance, between(0, 0.01));
            break;
        case K::hose_collapsed:
            loop();
            out.part = r.reference("hose", part_names<model::Line>(car, out.loop));
            out.amount = r.quantity("lost", Q::ratio, between(0, 0.98));
            break;
        case K::cap_leaking:
            loop();
            out.amount = r.quantity("holds", Q::pressure, between(0, 5e5));
            break;
        case K::spark_late:
            out.amount = r.quantity("angle", Q::angle, between(0, 0.7)) * 180 / std::numbers::pi;
            break;
        case K::lockup_lost:
            break;
    }
    return out;
}

}  // namespace

std::vector<model::Fault> read_faults(Reader& root, const model::Car& car) {
    std::vector<model::Fault> out;
    for (Reader r : root.tables("faults")) out.push_back(read_fault(r, car));
    return out;
}

}  // namespace lapheat::scenario
