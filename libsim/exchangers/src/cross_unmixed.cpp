#include "cross_unmixed.hpp"

#include <algorithm>
#include <array>
#include <complex>
#include <numbers>

namespace lapheat::exchangers {
namespace {

constexpr double series_limit = 40;  // NTU up to which the series is used

constexpr std::array<double, 160> reciprocal = [] {
    std::array<double, 160> r{};
    for (std::size_t i = 1; i < r.size(); ++i) r[i] = 1.0 / static_cast<double>(i);
    return r;
}();

/// Sum of Pr(A > n) q_n with q_n = Pr(B > n) / b, which stays finite at b = 0.
double series(double a, double b) {
    double pa = std::exp(-a);  // Pr(A = n)
    double pb = std::exp(-b);  // Pr(B = n + 1) / b × (n + 1), see below
    // Pr(A > n) and q; cancellation costs 1e-14 of q at most where the quicker form is taken.
    double tail_a = a > 0.01 ? 1 - pa : -std::expm1(-a);
    double q = b > 0.1 ? (1 - pb) / b : phi(b);
    double sum = tail_a * q;
    const double a_2 = a * a, a_3 = a_2 * a, a_4 = a_2 * a_2, b_2 = b * b, b_3 = b_2 * b;
    // Four terms at a time, each from the last of the four before: the chain of dependent products
    // is what costs, and the test costs as much as a term.
    for (std::size_t n = 1; n + 4 < reciprocal.size(); n += 4) {
        const double i1 = reciprocal[n], i2 = i1 * reciprocal[n + 1], i3 = i2 * reciprocal[n + 2],
                     i4 = i3 * reciprocal[n + 3];
        const double a1 = pa * a * i1, a2 = pa * a_2 * i2, a3 = pa * a_3 * i3, a4 = pa * a_4 * i4;
        const double b1 = pb * i1, b2 = pb * b * i2, b3 = pb * b_2 * i3, b4 = pb * b_3 * i4;
        const double a12 = a1 + a2, b12 = b1 + b2, a34 = a12 + a3, b34 = b12 + b3;
        const double t1 = tail_a - a1, t2 = tail_a - a12, t3 = tail_a - a34,
                     t4 = tail_a - (a34 + a4);
        const double q1 = q - b1, q2 = q - b12, q3 = q - b34, q4 = q - (b34 + b4);
        const double last = t4 * q4;
        sum += (t1 * q1 + t2 * q2) + (t3 * q3 + last);
        tail_a = t4;
        q = q4;
        pa = a4;
        pb = b4 * b;
        if (last < 1e-14 && static_cast<double>(n + 3) > b) break;
    }
    return sum;
}

struct WithSlopes {
    double value = 0, by_a = 0, by_b = 0;
};

/// d q_n / db for small b, where (Pr(B = n) - q_n) / b would cancel.
double tail_slope_small(double b, int n) {
    if (n == 0) return phi_slope(b);
    double t = 1;  // b^(n-1) / n!
    for (int i = 1; i <= n; ++i) t *= (i < n ? b : 1.0) / i;
    double sum = t * n / (n + 1);
    t /= n + 1;
    for (int k = 2; k < 14; ++k) {
        t *= b / (n + k);
        sum -= t;
    }
    return std::exp(-b) * sum;
}

WithSlopes series_slopes(double a, double b) {
    double pa = std::exp(-a);
    double pb = std::exp(-b);  // Pr(B = n)
    double tail_a = -std::expm1(-a);
    double q = phi(b);
    double over_b = pb;
    const auto q_slope = [&](int n) { return b < 0.1 ? tail_slope_small(b, n) : (pb - q) / b; };
    WithSlopes s{tail_a * q, pa * q, tail_a * q_slope(0)};
    for (int n = 1; n < static_cast<int>(reciprocal.size()); ++n) {
        const double i = reciprocal[static_cast<std::size_t>(n)];
        pa *= a * i;
        tail_a -= pa;
        over_b *= i;
        q -= over_b;
        over_b *= b;
        pb *= b * i;
        const double value = tail_a * q, by_a = pa * q, by_b = tail_a * q_slope(n);
        s.value += value;
        s.by_a += by_a;
        s.by_b += by_b;
        if (n > b && value < 1e-17 && by_a < 1e-17 && std::abs(by_b) < 1e-17) break;
    }
    return s;
}

/// The deficit 1 - effectiveness and its slopes for large a.
WithSlopes deficit(double a, double b) {
    const double gap = std::sqrt(a) - std::sqrt(b);
    const double s = std::sqrt(a * b);
    if (gap * gap > 45 || s < 1) return {};  // the deficit is below exp(-38)
    // The circle through the saddle point, but not closer to the double pole at 1 than the
    // width of the saddle.
    const double width = 1 / std::sqrt(s);
    const double r = std::max(std::sqrt(a / b), 1 + 1.5 * width);
    const double reach = std::min(std::numbers::pi, 7 * width);
    const int points = 64;
    const double h = reach / points;
    const double across = b * r + a / r, along = b * r - a / r;
    const double offset = (r - 1) * (b - a / r);
    double excess = 0, above = 0, at_least = 0;
    for (int i = 0; i <= points; ++i) {
        const double t = h * i;
        const double half = std::sin(0.5 * t);
        const std::complex<double> z = std::polar(r, t);
        const std::complex<double> m =
            std::polar(std::exp(offset - 2 * across * half * half), along * std::sin(t));
        const std::complex<double> zm = {r - 1 - 2 * r * half * half, r * std::sin(t)};
        const std::complex<double> f = m / zm;
        const double w = (i == 0 || (i == points && reach == std::numbers::pi)) ? 0.5 : 1.0;
        excess += w * (f * z / zm).real();
        above += w * f.real();
        at_least += w * (f * z).real();
    }
    const double scale = h / std::numbers::pi;
    excess *= scale;
    return {excess / b, -above * scale / b, (at_least * scale - excess / b) / b};
}

}  // namespace

double cross_unmixed(double ntu, double capacity_ratio) {
    const double a = ntu, b = ntu * capacity_ratio;
    if (a <= series_limit) return series(a, b);
    return 1 - deficit(a, b).value;
}

Dual cross_unmixed(Dual ntu, Dual capacity_ratio) {
    const double a = ntu.v, b = ntu.v * capacity_ratio.v;
    WithSlopes s;
    if (a <= series_limit) {
        s = series_slopes(a, b);
    } else {
        const WithSlopes d = deficit(a, b);
        s = {1 - d.value, -d.by_a, -d.by_b};
    }
    const Dual da = ntu, db = ntu * capacity_ratio;
    return {s.value, s.by_a * da.n + s.by_b * db.n, s.by_a * da.c + s.by_b * db.c};
}

}  // namespace lapheat::exchangers
