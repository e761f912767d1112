#include "without.hpp"

#include <algorithm>
#include <functional>

#include "internal.hpp"

namespace lapheat::study {
namespace {

/// Takes a path's cores out; true if nothing is left for its air to meet.
bool clear_path(model::AirPath& path, const std::vector<std::string>& cores) {
    const std::size_t gone = std::erase_if(
        path.stack, [&](const model::StackItem& item) { return is_in(cores, item.core); });
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
    const auto taken = [&](const model::CoreEntry& entry) { return is_in(cores, entry.name); };
    const auto left_of =
        std::stable_partition(car.cores.begin(), car.cores.end(), std::not_fn(taken));
    if (left_of == car.cores.end()) return std::nullopt;
    const std::vector<model::CoreEntry> gone(left_of, car.cores.end());
    car.cores.erase(left_of, car.cores.end());
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
    // A fault of a combined core goes with the last of its circuits.
    std::erase_if(car.faults, [&](const model::Fault& f) {
        const auto named = [&](const model::CoreEntry& entry) {
            return entry.name == f.part || entry.whole() == f.part;
        };
        return std::any_of(gone.begin(), gone.end(), named) &&
               std::none_of(car.cores.begin(), car.cores.end(), named);
    });
    return car;
}

}  // namespace lapheat::study
