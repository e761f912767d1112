#include "lapheat/drive/columns.hpp"

#include <utility>

#include "cycle_columns.hpp"

namespace lapheat::drive {

std::map<std::string, std::vector<double>> columns_of(const Cycle& cycle) {
    std::map<std::string, std::vector<double>> all{{"time", cycle.time}};
    for (const CycleColumn& column : cycle_columns) all[column.name] = cycle.*column.field;
    const auto whole = [&](const char* name, const auto& values) {
        std::vector<double>& to = all[name];
        for (const auto value : values) to.push_back(static_cast<double>(value));
    };
    whole("engine_on", cycle.engine_on);
    whole("selector", cycle.selector);
    whole("gear", cycle.gear);
    return all;
}

Cycle with_columns(const Cycle& cycle, std::string name,
                   const std::map<std::string, std::vector<double>>& changed) {
    std::map<std::string, std::vector<double>> all = columns_of(cycle);
    for (const auto& [key, values] : changed) all[key] = values;
    Cycle out = from_columns(std::move(name), all);
    validate(out);
    out.phases = cycle.phases;
    return out;
}

}  // namespace lapheat::drive
