// The linear system of a network's nodes: conductances between unknown potentials (pressures) and
// to given ones.
//
// Symmetric positive definite, so that no pivoting is needed. Up to small_most unknowns nodes are
// eliminated on the spot by the star-mesh transformation, beyond that by a sparse factorisation
// of Eigen whose ordering and symbolic part are made once.
#pragma once

#include <algorithm>
#include <cstdint>
#include <memory>
#include <vector>

namespace lapheat::solve {

/// A graph Laplacian weighted by conductances, with nodes of given potential left out.
class NodeSystem {
  public:
    static constexpr std::int32_t small_most = 24;

    NodeSystem();
    /// `from`, `to`: equation numbers of each branch's ends, negative where the potential is given.
    NodeSystem(std::int32_t equations, std::vector<std::int32_t> from,
               std::vector<std::int32_t> to);
    NodeSystem(const NodeSystem& other);
    NodeSystem& operator=(const NodeSystem& other);
    NodeSystem(NodeSystem&&) noexcept;
    NodeSystem& operator=(NodeSystem&&) noexcept;
    ~NodeSystem();

    void clear();
    void add(std::size_t branch, double conductance) {
        const std::int32_t i = from_[branch], j = to_[branch];
        if (i == j) return;
        if (i < 0 || j < 0) {
            ground(std::max(i, j)) += conductance;
        } else if (small()) {
            values_[off_[branch]] += conductance;
        } else {
            ground(i) += conductance;
            ground(j) += conductance;
            values_[off_[branch]] -= conductance;
        }
    }
    /// Ties an equation to zero, for a part of the network that nothing else holds.
    void pin(std::int32_t equation, double conductance) { ground(equation) += conductance; }
    double& right(std::int32_t equation) { return right_[static_cast<std::size_t>(equation)]; }
    [[nodiscard]] double left(std::int32_t equation) const {
        return right_[static_cast<std::size_t>(equation)];
    }

    /// Replaces the right-hand side by the solution. False if the matrix has lost its rank.
    bool solve();

  private:
    struct Sparse;
    [[nodiscard]] bool small() const { return count_ <= small_most; }
    /// Conductance to given potentials (small), or the matrix' diagonal.
    double& ground(std::int32_t i) { return values_[ground_[static_cast<std::size_t>(i)]]; }
    bool solve_small();

    std::int32_t count_ = 0;
    std::vector<std::int32_t> from_, to_;
    std::vector<std::size_t> ground_, off_;  ///< places in values_
    std::vector<double> dense_, right_;      ///< dense_: lower triangle by rows
    std::unique_ptr<Sparse> sparse_;
    double* values_ = nullptr;  ///< of dense_ or of sparse_
};

/// An order of the equations that keeps the factor sparse: order[k] is the place of node k.
std::vector<std::int32_t> sparse_order(std::int32_t equations,
                                       const std::vector<std::int32_t>& from,
                                       const std::vector<std::int32_t>& to);

}  // namespace lapheat::solve
