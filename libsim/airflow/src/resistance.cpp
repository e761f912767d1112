#include <lapheat/airflow/resistance.hpp>

#include <algorithm>
#include <array>
#include <cmath>
#include <lapheat/solve/matrix.hpp>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <numeric>
#include <utility>
#include <vector>

namespace lapheat::airflow {

double pressure_drop(const Resistance& resistance, double mass_flow, double density,
                     double viscosity) {
    const double m = std::abs(mass_flow);
    const double drop =
        (resistance.laminar * viscosity * m + resistance.boundary * std::sqrt(viscosity * m) * m +
         resistance.quadratic * m * m) /
        density;
    return std::copysign(drop, mass_flow);
}

namespace {

double sum_of_squares(std::span<const double> x) {
    return std::inner_product(x.begin(), x.end(), x.begin(), 0.0);
}

/// How far terms times factors are from one.
std::vector<double> misses(const solve::Matrix& terms, std::span<const double> factors) {
    std::vector<double> out = terms * factors;
    for (double& x : out) x -= 1;
    return out;
}

}  // namespace

Resistance fit_resistance(std::span<const double> mass_flow, std::span<const double> drop,
                          double density, double viscosity) {
    const std::size_t count = mass_flow.size();
    if (count < 2 || drop.size() != count)
        throw Error("an air resistance needs at least two points of flow and drop",
                    "as many drops as flows, two or more");
    if (!(density > 0) || !(viscosity > 0))
        throw Error("density and viscosity of an air resistance must be positive", "> 0");
    solve::Matrix terms(count, 3);
    for (std::size_t i = 0; i < count; ++i) {
        const double m = mass_flow[i];
        if (!(m > 0) || !(drop[i] > 0) || !std::isfinite(m) || !std::isfinite(drop[i]))
            throw Error("flow and drop of an air resistance must be positive", "> 0");
        const double scale = 1 / (density * drop[i]);
        terms(i, 0) = viscosity * m * scale;
        terms(i, 1) = std::sqrt(viscosity * m) * m * scale;
        terms(i, 2) = m * m * scale;
    }
    // Non-negative least squares by trying every subset of three terms: exact and short.
    const std::vector<double> ones(count, 1.0);
    std::array<double, 3> best{};
    double best_error = std::numeric_limits<double>::infinity();
    for (int subset = 1; subset < 8; ++subset) {
        std::vector<std::size_t> columns;
        for (std::size_t k = 0; k < 3; ++k)
            if (subset & (1 << k)) columns.push_back(k);
        if (columns.size() > count) continue;
        solve::Matrix part(count, columns.size()), scaled = part;
        std::vector<double> scale;
        for (std::size_t k = 0; k < columns.size(); ++k) {
            const std::span<const double> whole = std::as_const(terms).column(columns[k]);
            std::ranges::copy(whole, part.column(k).begin());
            scale.push_back(std::sqrt(sum_of_squares(whole)));
            std::ranges::transform(whole, scaled.column(k).begin(),
                                   [&](double x) { return x * (1 / scale[k]); });
        }
        std::vector<double> solution = solve::linear_least_squares(scaled, ones);
        for (std::size_t k = 0; k < solution.size(); ++k) solution[k] /= scale[k];
        if (!(std::ranges::min(solution) >= 0)) continue;
        const double error = sum_of_squares(misses(part, solution));
        if (error < best_error * (1 - 1e-12)) {
            best_error = error;
            best = {};
            for (std::size_t k = 0; k < columns.size(); ++k) best[columns[k]] = solution[k];
        }
    }
    double worst = 0;
    for (const double miss : misses(terms, best)) worst = std::max(worst, std::abs(miss));
    const auto [low, high] = std::minmax_element(mass_flow.begin(), mass_flow.end());
    return {.laminar = best[0],
            .boundary = best[1],
            .quadratic = best[2],
            .min_flow = *low,
            .max_flow = *high,
            .fit_error = worst};
}

Resistance fit_resistance(const std::function<double(double)>& drop, double min_flow,
                          double max_flow, double density, double viscosity, int samples) {
    if (!(min_flow > 0) || !(max_flow > min_flow) || samples < 3)
        throw Error("an air resistance needs a range of flow and three samples or more",
                    "0 < min_flow < max_flow, samples >= 3");
    std::vector<double> flows, drops;
    for (int i = 0; i < samples; ++i) {
        flows.push_back(min_flow * std::pow(max_flow / min_flow, i / (samples - 1.0)));
        drops.push_back(drop(flows.back()));
    }
    return fit_resistance(flows, drops, density, viscosity);
}

double quadratic(const Loss& loss) {
    if (!(loss.area > 0) || !(loss.coefficient >= 0))
        throw Error("a loss needs an area above zero and a coefficient of zero or more",
                    "area > 0, coefficient >= 0");
    return loss.coefficient / (2 * loss.area * loss.area);
}

Loss gap(double area) {
    return {.coefficient = solve::perturbed(solve::Relation::opening_loss, 1 / (0.6 * 0.6)),
            .area = area};
}

double grille_coefficient(double open_fraction) {
    if (!(open_fraction > 0) || open_fraction > 1)
        throw Error("the open fraction of a grille is out of range", "0 < open_fraction <= 1");
    const double closed = 1 - open_fraction;
    const double root = 0.707 * std::sqrt(closed) + closed;
    return solve::perturbed(solve::Relation::opening_loss, root * root);
}

}  // namespace lapheat::airflow
