#include "lapheat/solve/least_squares.hpp"

#include <ceres/cost_function.h>
#include <ceres/manifold.h>
#include <ceres/problem.h>
#include <ceres/solver.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::solve {
namespace {

using Points = std::vector<std::vector<double>>;

bool finite(const std::vector<double>& r, std::size_t count) {
    return r.size() == count && std::ranges::all_of(r, [](double x) { return std::isfinite(x); });
}

/// The caller's function as Ceres wants it: residuals, and their Jacobian by differences.
class DifferencedCost final : public ceres::CostFunction {
  public:
    DifferencedCost(const Residuals& f, std::size_t parameters, std::size_t residuals,
                    const LeastSquaresOptions& options)
        : f_(f), options_(options), count_(residuals) {
        set_num_residuals(static_cast<int>(residuals));
        mutable_parameter_block_sizes()->push_back(static_cast<int>(parameters));
    }

    [[nodiscard]] std::size_t evaluations() const { return evaluations_; }

    bool Evaluate(double const* const* parameters, double* residuals,
                  double** jacobians) const override {
        if (options_.cancel != nullptr && options_.cancel->load()) return false;
        const auto n = static_cast<std::size_t>(parameter_block_sizes().front());
        const std::vector<double> at(parameters[0], parameters[0] + n);
        const bool wanted = jacobians != nullptr && jacobians[0] != nullptr;
        Points points{at};
        std::vector<double> ahead(n), behind(n);
        const bool given = static_cast<bool>(options_.jacobian);
        if (wanted && !given)
            for (std::size_t j = 0; j < n; ++j) add_steps(at, j, ahead[j], behind[j], points);
        evaluations_ += points.size();
        const Points r = f_(points);
        if (r.size() != points.size()) return false;
        if (!finite(r.front(), count_)) return false;
        std::ranges::copy(r.front(), residuals);
        if (!wanted) return true;
        if (given) return put(options_.jacobian(at), n, jacobians[0]);
        std::size_t k = 1;
        for (std::size_t j = 0; j < n; ++j) {
            const std::vector<double>& up = ahead[j] != 0 ? r[k++] : r.front();
            const std::vector<double>& down = behind[j] != 0 ? r[k++] : r.front();
            if (!finite(up, count_) || !finite(down, count_)) return false;
            const double width = ahead[j] + behind[j];
            for (std::size_t i = 0; i < count_; ++i)
                jacobians[0][i * n + j] = (up[i] - down[i]) / width;
        }
        return true;
    }

  private:
    bool put(const Matrix& given, std::size_t parameters, double* out) const {
        if (given.rows() != count_ || given.columns() != parameters ||
            !std::ranges::all_of(given.values(), [](double x) { return std::isfinite(x); }))
            return false;
        for (std::size_t i = 0; i < count_; ++i)
            for (std::size_t j = 0; j < parameters; ++j) out[i * parameters + j] = given(i, j);
        return true;
    }
    /// A step to each side, as far as the bounds let it.
    void add_steps(const std::vector<double>& at, std::size_t j, double& ahead, double& behind,
                   Points& points) const {
        const double x = at[j];
        double h = j < options_.step.size() ? options_.step[j]
                                            : std::cbrt(std::numeric_limits<double>::epsilon()) *
                                                  std::max(std::abs(x), 1e-3);
        if (!options_.central && !(j < options_.step.size()))
            h = std::sqrt(std::numeric_limits<double>::epsilon()) * std::max(std::abs(x), 1e-3);
        const double up = j < options_.high.size() ? options_.high[j] - x : h;
        const double down = j < options_.low.size() ? x - options_.low[j] : h;
        ahead = std::min(h, up);
        behind = options_.central || ahead < 0.5 * h ? std::min(h, down) : 0;
        for (double* side : {&ahead, &behind}) {
            if (!(*side > 0)) {
                *side = 0;
                continue;
            }
            points.push_back(at);
            points.back()[j] = side == &ahead ? x + *side : x - *side;
            // What the computer makes of the step is what counts.
            *side = std::abs(points.back()[j] - x);
        }
    }

    const Residuals& f_;
    const LeastSquaresOptions& options_;
    std::size_t count_;
    mutable std::size_t evaluations_ = 0;
};

void check(const std::vector<double>& start, const LeastSquaresOptions& options) {
    const std::size_t n = start.size();
    if (n == 0) throw Error("nothing to fit", "at least one parameter");
    for (const std::vector<double>* one : {&options.low, &options.high, &options.step})
        if (!one->empty() && one->size() != n)
            throw Error("bounds or steps are not as many as parameters");
    for (std::size_t j = 0; j < n; ++j)
        if ((!options.low.empty() && !(start[j] >= options.low[j])) ||
            (!options.high.empty() && !(start[j] <= options.high[j])))
            throw Error("the start lies outside the bounds");
}

/// Parameters at a bound whose residuals would be less beyond it.
std::set<int> leaning_on_bounds(ceres::Problem& problem, const std::vector<double>& at,
                                const LeastSquaresOptions& options) {
    std::set<int> out;
    if (options.low.empty() && options.high.empty()) return out;
    std::vector<double> gradient;
    if (!problem.Evaluate({}, nullptr, nullptr, &gradient, nullptr)) return out;
    for (std::size_t j = 0; j < at.size(); ++j) {
        const auto near = [&](double bound) {
            return std::abs(at[j] - bound) <= 1e-9 * std::max(1.0, std::abs(bound));
        };
        const bool low = !options.low.empty() && near(options.low[j]) && gradient[j] > 0;
        const bool high = !options.high.empty() && near(options.high[j]) && gradient[j] < 0;
        if (low || high) out.insert(static_cast<int>(j));
    }
    return out;
}

}  // namespace

