// A log made by the model, with numbers that are known, comes back within its bands.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "lapheat/model/assumptions.hpp"
#include "lapheat/scenario/fitted.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/study/car_fit.hpp"
#include "lapheat/study/retrace_report.hpp"
#include "lapheat/units/error.hpp"
#include "made_log.hpp"

using namespace lapheat;
using namespace lapheat::study;

namespace {

const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";

scenario::Scenario car() { return scenario::read(scenarios / "placements/under_floor.toml"); }

/// Twenty minutes from cold: town, then a faster road.
scenario::Log log_of(const scenario::Scenario& s, double ambient, double shift,
                     const RetraceOptions& options = {}) {
    scenario::Log log = made::log(
        1200, ambient, [](int t) { return t < 600 ? (t % 100 < 70 ? 13.0 : 0.0) : 25.0; });
    for (scenario::Channel& c : log.channels)
        if (c.signal == scenario::Signal::coolant) c.step = 1;
    // Drive it, and put what the model says, in whole kelvins, in place of the stand-in.
    const LoggedDrive drive(s.car, log, options);
    const auto driven = drive.drive(s.car);
    for (std::size_t k = 0; k < drive.fluids().size(); ++k)
        for (scenario::Channel& c : log.channels)
            if (c.signal == drive.fluids()[k].signal) {
                c.time = drive.fluids()[k].time;
                c.value = driven[k];
                for (double& x : c.value) x = std::round(x + shift);
                c.step = 1;
            }
    return log;
}

/// The car with some of its doubtful numbers elsewhere.
scenario::Scenario moved(const std::string& name, double share) {
    scenario::Scenario s = car();
    for (const model::CarAssumption& a : model::assumptions(s.car))
        if (a.name == name)
            a.number->value += share > 0 ? share * (a.number->high - a.number->value)
                                         : share * (a.number->value - a.number->low);
    return s;
}

double value_of(const scenario::Scenario& s, const std::string& name) {
    scenario::Scenario copy = s;
    for (const model::CarAssumption& a : model::assumptions(copy.car))
        if (a.name == name) return a.number->value;
    FAIL("no such number");
    return 0;
}

const char* const engine_heat = "heat to coolant and oil";

}  // namespace

TEST_CASE("Retracing a log that the model made leaves the rounding alone") {
    const scenario::Scenario s = car();
    const Retrace traced = retrace(s, log_of(s, 293.15, 0));
    REQUIRE(traced.fluids.size() == 2);
    for (const TracedFluid& f : traced.fluids) {
        INFO(f.loop);
        CHECK(f.rms < 0.4);
        CHECK(std::abs(f.bias) < 0.2);
        CHECK(f.samples > 200);
    }
    CHECK(traced.looks.empty());
    // A car with another engine shows, and where.
    const Retrace other = retrace(moved(engine_heat, 0.8), log_of(s, 293.15, 0));
    CHECK(other.fluids.front().bias_warming > 1);
}

TEST_CASE("A retraced drive lies in the band of cars like it, and one that is not is told of") {
    const scenario::Scenario s = car();
    const scenario::Log own = log_of(s, 293.15, 0);
    TraceBandOptions bands;
    bands.threads = 2;
    const Retrace traced = retrace(s, own, {}, units::System::si, bands);
    CHECK(traced.drawn == bands.draws);
    bands.threads = 1;
    const Retrace again = retrace(s, own, {}, units::System::si, bands);
    for (std::size_t k = 0; k < traced.fluids.size(); ++k) {
        const TracedFluid& f = traced.fluids[k];
        INFO(f.loop);
        REQUIRE(f.low.size() == f.time.size());
        // The car in the middle of its doubts: the middle of the band.
        CHECK(f.inside > 0.97);
        CHECK(f.low == again.fluids[k].low);
        CHECK(f.high == again.fluids[k].high);
        // At least as wide as what a model is usually off by, ends of 5 and 95 %.
        for (std::size_t i = 0; i < f.time.size(); ++i) CHECK(f.high[i] - f.low[i] > 2 * 1.6);
    }
    CHECK_THAT(retrace_headline(traced, units::System::si),
               Catch::Contains("it could well be the log of such a car"));

    // Ten kelvins on every gauge are beyond a thermometer's doubt and the thermostat's.
    const Retrace off = retrace(s, log_of(s, 293.15, 10), {}, units::System::si, bands);
    CHECK(off.fluids.front().inside < 0.5);
    CHECK_THAT(retrace_headline(off, units::System::si),
               Catch::Contains("outside of what the file says is possible"));
    REQUIRE(!off.looks.empty());
    CHECK_THAT(off.looks.front(),
               Catch::Contains("cooler than the log (beyond what the file doubts)"));
    const Retrace near = retrace(s, log_of(s, 293.15, 2.4), {}, units::System::si, bands);
    REQUIRE(!near.looks.empty());
    CHECK_THAT(near.looks.front(), Catch::Contains("(the doubts of the file cover it)"));
    CHECK_THAT(retrace_page(off, units::System::us),
               Catch::Contains("The car as logged") && Catch::Contains("made up.csv") &&
                   Catch::Contains("beyond what the file doubts"));

    bands.draws = 0;
    const Retrace bare = retrace(s, own, {}, units::System::si, bands);
    CHECK(bare.fluids.front().low.empty());
    CHECK_THAT(retrace_headline(bare, units::System::si), !Catch::Contains("band"));
    CHECK(bare.fluids.front().model == traced.fluids.front().model);
}

