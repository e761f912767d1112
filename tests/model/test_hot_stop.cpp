// A car shut off hot and started again: what its heights and its engine bay make of it.
#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

std::size_t index_at(const Result& r, double time) {
    return static_cast<std::size_t>(std::lower_bound(r.time.begin(), r.time.end(), time) -
                                    r.time.begin());
}

/// Moments at which the engine stops and starts again, s.
std::pair<double, double> stop_and_start(const Result& r) {
    const auto stops = events(r, EventKind::engine_stops),
               starts = events(r, EventKind::engine_starts);
    REQUIRE(stops.size() == 1);
    REQUIRE(starts.size() == 1);
    return {stops.front().time, starts.front().time};
}

void level(Car& car) {
    for (Loop& loop : car.loops)
        for (Run& run : loop.runs)
            for (Part& part : run.parts) {
                if (auto* line = std::get_if<Line>(&part.body)) line->rise = 0;
                if (auto* volume = std::get_if<Volume>(&part.body)) volume->rise = 0;
                if (auto* pass = std::get_if<CorePass>(&part.body)) pass->rise = 0;
            }
}

}  // namespace

TEST_CASE(
    "shut off hot at the top of a grade, coolant goes round by itself, rises and does not boil") {
    Car car = scenario::read(scenarios / "hot_stop.toml").car;
    const drive::Cycle cycle = demo_cycle("hot_stop", car.vehicle);
    const Result r = run(car, cycle);
    const auto [stop, start] = stop_and_start(r);
    const std::vector<double>& flow = series(r, "loops/coolant/radiator", "mass_flow");
    const std::vector<double>& jacket = series(r, "loops/coolant/jacket", "temperature");
    const std::vector<double>& bay = series(r, "air", "engine_bay_temperature");
    // A thermosiphon by hand, some 10 K over 0.35 m: a column of 3 kg/m^3 times 9.8 m/s^2 times
    // 0.35 m is 10 Pa; through jacket, thermostat and bypass that is grams a second, not kilograms.
    const double standing = flow[index_at(r, stop + 200)];
    CHECK(standing > 3e-3);
    CHECK(standing < 0.05);
    double hottest = 0, warmest_bay = 0;
    for (std::size_t i = index_at(r, stop + 1); i < index_at(r, start); ++i) {
        hottest = std::max(hottest, jacket[i]);
        warmest_bay = std::max(warmest_bay, bay[i]);
    }
    const double before = jacket[index_at(r, stop - 1)];
    CHECK(hottest > before + 2);  // the walls' heat
    CHECK(hottest < before + 12);
    CHECK(verdict(r, "coolant").boils < 0);
    // Cars' bays rise by 10 to 40 K after such a stop (common practice, no source).
    const double driving = bay[index_at(r, stop - 1)];
    CHECK(warmest_bay > driving + 10);
    CHECK(warmest_bay < driving + 40);
    // Started again: what stood in the radiator was kept warm, so the engine gets no cold slug.
    const double slug = *std::min_element(
        jacket.begin() + static_cast<std::ptrdiff_t>(index_at(r, start)), jacket.end());
    CHECK(slug > jacket[index_at(r, start - 1)] - 5);
    CHECK(r.ledger.closure < 1e-12);

    level(car);
    const Result flat = run(car, cycle);
    const std::vector<double>& none = series(flat, "loops/coolant/radiator", "mass_flow");
    CHECK(std::abs(none[index_at(flat, stop + 200)]) < 1e-3);
}
