// Sweeps: the same bits as single runs, gone on from, and no other car's file.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "lapheat/drive/generate.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/hdf5_file.hpp"
#include "lapheat/study/sweep.hpp"

using namespace lapheat;

namespace {

const std::filesystem::path scenarios_swept =
    std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

scenario::Scenario swept_car(const char* placement = "under_floor") {
    auto s = scenario::read(scenarios_swept / "placements" / (std::string(placement) + ".toml"));
    s.cycles = {drive::steady(20, 120, {.ambient = 308.15}),
                drive::steady(30, 60, {.ambient = 298.15})};
    s.cycles[0].name = "slow";
    s.cycles[1].name = "fast";
    return s;
}

std::filesystem::path fresh(const std::string& name) {
    const auto file = std::filesystem::temp_directory_path() / ("lapheat-" + name + ".h5");
    std::filesystem::remove(file);
    std::filesystem::remove(file.string() + ".going");
    return file;
}

std::vector<study::SweepAxis> axes_of(const scenario::Scenario& s) {
    return {study::parse_sweep_axis(s, "core width = 200 mm, 320 mm"),
            study::parse_sweep_axis(s, "ambient = 300 K to 320 K in 3")};
}

}  // namespace

TEST_CASE("a sweep's points are the single runs, bit for bit") {
    const auto s = swept_car();
    const auto axes = axes_of(s);
    const auto file = fresh("sweep-bits");
    study::SweepOptions o;
    o.threads = 2;
    const auto done = study::sweep(s, axes, file, o);
    CHECK(done.points == 6);
    CHECK(done.done == 6);
    CHECK(done.failed == 0);
    CHECK(!std::filesystem::exists(file.string() + ".going"));
    const results::Hdf5Reader r(file);
    CHECK(r.dimensions("/margin") ==
          std::vector<std::string>{"core_width", "ambient", "cycle", "loop"});
    CHECK(r.shape("/margin") == std::vector<std::size_t>{2, 3, 2, s.car.loops.size()});
    CHECK(r.strings("/cycle") == std::vector<std::string>{"slow", "fast"});
    const auto margin = r.numbers("/margin");
    const auto loops = r.strings("/loop");
    // A file that a person changed by hand, read anew.
    scenario::Problems problems;
    const auto document = scenario::load(scenarios_swept / "placements/under_floor.toml", problems)
                              .with("cores.cooler.width", "320 mm");
    const auto by_hand = scenario::read(document, scenarios_swept / "placements");
    drive::Cycle cycle = s.cycles[1];
    for (double& t : cycle.ambient) t = 310;
    const auto run = model::simulate(*model::compile(by_hand.car), cycle);
    for (std::size_t l = 0; l < loops.size(); ++l) {
        INFO(loops[l]);
        CHECK(margin[((1 * 3 + 1) * 2 + 1) * loops.size() + l] ==
              results::verdict_of(run, loops[l])->margin);
    }
    SECTION("what is there is not run again") {
        const auto again = study::sweep(s, axes, file, o);
        CHECK(again.before == 6);
        CHECK(again.done == 0);
    }
    SECTION("a file of another car is refused, and stays") {
        const auto size = std::filesystem::file_size(file);
        CHECK_THROWS_WITH(study::sweep(swept_car("rear"), axes, file, o),
                          Catch::Contains("another car"));
        CHECK(std::filesystem::file_size(file) == size);
    }
}

TEST_CASE("a sweep that was stopped goes on, and what a crash left half written is done again") {
    const auto s = swept_car();
    const auto axes = axes_of(s);
    const auto whole = fresh("sweep-whole"), file = fresh("sweep-parts");
    study::SweepOptions o;
    o.threads = 1;
    (void)study::sweep(s, axes, whole, o);
    const auto going = file.string() + ".going";
    {  // A process that ends before its sweep does: four of six points, in no order.
        study::SweepFile some(s, axes, file, o);
        REQUIRE(some.left().size() == 6);
        const std::atomic<bool> stop{false};
        for (const std::size_t i : {4, 0, 3, 1})
            some.put(i, study::sweep_point(s, axes, study::sweep_values(axes, o, i), o, stop));
        const auto so_far = some.finish();
        CHECK(so_far.cancelled);
        CHECK(so_far.done == 4);
    }
    CHECK(!std::filesystem::exists(file));
    // Another car's sweep may not go on from it.
    CHECK_THROWS_WITH(study::sweep(swept_car("rear"), axes, file, o),
                      Catch::Contains("another car"));
    {  // a byte of the first record flips, as in a write that was cut off
        std::fstream f(going, std::ios::in | std::ios::out | std::ios::binary);
        f.seekp(80);
        f.put('\x55');
    }
    const auto second = study::sweep(s, axes, file, o);
    CHECK(second.before == 3);
    CHECK(second.done == 3);
    const results::Hdf5Reader a(whole), b(file);
    for (const char* path : {"/margin", "/peak", "/flow", "/fan_energy"}) {
        const auto x = a.numbers(path), y = b.numbers(path);
        REQUIRE(x.size() == y.size());
        for (std::size_t i = 0; i < x.size(); ++i)
            CHECK((x[i] == y[i] || (std::isnan(x[i]) && std::isnan(y[i]))));
    }
}