TEST_CASE("Bands before any fit hold logs of cars drawn from the doubts about as often as said") {
    // Twelve other cars than those of the bands, each with its thermometers' offsets.
    const scenario::Scenario s = car();
    const std::vector<scenario::Scenario> scenarios{s};
    const DoubtedCars cars(scenarios, 7);
    double inside = 0, samples = 0;
    for (std::uint32_t n = 0; n < 12; ++n) {
        scenario::Scenario one = s;
        one.car = cars.car(0, cars.draw(n));
        const double offset = solve::normal_quantile((n + 0.5) / 12);
        const Retrace traced = retrace(s, log_of(one, 293.15, offset));
        for (const TracedFluid& f : traced.fluids) {
            const auto weight = static_cast<double>(f.samples);
            inside += weight * f.inside, samples += weight;
        }
    }
    // These logs lack the kelvin that a real car differs by from every model, so more than 90 %.
    INFO(inside / samples);
    CHECK(inside / samples > 0.85);
    CHECK(inside / samples < 0.995);
}

TEST_CASE("A log that begins warm is retraced from where it began") {
    // The car as it settles on the road goes on into a jam; the log's first readings are all that a
    // retrace knows of that.
    const scenario::Scenario s = car();
    scenario::Log log =
        made::log(1200, 295.15, [](int t) { return t < 900 ? (t % 60 < 25 ? 6.0 : 0.0) : 24.0; });
    const LoggedDrive cold(s.car, log, {});
    model::Options run;
    run.keep_series = true;
    const model::Result truth = model::simulate(*model::compile(s.car), cold.cycle(), run);
    for (const TracedFluid& f : cold.fluids())
        for (scenario::Channel& c : log.channels)
            if (c.signal == f.signal) {
                const model::Series* from = truth.find("loops/" + f.loop, "watched_temperature");
                REQUIRE(from != nullptr);
                c.time = truth.time, c.value = from->values;
            }
    const Retrace traced = retrace(s, log);
    for (const TracedFluid& f : traced.fluids) {
        INFO(f.loop);
        // The radiator begins as warm as the engine, for no log tells how cool it was.
        CHECK(f.rms < 3.5);
        CHECK(std::abs(f.bias) < 1);
    }
}

TEST_CASE("A fit finds a number that made the logs, says what it could not tell, and is tested") {
    const std::string name = engine_heat;
    const scenario::Scenario truth = moved(name, 0.6);
    const std::vector<scenario::Log> logs{log_of(truth, 288.15, 0), log_of(truth, 303.15, 0)};
    CarFitOptions options;
    options.band_draws = 24;
    const CarFit fit = fit_car(car(), logs, options);
    const auto found = std::ranges::find_if(fit.numbers, [&](const FittedNumber& f) {
        return f.number.of == "engine" && f.number.name == name;
    });
    REQUIRE(found != fit.numbers.end());
    REQUIRE(found->fitted);
    INFO(found->after_5 << " " << found->after << " " << found->after_95 << ", told "
                        << found->told);
    // Heat and friction trade against each other: the range of each must hold the truth all the
    // same, though the middle need not be near.
    CHECK(value_of(truth, name) > found->after_5);
    CHECK(value_of(truth, name) < found->after_95);
    CHECK(found->after > found->before);
    CHECK(found->after_95 - found->after_5 < 0.8 * (found->before_95 - found->before_5));
    CHECK(fit.converged);
    CHECK(fit.runs < 400);
    CHECK(std::ranges::any_of(fit.numbers, [](const FittedNumber& f) { return !f.fitted; }));
    // The second log was held back, and is told better than before.
    const auto held = std::ranges::find_if(fit.scores, &FitScore::held_back);
    REQUIRE(held != fit.scores.end());
    CHECK(held->rms_after < held->rms_before);
    CHECK(held->rms_after < 1);
    CHECK(held->inside_after > 0.85);

    // Written down and read again it is the same car, with its doubt and correlation.
    const auto path =
        std::filesystem::temp_directory_path() /
        ("lapheat_fitted_" + std::to_string(std::hash<std::string>{}(name)) + ".toml");
    std::ofstream(path) << overlay_of(fit, (scenarios / "placements/under_floor.toml").string());
    const scenario::Scenario again = scenario::read(path);
    std::filesystem::remove(path);
    CHECK(value_of(again, name) == Approx(found->after).epsilon(1e-4));
    CHECK_FALSE(again.fitted.empty());
    const std::vector<scenario::Scenario> cars{again};
    const DoubtedCars drawn(cars, 1);
    const auto number = std::ranges::find_if(drawn.numbers(), [&](const DoubtedNumber& n) {
        return n.of == "engine" && n.name == name;
    });
    REQUIRE(number != drawn.numbers().end());
    CHECK(number->high - number->low == Approx(found->after_95 - found->after_5).epsilon(0.05));
}

