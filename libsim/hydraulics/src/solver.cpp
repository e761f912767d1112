#include "lapheat/hydraulics/solver.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/solve/flow_network.hpp"
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
    solve::FlowNetworkOptions options;
    PreparedNetwork prepared;
    std::vector<double> nominal;  ///< kg/s of each branch, start of a cold solve
    std::vector<double> fixed;    ///< Pa of each node of given pressure, over the first such node's
    solve::FlowNetwork flows;     ///< pressures over the same

    Work(std::shared_ptr<const Network> n, SolverOptions o);
    Outcome newton(Flow& flow);
    Outcome continuation(Flow& flow);
};

namespace {

solve::FlowNetwork make_flows(const Network& n) {
    std::vector<bool> held;
    for (const Node& node : n.description.nodes) held.push_back(node.kind == Node::Kind::fixed);
    return {std::vector<std::int32_t>(n.from.begin(), n.from.end()),
            std::vector<std::int32_t>(n.to.begin(), n.to.end()), std::move(held)};
}

}  // namespace

NetworkSolver::Work::Work(std::shared_ptr<const Network> n, SolverOptions o)
    : network(std::move(n)),
      options{.tolerance = o.tolerance,
              .acceptable = o.acceptable,
              .most_iterations = o.most_iterations},
      fixed(network->nodes()),
      flows(make_flows(*network)) {
    reserve(prepared, *network);
    for (const double area : network->nominal_area) nominal.push_back(1000 * area);
    options.least_flow = 1e-3 * *std::max_element(nominal.begin(), nominal.end());
}

Outcome NetworkSolver::Work::newton(Flow& flow) {
    const auto loss = [&](std::size_t b, double m) {
        return branch_loss(prepared, prepared.terms[b], m);
    };
    const auto gross = [&](std::size_t b, double m, double value) {
        const Terms& t = prepared.terms[b];
        double sum = std::abs(value) + std::abs(t.constant);
        for (std::int32_t i = t.deliveries; i < t.deliveries_end; ++i)
            sum += std::abs(pump_line(prepared.deliveries[static_cast<std::size_t>(i)], m).value);
        return sum;
    };
    solve::FlowNetworkReport report;
    const bool done = flows.newton(flow.mass_flow, options, loss, gross, report);
    // A single loop has no balance of mass that would show a flow that is no number.
    const bool solved = done && std::all_of(flow.mass_flow.begin(), flow.mass_flow.end(),
                                            [](double m) { return std::isfinite(m); });
    flow.residual = report.residual;
    flow.iterations += report.iterations;
    flow.evaluations += report.evaluations;
    return solved ? Outcome::converged : Outcome::too_many_iterations;
}

/// For the hard case: a straight resistance is added to every branch and taken away in steps,
/// each solved from the last.
Outcome NetworkSolver::Work::continuation(Flow& flow) {
    std::copy(nominal.begin(), nominal.end(), flow.mass_flow.begin());
    for (std::size_t i = 0; i < fixed.size(); ++i) flows.pressure[i] = flows.held(i) ? fixed[i] : 0;
    Outcome outcome = Outcome::too_many_iterations;
    double added = 0;
    for (const double share : {1.0, 0.1, 0.01, 1e-3, 1e-4, 1e-6, 0.0}) {
        for (std::size_t b = 0; b < nominal.size(); ++b)
            for (double& linear : prepared.terms[b].linear)
                linear += (share - added) * flows.pressure_scale() / nominal[b];
        added = share;
        for (std::size_t b = 0; b < nominal.size(); ++b)
            if (!flows.open(b)) flow.mass_flow[b] = 0;
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
    const double base =
        inputs.fixed_pressure.empty() ? 0 : inputs.fixed_pressure[w.flows.reference()];
    for (std::size_t i = 0; i < n.nodes(); ++i) {
        w.fixed[i] = inputs.fixed_pressure.empty() ? 0 : inputs.fixed_pressure[i] - base;
        w.flows.outflow[i] = inputs.outflow.empty() ? 0 : inputs.outflow[i];
        const double start = pressed ? flow.pressure[i] - base : 0;
        w.flows.pressure[i] = w.flows.held(i) ? w.fixed[i] : std::isfinite(start) ? start : 0;
        good = good && std::isfinite(w.flows.outflow[i]) &&
               (!w.flows.held(i) || std::isfinite(w.fixed[i]));
    }
    if (!good) return flow.outcome = Outcome::bad_input;
    const auto is_open = [&](std::size_t b) { return w.prepared.terms[b].open; };
    if (!w.flows.connect(is_open)) return flow.outcome = Outcome::outflow_unmet;
    for (const double m : flow.mass_flow) warm = warm && std::isfinite(m);
    for (std::size_t b = 0; b < n.branches(); ++b) {
        if (!warm) flow.mass_flow[b] = w.nominal[b];
        if (!w.flows.open(b)) flow.mass_flow[b] = 0;
    }

    flow.outcome = w.newton(flow);
    if (flow.outcome != Outcome::converged) flow.outcome = w.continuation(flow);
    for (std::size_t i = 0; i < n.nodes(); ++i) flow.pressure[i] = base + w.flows.pressure[i];
    return flow.outcome;
}

}  // namespace lapheat::hydraulics
