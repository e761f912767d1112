// Newton's iteration of flow_network.hpp, compiled with the caller's losses.
#pragma once

namespace lapheat::solve {

/// Finds the fraction of the step where the content's slope along it is small: regula falsi with
/// the Illinois rule between a falling and a rising end. `slope`: at none of it.
template <class Sweep>
double FlowNetwork::search(const std::vector<double>& flow, double slope, Sweep&& sweep) {
    double fraction = 1, low = 0, high = 1, low_slope = slope, high_slope = slope_along(next_);
    int side = 0;
    for (int k = 0; k < 60 && (fraction == 1 ? high_slope > -0.9 * slope : true); ++k) {
        fraction = low - low_slope * (high - low) / (high_slope - low_slope);
        if (k % 4 == 3) fraction = 0.5 * (low + high);
        for (std::size_t b = 0; b < flow.size(); ++b) trial_[b] = flow[b] + fraction * step_[b];
        sweep(trial_, next_);
        const double here = slope_along(next_);
        if (std::abs(here) <= -0.5 * slope) break;
        if (here > 0) {
            high = fraction, high_slope = here;
            if (side == 1) low_slope *= 0.5;
            side = 1;
        } else {
            low = fraction, low_slope = here;
            if (side == -1) high_slope *= 0.5;
            side = -1;
        }
    }
    return fraction;
}

/// How far from solved, 1 at the goal: the worse of the pressure balance over the largest
/// pressure and of the change of flow it would cause over the flow.
template <class Gross>
double FlowNetwork::measure(const std::vector<double>& flow, const FlowNetworkOptions& options,
                            Gross&& gross, FlowNetworkReport& report) {
    double most_flow = options.least_flow, most_drop = 1e-6, worst = 0, change = 0;
    for (std::size_t b = 0; b < flow.size(); ++b) {
        if (!open_[b]) continue;
        most_flow = std::max(most_flow, std::abs(flow[b]));
        most_drop = std::max(most_drop, gross(b, flow[b], loss_[b].value));
    }
    const double noise = options.rounding * most_drop;
    for (std::size_t b = 0; b < flow.size(); ++b) {
        if (!open_[b]) continue;
        const double r = std::abs(loss_[b].value - drop_[b]);
        worst = std::max(worst, r);
        change = std::max(change,
                          (r - noise) / (loss_[b].slope * (std::abs(flow[b]) + 1e-3 * most_flow)));
    }
    balance(flow);
    report.unbalanced = worst;
    report.residual = std::max(worst / most_drop, worst_imbalance() / most_flow);
    pressure_scale_ = most_drop;
    return std::max(report.residual, change) / options.tolerance;
}

template <class Loss, class Gross>
bool FlowNetwork::newton(std::vector<double>& flow, const FlowNetworkOptions& options, Loss&& loss,
                         Gross&& gross, FlowNetworkReport& report) {
    const auto sweep = [&](const std::vector<double>& at, std::vector<BranchLoss>& losses) {
        for (std::size_t b = 0; b < at.size(); ++b) losses[b] = loss(b, at[b]);
        ++report.evaluations;
    };
    balance(flow);
    double most = options.least_flow;
    for (const double x : flow) most = std::max(most, std::abs(x));
    // Only a flow that keeps the mass balance may be searched along a line.
    bool balanced = worst_imbalance() <= 1e-10 * most;
    sweep(flow, loss_);
    double best = std::numeric_limits<double>::infinity();
    int stalled = 0;
    for (int i = 0; i < options.most_iterations; ++i) {
        if (!newton_step(flow)) return false;
        ++report.iterations;
        double power = 0;
        for (std::size_t b = 0; b < flow.size(); ++b) {
            trial_[b] = flow[b] + step_[b];
            power += std::abs(flow[b] * loss_[b].value);
        }
        const double slope = slope_along(loss_);
        sweep(trial_, next_);
        const bool searched = balanced && -slope > 1e-14 * power;
        const double fraction = searched ? search(flow, slope, sweep) : 1;
        balanced = true;
        flow.swap(trial_);
        loss_.swap(next_);
        const double distance = measure(flow, options, gross, report);
        if (fraction == 1 && distance <= 1) return true;
        stalled = distance < 0.5 * best ? 0 : stalled + 1;
        best = std::min(best, distance);
        if (stalled >= 3 && report.residual <= options.acceptable && fraction == 1) return true;
    }
    return report.residual <= options.acceptable;
}

}  // namespace lapheat::solve