TEST_CASE("Numbers that files state come back at what was fitted, with doubt and correlation") {
    const std::filesystem::path diesel =
        LAPHEAT_SOURCE_DIR "/validation/drives/invented_diesel.toml";
    const std::vector<scenario::Scenario> before{scenario::read(diesel)};
    const DoubtedCars cars(before, 1);
    CarFit fit;
    for (const DoubtedNumber& n : cars.numbers())
        if (const auto keys = keys_of(before.front(), n); !keys.empty() && fit.numbers.size() < 3)
            fit.numbers.push_back({.number = n,
                                   .after_5 = n.distribution.quantile(0.4),
                                   .after = n.distribution.quantile(0.6),
                                   .after_95 = n.distribution.quantile(0.8),
                                   .fitted = true,
                                   .keys = keys});
    REQUIRE(fit.numbers.size() == 3);
    fit.correlation = solve::Matrix(3, 3);
    for (std::size_t k = 0; k < 3; ++k) fit.correlation(k, k) = 1;
    fit.correlation(1, 0) = fit.correlation(0, 1) = -0.8;
    const auto path = std::filesystem::temp_directory_path() / "lapheat_fitted_stated.toml";
    std::ofstream(path) << overlay_of(fit, diesel.string());
    const std::vector<scenario::Scenario> after{scenario::read(path)};
    std::filesystem::remove(path);
    const DoubtedCars drawn(after, 1);
    std::vector<std::size_t> at;
    for (const FittedNumber& f : fit.numbers) {
        const auto found = std::ranges::find_if(drawn.numbers(), [&](const DoubtedNumber& n) {
            return n.of == f.number.of && n.name == f.number.name;
        });
        INFO(f.number.words());
        REQUIRE(found != drawn.numbers().end());
        CHECK(found->value == Approx(f.after).epsilon(1e-5));
        CHECK(found->high - found->low == Approx(f.after_95 - f.after_5).epsilon(0.02));
        at.push_back(static_cast<std::size_t>(found - drawn.numbers().begin()));
    }
    double product = 0;
    constexpr std::uint32_t draws = 512;
    for (std::uint32_t n = 0; n < draws; ++n) {
        const std::vector<double> u = drawn.draw(n);
        product += solve::normal_quantile(u[at[0]]) * solve::normal_quantile(u[at[1]]);
    }
    CHECK(product / draws == Approx(-0.8).margin(0.03));
}

