// Random plausible cars: every placement and cycle of the demonstration with all that is in doubt
// drawn anew, as certainty draws it, and what must hold of each whatever was drawn. A few by
// default; LAPHEAT_RANDOM_CARS=2000 (draws) for the long hunt by hand, LAPHEAT_RANDOM_FROM for
// where it begins.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>

#include "lapheat/drive/generate.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/doubts.hpp"
#include "lapheat/study/parallel.hpp"

using namespace lapheat;
using study::Job;

namespace {

std::size_t from_environment(const char* name, std::size_t otherwise) {
    const char* text = std::getenv(name);
    return text ? std::strtoul(text, nullptr, 10) : otherwise;
}

const std::vector<scenario::Scenario>& placements() {
    static const std::vector<scenario::Scenario> all = [] {
        std::vector<std::filesystem::path> files;
        for (const auto& file : std::filesystem::directory_iterator(
                 std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements"))
            files.push_back(file.path());
        std::sort(files.begin(), files.end());
        std::vector<scenario::Scenario> out;
        for (const auto& file : files) out.push_back(scenario::read(file));
        return out;
    }();
    return all;
}

const study::DoubtedCars& drawn() {
    static const study::DoubtedCars cars(placements(), 77);
    return cars;
}

/// Calls look(draw, placement's number, car) for every drawn car.
template <class Look>
void each_car(std::size_t usual, Look look) {
    const std::size_t first = from_environment("LAPHEAT_RANDOM_FROM", 0);
    const std::size_t count = from_environment("LAPHEAT_RANDOM_CARS", usual);
    for (std::size_t n = first; n < first + count; ++n) {
        const std::vector<double> draw = drawn().draw(static_cast<std::uint32_t>(n));
        for (std::size_t p = 0; p < placements().size(); ++p) {
            CAPTURE(n, placements()[p].car.placement);
            look(n, p, drawn().car(p, draw));
        }
    }
}

std::shared_ptr<const drive::Cycle> shared(drive::Cycle cycle) {
    return std::make_shared<const drive::Cycle>(std::move(cycle));
}

std::vector<model::Result> run(const std::vector<Job>& jobs) {
    study::ParallelOptions options;
    return study::run_all(jobs, options);
}

const std::vector<double>& watched(const model::Result& r, const std::string& loop) {
    return r.find("loops/" + loop, "watched_temperature")->values;
}

/// Fans that run always, so that no switch trades one fluid's air for another's.
model::Car with_fans_always(model::Car car) {
    for (model::FanEntry& fan : car.fans) {
        fan.switches.clear();
        fan.with_air_conditioning = false;
    }
    return car;
}

/// kg/s of coolant through the core that cools a fluid in it, time mean.
double mean_tank_flow(const model::Result& r, const std::string& core) {
    const auto& flow = r.find("cores/" + core, "second_mass_flow")->values;
    double sum = 0;
    for (const double x : flow) sum += x;
    return sum / static_cast<double>(flow.size());
}

bool has_thermostat(const model::Car& car, const std::string& name) {
    for (const model::Loop& loop : car.loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (loop.name == name && std::holds_alternative<model::Thermostat>(part.body))
                    return true;
    return false;
}

drive::Surroundings jam(double ambient) {
    return {.ambient = ambient, .humidity = 0.25, .sun = 850, .wind = 0, .altitude = 300};
}

}  // namespace

TEST_CASE("random cars run to the end, close their ledger, and stay within what fluids can be",
          "[study][random]") {
    each_car(1, [](std::size_t, std::size_t p, const model::Car& car) {
        const auto model = model::compile(car);
        std::vector<Job> jobs;
        for (const drive::Cycle& cycle : placements()[p].cycles)
            jobs.push_back({model, shared(cycle)});
        for (const model::Result& r : run(jobs)) {
            CAPTURE(r.cycle);
            CHECK(r.ledger.closure < 1e-9);
            CHECK(r.cost.network_failures == 0);
            CHECK(r.cost.network_residual < 1e-5);
            // Cars as written take 5 000 to 13 000, whatever else the machine does meanwhile.
            CHECK(r.cost.rhs_calls < 100'000);
            double coldest = 1e9;
            for (const double t : r.find("air", "ambient_temperature")->values)
                coldest = std::min(coldest, t);
            for (const model::Verdict& v : r.verdicts) {
                CAPTURE(v.loop);
                CHECK(std::isfinite(v.margin));
                CHECK(v.peak < 273.15 + 260);
                CHECK(v.lost_share <= 1);
                const auto& t = watched(r, v.loop);
                CHECK(*std::min_element(t.begin(), t.end()) > coldest - 0.5);
                if (v.role == model::LoopRole::coolant) CHECK(v.peak < v.limit + 25);
            }
        }
    });
}

TEST_CASE("random cars: a longer run begins as the shorter one", "[study][random]") {
    each_car(1, [](std::size_t, std::size_t, const model::Car& car) {
        const auto model = model::compile(car);
        const auto results =
            run({{model, shared(drive::idle(300, drive::Selector::drive, jam(311)))},
                 {model, shared(drive::idle(600, drive::Selector::drive, jam(311)))}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            const auto &a = watched(results[0], v.loop), &b = watched(results[1], v.loop);
            REQUIRE(b.size() > a.size());
            // To the last but one record: there a run may cut its step at its end.
            double worst = 0;
            for (std::size_t i = 0; i + 2 < a.size(); ++i)
                worst = std::max(worst, std::abs(a[i] - b[i]));
            CHECK(worst < 0.05);
        }
    });
}

TEST_CASE("random cars: fans with more air never leave a jam hotter", "[study][random]") {
    each_car(1, [](std::size_t, std::size_t, const model::Car& plain) {
        const model::Car car = with_fans_always(plain);
        model::Car stronger = car;
        for (model::FanEntry& fan : stronger.fans) fan.fan.flow_level.value *= 1.25;
        const auto cycle = shared(drive::idle(1200, drive::Selector::drive, jam(311)));
        const auto results = run({{model::compile(car), cycle}, {model::compile(stronger), cycle}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            const double more = watched(results[1], v.loop).back();
            // Cooler coolant shuts its thermostat, and with it stands the tank.
            if (v.in_coolant && more > v.end + 0.3)
                CHECK(mean_tank_flow(results[1], v.core) < mean_tank_flow(results[0], v.core));
            else
                CHECK(more < v.end + 0.3);
        }
    });
}

TEST_CASE(
    "random cars: hotter air never leaves a fluid cooler, but where a thermostat opens for it",
    "[study][random]") {
    std::size_t cooler = 0;
    each_car(1, [&](std::size_t, std::size_t, const model::Car& car) {
        const auto model = model::compile(with_fans_always(car));
        const auto results =
            run({{model, shared(drive::idle(1200, drive::Selector::drive, jam(306)))},
                 {model, shared(drive::idle(1200, drive::Selector::drive, jam(311)))}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            const auto &a = watched(results[0], v.loop), &b = watched(results[1], v.loop);
            double worst = 0;
            for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i)
                worst = std::min(worst, b[i] - a[i]);
            if (v.in_coolant && worst < -0.3) {
                // The tank stands while the thermostat is shut; hotter air opens it.
                CHECK(mean_tank_flow(results[1], v.core) > mean_tank_flow(results[0], v.core));
                ++cooler;
                continue;
            }
            // A thermostat's own play, its own or the coolant's behind the oil, may hang apart.
            const bool leans =
                v.role == model::LoopRole::coolant || v.role == model::LoopRole::engine_oil;
            CHECK(worst > (leans ? -8 : has_thermostat(car, v.loop) ? -2 : -0.5));
        }
    });
    WARN("fluids in a tank that hotter air left cooler: " << cooler);
}

TEST_CASE(
    "random cars: hotter at all times never has more margin, nor holds where the cooler does not",
    "[study][random]") {
    std::size_t hotter = 0, boiling = 0;
    each_car(1, [&](std::size_t, std::size_t, const model::Car& plain) {
        // With its fans dead and a weak cap a car in a jam comes to the boil.
        model::Car weak = plain;
        for (model::FanEntry& fan : weak.fans) fan.dead = true;
        for (model::Loop& loop : weak.loops)
            if (loop.role == model::LoopRole::coolant) loop.cap_pressure = 20e3;
        std::vector<Job> jobs;
        for (const model::Car& car : {with_fans_always(plain), weak}) {
            const auto model = model::compile(car);
            for (const double ambient : {306.0, 311.0, 318.0})
                jobs.push_back(
                    {model, shared(drive::idle(1500, drive::Selector::drive, jam(ambient)))});
        }
        const auto results = run(jobs);
        for (std::size_t i = 0; i < results.size(); ++i)
            for (std::size_t j = i + 1; j < 3 * (i / 3 + 1); ++j)
                for (std::size_t l = 0; l < results[i].verdicts.size(); ++l) {
                    const model::Verdict &cool = results[i].verdicts[l],
                                         &hot = results[j].verdicts[l];
                    const auto &a = watched(results[i], cool.loop),
                               &b = watched(results[j], hot.loop);
                    bool always = a.size() == b.size();
                    for (std::size_t k = 0; always && k < a.size(); ++k) always = b[k] >= a[k];
                    boiling += hot.boils >= 0 ? 1 : 0;
                    if (!always) continue;
                    ++hotter;
                    CAPTURE(hot.loop, i, j);
                    CHECK(hot.margin <= cool.margin + 1e-6);
                    if (!cool.holds()) CHECK_FALSE(hot.holds());
                    if (cool.boils >= 0) CHECK(hot.boils >= 0);
                }
    });
    CHECK(hotter > 100);
    CHECK(boiling > 10);
}
