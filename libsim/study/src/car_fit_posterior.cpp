// What the logs say of all numbers together: straight lines through real runs, laid anew where the
// answer lies until it stays (car_fitting.hpp).
#include <fmt/format.h>
#include <algorithm>
#include <cmath>

#include "car_fitting.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/least_squares.hpp"
#include "lapheat/solve/pareto.hpp"

namespace lapheat::study {
namespace {

constexpr double furthest = 3.5;  ///< deviations of its prior that a number may be moved
// Deviations of the posterior in each direction told, from one answer to the next: this far it has
// settled, and so far it was elsewhere.
constexpr double settled = 0.25, far = 1;
// What of the logs' information counts. Straight lines laid through few runs are not exactly known,
// nor is the noise, and a posterior that takes both for certain is too sure: of cars 20 to 63 of
// test_fit_coverage its 90 % bands of numbers told held 80 to 84 %, and its deviations were 1.25
// (nine in ten) to 1.38 times (half) too small. A likelihood raised to a power that was chosen so
// that bands hold what they say: Syring & Martin, Biometrika 106 (2019) 479 (from memory).
constexpr double information = 1 / (1.35 * 1.35);
constexpr int most_rounds = 8;
constexpr std::size_t rough_runs = 6, fewest_pairs = 8;
constexpr double rough_step = 0.01;

/// Slopes that runs in pairs add to those known, and what each pair misses then if it is left out.
struct Ridge {
    Eigen::MatrixXd more;    ///< rows by numbers
    Eigen::MatrixXd missed;  ///< rows by pairs
};

/// `odd`: half differences of pairs less what known slopes give, rows by pairs. `moves`: numbers by
/// pairs. A number's slopes change as far as `reach` says, or less. Rows count by `whitened`, a
/// copy of odd. How far to trust the pairs is what foretells each best from all others (Allen,
/// Technometrics 16 (1974) 125; from memory).
Ridge ridge(const Eigen::MatrixXd& odd, const Eigen::MatrixXd& whitened,
            const Eigen::MatrixXd& moves, const Eigen::VectorXd& reach) {
    const Eigen::MatrixXd z = reach.asDiagonal() * moves;
    const Eigen::MatrixXd k = z.transpose() * z;
    const Eigen::Index n = k.rows();
    const double scale = k.trace() / static_cast<double>(std::max<Eigen::Index>(n, 1));
    Ridge out{Eigen::MatrixXd::Zero(odd.rows(), moves.rows()), odd};
    double best = whitened.squaredNorm();
    if (!(scale > 0)) return out;
    Eigen::MatrixXd kept;
    Eigen::VectorXd share;
    for (double weight = 1e-3 * scale; weight < 2e3 * scale; weight *= 2) {
        const Eigen::MatrixXd inverse = (k + weight * Eigen::MatrixXd::Identity(n, n))
                                            .llt()
                                            .solve(Eigen::MatrixXd::Identity(n, n));
        const Eigen::VectorXd own = inverse.diagonal().cwiseInverse();
        const double left = (whitened * inverse * own.asDiagonal()).squaredNorm();
        if (left < best) best = left, kept = inverse, share = own;
    }
    if (kept.size() == 0) return out;
    out.missed = odd * kept * share.asDiagonal();
    out.more = odd * kept * z.transpose() * reach.asDiagonal();
    return out;
}

}  // namespace

double CarFitting::objective(const Eigen::VectorXd& x, const Eigen::VectorXd& model) const {
    Eigen::MatrixXd misses = model + offset_slopes_ * x.tail(offset_slopes_.cols()) - logged_;
    Whitening(series_, noise_).apply(misses);
    double sum = x.squaredNorm();
    for (const double r : misses.reshaped())
        sum += information * std::pow(solve::gentle(r, options_.knee), 2);
    return sum;
}

Eigen::MatrixXd CarFitting::all_slopes() const {
    Eigen::MatrixXd out(logged_.size(), all() + bend_.cols());
    out << slopes_, offset_slopes_, bend_;
    return out;
}

CarFitting::Straight CarFitting::straight(const Point& at) const {
    Straight out;
    out.a = all_slopes();
    out.b = at.model - logged_ - slopes_ * at.x.head(moved());
    const Whitening white(series_, noise_);
    white.apply(out.a), white.apply(out.b);
    return out;
}

Eigen::VectorXd CarFitting::best(const Straight& model) const {
    const Eigen::MatrixXd& a = model.a;
    const auto misses_at = [&](const Values& x) -> Eigen::VectorXd {
        return a * vector_of(x) + model.b;
    };
    const solve::Residuals f = [&](const std::vector<Values>& points) {
        std::vector<Values> out;
        for (const Values& x : points) {
            Values& r = out.emplace_back();
            for (const double miss : misses_at(x))
                r.push_back(std::sqrt(information) * solve::gentle(miss, options_.knee));
            r.insert(r.end(), x.begin(), x.end());
        }
        return out;
    };
    const auto parameters = static_cast<std::size_t>(a.cols());
    solve::LeastSquaresOptions how;
    how.low.assign(parameters, -furthest), how.high.assign(parameters, furthest);
    how.iterations = 50;
    how.tolerance = 1e-8;
    how.cancel = options_.cancel;
    how.jacobian = [&](const Values& x) {
        solve::Matrix made(static_cast<std::size_t>(a.rows() + a.cols()), parameters);
        Eigen::Map<Eigen::MatrixXd> out(made.values().data(), a.rows() + a.cols(), a.cols());
        out << a, Eigen::MatrixXd::Identity(a.cols(), a.cols());
        const Eigen::VectorXd r = misses_at(x);
        for (Eigen::Index i = 0; i < r.size(); ++i)
            out.row(i) *= std::sqrt(information) * solve::gentle_slope(r[i], options_.knee);
        return made;
    };
    return vector_of(solve::least_squares(f, Values(parameters, 0.0), how).parameters);
}

Eigen::MatrixXd CarFitting::covariance(const Straight& model, const Eigen::VectorXd& best) const {
    Eigen::MatrixXd a = model.a;
    const Eigen::VectorXd r = a * best + model.b;
    for (Eigen::Index i = 0; i < r.size(); ++i)  // far ones count for less
        a.row(i) *= std::sqrt(information) * std::pow(1 + std::pow(r[i] / options_.knee, 2), -0.25);
    const Eigen::MatrixXd h = Eigen::MatrixXd::Identity(a.cols(), a.cols()) + a.transpose() * a;
    return h.inverse().topLeftCorner(all(), all());
}

void CarFitting::measure_rough(const Point& at) {
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < moved(); ++k)
        keys.push_back(solve::mixed(series_of_draws + 3, fmt::format("rough {}", k)));
    const solve::ScrambledPoints shares(keys);
    std::vector<Eigen::VectorXd> points{at.x};
    for (std::size_t d = 0; d < rough_runs && !keys.empty(); ++d) {
        Values u(keys.size());
        shares.point(static_cast<std::uint32_t>(d), u);
        points.push_back(at.x);
        for (std::size_t k = 0; k < u.size(); ++k)
            points.back()[static_cast<Eigen::Index>(k)] += rough_step * (2 * u[k] - 1);
    }
    const std::vector<Eigen::VectorXd> models = models_at(points);
    if (models.front().size() == 0) return;
    std::vector<Eigen::VectorXd> differences;
    for (std::size_t d = 1; d < models.size(); ++d)
        if (models[d].size() > 0) differences.emplace_back(models[d] - models.front());
    Eigen::MatrixXd all(logged_.size(), static_cast<Eigen::Index>(differences.size()));
    for (std::size_t d = 0; d < differences.size(); ++d)
        all.col(static_cast<Eigen::Index>(d)) = differences[d];
    measure_roughness(series_, all);
}

