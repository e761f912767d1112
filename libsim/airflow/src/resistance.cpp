#include <lapheat/airflow/resistance.hpp>

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
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

Resistance fit_resistance(std::span<const double> mass_flow, std::span<const double> drop,
                          double density, double viscosity) {
    const std::size_t count = mass_flow.size();
    if (count < 2 || drop.size() != count)
        throw Error("an air resistance needs at least two points of flow and drop",
                    "as many drops as flows, two or more");
    if (!(density > 0) || !(viscosity > 0))
        throw Error("density and viscosity of an air resistance must be positive", "> 0");
    Eigen::MatrixXd terms(count, 3);
    for (std::size_t i = 0; i < count; ++i) {
        const double m = mass_flow[i];
        if (!(m > 0) || !(drop[i] > 0) || !std::isfinite(m) || !std::isfinite(drop[i]))
            throw Error("flow and drop of an air resistance must be positive", "> 0");
        const double scale = 1 / (density * drop[i]);
        terms.row(static_cast<Eigen::Index>(i)) << viscosity * m * scale,
            std::sqrt(viscosity * m) * m * scale, m * m * scale;
    }
    // Non-negative least squares by trying every subset of three terms: exact and short.
    const Eigen::VectorXd ones = Eigen::VectorXd::Ones(static_cast<Eigen::Index>(count));
    Eigen::Vector3d best = Eigen::Vector3d::Zero();
    double best_error = std::numeric_limits<double>::infinity();
    for (int subset = 1; subset < 8; ++subset) {
        std::vector<int> columns;
        for (int k = 0; k < 3; ++k)
            if (subset & (1 << k)) columns.push_back(k);
        if (columns.size() > count) continue;
        const Eigen::MatrixXd part = terms(Eigen::all, columns);
        const Eigen::VectorXd scale = part.colwise().norm();
        const Eigen::MatrixXd scaled = part * scale.cwiseInverse().asDiagonal();
        const Eigen::VectorXd solution =
            scaled.colPivHouseholderQr().solve(ones).cwiseQuotient(scale);
        if (!(solution.minCoeff() >= 0)) continue;
        const double error = (part * solution - ones).squaredNorm();
        if (error < best_error * (1 - 1e-12)) {
            best_error = error;
            best.setZero();
            for (std::size_t k = 0; k < columns.size(); ++k)
                best[columns[k]] = solution[static_cast<Eigen::Index>(k)];
        }
    }
    const auto [low, high] = std::minmax_element(mass_flow.begin(), mass_flow.end());
    return {.laminar = best[0],
            .boundary = best[1],
            .quadratic = best[2],
            .min_flow = *low,
            .max_flow = *high,
            .fit_error = (terms * best - ones).cwiseAbs().maxCoeff()};
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
