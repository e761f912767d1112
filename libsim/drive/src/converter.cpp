#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/converter.hpp>
#include <lapheat/solve/relation.hpp>
#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::drive {

namespace {

// Cho & Hedrick (1989), after Kotwicki (1982), from memory: pump torque in the converter phase
// 3.4325e-3 wp^2 + 2.2210e-3 wp wt - 4.6041e-3 wt^2 and, past the coupling point,
// -6.7644e-3 wp^2 + 32.0084e-3 wp wt - 25.2441e-3 wt^2. Only the shape over that at stall is used.
double capacity_shape(double nu) {
    if (nu <= 0.88) return (3.4325 + 2.2210 * nu - 4.6041 * nu * nu) / 3.4325;
    // The coupling branch, shifted by its tiny remainder so that it ends at zero.
    return (-6.7644 + 32.0084 * nu - 25.2441 * nu * nu) / 3.4325 + 0.0001 / 3.4325;
}

double turbine_capacity(const Converter& c, std::size_t k) {
    return c.pump_capacity[k] * c.torque_ratio[k];
}

}  // namespace

Converter generic_converter(double stall_speed, double stall_torque, double stall_torque_ratio,
                            double coupling_point) {
    if (!(stall_speed > 0) || !(stall_torque > 0))
        throw Error("the converter's stall speed and stall torque must be positive",
                    "stall_speed in rad/s and stall_torque in N m above 0", {}, "stall_speed");
    if (!(stall_torque_ratio >= 1.0 && stall_torque_ratio <= 3.0))
        throw Error(
            "stall torque ratio " + fmt::format("{:.6g}", stall_torque_ratio) + " is out of range",
            "1 to 3", {}, "stall_torque_ratio");
    if (!(coupling_point >= 0.7 && coupling_point <= 0.95))
        throw Error("coupling point " + fmt::format("{:.6g}", coupling_point) + " is out of range",
                    "0.7 to 0.95", {}, "coupling_point");
    const double c0 = stall_torque / (stall_speed * stall_speed);
    Converter out;
    out.speed_ratio = {0,    0.1,  0.2,  0.3,  0.4,  0.5,  0.6,  0.7,  0.75,
                       0.80, 0.84, 0.88, 0.90, 0.92, 0.94, 0.96, 0.98, 1};
    for (const double nu : out.speed_ratio) {
        // The value at stall is the file's, the rest the relation's.
        const double capacity = c0 * capacity_shape(nu);
        out.pump_capacity.push_back(
            nu >= 1  ? 0.0
            : nu > 0 ? solve::perturbed(solve::Relation::converter_capacity, capacity)
                     : capacity);
        out.torque_ratio.push_back(solve::perturbed(
            solve::Relation::converter_torque,
            std::max(1.0, stall_torque_ratio - (stall_torque_ratio - 1) * nu / coupling_point)));
    }
    // Half the slope of the coupling branch at speed ratio 1: the blades stand the wrong way round
    // when the turbine pumps (common practice, no source).
    out.overrun_capacity = 0.5 * c0 * (2 * 25.2441 - 32.0084) / 3.4325;
    return out;
}

Converter converter_from_table(const std::vector<double>& speed_ratio,
                               const std::vector<double>& torque_ratio,
                               const std::vector<double>& capacity_factor) {
    const std::size_t n = speed_ratio.size();
    if (n < 3 || torque_ratio.size() != n || capacity_factor.size() != n)
        throw Error("a converter's table needs three columns of equal length",
                    "at least 3 rows of speed ratio, torque ratio, capacity factor", {},
                    "speed_ratio");
    Converter out;
    for (std::size_t k = 0; k < n; ++k) {
        if (speed_ratio[k] >= 1) break;
        if (!(capacity_factor[k] > 0))
            throw Error(fmt::format("row {}: the capacity factor must be positive", k + 1),
                        "rad/s per sqrt(N m)", {}, "table");
        out.speed_ratio.push_back(speed_ratio[k]);
        out.torque_ratio.push_back(torque_ratio[k]);
        out.pump_capacity.push_back(1 / (capacity_factor[k] * capacity_factor[k]));
    }
    if (out.speed_ratio.empty())
        throw Error("a converter's table must begin below speed ratio 1", "0 in the first row", {},
                    "speed_ratio");
    out.overrun_capacity =
        0.5 * out.pump_capacity.back() / std::max(1 - out.speed_ratio.back(), 0.02);
    out.speed_ratio.push_back(1);
    out.torque_ratio.push_back(1);
    out.pump_capacity.push_back(0);
    out.capacity_level = {1, 0.95, 1.05, "a maker's table; common practice, no source"};
    validate(out);
    return out;
}

Converter at_levels(Converter converter) {
    for (double& c : converter.pump_capacity) c *= converter.capacity_level.value;
    converter.overrun_capacity *= converter.capacity_level.value;
    converter.capacity_level = exact_level;
    return converter;
}

