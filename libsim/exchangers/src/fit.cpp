#include "lapheat/exchangers/fit.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>
#include <lapheat/solve/least_squares.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <numeric>
#include <span>
#include <stdexcept>
#include <utility>
#include <vector>

#include "fit_detail.hpp"

namespace lapheat::exchangers {
namespace {

using solve::Matrix;
using Vector = std::vector<double>;

constexpr double determined_below = 0.35;  // standard error of a level's logarithm
constexpr double infinite = std::numeric_limits<double>::infinity();

void check_points(const std::vector<FitPoint>& points) {
    if (points.empty()) throw Error("no points to fit a core to", "one point or more");
    for (std::size_t i = 0; i < points.size(); ++i) {
        const FitPoint& p = points[i];
        const double span = p.duty.first_inlet - p.duty.second_inlet;
        const std::string where = fmt::format("point {}", i + 1);
        if (!(p.duty.first_flow > 0 && p.duty.second_flow > 0)) {
            throw Error(where + " lacks a flow", "both flows above 0 kg/s");
        }
        if (!(std::isfinite(p.heat) && p.heat * span > 0)) {
            throw Error(where + ": heat of " + fmt::format("{:.6g}", p.heat) +
                            " W against an inlet temperature difference of " +
                            fmt::format("{:.6g}", span) + " K",
                        "both of the same sign and not zero");
        }
        if (!(p.heat_error >= 0 && p.first_drop >= 0 && p.second_drop >= 0)) {
            throw Error(where + " has a negative error or pressure drop", "0 (unknown) or above");
        }
    }
}

double error_of(const FitPoint& p) {
    return p.heat_error > 0 ? p.heat_error : 0.03 * std::abs(p.heat);
}

/// No more than the stream with the smaller capacity rate can give, give or take three errors.
void check_second_law(const std::vector<FitPoint>& points, const Medium& first,
                      const Medium& second) {
    for (std::size_t i = 0; i < points.size(); ++i) {
        const Duty& d = points[i].duty;
        const double mean = 0.5 * (d.first_inlet + d.second_inlet);
        const double bound = std::min(d.first_flow * first.at(mean).specific_heat,
                                      d.second_flow * second.at(mean).specific_heat) *
                             std::abs(d.first_inlet - d.second_inlet);
        if (std::abs(points[i].heat) - 3 * error_of(points[i]) > bound) {
            throw Error(fmt::format("point {}: heat of {:.6g} W is more than the flows can carry: "
                                    "the second law allows {:.6g} W",
                                    i + 1, points[i].heat, bound),
                        "less heat, more flow or a greater inlet temperature difference");
        }
    }
}

/// The least-squares problem: residuals of a core changed by some parameters.
struct FitProblem {
    const Core& start;
    const Medium& first;
    const Medium& second;
    const std::vector<FitPoint>& points;
    std::vector<FitTerm> terms;

    [[nodiscard]] Vector residuals(const Vector& x) const {
        Core core = start;
        for (std::size_t j = 0; j < terms.size(); ++j) apply(core, terms[j], x[j]);
        Vector r;
        for (const FitPoint& p : points) {
            const double q = rate(core, first, second, p.duty).operation.heat;
            r.push_back((q - p.heat) / error_of(p));
        }
        return r;
    }
    [[nodiscard]] Matrix jacobian(const Vector& x) const {
        Matrix j(points.size(), x.size());
        for (std::size_t k = 0; k < x.size(); ++k) {
            Vector up = x, down = x;
            up[k] += step;
            down[k] -= step;
            const Vector high = residuals(up), low = residuals(down);
            for (std::size_t i = 0; i < high.size(); ++i) j(i, k) = (high[i] - low[i]) / (2 * step);
        }
        return j;
    }
    /// Where the sum of squares is least. Throws Error if that is not found.
    [[nodiscard]] Vector minimum(const Vector& from) const {
        solve::LeastSquaresOptions how;
        how.step.assign(from.size(), step);
        how.iterations = 200;
        how.tolerance = 1e-15;
        const solve::LeastSquares fit = solve::least_squares(
            [this](const std::vector<Vector>& where) {
                std::vector<Vector> all;
                for (const Vector& x : where) all.push_back(residuals_if_any(x));
                return all;
            },
            from, how);
        if (!fit.converged)
            throw Error("the fit of a core did not settle within 200 rounds",
                        "points that one core can meet");
        return fit.parameters;
    }

  private:
    static constexpr double step = 1e-4;  // of a logarithm or a power, for differences