TEST_CASE("What logs told of a car in one place counts in another, but for what is that place's") {
    const std::vector<scenario::Scenario> before{car()};
    const DoubtedCars cars(before, 1);
    CarFit fit;
    for (const DoubtedNumber& n : cars.numbers())
        if (n.of == "engine" || n.of == "coolant" || n.of == "under the floor on a crossmember")
            fit.numbers.push_back({.number = n,
                                   .after_5 = n.distribution.quantile(0.4),
                                   .after = n.distribution.quantile(0.6),
                                   .after_95 = n.distribution.quantile(0.8),
                                   .fitted = true});
    const std::size_t n = fit.numbers.size();
    REQUIRE(n > 3);
    fit.correlation = solve::Matrix(n, n);
    for (std::size_t i = 0; i < n; ++i)
        for (std::size_t j = 0; j < n; ++j) fit.correlation(i, j) = i == j ? 1 : 0.001 * (i + j);
    const auto path = std::filesystem::temp_directory_path() / "lapheat_fitted_elsewhere.toml";
    std::ofstream(path) << overlay_of(fit, (scenarios / "placements/under_floor.toml").string());
    std::vector<std::string> left_out;
    const scenario::Scenario rear =
        scenario::read_with_fitted(scenarios / "placements/rear.toml", path, {}, left_out);
    std::filesystem::remove(path);
    CHECK_FALSE(left_out.empty());
    REQUIRE(rear.fitted.size() + left_out.size() == n);
    std::size_t row = 0, looked_at = 0;
    std::vector<std::size_t> stayed;
    for (const FittedNumber& f : fit.numbers) {
        const std::size_t i = row++;
        if (f.number.of == "under the floor on a crossmember") continue;
        INFO(f.number.words());
        const scenario::FittedTogether& told = rear.fitted.at(stayed.size());
        CHECK(told.name == f.number.name);
        scenario::Scenario copy = rear;
        for (const model::CarAssumption& a : model::assumptions(copy.car))
            if (a.of == f.number.of && a.name == f.number.name) {
                CHECK(a.number->value == Approx(f.after).epsilon(1e-5));
                ++looked_at;
            }
        REQUIRE(told.correlation.size() == stayed.size());
        for (std::size_t k = 0; k < stayed.size(); ++k)
            CHECK(told.correlation[k] == Approx(fit.correlation(i, stayed[k])).margin(1e-4));
        stayed.push_back(i);
    }
    CHECK(looked_at >= 3);
    CHECK_THROWS_AS(scenario::read_with_fitted(scenarios / "placements/rear.toml",
                                               scenarios / "car.toml", {}, left_out),
                    Error);
}

TEST_CASE("A gear is told where engine over road speed fits one, and another gearbox is not") {
    const scenario::Scenario s = car();
    const drive::Vehicle& v = s.car.vehicle;
    scenario::Log log = log_of(s, 293.15, 0);
    const auto turning =
        std::ranges::find(log.channels, scenario::Signal::engine_speed, &scenario::Channel::signal);
    const auto speed =
        std::ranges::find(log.channels, scenario::Signal::speed, &scenario::Channel::signal);
    for (std::size_t i = 0; i < turning->time.size(); ++i)
        turning->value[i] = std::max(80.0, 1.02 * v.gearbox.ratio[2] * v.gearbox.final_drive *
                                               speed->value[i] / v.tyre_radius);
    const LoggedDrive third(s.car, log, {});
    CHECK(third.cycle().gear[1000] == 3);
    CHECK(third.cycle().gear[90] == 0);  // stands
    for (double& x : turning->value) x *= 1.2;
    const LoggedDrive other(s.car, log, {});
    CHECK(other.cycle().gear[1000] == 0);
    CHECK(std::ranges::any_of(other.notes(), [](const std::string& note) {
        return note.find("another gearbox") != std::string::npos;
    }));
}

TEST_CASE("Numbers fitted together are drawn together") {
    scenario::Scenario s = car();
    std::vector<model::CarAssumption> all = model::assumptions(s.car);
    REQUIRE(all.size() > 2);
    s.fitted = {{all[0].of, all[0].name, {}}, {all[1].of, all[1].name, {-0.9}}};
    for (std::size_t k : {0, 1}) all[k].number->two_deviations = true;
    const std::vector<scenario::Scenario> cars{s};
    const DoubtedCars drawn(cars, 7);
    double product = 0, first = 0, second = 0;
    constexpr std::uint32_t draws = 1024;
    for (std::uint32_t n = 0; n < draws; ++n) {
        const std::vector<double> u = drawn.draw(n);
        const double a = solve::normal_quantile(u[0]), b = solve::normal_quantile(u[1]);
        product += a * b, first += a * a, second += b * b;
    }
    CHECK(product / std::sqrt(first * second) == Approx(-0.9).margin(0.02));
    CHECK(first / draws == Approx(1).margin(0.03));
}

TEST_CASE("A fit says what it cannot do") {
    CHECK_THROWS_AS(fit_car(car(), {}), Error);
    const std::vector<scenario::Log> one{log_of(car(), 293.15, 0)};
    CarFitOptions options;
    options.free = {"no such number"};
    CHECK_THROWS_AS(fit_car(car(), one, options), Error);
    options.free = {};
    options.hold_back = 1;
    CHECK_THROWS_AS(fit_car(car(), one, options), Error);
    scenario::Log empty;
    empty.file = "empty.csv";
    CHECK_THROWS_AS(retrace(car(), empty), Error);
}
