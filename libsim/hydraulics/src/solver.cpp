#include "lapheat/hydraulics/solver.hpp"

#include <algorithm>
#include <cmath>

#include "linear.hpp"
#include "prepare.hpp"

namespace lapheat::hydraulics {

std::string_view describe(Outcome outcome) noexcept {
    switch (outcome) {
        case Outcome::converged:
            return "converged";
        case Outcome::too_many_iterations:
            return "no convergence within the allowed iterations";
        case Outcome::bad_input:
            return "an input is missing, not finite or not positive";
        case Outcome::outflow_unmet:
            return "outflow asked of a part that closed valves cut off";
    }
    return "";
}

struct NetworkSolver::Work {
    std::shared_ptr<const Network> network;
    SolverOptions options;
    Prepared prepared;
    std::vector<std::int32_t> equation;  ///< of each node; −1 where its pressure is fixed
    std::vector<double> nominal;         ///< kg/s of each branch, start of a cold solve
    std::size_t reference = 0;           ///< the first fixed node
    NodeSystem system;

    // Of the solve under way, pressures relative to the reference node's.
    std::vector<double> fixed, pressure, outflow, imbalance;
    std::vector<double> step, trial, drop;
    std::vector<Loss> loss, next;
    std::vector<std::uint8_t> was_open;
    std::vector<std::int32_t> pinned, group;  ///< grounds of cut-off parts; union-find
    double pressure_scale = 1, flow_scale = 1;

