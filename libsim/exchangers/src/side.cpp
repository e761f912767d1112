#include "lapheat/exchangers/side.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <lapheat/units/error.hpp>
#include <limits>
#include <string>

namespace lapheat::exchangers {
namespace {

constexpr double nodes_per_decade_re = 32;
constexpr double nodes_per_decade_pr = 8;
constexpr double log_re_floor = -700;  // ln of a Reynolds number that stands for zero

/// Catmull & Rom's cubic through four nodes, as weights at s = 0…1 between the middle two.
struct Weights {
    double w0, w1, w2, w3;
    explicit Weights(double s) {
        const double s2 = s * s, s3 = s2 * s;
        w0 = 0.5 * (-s + 2 * s2 - s3);
        w1 = 1 + 0.5 * (-5 * s2 + 3 * s3);
        w2 = 0.5 * (s + 4 * s2 - 3 * s3);
        w3 = 0.5 * (s3 - s2);
    }
    [[nodiscard]] double operator()(const double* f) const {
        return w0 * f[0] + w1 * f[1] + w2 * f[2] + w3 * f[3];
    }
};

/// Where a Reynolds number lies in the table: cell, place in it, and cells beyond the ends.
struct Position {
    std::ptrdiff_t cell = 0;
    double s = 0;
    double below = 0;  ///< cells below the first node, <= 0
    double above = 0;  ///< cells above the last node, >= 0
};

Position locate(const SurfaceTable& t, double log_re) {
    const double x = (log_re - t.log_re_start) * t.log_re_per_step;
    const double last = t.re_nodes - 3;  // cells between the true nodes
    Position p;
    p.below = std::min(x, 0.0);
    p.above = std::max(x - last, 0.0);
    const double inside = std::clamp(x, 0.0, last);
    p.cell = std::min(static_cast<std::ptrdiff_t>(inside), static_cast<std::ptrdiff_t>(last) - 1);
    p.s = inside - static_cast<double>(p.cell);
    return p;
}

/// One row of ln f, continued as a power law beyond the ends.
double along(const double* row, int nodes, const Position& p, const Weights& w) {
    double y = w(row + p.cell);
    if (p.below < 0) y += p.below * 0.5 * (row[2] - row[0]);
    if (p.above > 0) y += p.above * 0.5 * (row[nodes - 1] - row[nodes - 3]);
    return y;
}

double log_nusselt(const SurfaceTable& t, const Position& p, const Weights& wr, double log_pr) {
    const double* f = t.log_nusselt.data();
    if (t.pr_nodes == 1) {
        return along(f, t.re_nodes, p, wr) + (log_pr - t.log_pr_start) * (1.0 / 3);
    }
    const double last = t.pr_nodes - 3;
    const double y = std::clamp((log_pr - t.log_pr_start) * t.log_pr_per_step, 0.0, last);
    const auto j = std::min(static_cast<std::ptrdiff_t>(y), static_cast<std::ptrdiff_t>(last) - 1);
    const Weights wp(y - static_cast<double>(j));
    double row[4];
    for (int k = 0; k < 4; ++k) row[k] = along(f + (j + k) * t.re_nodes, t.re_nodes, p, wr);
    return wp(row);
}

double log_loss(const SurfaceTable& t, const Position& p, const Weights& w) {
    return along(t.log_loss.data(), t.re_nodes, p, w);
}

double log_reynolds(double re) {
    return re > 0 ? std::max(std::log(re), log_re_floor) : log_re_floor;
}

/// 0 laminar to 1 turbulent, smooth between Re 2300 and 10 000.
double turbulence(double re) {
    const double s = std::clamp((re - 2300) / 7700, 0.0, 1.0);
    return s * s * (3 - 2 * s);
}

void require(bool ok, const std::string& message, const std::string& expected) {
    if (!ok) throw Error(message, expected);
}

double log_positive(double value, const char* what, double re) {
    if (!(value > 0) || !std::isfinite(value)) {
        throw Error(
            std::string(what) + " is not positive at a Reynolds number of " + std::to_string(re),
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
        const Weights w(p.s);
        t.loss_error =
            std::max(t.loss_error, std::abs(std::exp(log_loss(t, p, w)) / (re * d.loss(re)) - 1));
        for (int j = 0; j < std::max(pr_true - 1, 1); ++j) {
            const double pr = at_pr(j + (pr_true > 1 ? 0.5 : 0.0));
            t.nusselt_error = std::max(
                t.nusselt_error,
                std::abs(std::exp(log_nusselt(t, p, w, std::log(pr))) / d.nusselt(re, pr) - 1));
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
struct Place {
    double reynolds = 0, log_reynolds = 0;
    Position position;
    Weights weights{0};
    double turbulent = 0;  ///< only with a wall viscosity
};

Place place(const Side& side, double mass_flow, double viscosity, double wall_viscosity) {
    Place p;
    p.reynolds = std::abs(mass_flow) * side.hydraulic_diameter / (side.flow_area * viscosity);
    p.log_reynolds = log_reynolds(p.reynolds);
    p.position = locate(*side.table, p.log_reynolds);
    p.weights = Weights(p.position.s);
    if (wall_viscosity > 0) p.turbulent = turbulence(p.reynolds);
    return p;
}

/// ln Pr; near the one value of a gas by the series of ln((1 + t) / (1 - t)), to 1e-8.
double log_prandtl(const Side& side, double prandtl) {
    if (side.table->pr_nodes > 1) return std::log(prandtl);
    const double t = (prandtl - side.prandtl_minimum) / (prandtl + side.prandtl_minimum);
    if (std::abs(t) > 0.1 || side.prandtl_minimum != side.prandtl_maximum) return std::log(prandtl);
    const double t2 = t * t;
    return side.table->log_pr_start + 2 * t * (1 + t2 * (1. / 3 + t2 * (1. / 5)));
}

SideState state_at(const Side& side, const SideFlow& flow, const Place& at, double log_wall_ratio) {
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
    double log_nu =
        log_nusselt(*side.table, at.position, at.weights, log_prandtl(side, flow.prandtl));
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
        const double ml2 = s.coefficient * side.fin_parameter;
        double fin = 1 - ml2 / 3;
        if (ml2 > 1e-6) {  // tanh(mL)/mL by one exponential
            const double ml = std::sqrt(ml2), e = std::exp(-2 * ml);
            fin = (1 - e) / ((1 + e) * ml);
        }
        s.fin_efficiency = 1 - side.fin_area_fraction * (1 - fin);
    }
    s.resistance = (1 + side.fouling * s.fin_efficiency * s.coefficient) /
                   (s.fin_efficiency * s.coefficient * side.heat_area);
    return s;
}

double drop_at(const Side& side, double mass_flow, double density, double viscosity,
               const Place& at, double log_wall_ratio) {
    const bool below = at.position.below < 0;
    double log_loss_re =
        below ? side.table->log_loss[1] : log_loss(*side.table, at.position, at.weights);
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

double log_ratio(double wall_viscosity, double viscosity) {
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
    const Place at = place(side, flow.mass_flow, flow.viscosity, flow.wall_viscosity);
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
