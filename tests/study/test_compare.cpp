#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstring>
#include <filesystem>

#include "../../libsim/study/src/without.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/margin.hpp"
#include "lapheat/study/page.hpp"
#include "lapheat/study/parallel.hpp"

using namespace lapheat;

namespace {

/// A placement of the invented demo car with two minutes of driving, so that tests stay short.
scenario::Scenario placement(const std::string& name) {
    auto s = scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements" /
                            (name + ".toml"));
    s.car.start_warm = true;
    const drive::Surroundings hot{
        .ambient = 311.15, .humidity = 0.3, .sun = 800, .wind = 0, .altitude = 0};
    s.cycles = {drive::make_cycle("town", {0, 20, 60, 120}, {0, 12, 12, 0}, hot),
                drive::make_cycle("road", {0, 20, 90}, {10, 30, 30}, hot)};
    return s;
}

bool same_bits(const std::vector<double>& a, const std::vector<double>& b) {
    return a.size() == b.size() &&
           (a.empty() || std::memcmp(a.data(), b.data(), a.size() * sizeof(double)) == 0);
}

}  // namespace

TEST_CASE("results are the same bits for one thread and for three", "[study]") {
    const std::vector<scenario::Scenario> both{placement("under_floor"),
                                               placement("ahead_of_radiator")};
    study::CompareOptions options;
    options.threads = 1;
    const auto one = study::compare(both, options);
    options.threads = 3;
    const auto three = study::compare(both, options);
    REQUIRE(one.outcomes.size() == 4);
    for (std::size_t i = 0; i < one.outcomes.size(); ++i) {
        const auto &a = one.outcomes[i].result, &b = three.outcomes[i].result;
        REQUIRE(a.series.size() == b.series.size());
        REQUIRE(!a.series.empty());
        for (std::size_t s = 0; s < a.series.size(); ++s)
            CHECK(same_bits(a.series[s].values, b.series[s].values));
        CHECK(a.verdicts.size() == b.verdicts.size());
        CHECK(one.outcomes[i].binding == three.outcomes[i].binding);
    }
    CHECK(one.verdict == three.verdict);
    CHECK(one.ranking.front().placement == three.ranking.front().placement);
}

TEST_CASE("a cooler ahead of the radiator costs coolant margin, and the comparison says how much",
          "[study]") {
    auto front = placement("ahead_of_radiator"), floor = placement("under_floor");
    const auto c = study::compare({front, floor});
    CHECK(c.placed == std::vector<std::string>{"cooler.transmission", "cooler.steering"});
    double most = 0;
    std::size_t without = 0;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) {
        // Against the same car without the cooler: ahead of the radiator costs, under the floor
        // does next to nothing.
        for (std::size_t p = 0; p < 2; ++p) {
            const auto* v = results::verdict_of(c.at(p, k).result, "coolant");
            double bare = 0;
            for (const model::Verdict& w : c.at(p, k).without)
                if (w.loop == "coolant") bare = w.margin;
            CHECK(c.at(p, k).coolant_lost == std::max(0.0, bare - v->margin));
        }
        CHECK(c.at(1, k).coolant_lost <= c.at(0, k).coolant_lost);
        CHECK(c.at(1, k).coolant_lost < 0.5);
        most = std::max(most, c.at(0, k).coolant_lost);
        // What is left when the cooler is taken out of either place is the same car.
        for (const model::Verdict& w : c.at(0, k).without)
            for (const model::Verdict& other : c.at(1, k).without)
                if (w.loop == "coolant" && other.loop == "coolant") {
                    CHECK(w.margin == Approx(other.margin).margin(0.05));
                    ++without;
                }
    }
    CHECK(without == c.cycles.size());
    CHECK(most > 0.5);
    CHECK_THAT(study::ranking_rule(c, units::System::si),
               Catch::Matchers::Contains("same car with its cooler taken out"));
    CHECK(c.cautions.size() > 5);
    // Of what binds a run alone says the same as the comparison.
    for (std::size_t p = 0; p < 2; ++p)
        for (std::size_t k = 0; k < c.cycles.size(); ++k) {
            const scenario::Scenario& s = p == 0 ? front : floor;
            const auto alone = model::simulate(*model::compile(s.car), s.cycles[k]);
            const auto* v = results::verdict_of(alone, c.at(p, k).worst_loop);
            REQUIRE(v != nullptr);
            CHECK(c.at(p, k).binding == results::fluid_and_what_binds(v, units::System::si));
        }
}

