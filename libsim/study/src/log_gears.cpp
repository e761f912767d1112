#include "log_gears.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace lapheat::study {
namespace {

using Gears = std::vector<std::int8_t>;

constexpr double slowest = 2;  ///< m/s, below it a clutch slips
constexpr double nearness = 0.08;
constexpr double shortest = 3;  ///< s that a gear is in

/// The gear whose engine speed is nearest, 0 if none is near.
std::int8_t nearest_gear(const drive::Vehicle& v, double speed, double engine_speed) {
    std::int8_t best = 0;
    double off = std::log(1 + nearness);
    for (std::size_t g = 0; g < v.gearbox.ratio.size(); ++g) {
        const double turns = v.gearbox.ratio[g] * v.gearbox.final_drive * speed / v.tyre_radius;
        const double now = std::abs(std::log(engine_speed / turns));
        if (now < off) off = now, best = static_cast<std::int8_t>(g + 1);
    }
    return best;
}

/// What was in for less than `shortest` was not.
void leave_out_short(Gears& gears, const std::vector<double>& time) {
    for (std::size_t i = 0, next = 0; i < gears.size(); i = next) {
        next = i + 1;
        while (next < gears.size() && gears[next] == gears[i]) ++next;
        const double end = next < time.size() ? time[next] : time.back();
        if (end - time[i] >= shortest) continue;
        std::fill(gears.begin() + static_cast<std::ptrdiff_t>(i),
                  gears.begin() + static_cast<std::ptrdiff_t>(next), std::int8_t{0});
    }
}

}  // namespace

void set_gears(drive::Cycle& cycle, const scenario::Log& log, const drive::Vehicle& vehicle,
               std::vector<std::string>& notes) {
    const auto count = static_cast<double>(vehicle.gearbox.ratio.size());
    if (const scenario::Channel* logged = log.find(scenario::Signal::gear)) {
        // Held, not straight between samples: there is no gear between two.
        std::size_t k = 0;
        for (std::size_t i = 0; i < cycle.time.size(); ++i) {
            while (k + 1 < logged->time.size() && logged->time[k + 1] <= cycle.time[i]) ++k;
            const double gear = std::round(logged->value[k]);
            cycle.gear[i] =
                gear >= 1 && gear <= count ? static_cast<std::int8_t>(gear) : std::int8_t{0};
        }
        notes.emplace_back("gears are as logged");
        return;
    }
    const scenario::Channel* turning = log.find(scenario::Signal::engine_speed);
    if (turning == nullptr) return;
    const std::vector<double> engine = scenario::sampled(*turning, cycle.time);
    Gears gears(cycle.time.size(), 0);
    for (std::size_t i = 0; i < gears.size(); ++i)
        if (cycle.speed[i] > slowest && engine[i] > 0)
            gears[i] = nearest_gear(vehicle, cycle.speed[i], engine[i]);
    leave_out_short(gears, cycle.time);
    double moving = 0, told = 0;
    for (std::size_t i = 0; i < gears.size(); ++i) {
        if (!(cycle.speed[i] > slowest)) continue;
        moving += 1, told += gears[i] > 0 ? 1 : 0;
    }
    if (!(moving > 0)) return;
    const double share = told / moving;
    const bool ours = share > 1.0 / 3;
    notes.push_back(fmt::format(
        "engine over road speed fits a gear of this gearbox {:.0f} % of the way: {}", 100 * share,
        ours ? "there that gear is in, elsewhere the shift rule's"
             : "it is another gearbox or another tyre, and the shift rule is kept"));
    if (ours) cycle.gear = std::move(gears);
}

}  // namespace lapheat::study
