#include "prepare.hpp"

#include <algorithm>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/constants.hpp>
#include <limits>

namespace lapheat::hydraulics {
namespace {

/// Pa/(kg/s) of a branch whose parts cost nothing at all: too little to be told from nothing, and
/// enough for the flow through it to have one answer.
constexpr double least_resistance = 1;

void add_quadratic(Terms& t, double coefficient) {
    for (int way : {0, 1}) t.quadratic[way] += coefficient;
}
void add_linear(Terms& t, double coefficient) {
    for (int way : {0, 1}) t.linear[way] += coefficient;
}

}  // namespace

PumpLine delivery(const DisplacementPump& pump, double speed, double density, double viscosity) {
    double flow = pump.displacement * speed;
    if (pump.controlled_flow > 0) flow = std::min(flow, pump.controlled_flow);
    const double leak = pump.leakage / viscosity;  // m³/(s Pa)
    PumpLine d{};
    d.flow = density * flow;
    d.slope = 1 / (density * leak);
    d.relief_flow = -std::numeric_limits<double>::infinity();
    if (pump.relief_pressure > 0) {
        double rated = pump.rated_flow;
        if (rated == 0) rated = pump.controlled_flow;
        if (rated == 0) rated = 100 * pump.displacement;
        d.relief_flow = density * (flow - leak * pump.relief_pressure);
        d.relief_pressure = pump.relief_pressure;
        // What does not spill still leaks: both share the pressure's rise above relief.
        const double spill = rated / (pump.relief_override * pump.relief_pressure);
        d.relief_slope = 1 / (density * (leak + spill));
    }
    return d;
}

void reserve(PreparedNetwork& p, const Network& n) {
    const auto count = [&](Network::Law law) {
        return static_cast<std::size_t>(std::count(n.law.begin(), n.law.end(), law));
    };
    p.terms.reserve(n.branches());
    p.passages.reserve(count(Network::Law::curve));
    p.deliveries.reserve(count(Network::Law::displacement));
    p.springs.reserve(count(Network::Law::check));
}

bool prepare(PreparedNetwork& p, const Network& n, const Inputs& inputs) {
    p.terms.clear();
    p.passages.clear();
    p.deliveries.clear();
    p.springs.clear();
    if (inputs.density.size() < n.elements() || inputs.viscosity.size() < n.elements() ||
        inputs.control.size() < n.elements())
        return false;
    bool good = true;
    for (std::size_t b = 0; b < n.branches(); ++b) {
        Terms t{};
        t.open = !n.branch_closed[b];
        t.passages = static_cast<std::int32_t>(p.passages.size());
        t.deliveries = static_cast<std::int32_t>(p.deliveries.size());
        t.springs = static_cast<std::int32_t>(p.springs.size());
        const auto end = static_cast<std::size_t>(n.first_element[b + 1]);
        for (auto e = static_cast<std::size_t>(n.first_element[b]); e < end; ++e) {
            const double density = inputs.density[e], viscosity = inputs.viscosity[e];
            good = good && density > 0 && viscosity > 0 && std::isfinite(density + viscosity);
            const double volume = 1 / density;
            t.constant += density * constants::gravity * n.rise[e];
            add_linear(t, n.laminar[e] * viscosity * volume);
            add_quadratic(t, n.turbulent[e] * volume);
            if (n.law[e] == Network::Law::simple) continue;
            if (n.law[e] == Network::Law::curve) {
                p.passages.push_back({n.curve_scale[e] * viscosity * viscosity * volume,
                                      n.curve_argument[e] / viscosity,
                                      n.segments.data() + n.curve_first[e], n.curve_count[e],
                                      n.curve_base[e]});
                continue;
            }
            const double control = inputs.control[e];
            const auto place = e - static_cast<std::size_t>(n.first_element[b]);
            const ElementBody& body = n.description.branches[b].elements[place].body;
            if (n.law[e] == Network::Law::valve) {
                const auto& valve = std::get<Valve>(body);
                const double opening = valve.reversed ? 1 - control : control;
                const double area =
                    valve.closed_area + opening * (valve.open_area - valve.closed_area);
                good = good && std::isfinite(control);
                if (area < 1e-12)
                    t.open = false;
                else
                    add_quadratic(t, 0.5 * volume * valve.loss_coefficient / (area * area));
            } else if (n.law[e] == Network::Law::check) {
                const auto& valve = std::get<CheckValve>(body);
                t.linear[1] += 1 / valve.reverse_leak;
                if (valve.cracking_pressure > 0)
                    p.springs.push_back({valve.cracking_pressure, density * valve.cracking_flow});
            } else if (n.law[e] == Network::Law::centrifugal) {
                const auto& pump = std::get<CentrifugalPump>(body);
                good = good && control >= 0 && std::isfinite(control);
                constexpr auto affinity = solve::Relation::pump_affinity;
                t.constant -=
                    solve::perturbed(affinity, density * pump.shutoff * control * control);
                add_linear(t, solve::perturbed(affinity, pump.linear * control));
                add_quadratic(t, solve::perturbed(affinity, pump.quadratic * volume));
            } else {
                good = good && control >= 0 && std::isfinite(control);
                p.deliveries.push_back(
                    delivery(std::get<DisplacementPump>(body), control, density, viscosity));
            }
        }
        t.passages_end = static_cast<std::int32_t>(p.passages.size());
        t.deliveries_end = static_cast<std::int32_t>(p.deliveries.size());
        t.springs_end = static_cast<std::int32_t>(p.springs.size());
        const bool costs_nothing = t.linear[0] + t.quadratic[0] == 0 &&
                                   t.passages == t.passages_end && t.deliveries == t.deliveries_end;
        if (costs_nothing) add_linear(t, least_resistance);
        p.terms.push_back(t);
    }
    return good;
}

}  // namespace lapheat::hydraulics
