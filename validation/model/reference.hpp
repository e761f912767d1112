// The demo car's right-hand side taken out of simulate(), so that somebody else's integrator can
// take it through the same seconds.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "dynamics.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::validation {

/// The part of a cycle up to `seconds`.
inline drive::Cycle first_seconds(drive::Cycle c, double seconds) {
    std::size_t n = 0;
    while (n < c.size() && c.time[n] <= seconds) ++n;
    for (auto* column : {&c.time, &c.speed, &c.grade, &c.altitude, &c.ambient, &c.humidity, &c.sun,
                         &c.wind, &c.steering_angle, &c.lateral_acceleration, &c.held_throttle,
                         &c.ac_demand, &c.trailer_mass})
        column->resize(n);
    c.engine_on.resize(n);
    c.selector.resize(n);
    c.gear.resize(n);
    c.phases.clear();
    return c;
}

/// A car at the start of the first seconds of one cycle.
struct Problem {
    drive::Cycle cycle;
    std::shared_ptr<const model::Model> compiled;
    model::Forcing forcing;
    std::unique_ptr<model::Dynamics> dynamics;
    std::vector<double> first;  ///< the state at the start

    Problem(const std::filesystem::path& placement, const std::filesystem::path& cycle_file,
            double seconds, bool warm) {
        scenario::Scenario read = scenario::read(placement, {cycle_file});
        read.car.start_warm = warm;
        read.car.settled_speed = 0;  // the integrators set out from the same round numbers
        const std::map<std::string, double> usual = {{"coolant", 358.15},
                                                     {"transmission", 353.15},
                                                     {"steering", 338.15},
                                                     {"engine_oil", 363.15}};
        for (model::Loop& loop : read.car.loops)
            if (loop.warm_start == 0) loop.warm_start = usual.at(loop.name);
        cycle = first_seconds(read.cycles.front(), seconds);
        compiled = model::compile(read.car);
        forcing = model::make_forcing(driven(*compiled), cycle);
        dynamics = std::make_unique<model::Dynamics>(*compiled, forcing);
        std::vector<double> kelvin;
        for (const model::Loop& loop : read.car.loops)
            kelvin.push_back(warm && loop.warm_start > 0 ? loop.warm_start
                                                         : forcing.rows.front().ambient);
        first.resize(dynamics->size());
        dynamics->start(kelvin, first.data());
    }
};

}  // namespace lapheat::validation