TEST_CASE("points are spread over their ranges, and a car that cannot be built is told of") {
    const auto s = swept_car();
    study::SweepOptions o;
    o.points = 16;
    const std::vector<study::SweepAxis> axes = {
        study::parse_sweep_axis(s, "core width = 200 mm to 400 mm"),
        study::parse_sweep_axis(s, "altitude = 0 m to 2000 m")};
    std::vector<int> hit(16, 0);
    for (std::size_t i = 0; i < 16; ++i) {
        const auto x = study::sweep_values(axes, o, i);
        ++hit.at(static_cast<std::size_t>((x[0] - 0.2) / 0.2 * 16));
        CHECK(x[1] >= 0);
        CHECK(x[1] <= 2000);
    }
    CHECK(hit == std::vector<int>(16, 1));  // one in each sixteenth
    const auto file = fresh("sweep-fails");
    o.points = 0;
    // Fins thicker than their pitch.
    const auto done = study::sweep(
        s, {study::sweep_axis(s, "cores.cooler.air_fin_thickness", {0.0002, 0.004})}, file, o);
    CHECK(done.failed == 1);
    CHECK_THAT(done.first_failure, Catch::Contains("leaves no air between fins"));
    const results::Hdf5Reader r(file);
    CHECK(r.numbers("/failed") == std::vector<double>{0, 1});
    CHECK(r.strings("/failure").size() == 1);
}

TEST_CASE("what cannot be swept is one error") {
    const auto s = swept_car();
    const auto fails = [&](const char* text, const char* words) {
        CHECK_THROWS_WITH(study::parse_sweep_axis(s, text), Catch::Contains(words));
    };
    fails("core width", "no values");
    fails("core width = 400 mm to 200 mm in 3", "empty");
    fails("core width = 200 mm to 400 mm in 1", "steps");
    fails("core width = 200 kg", "mass");
    fails("core width = 200 mm, 200 mm", "twice");
    fails("core colour = 1", "nothing that can be varied");
    const auto axis = study::parse_sweep_axis(s, "core width = 200 mm, 300 mm");
    CHECK_THROWS_WITH(study::sweep_size({axis, axis}, {}), Catch::Contains("varied twice"));
    CHECK_THROWS_WITH(study::sweep_size({}, {}), Catch::Contains("nothing is varied"));
}

TEST_CASE(
    "a sweep's grade and idle time are of each cycle, and do what the road and the clock say") {
    auto s = swept_car();
    s.cycles.push_back(drive::climb(25, 100, 0.04, 0, {.ambient = 300, .altitude = 200}));
    const std::vector<study::SweepAxis> axes = {
        study::parse_sweep_axis(s, "grade = 2 %, 6 %"),
        study::parse_sweep_axis(s, "idle time = 0 s, 5 min")};
    CHECK(axes[1].name == "idle_time");
    const auto same = study::sweep_cycles(s.cycles, axes, {0.04, 0});
    CHECK(same[2].grade == s.cycles[2].grade);
    CHECK(same[2].altitude.back() == Approx(s.cycles[2].altitude.back()).epsilon(1e-12));
    CHECK(same[2].time == s.cycles[2].time);
    const auto steeper = study::sweep_cycles(s.cycles, axes, {0.06, 300});
    // The climb's own height is speed, sine and time; a level cycle has the grade all along.
    CHECK(steeper[2].altitude.back() == Approx(200 + 25 * 100 * 0.06 / std::hypot(1, 0.06)));
    CHECK(steeper[0].altitude.back() == Approx(20 * 120 * 0.06 / std::hypot(1, 0.06)));
    for (std::size_t c = 0; c < 3; ++c) {
        CHECK(steeper[c].name == s.cycles[c].name);
        CHECK(steeper[c].speed.back() == 0);
        CHECK(steeper[c].engine_on.back() == 1);
        CHECK(steeper[c].ambient.back() == s.cycles[c].ambient.back());
        CHECK(drive::totals(steeper[c]).stopped == Approx(300).margin(1));
    }
    CHECK_THROWS_WITH(study::parse_sweep_axis(s, "grade = 2 %, 80 %"),
                      Catch::Contains("cannot be"));
    CHECK_THROWS_WITH(study::parse_sweep_axis(s, "idle time = -1 s, 1 s"),
                      Catch::Contains("cannot be"));
    // The same numbers as the cycle made by hand: a hotter car on the steeper road.
    const auto file = fresh("sweep-grade");
    (void)study::sweep(s, {axes[0]}, file, {});
    const results::Hdf5Reader r(file);
    const auto peak = r.numbers("/peak");
    const auto loops = r.strings("/loop");
    const auto run = model::simulate(
        *model::compile(s.car), drive::climb(25, 100, 0.06, 0, {.ambient = 300, .altitude = 200}));
    for (std::size_t l = 0; l < loops.size(); ++l)
        CHECK(peak[(1 * 3 + 2) * loops.size() + l] ==
              Approx(results::verdict_of(run, loops[l])->peak).epsilon(1e-6));
}