    Work(std::shared_ptr<const Network> n, SolverOptions o);
    bool ground();
    void balance(const std::vector<double>& flow);
    void sweep(const std::vector<double>& flow, std::vector<Loss>& losses);
    bool newton_step(const std::vector<double>& flow);
    double slope_along(const std::vector<Loss>& losses) const;
    double measure(const std::vector<double>& flow, double& residual);
    Outcome newton(Flow& flow);
    Outcome continuation(Flow& flow);
};

namespace {

std::vector<std::int32_t> number(const Network& n) {
    std::vector<std::int32_t> equation(n.nodes());
    std::int32_t count = 0;
    for (std::size_t i = 0; i < n.nodes(); ++i)
        equation[i] = n.description.nodes[i].kind == Node::Kind::fixed ? -1 : count++;
    std::vector<std::int32_t> from(n.branches()), to(n.branches());
    for (std::size_t b = 0; b < n.branches(); ++b) {
        from[b] = equation[static_cast<std::size_t>(n.from[b])];
        to[b] = equation[static_cast<std::size_t>(n.to[b])];
    }
    const auto order = sparse_order(count, from, to);
    for (auto& e : equation)
        if (e >= 0) e = order[static_cast<std::size_t>(e)];
    return equation;
}

NodeSystem make_system(const Network& n, const std::vector<std::int32_t>& equation) {
    std::vector<std::int32_t> from(n.branches()), to(n.branches());
    for (std::size_t b = 0; b < n.branches(); ++b) {
        from[b] = equation[static_cast<std::size_t>(n.from[b])];
        to[b] = equation[static_cast<std::size_t>(n.to[b])];
    }
    const auto unknown =
        std::count_if(equation.begin(), equation.end(), [](auto e) { return e >= 0; });
    return {static_cast<std::int32_t>(unknown), std::move(from), std::move(to)};
}

}  // namespace

NetworkSolver::Work::Work(std::shared_ptr<const Network> n, SolverOptions o)
    : network(std::move(n)),
      options(o),
      equation(number(*network)),
      system(make_system(*network, equation)) {
    const std::size_t nodes = network->nodes(), branches = network->branches();
    reserve(prepared, *network);
    while (equation[reference] >= 0) ++reference;
    for (const double area : network->nominal_area) nominal.push_back(1000 * area);
    flow_scale = 1e-3 * *std::max_element(nominal.begin(), nominal.end());
    for (auto* v : {&fixed, &pressure, &outflow, &imbalance}) v->resize(nodes);
    for (auto* v : {&step, &trial, &drop}) v->resize(branches);
    loss.resize(branches);
    next.resize(branches);
    was_open.resize(branches, 2);
    group.resize(nodes);
    pinned.reserve(nodes);
}

/// Finds the parts that closed branches cut off from every fixed node and pins one node of
/// each. False if outflow is asked of such a part.
bool NetworkSolver::Work::ground() {
    const Network& n = *network;
    bool same = true;
    for (std::size_t b = 0; b < n.branches(); ++b) {
        const auto open = static_cast<std::uint8_t>(prepared.terms[b].open);
        same = same && open == was_open[b];
        was_open[b] = open;
    }
    if (!same) {
        for (std::size_t i = 0; i < n.nodes(); ++i)
            group[i] = static_cast<std::int32_t>(equation[i] < 0 ? reference : i);
        const auto root = [&](std::int32_t i) {
            while (group[static_cast<std::size_t>(i)] != i)
                i = group[static_cast<std::size_t>(i)] =
                    group[static_cast<std::size_t>(group[static_cast<std::size_t>(i)])];
            return i;
        };
        const auto held = static_cast<std::int32_t>(reference);
        for (std::size_t b = 0; b < n.branches(); ++b) {
            if (!was_open[b]) continue;
            std::int32_t f = root(n.from[b]), t = root(n.to[b]);
            if (f == held) std::swap(f, t);
            group[static_cast<std::size_t>(f)] = t;
        }
        pinned.clear();
        for (std::size_t i = 0; i < n.nodes(); ++i) {
            group[i] = root(static_cast<std::int32_t>(i));
            if (group[i] == static_cast<std::int32_t>(i) && group[i] != held)
                pinned.push_back(equation[i]);
        }
    }
    if (pinned.empty()) return true;
    for (std::size_t i = 0; i < n.nodes(); ++i)
        if (outflow[i] != 0 && group[i] != static_cast<std::int32_t>(reference)) return false;
    return true;
}

/// Mass leaving each node beyond what enters it.
void NetworkSolver::Work::balance(const std::vector<double>& flow) {
    std::copy(outflow.begin(), outflow.end(), imbalance.begin());
    for (std::size_t b = 0; b < flow.size(); ++b) {
        imbalance[static_cast<std::size_t>(network->from[b])] += flow[b];
        imbalance[static_cast<std::size_t>(network->to[b])] -= flow[b];
    }
}

void NetworkSolver::Work::sweep(const std::vector<double>& flow, std::vector<Loss>& losses) {
    for (std::size_t b = 0; b < flow.size(); ++b)
        losses[b] = branch_loss(prepared, prepared.terms[b], flow[b]);
}

/// One linearised network: pressures, the drop over each branch, and the change of its flow.
/// Solved for the change of the pressures, so that the mass balance is as exact as the flows
/// and not as the pressures, whose last digit moves much fluid where resistance is low.
bool NetworkSolver::Work::newton_step(const std::vector<double>& flow) {
    const Network& n = *network;
    system.clear();
    for (std::size_t b = 0; b < flow.size(); ++b) {
        const auto f = static_cast<std::size_t>(n.from[b]), t = static_cast<std::size_t>(n.to[b]);
        drop[b] = pressure[f] - pressure[t];
        if (!was_open[b]) continue;
        const double conductance = 1 / loss[b].slope;
        system.add(b, conductance);
        const std::int32_t i = equation[f], j = equation[t];
        if (i == j) continue;
        const double as_is = flow[b] + conductance * (drop[b] - loss[b].value);
        if (i >= 0) system.right(i) -= as_is;
        if (j >= 0) system.right(j) += as_is;
    }
    for (std::size_t i = 0; i < n.nodes(); ++i)
        if (equation[i] >= 0) system.right(equation[i]) -= outflow[i];
    for (const std::int32_t e : pinned) system.pin(e, 1e-6);
    if (!system.solve()) return false;
    for (std::size_t b = 0; b < flow.size(); ++b) {
        const std::int32_t i = equation[static_cast<std::size_t>(n.from[b])];
        const std::int32_t j = equation[static_cast<std::size_t>(n.to[b])];
        const double change = (i < 0 ? 0 : system.left(i)) - (j < 0 ? 0 : system.left(j));
        step[b] = was_open[b] ? (drop[b] - loss[b].value + change) / loss[b].slope : 0;
        drop[b] += change;
    }
    for (std::size_t i = 0; i < n.nodes(); ++i)
        if (equation[i] >= 0) pressure[i] += system.left(equation[i]);
    return true;
}

/// Slope of the content along the step. Rises along it, as every loss rises with its flow.
double NetworkSolver::Work::slope_along(const std::vector<Loss>& losses) const {
    double sum = 0;
    for (std::size_t b = 0; b < step.size(); ++b) sum += step[b] * (losses[b].value - drop[b]);
    return sum;
}

/// How far from solved, 1 at the goal: the worse of the pressure balance over the largest
/// pressure difference and of the change of flow it would cause over the flow.
double NetworkSolver::Work::measure(const std::vector<double>& flow, double& residual) {
    double most_flow = flow_scale, most_drop = 1e-6, worst = 0, change = 0;
    for (std::size_t b = 0; b < flow.size(); ++b) {
        if (!was_open[b]) continue;
        most_flow = std::max(most_flow, std::abs(flow[b]));
        const Terms& t = prepared.terms[b];
        double gross = std::abs(loss[b].value) + std::abs(t.constant);
        for (std::int32_t i = t.deliveries; i < t.deliveries_end; ++i)
            gross += std::abs(
                pump_line(prepared.deliveries[static_cast<std::size_t>(i)], flow[b]).value);
        most_drop = std::max(most_drop, gross);
    }
    for (std::size_t b = 0; b < flow.size(); ++b) {
        if (!was_open[b]) continue;
        const double r = std::abs(loss[b].value - drop[b]);
        worst = std::max(worst, r);
        change = std::max(change, r / (loss[b].slope * (std::abs(flow[b]) + 1e-3 * most_flow)));
    }
    balance(flow);
    double mass = 0;
    for (std::size_t i = 0; i < imbalance.size(); ++i)
        if (equation[i] >= 0) mass = std::max(mass, std::abs(imbalance[i]));
    residual = std::max(worst / most_drop, mass / most_flow);
    pressure_scale = most_drop;
    return std::max(residual, change) / options.tolerance;
}

Outcome NetworkSolver::Work::newton(Flow& flow) {
    auto& m = flow.mass_flow;
    double worst = 0, most = flow_scale;
    balance(m);
    for (std::size_t i = 0; i < imbalance.size(); ++i)
        if (equation[i] >= 0) worst = std::max(worst, std::abs(imbalance[i]));
    for (const double x : m) most = std::max(most, std::abs(x));
    // Only a flow that keeps the mass balance may be searched along a line.
    bool balanced = worst <= 1e-10 * most;
    sweep(m, loss);
    ++flow.evaluations;
    double best = std::numeric_limits<double>::infinity();
    int stalled = 0;
    for (int i = 0; i < options.most_iterations; ++i) {
        if (!newton_step(m)) return Outcome::too_many_iterations;
        ++flow.iterations;
        double power = 0;
        for (std::size_t b = 0; b < m.size(); ++b) {
            trial[b] = m[b] + step[b];
            power += std::abs(m[b] * loss[b].value);
        }
        const double slope = slope_along(loss);
        sweep(trial, next);
        ++flow.evaluations;
        double fraction = 1;
        if (balanced && -slope > 1e-14 * power) {
            // Regula falsi with the Illinois rule between a falling and a rising end.
            double low = 0, high = 1, low_slope = slope, high_slope = slope_along(next);
            int side = 0;
            for (int k = 0; k < 60 && (fraction == 1 ? high_slope > -0.9 * slope : true); ++k) {
                fraction = low - low_slope * (high - low) / (high_slope - low_slope);
                if (k % 4 == 3) fraction = 0.5 * (low + high);
                for (std::size_t b = 0; b < m.size(); ++b) trial[b] = m[b] + fraction * step[b];
                sweep(trial, next);
                ++flow.evaluations;
                const double here = slope_along(next);
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
        }
        balanced = true;
        m.swap(trial);
        loss.swap(next);
        const double distance = measure(m, flow.residual);
        if (fraction == 1 && distance <= 1) return Outcome::converged;
        stalled = distance < 0.5 * best ? 0 : stalled + 1;
        best = std::min(best, distance);
        if (stalled >= 3 && flow.residual <= options.acceptable && fraction == 1)
            return Outcome::converged;
    }
    return flow.residual <= options.acceptable ? Outcome::converged : Outcome::too_many_iterations;
}

/// For the hard case: a straight resistance is added to every branch and taken away in steps,
/// each solved from the last.
Outcome NetworkSolver::Work::continuation(Flow& flow) {
    std::copy(nominal.begin(), nominal.end(), flow.mass_flow.begin());
    for (std::size_t i = 0; i < pressure.size(); ++i) pressure[i] = equation[i] < 0 ? fixed[i] : 0;
    Outcome outcome = Outcome::too_many_iterations;
    double added = 0;
    for (const double share : {1.0, 0.1, 0.01, 1e-3, 1e-4, 1e-6, 0.0}) {
        for (std::size_t b = 0; b < nominal.size(); ++b)
            for (double& linear : prepared.terms[b].linear)
                linear += (share - added) * pressure_scale / nominal[b];
        added = share;
        for (std::size_t b = 0; b < nominal.size(); ++b)
            if (!was_open[b]) flow.mass_flow[b] = 0;
        outcome = newton(flow);
    }
    return outcome;
}

NetworkSolver::NetworkSolver(std::shared_ptr<const Network> network, SolverOptions options)
    : work_(std::make_unique<Work>(std::move(network), options)) {}
NetworkSolver::NetworkSolver(NetworkSolver&&) noexcept = default;
NetworkSolver& NetworkSolver::operator=(NetworkSolver&&) noexcept = default;
NetworkSolver::~NetworkSolver() = default;

const Network& NetworkSolver::network() const noexcept { return *work_->network; }

Outcome NetworkSolver::solve(const Inputs& inputs, Flow& flow) {
    Work& w = *work_;
    const Network& n = *w.network;
    flow.iterations = flow.evaluations = 0;
    flow.residual = std::numeric_limits<double>::infinity();
    bool warm = flow.mass_flow.size() == n.branches();
    if (!warm) flow.mass_flow = w.nominal;
    const bool pressed = warm && flow.pressure.size() == n.nodes();
    flow.pressure.resize(n.nodes());

    bool good = prepare(w.prepared, n, inputs);
    const double base = inputs.fixed_pressure.empty() ? 0 : inputs.fixed_pressure[w.reference];
    for (std::size_t i = 0; i < n.nodes(); ++i) {
        w.fixed[i] = inputs.fixed_pressure.empty() ? 0 : inputs.fixed_pressure[i] - base;
        w.outflow[i] = inputs.outflow.empty() ? 0 : inputs.outflow[i];
        const double start = pressed ? flow.pressure[i] - base : 0;
        w.pressure[i] = w.equation[i] < 0 ? w.fixed[i] : std::isfinite(start) ? start : 0;
        good = good && std::isfinite(w.outflow[i]) &&
               (w.equation[i] >= 0 || std::isfinite(w.fixed[i]));
    }
    if (!good) return flow.outcome = Outcome::bad_input;
    if (!w.ground()) return flow.outcome = Outcome::outflow_unmet;
    for (const double m : flow.mass_flow) warm = warm && std::isfinite(m);
    for (std::size_t b = 0; b < n.branches(); ++b) {
        if (!warm) flow.mass_flow[b] = w.nominal[b];
        if (!w.was_open[b]) flow.mass_flow[b] = 0;
    }

    flow.outcome = w.newton(flow);
    if (flow.outcome != Outcome::converged) flow.outcome = w.continuation(flow);
    for (std::size_t i = 0; i < n.nodes(); ++i) flow.pressure[i] = base + w.pressure[i];
    return flow.outcome;
}

}  // namespace lapheat::hydraulics
