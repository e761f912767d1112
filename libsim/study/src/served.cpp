// Which loops a choice of placement serves: those that the compared cars build differently.
#include <algorithm>
#include <cmath>

#include "lapheat/study/compare.hpp"

namespace lapheat::study {
namespace {

/// What of a loop a choice of placement changes, as numbers and names that can be compared.
struct Build {
    std::vector<std::string> words;
    std::vector<double> numbers;
    bool operator==(const Build&) const = default;
};

/// Names of a stack from the front up to a core: the order in which its air has met the others.
void add_order(const model::AirPath& path, const std::string& core, Build& out) {
    for (const model::StackItem& item : path.stack) {
        if (item.core == core) return;
        out.words.push_back("behind " + item.core + item.heat);
    }
}

void add_core(const model::Car& car, const std::string& name, bool radiator, Build& out) {
    out.words.push_back(name);
    for (const model::CoreEntry& entry : car.cores)
        if (entry.name == name)
            for (const double x : {entry.core.width, entry.core.height, entry.core.depth,
                                   entry.core.face_area, entry.core.heat_capacity})
                out.numbers.push_back(x);
    // Where it stands. An engine's radiator stays; others are put before or behind it.
    for (const model::AirPath& path : car.air)
        for (const model::StackItem& item : path.stack) {
            if (item.core != name) continue;
            const bool front = path.assumptions.place == airflow::Place::front ||
                               path.assumptions.place == airflow::Place::behind_radiator;
            out.words.emplace_back(radiator && front ? "front" : path.assumptions.name);
            if (!radiator) add_order(path, item.core, out);
        }
}

Build build_of(const model::Car& car, const std::string& loop_name) {
    Build out;
    for (const model::Loop& loop : car.loops) {
        if (loop.name != loop_name) continue;
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* pass = std::get_if<model::CorePass>(&part.body)) {
                    // The far side of a cooler is a guest in this loop, not what cools it.
                    if (!pass->second_side)
                        add_core(car, pass->core, loop.role == model::LoopRole::coolant, out);
                } else if (const auto* line = std::get_if<model::Line>(&part.body)) {
                    out.numbers.push_back(line->length);
                    out.numbers.push_back(line->inner_diameter);
                }
    }
    return out;
}

}  // namespace

std::vector<std::string> loops_served(const std::vector<model::Car>& cars) {
    std::vector<std::string> out;
    for (const model::Car& car : cars)
        for (const model::Loop& loop : car.loops) {
            if (std::find(out.begin(), out.end(), loop.name) != out.end()) continue;
            const Build here = build_of(car, loop.name);
            if (std::any_of(cars.begin(), cars.end(), [&](const model::Car& other) {
                    return !(build_of(other, loop.name) == here);
                }))
                out.push_back(loop.name);
        }
    return out;
}

double line_length(const model::Loop& loop) {
    double sum = 0;
    for (const model::Run& run : loop.runs)
        for (const model::Part& part : run.parts)
            if (const auto* line = std::get_if<model::Line>(&part.body)) sum += line->length;
    return sum;
}

double line_length(const model::Car& car) {
    double sum = 0;
    for (const model::Loop& loop : car.loops) sum += line_length(loop);
    return sum;
}

}  // namespace lapheat::study
