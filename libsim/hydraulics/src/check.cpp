// What a network must satisfy before it is worth solving. Messages name the part.
#include <algorithm>
#include <cmath>
#include <sstream>

#include "internal.hpp"
#include "lapheat/hydraulics/network_error.hpp"

namespace lapheat::hydraulics {
namespace {

using units::Quantity;

std::string text(double value) {
    std::ostringstream out;
    out << value;
    return out.str();
}

/// Says which size of which part is wrong.
struct Sizes {
    const std::string& part;
    NetworkSpot spot;

    [[noreturn]] void refuse(const std::string& what, std::string expected) const {
        throw NetworkError(part + ": " + what, std::move(expected), spot);
    }

    void positive(double value, const char* what) const {
        if (!(value > 0 && std::isfinite(value)))
            refuse(std::string("its ") + what + " is " + text(value),
                   "a " + std::string(what) + " above zero");
    }
    void not_negative(double value, const char* what) const {
        if (!(value >= 0 && std::isfinite(value)))
            refuse(std::string("its ") + what + " is " + text(value), "zero or more");
    }
    void operator()(const Pipe& p) const {
        positive(p.length, "length");
        positive(p.inner_diameter, "inner diameter");
        if (!(p.roughness >= 0 && p.roughness <= 0.05 * p.inner_diameter))
            refuse("its roughness is " + text(p.roughness) + " m",
                   "from zero to 0.05 inner diameters, the range of the Moody chart");
    }
    void operator()(const MinorLoss& f) const {
        not_negative(f.loss_coefficient, "loss coefficient");
        not_negative(f.laminar_coefficient, "laminar loss coefficient");
        positive(f.diameter, "diameter");
    }
    void operator()(const MeasuredLoss& m) const {
        positive(m.flow, "measured flow");
        positive(m.pressure_loss, "measured pressure loss");
        positive(m.density, "test density");
        positive(m.viscosity, "test viscosity");
        if (!(m.laminar_share >= 0 && m.laminar_share <= 1))
            refuse("its laminar share is " + text(m.laminar_share), "0 to 1");
    }
    void operator()(const CurveLoss& c) const {
        if (c.curve.segments.size() < 3)
            refuse("its loss curve is empty", "a curve from sampled_curve");
        not_negative(c.diameter, "diameter");
    }
    void operator()(const Valve& v) const {
        positive(v.open_area, "open area");
        not_negative(v.closed_area, "closed area");
        positive(v.loss_coefficient, "loss coefficient");
        if (v.closed_area > v.open_area)
            refuse("it is wider closed than open", "a closed area below the open area");
    }
    void operator()(const CheckValve& v) const {
        not_negative(v.loss_coefficient, "loss coefficient");
        positive(v.diameter, "diameter");
        not_negative(v.cracking_pressure, "cracking pressure");
        positive(v.cracking_flow, "cracking flow");
        positive(v.reverse_leak, "reverse leak");
    }
    void operator()(const CentrifugalPump& p) const {
        not_negative(p.shutoff, "shut-off coefficient");
        not_negative(p.linear, "linear coefficient");
        not_negative(p.quadratic, "quadratic coefficient");
        if (!(p.quadratic > 0 || p.linear > 0))
            refuse("its pressure does not fall with its flow",
                   "a pump curve that falls; see fit_pump");
    }
    void operator()(const DisplacementPump& p) const {
        positive(p.displacement, "displacement");
        not_negative(p.controlled_flow, "controlled flow");
        not_negative(p.relief_pressure, "relief pressure");
        positive(p.relief_override, "relief override");
        not_negative(p.rated_flow, "rated flow");
        positive(p.leakage, "leakage");
    }
};

bool is_pump(const Element& e) {
    return std::holds_alternative<CentrifugalPump>(e.body) ||
           std::holds_alternative<DisplacementPump>(e.body);
}

bool has_pump(const Branch& b) {
    return std::any_of(b.elements.begin(), b.elements.end(), is_pump);
}

/// Labels of the connected groups of nodes, over the branches for which `use` holds.
template <class Use>
std::vector<std::int32_t> groups(const Network& n, Use use) {
    std::vector<std::int32_t> label(n.nodes());
    for (std::size_t i = 0; i < label.size(); ++i) label[i] = static_cast<std::int32_t>(i);
    const auto root = [&](std::int32_t i) {
        while (label[static_cast<std::size_t>(i)] != i) i = label[static_cast<std::size_t>(i)];
        return i;
    };
    for (std::size_t b = 0; b < n.branches(); ++b) {
        if (!use(b)) continue;
        const std::int32_t f = root(n.from[b]), t = root(n.to[b]);
        label[static_cast<std::size_t>(std::max(f, t))] = std::min(f, t);
    }
    for (std::size_t i = 0; i < label.size(); ++i) label[i] = root(static_cast<std::int32_t>(i));
    return label;
}

}  // namespace

void settle_nodes(Network& n) {
    auto& nodes = n.description.nodes;
    const auto number = [&](const std::string& name) {
        const auto at = std::find_if(nodes.begin(), nodes.end(),
                                     [&](const Node& node) { return node.name == name; });
        const auto index = at - nodes.begin();
        if (at == nodes.end()) nodes.push_back({.name = name});
        return static_cast<std::int32_t>(index);
    };
    for (std::size_t i = 0; i < nodes.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (nodes[i].name == nodes[j].name)
                throw NetworkError("two nodes are named " + nodes[i].name, "a name for each",
                                   {.node = static_cast<int>(i)});
    if (n.description.branches.empty())
        throw NetworkError("the network has no branches", "at least one branch", {});
    const auto& branches = n.description.branches;
    for (const Branch& b : branches) {
        const NetworkSpot here{.branch = static_cast<int>(&b - branches.data())};
        if (b.name.empty() || b.from.empty() || b.to.empty())
            throw NetworkError(
                "a branch lacks a name or an end" + (b.name.empty() ? "" : ": " + b.name),
                "a name and two nodes for each branch", here);
        for (const Branch& other : branches)
            if (&other != &b && other.name == b.name)
                throw NetworkError("two branches are named " + b.name, "a name for each", here);
        if (b.elements.empty())
            throw NetworkError("branch " + b.name + " has no parts",
                               "at least one pipe, fitting or pump", here);
        n.from.push_back(number(b.from));
        n.to.push_back(number(b.to));
    }
}

void check_parts(const Network& n) {
    const auto& branches = n.description.branches;
    for (const Branch& b : branches)
        for (const Element& e : b.elements) {
            const std::string name = e.name.empty() ? "a part of branch " + b.name : e.name;
            const Sizes sizes{name,
                              {.branch = static_cast<int>(&b - branches.data()),
                               .element = static_cast<int>(&e - b.elements.data())}};
            std::visit(sizes, e.body);
            if (!std::isfinite(e.rise)) sizes.refuse("its rise is not a number", {});
        }
}

void settle_rises(Network& n) {
    auto& nodes = n.description.nodes;
    n.elevation.assign(nodes.size(), std::numeric_limits<double>::quiet_NaN());
    for (std::size_t i = 0; i < nodes.size(); ++i) n.elevation[i] = nodes[i].elevation;
    const auto sum = [](const Branch& b) {
        double rise = 0;
        for (const Element& e : b.elements) rise += e.rise;
        return rise;
    };
    // Spread what is known along the branches; when nothing more follows, the next unknown
    // node is put at height zero and the spreading goes on from it.
    for (std::size_t next = 0;;) {
        for (bool more = true; more;) {
            more = false;
            for (std::size_t b = 0; b < n.branches(); ++b) {
                double& from = n.elevation[static_cast<std::size_t>(n.from[b])];
                double& to = n.elevation[static_cast<std::size_t>(n.to[b])];
                if (std::isnan(from) == std::isnan(to)) continue;
                const double rise = sum(n.description.branches[b]);
                if (std::isnan(to))
                    to = from + rise;
                else
                    from = to - rise;
                more = true;
            }
        }
        while (next < nodes.size() && !std::isnan(n.elevation[next])) ++next;
        if (next == nodes.size()) break;
        n.elevation[next] = 0;
    }
    for (std::size_t b = 0; b < n.branches(); ++b) {
        Branch& branch = n.description.branches[b];
        const auto from = static_cast<std::size_t>(n.from[b]),
                   to = static_cast<std::size_t>(n.to[b]);
        const double rest = n.elevation[to] - n.elevation[from] - sum(branch);
        if (std::abs(rest) < 1e-9) continue;
        const bool given = !std::isnan(nodes[from].elevation) && !std::isnan(nodes[to].elevation);
        double length = 0;
        for (const Element& e : branch.elements)
            if (const auto* pipe = std::get_if<Pipe>(&e.body)) length += pipe->length;
        if (!given || length == 0)
            throw NetworkError(
                {Code::rises_unequal, {}, {branch.name}, {{-rest, Quantity::length}}},
                {.branch = static_cast<int>(b)});
        for (Element& e : branch.elements)
            if (const auto* pipe = std::get_if<Pipe>(&e.body))
                e.rise += rest * pipe->length / length;
    }
}

void settle_reference(Network& n) {
    auto& nodes = n.description.nodes;
    const bool any_fixed = std::any_of(nodes.begin(), nodes.end(), [](const Node& node) {
        return node.kind == Node::Kind::fixed;
    });
    if (!any_fixed) nodes.front().kind = Node::Kind::fixed;
}

void check_graph(Network& n) {
    const auto& branches = n.description.branches;
    const auto& nodes = n.description.nodes;
    const auto all = groups(n, [](std::size_t) { return true; });
    for (std::size_t i = 0; i < nodes.size(); ++i)
        if (all[i] != all[0])
            throw NetworkError({Code::nodes_apart, {}, {nodes[i].name, nodes[0].name}},
                               {.node = static_cast<int>(i)});

    std::vector<int> open(nodes.size()), capped(nodes.size());
    for (std::size_t b = 0; b < n.branches(); ++b) {
        auto& count = branches[b].closed ? capped : open;
        ++count[static_cast<std::size_t>(n.from[b])];
        ++count[static_cast<std::size_t>(n.to[b])];
    }
    const auto may_end = [&](std::size_t i) {
        return nodes[i].kind != Node::Kind::junction || nodes[i].outlet;
    };
    std::size_t fixed = 0;
    for (std::size_t i = 0; i < nodes.size(); ++i) fixed += nodes[i].kind == Node::Kind::fixed;
    // Two reservoirs or more may feed and drain the network; one alone is a mere reference.
    const bool through = fixed > 1 || std::any_of(nodes.begin(), nodes.end(),
                                                  [](const Node& node) { return node.outlet; });
    for (std::size_t b = 0; b < n.branches(); ++b) {
        if (branches[b].closed) continue;
        for (const auto end :
             {static_cast<std::size_t>(n.from[b]), static_cast<std::size_t>(n.to[b])}) {
            if (open[end] + capped[end] == 1 && !may_end(end)) {
                throw NetworkError(
                    {has_pump(branches[b]) ? Code::deadhead_loose_end : Code::loose_end,
                     {},
                     {branches[b].name, nodes[end].name}},
                    {.branch = static_cast<int>(b), .node = static_cast<int>(end)});
            }
        }
    }

    // A pump delivers only if its branch lies on a loop of open branches, or between places
    // where flow can leave; seen by asking whether its ends still hang together without it.
    const auto outside = [&](const std::vector<std::int32_t>& label, std::int32_t group) {
        for (std::size_t i = 0; i < nodes.size(); ++i)
            if (label[i] == group && through &&
                (nodes[i].kind == Node::Kind::fixed || nodes[i].outlet))
                return true;
        return false;
    };
    bool pumped = false;
    for (std::size_t b = 0; b < n.branches(); ++b) {
        if (!has_pump(branches[b])) continue;
        if (branches[b].closed)
            throw NetworkError({Code::deadhead_capped, {}, {branches[b].name}},
                               {.branch = static_cast<int>(b)});
        pumped = true;
        const auto label =
            groups(n, [&](std::size_t other) { return other != b && !branches[other].closed; });
        const auto from = label[static_cast<std::size_t>(n.from[b])],
                   to = label[static_cast<std::size_t>(n.to[b])];
        if (from != to && !(outside(label, from) && outside(label, to)))
            throw NetworkError({Code::deadhead_no_way, {}, {branches[b].name}},
                               {.branch = static_cast<int>(b)});
    }
    for (const Branch& b : branches)
        for (const Element& pump : b.elements) {
            const auto* body = std::get_if<DisplacementPump>(&pump.body);
            if (body == nullptr || body->relief_pressure > 0) continue;
            for (const Element& valve : b.elements)
                if (const auto* v = std::get_if<Valve>(&valve.body); v && v->closed_area < 1e-12)
                    n.warnings.push_back({Code::no_relief, {}, {pump.name, valve.name}});
        }
    if (!pumped && !through && !n.description.pumpless)
        throw NetworkError({Code::no_pump, {}, {branches.front().name}}, {.branch = 0});
}

}  // namespace lapheat::hydraulics
