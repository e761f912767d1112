#include "lapheat/model/faults.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "compile.hpp"
#include "lapheat/heat/faults.hpp"
#include "lapheat/model/description.hpp"

namespace lapheat::model {
namespace {

// Largest shares: beyond these a core, hose or loop is as good as gone and the equations are stiff.
constexpr double most_blocked = 0.95, most_collapsed = 0.98, most_missing = 0.6;
// A cap that holds nothing is still a cap: the loop stays one with a pressure of its own.
constexpr double least_cap = 1.0;  // Pa

std::string percent(double part) { return fmt::format("{} %", std::lround(100 * part)); }

void require_amount(const Fault& fault, double low, double high, const char* expected) {
    if (fault.amount >= low && fault.amount <= high) return;
    throw Error(fmt::format("the fault's amount {:g} is out of range", fault.amount), expected,
                fault.place, "faults");
}

template <class T>
[[noreturn]] void unknown(const Fault& fault, const char* what, const std::vector<T>& all) {
    std::vector<std::string> names;
    for (const T& one : all) names.push_back(one.name);
    throw Error(std::string("no ") + what + " '" + fault.part + "'", known(names), fault.place,
                "faults");
}

Loop& loop_of(Car& car, const Fault& fault) {
    for (Loop& loop : car.loops)
        if (fault.loop.empty() ? loop.role == LoopRole::coolant : loop.name == fault.loop)
            return loop;
    std::vector<std::string> names;
    for (const Loop& loop : car.loops) names.push_back(loop.name);
    throw Error(fault.loop.empty() ? "no loop of coolant" : "no loop '" + fault.loop + "'",
                known(names), fault.place, "loop", fault.loop);
}

/// Calls `change(body)` for every part of the kind in the loop, of the fault's name if it has one.
template <class Body, class F>
void each(Car& car, const Fault& fault, const char* what, F&& change) {
    std::vector<Part> others;
    bool found = false;
    for (Run& run : loop_of(car, fault).runs)
        for (Part& part : run.parts)
            if (Body* body = std::get_if<Body>(&part.body)) {
                others.push_back(part);
                if (!fault.part.empty() && part.name != fault.part) continue;
                found = change(*body) || found;
            }
    if (!found) unknown(fault, what, others);
}

void stop_fan(Car& car, const Fault& fault) {
    const auto fan = std::find_if(car.fans.begin(), car.fans.end(),
                                  [&](const FanEntry& f) { return f.name == fault.part; });
    if (fan == car.fans.end()) unknown(fault, "fan", car.fans);
    fan->dead = true;
}

void slip(Car& car, const Fault& fault) {
    require_amount(fault, 0, 1, "a share from 0 to 1");
    const double left = 1 - fault.amount;
    bool found = false;
    Loop& loop = loop_of(car, fault);
    for (Run& run : loop.runs)
        for (Part& part : run.parts) {
            if (auto* pump = std::get_if<Pump>(&part.body); pump && pump->electric_speed == 0) {
                pump->speed_ratio *= left;
                found = true;
            } else if (auto* source = std::get_if<FlowSource>(&part.body)) {
                source->speed_ratio *= left;
                found = true;
            }
        }
    if (!found)
        throw Error("the loop '" + loop.name + "' has no pump on the belt",
                    "a loop with a pump that the engine turns", fault.place, "loop", loop.name);
    if (loop.role == LoopRole::steering) car.steering.speed_ratio *= left;
    if (loop.role != LoopRole::coolant) return;
    for (FanEntry& fan : car.fans)
        if (fan.drive.kind == airflow::DriveKind::belt ||
            fan.drive.kind == airflow::DriveKind::viscous_clutch)
            fan.drive.pulley_ratio *= left;
}

void drain(Car& car, const Fault& fault) {
    require_amount(fault, 0, most_missing, "a share from 0 to 0.6");
    Loop& loop = loop_of(car, fault);
    const double full = liquid_volume(car, loop.name);
    const double air = heat::void_fraction(fault.amount, reserve_share);
    const double pumped = heat::gas_handling(air);
    loop.liquid_share *= 1 - fault.amount;
    loop.expansion_volume += fault.amount * full;
    for (Run& run : loop.runs)
        for (Part& part : run.parts) {
            // Flow goes with speed in a loop of constant resistance: the lost share of flow is
            // taken off the speed.
            if (auto* pump = std::get_if<Pump>(&part.body)) {
                pump->speed_ratio *= pumped;
                pump->electric_speed *= pumped;
            } else if (auto* volume = std::get_if<Volume>(&part.body)) {
                volume->wall_conductance *= 1 - air;
                volume->static_conductance *= 1 - air;
            }
        }
}

void worsen(Car& car, const Fault& fault, const exchangers::Condition& condition) {
    bool found = false;
    for (CoreEntry& entry : car.cores)
        if (entry.name == fault.part || entry.circuit_of == fault.part) {
            entry.core = exchangers::with_condition(entry.core, condition);
            found = true;
        }
    if (!found) unknown(fault, "core", car.cores);
}

void apply(Car& car, const Fault& fault) {
    switch (fault.kind) {
        case FaultKind::fan_dead:
            return stop_fan(car, fault);
        case FaultKind::thermostat_stuck:
            require_amount(fault, 0, 1, "an opening from 0, shut, to 1, open");
            return each<Thermostat>(car, fault, "thermostat", [&](Thermostat& t) {
                t.stuck = fault.amount;
                return true;
            });
        case FaultKind::belt_slip:
            return slip(car, fault);
        case FaultKind::coolant_low:
            return drain(car, fault);
        case FaultKind::core_blocked:
            require_amount(fault, 0, most_blocked, "a share from 0 to 0.95");
            return worsen(car, fault, {.blocked = fault.amount});
        case FaultKind::core_fouled:
            require_amount(fault, 0, 0.01, "0 to 0.01 m² K/W");
            return worsen(car, fault, {.first_fouling = fault.amount});
        case FaultKind::hose_collapsed:
            require_amount(fault, 0, most_collapsed, "a share from 0 to 0.98");
            if (fault.part.empty())
                throw Error("which hose has collapsed?", "the name of a hose of the loop",
                            fault.place, "hose");
            return each<Line>(car, fault, "hose", [&](Line& line) {
                line.collapsed = fault.amount;
                return true;
            });
        case FaultKind::cap_leaking:
            require_amount(fault, 0, 5e5, "0 to 5e5 Pa");
            loop_of(car, fault).cap_pressure =
                std::min(loop_of(car, fault).cap_pressure, std::max(fault.amount, least_cap));
            return;
        case FaultKind::spark_late:
            require_amount(fault, 0, 40, "0 to 40 degrees");
            car.engine.retard += fault.amount;
            return;
        case FaultKind::lockup_lost:
            car.vehicle.shift.lockup = false;
            return;
    }
}

}  // namespace

double liquid_volume(const Car& car, const std::string& loop) {
    double sum = 0;
    for (const Loop& l : car.loops) {
        if (l.name != loop) continue;
        for (const Run& run : l.runs)
            for (const Part& part : run.parts) {
                if (const auto* line = std::get_if<Line>(&part.body))
                    sum += std::numbers::pi / 4 * line->inner_diameter * line->inner_diameter *
                           line->length;
                else if (const auto* volume = std::get_if<Volume>(&part.body))
                    sum += volume->volume;
                else if (const auto* pass = std::get_if<CorePass>(&part.body))
                    for (const CoreEntry& entry : car.cores)
                        if (entry.name == pass->core)
                            sum += pass->second_side ? entry.core.second_volume
                                                     : entry.core.first_volume;
            }
    }
    return sum;
}

namespace {

std::string loop_words(const Fault& fault) { return fault.loop.empty() ? "coolant" : fault.loop; }

}  // namespace

std::string describe(const Fault& fault) {
    switch (fault.kind) {
        case FaultKind::fan_dead:
            return "the fan " + fault.part + " is dead";
        case FaultKind::thermostat_stuck:
            return (fault.part.empty() ? "thermostat" : fault.part) +
                   (fault.amount <= 0   ? " stuck shut"
                    : fault.amount >= 1 ? " stuck open"
                                        : " stuck " + percent(fault.amount) + " open");
        case FaultKind::belt_slip:
            return "belt slips: the " + loop_words(fault) + " pump loses " + percent(fault.amount) +
                   " of its speed";
        case FaultKind::coolant_low:
            return percent(fault.amount) + " of the " + loop_words(fault) + " is missing";
        case FaultKind::core_blocked:
            return percent(fault.amount) + " of the face of the " + fault.part + " is blocked";
        case FaultKind::core_fouled:
            return "the " + fault.part + " is fouled inside";
        case FaultKind::hose_collapsed:
            return "the " + fault.part + " has lost " + percent(fault.amount) + " of its bore";
        case FaultKind::cap_leaking:
            return fmt::format("the cap holds only {:.0f} kPa", fault.amount / 1e3);
        case FaultKind::spark_late:
            return fmt::format("spark {:.0f} degrees late", fault.amount);
        case FaultKind::lockup_lost:
            return "the converter never locks";
    }
    return {};
}

Car with_faults(Car car, double time) {
    const std::vector<Fault> faults = std::move(car.faults);
    car.faults.clear();
    for (const Fault& fault : faults) {
        if (!(fault.begins >= 0) || !std::isfinite(fault.begins))
            throw Error("a fault begins before the cycle", "0 s or later", fault.place, "begins");
        if (fault.begins <= time) apply(car, fault);
    }
    return car;
}

}  // namespace lapheat::model
