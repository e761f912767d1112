// The flows in a network of branches, liquid or air, by Newton's method on flows and pressures
// together.
//
// The global gradient form of Todini & Pilati (1988): every step linearises each branch and
// solves one symmetric positive definite system for the pressures of the nodes. Every branch's
// pressure loss rises with its flow, so the flow is the minimum of a convex function (the
// "content" of Cherry & Millar 1951; Birkhoff & Diaz 1956), and a line search on its slope makes
// Newton's method converge from anywhere. The answer is unique; the start changes the cost only.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <vector>

#include "lapheat/solve/node_system.hpp"

namespace lapheat::solve {

/// Pressure lost in a branch at its flow, and how fast it rises with it (> 0).
struct BranchLoss {
    double value = 0, slope = 0;
};

struct FlowNetworkOptions {
    double tolerance = 1e-11;  ///< goal of the residual and of the last change of any flow
    double acceptable = 1e-9;  ///< residual that counts as solved when rounding stops progress
    int most_iterations = 100;
    /// Share of the largest pressure that is taken for rounding where it would move a flow: in a
    /// network with wide gaps, a few units of the last digit.
    double rounding = 0;
    double least_flow = 0;  ///< flow below which nothing is said to move, for relative measures
};

/// What one call of newton() took and reached.
struct FlowNetworkReport {
    double residual = std::numeric_limits<double>::infinity();
    ///< worst of: pressure balance over the largest pressure, mass balance over the largest flow
    double unbalanced = 0;  ///< greatest pressure difference that no loss answers
    int iterations = 0;     ///< linear systems solved
    int evaluations = 0;    ///< sweeps over the branches
};

/// Workspace of one network; a caller's losses are asked for while it solves. Does not allocate
/// once made. A copy has the pressures, and a workspace of its own.
class FlowNetwork {
  public:
    FlowNetwork() = default;
    /// `from`, `to`: node of each branch's ends; `held`: of each node, whether its pressure is
    /// given; at least one is.
    FlowNetwork(std::vector<std::int32_t> from, std::vector<std::int32_t> to,
                std::vector<bool> held);

    [[nodiscard]] std::size_t nodes() const { return equation_.size(); }
    [[nodiscard]] std::size_t branches() const { return from_.size(); }
    [[nodiscard]] bool held(std::size_t node) const { return equation_[node] < 0; }
    [[nodiscard]] bool open(std::size_t branch) const { return open_[branch] != 0; }
    /// The first node whose pressure is given.
    [[nodiscard]] std::size_t reference() const { return reference_; }
    /// Largest pressure seen by the last newton().
    [[nodiscard]] double pressure_scale() const { return pressure_scale_; }

    /// Of a branch at the flow that the last newton() left.
    [[nodiscard]] const BranchLoss& loss(std::size_t branch) const { return loss_[branch]; }

    /// Of each node. Pressures: as given where held, else the start, and then the answer.
    std::vector<double> pressure, outflow;

    /// Says which branches let pass: `is_open(branch)`. Parts that closed branches cut off from
    /// every held node are pinned at one node. False if outflow is asked of such a part.
    template <class IsOpen>
    bool connect(IsOpen&& is_open) {
        bool same = true;
        for (std::size_t b = 0; b < branches(); ++b) {
            const auto now = static_cast<std::uint8_t>(is_open(b) ? 1 : 0);
            same = same && now == open_[b];
            open_[b] = now;
        }
        if (!same) find_islands();
        return islands_are_still();
    }

    /// Improves the flows of the branches. `loss(b, m)`: BranchLoss of a branch at a flow;
    /// `gross(b, m, value)`: the pressures that make up its value, without their signs. True if
    /// solved to the tolerance, or as far as rounding lets where that is acceptable.
    template <class Loss, class Gross>
    bool newton(std::vector<double>& flow, const FlowNetworkOptions& options, Loss&& loss,
                Gross&& gross, FlowNetworkReport& report);

  private:
    void find_islands();
    [[nodiscard]] bool islands_are_still() const;
    void balance(const std::vector<double>& flow);
    [[nodiscard]] double worst_imbalance() const;
    bool newton_step(const std::vector<double>& flow);
    [[nodiscard]] double slope_along(const std::vector<BranchLoss>& losses) const;
    template <class Sweep>
    double search(const std::vector<double>& flow, double slope, Sweep&& sweep);
    template <class Gross>
    double measure(const std::vector<double>& flow, const FlowNetworkOptions& options,
                   Gross&& gross, FlowNetworkReport& report);

    std::vector<std::int32_t> from_, to_;
    std::vector<std::int32_t> equation_;  ///< of each node; −1 where its pressure is held
    std::size_t reference_ = 0;
    NodeSystem system_;
    std::vector<double> imbalance_, step_, trial_, drop_;
    std::vector<BranchLoss> loss_, next_;
    std::vector<std::uint8_t> open_;
    std::vector<std::int32_t> pinned_, group_;  ///< grounds of cut-off parts; union-find
    double pressure_scale_ = 1;
};

}  // namespace lapheat::solve

#include "lapheat/solve/detail/flow_network.hpp"