TEST_CASE("the car without what is placed has no core, no path and no fan of it", "[study]") {
    const std::vector<std::string> cooler{"cooler.transmission", "cooler.steering"};
    for (const char* name : {"ahead_of_radiator", "behind_radiator", "under_floor", "rear"}) {
        CAPTURE(name);
        const auto car = study::without_cores(placement(name).car, cooler);
        REQUIRE(car.has_value());
        CHECK(car->cores.size() == 1);
        CHECK(car->air.size() == 1);
        CHECK(car->fans.size() == 2);
        CHECK(car->air.front().assumptions.place == airflow::Place::front);
        CHECK(car->air.front().stack.size() == 2);
        CHECK_NOTHROW(model::compile(*car));
    }
    // What was to befall a fan of its own goes with that fan.
    const scenario::Scenario own = placement("under_floor");
    model::Car struck = own.car;
    for (const model::FanEntry& fan : struck.fans) {
        model::Fault dies;
        dies.kind = model::FaultKind::fan_dead;
        dies.part = fan.name;
        struck.faults.push_back(dies);
    }
    const auto left = study::without_cores(struck, cooler);
    REQUIRE(left.has_value());
    CHECK(left->faults.size() == left->fans.size());
    CHECK(left->faults.size() < struck.faults.size());
    CHECK_NOTHROW(model::compile(*left));

    // A cooler in the tank stands in two loops.
    const auto tank = study::without_cores(placement("tank_only").car, {"tank_cooler"});
    REQUIRE(tank.has_value());
    std::vector<std::string> passed;
    for (const model::Loop& loop : tank->loops)
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* pass = std::get_if<model::CorePass>(&part.body))
                    passed.push_back(pass->core);
    CHECK(passed == std::vector<std::string>{"radiator"});
    CHECK_FALSE(study::without_cores(placement("tank_only").car, cooler).has_value());
}

TEST_CASE("a place does not hold a car whose coolant boils with it and without", "[study]") {
    std::vector<scenario::Scenario> places{placement("rear"), placement("under_floor")};
    // An hour at rest on a hot day, no fan turning.
    const drive::Cycle jam =
        drive::idle(3600, drive::Selector::drive,
                    {.ambient = 313.15, .humidity = 0.25, .sun = 850, .wind = 0, .altitude = 300});
    for (scenario::Scenario& s : places) {
        for (model::FanEntry& fan : s.car.fans)
            if (fan.name != "cooler_fan") fan.dead = true;
        s.cycles = {jam};
    }
    const study::Comparison c = study::compare(places, {});
    const study::Ranked& r = c.ranking.front();
    const model::Verdict* coolant = results::verdict_of(c.at(0, 0).result, "coolant");
    REQUIRE(coolant != nullptr);
    REQUIRE_FALSE(coolant->holds());
    CHECK(r.over_anyway == "coolant");
    CHECK_THAT(r.reason, Catch::Contains("coolant does not hold, with this place or without") &&
                             !Catch::Contains("olds with at least"));
    CHECK_THAT(study::comparison_page(c, units::System::si), !Catch::Contains(">Holds<"));
}