Matrix LeastSquares::covariance() const { return singular_values(jacobian).normal_inverse(1e-12); }

LeastSquares least_squares(const Residuals& residuals, const std::vector<double>& start,
                           const LeastSquaresOptions& options) {
    check(start, options);
    const std::vector<std::vector<double>> first = residuals({start});
    if (options.cancel != nullptr && options.cancel->load())
        throw Error(Diagnostic{.code = Code::cancelled});
    if (first.size() != 1 || first.front().empty() || !finite(first.front(), first.front().size()))
        throw Error("there is no answer at the start of the fit");

    ceres::Problem::Options owns;
    owns.cost_function_ownership = ceres::DO_NOT_TAKE_OWNERSHIP;
    ceres::Problem problem(owns);
    DifferencedCost cost(residuals, start.size(), first.front().size(), options);
    LeastSquares out;
    out.parameters = start;
    problem.AddResidualBlock(&cost, nullptr, out.parameters.data());
    for (std::size_t j = 0; j < start.size(); ++j) {
        const auto i = static_cast<int>(j);
        if (!options.low.empty() && std::isfinite(options.low[j]))
            problem.SetParameterLowerBound(out.parameters.data(), i, options.low[j]);
        if (!options.high.empty() && std::isfinite(options.high[j]))
            problem.SetParameterUpperBound(out.parameters.data(), i, options.high[j]);
    }
    ceres::Solver::Options how;
    how.linear_solver_type = ceres::DENSE_QR;
    how.max_num_iterations = options.iterations;
    how.function_tolerance = options.tolerance;
    how.gradient_tolerance = 1e-14;
    how.parameter_tolerance = std::min(1e-10, options.tolerance);
    how.logging_type = ceres::SILENT;
    how.num_threads = 1;  // the caller's function is the one that works side by side
    ceres::Solver::Summary summary;
    std::set<int> held;
    // Ceres projects its steps on the bounds, and may stop short where a bound is met aslant: what
    // leans on its bound is held there and the rest goes on, until nothing leans or lets go.
    for (int round = 0; round < 2 * static_cast<int>(start.size()) + 2; ++round) {
        if (held.size() < start.size()) {
            if (!held.empty())
                problem.SetManifold(out.parameters.data(),
                                    new ceres::SubsetManifold(static_cast<int>(start.size()),
                                                              {held.begin(), held.end()}));
            ceres::Solve(how, &problem, &summary);
            problem.SetManifold(out.parameters.data(), nullptr);
            out.iterations += static_cast<int>(summary.iterations.size());
        }
        if (options.cancel != nullptr && options.cancel->load())
            throw Error(Diagnostic{.code = Code::cancelled});
        std::set<int> leaning = leaning_on_bounds(problem, out.parameters, options);
        if (leaning == held) break;
        held = std::move(leaning);
    }

    const std::size_t m = first.front().size(), n = start.size();
    out.residuals.resize(m);
    std::vector<double> jacobian(m * n);
    const double* at[] = {out.parameters.data()};
    double* rows[] = {jacobian.data()};
    if (!cost.Evaluate(at, out.residuals.data(), rows))
        throw Error("there is no answer next to where the fit ended");
    out.jacobian = Matrix(m, n);
    for (std::size_t i = 0; i < m; ++i)
        for (std::size_t j = 0; j < n; ++j) out.jacobian(i, j) = jacobian[i * n + j];
    for (const double r : out.residuals) out.sum_of_squares += r * r;
    out.converged = summary.termination_type == ceres::CONVERGENCE;
    out.evaluations = 1 + cost.evaluations();
    out.ended = summary.message;
    return out;
}

double gentle(double residual, double knee) {
    const double x = residual / knee;
    // The difference of nearly equal numbers for small x, written without it.
    const double rho = 2 * knee * knee * x * x / (std::sqrt(1 + x * x) + 1);
    return std::copysign(std::sqrt(rho), residual);
}

double gentle_slope(double residual, double knee) {
    const double size = std::abs(residual);
    if (!(size > 1e-12 * knee)) return 1;
    const double x = size / knee;
    return size / (std::sqrt(1 + x * x) * gentle(size, knee));
}

}  // namespace lapheat::solve
