#include "fit_noise.hpp"

#include <algorithm>
#include <cmath>

namespace lapheat::study {
namespace {

/// ln of the noise's own probability, but for a constant.
double log_prior(const Noise& n) {
    const double d = std::log(n.deviation / usual_deviation) / std::log(deviation_factor);
    const double m = std::log(n.memory / usual_memory) / std::log(memory_factor);
    return -0.5 * (d * d + m * m);
}

/// The columns of `a` turned so that few are left: a x over x ~ N(0, 1) has the same covariance.
Eigen::MatrixXd fewest_columns(const Eigen::MatrixXd& a) {
    const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> eigen(a.transpose() * a);
    const Eigen::VectorXd& values = eigen.eigenvalues();
    Eigen::Index kept = 0;
    // What all rows together move by less than a hundredth of a kelvin is nothing.
    while (kept < values.size() && values[values.size() - 1 - kept] > 1e-4) ++kept;
    return a * eigen.eigenvectors().rightCols(kept);
}

double evidence(const std::vector<FitSeries>& series, const std::vector<Noise>& noise,
                Eigen::MatrixXd rows) {
    const Whitening white(series, noise);
    white.apply(rows);
    const Eigen::Index n = rows.cols() - 1;
    Eigen::MatrixXd h = Eigen::MatrixXd::Identity(n, n);
    h.selfadjointView<Eigen::Lower>().rankUpdate(rows.leftCols(n).transpose());
    const Eigen::VectorXd b = rows.col(n), g = rows.leftCols(n).transpose() * b;
    const Eigen::LLT<Eigen::MatrixXd> factor(h);
    double out = -0.5 * (b.squaredNorm() - g.dot(factor.solve(g)) + white.log_determinant());
    for (Eigen::Index k = 0; k < n; ++k) out -= std::log(factor.matrixLLT()(k, k));
    for (const Noise& one : noise) out += log_prior(one);
    return out;
}

Eigen::MatrixXd joined(const Eigen::MatrixXd& a, const Eigen::VectorXd& b) {
    Eigen::MatrixXd out(a.rows(), a.cols() + 1);
    out << a, b;
    return out;
}

/// What is alike over five minutes with variance `all`, seen through noise of variance `own`.
void smooth(const std::vector<double>& time, double all, const std::vector<double>& own,
            Eigen::Ref<Eigen::VectorXd> y) {
    constexpr double memory = 300;  // s; slopes of what a thermostat holds change no faster
    const std::size_t n = time.size();
    std::vector<double> at(n), left(n), keep(n, 0.0);
    double before = 0, variance = all;
    for (std::size_t i = 0; i < n; ++i) {
        if (i > 0) {
            keep[i] = std::exp(-(time[i] - time[i - 1]) / memory);
            before *= keep[i];
            variance = keep[i] * keep[i] * variance + all * (1 - keep[i] * keep[i]);
        }
        const double gain = variance + own[i] > 0 ? variance / (variance + own[i]) : 1;
        before += gain * (y[static_cast<Eigen::Index>(i)] - before);
        variance *= 1 - gain;
        at[i] = before, left[i] = variance;
    }
    for (std::size_t i = n - 1; i-- > 0;) {
        const double k = keep[i + 1], ahead = k * k * left[i] + all * (1 - k * k);
        if (ahead > 0) at[i] += left[i] * k / ahead * (at[i + 1] - k * at[i]);
    }
    for (std::size_t i = 0; i < n; ++i) y[static_cast<Eigen::Index>(i)] = at[i];
}

}  // namespace

double least_deviation_of(double memory) {
    return least_deviation * std::sqrt(std::expm1(-1.0) / std::expm1(-least_memory / memory));
}

void measure_roughness(std::vector<FitSeries>& series, const Eigen::MatrixXd& differences) {
    constexpr double around = 300;  // s to each side, over which roughness is taken as the same
    constexpr Eigen::Index lags = 15;
    for (FitSeries& s : series) {
        const auto n = static_cast<Eigen::Index>(s.time.size());
        const Eigen::MatrixXd d = differences.middleRows(s.begin, n);
        // Two runs differ by twice the variance of one.
        const Eigen::VectorXd square = 0.5 * d.rowwise().squaredNorm() /
                                       static_cast<double>(std::max<Eigen::Index>(d.cols(), 1));
        s.rough.assign(s.time.size(), 0.0);
        for (std::size_t i = 0, from = 0, to = 0; i < s.time.size(); ++i) {
            while (s.time[from] < s.time[i] - around) ++from;
            while (to < s.time.size() && s.time[to] <= s.time[i] + around) ++to;
            s.rough[i] =
                square
                    .segment(static_cast<Eigen::Index>(from), static_cast<Eigen::Index>(to - from))
                    .mean();
        }
        const double all = d.squaredNorm();
        s.alike = 1;
        for (Eigen::Index lag = 1; lag <= lags && lag < n && all > 0; ++lag) {
            const double product =
                d.topRows(n - lag).cwiseProduct(d.bottomRows(n - lag)).sum() / all;
            if (product < 0.1) break;
            s.alike += 2 * product;
        }
    }
}

Eigen::VectorXd without_roughness(const std::vector<FitSeries>& series,
                                  const Eigen::VectorXd& found, double width) {
    Eigen::VectorXd out = found;
    for (const FitSeries& s : series) {
        if (s.rough.empty()) continue;
        double more = 0, noise = 0;
        std::vector<double> own(s.time.size());
        for (std::size_t i = 0; i < s.time.size(); ++i) {
            const double variance = 2 * s.rough[i] / (width * width);
            const double x = out[s.begin + static_cast<Eigen::Index>(i)];
            own[i] = s.alike * variance;
            // Rough readings alone say how much is more than roughness.
            if (s.rough[i] > 1e-4) more += x * x - variance, noise += variance * variance;
        }
        if (!(noise > 0)) continue;
        // As likely as not noise itself: what its own scatter (2 v^2 a reading) could make counts
        // for nothing.
        more -= std::sqrt(2 * s.alike * noise);
        const auto readings =
            static_cast<double>(std::ranges::count_if(s.rough, [](double q) { return q > 1e-4; }));
        smooth(s.time, std::max(more / readings, 0.0), own,
               out.segment(s.begin, static_cast<Eigen::Index>(s.time.size())));
    }
    return out;
}

Whitening::Whitening(const std::vector<FitSeries>& series, const std::vector<Noise>& noise) {
    for (const FitSeries& s : series) {
        const Noise& of = noise[s.signal];
        const double all = of.deviation * of.deviation;
        double left = all;  // variance of d that earlier readings have not told
        for (std::size_t i = 0; i < s.time.size(); ++i) {
            Step step;
            if (i > 0) {
                step.keep = std::exp(-(s.time[i] - s.time[i - 1]) / of.memory);
                left = step.keep * step.keep * left + all * (1 - step.keep * step.keep);
            }
            const double own = s.white * s.white + (s.rough.empty() ? 0 : s.alike * s.rough[i]);
            const double variance = left + own;
            step.gain = left / variance;
            step.scale = 1 / std::sqrt(variance);
            left *= 1 - step.gain;
            log_determinant_ += std::log(variance);
            steps_.push_back(step);
        }
    }
}

void Whitening::apply(Eigen::Ref<Eigen::MatrixXd> rows) const {
    for (Eigen::Index c = 0; c < rows.cols(); ++c) {
        double* y = rows.col(c).data();
        double d = 0;
        for (std::size_t i = 0; i < steps_.size(); ++i) {
            const Step& step = steps_[i];
            d *= step.keep;
            const double fresh = y[i] - d;
            d += step.gain * fresh;
            y[i] = fresh * step.scale;
        }
    }
}

std::vector<Noise> likeliest_noise(const std::vector<FitSeries>& series, std::vector<Noise> noise,
                                   const Eigen::MatrixXd& a, const Eigen::VectorXd& b) {
    const Eigen::MatrixXd rows = joined(fewest_columns(a), b);
    double best = evidence(series, noise, rows);
    // Along the deviation alone, and along the memory with the deviation as far above its least.
    const auto climb = [&](Noise& of, double deviation, double memory) {
        constexpr double highest_deviation = 30;  // K
        bool moved = false;
        for (const double way : {1.0, -1.0})
            for (;;) {
                const Noise before = of;
                const double above = of.deviation / least_deviation_of(of.memory);
                of.memory =
                    std::clamp(of.memory * std::pow(memory, way), least_memory, longest_memory);
                const double least = least_deviation_of(of.memory);
                of.deviation =
                    std::clamp(above * least * std::pow(deviation, way), least, highest_deviation);
                const bool same = of.memory == before.memory && of.deviation == before.deviation;
                const double now = same ? best : evidence(series, noise, rows);
                if (!(now > best)) {
                    of = before;
                    break;
                }
                best = now, moved = true;
            }
        return moved;
    };
    constexpr int turns = 8;
    bool moved = true;
    for (int turn = 0; turn < turns && moved; ++turn) {
        moved = false;
        for (Noise& of : noise) {
            moved |= climb(of, 1.1, 1);
            moved |= climb(of, 1, 1.25);
        }
    }
    return noise;
}

}  // namespace lapheat::study
