#include "lapheat/solve/flow_network.hpp"

namespace lapheat::solve {
namespace {

std::size_t at(std::int32_t i) { return static_cast<std::size_t>(i); }

/// Equation of each node in an order that keeps the factor sparse, −1 where held.
std::vector<std::int32_t> number(const std::vector<bool>& held,
                                 const std::vector<std::int32_t>& from,
                                 const std::vector<std::int32_t>& to) {
    std::vector<std::int32_t> equation(held.size());
    std::int32_t count = 0;
    for (std::size_t i = 0; i < held.size(); ++i) equation[i] = held[i] ? -1 : count++;
    std::vector<std::int32_t> first(from.size()), second(from.size());
    for (std::size_t b = 0; b < from.size(); ++b) {
        first[b] = equation[at(from[b])];
        second[b] = equation[at(to[b])];
    }
    const auto order = sparse_order(count, first, second);
    for (auto& e : equation)
        if (e >= 0) e = order[at(e)];
    return equation;
}

NodeSystem make_system(const std::vector<std::int32_t>& equation,
                       const std::vector<std::int32_t>& from, const std::vector<std::int32_t>& to) {
    std::vector<std::int32_t> first(from.size()), second(from.size());
    for (std::size_t b = 0; b < from.size(); ++b) {
        first[b] = equation[at(from[b])];
        second[b] = equation[at(to[b])];
    }
    const auto unknown =
        std::count_if(equation.begin(), equation.end(), [](auto e) { return e >= 0; });
    return {static_cast<std::int32_t>(unknown), std::move(first), std::move(second)};
}

}  // namespace

FlowNetwork::FlowNetwork(std::vector<std::int32_t> from, std::vector<std::int32_t> to,
                         std::vector<bool> held)
    : pressure(held.size()),
      outflow(held.size()),
      from_(std::move(from)),
      to_(std::move(to)),
      equation_(number(held, from_, to_)),
      system_(make_system(equation_, from_, to_)),
      imbalance_(held.size()),
      step_(from_.size()),
      trial_(from_.size()),
      drop_(from_.size()),
      loss_(from_.size()),
      next_(from_.size()),
      open_(from_.size(), 2),  // neither open nor closed: connect() has not been called
      group_(held.size()) {
    while (equation_[reference_] >= 0) ++reference_;
    pinned_.reserve(held.size());
}

void FlowNetwork::find_islands() {
    const auto held = static_cast<std::int32_t>(reference_);
    for (std::size_t i = 0; i < nodes(); ++i)
        group_[i] = equation_[i] < 0 ? held : static_cast<std::int32_t>(i);
    const auto root = [&](std::int32_t i) {
        while (group_[at(i)] != i) i = group_[at(i)] = group_[at(group_[at(i)])];
        return i;
    };
    for (std::size_t b = 0; b < branches(); ++b) {
        if (!open_[b]) continue;
        std::int32_t f = root(from_[b]), t = root(to_[b]);
        if (f == held) std::swap(f, t);
        group_[at(f)] = t;
    }
    pinned_.clear();
    for (std::size_t i = 0; i < nodes(); ++i) {
        group_[i] = root(static_cast<std::int32_t>(i));
        if (group_[i] == static_cast<std::int32_t>(i) && group_[i] != held)
            pinned_.push_back(equation_[i]);
    }
}

bool FlowNetwork::islands_are_still() const {
    if (pinned_.empty()) return true;
    for (std::size_t i = 0; i < nodes(); ++i)
        if (outflow[i] != 0 && at(group_[i]) != reference_) return false;
    return true;
}

/// Mass leaving each node beyond what enters it.
void FlowNetwork::balance(const std::vector<double>& flow) {
    std::copy(outflow.begin(), outflow.end(), imbalance_.begin());
    for (std::size_t b = 0; b < flow.size(); ++b) {
        imbalance_[at(from_[b])] += flow[b];
        imbalance_[at(to_[b])] -= flow[b];
    }
}

/// Infinite where it is no number, which std::max() would pass over.
double FlowNetwork::worst_imbalance() const {
    double worst = 0, sum = 0;
    for (std::size_t i = 0; i < imbalance_.size(); ++i) {
        if (equation_[i] < 0) continue;
        worst = std::max(worst, std::abs(imbalance_[i]));
        sum += imbalance_[i];
    }
    return std::isfinite(sum) ? worst : std::numeric_limits<double>::infinity();
}

/// One linearised network: pressures, the drop over each branch, and the change of its flow.
/// Solved for the change of the pressures, so that the mass balance is as exact as the flows
/// and not as the pressures, whose last digit moves much fluid where resistance is low.
bool FlowNetwork::newton_step(const std::vector<double>& flow) {
    system_.clear();
    for (std::size_t b = 0; b < flow.size(); ++b) {
        const auto f = at(from_[b]), t = at(to_[b]);
        drop_[b] = pressure[f] - pressure[t];
        if (!open_[b]) continue;
        const double conductance = 1 / loss_[b].slope;
        system_.add(b, conductance);
        const std::int32_t i = equation_[f], j = equation_[t];
        if (i == j) continue;
        const double as_is = flow[b] + conductance * (drop_[b] - loss_[b].value);
        if (i >= 0) system_.right(i) -= as_is;
        if (j >= 0) system_.right(j) += as_is;
    }
    for (std::size_t i = 0; i < nodes(); ++i)
        if (equation_[i] >= 0) system_.right(equation_[i]) -= outflow[i];
    for (const std::int32_t e : pinned_) system_.pin(e, 1e-6);
    if (!system_.solve()) return false;
    for (std::size_t b = 0; b < flow.size(); ++b) {
        const std::int32_t i = equation_[at(from_[b])], j = equation_[at(to_[b])];
        const double change = (i < 0 ? 0 : system_.left(i)) - (j < 0 ? 0 : system_.left(j));
        step_[b] = open_[b] ? (drop_[b] - loss_[b].value + change) / loss_[b].slope : 0;
        drop_[b] += change;
    }
    for (std::size_t i = 0; i < nodes(); ++i)
        if (equation_[i] >= 0) pressure[i] += system_.left(equation_[i]);
    return true;
}

/// Slope of the content along the step. Rises along it, as every loss rises with its flow.
double FlowNetwork::slope_along(const std::vector<BranchLoss>& losses) const {
    double sum = 0;
    for (std::size_t b = 0; b < step_.size(); ++b) sum += step_[b] * (losses[b].value - drop_[b]);
    return sum;
}

}  // namespace lapheat::solve
