// Cars drawn from the doubts themselves, logs of them as a logger would have it, and how many of
// the true numbers and temperatures the fit's 90 % bands hold. Two cars in the tests;
// LAPHEAT_FIT_CARS=20 test_study "*bands hold*" -s counts longer and tells more,
// LAPHEAT_FIT_FROM=40 begins with another car. The way of fitting was chosen on cars 0 to 5 and 20,
// and what the logs' information counts on cars 20 to 63.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <map>
#include <random>
#include <string>
#include <vector>

#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/solve/roots.hpp"
#include "lapheat/study/car_fit.hpp"
#include "made_log.hpp"

using namespace lapheat;
using namespace lapheat::study;

namespace {

constexpr double error_deviation = 0.7, error_memory = 150;  // K, s: what the model has wrong
constexpr int first_car = 20;
constexpr double offset_deviation = 1;  // K, of a thermometer

/// Twenty-five minutes from cold: town, a faster road, a jam.
scenario::Log empty_log(double ambient) {
    return made::log(1500, ambient, [](int t) {
        return t < 600 ? (t % 100 < 70 ? 13.0 : 0.0) : t < 1100 ? 25.0 : t % 50 < 25 ? 4.0 : 0.0;
    });
}

/// As a logger has it: the thermometer's lag and offset, what no model has right, whole kelvins.
scenario::Log logged(const model::Car& truth, double ambient, const std::vector<double>& offsets,
                     std::mt19937_64& chance) {
    scenario::Log log = empty_log(ambient);
    const LoggedDrive drive(truth, log, {});
    const auto driven = drive.drive(truth);
    std::normal_distribution<double> normal;
    for (std::size_t k = 0; k < drive.fluids().size(); ++k)
        for (scenario::Channel& c : log.channels) {
            if (c.signal != drive.fluids()[k].signal) continue;
            c.time = drive.fluids()[k].time;
            c.value = driven[k];
            c.step = 1;
            const double keep = std::exp(-(c.time[1] - c.time[0]) / error_memory);
            double error = error_deviation * normal(chance);
            for (double& x : c.value) {
                x = std::round(x + offsets[k] + error);
                error =
                    keep * error + error_deviation * std::sqrt(1 - keep * keep) * normal(chance);
            }
        }
    return log;
}

struct Count {
    double inside = 0, all = 0;
    void add(bool in, double weight = 1) { inside += in ? weight : 0, all += weight; }
    [[nodiscard]] double share() const { return all > 0 ? inside / all : 0; }
};

}  // namespace

TEST_CASE("The bands hold what made the logs about as often as they say") {
    const std::vector<scenario::Scenario> scenarios{
        scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/under_floor.toml")};
    const DoubtedCars cars(scenarios, 77);
    const char* asked = std::getenv("LAPHEAT_FIT_CARS");
    const int count = asked != nullptr ? std::atoi(asked) : 2;
    const char* from = std::getenv("LAPHEAT_FIT_FROM");
    const int first = from != nullptr ? std::atoi(from) : first_car;
    Count numbers, told_numbers, readings_held;
    std::vector<double> misses;  // of told numbers: deviations that the truth lies off
    std::map<std::string, Count> by_number;
    int unsettled = 0;
    double squares = 0, squares_before = 0;
    for (int n = first; n < first + count; ++n) {
        const std::vector<double> draw = cars.draw(static_cast<std::uint32_t>(n));
        const model::Car truth = cars.car(0, draw);
        std::mt19937_64 chance(static_cast<std::uint64_t>(n) + 1);
        std::normal_distribution<double> normal(0, offset_deviation);
        const std::vector<double> offsets{normal(chance), normal(chance)};
        std::vector<scenario::Log> logs;
        for (const double ambient : {288.15, 303.15, 296.15})
            logs.push_back(logged(truth, ambient, offsets, chance));
        CarFitOptions options;
        options.hold_back = 1;
        options.band_draws = 16;
        const CarFit fit = fit_car(scenarios.front(), logs, options);
        unsettled += fit.converged ? 0 : 1;
        for (const FittedNumber& f : fit.numbers) {
            if (!f.fitted) continue;
            for (std::size_t j = 0; j < draw.size(); ++j) {
                if (cars.numbers()[j].words() != f.number.words()) continue;
                const double true_value = f.number.distribution.quantile(draw[j]);
                const bool in = true_value >= f.after_5 && true_value <= f.after_95;
                numbers.add(in);
                if (!(f.told > 0.2)) continue;
                told_numbers.add(in), by_number[f.number.words()].add(in);
                // Scores are normal: where the band's ends and its middle lie tells all of it.
                const auto score = [&](double value) {
                    const auto above = [&](double z) {
                        return f.number.distribution.quantile(solve::normal_share(z)) - value;
                    };
                    return solve::bracketed_root(above, -6.0, 6.0, 1e-6).x;
                };
                misses.push_back(1.645 *
                                 std::abs(solve::normal_quantile(draw[j]) - score(f.after)) /
                                 (0.5 * (score(f.after_95) - score(f.after_5))));
            }
        }
        for (const FitScore& s : fit.scores) {
            if (!s.held_back) continue;
            const auto weight = static_cast<double>(s.samples);
            readings_held.inside += weight * s.inside_after, readings_held.all += weight;
            squares += weight * s.rms_after * s.rms_after;
            squares_before += weight * s.rms_before * s.rms_before;
        }
    }
    const auto rms = [&](double sum) { return std::sqrt(sum / readings_held.all); };
    std::string told =
        "nine in ten of these within " + std::to_string(solve::quantile(misses, 0.9)) +
        " deviations (said: 1.645), half within " + std::to_string(solve::quantile(misses, 0.5)) +
        " (0.674)\nof single numbers told over 20 %:";
    for (const auto& [name, c] : by_number)
        told += "\n  " + name + ": " + std::to_string(static_cast<int>(c.inside)) + " of " +
                std::to_string(static_cast<int>(c.all));
    UNSCOPED_INFO("cars " << count << ", not settled " << unsettled << "; inside: numbers "
                          << numbers.share() << " of " << numbers.all
                          << ", told over 20 %: " << told_numbers.share() << " of "
                          << told_numbers.all << ", readings held back " << readings_held.share()
                          << " of " << readings_held.all << "; rms held back "
                          << rms(squares_before) << " before, " << rms(squares) << " K after\n"
                          << told);
    // Where 0.9 was said, cars 64 to 75, on which nothing was chosen: numbers 0.89, those that logs
    // tell of 0.89 (nine in ten within 1.71 deviations), readings held back 0.89, all settled.
    // Before the logs' information was counted for less, cars 52 to 63: 0.85, 0.80 (2.06) and 0.85,
    // 1 not settled. Two cars scatter by some 0.15 about that.
    CHECK(numbers.share() > 0.65);
    CHECK(told_numbers.share() > 0.5);
    CHECK(readings_held.share() > 0.75);
    // Of what a fit can take away: the error and the rounding that the logs were given stay.
    const double stays = (error_deviation * error_deviation + 1.0 / 12) * readings_held.all;
    CHECK(squares - stays < 0.6 * (squares_before - stays));
    if (count >= 20) CHECK(unsettled <= count / 5);
}
