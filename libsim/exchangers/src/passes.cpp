#include "passes.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <boost/math/special_functions/legendre.hpp>
#include <numbers>
#include <type_traits>
#include <vector>

namespace lapheat::exchangers {
namespace {

using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Gauss-Legendre nodes on 0…1, weights, and Lagrange interpolation between them.
struct Nodes {
    VectorXd x, w, bary;

    explicit Nodes(int m) : x(m), w(m), bary(m) {
        for (int i = 0; i < m; ++i) {
            double t = std::cos(std::numbers::pi * (i + 0.75) / (m + 0.5));
            for (int k = 0; k < 20; ++k) {
                const double step =
                    boost::math::legendre_p(m, t) / boost::math::legendre_p_prime(m, t);
                t -= step;
                if (std::abs(step) < 1e-16) break;
            }
            const double d = boost::math::legendre_p_prime(m, t);
            x(m - 1 - i) = 0.5 * (1 + t);
            w(m - 1 - i) = 1 / ((1 - t * t) * d * d);
        }
        // Barycentric weights of Gauss points (Wang & Xiang, Math. Comp. 81, 2012, 861).
        for (int i = 0; i < m; ++i) {
            bary(i) = (i % 2 ? -1 : 1) * std::sqrt(x(i) * (1 - x(i)) * w(i));
        }
    }

    /// Row of weights that gives a polynomial at `at` from its values at the nodes.
    [[nodiscard]] Eigen::RowVectorXd interpolate(double at) const {
        Eigen::RowVectorXd row = Eigen::RowVectorXd::Zero(x.size());
        for (int i = 0; i < x.size(); ++i) {
            if (at == x(i)) {
                row(i) = 1;
                return row;
            }
            row(i) = bary(i) / (at - x(i));
        }
        return row / row.sum();
    }
};

/// A matrix with its two derivatives.
struct DualMatrix {
    MatrixXd v, n, c;

    DualMatrix(Eigen::Index rows, Eigen::Index columns)
        : v(MatrixXd::Zero(rows, columns)), n(v), c(v) {}
    void add(Eigen::Index i, Eigen::Index j, double d) { v(i, j) += d; }
    void add(Eigen::Index i, Eigen::Index j, Dual d) {
        v(i, j) += d.v;
        n(i, j) += d.n;
        c(i, j) += d.c;
    }
    void add_row(Eigen::Index i, const Eigen::RowVectorXd& row, double d) { v.row(i) += d * row; }
    void add_row(Eigen::Index i, const Eigen::RowVectorXd& row, Dual d) {
        v.row(i) += d.v * row;
        n.row(i) += d.n * row;
        c.row(i) += d.c * row;
    }
};

/// sum of z^k / (k! (k + order)!): I_order(2 sqrt z) / z^(order/2), times exp(-shift).
template <class T>
T bessel(T z, int order, T shift) {
    T term = exp_minus(shift), sum = term;
    for (int k = 1; k < 400; ++k) {
        term = term * z * T(1.0 / (k * (k + order)));
        sum = sum + term;
        if (value_of(term) < 1e-18 * value_of(sum) && k > 4) break;
    }
    return sum;
}

/// What stream s (flowing along its own coordinate 0…1 with `own` NTU) leaves a pass with, from
/// its own inlet profile over the other's coordinate u and the other's inlet profile over v:
///   out(u) = stay in(u) + ∫0^u local(u - u') in(u') du' + ∫0^1 cross(u, 1 - v') other(v') dv'
template <class T>
struct Kernels {
    T own, other;
    bool own_mixed = false, other_mixed = false;

