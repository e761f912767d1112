#include "lapheat/model/assumptions.hpp"

#include <algorithm>

#include "lapheat/model/model.hpp"

namespace lapheat::model {
namespace {

using M = NamedAssumption::Meaning;

struct List {
    std::vector<CarAssumption> numbers;

    void add(const std::string& of, const char* name, Assumed& number, M meaning) {
        numbers.push_back({of, name, &number, meaning});
    }
    void add(const std::string& of, const std::vector<NamedAssumption>& named) {
        for (const NamedAssumption& n : named) add(of, n.name, *n.number, n.meaning);
    }
};

void add_fans(Car& car, List& list) {
    for (FanEntry& fan : car.fans) {
        list.add(fan.name, "flow", fan.fan.flow_level, M::level);
        for (FanSwitch& s : fan.switches)
            list.add(fan.name, "temperature of its switch", s.shift, M::difference);
    }
}

template <class Has>
bool any_part(const Loop& loop, Has has) {
    return std::any_of(loop.runs.begin(), loop.runs.end(), [&](const Run& run) {
        return std::any_of(run.parts.begin(), run.parts.end(), has);
    });
}

void add_losses(Loop& loop, List& list) {
    const auto line = [](const Part& part) { return std::get_if<Line>(&part.body); };
    const auto fitting = [](const Part& part) { return std::get_if<Fitting>(&part.body); };
    if (any_part(loop, [&](const Part& p) { return line(p) && line(p)->bends > 0; }))
        list.add(loop.name, "losses of bends", loop.bend_level, M::level);
    if (any_part(loop, [&](const Part& p) {
            return (line(p) && line(p)->end_bore > 0) || (fitting(p) && !fitting(p)->tee);
        }))
        list.add(loop.name, "losses of fittings and hose ends", loop.fitting_level, M::level);
    if (any_part(loop, [&](const Part& p) { return fitting(p) && fitting(p)->tee; }))
        list.add(loop.name, "losses of tees", loop.tee_level, M::level);
}

void add_loops(Car& car, List& list) {
    for (Loop& loop : car.loops) {
        add_losses(loop, list);
        for (Run& run : loop.runs)
            for (Part& part : run.parts) {
                if (auto* pump = std::get_if<Pump>(&part.body))
                    list.add(part.name, "head", pump->head_level, M::level);
                if (auto* wax = std::get_if<Thermostat>(&part.body))
                    list.add(loop.name, "temperature of its thermostat", wax->shift, M::difference);
            }
    }
}

}  // namespace

std::vector<CarAssumption> assumptions(Car& car) {
    List list;
    for (AirPath& path : car.air)
        list.add(path.assumptions.name, airflow::assumptions(path.assumptions));
    list.add("engine", heat::assumptions(car.engine));
    for (HeatLink& link : car.links)
        list.add(link.first_part + " to " + link.second_part, "conductance through the block",
                 link.conductance, M::share);
    for (CoreEntry& core : car.cores)  // circuits of one core have the same fins: one name
        list.add(core.whole(), exchangers::assumptions(core.core));
    add_fans(car, list);
    add_loops(car, list);
    list.add("driveline", drive::assumptions(car.vehicle));
    list.add("transmission", heat::assumptions(car.transmission));
    list.add("steering", heat::assumptions(car.steering));
    list.add("exhaust", heat::assumptions(car.exhaust));
    list.add("engine bay", heat::assumptions(car.bay));
    if (has_condenser(car)) list.add("air conditioning", heat::assumptions(car.air_conditioning));
    list.add("road", "rise over the air in the sun", car.road_rise_level, M::level);
    return list.numbers;
}

Car at_levels(Car car) {
    for (CoreEntry& entry : car.cores) entry.core = exchangers::at_levels(std::move(entry.core));
    for (FanEntry& entry : car.fans) {
        entry.fan = airflow::at_levels(std::move(entry.fan));
        for (FanSwitch& s : entry.switches) {
            s.on += s.shift.value;
            s.off += s.shift.value;
            if (s.full > 0) s.full += s.shift.value;
            s.shift = {};
        }
    }
    for (Loop& loop : car.loops)
        for (Run& run : loop.runs)
            for (Part& part : run.parts) {
                if (auto* pump = std::get_if<Pump>(&part.body)) {
                    pump->shutoff_head *= pump->head_level.value;
                    for (PumpPoint& p : pump->points) p.pressure *= pump->head_level.value;
                    pump->head_level = exact_level;
                }
                if (auto* wax = std::get_if<Thermostat>(&part.body)) {
                    wax->opens += wax->shift.value;
                    wax->full += wax->shift.value;
                    wax->shift = {};
                }
            }
    car.vehicle = drive::at_levels(std::move(car.vehicle));
    car.transmission = heat::at_levels(car.transmission);
    car.steering = heat::at_levels(car.steering);
    car.air_conditioning = heat::at_levels(car.air_conditioning);
    car.bay = heat::at_levels(car.bay);
    return car;
}

}  // namespace lapheat::model
