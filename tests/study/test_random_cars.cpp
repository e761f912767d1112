// Random plausible cars: every placement and cycle of the demonstration with all that is in doubt
// drawn anew, as certainty draws it, and what must hold of each whatever was drawn. A few by
// default; by hand LAPHEAT_RANDOM_CARS=2000 (draws) for the long hunt, LAPHEAT_RANDOM_SPREAD=1 for
// one place a draw, by turns, in place of all, LAPHEAT_RANDOM_FROM for where it begins.
#include <fmt/format.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <filesystem>

#include "lapheat/drive/generate.hpp"
#include "lapheat/scenario/handle.hpp"
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

const std::vector<std::filesystem::path>& placement_files() {
    static const std::vector<std::filesystem::path> all = [] {
        std::vector<std::filesystem::path> files;
        for (const auto& file : std::filesystem::directory_iterator(
                 std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements"))
            files.push_back(file.path());
        std::sort(files.begin(), files.end());
        return files;
    }();
    return all;
}

const std::vector<scenario::Scenario>& placements() {
    static const std::vector<scenario::Scenario> all = [] {
        std::vector<scenario::Scenario> out;
        for (const auto& file : placement_files()) out.push_back(scenario::read(file));
        return out;
    }();
    return all;
}

constexpr std::uint64_t series = 77;

const study::DoubtedCars& drawn() {
    static const study::DoubtedCars cars(placements(), series);
    return cars;
}

std::size_t runs = 0;  // so far

/// Calls look(draw, placement's number, car) for every drawn car, and returns how many there were.
/// One that cannot be driven is told, and the hunt goes on.
template <class Look>
std::size_t each_car(Look look) {
    // The first two draws are the same of every coordinate but for their scrambling.
    const std::size_t first = from_environment("LAPHEAT_RANDOM_FROM", 2);
    const std::size_t count = from_environment("LAPHEAT_RANDOM_CARS", 1);
    const bool spread = from_environment("LAPHEAT_RANDOM_SPREAD", 0) != 0;
    const std::size_t runs_before = runs;
    std::size_t cars = 0;
    for (std::size_t n = first; n < first + count; ++n) {
        const std::vector<double> draw = drawn().draw(static_cast<std::uint32_t>(n));
        for (std::size_t p = 0; p < placements().size(); ++p) {
            if (spread && p != n % placements().size()) continue;
            CAPTURE(n, placements()[p].car.placement);
            try {
                ++cars;
                look(n, p, drawn().car(p, draw));
            } catch (const Error& e) {
                FAIL_CHECK(e.what());
            }
        }
    }
    if (count > 1) WARN(cars << " cars, " << runs - runs_before << " runs");
    return cars;
}

std::shared_ptr<const drive::Cycle> shared(drive::Cycle cycle) {
    return std::make_shared<const drive::Cycle>(std::move(cycle));
}

std::vector<model::Result> run(const std::vector<Job>& jobs) {
    study::ParallelOptions options;
    runs += jobs.size();
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

/// Fans that run always, and every valve that wax works held open: nothing switches.
model::Car with_nothing_that_switches(model::Car car) {
    car = with_fans_always(std::move(car));
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs)
            for (model::Part& part : run.parts)
                if (auto* thermostat = std::get_if<model::Thermostat>(&part.body))
                    thermostat->stuck = thermostat->reversed ? 0 : 1;
    return car;
}

drive::Surroundings jam(double ambient) {
    return {.ambient = ambient, .humidity = 0.25, .sun = 850, .wind = 0, .altitude = 300};
}

/// By how much the fluid of `b` was the cooler one where it was that most: zero or below, K.
double coolest_beside(const model::Result& b, const model::Result& a, const std::string& loop) {
    const auto &cool = watched(a, loop), &hot = watched(b, loop);
    double worst = 0;
    for (std::size_t i = 0; i < std::min(cool.size(), hot.size()); ++i)
        worst = std::min(worst, hot[i] - cool[i]);
    return worst;
}

/// The placement's file with every number that it states in units of the United States.
scenario::Scenario restated(std::size_t p) {
    scenario::Document document = scenario::load(placement_files()[p]);
    for (const scenario::Number& n : placements()[p].numbers) {
        const char* unit = units::display_unit(n.quantity, units::System::us);
        if (n.origin != scenario::Origin::yours || *unit == '\0') continue;
        std::string text = fmt::format(
            "{:.17g} {}", units::to_display(n.value, n.quantity, units::System::us), unit);
        REQUIRE(n.half == 0);  // a doubt would need its own number and unit
        document = document.with(n.path, fmt::format("\"{}\"", text));
    }
    return scenario::read(document, placement_files()[p].parent_path());
}

}  // namespace

TEST_CASE("random cars run to the end, close their ledger, and stay within what fluids can be",
          "[study][random]") {
    each_car([](std::size_t, std::size_t p, const model::Car& car) {
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

TEST_CASE("random cars: a run of twice the length begins as the one of once", "[study][random]") {
    each_car([](std::size_t n, std::size_t p, const model::Car& car) {
        const auto model = model::compile(car);
        // One of the cycles by turns, not in step with the places.
        const auto& cycles = placements()[p].cycles;
        const drive::Cycle& cycle = cycles[n / placements().size() % cycles.size()];
        const auto results =
            run({{model, shared(drive::idle(300, drive::Selector::drive, jam(311)))},
                 {model, shared(drive::idle(600, drive::Selector::drive, jam(311)))},
                 {model, shared(cycle)},
                 {model, shared(drive::repeat(cycle, 2))}});
        for (std::size_t once : {0, 2})
            for (const model::Verdict& v : results[once].verdicts) {
                CAPTURE(v.loop, results[once].cycle);
                const auto &a = watched(results[once], v.loop),
                           &b = watched(results[once + 1], v.loop);
                REQUIRE(b.size() > a.size());
                // To the last but one record: there a run may cut its step at its end.
                double worst = 0;
                for (std::size_t i = 0; i + 2 < a.size(); ++i)
                    worst = std::max(worst, std::abs(a[i] - b[i]));
                CHECK(worst < 0.05);
            }
    });
}

TEST_CASE("random cars: the order of the files changes no bit", "[study][random]") {
    const std::vector<scenario::Scenario> backwards(placements().rbegin(), placements().rend());
    const study::DoubtedCars others(backwards, series);
    const auto cycle = shared(drive::idle(120, drive::Selector::drive, jam(311)));
    each_car([&](std::size_t n, std::size_t p, const model::Car& car) {
        const model::Car other =
            others.car(backwards.size() - 1 - p, others.draw(static_cast<std::uint32_t>(n)));
        const auto results = run({{model::compile(car), cycle}, {model::compile(other), cycle}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            CHECK((watched(results[0], v.loop) == watched(results[1], v.loop)));
        }
    });
}

TEST_CASE("random cars: the units of the files change nothing", "[study][random]") {
    static const std::vector<scenario::Scenario> others = [] {
        std::vector<scenario::Scenario> out;
        for (std::size_t p = 0; p < placements().size(); ++p) out.push_back(restated(p));
        return out;
    }();
    std::size_t changed = 0;
    for (std::size_t p = 0; p < placements().size(); ++p)
        for (const scenario::Number& n : placements()[p].numbers)
            if (n.origin == scenario::Origin::yours) {
                const scenario::Number* other = scenario::number_at(others[p], n.path);
                REQUIRE(other != nullptr);
                CAPTURE(n.path, placements()[p].car.placement);
                CHECK(other->value == Approx(n.value).epsilon(1e-13).margin(1e-300));
                changed += other->place.file == n.place.file ? 0 : 1;
            }
    CHECK(changed > 100 * placements().size());
    const study::DoubtedCars drawn_of_others(others, series);
    const auto cycle = shared(drive::idle(300, drive::Selector::drive, jam(311)));
    each_car([&](std::size_t n, std::size_t p, const model::Car& car) {
        const model::Car other =
            drawn_of_others.car(p, drawn_of_others.draw(static_cast<std::uint32_t>(n)));
        const auto results = run({{model::compile(car), cycle}, {model::compile(other), cycle}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            const auto &a = watched(results[0], v.loop), &b = watched(results[1], v.loop);
            REQUIRE(a.size() == b.size());
            double worst = 0;
            for (std::size_t i = 0; i < a.size(); ++i)
                worst = std::max(worst, std::abs(a[i] - b[i]));
            CHECK(worst < 0.05);
        }
    });
}

TEST_CASE("random cars: fans with more air never leave steady traffic hotter", "[study][random]") {
    each_car([](std::size_t, std::size_t, const model::Car& plain) {
        const model::Car car = with_fans_always(plain);
        model::Car stronger = car;
        for (model::FanEntry& fan : stronger.fans) fan.fan.flow_level.value *= 1.25;
        const auto weak_model = model::compile(car), strong_model = model::compile(stronger);
        for (const auto& cycle : {shared(drive::idle(1200, drive::Selector::drive, jam(311))),
                                  shared(drive::steady(4, 1200, jam(311)))}) {
            const auto results = run({{weak_model, cycle}, {strong_model, cycle}});
            for (const model::Verdict& v : results[0].verdicts) {
                CAPTURE(v.loop, results[0].cycle);
                const double more = watched(results[1], v.loop).back();
                // Cooler coolant shuts its thermostat, and with it stands the tank.
                if (v.in_coolant && more > v.end + 0.3)
                    CHECK(mean_tank_flow(results[1], v.core) < mean_tank_flow(results[0], v.core));
                else
                    CHECK(more < v.end + 0.3);
            }
        }
    });
}

TEST_CASE(
    "random cars: hotter air never leaves a fluid cooler, but where a thermostat opens for it",
    "[study][random]") {
    std::size_t cooler = 0;
    each_car([&](std::size_t, std::size_t, const model::Car& car) {
        const auto model = model::compile(with_fans_always(car));
        const auto results =
            run({{model, shared(drive::idle(1200, drive::Selector::drive, jam(306)))},
                 {model, shared(drive::idle(1200, drive::Selector::drive, jam(311)))}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            const double worst = coolest_beside(results[1], results[0], v.loop);
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

TEST_CASE("random cars: hotter air never leaves a fluid cooler where no valve moves",
          "[study][random]") {
    each_car([](std::size_t, std::size_t, const model::Car& car) {
        const auto model = model::compile(with_nothing_that_switches(car));
        const auto results =
            run({{model, shared(drive::idle(1200, drive::Selector::drive, jam(306)))},
                 {model, shared(drive::idle(1200, drive::Selector::drive, jam(311)))}});
        for (const model::Verdict& v : results[0].verdicts) {
            CAPTURE(v.loop);
            CHECK(coolest_beside(results[1], results[0], v.loop) > -0.05);
        }
    });
}

TEST_CASE(
    "random cars: hotter at all times never has more margin, nor holds where the cooler does not",
    "[study][random]") {
    std::size_t hotter = 0, boiling = 0;
    const std::size_t cars = each_car([&](std::size_t, std::size_t, const model::Car& plain) {
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
    CHECK(hotter > 11 * cars);
    CHECK(boiling > cars);
}