    [[nodiscard]] T stay() const { return own_mixed ? T(0) : exp_minus(own); }
    [[nodiscard]] T local(double du) const {  // both unmixed
        const T z = own * other * T(du);
        return own * other * bessel(z, 1, own + other * T(du));
    }
    [[nodiscard]] T cross(double u, double v) const {
        const T z = own * other * T(u * v);
        return own * bessel(z, 0, own * T(v) + other * T(u));
    }
};

/// out = own_inlet × own profile + other_inlet × other profile.
struct PassOperator {
    DualMatrix own_inlet, other_inlet;
};

template <class T>
PassOperator pass_operator(const Nodes& nodes, const Kernels<T>& k) {
    const auto m = nodes.x.size();
    PassOperator op{DualMatrix(m, m), DualMatrix(m, m)};
    const Eigen::RowVectorXd mean = nodes.w.transpose();
    // One stream mixed: see Shah & Sekulić, section 3.4. `alpha` is the mixed stream's decay.
    const T share_other = k.other * phi(k.own), share_own = k.own * phi(k.other);
    for (Eigen::Index i = 0; i < m; ++i) {
        const double u = nodes.x(i);
        if (k.own_mixed) {
            // Uniform outlet: decays along its path and takes in the other's inlet profile.
            op.own_inlet.add_row(i, mean, exp_minus(share_own));
            for (Eigen::Index j = 0; j < m; ++j) {
                op.other_inlet.add(
                    i, j, T(nodes.w(j)) * share_own * exp_minus(share_own * T(1 - nodes.x(j))));
            }
            continue;
        }
        op.own_inlet.add(i, i, k.stay());
        for (Eigen::Index q = 0; q < m; ++q) {  // ∫ from 0 to u
            const double at = u * nodes.x(q);
            const T kernel = k.other_mixed ? k.own * phi(k.own) * share_other *
                                                 exp_minus(share_other * T(u - at))
                                           : k.local(u - at);
            op.own_inlet.add_row(i, nodes.interpolate(at), T(u * nodes.w(q)) * kernel);
        }
        if (k.other_mixed) {
            op.other_inlet.add_row(i, mean, k.own * phi(k.own) * exp_minus(share_other * T(u)));
        } else {
            for (Eigen::Index j = 0; j < m; ++j) {
                op.other_inlet.add(i, j, T(nodes.w(j)) * k.cross(u, 1 - nodes.x(j)));
            }
        }
    }
    return op;
}

template <class T>
T solve_passes(const ArrangementSpec& spec, T ntu, T capacity_ratio, Smaller smaller) {
    const Eigen::Index passes = spec.count;
    const T own = ntu / T(static_cast<double>(passes)), other = own * capacity_ratio;
    const bool first = smaller == Smaller::first;
    const T a = first ? own : other;  // NTU of the first stream in one pass
    const T b = first ? other : own;
    const Nodes nodes(14 + static_cast<int>(0.7 * value_of(own)));
    const auto m = nodes.x.size();
    const bool first_mixed = spec.pass == Arrangement::cross_first_mixed;
    const bool second_mixed = spec.pass == Arrangement::cross_second_mixed;
    const PassOperator op1 = pass_operator<T>(nodes, {a, b, first_mixed, second_mixed});
    const PassOperator op2 = pass_operator<T>(nodes, {b, a, second_mixed, first_mixed});
    // Unknown: outlet profiles of every pass, stream 1 then stream 2. Inlets: 1 and 0, or the
    // outlet of the pass before.
    const Eigen::Index size = 2 * passes * m;
    DualMatrix system(size, size), known(size, 1);
    system.v.setIdentity();
    const bool turned = spec.coupling == PassCoupling::unmixed_inverted;
    const auto put = [&](Eigen::Index row, const DualMatrix& block, Eigen::Index column) {
        const auto turn = [&](const MatrixXd& x) -> MatrixXd {
            return turned ? MatrixXd(x.rowwise().reverse()) : x;
        };
        system.v.block(row, column, m, m) -= turn(block.v);
        system.n.block(row, column, m, m) -= turn(block.n);
        system.c.block(row, column, m, m) -= turn(block.c);
    };
    for (Eigen::Index k = 0; k < passes; ++k) {
        const Eigen::Index before = spec.kind == Arrangement::cross_counter ? k + 1 : k - 1;
        const Eigen::Index row1 = k * m, row2 = (passes + k) * m;
        if (k == 0) {
            known.v.col(0).segment(row1, m) += op1.own_inlet.v.rowwise().sum();
            known.n.col(0).segment(row1, m) += op1.own_inlet.n.rowwise().sum();
            known.c.col(0).segment(row1, m) += op1.own_inlet.c.rowwise().sum();
            known.v.col(0).segment(row2, m) += op2.other_inlet.v.rowwise().sum();
            known.n.col(0).segment(row2, m) += op2.other_inlet.n.rowwise().sum();
            known.c.col(0).segment(row2, m) += op2.other_inlet.c.rowwise().sum();
        } else {
            put(row1, op1.own_inlet, (k - 1) * m);
            put(row2, op2.other_inlet, (k - 1) * m);
        }
        if (before >= 0 && before < passes) {
            put(row1, op1.other_inlet, (passes + before) * m);
            put(row2, op2.own_inlet, (passes + before) * m);
        }
    }
    const Eigen::PartialPivLU<MatrixXd> lu(system.v);
    const VectorXd out = lu.solve(known.v);
    // The mean outlet of the smaller stream.
    const Eigen::Index pass = first || spec.kind == Arrangement::cross_parallel ? passes - 1 : 0;
    const Eigen::Index at = ((first ? 0 : passes) + pass) * m;
    const auto mean = [&](const VectorXd& f) { return nodes.w.dot(f.segment(at, m)); };
    const double value = std::min(first ? 1 - mean(out) : mean(out), 1.0);
    if constexpr (std::is_same_v<T, double>) {
        return value;
    } else {
        const double sign = first ? -1 : 1;
        const VectorXd out_n = lu.solve(known.n - system.n * out);
        const VectorXd out_c = lu.solve(known.c - system.c * out);
        return {value, sign * mean(out_n), sign * mean(out_c)};
    }
}

}  // namespace

double unmixed_passes(const ArrangementSpec& spec, double ntu, double capacity_ratio,
                      Smaller smaller) {
    return solve_passes(spec, ntu, capacity_ratio, smaller);
}

Dual unmixed_passes(const ArrangementSpec& spec, Dual ntu, Dual capacity_ratio, Smaller smaller) {
    return solve_passes(spec, ntu, capacity_ratio, smaller);
}

}  // namespace lapheat::exchangers
