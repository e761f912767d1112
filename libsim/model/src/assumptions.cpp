#include "lapheat/model/assumptions.hpp"

namespace lapheat::model {

std::vector<CarAssumption> assumptions(Car& car) {
    std::vector<CarAssumption> out;
    const auto add = [&](const std::string& of, const std::vector<NamedAssumption>& numbers) {
        for (const NamedAssumption& n : numbers) out.push_back({of, n.name, n.number});
    };
    for (AirPath& path : car.air)
        add(path.assumptions.name, airflow::assumptions(path.assumptions));
    add("engine", heat::assumptions(car.engine));
    for (HeatLink& link : car.links)
        out.push_back({link.first_part + " to " + link.second_part, "conductance through the block",
                       &link.conductance});
    return out;
}

}  // namespace lapheat::model
