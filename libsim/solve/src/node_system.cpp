#include "lapheat/solve/node_system.hpp"

#include <Eigen/OrderingMethods>
#include <Eigen/SparseCholesky>
#include <cmath>

namespace lapheat::solve {
namespace {

/// Where row i, column j of the small square stands.
std::size_t place(std::int32_t i, std::int32_t j) {
    return static_cast<std::size_t>(i) * NodeSystem::small_most + static_cast<std::size_t>(j);
}

}  // namespace

struct NodeSystem::Sparse {
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

    Eigen::SparseMatrix<double> matrix;
    Factor factor;
};

NodeSystem::NodeSystem(std::int32_t equations, std::vector<std::int32_t> from,
                       std::vector<std::int32_t> to)
    : count_(equations),
      from_(std::move(from)),
      to_(std::move(to)),
      ground_(static_cast<std::size_t>(equations)),
      off_(from_.size()),
      right_(static_cast<std::size_t>(equations)) {
    const auto each_pair = [&](auto&& use) {
        for (std::size_t b = 0; b < from_.size(); ++b) {
            const auto [low, high] = std::minmax(from_[b], to_[b]);
            if (low >= 0 && low != high) use(b, low, high);
        }
    };
    if (small()) {
        dense_.resize(static_cast<std::size_t>(count_) * small_most);
        values_ = dense_.data();
        for (std::int32_t i = 0; i < count_; ++i)
            ground_[static_cast<std::size_t>(i)] = place(i, i);
        each_pair([&](std::size_t b, auto low, auto high) { off_[b] = place(high, low); });
        return;
    }
    sparse_ = std::make_unique<Sparse>();
    Eigen::SparseMatrix<double>& matrix = sparse_->matrix;
    std::vector<Eigen::Triplet<double>> entries;
    entries.reserve(static_cast<std::size_t>(count_) + from_.size());
    for (std::int32_t i = 0; i < count_; ++i) entries.emplace_back(i, i, 1.0);
    each_pair([&](std::size_t, auto low, auto high) { entries.emplace_back(low, high, 0.0); });
    matrix.resize(count_, count_);
    matrix.setFromTriplets(entries.begin(), entries.end());
    matrix.makeCompressed();
    sparse_->factor.analyzePattern(matrix);
    values_ = matrix.valuePtr();
    const auto index = [&](auto i, auto j) {
        return static_cast<std::size_t>(&matrix.coeffRef(i, j) - values_);
    };
    for (std::int32_t i = 0; i < count_; ++i) ground_[static_cast<std::size_t>(i)] = index(i, i);
    each_pair([&](std::size_t b, auto low, auto high) { off_[b] = index(low, high); });
}

// A copy is a workspace for the same network: it has the structure, and no values.
NodeSystem::NodeSystem(const NodeSystem& other)
    : NodeSystem(other.count_, other.from_, other.to_) {}
NodeSystem& NodeSystem::operator=(const NodeSystem& other) {
    if (this != &other) *this = NodeSystem(other);
    return *this;
}
NodeSystem::NodeSystem() = default;
NodeSystem::NodeSystem(NodeSystem&&) noexcept = default;
NodeSystem& NodeSystem::operator=(NodeSystem&&) noexcept = default;
NodeSystem::~NodeSystem() = default;

void NodeSystem::clear() {
    std::fill(right_.begin(), right_.end(), 0.0);
    if (small())
        for (std::int32_t i = 0; i < count_; ++i) std::fill_n(&dense_[place(i, 0)], i + 1, 0.0);
    else
        std::fill_n(values_, sparse_->matrix.nonZeros(), 0.0);
}

bool NodeSystem::solve() {
    if (count_ == 0) return true;
    if (small()) return solve_small();
    if (!sparse_->factor.refactor(sparse_->matrix)) return false;
    Eigen::Map<Eigen::VectorXd> right(right_.data(), count_);
    right = sparse_->factor.solve(right);
    return right.allFinite();
}

// Taking a node out of a net of conductances leaves its neighbours joined by g_i·g_j/sum (Rosen
// 1924). It is Gaussian elimination, but nothing is ever subtracted, so a part of the network
// that hangs on a shut check valve alone (conductances apart by 1e13) keeps its digits, where
// the usual L·D·Lᵀ loses them all (Grassmann, Taksar & Heyman 1985 for the same in Markov
// chains). It is also several times quicker than a general routine's set-up for the two to ten
// unknowns of a car's loop.
bool NodeSystem::solve_small() {
    // Below the diagonal the conductances between nodes, on it those to given potentials.
    double* const right = right_.data();
    for (std::int32_t k = count_ - 1; k >= 0; --k) {
        double* const row = &dense_[place(k, 0)];
        double sum = row[k];
        for (std::int32_t i = 0; i < k; ++i) sum += row[i];
        if (!(sum > 0) || !std::isfinite(sum)) return false;
        const double inverse = 1 / sum;
        for (std::int32_t i = 0; i < k; ++i) {
            const double share = row[i] * inverse;
            if (share == 0) continue;
            double* const other = &dense_[place(i, 0)];
            other[i] += share * row[k];
            right[i] += share * right[k];
            for (std::int32_t j = 0; j < i; ++j) other[j] += share * row[j];
        }
        row[k] = inverse;
    }
    for (std::int32_t k = 0; k < count_; ++k) {
        const double* const row = &dense_[place(k, 0)];
        double sum = right[k];
        for (std::int32_t i = 0; i < k; ++i) sum += row[i] * right[i];
        right[k] = sum * row[k];
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

}  // namespace lapheat::solve
