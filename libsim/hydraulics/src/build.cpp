// Lays a described network out flat. The checks of its sense are in check.cpp.
#include <algorithm>
#include <cmath>
#include <numbers>

#include "internal.hpp"
#include "lapheat/hydraulics/network.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {
namespace {

double circle(double diameter) { return std::numbers::pi / 4 * diameter * diameter; }

/// The flat entries of one element while they are made.
struct Entry {
    Network::Law law = Network::Law::simple;
    double laminar = 0, turbulent = 0, scale = 0, argument = 0, area = 0;
    const LossCurve* curve = nullptr;
};

struct Flatten {
    const LossCurve& pipe_of(double relative_roughness) {
        for (const auto& [roughness, curve] : pipes_)
            if (roughness == relative_roughness) return *curve;
        pipes_.emplace_back(relative_roughness,
                            std::make_unique<LossCurve>(pipe_curve(relative_roughness)));
        return *pipes_.back().second;
    }

    Entry operator()(const Pipe& p) {
        const double d = p.inner_diameter;
        return {.law = Network::Law::curve,
                .scale = p.length / (2 * d * d * d),
                .argument = 4 / (std::numbers::pi * d),
                .area = circle(d),
                .curve = &pipe_of(p.roughness / d)};
    }
    Entry operator()(const MinorLoss& f) const {
        const double a = circle(f.diameter);
        return {.laminar = f.laminar_coefficient / (2 * a * f.diameter),
                .turbulent = f.loss_coefficient / (2 * a * a),
                .area = a};
    }
    Entry operator()(const MeasuredLoss& m) const {
        return {
            .laminar = m.laminar_share * m.pressure_loss / (m.viscosity * m.flow),
            .turbulent = (1 - m.laminar_share) * m.pressure_loss / (m.density * m.flow * m.flow)};
    }
    Entry operator()(const CurveLoss& c) const {
        return {.law = Network::Law::curve,
                .scale = 1,
                .argument = 1,
                .area = circle(c.diameter),
                .curve = &c.curve};
    }
    Entry operator()(const Valve& v) const {
        return {.law = Network::Law::valve, .area = v.open_area};
    }
    Entry operator()(const CheckValve& v) const {
        const double a = circle(v.diameter);
        return {
            .law = Network::Law::check, .turbulent = v.loss_coefficient / (2 * a * a), .area = a};
    }
    Entry operator()(const CentrifugalPump&) const { return {.law = Network::Law::centrifugal}; }
    Entry operator()(const DisplacementPump&) const { return {.law = Network::Law::displacement}; }

  private:
    std::vector<std::pair<double, std::unique_ptr<LossCurve>>> pipes_;
};

/// Stores a curve's segments once, however many elements use it.
std::int64_t store(Network& n, const LossCurve& curve,
                   std::vector<std::pair<const LossCurve*, std::int64_t>>& stored) {
    for (const auto& [known, first] : stored)
        if (known == &curve) return first;
    const auto first = static_cast<std::int64_t>(n.segments.size());
    n.segments.insert(n.segments.end(), curve.segments.begin(), curve.segments.end());
    stored.emplace_back(&curve, first);
    return first;
}

}  // namespace

const Element& Network::element(std::size_t flat) const {
    const auto after = std::upper_bound(first_element.begin(), first_element.end(),
                                        static_cast<std::int32_t>(flat));
    const auto b = static_cast<std::size_t>(after - first_element.begin()) - 1;
    return description.branches[b].elements[flat - static_cast<std::size_t>(first_element[b])];
}

std::size_t Network::node(std::string_view name) const {
    for (std::size_t i = 0; i < nodes(); ++i)
        if (description.nodes[i].name == name) return i;
    throw Error("there is no node named " + std::string(name));
}

std::size_t Network::branch(std::string_view name) const {
    for (std::size_t i = 0; i < branches(); ++i)
        if (description.branches[i].name == name) return i;
    throw Error("there is no branch named " + std::string(name));
}

std::size_t Network::element(std::string_view branch_name, std::string_view name) const {
    const std::size_t b = branch(branch_name);
    const auto& parts = description.branches[b].elements;
    for (std::size_t i = 0; i < parts.size(); ++i)
        if (parts[i].name == name) return static_cast<std::size_t>(first_element[b]) + i;
    throw Error("branch " + std::string(branch_name) + " has no part named " + std::string(name));
}

Network build(NetworkDescription description) {
    Network n;
    n.description = std::move(description);
    settle_nodes(n);
    check_parts(n);
    settle_rises(n);
    check_graph(n);
    settle_reference(n);

    Flatten flatten;
    std::vector<std::pair<const LossCurve*, std::int64_t>> stored;
    for (const Branch& branch : n.description.branches) {
        n.first_element.push_back(static_cast<std::int32_t>(n.law.size()));
        n.branch_closed.push_back(branch.closed);
        double area = 0;
        for (const Element& element : branch.elements) {
            const Entry e = std::visit(flatten, element.body);
            n.law.push_back(e.law);
            n.laminar.push_back(e.laminar);
            n.turbulent.push_back(e.turbulent);
            n.rise.push_back(element.rise);
            n.curve_scale.push_back(e.scale);
            n.curve_argument.push_back(e.argument);
            n.curve_first.push_back(e.curve ? store(n, *e.curve, stored) : 0);
            n.curve_count.push_back(e.curve ? static_cast<std::int64_t>(e.curve->segments.size())
                                            : 0);
            n.curve_base.push_back(e.curve ? e.curve->base : 0);
            if (e.area > 0) area = area > 0 ? std::min(area, e.area) : e.area;
        }
        n.nominal_area.push_back(area > 0 ? area : 1e-4);
    }
    n.first_element.push_back(static_cast<std::int32_t>(n.law.size()));
    return n;
}

}  // namespace lapheat::hydraulics