void CarFitting::drive_ensemble(const Point& at, const Eigen::MatrixXd& covariance, int round,
                                Ensemble& runs) {
    const Eigen::Index n = all();
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(covariance);
    std::vector<std::uint64_t> keys;
    for (Eigen::Index k = 0; k < n; ++k)
        keys.push_back(solve::mixed(series_of_draws + 1, fmt::format("ensemble {}", k)));
    const solve::ScrambledPoints shares(keys);
    // Few numbers need few runs.
    const std::size_t pairs =
        std::min(options_.ensemble, std::max<std::size_t>(2 * fewest_pairs, 4 * moved_.size())) / 2;
    std::vector<Eigen::VectorXd> moves, points;
    for (std::size_t d = 0; d < pairs; ++d) {
        Values u(keys.size());
        shares.point(static_cast<std::uint32_t>(static_cast<std::size_t>(round) * pairs + d), u);
        Eigen::VectorXd e(n);
        for (Eigen::Index k = 0; k < n; ++k)
            e[k] = solve::normal_quantile(u[static_cast<std::size_t>(k)]);
        moves.emplace_back(eigen.operatorSqrt() * e);
        for (const double side : {1.0, -1.0}) {
            points.push_back(at.x);
            points.back() += side * moves.back();
        }
    }
    const std::vector<Eigen::VectorXd> models = models_at(points);
    const auto put = [](Eigen::MatrixXd& to, const Eigen::VectorXd& column) {
        to.conservativeResize(column.size(), to.cols() + 1);
        to.rightCols(1) = column;
    };
    std::size_t driven = 0;
    for (std::size_t d = 0; d < moves.size(); ++d) {
        const Eigen::VectorXd &up = models[2 * d], &down = models[2 * d + 1];
        if (up.size() == 0 || down.size() == 0) continue;
        ++driven;
        put(runs.from, at.x), put(runs.moves, moves[d]);
        put(runs.odd, 0.5 * (up - down)), put(runs.even, 0.5 * (up + down));
    }
    if (driven < fewest_pairs)
        throw Error(fmt::format("only {} of {} pairs of cars drawn from the doubts could be driven "
                                "through the logs",
                                driven, moves.size()),
                    "narrower ranges, or logs that such a car can drive");
}

