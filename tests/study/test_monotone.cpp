// A margin is monotone: hotter never has more of it. Over the shipped placements, cycles and
// faults.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <functional>

#include "lapheat/fluids/liquids.hpp"
#include "lapheat/hydraulics/expansion.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/parallel.hpp"

using namespace lapheat;

namespace {

using Change = std::function<void(model::Car&, drive::Cycle&)>;

void fault(model::Car& car, model::FaultKind kind, const std::string& part, double amount) {
    model::Fault f;
    f.kind = kind;
    f.part = part;
    f.amount = amount;
    car.faults.push_back(f);
}

const std::vector<std::pair<const char*, Change>>& changes() {
    static const std::vector<std::pair<const char*, Change>> all{
        {"a fan dead", [](model::Car& car, drive::Cycle&) { car.fans.front().dead = true; }},
        {"fans at half their claim",
         [](model::Car& car, drive::Cycle&) {
             for (model::FanEntry& fan : car.fans) {
                 airflow::FanCurve& c = fan.fan.curve;  // half the speed, by the fan laws
                 for (double& flow : c.flow) flow *= 0.5;
                 for (auto* of : {&c.pressure, &c.peak_right, &c.dip_left})
                     for (double& p : *of) p *= 0.25;
                 for (double& slope : c.slope) slope *= 0.5;
                 c.stall_flow *= 0.5;
                 c.dip_flow *= 0.5;
             }
         }},
        {"a hotter thermostat",
         [](model::Car& car, drive::Cycle&) {
             for (model::Loop& loop : car.loops)
                 for (model::Run& run : loop.runs)
                     for (model::Part& part : run.parts)
                         if (auto* t = std::get_if<model::Thermostat>(&part.body);
                             t && loop.name == "coolant") {
                             t->opens += 8;
                             t->full += 8;
                         }
         }},
        {"a blocked radiator",
         [](model::Car& car, drive::Cycle&) {
             fault(car, model::FaultKind::core_blocked, "radiator", 0.4);
         }},
        {"a hotter day",
         [](model::Car&, drive::Cycle& cycle) {
             for (double& t : cycle.ambient) t += 6;
         }},
    };
    return all;
}

const model::Series& watched(const model::Result& r, const std::string& loop) {
    const model::Series* s = r.find("loops/" + loop, "watched_temperature");
    REQUIRE(s != nullptr);
    return *s;
}

}  // namespace

TEST_CASE("a change that makes a loop hotter at all times never makes its margin larger",
          "[study]") {
    std::size_t hotter = 0;
    for (const char* name : {"ahead_of_radiator", "under_floor", "rear", "in_tank"}) {
        const auto s = scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                                      "scenarios/placements" / (std::string(name) + ".toml"));
        std::vector<study::Job> jobs;
        for (const drive::Cycle& cycle : s.cycles) {
            jobs.push_back({model::compile(s.car), std::make_shared<const drive::Cycle>(cycle)});
            for (const auto& [what, change] : changes()) {
                model::Car car = s.car;
                drive::Cycle driven = cycle;
                change(car, driven);
                jobs.push_back({model::compile(car), std::make_shared<const drive::Cycle>(driven)});
            }
        }
        const auto results = study::run_all(jobs);
        const std::size_t each = changes().size() + 1;
        for (std::size_t i = 0; i < results.size(); ++i) {
            const model::Result& base = results[i / each * each];
            if (i % each == 0) continue;
            for (std::size_t l = 0; l < base.verdicts.size(); ++l) {
                const auto &a = base.verdicts[l], &b = results[i].verdicts[l];
                const auto &cool = watched(base, a.loop).values,
                           &hot = watched(results[i], a.loop).values;
                REQUIRE(cool.size() == hot.size());
                bool higher = true;
                for (std::size_t k = 0; k < hot.size(); ++k) higher = higher && hot[k] >= cool[k];
                if (higher && hot != cool) ++hotter;
                INFO(name << ", " << base.cycle << ", " << a.loop << ", "
                          << changes()[i % each - 1].first);
                if (higher) CHECK(b.margin <= a.margin + 1e-9);
                // The stronger form, where the surroundings' pressure stands still.
                if (b.peak >= a.peak && a.peak_time == a.margin_time)
                    CHECK(b.margin <= a.margin + 1e-9);
            }
        }
    }
    CHECK(hotter > 40);  // the check is not empty
}

TEST_CASE(
    "a loop warmed as a whole stays above its vapour pressure until its cap holds vapour alone",
    "[study]") {
    const auto s = scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                                  "scenarios/placements/under_floor.toml");
    const auto loop = std::find_if(s.car.loops.begin(), s.car.loops.end(),
                                   [](const model::Loop& l) { return l.name == "coolant"; });
    REQUIRE(loop != s.car.loops.end());
    for (const double ambient : {101325.0, 80e3})
        for (const double gas : {0.4e-3, 1e-3, 4e-3}) {
            const double boils =
                model::boiling_as_a_whole(loop->fluid, loop->cap_pressure, ambient);
            hydraulics::ExpansionVolume tank;
            tank.gas_volume = gas;
            tank.fill_pressure = ambient;
            tank.cap_pressure = loop->cap_pressure;
            hydraulics::GasContent in = hydraulics::fill(tank, loop->fluid.vapour_pressure(293.15));
            const double mass = 8;  // kg
            for (double t = 300; t < boils - 0.5; t += 1) {
                const double swelling =
                    hydraulics::swelling(mass, loop->fluid.density(293.15), loop->fluid.density(t));
                const double vapour = loop->fluid.vapour_pressure(t);
                const auto now =
                    hydraulics::system_pressure(tank, in, swelling, t, vapour, ambient);
                in = now.gas;
                REQUIRE(now.pressure > vapour);
            }
            CHECK(loop->fluid.vapour_pressure(boils) ==
                  Approx(ambient + loop->cap_pressure).epsilon(1e-3));
            // A weaker cap and thinner air lower the limit.
            CHECK(model::boiling_as_a_whole(loop->fluid, 0.5 * loop->cap_pressure, ambient) <
                  boils);
            CHECK(model::boiling_as_a_whole(loop->fluid, loop->cap_pressure, 0.9 * ambient) <
                  boils);
        }
}

TEST_CASE("the demonstration's places are judged by transmission and steering, faults by all",
          "[study]") {
    const auto read = [](const std::string& file) {
        return scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios" / file).car;
    };
    const auto served = study::loops_served(
        {read("placements/ahead_of_radiator.toml"), read("placements/under_floor.toml")});
    CHECK(served == std::vector<std::string>{"transmission", "steering"});
    CHECK(
        study::loops_served({read("placements/rear.toml"), read("placements/rear.toml")}).empty());
    // A larger cooler in the same place is another one.
    auto car = read("placements/rear.toml");
    for (auto& core : car.cores)
        if (core.name.find("transmission") != std::string::npos) core.core.width *= 1.2;
    CHECK(study::loops_served({read("placements/rear.toml"), car}) ==
          std::vector<std::string>{"transmission"});
}
