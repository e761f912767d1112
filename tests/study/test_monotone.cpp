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

using CarAndCycleChange = std::function<void(model::Car&, drive::Cycle&)>;

void fault(model::Car& car, model::FaultKind kind, const std::string& part, double amount) {
    model::Fault f;
    f.kind = kind;
    f.part = part;
    f.amount = amount;
    car.faults.push_back(f);
}

const std::vector<std::pair<const char*, CarAndCycleChange>>& changes() {
    static const std::vector<std::pair<const char*, CarAndCycleChange>> all{
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

const model::Series& watched_series(const model::Result& r, const std::string& loop) {
    const model::Series* s = r.find("loops/" + loop, "watched_temperature");
    REQUIRE(s != nullptr);
    return *s;
}

/// The first `end` s of a cycle.
drive::Cycle first(drive::Cycle c, double end) {
    const auto keep = static_cast<std::size_t>(std::upper_bound(c.time.begin(), c.time.end(), end) -
                                               c.time.begin());
    for (auto* column : {&c.time, &c.speed, &c.grade, &c.altitude, &c.ambient, &c.humidity, &c.sun,
                         &c.wind, &c.steering_angle, &c.lateral_acceleration, &c.held_throttle,
                         &c.ac_demand, &c.trailer_mass})
        column->resize(std::min(keep, column->size()));
    c.engine_on.resize(std::min(keep, c.engine_on.size()));
    c.selector.resize(std::min(keep, c.selector.size()));
    c.gear.resize(std::min(keep, c.gear.size()));
    std::erase_if(c.phases, [&](const drive::Phase& p) { return p.begin >= c.time.back(); });
    for (drive::Phase& p : c.phases) p.end = std::min(p.end, c.time.back());
    return c;
}

}  // namespace

TEST_CASE("hotter at all times never has more margin, nor holds where the cooler car does not",
          "[study]") {
    // Every placement, cycle, change and fault. The first four minutes from one stated start, so
    // that nothing has to settle; what is held needs no long run.
    constexpr double duration = 240;
    study::ParallelOptions coarse;
    coarse.run.tolerance = 0.02;
    std::vector<std::pair<std::string, std::vector<model::Fault>>> broken;
    for (const auto& file : std::filesystem::directory_iterator(
             std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/faults")) {
        auto faults = scenario::read(file.path()).car.faults;
        for (model::Fault& f : faults) f.begins = 0;
        REQUIRE(!faults.empty());
        broken.emplace_back(file.path().stem(), std::move(faults));
    }
    REQUIRE(broken.size() == 8);
    std::size_t hotter = 0, boiling = 0, placements = 0;
    for (const auto& file : std::filesystem::directory_iterator(
             std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements")) {
        auto s = scenario::read(file.path());
        ++placements;
        s.car.settled_speed = 0;
        s.car.start_temperature = 368;
        std::vector<study::Job> jobs;
        std::vector<std::string> what;
        std::vector<std::size_t> base_of;
        for (const drive::Cycle& cycle : s.cycles) {
            const drive::Cycle part = first(cycle, duration);
            const std::size_t base = jobs.size();
            const auto add = [&](const std::string& name, const model::Car& car,
                                 const drive::Cycle& driven) {
                jobs.push_back({model::compile(car), std::make_shared<const drive::Cycle>(driven)});
                what.push_back(name);
                base_of.push_back(base);
            };
            add("as it is", s.car, part);
            for (const auto& [name, change] : changes()) {
                model::Car car = s.car;
                drive::Cycle driven = part;
                change(car, driven);
                add(name, car, driven);
            }
            for (const auto& [name, faults] : broken) {
                model::Car car = s.car;
                car.faults.insert(car.faults.end(), faults.begin(), faults.end());
                add(name, car, part);
            }
        }
        const auto results = study::run_all(jobs, coarse);
        for (std::size_t i = 0; i < results.size(); ++i) {
            const model::Result& base = results[base_of[i]];
            if (i == base_of[i]) continue;
            for (std::size_t l = 0; l < base.verdicts.size(); ++l) {
                const auto &a = base.verdicts[l], &b = results[i].verdicts[l];
                const auto &cool = watched_series(base, a.loop).values,
                           &hot = watched_series(results[i], a.loop).values;
                REQUIRE(cool.size() == hot.size());
                bool higher = true;
                for (std::size_t k = 0; k < hot.size(); ++k) higher = higher && hot[k] >= cool[k];
                if (!higher) continue;
                INFO(file.path().stem() << ", " << base.cycle << ", " << a.loop << ", " << what[i]);
                if (hot != cool) ++hotter;
                if (a.boils >= 0) ++boiling;
                CHECK(b.margin <= a.margin + 1e-9);
                CHECK((a.holds() || !b.holds()));
            }
        }
    }
    CHECK(placements == 9);
    CHECK(hotter > 100);  // the check is not empty
    CAPTURE(boiling);
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

namespace {

/// The car without its coolers: what it is judged by loses its cores, wherever they stand, and the
/// air paths that held nothing else go with their fans.
model::Car without_coolers(model::Car car, const std::vector<std::string>& served) {
    std::vector<std::string> gone;
    for (model::Loop& loop : car.loops)
        if (std::find(served.begin(), served.end(), loop.name) != served.end())
            for (model::Run& run : loop.runs)
                for (const model::Part& part : run.parts)
                    if (const auto* pass = std::get_if<model::CorePass>(&part.body))
                        gone.push_back(pass->core);
    const auto is_gone = [&](const std::string& core) {
        return std::find(gone.begin(), gone.end(), core) != gone.end();
    };
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs)
            std::erase_if(run.parts, [&](const model::Part& part) {
                const auto* pass = std::get_if<model::CorePass>(&part.body);
                return pass && is_gone(pass->core);
            });
    std::erase_if(car.cores, [&](const model::CoreEntry& c) { return is_gone(c.name); });
    for (model::AirPath& path : car.air)
        std::erase_if(path.stack, [&](const model::StackItem& item) { return is_gone(item.core); });
    for (const model::AirPath& path : car.air)
        if (path.stack.empty())
            for (const model::Shroud& shroud : path.shrouds)
                std::erase_if(car.fans, [&](const model::FanEntry& fan) {
                    return std::find(shroud.fans.begin(), shroud.fans.end(), fan.name) !=
                           shroud.fans.end();
                });
    std::erase_if(car.air, [](const model::AirPath& path) { return path.stack.empty(); });
    return car;
}

}  // namespace

TEST_CASE("the compared place that leaves a loop most stands for the car without its coolers",
          "[study]") {
    // What study::rank() takes for "without it" against the real thing, on the demonstration. A
    // place that does not hold has fluid so hot that its car would not be driven so; its other
    // loops are compared all the same.
    std::vector<scenario::Scenario> all;
    for (const char* name : {"ahead_of_radiator", "under_floor", "rear", "in_tank", "tank_only"})
        all.push_back(scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                                     "scenarios/placements" / (std::string(name) + ".toml")));
    std::vector<model::Car> cars;
    for (const auto& s : all) cars.push_back(s.car);
    const auto served = study::loops_served(cars);
    std::vector<study::Job> jobs;
    const std::size_t cycles = all.front().cycles.size();
    for (const auto& s : all)
        for (const drive::Cycle& c : s.cycles)
            jobs.push_back({model::compile(s.car), std::make_shared<const drive::Cycle>(c)});
    const auto bare = model::compile(without_coolers(all.front().car, served));
    for (const drive::Cycle& c : all.front().cycles)
        jobs.push_back({bare, std::make_shared<const drive::Cycle>(c)});
    const auto results = study::run_all(jobs);
    for (std::size_t k = 0; k < cycles; ++k)
        for (const char* loop : {"coolant", "engine_oil"}) {
            const auto margin = [&](const model::Result& r) {
                for (const model::Verdict& v : r.verdicts)
                    if (v.loop == loop) return v.margin;
                throw Error("no verdict");
            };
            double best = -1e9;
            for (std::size_t p = 0; p < all.size(); ++p)
                best = std::max(best, margin(results[p * cycles + k]));
            const double really = margin(results[all.size() * cycles + k]);
            UNSCOPED_INFO(all.front().cycles[k].name << ", " << loop << ": best place " << best
                                                     << ", without " << really);
            CHECK(std::abs(best - really) < study::margin_doubt);  // what the rank calls a tie
        }
}
