// The linear system of the nodes: conductances between unknown pressures and to given ones.
//
// Symmetric positive definite, so that no pivoting is needed. Up to small_most unknowns nodes are
// eliminated on the spot by the star-mesh transformation, beyond that by a sparse factorisation
// of Eigen whose ordering and symbolic part are made once.
#pragma once

#include <Eigen/OrderingMethods>
#include <Eigen/SparseCholesky>
#include <algorithm>
#include <array>
#include <cstdint>
#include <vector>

namespace lapheat::hydraulics {

/// Eigen's numeric factorisation alone. Its public factorize() makes a copy of the outline of
/// the matrix on every call; ours is ordered and upper triangular already.
class Factor : public Eigen::SimplicialLDLT<Eigen::SparseMatrix<double>, Eigen::Upper,
                                            Eigen::NaturalOrdering<int>> {
  public:
    bool refactor(const Eigen::SparseMatrix<double>& matrix) {
        this->template factorize_preordered<true>(matrix);
        return info() == Eigen::Success;
    }
};

/// A graph Laplacian weighted by conductances, with pinned nodes left out.
class NodeSystem {
  public:
    static constexpr std::int32_t small_most = 24;

    /// `from`, `to`: equation numbers of each branch's ends, negative where pinned.
    NodeSystem(std::int32_t equations, std::vector<std::int32_t> from,
               std::vector<std::int32_t> to);

    void clear();
    void add(std::size_t branch, double conductance) {
        const std::int32_t i = from_[branch], j = to_[branch];
        if (i == j) return;
        if (i < 0 || j < 0) {
            ground(std::max(i, j)) += conductance;
        } else if (small()) {
            *off_[branch] += conductance;
        } else {
            ground(i) += conductance;
            ground(j) += conductance;
            *off_[branch] -= conductance;
        }
    }
    /// Ties an equation to zero, for a part of the network that nothing else holds.
    void pin(std::int32_t equation, double conductance) { ground(equation) += conductance; }
    double& right(std::int32_t equation) { return right_[equation]; }
    [[nodiscard]] double left(std::int32_t equation) const { return right_[equation]; }

    /// Replaces the right-hand side by the solution. False if the matrix has lost its rank.
    bool solve();

  private:
    [[nodiscard]] bool small() const { return count_ <= small_most; }
    /// Conductance to given pressures (small), or the matrix' diagonal.
    double& ground(std::int32_t i) { return *ground_[static_cast<std::size_t>(i)]; }
    bool solve_small();

    std::int32_t count_;
    std::vector<std::int32_t> from_, to_;
    std::vector<double*> ground_, off_;  ///< into dense_ or sparse_
    std::array<double, std::size_t{small_most} * small_most> dense_{};
    Eigen::VectorXd right_;
    Eigen::SparseMatrix<double> sparse_;
    Factor factor_;
};

/// An order of the equations that keeps the factor sparse: order[k] is the place of node k.
std::vector<std::int32_t> sparse_order(std::int32_t equations,
                                       const std::vector<std::int32_t>& from,
                                       const std::vector<std::int32_t>& to);

}  // namespace lapheat::hydraulics
