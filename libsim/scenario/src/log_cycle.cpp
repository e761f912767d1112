#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numeric>

#include "lapheat/scenario/log.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::scenario {
namespace {

/// Mean over `width` knots around each, fewer at the ends; keeps the sum of what is inside.
std::vector<double> averaged(const std::vector<double>& x, std::size_t width) {
    std::vector<double> sums(x.size() + 1, 0);
    std::partial_sum(x.begin(), x.end(), sums.begin() + 1);
    std::vector<double> out(x.size());
    for (std::size_t i = 0; i < x.size(); ++i) {
        const std::size_t half = std::min({width / 2, i, x.size() - 1 - i});
        out[i] = (sums[i + half + 1] - sums[i - half]) / static_cast<double>(2 * half + 1);
    }
    return out;
}

double lowest_tenth(std::vector<double> x) {
    const auto at = x.begin() + static_cast<std::ptrdiff_t>(x.size() / 10);
    std::ranges::nth_element(x, at);
    return *at;
}

std::vector<double> ambient_of(const Log& log, const std::vector<double>& time,
                               const std::vector<double>& speed, const LogCycleOptions& options,
                               std::vector<std::string>& notes) {
    if (options.ambient > 0) return std::vector<double>(time.size(), options.ambient);
    if (const Channel* ambient = log.find(Signal::ambient)) return sampled(*ambient, time);
    if (const Channel* intake = log.find(Signal::intake_air)) {
        const std::vector<double> air = sampled(*intake, time);
        std::vector<double> moving;
        for (std::size_t i = 0; i < time.size(); ++i)
            if (speed[i] > 8) moving.push_back(air[i]);
        if (!moving.empty()) {
            const double ambient = lowest_tenth(moving);
            notes.push_back(fmt::format(
                "the log has no ambient: taken as {}, the lowest tenth of the intake air while "
                "moving; it is warmer than the day by some kelvin",
                units::format(ambient, units::Quantity::temperature, units::System::si, 3)));
            return std::vector<double>(time.size(), ambient);
        }
    }
    throw Error("tells nothing of the air outside", "an ambient temperature: say it", {log.file});
}

}  // namespace

drive::Cycle cycle_of(const Log& log, const LogCycleOptions& options,
                      std::vector<std::string>& notes) {
    const Channel& driven = log.at(Signal::speed);
    if (!(options.step > 0)) throw Error("the step between knots must be positive", "1 s");
    const double end = std::max(log.duration, options.step);
    std::vector<double> time;
    for (std::size_t i = 0; static_cast<double>(i) * options.step <= end; ++i)
        time.push_back(static_cast<double>(i) * options.step);
    if (time.size() < 2) throw Error("is too short to be a drive", {}, {log.file});
    // Whole km/h, a second apart, would make pulls and brakings that nobody drove.
    std::vector<double> speed = sampled(driven, time);
    const double grain = std::max(3.0, 1.5 * driven.interval);
    speed = averaged(
        speed, static_cast<std::size_t>(std::lround(std::min(grain, 7.0) / options.step)) | 1U);
    for (double& v : speed)
        if (v < options.stopped) v = 0;

    drive::Surroundings air{.humidity = options.humidity, .sun = options.sun};
    air.ambient = 298.15;
    drive::Cycle cycle =
        drive::make_cycle(std::filesystem::path(log.file).stem().string(), time, speed, air);
    cycle.ambient = ambient_of(log, time, speed, options, notes);
    if (const Channel* height = log.find(Signal::altitude)) {
        cycle.altitude = averaged(sampled(*height, time),
                                  static_cast<std::size_t>(options.smooth / options.step) | 1U);
        for (std::size_t i = 0; i + 1 < time.size(); ++i) {
            const double way = 0.5 * (speed[i] + speed[i + 1]) * options.step;
            if (way > 2 * options.step)
                cycle.grade[i] =
                    std::clamp((cycle.altitude[i + 1] - cycle.altitude[i]) / way, -0.2, 0.2);
        }
    } else {
        notes.emplace_back("the log has no altitude: the road is taken as level");
    }
    if (const Channel* turning = log.find(Signal::engine_speed)) {
        const std::vector<double> engine = sampled(*turning, time);
        constexpr double stalled = 300 * 2 * 3.14159265358979 / 60;
        for (std::size_t i = 0; i < time.size(); ++i)
            cycle.engine_on[i] = engine[i] > stalled || speed[i] > 0 ? 1 : 0;
    } else {
        notes.emplace_back(
            "the log has no engine speed: the engine is taken as running throughout");
    }
    if (log.gaps.size() > 0)
        notes.push_back(fmt::format("{} gaps are driven through along a straight line of speed",
                                    log.gaps.size()));
    cycle.phases = {{cycle.name, time.front(), time.back()}};
    drive::validate(cycle);
    return cycle;
}

}  // namespace lapheat::scenario
