#include "lapheat/solve/given_data.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <numeric>

#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::solve {
namespace {

constexpr std::size_t most_terms = 9;  // degrees 0 to 8
constexpr std::size_t fewest_rows = 20;

using Terms = std::array<double, most_terms>;

/// Legendre polynomials on (0, 1), of unit mean square there.
Terms legendre(double u) noexcept {
    Terms p{};
    const double x = 2 * u - 1;
    double before = 0, here = 1;
    for (std::size_t k = 0; k < most_terms; ++k) {
        const auto n = static_cast<double>(k);
        p[k] = here * std::sqrt(2 * n + 1);
        const double next = ((2 * n + 1) * x * here - n * before) / (n + 1);
        before = here;
        here = next;
    }
    return p;
}

/// Of equal values each gets the middle of their ranks; in (0, 1).
std::vector<double> ranks(std::span<const double> x) {
    std::vector<std::size_t> order(x.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
    std::vector<double> out(x.size());
    for (std::size_t from = 0; from < order.size();) {
        std::size_t to = from;
        while (to < order.size() && x[order[to]] == x[order[from]]) ++to;
        const double middle = 0.5 * static_cast<double>(from + to) / static_cast<double>(x.size());
        for (; from < to; ++from) out[order[from]] = middle;
    }
    return out;
}

std::vector<Terms> basis(std::span<const double> x) {
    std::vector<Terms> out;
    for (const double u : ranks(x)) out.push_back(legendre(u));
    return out;
}

/// How often each row counts in one resample; all ones for the sample itself.
class Weights {
  public:
    explicit Weights(std::size_t rows) : of(rows, 1.0), effective(static_cast<double>(rows)) {}
    Weights(std::size_t rows, std::uint64_t key) : of(rows, 0.0) {
        for (std::size_t i = 0; i < rows; ++i) of[mixed(key ^ mixed(i)) % rows] += 1;
        double squares = 0;
        for (const double w : of) squares += w * w;
        const auto n = static_cast<double>(rows);
        effective = n * n / squares;
    }
    std::vector<double> of;
    double effective;  ///< rows of equal weight that would be as noisy (Kish 1965)
};

/// An outcome on the basis of one column: coefficients up to the chosen degree, and the share of
/// its variance that they carry, corrected for their number.
struct BasisFit {
    Terms coefficient{};  ///< of the outcome less its mean over all rows
    double raw = 0;       ///< the share as fitted
    double share = 0;
    double gain = 0;         ///< by which the criterion is better than without the column
    std::size_t degree = 0;  ///< 0: without it
};

/// Cholesky factor of the weighted Gram matrix of the basis. Columns of few different values end
/// the basis early.
struct Gram {
    std::array<Terms, most_terms> lower{};
    std::size_t terms = 0;

    Gram(const std::vector<Terms>& p, const Weights& w, std::size_t wanted) {
        std::array<Terms, most_terms> g{};
        for (std::size_t n = 0; n < p.size(); ++n) {
            if (w.of[n] == 0) continue;
            for (std::size_t i = 0; i < wanted; ++i) {
                const double a = w.of[n] * p[n][i];
                for (std::size_t j = 0; j <= i; ++j) g[i][j] += a * p[n][j];
            }
        }
        for (std::size_t i = 0; i < wanted; ++i) {
            for (std::size_t j = 0; j <= i; ++j) {
                double s = g[i][j];
                for (std::size_t k = 0; k < j; ++k) s -= lower[i][k] * lower[j][k];
                if (j < i)
                    lower[i][j] = s / lower[j][j];
                else if (s > 1e-6 * g[i][i])
                    lower[i][i] = std::sqrt(s);
                else
                    return;
            }
            terms = i + 1;
        }
    }

    /// Coefficients of the first `count` terms from c = L⁻¹ b.
    [[nodiscard]] Terms back(Terms c, std::size_t count) const noexcept {
        for (std::size_t i = count; i-- > 0;) {
            for (std::size_t k = i + 1; k < count; ++k) c[i] -= lower[k][i] * c[k];
            c[i] /= lower[i][i];
        }
        for (std::size_t i = count; i < most_terms; ++i) c[i] = 0;
        return c;
    }
};

BasisFit fit(const std::vector<Terms>& p, const Gram& gram, const Weights& w,
             std::span<const double> y, double entry_price = 0) {
    Terms c{};
    double squares = 0, offset = 0, rows = 0;
    for (std::size_t n = 0; n < p.size(); ++n) offset += y[n];
    offset /= static_cast<double>(p.size());  // keeps the sums of squares sharp
    for (std::size_t n = 0; n < p.size(); ++n) {
        if (w.of[n] == 0) continue;
        const double a = w.of[n] * (y[n] - offset);
        for (std::size_t i = 0; i < gram.terms; ++i) c[i] += a * p[n][i];
        squares += a * (y[n] - offset);
        rows += w.of[n];
    }
    for (std::size_t i = 0; i < gram.terms; ++i) {
        for (std::size_t k = 0; k < i; ++k) c[i] -= gram.lower[i][k] * c[k];
        c[i] /= gram.lower[i][i];
    }
    BasisFit out;
    const double total = squares - c[0] * c[0];
    if (!(total > 1e-14 * (squares + rows * offset * offset))) return out;
    // Residual sums of squares of all degrees come with the factor; the criterion takes one.
    const double n = w.effective, price = std::log(n);
    double left = total, best = n * std::log(total / rows), kept = total;
    std::size_t degree = 0;
    for (std::size_t k = 1; k < gram.terms; ++k) {
        left = std::max(left - c[k] * c[k], 1e-14 * total);
        const double criterion =
            n * std::log(left / rows) + price * static_cast<double>(k) + entry_price;
        if (criterion < best) {
            best = criterion;
            degree = k;
            kept = left;
        }
    }
    out.gain = n * std::log(total / rows) - best;
    out.degree = degree;
    out.raw = 1 - kept / total;
    out.share = std::clamp(
        1 - kept / total * (n - 1) / std::max(n - static_cast<double>(degree) - 1, 1.0), 0.0, 1.0);
    out.coefficient = gram.back(c, degree + 1);
    return out;
}

/// What the criterion asks of a column for being one of so many.
double entry_price(std::size_t among) {
    return 2 * std::log(static_cast<double>(std::max<std::size_t>(among, 1)));
}

/// An additive model of y on all columns, by backfitting; the variance of each column's own part.
/// The columns are independent of each other, so the parts' variances add.
class Together {
  public:
    Together(const std::vector<std::vector<Terms>>& bases, std::size_t terms)
        : bases_(bases), terms_(terms) {}

    std::vector<double> shares(std::span<const double> y, const Weights& w) const {
        const std::size_t rows = y.size(), columns = bases_.size();
        std::vector<Gram> grams;
        for (const auto& p : bases_) grams.emplace_back(p, w, terms_);
        std::vector<std::vector<double>> part(columns);
        std::vector<double> rest(y.begin(), y.end());
        const double entry = entry_price(columns);
        const auto subtract = [&](std::size_t k, double sign) {
            for (std::size_t n = 0; n < rows && !part[k].empty(); ++n) rest[n] -= sign * part[k][n];
        };
        const auto refit = [&](std::size_t k) {
            subtract(k, -1);
            const BasisFit f = fit(bases_[k], grams[k], w, rest, entry);
            part[k] = f.degree > 0 ? values(k, f, w) : std::vector<double>{};
            subtract(k, 1);
        };
        for (std::size_t entered = 0; entered < columns; ++entered) {
            std::size_t best = columns;
            double most = 0;
            for (std::size_t k = 0; k < columns; ++k)
                if (part[k].empty())
                    if (const double gain = fit(bases_[k], grams[k], w, rest, entry).gain;
                        gain > most)
                        most = gain, best = k;
            if (best == columns) break;
            refit(best);
        }
        for (int sweep = 0; sweep < sweeps; ++sweep)
            for (std::size_t k = 0; k < columns; ++k)
                if (!part[k].empty()) refit(k);
        const double total = variance(y, w);
        std::vector<double> out(columns, 0.0);
        for (std::size_t k = 0; k < columns; ++k)
            if (!part[k].empty() && total > 0)
                out[k] = std::clamp(variance(part[k], w) / total, 0.0, 1.0);
        return out;
    }

  private:
    static constexpr int sweeps = 2;

    /// The fitted part at each row, shrunk to the variance that is not noise.
    std::vector<double> values(std::size_t k, const BasisFit& f, const Weights& w) const {
        const double shrink = f.raw > 0 ? std::sqrt(f.share / f.raw) : 0;
        std::vector<double> out(bases_[k].size(), 0.0);
        for (std::size_t n = 0; n < out.size(); ++n)
            for (std::size_t t = 1; t <= f.degree; ++t)
                out[n] += shrink * f.coefficient[t] * bases_[k][n][t];
        double sum = 0, rows = 0;
        for (std::size_t n = 0; n < out.size(); ++n) sum += w.of[n] * out[n], rows += w.of[n];
        for (double& v : out) v -= sum / rows;
        return out;
    }

    static double variance(std::span<const double> y, const Weights& w) {
        double sum = 0, rows = 0, squares = 0;
        for (std::size_t n = 0; n < y.size(); ++n) sum += w.of[n] * y[n], rows += w.of[n];
        for (std::size_t n = 0; n < y.size(); ++n)
            squares += w.of[n] * (y[n] - sum / rows) * (y[n] - sum / rows);
        return squares / rows;
    }

    const std::vector<std::vector<Terms>>& bases_;
    std::size_t terms_;
};

std::size_t checked(Columns x, std::size_t rows) {
    for (const std::vector<double>& column : x)
        if (column.size() != rows)
            throw Error("columns of a table of draws differ in length", "one value a draw");
    if (rows < fewest_rows) throw Error("too few draws to say anything", "at least 20");
    return rows;
}

/// Percentiles of the resamples mirrored about the estimate: the basic bootstrap (Davison & Hinkley
/// 1997, 5.2), which does not add the resample's own bias to that of the sample.
Estimate with_interval(double value, std::vector<double> resampled, double coverage, double least,
                       double most) {
    Estimate e{value, value, value};
    if (resampled.empty()) return e;
    const double tail = 0.5 * (1 - coverage);
    e.low = std::clamp(2 * value - quantile(resampled, 1 - tail), least, value);
    e.high = std::clamp(2 * value - quantile(resampled, tail), value, most);
    return e;
}

double mean(std::span<const double> y, const Weights& w) noexcept {
    double sum = 0, rows = 0;
    for (std::size_t n = 0; n < y.size(); ++n) sum += w.of[n] * y[n], rows += w.of[n];
    return sum / rows;
}

std::size_t best_of(Columns u, const Weights& w) {
    std::size_t best = 0;
    double most = -no_end;
    for (std::size_t d = 0; d < u.size(); ++d)
        if (const double m = mean(u[d], w); m > most) most = m, best = d;
    return best;
}

/// What knowing a column is worth: the mean over the rows of the best advantage over the
/// alternative that is best without it, each advantage as its fitted mean at that row.
double worth(const std::vector<Terms>& p, Columns u, const Weights& w, std::size_t terms,
             double entry) {
    const Gram gram(p, w, terms);
    const std::size_t best = best_of(u, w);
    std::vector<double> gain(p.size(), 0.0), advantage(p.size());
    for (std::size_t d = 0; d < u.size(); ++d) {
        if (d == best) continue;
        for (std::size_t n = 0; n < p.size(); ++n) advantage[n] = u[d][n] - u[best][n];
        const BasisFit f = fit(p, gram, w, advantage, entry);
        if (f.raw <= 0) continue;
        // A fit also follows the noise: shrunk to the variance that is not noise.
        const double shrink = std::sqrt(f.share / f.raw), level = mean(advantage, w);
        std::vector<double> fitted(p.size(), 0.0);
        for (std::size_t n = 0; n < p.size(); ++n)
            for (std::size_t k = 0; k < terms; ++k) fitted[n] += f.coefficient[k] * p[n][k];
        const double middle = mean(fitted, w);
        for (std::size_t n = 0; n < p.size(); ++n)
            gain[n] = std::max(gain[n], level + shrink * (fitted[n] - middle));
    }
    return mean(gain, w);
}

double regret_of(Columns u, std::size_t best, const Weights& w) {
    double sum = 0, rows = 0;
    for (std::size_t n = 0; n < u[best].size(); ++n) {
        double most = -no_end;
        for (const std::vector<double>& alternative : u) most = std::max(most, alternative[n]);
        sum += w.of[n] * (most - u[best][n]);
        rows += w.of[n];
    }
    return sum / rows;
}

std::vector<Weights> resamples(std::size_t rows, const GivenData& options) {
    std::vector<Weights> out;
    for (std::size_t b = 0; b < options.resamples; ++b)
        out.emplace_back(rows, mixed(options.key ^ mixed(b + 1)));
    return out;
}

/// Of few rows no more than they bear: a high degree stands on the rows at its ends.
std::size_t terms_of(const GivenData& options, std::size_t rows) {
    constexpr std::size_t rows_a_degree = 16;
    const auto asked = static_cast<std::size_t>(std::clamp(options.degree, 1, 8));
    return std::clamp<std::size_t>(rows / rows_a_degree, 1, asked) + 1;
}

}  // namespace

Estimate share(std::size_t hits, std::size_t of, double coverage) {
    if (of == 0) return {0, 0, 1};
    const auto n = static_cast<double>(of);
    const double p = static_cast<double>(hits) / n, z = normal_quantile(0.5 + 0.5 * coverage);
    const double middle = (p + z * z / (2 * n)) / (1 + z * z / n);
    const double half = z / (1 + z * z / n) * std::sqrt(p * (1 - p) / n + z * z / (4 * n * n));
    return {p, std::max(middle - half, 0.0), std::min(middle + half, 1.0)};
}

double quantile(std::span<const double> sample, double p) {
    if (sample.empty()) return std::numeric_limits<double>::quiet_NaN();
    std::vector<double> sorted(sample.begin(), sample.end());
    std::sort(sorted.begin(), sorted.end());
    // The middles of the n equal parts that the values stand for (Hazen 1914).
    const double at = std::clamp(p * static_cast<double>(sorted.size()) - 0.5, 0.0,
                                 static_cast<double>(sorted.size() - 1));
    const auto below = static_cast<std::size_t>(at);
    const std::size_t above = std::min(below + 1, sorted.size() - 1);
    return std::lerp(sorted[below], sorted[above], at - static_cast<double>(below));
}

std::vector<Estimate> first_order(Columns x, std::span<const double> y, const GivenData& options) {
    const std::size_t rows = checked(x, y.size()), terms = terms_of(options, rows);
    const double entry = entry_price(options.among);
    const Weights all(rows);
    const std::vector<Weights> again = resamples(rows, options);
    std::vector<Estimate> out;
    for (const std::vector<double>& column : x) {
        const std::vector<Terms> p = basis(column);
        const auto index = [&](const Weights& w) {
            return fit(p, Gram(p, w, terms), w, y, entry).share;
        };
        std::vector<double> resampled;
        for (const Weights& w : again) resampled.push_back(index(w));
        out.push_back(with_interval(index(all), std::move(resampled), options.coverage, 0, 1));
    }
    return out;
}

std::vector<Estimate> first_order_together(Columns x, std::span<const double> y,
                                           const GivenData& options) {
    const std::size_t rows = checked(x, y.size());
    std::vector<std::vector<Terms>> bases;
    for (const std::vector<double>& column : x) bases.push_back(basis(column));
    const Together model(bases, terms_of(options, rows));
    const std::vector<double> value = model.shares(y, Weights(rows));
    std::vector<std::vector<double>> resampled(x.size());
    for (const Weights& w : resamples(rows, options)) {
        const std::vector<double> again = model.shares(y, w);
        for (std::size_t k = 0; k < x.size(); ++k) resampled[k].push_back(again[k]);
    }
    std::vector<Estimate> out;
    for (std::size_t k = 0; k < x.size(); ++k)
        out.push_back(with_interval(value[k], std::move(resampled[k]), options.coverage, 0, 1));
    return out;
}

Estimate determination(std::span<const double> x, std::span<const double> y,
                       const GivenData& options) {
    if (x.size() != y.size())
        throw Error("columns of a table of draws differ in length", "one value a draw");
    const std::size_t rows = checked({}, y.size());
    const auto squared = [&](const Weights& w) {
        const double mx = mean(x, w), my = mean(y, w);
        double xx = 0, yy = 0, xy = 0;
        for (std::size_t n = 0; n < rows; ++n) {
            const double a = x[n] - mx, b = y[n] - my;
            xx += w.of[n] * a * a, yy += w.of[n] * b * b, xy += w.of[n] * a * b;
        }
        return xx > 0 && yy > 0 && xy > 0 ? std::min(xy * xy / (xx * yy), 1.0) : 0.0;
    };
    std::vector<double> resampled;
    for (const Weights& w : resamples(rows, options)) resampled.push_back(squared(w));
    return with_interval(squared(Weights(rows)), std::move(resampled), options.coverage, 0, 1);
}

Estimate regret(Columns u, std::size_t taken, const GivenData& options) {
    if (taken >= u.size()) throw Error("nothing to decide between", "at least one alternative");
    const std::size_t rows = checked(u, u[taken].size());
    std::vector<double> resampled;
    for (const Weights& w : resamples(rows, options)) resampled.push_back(regret_of(u, taken, w));
    return with_interval(regret_of(u, taken, Weights(rows)), std::move(resampled), options.coverage,
                         0, no_end);
}

Decision decide(Columns u, const GivenData& options) {
    if (u.empty()) throw Error("nothing to decide between", "at least one alternative");
    Decision out;
    out.best = best_of(u, Weights(checked(u, u[0].size())));
    out.regret = regret(u, out.best, options);
    return out;
}

std::vector<Estimate> value_of_knowing(Columns x, Columns u, const GivenData& options) {
    if (u.empty()) throw Error("nothing to decide between", "at least one alternative");
    const std::size_t rows = checked(u, u[0].size()), terms = terms_of(options, rows);
    checked(x, rows);
    const double entry = entry_price(options.among);
    const Weights all(rows);
    const std::vector<Weights> again = resamples(rows, options);
    std::vector<Estimate> out;
    for (const std::vector<double>& column : x) {
        const std::vector<Terms> p = basis(column);
        std::vector<double> resampled;
        for (const Weights& w : again) resampled.push_back(worth(p, u, w, terms, entry));
        out.push_back(with_interval(worth(p, u, all, terms, entry), std::move(resampled),
                                    options.coverage, 0, no_end));
    }
    return out;
}

}  // namespace lapheat::solve
