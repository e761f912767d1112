#include "lapheat/exchangers/side.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <lapheat/units/error.hpp>
#include <limits>
#include <string>

#include "lapheat/exchangers/fin.hpp"

namespace lapheat::exchangers {
namespace {

constexpr double nodes_per_decade_re = 32;
constexpr double nodes_per_decade_pr = 8;
constexpr double log_re_floor = -700;  // ln of a Reynolds number that stands for zero

// The compiler leaves these small functions as calls, because several places call them; inlined
// they cost half as much (validation/bench).
#define LAPHEAT_HOT [[gnu::always_inline]] inline

/// Where a Reynolds number lies in the table: its cell, and the weights of the four nodes about it
/// by Catmull & Rom's cubic. Beyond the ends the weights continue the curve as a straight line,
/// which in logarithms is a power law.
struct Position {
    std::ptrdiff_t cell = 0;
    double w0 = 0, w1 = 1, w2 = 0, w3 = 0;
    bool below = false;

    [[nodiscard]] LAPHEAT_HOT double operator()(const double* row) const {
        const double* f = row + cell;
        return (w0 * f[0] + w1 * f[1]) + (w2 * f[2] + w3 * f[3]);
    }
};

/// Node weights at s = 0…1 between the middle two of four.
LAPHEAT_HOT void set_weights(Position& p, double s) {
    const double s2 = s * s, s3 = s2 * s;
    p.w0 = s2 - 0.5 * (s + s3);
    p.w1 = 1 + 0.5 * (3 * s3 - 5 * s2);
    p.w2 = 0.5 * (s - 3 * s3) + 2 * s2;
    p.w3 = 0.5 * (s3 - s2);
}

LAPHEAT_HOT Position locate(const SurfaceTable& t, double log_re) {
    const double x = (log_re - t.log_re_start) * t.log_re_per_step;
    const double last = t.re_nodes - 3;  // cells between the true nodes
    const double inside = x > 0 ? (x < last ? x : last) : 0.0;
    Position p;
    p.cell = std::min(static_cast<std::ptrdiff_t>(inside), static_cast<std::ptrdiff_t>(last) - 1);
    set_weights(p, inside - static_cast<double>(p.cell));
    const double out = 0.5 * (x - inside);  // half the cells beyond the end
    if (out < 0) {
        p.below = true;
        p.w0 -= out;
        p.w2 += out;
    } else if (out > 0) {
        p.w1 -= out;
        p.w3 += out;
    }
    return p;
}

LAPHEAT_HOT double log_nusselt(const SurfaceTable& t, const Position& p, double log_pr) {
    const double* f = t.log_nusselt.data();
    if (t.pr_nodes == 1) return p(f) + (log_pr - t.log_pr_start) * (1.0 / 3);
    const double last = t.pr_nodes - 3;
    const double x = (log_pr - t.log_pr_start) * t.log_pr_per_step;
    const double y = x > 0 ? (x < last ? x : last) : 0.0;
    const auto j = std::min(static_cast<std::ptrdiff_t>(y), static_cast<std::ptrdiff_t>(last) - 1);
    Position across;
    set_weights(across, y - static_cast<double>(j));
    const std::ptrdiff_t n = t.re_nodes;
    const double* row = f + j * n;
    return (across.w0 * p(row) + across.w1 * p(row + n)) +
           (across.w2 * p(row + 2 * n) + across.w3 * p(row + 3 * n));
}

LAPHEAT_HOT double log_reynolds(double re) {
    return re > 0 ? std::max(std::log(re), log_re_floor) : log_re_floor;
}

/// 0 laminar to 1 turbulent, smooth between Re 2300 and 10 000.
LAPHEAT_HOT double turbulence(double re) {
    const double s = std::clamp((re - 2300) / 7700, 0.0, 1.0);
    return s * s * (3 - 2 * s);
}

void require(bool ok, const std::string& message, const std::string& expected) {
    if (!ok) throw Error(message, expected);
}

double log_positive(double value, const char* what, double re) {
    if (!(value > 0) || !std::isfinite(value)) {
        throw Error(std::string(what) + " is not positive at a Reynolds number of " +
                        fmt::format("{:.6g}", re),
                    "a correlation that is positive over the table");
    }
    return std::log(value);
}

/// Adds a ghost node at each end of a row laid out with room for it.
void ghosts(double* row, int nodes, bool flat_start) {
    row[0] = flat_start ? row[2] : 3 * row[1] - 3 * row[2] + row[3];
    row[nodes - 1] = 3 * row[nodes - 2] - 3 * row[nodes - 3] + row[nodes - 4];
}

void tabulate(const SideDescription& d, SurfaceTable& t) {
    const auto at_re = [&](double i) { return std::exp(t.log_re_start + i / t.log_re_per_step); };
    const auto at_pr = [&](double j) {
        return std::exp(t.log_pr_start + (t.pr_nodes > 1 ? j / t.log_pr_per_step : 0.0));
    };
    const int re_true = t.re_nodes - 2, pr_true = t.pr_nodes > 1 ? t.pr_nodes - 2 : 1;
    const auto width = static_cast<std::size_t>(t.re_nodes);
    t.log_loss.resize(width);
    t.log_nusselt.resize(width * static_cast<std::size_t>(t.pr_nodes));
    for (int i = 0; i < re_true; ++i) {
        t.log_loss[static_cast<std::size_t>(i) + 1] =
            log_positive(at_re(i) * d.loss(at_re(i)), "the loss", at_re(i));
    }
    ghosts(t.log_loss.data(), t.re_nodes, true);
    const int offset = t.pr_nodes > 1 ? 1 : 0;
    for (int j = 0; j < pr_true; ++j) {
        double* row = t.log_nusselt.data() + static_cast<std::size_t>(j + offset) * width;
        for (int i = 0; i < re_true; ++i) {
            row[i + 1] =
                log_positive(d.nusselt(at_re(i), at_pr(j)), "the Nusselt number", at_re(i));
        }
        ghosts(row, t.re_nodes, false);
    }
    if (t.pr_nodes > 1) {
        for (std::size_t i = 0; i < width; ++i) {
            double* f = t.log_nusselt.data() + i;
            const auto n = static_cast<std::size_t>(t.pr_nodes);
            f[0] = 3 * f[width] - 3 * f[2 * width] + f[3 * width];
            f[(n - 1) * width] =
                3 * f[(n - 2) * width] - 3 * f[(n - 3) * width] + f[(n - 4) * width];
        }
    }
    for (int i = 0; i + 1 < re_true; ++i) {
        const double re = at_re(i + 0.5);
        const Position p = locate(t, std::log(re));
        t.loss_error = std::max(t.loss_error,
                                std::abs(std::exp(p(t.log_loss.data())) / (re * d.loss(re)) - 1));
        for (int j = 0; j < std::max(pr_true - 1, 1); ++j) {
            const double pr = at_pr(j + (pr_true > 1 ? 0.5 : 0.0));
            t.nusselt_error = std::max(
                t.nusselt_error,
                std::abs(std::exp(log_nusselt(t, p, std::log(pr))) / d.nusselt(re, pr) - 1));
        }
    }
}

}  // namespace

Side make_side(const SideDescription& d) {
    require(d.flow_area > 0 && d.flow_area < 100, "flow area of a core's side is not positive",
            "m² above 0");
    require(d.hydraulic_diameter > 0 && d.hydraulic_diameter < 10,
            "hydraulic diameter of a core's side is not positive", "m above 0");
    require(d.heat_area > 0 && d.heat_area < 1e5, "surface of a core's side is not positive",
            "m² above 0");
    require(d.fin_area_fraction >= 0 && d.fin_area_fraction <= 1, "fins' share of the surface",
            "0 to 1");
    require(d.fin_parameter >= 0 && std::isfinite(d.fin_parameter), "fin parameter",
            "m² K/W, 0 or above");
    require(d.fouling >= 0 && std::isfinite(d.fouling), "fouling factor", "m² K/W, 0 or above");
    require(d.nusselt && d.loss, "a core's side without heat transfer or loss function",
            "both functions");
    require(d.table_reynolds_minimum > 0 && d.table_reynolds_maximum > 2 * d.table_reynolds_minimum,
            "range of Reynolds numbers of a core's side",
            "0 < minimum, maximum at least twice that");
    require(d.prandtl_minimum > 0 && d.prandtl_maximum >= d.prandtl_minimum,
            "range of Prandtl numbers of a core's side", "0 < minimum <= maximum");
    auto t = std::make_shared<SurfaceTable>();
    const auto grid = [](double from, double to, double per_decade, double& start,
                         double& per_step) {
        const int cells =
            std::max(3, static_cast<int>(std::ceil(std::log10(to / from) * per_decade)));
        start = std::log(from);
        per_step = cells / std::log(to / from);
        return cells + 3;  // nodes with a ghost at each end
    };
    t->re_nodes = grid(d.table_reynolds_minimum, d.table_reynolds_maximum, nodes_per_decade_re,
                       t->log_re_start, t->log_re_per_step);
    if (d.prandtl_maximum > 1.5 * d.prandtl_minimum) {
        t->pr_nodes = grid(d.prandtl_minimum, d.prandtl_maximum, nodes_per_decade_pr,
                           t->log_pr_start, t->log_pr_per_step);
    } else {
        t->pr_nodes = 1;
        t->log_pr_start = 0.5 * std::log(d.prandtl_minimum * d.prandtl_maximum);
    }
    tabulate(d, *t);
    Side side;
    side.flow_area = d.flow_area;
    side.hydraulic_diameter = d.hydraulic_diameter;
    side.heat_area = d.heat_area;
    side.fin_area_fraction = d.fin_area_fraction;
    side.fin_parameter = d.fin_parameter;
    side.fouling = d.fouling;
    side.reynolds_minimum = d.reynolds_minimum;
    side.reynolds_maximum = d.reynolds_maximum;
    side.prandtl_minimum = d.prandtl_minimum;
    side.prandtl_maximum = d.prandtl_maximum;
    side.viscosity = d.viscosity;
    side.table = std::move(t);
    return side;
}

namespace {

/// A flow found in the table: everything that conductance and drop share.
struct FoundFlow {
    double reynolds = 0, log_reynolds = 0;
    Position position;
    double turbulent = 0;  ///< only with a wall viscosity
};

LAPHEAT_HOT FoundFlow place(const Side& side, double mass_flow, double viscosity,
                            double wall_viscosity) {
    FoundFlow p;
    p.reynolds = std::abs(mass_flow) * side.hydraulic_diameter / (side.flow_area * viscosity);
    p.log_reynolds = log_reynolds(p.reynolds);
    p.position = locate(*side.table, p.log_reynolds);
    if (wall_viscosity > 0) p.turbulent = turbulence(p.reynolds);
    return p;
}

/// ln Pr; near the one value of a gas by the series of ln((1 + t) / (1 - t)), to 1e-8.
LAPHEAT_HOT double log_prandtl(const Side& side, double prandtl) {
    if (side.table->pr_nodes > 1) return std::log(prandtl);
    const double t = (prandtl - side.prandtl_minimum) / (prandtl + side.prandtl_minimum);
    if (std::abs(t) > 0.1 || side.prandtl_minimum != side.prandtl_maximum) return std::log(prandtl);
    const double t2 = t * t;
    return side.table->log_pr_start + 2 * t * (1 + t2 * (1. / 3 + t2 * (1. / 5)));
}

LAPHEAT_HOT SideState state_at(const Side& side, const SideFlow& flow, const FoundFlow& at,
                               double log_wall_ratio) {
    SideState s;
    s.reynolds = at.reynolds;
    if (at.reynolds > 0) {
        if (at.reynolds < side.reynolds_minimum) s.flags |= side_reynolds_low;
        if (at.reynolds > side.reynolds_maximum) s.flags |= side_reynolds_high;
    }
    const double slack =
        side.table->pr_nodes == 1 ? 1.2 : 1.0;  // one value: the power law reaches on
    if (flow.prandtl * slack < side.prandtl_minimum ||
        flow.prandtl > side.prandtl_maximum * slack) {
        s.flags |= side_prandtl_range;
    }
    double log_nu = log_nusselt(*side.table, at.position, log_prandtl(side, flow.prandtl));
    if (side.heat_tilt != 0) {
        log_nu += side.heat_tilt * (at.log_reynolds - std::log(side.tilt_reynolds));
    }
    if (flow.wall_viscosity > 0) {
        log_nu -= log_wall_ratio *
                  (side.viscosity.laminar_heat +
                   at.turbulent * (side.viscosity.turbulent_heat - side.viscosity.laminar_heat));
    }
    s.nusselt = side.heat_factor * std::exp(log_nu);
    s.coefficient = s.nusselt * flow.conductivity / side.hydraulic_diameter;
    if (side.fin_parameter > 0) {
        s.fin_efficiency =
            1 - side.fin_area_fraction * (1 - fin_efficiency(s.coefficient * side.fin_parameter));
    }
    s.resistance = (1 + side.fouling * s.fin_efficiency * s.coefficient) /
                   (s.fin_efficiency * s.coefficient * side.heat_area);
    return s;
}

LAPHEAT_HOT double drop_at(const Side& side, double mass_flow, double density, double viscosity,
                           const FoundFlow& at, double log_wall_ratio) {
    // Below the table the drop is linear in the flow: Re·Loss stays.
    const bool below = at.position.below;
    double log_loss_re = below ? side.table->log_loss[1] : at.position(side.table->log_loss.data());
    if (side.drop_tilt != 0) {
        // Held below the table, so that the drop stays linear in the flow at rest.
        const double held = below ? side.table->log_re_start : at.log_reynolds;
        log_loss_re += side.drop_tilt * (held - std::log(side.tilt_reynolds));
    }
    if (log_wall_ratio != 0) {
        log_loss_re +=
            log_wall_ratio *
            (side.viscosity.laminar_drop +
             at.turbulent * (side.viscosity.turbulent_drop - side.viscosity.laminar_drop));
    }
    // m |m| / (2 rho A²) Loss with one |m| written as Re A mu / D: finite slope at zero flow.
    return side.drop_factor * mass_flow * viscosity /
           (2 * density * side.flow_area * side.hydraulic_diameter) * std::exp(log_loss_re);
}

LAPHEAT_HOT double log_ratio(double wall_viscosity, double viscosity) {
    return wall_viscosity > 0 ? std::log(wall_viscosity / viscosity) : 0.0;
}

SideState empty_state() {
    SideState s;
    s.resistance = std::numeric_limits<double>::infinity();
    return s;
}

}  // namespace

SideState side_state(const Side& side, const SideFlow& flow) noexcept {
    if (!side.table) return empty_state();
    return state_at(side, flow, place(side, flow.mass_flow, flow.viscosity, flow.wall_viscosity),
                    log_ratio(flow.wall_viscosity, flow.viscosity));
}

SideState side_state(const Side& side, const SideFlow& flow, double& drop) noexcept {
    drop = 0;
    if (!side.table) return empty_state();
    const FoundFlow at = place(side, flow.mass_flow, flow.viscosity, flow.wall_viscosity);
    const double ratio = log_ratio(flow.wall_viscosity, flow.viscosity);
    drop = drop_at(side, flow.mass_flow, flow.density, flow.viscosity, at, ratio);
    return state_at(side, flow, at, ratio);
}

double pressure_drop(const Side& side, double mass_flow, double density, double viscosity,
                     double wall_viscosity) noexcept {
    if (!side.table) return 0;
    return drop_at(side, mass_flow, density, viscosity,
                   place(side, mass_flow, viscosity, wall_viscosity),
                   log_ratio(wall_viscosity, viscosity));
}

Side side_fraction(Side side, double fraction) noexcept {
    side.flow_area *= fraction;
    side.heat_area *= fraction;
    return side;
}

}  // namespace lapheat::exchangers