void validate(const Converter& c) {
    const std::size_t n = c.speed_ratio.size();
    if (n < 3 || c.pump_capacity.size() != n || c.torque_ratio.size() != n)
        throw Error("the converter's table is short or its columns differ in length",
                    "at least 3 rows of speed ratio, pump capacity and torque ratio", {},
                    "speed_ratio");
    if (c.speed_ratio.front() != 0 || c.speed_ratio.back() != 1)
        throw Error("the converter's table must run from speed ratio 0 to 1", "0 ... 1", {},
                    "speed_ratio");
    if (c.pump_capacity.back() != 0)
        throw Error("the converter's capacity must be 0 at speed ratio 1", "0", {},
                    "pump_capacity");
    if (!(c.overrun_capacity > 0))
        throw Error("the converter's overrun capacity must be positive", "N m s^2 above 0", {},
                    "overrun_capacity");
    for (std::size_t k = 0; k + 1 < n; ++k) {
        const std::string row = fmt::format("row {}: ", k + 1);
        if (!(c.speed_ratio[k + 1] > c.speed_ratio[k]))
            throw Error(row + "the converter's speed ratio does not ascend",
                        "ascending from 0 to 1", {}, "table");
        if (!(c.pump_capacity[k] > 0))
            throw Error(row + "the converter's capacity must be positive", "N m s^2", {},
                        "pump_capacity");
        if (!(c.torque_ratio[k] >= c.torque_ratio[k + 1] && c.torque_ratio[k + 1] >= 1))
            throw Error(row + "the torque ratio must fall and not go below 1", "e.g. 2.0 ... 1.0",
                        {}, "table");
        // d/nu^2 must fall all along the piece d = alpha + s nu: 2 alpha/nu + s > 0 at its end.
        const double nu0 = c.speed_ratio[k], nu1 = c.speed_ratio[k + 1];
        const double s = (turbine_capacity(c, k + 1) - turbine_capacity(c, k)) / (nu1 - nu0);
        const double alpha = turbine_capacity(c, k) - s * nu0;
        if (!(2 * alpha + s * nu1 > 0))
            throw Error(row + "turbine torque would fall as the pump speeds up",
                        "pump capacity times torque ratio that does not rise steeply", {},
                        "pump_capacity");
    }
}

ConverterPoint converter_at(const Converter& c, double pump_speed, double turbine_speed) {
    if (turbine_speed >= pump_speed) {
        const double torque = -c.overrun_capacity * (turbine_speed - pump_speed) * turbine_speed;
        return {pump_speed, turbine_speed, torque, torque};
    }
    const double nu = turbine_speed / pump_speed;
    std::size_t k = 0;
    while (c.speed_ratio[k + 1] < nu) ++k;
    const double part = (nu - c.speed_ratio[k]) / (c.speed_ratio[k + 1] - c.speed_ratio[k]);
    const double square = pump_speed * pump_speed;
    const double d0 = turbine_capacity(c, k), d1 = turbine_capacity(c, k + 1);
    return {pump_speed, turbine_speed,
            (c.pump_capacity[k] + part * (c.pump_capacity[k + 1] - c.pump_capacity[k])) * square,
            (d0 + part * (d1 - d0)) * square};
}

ConverterPoint converter_for_torque(const Converter& c, double turbine_torque,
                                    double turbine_speed) {
    if (turbine_torque <= 0) {
        if (turbine_speed <= 0) return {};
        const double pump_speed =
            std::max(0.0, turbine_speed + turbine_torque / (c.overrun_capacity * turbine_speed));
        return converter_at(c, pump_speed, turbine_speed);
    }
    // The piece whose end gives less than the torque asked: d(nu) (w_t/nu)^2 falls with nu.
    const double square = turbine_speed * turbine_speed;
    std::size_t k = 0;
    while (turbine_capacity(c, k + 1) * square >
           turbine_torque * c.speed_ratio[k + 1] * c.speed_ratio[k + 1])
        ++k;
    const double nu0 = c.speed_ratio[k], nu1 = c.speed_ratio[k + 1];
    const double d0 = turbine_capacity(c, k);
    const double s = (turbine_capacity(c, k + 1) - d0) / (nu1 - nu0);
    const double alpha = d0 - s * nu0;
    const double b = s * turbine_speed;
    const double root = std::sqrt(b * b + 4 * alpha * turbine_torque);
    const double pump_speed = b < 0 ? (root - b) / (2 * alpha) : 2 * turbine_torque / (b + root);
    const double nu = turbine_speed / pump_speed;
    const double part = (nu - nu0) / (nu1 - nu0);
    const double c0 = c.pump_capacity[k];
    return {pump_speed, turbine_speed,
            (c0 + part * (c.pump_capacity[k + 1] - c0)) * pump_speed * pump_speed, turbine_torque};
}

}  // namespace lapheat::drive
