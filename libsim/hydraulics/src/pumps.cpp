#include "lapheat/hydraulics/pumps.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "lapheat/solve/matrix.hpp"
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {

PumpFit fit_pump(std::span<const PumpPoint> points, double density, double speed) {
    if (!(density > 0 && speed > 0) || points.size() < 2)
        throw Error("a pump curve needs two points, a density and a speed",
                    "two or more points of flow and pressure, density and speed above zero");
    double widest = 0, highest = 0;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const PumpPoint& p = points[i];
        if (!(p.flow >= 0 && std::isfinite(p.pressure_rise)))
            throw Error("a pump curve's flow is negative or not a number", "flows of zero or more");
        for (std::size_t j = 0; j < i; ++j)
            if ((p.flow - points[j].flow) * (p.pressure_rise - points[j].pressure_rise) >= 0)
                throw Error(
                    "a pump curve does not fall: two of its points have the same flow, or "
                    "pressure that grows with flow",
                    "pressure that falls as flow grows; leave out the drooping part near "
                    "shut-off, where a pump does not run steadily");
        widest = std::max(widest, p.flow);
        highest = std::max(highest, p.pressure_rise);
    }
    if (!(highest > 0)) throw Error("a pump curve gives no pressure", "pressures above zero");
    // Every way to leave out the flow terms; the best whose coefficients are not negative.
    std::vector<double> rise;
    for (const PumpPoint& p : points) rise.push_back(p.pressure_rise / highest);
    PumpFit best{.pump = {}, .worst_error = std::numeric_limits<double>::infinity()};
    double least = best.worst_error;
    for (const int terms : {1, 2, 3}) {  // bit 0: linear, bit 1: quadratic
        const auto columns = static_cast<std::size_t>(1 + (terms & 1) + (terms >> 1));
        if (columns > rise.size()) continue;
        solve::Matrix a(rise.size(), columns);
        for (std::size_t i = 0; i < rise.size(); ++i) {
            const double q = points[i].flow / widest;
            a(i, 0) = 1;
            if (terms & 1) a(i, 1) = -q;
            if (terms & 2) a(i, columns - 1) = -q * q;
        }
        const std::vector<double> c = solve::linear_least_squares(a, rise), made = a * c;
        double squares = 0, worst = 0;
        for (std::size_t i = 0; i < rise.size(); ++i) {
            const double miss = std::abs(made[i] - rise[i]);
            squares += miss * miss;
            worst = std::max(worst, miss);
        }
        if (std::ranges::min(c) < 0 || !(squares < least)) continue;
        least = squares;
        const double energy = highest / density;
        best.pump = {.shutoff = c[0] * energy / (speed * speed),
                     .linear = terms & 1 ? c[1] * energy / (speed * widest) : 0,
                     .quadratic = terms & 2 ? c[columns - 1] * energy / (widest * widest) : 0};
        best.worst_error = worst / c[0];
    }
    return best;
}

CentrifugalPump parabolic_pump(double shutoff_pressure, double free_flow, double density,
                               double speed) {
    if (!(shutoff_pressure > 0 && free_flow > 0 && density > 0 && speed > 0))
        throw Error("a pump needs a shut-off pressure, a free flow, a density and a speed",
                    "all above zero");
    const double energy = shutoff_pressure / density;
    return {.shutoff = energy / (speed * speed),
            .linear = 0,
            .quadratic = energy / (free_flow * free_flow)};
}

double pressure_rise(const CentrifugalPump& pump, double density, double speed, double flow) {
    return solve::perturbed(solve::Relation::pump_affinity,
                            density * (pump.shutoff * speed * speed - pump.linear * speed * flow -
                                       pump.quadratic * flow * std::abs(flow)));
}

double npsh_required(const SuctionNeed& need, double speed, double flow) {
    const double fast = speed / need.speed, full = flow / need.flow;
    return need.still * fast * fast + (need.at_flow - need.still) * full * full;
}

double npsh_available(double inlet_pressure, double vapour_pressure, double density,
                      double inlet_velocity) {
    return (inlet_pressure - vapour_pressure) / (density * constants::gravity) +
           inlet_velocity * inlet_velocity / (2 * constants::gravity);
}

double leakage_from_efficiency(double displacement, double speed, double pressure, double viscosity,
                               double volumetric_efficiency) {
    if (!(displacement > 0 && speed > 0 && pressure > 0 && viscosity > 0 &&
          volumetric_efficiency > 0 && volumetric_efficiency < 1))
        throw Error(
            "a pump's leakage needs displacement, speed, pressure and viscosity above zero "
            "and an efficiency between 0 and 1",
            "a volumetric efficiency such as 0.9 with the state it was measured at");
    return (1 - volumetric_efficiency) * displacement * speed * viscosity / pressure;
}

}  // namespace lapheat::hydraulics
