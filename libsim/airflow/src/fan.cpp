#include <lapheat/airflow/fan.hpp>

#include <algorithm>
#include <cmath>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

/// Slopes of a monotone cubic (Fritsch & Carlson 1980, with Brodlie's weighted harmonic mean):
/// zero at every local extreme, so extremes of the curve are points of the table.
void monotone_slopes(FanCurve& curve) {
    const auto& q = curve.flow;
    const auto& p = curve.pressure;
    const std::size_t n = q.size();
    std::vector<double> chord(n - 1);
    for (std::size_t i = 0; i + 1 < n; ++i) chord[i] = (p[i + 1] - p[i]) / (q[i + 1] - q[i]);
    curve.slope.assign(n, 0);
    curve.slope.front() = chord.front();
    curve.slope.back() = chord.back();
    for (std::size_t i = 1; i + 1 < n; ++i) {
        if (chord[i - 1] * chord[i] <= 0) continue;
        const double left = q[i] - q[i - 1], right = q[i + 1] - q[i];
        const double weight = (left + 2 * right) / (3 * (left + right));
        curve.slope[i] =
            chord[i - 1] * chord[i] / (weight * chord[i] + (1 - weight) * chord[i - 1]);
    }
}

void find_stall(FanCurve& curve) {
    const auto& p = curve.pressure;
    const std::size_t n = p.size();
    curve.peak_right.assign(n - 1, 0);
    curve.dip_left.assign(n - 1, 0);
    double peak = p.back(), dip = p.front();
    for (std::size_t i = n - 1; i-- > 0;) {
        peak = std::max(peak, p[i + 1]);
        curve.peak_right[i] = peak;
    }
    for (std::size_t i = 0; i + 1 < n; ++i) {
        dip = std::min(dip, p[i]);
        curve.dip_left[i] = dip;
    }
    std::size_t last_peak = 0;
    for (std::size_t i = 1; i < n; ++i)
        if (p[i] > p[i - 1]) last_peak = i;
    if (last_peak == 0) return;
    const auto lowest = std::min_element(p.begin(), p.begin() + static_cast<long>(last_peak));
    curve.stall_flow = curve.flow[last_peak];
    curve.dip_pressure = *lowest;
    curve.dip_flow = curve.flow[static_cast<std::size_t>(lowest - p.begin())];
}

/// The table's cubic at x = Q / n, clipped as the reading asks. Slope is by x.
FanPressure inside(const FanCurve& curve, double x, CurveReading reading, double level,
                   bool as_it_is) {
    if (reading == CurveReading::constant && !as_it_is) {
        const FanPressure upper = inside(curve, x, CurveReading::upper, 0, false);
        return upper.rise > level ? FanPressure{level, 0} : upper;
    }
    const auto& q = curve.flow;
    std::size_t i = 0;
    while (i + 2 < q.size() && x > q[i + 1]) ++i;
    const double width = q[i + 1] - q[i];
    const double t = (x - q[i]) / width;
    const double p0 = curve.pressure[i], p1 = curve.pressure[i + 1];
    const double d0 = curve.slope[i] * width, d1 = curve.slope[i + 1] * width;
    const double c2 = 3 * (p1 - p0) - 2 * d0 - d1, c3 = 2 * (p0 - p1) + d0 + d1;
    FanPressure value{p0 + t * (d0 + t * (c2 + t * c3)), (d0 + t * (2 * c2 + 3 * t * c3)) / width};
    if (as_it_is) return value;
    if (reading == CurveReading::upper && value.rise < curve.peak_right[i])
        return {curve.peak_right[i], 0};
    if (reading == CurveReading::lower && value.rise > curve.dip_left[i])
        return {curve.dip_left[i], 0};
    return value;
}

FanPressure pressure(const Fan& fan, double flow, double speed, double density,
                     CurveReading reading, double level, bool as_it_is) {
    const FanCurve& curve = fan.curve;
    const double per_density = density / curve.reference_density;
    const double area2 = 2 * fan.disc_area * fan.disc_area;
    const double k = fan.freewheel_loss * curve.reference_density / area2;
    const double end = curve.flow.back() * speed;
    FanPressure value;
    if (flow < 0) {
        const double start =
            reading == CurveReading::constant && !as_it_is ? level : curve.pressure.front();
        const double top = reading == CurveReading::upper && !as_it_is
                               ? std::max(start, curve.peak_right.front())
                               : start;
        const double slope = std::min(0.0, curve.slope.front());
        value = {speed * speed * top + speed * slope * flow + k * flow * flow,
                 speed * slope + 2 * k * flow};
    } else if (flow > end || speed <= 0) {
        const double over = flow - end;
        const double slope = curve.slope.back();
        value = {speed * speed * curve.pressure.back() + speed * slope * over - k * over * over,
                 speed * slope - 2 * k * over};
    } else {
        const FanPressure table = inside(curve, flow / speed, reading, level, as_it_is);
        value = {solve::perturbed(solve::Relation::fan_affinity, speed * speed) * table.rise,
                 speed * table.slope};
    }
    // Without drive the rotor stands until the stream overcomes cogging and brushes; from there
    // on that torque, and the loss it stands for, stays about constant. Faded out over the first
    // tenth of full speed, so that switching on is continuous.
    const double standing = std::max(0.0, 1 - speed / 0.1);
    if (standing > 0 && fan.locked_loss > fan.freewheel_loss) {
        const double scale = (fan.locked_loss - fan.freewheel_loss) * curve.reference_density /
                             area2 * standing * standing;
        const double start = fan.windmill_velocity * fan.disc_area;
        const double ratio = 1 / (1 + flow * flow / (start * start));
        value.rise -= scale * flow * std::abs(flow) * ratio;
        value.slope -= 2 * scale * std::abs(flow) * ratio * ratio;
    }
    return {value.rise * per_density, value.slope * per_density};
}

}  // namespace

