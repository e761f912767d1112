// A stack of two cores solved finely in two dimensions (stream by width): what the columns of the
// air path leave out is the sideways flow in the gap between the cores, and here it is.
//
// Cells across the width; each has the front core (or none), the gap, the rear core. Sideways in
// the gap: momentum with wall friction, air entering from the front without sideways momentum and
// leaving through the rear core with what it has. Written for the checks only; explicit, slow.
#pragma once

#include <algorithm>
#include <cmath>
#include <functional>
#include <vector>

namespace lapheat::validation {

struct FineStack {
    double width = 0.65, height = 0.42;  // m
    double from = 0.15, to = 0.45;       // m, the front core's edges
    double gap = 0;                      // m; 0: sealed columns
    double front_pressure = 200;         // Pa over the space behind the rear core
    double density = 1.2;
    std::function<double(double)> front_drop, rear_drop;  // Pa of a mass flux kg/(s m^2)
    double front_temperature = 370, rear_temperature = 360, air_temperature = 300;  // K
    double front_units = 1.0, rear_units = 1.2;  // transfer units at 3 kg/(s m^2), ~ flux^-0.5
    int cells = 65;
};

struct FineResult {
    double front_flow = 0, rear_flow = 0;  // kg/s
    double front_heat = 0, rear_heat = 0;  // W
};

inline double transfer_effectiveness(double units, double flux) {
    return flux > 0 ? 1 - std::exp(-units * std::sqrt(3 / flux)) : 0;
}

inline double flux_of(const std::function<double(double)>& drop, double pressure) {
    const double size = std::abs(pressure);
    double low = 0, high = 1;
    while (drop(high) < size) high *= 2;
    for (int i = 0; i < 44; ++i) {
        const double middle = (low + high) / 2;
        (drop(middle) < size ? low : high) = middle;
    }
    return std::copysign((low + high) / 2, pressure);
}

inline FineResult solve_fine(const FineStack& s) {
    const int n = s.cells;
    const double dy = s.width / n;
    const auto covered = [&](int j) {
        const double y = (j + 0.5) * dy;
        return y > s.from && y < s.to;
    };
    // The rear core's flux against gap pressure, and the front core's, tabulated once.
    constexpr int points = 4000;
    const double top = 2 * s.front_pressure, step = top / points;
    std::vector<double> rear(points + 1), front(points + 1);
    for (int i = 0; i <= points; ++i) {
        rear[i] = flux_of(s.rear_drop, i * step);
        front[i] = flux_of(s.front_drop, i * step);
    }
    const auto read = [&](const std::vector<double>& table, double p) {
        const double x = std::min(std::abs(p) / step, points - 1e-9);
        const int i = static_cast<int>(x);
        return std::copysign(table[i] + (x - i) * (table[i + 1] - table[i]), p);
    };
    std::vector<double> p(n, s.front_pressure / 2), in(n), out(n), q(n + 1, 0.0);
    bool known = false;
    const auto balance = [&](int j) {
        const double spread = (q[j + 1] - q[j]) / dy;  // leaves sideways, kg/(s m^2)
        if (!covered(j)) {
            p[j] = s.front_pressure;
            out[j] = read(rear, p[j]);
            in[j] = out[j] + spread;
            return;
        }
        // Near the last answer once that is known.
        const double reach = known ? 0.02 * s.front_pressure : 2 * s.front_pressure;
        double low = p[j] - reach, high = p[j] + reach;
        for (int i = 0; i < 24; ++i) {
            p[j] = (low + high) / 2;
            (read(front, s.front_pressure - p[j]) - read(rear, p[j]) > spread ? low : high) = p[j];
        }
        in[j] = read(front, s.front_pressure - p[j]);
        out[j] = in[j] - spread;
    };
    for (int j = 0; j < n; ++j) balance(j);
    known = true;
    for (int turn = 0; s.gap > 0 && turn < 30000; ++turn) {
        double worst = 0;
        for (int j = 1; j < n; ++j) {
            const double v = q[j] / (s.density * s.gap);
            const double before = (q[j - 1] + q[j]) / 2 / (s.density * s.gap);
            const double after = (q[j] + q[j + 1]) / 2 / (s.density * s.gap);
            const double leaving = std::max(0.0, (out[j - 1] + out[j]) / 2);
            // Fanning friction 0.01 on two walls; both cores' faces are rough.
            const double force =
                s.gap * (p[j - 1] - p[j]) -
                s.density * s.gap * (after * std::abs(after) - before * std::abs(before)) -
                leaving * v * dy - 0.01 * s.density * v * std::abs(v) * dy;
            const double change = 4e-4 * force / (1 + 0.05 * std::abs(v));
            q[j] += change;
            worst = std::max(worst, std::abs(force) / (s.gap * s.front_pressure));
        }
        for (int j = 0; j < n; ++j) balance(j);
        if (worst < 1e-5) break;
    }

    // Energy in the gap, upwind sideways, by repeated sweeps.
    std::vector<double> warm(n), mixed(n, s.air_temperature);
    FineResult result;
    constexpr double cp = 1007;
    for (int j = 0; j < n; ++j) {
        warm[j] = s.air_temperature;
        if (covered(j))
            warm[j] += transfer_effectiveness(s.front_units, in[j]) *
                       (s.front_temperature - s.air_temperature);
    }
    for (int turn = 0; turn < 400; ++turn)
        for (int j = 0; j < n; ++j) {
            double flow = std::max(0.0, in[j]) * dy, heat = flow * warm[j];
            if (q[j] > 0) flow += q[j], heat += q[j] * mixed[j - 1];
            if (q[j + 1] < 0) flow -= q[j + 1], heat -= q[j + 1] * mixed[j + 1];
            if (flow > 0) mixed[j] = heat / flow;
        }
    for (int j = 0; j < n; ++j) {
        const double area = dy * s.height;
        result.rear_flow += out[j] * area;
        result.rear_heat += out[j] * area * cp * transfer_effectiveness(s.rear_units, out[j]) *
                            (s.rear_temperature - mixed[j]);
        if (!covered(j)) continue;
        result.front_flow += in[j] * area;
        result.front_heat += in[j] * area * cp * (warm[j] - s.air_temperature);
    }
    return result;
}

}  // namespace lapheat::validation
