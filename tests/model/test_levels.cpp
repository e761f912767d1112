// What is in doubt of a car: each number moves what it says, and leaves the car alone at its value.
#include <catch2/catch.hpp>
#include <cmath>

#include "demo.hpp"
#include "lapheat/exchangers/rate.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/solve/relation_scatter.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

/// A hot start, a fast cruise, a stop with the air conditioning on, and the wheel held at its lock.
drive::Cycle a_bit_of_everything() {
    drive::Cycle fast = drive::steady(30, 60, hot_day);
    drive::Cycle stop = drive::idle(90, drive::Selector::drive, hot_day);
    stop.ac_demand.assign(stop.size(), 1);
    return drive::chain({fast, stop, drive::parking(9.5, 2, 3, 1.5, hot_day)},
                        "a bit of everything");
}

bool place_number(const Car& car, const std::string& of) {
    return std::any_of(car.air.begin(), car.air.end(),
                       [&](const AirPath& path) { return path.assumptions.name == of; });
}

/// K by which the last temperatures of all parts differ at the most.
double apart(const Result& a, const Result& b) {
    double most = 0;
    for (const Series& s : a.series) {
        if (s.name != "temperature" && s.group != "air") continue;
        const std::vector<double>& other = series(b, s.group, s.name);
        for (std::size_t i = 0; i < std::min(other.size(), s.values.size()); ++i)
            most = std::max(most, std::abs(s.values[i] - other[i]));
    }
    return most;
}

}  // namespace

TEST_CASE("a car at its levels is the car, to the last bit") {
    const Car car = demo_car("under_floor");
    const drive::Cycle cycle = a_bit_of_everything();
    const Result once = run(car, cycle), twice = run(at_levels(car), cycle);
    CHECK(apart(once, twice) == 0);
}

TEST_CASE("each number that is in doubt of a car's parts moves some temperature at either end") {
    const Car car = demo_car("under_floor");
    // Waxes and switches of every loop at work: each has its own range of temperatures.
    std::vector<Car> starts;
    std::vector<Result> bases;
    const drive::Cycle cycle = a_bit_of_everything();
    for (const double kelvin : {353.0, 360.0, 366.0, 371.0}) {
        starts.push_back(car);
        starts.back().start_warm = false;
        starts.back().settled_speed = 0;
        starts.back().start_temperature = kelvin;
        bases.push_back(run(starts.back(), cycle));
    }
    std::size_t tried = 0;
    Car counted = car;
    const std::size_t count = assumptions(counted).size();
    for (std::size_t i = 0; i < count; ++i) {
        for (const bool high : {false, true}) {
            double most = 0;
            std::string what;
            for (std::size_t k = 0; k < starts.size() && most < 1e-4; ++k) {
                Car other = starts[k];
                const std::vector<CarAssumption> all = assumptions(other);
                const CarAssumption& a = all[i];
                const double end = high ? a.number->high : a.number->low;
                if (place_number(car, a.of) || end == a.number->value) break;
                what = a.of + ", " + a.name;
                for (const CarAssumption& same : all)
                    if (same.of == a.of && std::string(same.name) == a.name)
                        same.number->value = end;
                most = apart(bases[k], run(other, cycle));
            }
            if (what.empty()) continue;
            INFO(what << (high ? " at its high end" : " at its low end"));
            // The bends of a loop of thick lines do little, not nothing: 2.0e-4 K in steering,
            // whose pump holds its flow.
            CHECK(most > 1e-4);
            ++tried;
        }
    }
    CHECK(tried > 40);
}

TEST_CASE("two circuits of one core, and nothing else, share their numbers' names") {
    Car car = demo_car("under_floor");
    const auto all = assumptions(car);
    const auto entries = [&](const std::string& of, const std::string& name) {
        return std::count_if(all.begin(), all.end(),
                             [&](const CarAssumption& a) { return a.of == of && a.name == name; });
    };
    CHECK(entries("radiator", "air-side pressure loss") == 1);
    CHECK(entries("cooler", "air-side pressure loss") == 2);
    CHECK(whole_core(car.cores, "cooler.steering") == "cooler");
    // A dot in its name makes no core a circuit of another.
    for (CoreEntry& core : car.cores)
        if (core.name == "radiator") core.name = "front.radiator";
    const auto renamed = assumptions(car);
    CHECK(std::any_of(renamed.begin(), renamed.end(),
                      [](const CarAssumption& a) { return a.of == "front.radiator"; }));
    CHECK(std::none_of(renamed.begin(), renamed.end(), [](const CarAssumption& a) {
        return a.of == "front" || a.of == "radiator";
    }));
    CHECK(whole_core(car.cores, "front.radiator") == "front.radiator");
}

TEST_CASE("a louvred core's air loss is in doubt by the bias and scatter of its relation") {
    Car car = demo_car("under_floor");
    const auto radiator = std::find_if(car.cores.begin(), car.cores.end(),
                                       [](const CoreEntry& c) { return c.name == "radiator"; });
    const Assumed& loss = radiator->core.levels.second_loss;
    const solve::Scatter s = solve::scatter(solve::Relation::louvred_friction);
    CHECK(loss.value == 1);
    CHECK(loss.high == Approx(std::exp(-s.bias + 2 * s.spread)));
    CHECK(loss.low <= 1);
    const exchangers::Core twice = [&] {
        exchangers::Core c = radiator->core;
        c.levels.second_loss.value = 2;
        return exchangers::at_levels(c);
    }();
    CHECK(exchangers::second_pressure_drop(twice, 1.0, 1.15, 1.87e-5) ==
          Approx(2 * exchangers::second_pressure_drop(radiator->core, 1.0, 1.15, 1.87e-5)));
    CHECK(twice.levels.second_loss.value == 1);
}

TEST_CASE("a stated heat with its uncertainty opens the conductance by more than that") {
    // At an effectiveness of one half: 1 - exp(-NTU) = 0.5 (1 +- 0.15).
    const Assumed level = exchangers::conductance_level(0.15);
    CHECK(level.low == Approx(std::log(1 - 0.425) / std::log(0.5)));
    CHECK(level.high == Approx(std::log(1 - 0.575) / std::log(0.5)));
    CHECK(exchangers::conductance_level(0).low == Approx(1));
    CHECK(std::isfinite(exchangers::conductance_level(5).high));
}
