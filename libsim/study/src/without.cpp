#include "without.hpp"

#include <algorithm>

#include "internal.hpp"

namespace lapheat::study {
namespace {

/// A combined core stands in a stack by its own name and in loops as "name.circuit".
bool takes_out(const std::vector<std::string>& cores, const std::string& name) {
    return is_in(cores, name) || std::any_of(cores.begin(), cores.end(), [&](const auto& core) {
               return core.starts_with(name + ".");
           });
}

/// Takes a path's cores out; true if nothing is left for its air to meet.
bool clear_path(model::AirPath& path, const std::vector<std::string>& cores) {
    const std::size_t gone = std::erase_if(path.stack, [&](const model::StackItem& item) {
        return !item.core.empty() && takes_out(cores, item.core);
    });
    if (gone == 0) return false;
    if (path.assumptions.place == airflow::Place::behind_radiator) {
        const airflow::PlaceDefaults front = airflow::defaults(airflow::Place::front);
        path.assumptions.place = front.place;
        path.assumptions.word = front.word;
        path.assumptions.name = front.name;
        path.assumptions.bay = front.bay;
        path.assumptions.exhaust_view = front.exhaust_view;
        path.assumptions.warnings = front.warnings;
        path.exhaust_view_area = 0;
    }
    return path.stack.empty();
}

/// With what was to befall them.
void drop_fans(model::Car& car, const model::AirPath& gone) {
    for (const model::Shroud& shroud : gone.shrouds) {
        std::erase_if(car.fans,
                      [&](const model::FanEntry& fan) { return is_in(shroud.fans, fan.name); });
        std::erase_if(car.faults,
                      [&](const model::Fault& fault) { return is_in(shroud.fans, fault.part); });
    }
}

/// Names of the parts of a loop that the cores were, which no switch can feel any more.
void drop_switches(model::Car& car, const std::string& loop, const std::string& part) {
    for (model::FanEntry& fan : car.fans)
        std::erase_if(fan.switches,
                      [&](const model::FanSwitch& s) { return s.loop == loop && s.part == part; });
}

}  // namespace

std::vector<std::string> placed_cores(const std::vector<model::Car>& cars,
                                      const std::vector<std::string>& served) {
    std::vector<std::string> out;
    for (const model::Car& car : cars)
        for (const model::Loop& loop : car.loops) {
            if (!is_in(served, loop.name)) continue;
            if (loop.role == model::LoopRole::coolant) return {};
            for (const model::Run& run : loop.runs)
                for (const model::Part& part : run.parts)
                    if (const auto* pass = std::get_if<model::CorePass>(&part.body);
                        pass && !pass->second_side && !is_in(out, pass->core))
                        out.push_back(pass->core);
        }
    return out;
}

std::optional<model::Car> without_cores(model::Car car, const std::vector<std::string>& cores) {
    const std::size_t gone = std::erase_if(
        car.cores, [&](const model::CoreEntry& entry) { return is_in(cores, entry.name); });
    if (gone == 0) return std::nullopt;
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs) {
            std::erase_if(run.parts, [&](const model::Part& part) {
                const auto* pass = std::get_if<model::CorePass>(&part.body);
                if (!pass || !is_in(cores, pass->core)) return false;
                drop_switches(car, loop.name, part.name);
                return true;
            });
            if (run.parts.empty()) return std::nullopt;
        }
    std::vector<model::AirPath> left;
    for (model::AirPath& path : car.air)
        if (clear_path(path, cores))
            drop_fans(car, path);
        else
            left.push_back(std::move(path));
    car.air = std::move(left);
    std::erase_if(car.faults, [&](const model::Fault& f) { return takes_out(cores, f.part); });
    return car;
}

}  // namespace lapheat::study