TEST_CASE("nine places serve transmission and steering, whichever of them are compared",
          "[study]") {
    std::vector<model::Car> cars;
    for (const auto& file : std::filesystem::directory_iterator(
             std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements"))
        cars.push_back(scenario::read(file.path()).car);
    REQUIRE(cars.size() >= 9);
    const std::vector<std::string> served{"transmission", "steering"};
    CHECK(study::loops_served(cars) == served);
    // Two that differ by the order of the stack alone serve the same.
    CHECK(study::loops_served(
              {placement("ahead_of_condenser").car, placement("ahead_of_radiator").car}) == served);
    // A radiator that is deeper is another one.
    model::Car deeper = cars.front();
    for (model::CoreEntry& core : deeper.cores)
        if (core.name == "radiator") core.core.depth *= 1.3;
    const auto by_radiator = study::loops_served({cars.front(), deeper});
    CHECK(by_radiator == std::vector<std::string>{"coolant"});
    CHECK(study::placed_cores({cars.front(), deeper}, by_radiator).empty());
}

TEST_CASE("results come in order, and no more of them than wait for an earlier one", "[study]") {
    const auto s = placement("in_tank");
    const auto model = model::compile(s.car);
    const auto cycle = std::make_shared<const drive::Cycle>(
        drive::make_cycle("start", {0, 5}, {0, 5},
                          {.ambient = 300, .humidity = 0.4, .sun = 0, .wind = 0, .altitude = 0}));
    std::vector<std::size_t> order;
    double last = 0;
    study::ParallelOptions options;
    options.threads = 3;
    options.run.keep_series = false;
    options.progress = [&](double done) {
        CHECK(done >= last);
        CHECK(done <= 1);
        last = done;
    };
    study::run_each(
        12,
        [&](std::size_t) {
            return study::Job{model, cycle};
        },
        [&](std::size_t i, model::Result&& r) {
            CHECK(r.series.empty());
            order.push_back(i);
        },
        options);
    CHECK(order == std::vector<std::size_t>{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11});
    CHECK(last == Approx(1));
}

TEST_CASE("the error of the first failing job is the one that is told", "[study]") {
    const auto s = placement("in_tank");
    const auto model = model::compile(s.car);
    const auto cycle = std::make_shared<const drive::Cycle>(
        drive::make_cycle("start", {0, 2}, {0, 2},
                          {.ambient = 300, .humidity = 0.4, .sun = 0, .wind = 0, .altitude = 0}));
    for (const int threads : {1, 2, 4}) {
        study::ParallelOptions options;
        options.threads = threads;
        CHECK_THROWS_WITH(study::run_each(
                              9,
                              [&](std::size_t i) {
                                  if (i == 3 || i == 4) throw Error("job " + std::to_string(i));
                                  return study::Job{model, cycle};
                              },
                              [](std::size_t, model::Result&&) {}, options),
                          "job 3");
    }
}

TEST_CASE("a study stops when it is cancelled", "[study]") {
    const std::atomic<bool> cancel{true};
    study::CompareOptions options;
    options.cancel = &cancel;
    CHECK_THROWS_WITH(study::compare({placement("in_tank")}, options),
                      Catch::Contains("cancelled"));
}

TEST_CASE("placements with other cycles cannot be compared", "[study]") {
    auto a = placement("in_tank"), b = placement("rear");
    b.cycles.pop_back();
    CHECK_THROWS_WITH(study::compare({a, b}), Catch::Contains("other cycles"));
    CHECK_THROWS_AS(study::compare({}), Error);
}

TEST_CASE("at the hottest ambient that holds the margin is nothing", "[study]") {
    auto s = placement("ahead_of_radiator");
    s.car.start_warm = false;  // loops start at ambient and follow it
    const auto limited = [&](double kelvin) {
        auto car = s.car;
        for (auto& loop : car.loops) {
            loop.limits.limit = kelvin;
            loop.limits.boiling_reserve = 0;
        }
        return model::compile(car);
    };
    const auto model = limited(325);
    const auto found = study::hottest_ambient(*model, s.cycles[0], {}, {"engine_oil"});
    REQUIRE_FALSE(found.beyond_range);
    double margin = 1e9;
    for (const auto& v : model::simulate(*model, study::shifted(s.cycles[0], found.shift)).verdicts)
        if (v.loop != "engine_oil") margin = std::min(margin, v.margin);
    CHECK(margin == Approx(0).margin(0.2));
    CHECK(found.ambient == Approx(311.15 + found.shift));
    CHECK(found.runs <= 8);
    // Limits 5 K lower need a cooler day, by about as much.
    const auto strict = study::hottest_ambient(*limited(320), s.cycles[0], {}, {"engine_oil"});
    CHECK(strict.ambient < found.ambient - 3);
    CHECK(strict.ambient > found.ambient - 8);
    // A limit that no weather reaches is said to be beyond the range.
    CHECK(study::hottest_ambient(*limited(470), s.cycles[0], {}, {}).beyond_range);
}

TEST_CASE("a car's assumptions are those of its places, its engine and its links, each a range") {
    model::Car car = placement("under_floor").car;
    const auto all = model::assumptions(car);
    const auto of = [&](const std::string& owner) {
        return std::count_if(all.begin(), all.end(), [&](const auto& a) { return a.of == owner; });
    };
    CHECK(of("engine") == 2);
    CHECK(of("pan to jacket") == 1);
    CHECK(of(car.air.front().assumptions.name) > 5);
    for (const auto& a : all) {
        INFO(a.of << ", " << a.name);
        CHECK(a.number->low <= a.number->value);
        CHECK(a.number->value <= a.number->high);
    }
    // They are the car's own numbers: what is set is what runs.
    for (const auto& a : all)
        if (a.of == "engine" && std::string(a.name) == "heat to coolant and oil")
            a.number->value = a.number->high;
    CHECK(car.engine.wall_heat_level.value == car.engine.wall_heat_level.high);
}

TEST_CASE("compare says what the other ways of waiting in the queue would cost", "[study]") {
    study::CompareOptions options;
    const auto c = study::compare({scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) /
                                                  "scenarios/placements/rear.toml")},
                                  options);
    REQUIRE(c.queue.size() == 3);  // only the laps wait
    CHECK(c.queue[0].as_driven);
    CHECK(c.queue[0].way == "in park");
    double driven = 0;
    for (const study::CycleOutcome& o : c.outcomes)
        if (o.cycle == c.queue[0].cycle)
            for (const model::Verdict& v : o.result.verdicts)
                if (v.role == model::LoopRole::transmission) driven = v.margin;
    CHECK(c.queue[0].margin == driven);
    CHECK(c.queue[1].way == "in drive on the brake");
    CHECK(c.queue[1].margin < driven - 1);  // its converter makes heat all the while
    CHECK(c.queue[2].way == "with the engine off");
    CHECK(c.queue[2].margin != driven);
    CHECK(std::count_if(c.cautions.begin(), c.cautions.end(), [](const study::Caution& said) {
              return said.text.find("in drive on the brake") != std::string::npos;
          }) == 1);
}