void CarFitting::lay_straight(Point& at, const Ensemble& runs) {
    const Eigen::Index pairs = runs.moves.cols();
    const Eigen::MatrixXd moves = runs.moves.topRows(moved());
    const Eigen::MatrixXd odd = runs.odd - slopes_ * moves;
    Eigen::MatrixXd whitened = odd, known = slopes_;
    const Whitening white(series_, noise_);
    white.apply(whitened), white.apply(known);
    bend_.setZero(logged_.size(), 2 * pairs);
    for (std::size_t l = 0; l < fitted_logs_; ++l) {
        Eigen::Index begin = logged_.size(), end = 0;
        for (const FitSeries& s : series_)
            if (s.log == l)
                begin = std::min(begin, s.begin),
                end = std::max(end, s.begin + static_cast<Eigen::Index>(s.time.size()));
        if (end <= begin || moved() == 0) continue;
        // A number may change its slopes by as much as it has, and a little of what others have.
        Eigen::VectorXd reach = known.middleRows(begin, end - begin).colwise().norm();
        reach.array() += 0.03 * reach.maxCoeff();
        for (std::size_t k = 0; k < moved_.size(); ++k)
            if (moved_[k].log && *moved_[k].log != l) reach[static_cast<Eigen::Index>(k)] = 0;
        const Ridge found = ridge(odd.middleRows(begin, end - begin),
                                  whitened.middleRows(begin, end - begin), moves, reach);
        slopes_.middleRows(begin, end - begin) += found.more;
        bend_.block(begin, 0, end - begin, pairs) = found.missed;
    }
    const Eigen::MatrixXd middles =
        runs.even - slopes_ * (runs.from.colwise() - at.x).topRows(moved());
    at.model = middles.rowwise().mean();
    const auto n = static_cast<double>(pairs);
    bend_.leftCols(pairs) /= std::sqrt(n);
    bend_.rightCols(pairs) = (middles.colwise() - at.model) / std::sqrt(n - 1);
}

void CarFitting::weigh(const Ensemble& runs, const Eigen::VectorXd& middle,
                       const Eigen::MatrixXd& covariance, CarFit& out) const {
    const Eigen::LLT<Eigen::MatrixXd> factor(covariance);
    Values weights;
    for (Eigen::Index k = 0; k < runs.moves.cols(); ++k) {
        if (!(runs.from.col(k).array() == middle.array()).all()) continue;  // of earlier rounds
        const Eigen::VectorXd move = runs.moves.col(k), odd = runs.odd.col(k);
        for (const double side : {1.0, -1.0})
            weights.push_back(-0.5 *
                                  objective(middle + side * move, runs.even.col(k) + side * odd) +
                              0.5 * move.dot(factor.solve(move)));
    }
    const solve::SmoothedWeights smoothed = solve::smoothed_weights(weights);
    out.near_normal = smoothed.effective / static_cast<double>(weights.size());
    out.tail = smoothed.k;
}

Eigen::MatrixXd CarFitting::approach(Point& at, CarFit& out) {
    Eigen::MatrixXd spread = Eigen::MatrixXd::Identity(all(), all());
    Ensemble runs;
    bool fresh = true;  // runs so far were drawn elsewhere, or far wider
    int rounds = 0;
    for (int round = 0; round < most_rounds; ++round) {
        say(0.2 + 0.07 * round, "fitting");
        if (fresh) {
            if (round > 0) measure_rough(at);
            runs = {}, rounds = 0;
        }
        drive_ensemble(at, spread, round, runs);
        ++rounds;
        lay_straight(at, runs);
        noise_ = likeliest_noise(series_, noise_, all_slopes(),
                                 logged_ - at.model + slopes_ * at.x.head(moved()));
        const Straight model = straight(at);
        const Eigen::VectorXd found = best(model);
        const Eigen::MatrixXd next = covariance(model, found);
        const Eigen::VectorXd step = found.head(all()) - at.x;
        const Eigen::LLT<Eigen::MatrixXd> factor(next), before(spread);
        // A direction told, in its own deviations.
        const double told = std::max(1.0, static_cast<double>(all()) - next.trace());
        const double length = std::sqrt(step.dot(factor.solve(step)) / told);
        double shrunk = 0;
        for (Eigen::Index k = 0; k < all(); ++k)
            shrunk += std::log(before.matrixLLT()(k, k) / factor.matrixLLT()(k, k));
        weigh(runs, at.x, spread, out);
        at.model += slopes_ * step.head(moved());
        at.x = found.head(all()), spread = next;
        fresh = length > far || std::abs(shrunk) > 3;
        out.converged = rounds > 2 && length < settled && std::abs(shrunk) < 0.5;
        if (out.converged) break;
    }
    tell_bend(out);
    return spread;
}

void CarFitting::tell_bend(CarFit& out) const {
    for (std::size_t s = 0; s < signals_.size(); ++s) {
        double squares = 0, readings = 0;
        for (const FitSeries& f : series_)
            if (f.signal == s) {
                const auto n = static_cast<Eigen::Index>(f.time.size());
                squares += bend_.middleRows(f.begin, n).squaredNorm();
                readings += static_cast<double>(n);
            }
        out.bend.push_back(readings > 0 ? std::sqrt(squares / readings) : 0);
    }
}

}  // namespace lapheat::study
