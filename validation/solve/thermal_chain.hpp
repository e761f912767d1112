// A made-up thermal network with the traits of the real model, used to hold the integrator against
// other solvers: forty lumps in a ring of flowing liquid and metal, conductances that change with
// temperature, free convection and radiation to the surroundings, heat inputs straight between
// knots one second apart, and a fan relay with hysteresis. All numbers invented.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <cstdint>
#include <lapheat/solve/integrate.hpp>
#include <vector>

namespace lapheat::validation {

struct ThermalChain {
    static constexpr std::size_t n = 40;
    static constexpr double ambient = 305, fan_on = 368, fan_off = 362;

    std::size_t seconds;
    std::array<double, n> capacity{};  // J/K
    std::vector<double> heat;          // W at each knot
    std::vector<double> knots;         // s
    std::vector<double> switch_times;
    std::size_t k = 0;
    bool fan = false;
    bool relay = true;

    explicit ThermalChain(std::size_t duration) : seconds(duration) {
        for (std::size_t i = 0; i < n; ++i) {
            capacity[i] = i % 2 == 0 ? 2500 + 150.0 * static_cast<double>(i) : 9000;
        }
        std::uint32_t state = 12345;
        for (std::size_t i = 0; i <= seconds; ++i) {
            state =
                state * 1664525U + 1013904223U;  // Numerical Recipes' generator, to be repeatable
            const double u = static_cast<double>(state >> 8) / (1U << 24);
            const double slow =
                0.5 + 0.5 * std::sin(2e-3 * 3.141592653589793 * static_cast<double>(i));
            heat.push_back(30e3 * slow + 25e3 * u * u);
            knots.push_back(static_cast<double>(i));
        }
    }

    static std::vector<double> initial() { return std::vector<double>(n, 320.0); }

    // The right-hand side proper, shared with the other solvers.
    void rates(double heat_now, const double* y, double* d) const {
        const double fan_conductance = fan ? 900 : 250;
        for (std::size_t i = 0; i < n; ++i) d[i] = 0;
        for (std::size_t i = 0; i < n; i += 2) {  // even: liquid, odd: the metal beside it
            const std::size_t upstream = (i + n - 2) % n;
            const double exchange = 180 * (1 + 4e-3 * (y[i] - 350)) * (y[i + 1] - y[i]);
            d[i] += 1800 * (y[upstream] - y[i]) + exchange;
            d[i + 1] -= exchange;
            const double t2 = y[i + 1] * y[i + 1];
            const double away = y[i + 1] - ambient;
            d[i + 1] -= 0.8 * away * std::sqrt(std::sqrt(away * away + 1e-4)) +
                        2e-9 * (t2 * t2 - 8.653650625e9);
        }
        d[1] += heat_now;
        for (std::size_t i = 20; i < 28; i += 2) d[i] -= fan_conductance / 4 * (y[i] - ambient);
        for (std::size_t i = 0; i < n; ++i) d[i] /= capacity[i];
    }

    double heat_at(double t) const {
        const double f = t - static_cast<double>(k);
        return heat[k] + f * (heat[k + 1] - heat[k]);
    }

    // System
    static constexpr std::size_t size() { return n; }
    std::size_t event_count() const { return relay ? 2 : 0; }
    void rhs(double t, const double* y, double* d) const { rates(heat_at(t), y, d); }
    void events(double /*t*/, const double* y, double* g) const {
        g[0] = fan ? -1 : y[20] - fan_on;
        g[1] = fan ? y[20] - fan_off : 1;
    }
    static solve::Crossing event_direction(std::size_t i) {
        return i == 0 ? solve::Crossing::rising : solve::Crossing::falling;
    }
    solve::EventAction handle(std::size_t i, double t, double* /*y*/) {
        fan = i == 0;
        switch_times.push_back(t);
        return solve::EventAction::restart;
    }
    solve::AtKnot enter_interval(std::size_t i) {
        k = i;
        return solve::AtKnot::continuous;
    }
};

/// The chain over `duration` s; state at every knot, row by row.
inline std::vector<double> integrate_chain(ThermalChain& chain, const solve::Tolerances& tolerances,
                                           solve::Cost* cost = nullptr) {
    std::vector<double> y = ThermalChain::initial();
    std::vector<double> rows;
    rows.reserve(chain.knots.size() * ThermalChain::n);
    const solve::Cost c = solve::integrate(
        chain, y,
        solve::IntegrationPlan{
            .end = chain.knots.back(), .knots = chain.knots, .samples = chain.knots},
        tolerances,
        [&](double, const double* at) { rows.insert(rows.end(), at, at + ThermalChain::n); });
    if (cost) *cost = c;
    return rows;
}

inline double worst_difference(const std::vector<double>& a, const std::vector<double>& b) {
    double worst = a.size() == b.size() ? 0 : 1e9;
    for (std::size_t i = 0; i < std::min(a.size(), b.size()); ++i) {
        worst = std::max(worst, std::abs(a[i] - b[i]));
    }
    return worst;
}

}  // namespace lapheat::validation