    /// None where a trial went to where no core can be rated.
    [[nodiscard]] Vector residuals_if_any(const Vector& x) const {
        try {
            return residuals(x);
        } catch (const Error&) {
            return {};
        }
    }
};

double sum_of_squares(std::span<const double> x) {
    return std::inner_product(x.begin(), x.end(), x.begin(), 0.0);
}

struct Spread {
    Matrix covariance;  ///< empty when singular
    double condition = infinite;
};

Spread spread(const Matrix& j, double variance) {
    Spread r;
    if (j.rows() < j.columns()) return r;
    const solve::SingularValues s = solve::singular_values(j);
    if (!(s.values.back() > 1e-9 * s.values.front())) return r;
    r.condition = s.values.front() / s.values.back();
    r.covariance = s.normal_inverse(0);
    r.covariance *= variance;
    return r;
}

double greatest_error(const Matrix& covariance) {
    double most = 0;
    for (std::size_t i = 0; i < covariance.rows(); ++i) most = std::max(most, covariance(i, i));
    return std::sqrt(most);
}

double quantile(double confidence, int freedom) {
    const double p = 0.5 + 0.5 * confidence;
    if (freedom > 0) return boost::math::quantile(boost::math::students_t(freedom), p);
    return boost::math::quantile(boost::math::normal(), p);
}

/// Scatter beyond the stated errors widens everything (Bevington & Robinson, Data Reduction, ch.
/// 4).
double variance_of(double chi_squared, int freedom) {
    return freedom > 0 ? std::max(1.0, chi_squared / freedom) : 1.0;
}

}  // namespace

namespace {

/// Moves the Reynolds number about which a side's powers turn, leaving the side as it is.
void turn_about(Side& side, double reynolds) {
    const double log_ratio = std::log(reynolds / side.tilt_reynolds);
    side.heat_factor *= std::exp(side.heat_tilt * log_ratio);
    side.drop_factor *= std::exp(side.drop_tilt * log_ratio);
    side.tilt_reynolds = reynolds;
}

}  // namespace

void apply(Core& core, const FitTerm& term, double x) {
    switch (term.kind) {
        case FitTerm::total:
            core.first.heat_factor *= std::exp(x);
            core.second.heat_factor *= std::exp(x);
            core.first.fouling *= std::exp(-x);
            core.second.fouling *= std::exp(-x);
            core.wall_resistance *= std::exp(-x);
            break;
        case FitTerm::first_level:
            core.first.heat_factor *= std::exp(x);
            break;
        case FitTerm::second_level:
            core.second.heat_factor *= std::exp(x);
            break;
        case FitTerm::wall:
            core.wall_resistance *= std::exp(x);
            break;
        case FitTerm::first_power:
            turn_about(core.first, term.reference);
            core.first.heat_tilt += x;
            break;
        case FitTerm::second_power:
            turn_about(core.second, term.reference);
            core.second.heat_tilt += x;
            break;
    }
}

namespace {

double reynolds(const Side& s, const StreamInput& f) {
    return std::abs(f.mass_flow) * s.hydraulic_diameter / (s.flow_area * f.properties.viscosity);
}

/// The parameters asked for; powers turn about the flows of `at`.
std::vector<FitTerm> terms_of(const FitOptions& o, const Core& core, const RatedOperation& at) {
    std::vector<FitTerm> t;
    if (o.first_level) t.push_back({FitTerm::first_level, 1});
    if (o.second_level) t.push_back({FitTerm::second_level, 1});
    if (o.wall) t.push_back({FitTerm::wall, 1});
    if (o.first_power) t.push_back({FitTerm::first_power, reynolds(core.first, at.first)});
    if (o.second_power) t.push_back({FitTerm::second_power, reynolds(core.second, at.second)});
    return t;
}

/// Where to start: every level moved by the common factor's logarithm.
Vector first_guess(const std::vector<FitTerm>& terms, double scale) {
    Vector x;
    for (const FitTerm& t : terms) {
        const bool level = t.kind == FitTerm::first_level || t.kind == FitTerm::second_level;
        x.push_back(level ? scale : t.kind == FitTerm::wall ? -scale : 0);
    }
    return x;
}

void fill_residuals(FitResult& result, const Vector& r, const std::vector<FitPoint>& points) {
    const auto n = static_cast<double>(points.size());
    result.chi_squared = sum_of_squares(r);
    for (std::size_t i = 0; i < points.size(); ++i) {
        const double e = r[i] * error_of(points[i]) / std::abs(points[i].heat);
        result.residual.push_back(e);
        result.rms += e * e / n;
        result.worst = std::max(result.worst, std::abs(e));
    }
    result.rms = std::sqrt(result.rms);
}

/// d ln UA / d parameter.
Vector shares(const std::vector<FitTerm>& terms, const CoreOperation& now) {
    Vector share;
    for (const FitTerm& t : terms)
        share.push_back(t.kind == FitTerm::first_level    ? now.resistance_first * now.ua
                        : t.kind == FitTerm::second_level ? now.resistance_second * now.ua
                        : t.kind == FitTerm::wall         ? -now.resistance_wall * now.ua
                                                          : 0);
    return share;
}

std::string name_of(FitTerm::Kind kind, bool second_is_air) {
    const std::string first = second_is_air ? "liquid" : "first liquid";
    const std::string second = second_is_air ? "air" : "second liquid";
    switch (kind) {
        case FitTerm::first_level:
            return first + "-side conductance";
        case FitTerm::second_level:
            return second + "-side conductance";
        case FitTerm::wall:
            return "wall resistance";
        case FitTerm::first_power:
            return "power of " + first + " flow, added";
        case FitTerm::second_power:
            return "power of " + second + " flow, added";
        case FitTerm::total:
            return "total conductance";
    }
    throw std::logic_error("no such term of a fit");
}

/// A level's interval is symmetric in its logarithm, a power's in itself.
FitParameter parameter(FitTerm::Kind kind, const CoreOperation& now, double power, double error,
                       double t) {
    FitParameter p;
    p.relative_error = error;
    p.determined = error < determined_below;
    const bool is_power = kind == FitTerm::first_power || kind == FitTerm::second_power;
    switch (kind) {
        case FitTerm::total:
            p.unit = "W/K", p.value = now.ua;
            break;
        case FitTerm::first_level:
            p.unit = "W/K", p.value = 1 / now.resistance_first;
            break;
        case FitTerm::second_level:
            p.unit = "W/K", p.value = 1 / now.resistance_second;
            break;
        case FitTerm::wall:
            p.unit = "K/W", p.value = now.resistance_wall;
            break;
        case FitTerm::first_power:
        case FitTerm::second_power:
            p.unit = "-", p.value = power;
            break;
    }
    p.lower = is_power ? -infinite : 0;
    p.upper = infinite;
    if (std::isfinite(error)) {
        p.lower = is_power ? p.value - t * error : p.value * std::exp(-t * error);
        p.upper = is_power ? p.value + t * error : p.value * std::exp(t * error);
    }
    return p;
}

}  // namespace

FitResult fit_core(const Core& start, const Medium& first, const Medium& second,
                   const std::vector<FitPoint>& points, const FitOptions& options) {
    check_points(points);
    check_second_law(points, first, second);
    if (!(options.confidence > 0 && options.confidence < 1)) {
        throw Error("confidence of " + fmt::format("{:.6g}", options.confidence),
                    "between 0 and 1");
    }
    if (options.wall && start.wall_resistance == 0) {
        throw Error("a wall resistance of zero cannot be scaled by a fit",
                    "a first guess above 0 K/W");
    }
    const auto n = static_cast<int>(points.size());
    // First one factor on everything: always determined, and a start for the rest.
    const FitProblem common{start, first, second, points, {{FitTerm::total, 1}}};
    const Vector scale = common.minimum({0});
    FitResult result;
    result.core = start;
    apply(result.core, common.terms[0], scale[0]);
    // Then each parameter for itself; what is not fitted stays as it was in `start`.
    const RatedOperation at = rate(result.core, first, second, points[0].duty);
    const FitProblem full{start, first, second, points, terms_of(options, result.core, at)};
    const auto count = static_cast<int>(full.terms.size());
    Vector x = first_guess(full.terms, scale[0]);
    Spread s;
    const auto judge = [&](const Vector& where) {
        s = spread(full.jacobian(where),
                   variance_of(sum_of_squares(full.residuals(where)), n - count));
        return !s.covariance.empty() && greatest_error(s.covariance) < determined_below;
    };
    if (count > 0 && n >= count && !spread(full.jacobian(x), 1).covariance.empty()) {
        const Vector best = full.minimum(x);
        result.separable = judge(best);
        if (result.separable) {
            x = best;
            result.core = start;
            for (std::size_t k = 0; k < x.size(); ++k) apply(result.core, full.terms[k], x[k]);
        } else {
            (void)judge(x);  // at the split that is kept, not where the fit ran off to
        }
    }
    fill_residuals(result, result.separable ? full.residuals(x) : common.residuals(scale), points);
    result.degrees_of_freedom = std::max(0, n - (result.separable ? count : 1));
    result.condition = s.condition;
    // The total first, then what was asked for.
    const double t = quantile(options.confidence, result.degrees_of_freedom);
    const CoreOperation now = rate(result.core, first, second, points[0].duty).operation;
    double total_error = 0;
    if (result.separable) {
        const Vector share = shares(full.terms, now), spread = s.covariance * share;
        total_error =
            std::sqrt(std::inner_product(share.begin(), share.end(), spread.begin(), 0.0));
    } else {
        total_error = std::sqrt(variance_of(result.chi_squared, result.degrees_of_freedom)) /
                      std::sqrt(sum_of_squares(common.jacobian(scale).values()));
    }
    const auto keep = [&](FitTerm::Kind kind, double power, double error) {
        result.parameters.push_back(parameter(kind, now, power, error, t));
        FitParameter& p = result.parameters.back();
        p.name = name_of(kind, second.is_air);
    };
    keep(FitTerm::total, 0, total_error);
    const bool known = !s.covariance.empty();
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double error = known ? std::sqrt(s.covariance(i, i)) : infinite;
        keep(full.terms[i].kind, x[i], error);
        for (std::size_t j = 0; j < x.size(); ++j) {
            result.correlation.push_back(
                known ? s.covariance(i, j) / std::sqrt(s.covariance(i, i) * s.covariance(j, j))
                      : std::numeric_limits<double>::quiet_NaN());
        }
    }
    fit_drops(result, first, second, points);
    explain(result, second.is_air, points);
    return result;
}

}  // namespace lapheat::exchangers
