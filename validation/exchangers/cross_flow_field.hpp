// The temperature field of cross-flow solved directly on a grid, for the checks of the formulas.
//
// Independent of the library: the energy balances of both streams over square cells (box scheme,
// second order), marched along the flows; passes and tube rows are coupled by the profiles that
// enter and leave them. Richardson's extrapolation over three grids takes out the h² and h⁴ terms.
#pragma once

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <lapheat/exchangers/arrangement.hpp>
#include <vector>

namespace lapheat::validation {

using Profile = std::vector<double>;

struct Pass {
    double a = 0;  ///< NTU of stream 1 in this pass
    double b = 0;  ///< NTU of stream 2 in this pass
    bool mixed1 = false, mixed2 = false;
};

inline double mean(const Profile& p) {
    double s = 0;
    for (const double x : p) s += x;
    return s / static_cast<double>(p.size());
}

/// Stream 1 flows along x with profile over y, stream 2 along y with profile over x. Both profiles
/// are replaced by those that leave.
inline void march(const Pass& pass, Profile& one, Profile& two) {
    const std::size_t n = one.size();
    const double h = 1.0 / static_cast<double>(n);
    const double a = pass.a * h, b = pass.b * h;
    if (!pass.mixed1 && !pass.mixed2) {
        for (std::size_t i = 0; i < n; ++i) {
            for (std::size_t j = 0; j < n; ++j) {
                // Both streams leave the cell with their mean difference as driving force.
                const double q = (one[j] - two[i]) / (1 + 0.5 * (a + b));
                one[j] -= a * q;
                two[i] += b * q;
            }
        }
        return;
    }
    // A mixed stream 1 has one temperature in each column; stream 2 crosses the column in n cells.
    const auto half_mixed = [n](double am, double bu, double& mixed, Profile& unmixed) {
        for (std::size_t i = 0; i < n; ++i) {
            // Mean of the unmixed stream over the column, linear in the column's mixed temperature.
            const double keep = (1 - 0.5 * bu) / (1 + 0.5 * bu);
            double weight = 0, factor = 1;
            for (std::size_t j = 0; j < n; ++j) {
                weight += 0.5 * factor * (1 + keep) / static_cast<double>(n);
                factor *= keep;
            }
            // d(mixed) = -am n-fold: the balance over the whole column.
            const double mean_mixed =
                (mixed + 0.5 * am * weight * unmixed[i]) / (1 + 0.5 * am * weight);
            mixed = 2 * mean_mixed - mixed;
            unmixed[i] = mean_mixed + factor * (unmixed[i] - mean_mixed);
        }
    };
    if (pass.mixed1 && !pass.mixed2) {
        double t = mean(one);
        half_mixed(a, b, t, two);
        std::fill(one.begin(), one.end(), t);
        return;
    }
    if (pass.mixed2 && !pass.mixed1) {
        double t = mean(two);
        half_mixed(b, a, t, one);
        std::fill(two.begin(), two.end(), t);
        return;
    }
    // Both mixed: T1(x) sees the mean of T2(y) and the other way round; iterate on the means.
    double mean1 = mean(one), mean2 = mean(two), out1 = 0, out2 = 0;
    const double in1 = mean1, in2 = mean2;
    const auto along = [n](double in, double step, double other, double& average) {
        double t = in;
        average = 0;
        for (std::size_t i = 0; i < n; ++i) {
            const double next = ((1 - 0.5 * step) * t + step * other) / (1 + 0.5 * step);
            average += 0.5 * (t + next) / static_cast<double>(n);
            t = next;
        }
        return t;
    };
    for (int k = 0; k < 4000; ++k) {
        const double before = mean1 + mean2;
        out1 = along(in1, a, mean2, mean1);
        out2 = along(in2, b, mean1, mean2);
        if (std::abs(mean1 + mean2 - before) < 1e-16) break;
    }
    std::fill(one.begin(), one.end(), out1);
    std::fill(two.begin(), two.end(), out2);
}

/// Temperature effectiveness of the smaller stream on a grid of n cells each way.
inline double field_effectiveness(const exchangers::ArrangementSpec& s, double ntu, double ratio,
                                  exchangers::Smaller smaller, std::size_t n) {
    using exchangers::Arrangement;
    using exchangers::PassCoupling;
    const bool first = smaller == exchangers::Smaller::first;
    const double ntu1 = first ? ntu : ntu * ratio, ntu2 = first ? ntu * ratio : ntu;
    const auto pass_of = [&](Arrangement kind, double count1, double count2) {
        Pass p{ntu1 / count1, ntu2 / count2, false, false};
        p.mixed1 = kind == Arrangement::cross_first_mixed || kind == Arrangement::cross_mixed ||
                   kind == Arrangement::cross_rows;
        p.mixed2 = kind == Arrangement::cross_second_mixed || kind == Arrangement::cross_mixed;
        return p;
    };
    if (s.kind == Arrangement::cross_rows) {
        Profile two(n, 0.0);
        double out1 = 0;
        for (int r = 0; r < s.count; ++r) {
            Profile one(n, 1.0);
            march(pass_of(s.kind, 1, s.count), one, two);
            out1 += mean(one) / s.count;
        }
        return first ? 1 - out1 : mean(two);
    }
    if (s.kind != Arrangement::cross_counter && s.kind != Arrangement::cross_parallel) {
        Profile one(n, 1.0), two(n, 0.0);
        march(pass_of(s.kind, 1, 1), one, two);
        return first ? 1 - mean(one) : mean(two);
    }
    const Pass pass = pass_of(s.pass, s.count, s.count);
    const auto link = [&](Profile p) {
        if (s.coupling == PassCoupling::mixed) {
            const double m = mean(p);
            std::fill(p.begin(), p.end(), m);
        } else if (s.coupling == PassCoupling::unmixed_inverted) {
            std::reverse(p.begin(), p.end());
        }
        return p;
    };
    const auto passes = static_cast<std::size_t>(s.count);
    std::vector<Profile> out2(passes, Profile(n, 0.0));
    Profile one;
    for (int sweep = 0; sweep < 2000; ++sweep) {
        one.assign(n, 1.0);
        double change = 0;
        for (std::size_t k = 0; k < passes; ++k) {
            Profile two(n, 0.0);
            if (s.kind == Arrangement::cross_parallel) {
                if (k > 0) two = link(out2[k - 1]);
            } else if (k + 1 < passes) {
                two = link(out2[k + 1]);
            }
            if (k > 0) one = link(one);
            march(pass, one, two);
            for (std::size_t i = 0; i < n; ++i)
                change = std::max(change, std::abs(two[i] - out2[k][i]));
            out2[k] = two;
        }
        if (change < 1e-15) break;
    }
    const std::size_t last = s.kind == Arrangement::cross_counter ? 0 : passes - 1;
    return first ? 1 - mean(one) : mean(out2[last]);
}

/// The same, extrapolated from n/4, n/2 and n cells.
inline double extrapolated_effectiveness(const exchangers::ArrangementSpec& s, double ntu,
                                         double ratio, exchangers::Smaller smaller,
                                         std::size_t n = 160) {
    const double coarse = field_effectiveness(s, ntu, ratio, smaller, n / 4);
    const double middle = field_effectiveness(s, ntu, ratio, smaller, n / 2);
    const double fine = field_effectiveness(s, ntu, ratio, smaller, n);
    const double r1 = middle + (middle - coarse) / 3, r2 = fine + (fine - middle) / 3;
    return r2 + (r2 - r1) / 15;
}

}  // namespace lapheat::validation
