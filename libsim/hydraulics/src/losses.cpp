// Pressure lost in single elements, for reports: the same laws as the sweep of the solver, one
// element at a time and without allocation.
#include <cmath>
#include <lapheat/solve/relation.hpp>
#include <limits>

#include "lapheat/hydraulics/solver.hpp"
#include "prepare.hpp"

namespace lapheat::hydraulics {

double element_loss(const Network& n, std::size_t e, double density, double viscosity,
                    double control, double m) {
    const double size = std::abs(m), sign = m < 0 ? -1.0 : 1.0;
    const auto quadratic = [&](double c) {
        if (size >= creeping) return c * m * size;
        const double part = size / creeping;
        return 0.5 * c * creeping * m * (1 + part * part);
    };
    using Law = Network::Law;
    switch (n.law[e]) {
        case Law::simple:
            return n.laminar[e] * viscosity / density * m + quadratic(n.turbulent[e] / density);
        case Law::curve:
            return sign * n.curve_scale[e] * viscosity * viscosity / density *
                   evaluate(n.segments.data() + n.curve_first[e], n.curve_count[e], n.curve_base[e],
                            n.curve_argument[e] / viscosity * size)
                       .value;
        case Law::valve: {
            const auto& valve = std::get<Valve>(n.element(e).body);
            const double opening = valve.reversed ? 1 - control : control;
            const double area = valve.closed_area + opening * (valve.open_area - valve.closed_area);
            return area < 1e-12 ? 0.0
                                : quadratic(0.5 / density * valve.loss_coefficient / (area * area));
        }
        case Law::check: {
            const auto& valve = std::get<CheckValve>(n.element(e).body);
            const double spring =
                m > 0 && valve.cracking_pressure > 0
                    ? valve.cracking_pressure * m / (m + density * valve.cracking_flow)
                    : 0.0;
            return quadratic(n.turbulent[e] / density) + spring +
                   (m < 0 ? m / valve.reverse_leak : 0.0);
        }
        case Law::centrifugal: {
            const auto& pump = std::get<CentrifugalPump>(n.element(e).body);
            return solve::perturbed(solve::Relation::pump_affinity,
                                    quadratic(pump.quadratic / density) +
                                        m * pump.linear * control -
                                        density * pump.shutoff * control * control);
        }
        case Law::displacement:
            return -pump_line(delivery(std::get<DisplacementPump>(n.element(e).body), control,
                                       density, viscosity),
                              m)
                        .value;
    }
    return std::numeric_limits<double>::quiet_NaN();
}

void element_losses(const Network& network, const Inputs& inputs, const Flow& flow,
                    std::span<double> out) {
    for (std::size_t b = 0; b < network.branches(); ++b)
        for (auto e = static_cast<std::size_t>(network.first_element[b]);
             e < static_cast<std::size_t>(network.first_element[b + 1]); ++e)
            out[e] = element_loss(network, e, inputs.density[e], inputs.viscosity[e],
                                  inputs.control[e], flow.mass_flow[b]);
}

}  // namespace lapheat::hydraulics