FanCurve fan_curve(std::span<const double> flow, std::span<const double> pressure,
                   std::span<const double> power, double reference_density) {
    if (flow.size() < 2 || pressure.size() != flow.size())
        throw Error("a fan curve needs at least two points of flow and pressure",
                    "as many pressures as flows, two or more");
    if (!power.empty() && power.size() != flow.size())
        throw Error("a fan curve's power needs one value per point", "as many powers as flows");
    if (flow.front() != 0)
        throw Error("a fan curve starts at zero flow", "the shut-off pressure at flow 0");
    for (std::size_t i = 0; i < flow.size(); ++i) {
        if (!std::isfinite(flow[i]) || !std::isfinite(pressure[i]) || pressure[i] < 0 ||
            (i > 0 && flow[i] <= flow[i - 1]))
            throw Error("a fan curve's flows must rise and its pressures not be negative",
                        "flow rising, pressure >= 0");
        if (pressure[i] < pressure.back())
            throw Error("a fan curve must end at its lowest pressure", "free flow as last point");
        if (!power.empty() && !(power[i] >= 0))
            throw Error("a fan's power must not be negative", ">= 0 W");
    }
    if (!(pressure[pressure.size() - 2] > pressure.back()) || !(reference_density > 0))
        throw Error("a fan curve must fall towards its last point, at a positive density",
                    "last pressure below the one before, density > 0");
    FanCurve curve;
    curve.flow.assign(flow.begin(), flow.end());
    curve.pressure.assign(pressure.begin(), pressure.end());
    curve.power.assign(power.begin(), power.end());
    curve.reference_density = reference_density;
    monotone_slopes(curve);
    find_stall(curve);
    return curve;
}

FanCurve fan_curve(double free_flow, double shut_off_pressure, double shape,
                   double reference_density) {
    if (!(free_flow > 0) || !(shut_off_pressure > 0) || !(shape >= 0) || shape > 1)
        throw Error("a fan curve by two points needs free flow and shut-off pressure above zero",
                    "free_flow > 0, shut_off_pressure > 0, 0 <= shape <= 1");
    constexpr int points = 9;
    std::vector<double> flow, pressure;
    for (int i = 0; i < points; ++i) {
        const double x = i / (points - 1.0);
        flow.push_back(free_flow * x);
        pressure.push_back(solve::perturbed(solve::Relation::fan_curve,
                                            shut_off_pressure * (1 - x) * (1 + shape * x)));
    }
    return fan_curve(flow, pressure, {}, reference_density);
}

Fan at_levels(Fan fan) {
    if (fan.flow_level.value != 1 && !fan.curve.flow.empty()) {
        std::vector<double> flow = fan.curve.flow;
        for (double& q : flow) q *= fan.flow_level.value;
        fan.curve =
            fan_curve(flow, fan.curve.pressure, fan.curve.power, fan.curve.reference_density);
    }
    fan.flow_level = exact_level;
    return fan;
}

FanPressure fan_pressure(const Fan& fan, double flow, double speed, double density) {
    return pressure(fan, flow, speed, density, CurveReading::upper, 0, true);
}

FanPressure fan_pressure(const Fan& fan, double flow, double speed, double density,
                         CurveReading reading, double level) {
    return pressure(fan, flow, speed, density, reading, level, false);
}

double fan_load(const Fan& fan, double flow, double speed) {
    const FanCurve& curve = fan.curve;
    if (curve.power.empty() || speed <= 0 || !(fan.rated_power > 0)) return 1;
    return solve::between(curve.flow, curve.power, std::max(0.0, flow / speed)) / fan.rated_power;
}

FanPoint fan_point(const Fan& fan, double flow, double speed, double density,
                   double supply_voltage) {
    const FanCurve& curve = fan.curve;
    FanPoint point;
    point.speed = speed;
    point.flow = flow;
    point.mass_flow = flow * density;
    point.rise = fan_pressure(fan, flow, speed, density).rise;
    point.air_power = point.rise * flow;
    point.reversed = flow < 0;
    if (speed <= 0) {
        point.windmilling = std::abs(flow) > fan.windmill_velocity * fan.disc_area;
        return point;
    }
    const double x = flow / speed;
    point.stalled = x < curve.stall_flow;
    point.overblown = point.rise < 0;
    const double power = fan.rated_power * fan_load(fan, flow, speed);
    point.electrical_power = power * speed * speed * speed * density / curve.reference_density;
    point.current = supply_voltage > 0 ? point.electrical_power / supply_voltage : 0;
    return point;
}

}  // namespace lapheat::airflow
