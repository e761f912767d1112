#include "passes.hpp"

#include <Eigen/Dense>
#include <boost/math/special_functions/legendre.hpp>
#include <numbers>
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
    void add(Eigen::Index i, Eigen::Index j, Dual d) {
        v(i, j) += d.v;
        n(i, j) += d.n;
        c(i, j) += d.c;
    }
    void add_row(Eigen::Index i, const Eigen::RowVectorXd& row, Dual d) {
        v.row(i) += d.v * row;
        n.row(i) += d.n * row;
        c.row(i) += d.c * row;
    }
};

/// sum of z^k / (k! (k + order)!): I_order(2 sqrt z) / z^(order/2), times exp(-shift).
Dual bessel(Dual z, int order, Dual shift) {
    Dual term = exp_minus(shift), sum = term;
    for (int k = 1; k < 400; ++k) {
        term = term * z * Dual(1.0 / (k * (k + order)));
        sum = sum + term;
        if (term.v < 1e-18 * sum.v && k > 4) break;
    }
    return sum;
}

/// What stream s (flowing along its own coordinate 0…1 with `own` NTU) leaves a pass with, from
/// its own inlet profile over the other's coordinate u and the other's inlet profile over v:
///   out(u) = stay in(u) + ∫0^u local(u - u') in(u') du' + ∫0^1 cross(u, 1 - v') other(v') dv'
struct Kernels {
    Dual own, other;
    bool own_mixed = false, other_mixed = false;

    [[nodiscard]] Dual stay() const { return own_mixed ? Dual(0) : exp_minus(own); }
    [[nodiscard]] Dual local(double du) const {  // both unmixed
        const Dual z = own * other * Dual(du);
        return own * other * bessel(z, 1, own + other * Dual(du));
    }
    [[nodiscard]] Dual cross(double u, double v) const {
        const Dual z = own * other * Dual(u * v);
        return own * bessel(z, 0, own * Dual(v) + other * Dual(u));
    }
};

/// out = own_inlet × own profile + other_inlet × other profile.
struct PassOperator {
    DualMatrix own_inlet, other_inlet;
};

PassOperator pass_operator(const Nodes& nodes, const Kernels& k) {
    const auto m = nodes.x.size();
    PassOperator op{DualMatrix(m, m), DualMatrix(m, m)};
    const Eigen::RowVectorXd mean = nodes.w.transpose();
    const Nodes& inner = nodes;
    // One stream mixed: see Shah & Sekulić, section 3.4. `alpha` is the mixed stream's decay.
    const Dual share_other = k.other * phi(k.own), share_own = k.own * phi(k.other);
    for (Eigen::Index i = 0; i < m; ++i) {
        const double u = nodes.x(i);
        if (k.own_mixed) {
            // Uniform outlet: decays along its path and takes in the other's inlet profile.
            op.own_inlet.add_row(i, mean, exp_minus(share_own));
            for (Eigen::Index j = 0; j < m; ++j) {
                op.other_inlet.add(
                    i, j,
                    Dual(nodes.w(j)) * share_own * exp_minus(share_own * Dual(1 - nodes.x(j))));
            }
            continue;
        }
        op.own_inlet.add(i, i, k.stay());
        for (Eigen::Index q = 0; q < m; ++q) {  // ∫ from 0 to u
            const double at = u * inner.x(q);
            const Dual kernel = k.other_mixed ? k.own * phi(k.own) * share_other *
                                                    exp_minus(share_other * Dual(u - at))
                                              : k.local(u - at);
            op.own_inlet.add_row(i, nodes.interpolate(at), Dual(u * inner.w(q)) * kernel);
        }
        if (k.other_mixed) {
            op.other_inlet.add_row(i, mean, k.own * phi(k.own) * exp_minus(share_other * Dual(u)));
        } else {
            for (Eigen::Index j = 0; j < m; ++j) {
                op.other_inlet.add(i, j, Dual(nodes.w(j)) * k.cross(u, 1 - nodes.x(j)));
            }
        }
    }
    return op;
}

}  // namespace

Dual unmixed_passes(const ArrangementSpec& spec, Dual ntu, Dual capacity_ratio, Smaller smaller) {
    const int passes = spec.count;
    const Dual own = ntu / Dual(passes), other = own * capacity_ratio;
    const bool first = smaller == Smaller::first;
    const Dual a = first ? own : other;  // NTU of the first stream in one pass
    const Dual b = first ? other : own;
    const Nodes nodes(14 + static_cast<int>(0.7 * own.v));
    const auto m = nodes.x.size();
    const bool first_mixed = spec.pass == Arrangement::cross_first_mixed;
    const bool second_mixed = spec.pass == Arrangement::cross_second_mixed;
    const PassOperator op1 = pass_operator(nodes, {a, b, first_mixed, second_mixed});
    const PassOperator op2 = pass_operator(nodes, {b, a, second_mixed, first_mixed});
    // Unknown: outlet profiles of every pass, stream 1 then stream 2. Inlets: 1 and 0, or the
    // outlet of the pass before.
    const Eigen::Index size = 2 * passes * m;
    DualMatrix system(size, size), known(size, 1);
    system.v.setIdentity();
    const bool turned = spec.coupling == Coupling::unmixed_inverted;
    const auto put = [&](Eigen::Index row, const DualMatrix& block, Eigen::Index column) {
        const auto turn = [&](const MatrixXd& x) -> MatrixXd {
            return turned ? MatrixXd(x.rowwise().reverse()) : x;
        };
        system.v.block(row, column, m, m) -= turn(block.v);
        system.n.block(row, column, m, m) -= turn(block.n);
        system.c.block(row, column, m, m) -= turn(block.c);
    };
    for (int k = 0; k < passes; ++k) {
        const int before = spec.kind == Arrangement::cross_counter ? k + 1 : k - 1;
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
    const VectorXd out_n = lu.solve(known.n - system.n * out);
    const VectorXd out_c = lu.solve(known.c - system.c * out);
    if (first) {
        const Eigen::Index at = (passes - 1) * m;
        const auto mean = [&](const VectorXd& f) { return nodes.w.dot(f.segment(at, m)); };
        return {1 - mean(out), -mean(out_n), -mean(out_c)};
    }
    const int last = spec.kind == Arrangement::cross_counter ? 0 : passes - 1;
    const Eigen::Index at = (passes + last) * m;
    const auto mean = [&](const VectorXd& f) { return nodes.w.dot(f.segment(at, m)); };
    return {mean(out), mean(out_n), mean(out_c)};
}

}  // namespace lapheat::exchangers
