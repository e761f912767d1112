#include <algorithm>
#include <cmath>
#include <lapheat/heat/fluid_life.hpp>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/error.hpp>
#include <numbers>

namespace lapheat::heat {

double aging_rate(const FluidLife& life, double temperature) {
    return solve::perturbed(
        solve::Relation::fluid_life,
        std::max(1 / life.cooler_limit, std::exp2((temperature - life.reference) / life.halving)));
}

namespace {

void require_equal(std::span<const double> time, std::span<const double> temperature) {
    if (time.size() != temperature.size())
        throw Error("times and temperatures differ in number", "one temperature for each time");
}

/// Mean rate of aging between two temperatures that a straight line joins: the rate is an
/// exponential there, its mean the difference over the logarithm of the ratio. Where cooler_limit
/// acts, the ends decide.
double mean_rate(const FluidLife& life, double from, double to) {
    const double a = aging_rate(life, from), b = aging_rate(life, to);
    const double ratio = std::log(b / a);
    return std::abs(ratio) < 1e-6 ? 0.5 * (a + b) : (b - a) / ratio;
}

}  // namespace

double life_used(const FluidLife& life, std::span<const double> time,
                 std::span<const double> temperature) {
    require_equal(time, temperature);
    double used = 0;
    for (std::size_t i = 1; i < time.size(); ++i)
        used += mean_rate(life, temperature[i - 1], temperature[i]) * (time[i] - time[i - 1]);
    return used / life.reference_life;
}

double stands(const FluidLife& life, double temperature) {
    return life.reference_life / aging_rate(life, temperature);
}

double used_up(const FluidLife& life, std::span<const double> time,
               std::span<const double> temperature) {
    require_equal(time, temperature);
    double left = life.reference_life;
    for (std::size_t i = 1; i < time.size(); ++i) {
        const double rate = mean_rate(life, temperature[i - 1], temperature[i]);
        const double more = rate * (time[i] - time[i - 1]);
        if (more >= left) return time[i - 1] + left / rate;
        left -= more;
    }
    return -1;
}

namespace {
constexpr double aging_test = 70 * 3600;  // s, ASTM D2000
constexpr double no_cooler_limit = 1e12;  // what is cool does not age
constexpr double arrhenius_halving = 10;  // K
}  // namespace

FluidLife transmission_seals() {
    return {.reference = 423.15,
            .halving = arrhenius_halving,
            .reference_life = aging_test,
            .cooler_limit = no_cooler_limit,
            .least = 30.0 / 70,
            .most = 10};
}

FluidLife steering_seals() {
    return {.reference = 398.15,
            .halving = arrhenius_halving,
            .reference_life = aging_test,
            .cooler_limit = no_cooler_limit,
            .least = 1.0 / 6,
            .most = 6};
}

Limit coolant_limit() {
    return {.caution = 383.15,
            .limit = 0,
            .peak = 0,
            .boiling_reserve = 10,
            .note =
                "10 K below boiling at the local pressure; spark-ignition engines near knock want "
                "cooler heads, which is advice and not a number (common practice, no source)"};
}
Limit transmission_limit() {
    return {
        .caution = 388.15,
        .limit = 408.15,
        .peak = 422.15,
        .boiling_reserve = 0,
        .note =
            "sump: 80 to 95 degC normal, above 115 degC fluid life is short, above 135 degC seals "
            "and clutches suffer, 149 degC ruins in minutes (common practice, no source)"};
}
Limit steering_limit() {
    return {
        .caution = 373.15,
        .limit = 383.15,
        .peak = 408.15,
        .boiling_reserve = 0,
        .note =
            "110 degC continuous, 135 degC for short peaks, by seals and hoses (common practice, "
            "no source)"};
}
Limit engine_oil_limit() {
    return {.caution = 403.15,
            .limit = 418.15,
            .peak = 423.15,
            .boiling_reserve = 0,
            .note = "sump: 130 degC caution, 145 degC limit (common practice, no source)"};
}

}  // namespace lapheat::heat
