#include "lapheat/hydraulics/report.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"

namespace lapheat::hydraulics {
namespace {

/// m at which velocity is reported; 0 where none is known.
double diameter_of(const ElementBody& body) {
    struct Ask {
        double operator()(const Pipe& p) const { return p.inner_diameter; }
        double operator()(const MinorLoss& f) const { return f.diameter; }
        double operator()(const CheckValve& v) const { return v.diameter; }
        double operator()(const CurveLoss& c) const { return c.diameter; }
        double operator()(const Valve& v) const {
            return std::sqrt(v.open_area * 4 / std::numbers::pi);
        }
        double operator()(const MeasuredLoss&) const { return 0; }
        double operator()(const CentrifugalPump&) const { return 0; }
        double operator()(const DisplacementPump&) const { return 0; }
    };
    return std::visit(Ask{}, body);
}

bool is_pump(const ElementBody& body) {
    return std::holds_alternative<CentrifugalPump>(body) ||
           std::holds_alternative<DisplacementPump>(body);
}

std::size_t first(const Network& n, std::size_t b) {
    return static_cast<std::size_t>(n.first_element[b]);
}

}  // namespace

FlowReport report(const Network& network, const Inputs& inputs, const Flow& flow) {
    FlowReport r;
    r.residual = flow.residual;
    for (std::size_t b = 0; b < network.branches(); ++b) {
        const Branch& branch = network.description.branches[b];
        const double m = flow.mass_flow[b];
        BranchReport line{
            .name = branch.name, .mass_flow = m, .flow = m / inputs.density[first(network, b)]};
        line.closed = branch.closed || m == 0;
        for (std::size_t e = first(network, b); e < first(network, b + 1); ++e) {
            const ElementBody& body = network.element(e).body;
            const double density = inputs.density[e], viscosity = inputs.viscosity[e];
            ElementReport part{.branch = branch.name, .name = network.element(e).name};
            part.flow = m / density;
            if (const double d = diameter_of(body); d > 0) {
                part.velocity = part.flow / (std::numbers::pi / 4 * d * d);
                part.reynolds = density * std::abs(part.velocity) * d / viscosity;
            }
            if (!line.closed || is_pump(body))
                part.pressure_loss =
                    element_loss(network, e, density, viscosity, inputs.control[e], m);
            line.static_rise += density * standard_gravity * network.rise[e];
            if (is_pump(body)) {
                line.pumped -= part.pressure_loss;
                r.heaviest_loss = std::max(r.heaviest_loss, -part.pressure_loss);
            } else {
                line.pressure_loss += part.pressure_loss;
            }
            part.power = part.pressure_loss * part.flow;
            r.elements.push_back(std::move(part));
        }
        r.branches.push_back(std::move(line));
    }
    // Without a pump, what the branches lose between them stands in.
    if (r.heaviest_loss == 0)
        for (const BranchReport& b : r.branches)
            r.heaviest_loss = std::max(r.heaviest_loss, std::abs(b.pressure_loss));
    for (ElementReport& e : r.elements)
        if (e.pressure_loss > 0 || e.flow < 0)
            e.share = r.heaviest_loss > 0 ? std::abs(e.pressure_loss) / r.heaviest_loss : 0;
    const auto lowest = std::min_element(flow.pressure.begin(), flow.pressure.end());
    if (lowest != flow.pressure.end()) {
        r.lowest_pressure = *lowest;
        r.lowest_node =
            network.description.nodes[static_cast<std::size_t>(lowest - flow.pressure.begin())]
                .name;
    }
    return r;
}

double inlet_pressure(const Network& network, const Inputs& inputs, const Flow& flow,
                      std::size_t pump) {
    std::size_t b = 0;
    while (first(network, b + 1) <= pump) ++b;
    double pressure = flow.pressure[static_cast<std::size_t>(network.from[b])];
    for (std::size_t e = first(network, b); e < pump; ++e)
        pressure -= element_loss(network, e, inputs.density[e], inputs.viscosity[e],
                                 inputs.control[e], flow.mass_flow[b]) +
                    inputs.density[e] * standard_gravity * network.rise[e];
    return pressure;
}

std::vector<Cost> line_costs(const Network& network, const Inputs& inputs, const Flow& flow) {
    constexpr double change = 0.01;
    std::vector<Cost> costs;
    for (std::size_t b = 0; b < network.branches(); ++b) {
        const Branch& branch = network.description.branches[b];
        if (flow.mass_flow[b] == 0) continue;
        for (std::size_t i = 0; i < branch.elements.size(); ++i) {
            NetworkDescription longer = network.description;
            ElementBody& body = longer.branches[b].elements[i].body;
            double unit = 0;  // what 1 % of the part is, in metres or pieces
            if (auto* pipe = std::get_if<Pipe>(&body)) {
                unit = change * pipe->length;
                pipe->length += unit;
            } else if (auto* loss = std::get_if<MinorLoss>(&body)) {
                unit = change;
                loss->loss_coefficient *= 1 + change;
                loss->laminar_coefficient *= 1 + change;
            } else {
                continue;
            }
            NetworkSolver solver(std::make_shared<const Network>(build(std::move(longer))));
            Flow changed = flow;
            if (solver.solve(inputs, changed) != Outcome::converged) continue;
            const std::size_t e = first(network, b) + i;
            const double loss = element_loss(network, e, inputs.density[e], inputs.viscosity[e],
                                             inputs.control[e], flow.mass_flow[b]);
            costs.push_back({branch.name, branch.elements[i].name,
                             (std::abs(flow.mass_flow[b]) - std::abs(changed.mass_flow[b])) / unit,
                             std::abs(loss) * change / unit});
        }
    }
    return costs;
}

std::vector<PlumbingItem> plumbing_list(const Network& network, double allowance) {
    std::vector<PlumbingItem> items;
    std::map<std::string, double> totals;
    for (const Branch& branch : network.description.branches) {
        for (const Element& e : branch.elements) {
            const std::string where = branch.name + (e.name.empty() ? "" : ", " + e.name);
            if (const auto* pipe = std::get_if<Pipe>(&e.body)) {
                const std::string size = size_as_sold(pipe->inner_diameter);
                const double cut = pipe->length * (1 + allowance);
                items.push_back({"hose", where, size, cut, 1});
                items.push_back({"clamp", where, size, 0, 2});
                totals[size] += cut;
            } else if (const auto* loss = std::get_if<MinorLoss>(&e.body)) {
                items.push_back({"fitting", where, size_as_sold(loss->diameter), 0, 1});
            } else if (const auto* check = std::get_if<CheckValve>(&e.body)) {
                items.push_back({"check valve", where, size_as_sold(check->diameter), 0, 1});
            } else if (std::holds_alternative<MeasuredLoss>(e.body)) {
                items.push_back({"filter or measured part", where, "", 0, 1});
            } else if (std::holds_alternative<Valve>(e.body)) {
                items.push_back({"valve", where, size_as_sold(diameter_of(e.body)), 0, 1});
            } else if (is_pump(e.body)) {
                items.push_back({"pump", where, "", 0, 1});
            }
        }
        if (branch.closed) items.push_back({"cap", branch.name, "", 0, 2});
    }
    for (const auto& [size, length] : totals) items.push_back({"hose in all", "", size, length, 1});
    return items;
}

}  // namespace lapheat::hydraulics
