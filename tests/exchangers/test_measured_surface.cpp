#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/exchangers/geometry.hpp"
#include "lapheat/units/error.hpp"

using namespace lapheat::exchangers;

namespace {

FlatTubeCore classic() {
    FlatTubeCore c;
    c.width = 0.6;
    c.height = 0.45;
    c.tube_pitch = 11e-3;
    c.tube_height = 2.5e-3;
    c.tube_depth = 16e-3;
    c.rows = 3;
    c.row_pitch = 19e-3;
    c.fins_per_metre = 450;
    return c;
}

double film(const Core& core, double speed) {
    return side_state(core.second, {speed * core.face_area * 1.16, 1.16, 1.88e-5, 0.0265, 0.71, 0})
        .coefficient;
}

}  // namespace

TEST_CASE("a measured surface passes through its points and falls as a power beyond them") {
    const auto& points = flat_tube_surface(ContinuousFin::ruffled, false);
    const MeasuredSurface surface(points);
    for (const SurfacePoint& p : points) {
        CHECK(surface(p.reynolds).j == Approx(p.j).epsilon(1e-12));
        CHECK(surface(p.reynolds).f == Approx(p.f).epsilon(1e-12));
        CHECK(surface(p.reynolds).in_range);
    }
    for (const double re : {20.0, 100.0, 3e4, 1e5}) {
        CHECK_FALSE(surface(re).in_range);
        // A film coefficient and a pressure drop never fall with flow.
        CHECK(surface(1.1 * re).j * 1.1 >= surface(re).j * (1 - 1e-12));
        CHECK(surface(1.1 * re).j <= surface(re).j);
    }
}

TEST_CASE("a measured surface that cannot be is refused by its key") {
    const std::vector<SurfacePoint> good{
        {500, 0.01, 0.05}, {1000, 0.008, 0.04}, {2000, 0.006, 0.03}, {4000, 0.005, 0.025}};
    CHECK_NOTHROW(MeasuredSurface(good));
    auto bad = good;
    bad.pop_back();
    CHECK_THROWS_AS(MeasuredSurface(bad), lapheat::Error);
    bad = good;
    bad[2].reynolds = 900;
    CHECK_THROWS_AS(MeasuredSurface(bad), lapheat::Error);
    bad = good;
    bad[1].f = 0;
    CHECK_THROWS_AS(MeasuredSurface(bad), lapheat::Error);
}

TEST_CASE("ruffled fins give more heat and cost more than plain ones") {
    FlatTubeCore c = classic();
    const Core plain = make_core(c);
    c.fins = ContinuousFin::ruffled;
    const Core ruffled = make_core(c);
    for (const double speed : {2.0, 5.0, 10.0}) {
        CHECK(film(ruffled, speed) > film(plain, speed));
        const double flow = speed * plain.face_area * 1.16;
        CHECK(second_pressure_drop(ruffled, flow, 1.16, 1.88e-5) >
              second_pressure_drop(plain, flow, 1.16, 1.88e-5));
    }
}

TEST_CASE("one more row of flat tubes gives more surface in proportion") {
    FlatTubeCore c = classic();
    const CoreFacts three = facts(c);
    c.rows = 4;
    CHECK(facts(c).second_area == Approx(three.second_area * 4 / 3).epsilon(1e-12));
    CHECK(facts(c).open_fraction == three.open_fraction);
}

TEST_CASE("any core rates its air side by a table of its own") {
    LouvredCore louvred;
    louvred.width = 0.5;
    louvred.height = 0.4;
    louvred.depth = 30e-3;
    louvred.tube_height = 2e-3;
    louvred.tube_pitch = 10e-3;
    louvred.fins_per_metre = 600;
    const double own = film(make_core(louvred), 4);
    louvred.surface = flat_tube_surface(ContinuousFin::plain, false);
    const Core core = make_core(louvred);
    const double tabulated = film(core, 4);
    CHECK(tabulated < own);  // louvres are better than a plain fin
    for (SurfacePoint& p : louvred.surface) p.j *= 1.1;
    CHECK(film(make_core(louvred), 4) == Approx(1.1 * tabulated).epsilon(1e-6));
    bool said = false;
    for (const std::string& words : core.assumptions)
        said = said || words.find("measured points") != std::string::npos;
    CHECK(said);
}

TEST_CASE("flat tubes that do not fit are refused by their key") {
    FlatTubeCore c = classic();
    c.tube_pitch = 2e-3;
    CHECK_THROWS_AS(make_core(c), lapheat::Error);
    c = classic();
    c.row_pitch = 10e-3;
    CHECK_THROWS_AS(make_core(c), lapheat::Error);
    c = classic();
    c.tube_wall = 1.3e-3;
    CHECK_THROWS_AS(make_core(c), lapheat::Error);
}
