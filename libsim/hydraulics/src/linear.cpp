#include "linear.hpp"

#include <algorithm>
#include <cmath>

namespace lapheat::hydraulics {
namespace {

/// Where row i, column j of the small square stands.
std::size_t place(std::int32_t i, std::int32_t j) {
    return static_cast<std::size_t>(i) * NodeSystem::small_most + static_cast<std::size_t>(j);
}

}  // namespace

NodeSystem::NodeSystem(std::int32_t equations, std::vector<std::int32_t> from,
                       std::vector<std::int32_t> to)
    : count_(equations), from_(std::move(from)), to_(std::move(to)), right_(equations) {
    right_.setZero();
    ground_.resize(static_cast<std::size_t>(count_));
    off_.resize(from_.size(), nullptr);
    if (small()) {
        // Lower triangle by rows.
        for (std::int32_t i = 0; i < count_; ++i)
            ground_[static_cast<std::size_t>(i)] = &dense_[place(i, i)];
        for (std::size_t b = 0; b < from_.size(); ++b) {
            const auto [low, high] = std::minmax(from_[b], to_[b]);
            if (low >= 0 && low != high) off_[b] = &dense_[place(high, low)];
        }
        return;
    }
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(static_cast<std::size_t>(count_) + from_.size());
    for (std::int32_t i = 0; i < count_; ++i) entries.emplace_back(i, i, 1.0);
    for (std::size_t b = 0; b < from_.size(); ++b) {
        const auto [low, high] = std::minmax(from_[b], to_[b]);
        if (low >= 0 && low != high) entries.emplace_back(low, high, 0.0);
    }
    sparse_.resize(count_, count_);
    sparse_.setFromTriplets(entries.begin(), entries.end());
    sparse_.makeCompressed();
    factor_.analyzePattern(sparse_);
    for (std::int32_t i = 0; i < count_; ++i)
        ground_[static_cast<std::size_t>(i)] = &sparse_.coeffRef(i, i);
    for (std::size_t b = 0; b < from_.size(); ++b) {
        const auto [low, high] = std::minmax(from_[b], to_[b]);
        if (low >= 0 && low != high) off_[b] = &sparse_.coeffRef(low, high);
    }
}

void NodeSystem::clear() {
    right_.setZero();
    if (!small()) {
        std::fill(sparse_.valuePtr(), sparse_.valuePtr() + sparse_.nonZeros(), 0.0);
        return;
    }
    for (std::int32_t i = 0; i < count_; ++i) std::fill_n(&dense_[place(i, 0)], i + 1, 0.0);
}

bool NodeSystem::solve() {
    if (count_ == 0) return true;
    if (small()) return solve_small();
    if (!factor_.refactor(sparse_)) return false;
    right_ = factor_.solve(right_);
    return right_.allFinite();
}

// Taking a node out of a net of conductances leaves its neighbours joined by g_i·g_j/sum (Rosen
// 1924). It is Gaussian elimination, but nothing is ever subtracted, so a part of the network
// that hangs on a shut check valve alone (conductances apart by 1e13) keeps its digits, where
// the usual L·D·Lᵀ loses them all (Grassmann, Taksar & Heyman 1985 for the same in Markov
// chains). It is also several times quicker than a general routine's set-up for the two to ten
// unknowns of a car's loop.
bool NodeSystem::solve_small() {
    const auto at = [&](std::int32_t i, std::int32_t j) -> double& { return dense_[place(i, j)]; };
    // Below the diagonal the conductances between nodes, on it those to given pressures.
    for (std::int32_t k = count_ - 1; k >= 0; --k) {
        double sum = at(k, k);
        for (std::int32_t i = 0; i < k; ++i) sum += at(k, i);
        if (!(sum > 0) || !std::isfinite(sum)) return false;
        const double inverse = 1 / sum;
        for (std::int32_t i = 0; i < k; ++i) {
            const double share = at(k, i) * inverse;
            if (share == 0) continue;
            at(i, i) += share * at(k, k);
            right_[i] += share * right_[k];
            for (std::int32_t j = 0; j < i; ++j) at(i, j) += share * at(k, j);
        }
        at(k, k) = inverse;
    }
    for (std::int32_t k = 0; k < count_; ++k) {
        double sum = right_[k];
        for (std::int32_t i = 0; i < k; ++i) sum += at(k, i) * right_[i];
        right_[k] = sum * at(k, k);
    }
    return true;
}

std::vector<std::int32_t> sparse_order(std::int32_t equations,
                                       const std::vector<std::int32_t>& from,
                                       const std::vector<std::int32_t>& to) {
    std::vector<std::int32_t> order(static_cast<std::size_t>(equations));
    for (std::int32_t i = 0; i < equations; ++i) order[static_cast<std::size_t>(i)] = i;
    if (equations <= NodeSystem::small_most) return order;
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(static_cast<std::size_t>(equations) + 2 * from.size());
    for (std::int32_t i = 0; i < equations; ++i) entries.emplace_back(i, i, 1.0);
    for (std::size_t b = 0; b < from.size(); ++b)
        if (from[b] >= 0 && to[b] >= 0) {
            entries.emplace_back(from[b], to[b], 1.0);
            entries.emplace_back(to[b], from[b], 1.0);
        }
    Eigen::SparseMatrix<double> pattern(equations, equations);
    pattern.setFromTriplets(entries.begin(), entries.end());
    Eigen::PermutationMatrix<Eigen::Dynamic, Eigen::Dynamic, int> permutation;
    Eigen::AMDOrdering<int>()(pattern.selfadjointView<Eigen::Upper>(), permutation);
    // The permutation's k-th entry is the node that comes k-th.
    for (std::int32_t k = 0; k < equations; ++k)
        order[static_cast<std::size_t>(permutation.indices()[k])] = k;
    return order;
}

}  // namespace lapheat::hydraulics
