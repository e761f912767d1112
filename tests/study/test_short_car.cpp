// Twenty lines of a car against the same car with every number by its own key.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <limits>
#include <set>

#include "lapheat/model/model.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/study/doubts.hpp"

using namespace lapheat;

namespace {

/// The least margin of each cycle, and whose it is.
struct Least {
    std::string cycle, loop;
    double margin = std::numeric_limits<double>::infinity();  ///< K
};

std::vector<Least> least_margins(const std::filesystem::path& file) {
    const scenario::Scenario s = scenario::read(file);
    const auto model = model::compile(s.car);
    std::vector<Least> out;
    for (const drive::Cycle& cycle : s.cycles) {
        model::Options options;
        options.keep_series = false;
        Least& least = out.emplace_back();
        least.cycle = cycle.name;
        for (const model::Verdict& v : model::simulate(*model, cycle, options).verdicts)
            if (v.margin < least.margin) least.margin = v.margin, least.loop = v.loop;
    }
    return out;
}

}  // namespace

// The relations were written with this car in view, so the agreement is no evidence about other
// cars: it holds that none of what a short file leaves out turns an answer of this one. Found:
// 1.7 K apart at most, in traffic.
TEST_CASE("A car in twenty lines comes to the answer of its full description, place by place") {
    const auto folder = std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";
    const std::pair<const char*, const char*> pairs[] = {{"front", "ahead_of_radiator"},
                                                         {"behind_radiator", "behind_radiator"},
                                                         {"side_duct", "side_duct"},
                                                         {"under_floor", "under_floor"},
                                                         {"tank", "tank_only"}};
    for (const auto& [brief, full] : pairs) {
        const auto a =
            least_margins(folder / "short/placements" / (std::string("car_") + brief + ".toml"));
        const auto b = least_margins(folder / "placements" / (std::string(full) + ".toml"));
        REQUIRE(a.size() == b.size());
        for (std::size_t i = 0; i < a.size(); ++i) {
            INFO(brief << ", " << a[i].cycle << ": short " << a[i].margin << " K of " << a[i].loop
                       << ", full " << b[i].margin << " K of " << b[i].loop);
            CHECK(a[i].cycle == b[i].cycle);
            CHECK(a[i].loop == b[i].loop);
            CHECK(std::abs(a[i].margin - b[i].margin) < 2.5);
        }
    }
}

TEST_CASE(
    "What a relation gives is drawn as derived, in a builder's words, with what goes into it") {
    const auto file = std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                      "scenarios/short/placements/car_under_floor.toml";
    const std::vector<scenario::Scenario> cars{
        scenario::read(file), scenario::read(file.parent_path() / "car_tank.toml")};
    const study::DoubtedCars drawn(cars, 1);
    const auto& numbers = drawn.numbers();
    std::set<std::string> words;
    std::size_t speed = numbers.size(), flow = speed, derived = 0;
    for (std::size_t k = 0; k < numbers.size(); ++k) {
        if (numbers[k].origin != scenario::Origin::derived) continue;
        ++derived;
        CHECK(words.insert(numbers[k].words()).second);
        CHECK(!numbers[k].relation.empty());
        CHECK(numbers[k].words().find('_') == std::string::npos);
        CHECK(numbers[k].source.find(".toml, line") == std::string::npos);
        if (numbers[k].words() == "peak power speed (engine)") speed = k;
        if (numbers[k].words() == "water pump flow (coolant water pump)") flow = k;
    }
    CHECK(derived > 50);
    REQUIRE(speed < numbers.size());
    REQUIRE(flow < numbers.size());
    std::vector<double> u(numbers.size(), 0.5);
    const model::Car as_is = drawn.car(0, u);
    u[speed] = solve::normal_share(2);  // two deviations up: 8 %
    const model::Car faster = drawn.car(0, u);
    CHECK(faster.vehicle.engine.redline / as_is.vehicle.engine.redline ==
          Approx(1.08).epsilon(1e-4));
    CHECK(faster.vehicle.shift.full_speed / as_is.vehicle.shift.full_speed ==
          Approx(1.08).epsilon(1e-4));
    // The torque of the same power at a higher speed is less.
    const auto peak = [](const model::Car& car) {
        return std::ranges::max(car.vehicle.engine.full_torque);
    };
    CHECK(peak(faster) / peak(as_is) == Approx(1 / 1.08).epsilon(1e-3));
    // What does not follow stays.
    CHECK(faster.vehicle.engine.idle_speed == as_is.vehicle.engine.idle_speed);
}

// SAE J189 (2003), scope: return hose on clamps works to 0.69 MPa.
TEST_CASE(
    "A hot steering return stands far below what its hose bears; a cold start at the rear is "
    "told") {
    const auto file = std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                      "scenarios/short/placements/pickup_behind_rear_axle.toml";
    const auto steering = [](const model::Result& r) {
        return *std::find_if(r.verdicts.begin(), r.verdicts.end(),
                             [](const model::Verdict& v) { return v.loop == "steering"; });
    };
    const auto warned = [](const model::Result& r) {
        return std::any_of(r.warnings.begin(), r.warnings.end(), [](const Diagnostic& d) {
            return d.code == Code::return_over_pressure && d.subject == "steering";
        });
    };
    const scenario::Scenario s = scenario::read(file);
    model::Options options;
    options.keep_series = false;
    model::Car cold = s.car;
    cold.start_warm = false;
    cold.start_temperature = 273.15;
    for (const drive::Cycle& cycle : s.cycles) {
        const model::Result r = model::simulate(*model::compile(s.car), cycle, options);
        INFO(cycle.name << ": " << steering(r).return_pressure << " Pa");
        CHECK(steering(r).return_pressure > 0.5e5);
        CHECK(steering(r).return_pressure < 0.5 * 0.69e6);
        CHECK_FALSE(warned(r));
    }
    const model::Result r = model::simulate(*model::compile(cold), s.cycles[1], options);
    CHECK(steering(r).return_pressure > 0.69e6);
    CHECK(warned(r));
}
