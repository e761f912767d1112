// The operating point of an air path: the branches' losses for the one network solver, and the
// fans' stall dips, where there may be more than one answer.
#include <algorithm>
#include <cmath>
#include <lapheat/airflow/path.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/constants.hpp>
#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

using constants::gravity;

constexpr double smallest_flow = 1e-6;  // kg/s, below it quadratic losses turn linear

using Kind = PathBranch::Kind;

double square(double x) { return x * x; }

/// A linear floor keeps every branch's slope above zero at no flow: 1e-6 kg/s worth of a quadratic
/// loss, 1e-6 of a sqrt term, or `floor` Pa at 1 kg/s where that is more. Nothing against the
/// losses' own uncertainty, and enough that round-off in pressures does not show in flows.
void set_coefficients(Branch& branch, double a, double c, double b, double constant,
                      double floor = 3e-4) {
    branch.a = std::max(a + b * smallest_flow + c * 1e-6, floor);
    branch.c = c;
    branch.b = b;
    branch.constant = constant;
}

solve::BranchLoss branch_loss(const Branch& branch, double m) {
    if (branch.fan != nullptr) {
        const FanPressure rise = fan_pressure(*branch.fan, m / branch.density, branch.speed,
                                              branch.density, branch.reading, branch.level);
        return {branch.a * m - rise.rise, branch.a - rise.slope / branch.density};
    }
    const double size = std::abs(m);
    const double root = branch.c > 0 ? branch.c * std::sqrt(size) : 0;
    // Flaps shut against reversed flow: a thousandfold area below zero.
    const double b = branch.level > 0 && m < 0 ? branch.b * branch.level : branch.b;
    return {m * (branch.a + root + b * size) + branch.constant,
            branch.a + 1.5 * root + 2 * b * size};
}

void prepare_segment(const Path& path, const PathInputs& in, const PathBranch& segment,
                     Branch& branch) {
    double a = 0, c = 0, b = 0, constant = 0;
    for (std::size_t index = segment.index; index < segment.index + segment.passages; ++index) {
        const Passage& passage = path.passages[index];
        const PathCore& core = path.description.cores[passage.core];
        const double before = in.passage_inlet_temperature[index] / in.ambient_temperature;
        const double after = in.passage_outlet_temperature[index] / in.ambient_temperature;
        // Mean of the specific volume, as Kays & London's core equation asks.
        const double mean = (before + after) / 2;
        const double volume = mean / in.ambient_density;
        const double share = 1 / passage.core_fraction;
        const double viscosity = in.viscosity * std::cbrt(mean * mean);
        const Resistance& r = core.resistance;
        a += r.laminar * viscosity * share * volume;
        if (r.boundary > 0) c += r.boundary * std::sqrt(viscosity * share) * share * volume;
        const double open = core.open_fraction;
        // Acceleration of warming air: what is left of Kays & London's entrance, acceleration
        // and exit terms once the losses are in the fit, G^2 / 2 (1 + sigma^2) (1/rho_2 - 1/rho_1).
        b += r.quadratic * share * share * volume +
             (1 + open * open) * (after - before) /
                 (2 * in.ambient_density * square(passage.area * open));
        constant -= gravity * core.rise * in.ambient_density * (1 - 1 / mean);
    }
    set_coefficients(branch, a, c, std::max(b, 0.0), constant);
}

/// Density of the air at a shroud's fans, kg/m^3: behind its columns, by area.
double shroud_density(const Path& path, const PathInputs& in, std::size_t shroud) {
    if (path.description.shrouds[shroud].pusher)
        return in.ambient_density * in.ambient_temperature / in.inlet_temperature;
    double area = 0, weighted = 0;
    for (const FaceColumn& column : path.columns) {
        if (column.shroud != static_cast<int>(shroud)) continue;
        area += column.area;
        weighted +=
            column.area * in.passage_outlet_temperature[column.first_passage + column.passages - 1];
    }
    return in.ambient_density * in.ambient_temperature * area / weighted;
}

void prepare_fans(const Path& path, const PathInputs& in, PathFlow& flow) {
    const PathDescription& d = path.description;
    for (std::size_t s = 0; s < d.shrouds.size(); ++s) {
        const double density = shroud_density(path, in, s);
        for (const std::size_t fan : d.shrouds[s].fans) {
            Branch& branch = flow.branches[path.fan_branch[fan]];
            branch.fan = &d.fans[fan];
            branch.density = density;
            branch.speed = std::max(0.0, in.fan_speed[fan]);
            branch.reading = CurveReading::upper;
            branch.level = 0;
            branch.a = 1e-3;  // Pa at 1 kg/s, the floor of a flat curve and of a fan at rest
        }
    }
}

void prepare(const Path& path, const PathInputs& in, PathFlow& flow) {
    const PathDescription& d = path.description;
    const double speed = in.vehicle_speed + in.headwind;
    const double dynamic = 0.5 * in.ambient_density * speed * speed;
    const auto push = [&](const Opening& o) {
        return dynamic * (speed >= 0 ? o.coefficient : o.coefficient_behind);
    };
    const double entering = in.ambient_density * in.ambient_temperature / in.inlet_temperature;
    const double leaving = in.ambient_density * in.ambient_temperature / in.bay_temperature;
    for (std::size_t i = 0; i < path.branches.size(); ++i) {
        const PathBranch& what = path.branches[i];
        Branch& branch = flow.branches[i];
        switch (what.kind) {
            case Kind::inlet:
                set_coefficients(branch, 0, 0, what.quadratic / entering, -push(d.inlet));
                break;
            case Kind::exit:
                set_coefficients(
                    branch, 0, 0, what.quadratic / leaving,
                    push(d.exit) - gravity * d.bay_rise * (in.ambient_density - leaving));
                break;
            case Kind::segment:
                prepare_segment(path, in, what, branch);
                break;
            case Kind::flap:
                branch.level = 1e6;
                [[fallthrough]];
            case Kind::leak:
            case Kind::gap:
            case Kind::link:  // these often have next to no flow
                set_coefficients(branch, 0, 0, what.quadratic / entering, 0, 0.01);
                break;
            case Kind::fan:
                break;
        }
    }
    prepare_fans(path, in, flow);
}

/// Any flow will do; about 1 m/s through every core keeps the first linear network sane.
void cold_start(const Path& path, const PathInputs& in, PathFlow& flow) {
    std::fill(flow.network.pressure.begin(), flow.network.pressure.end(), 0.0);
    double total = 0;
    for (const FaceColumn& column : path.columns) total += in.ambient_density * column.area;
    for (std::size_t i = 0; i < path.branches.size(); ++i) {
        const PathBranch& what = path.branches[i];
        double& m = flow.branch_flow[i];
        switch (what.kind) {
            case Kind::inlet:
            case Kind::exit:
                m = total;
                break;
            case Kind::segment:
                m = in.ambient_density * path.passages[what.index].area;
                break;
            case Kind::fan:
                m = in.ambient_density * path.description.fans[what.index].disc_area;
                break;
            default:
                m = 0;
        }
    }
}

/// Solves for the branches as prepared.
void iterate(PathFlow& flow, double tolerance = 1e-11) {
    // Gaps and links are wide: a last digit of pressure would move more air through one that is
    // next to idle than the tolerance lets pass.
    const solve::FlowNetworkOptions options{
        .tolerance = tolerance, .rounding = 1e-14, .least_flow = 1e-4};
    const auto loss = [&](std::size_t i, double m) { return branch_loss(flow.branches[i], m); };
    const auto gross = [&](std::size_t i, double, double value) {
        return std::abs(value) + std::abs(flow.branches[i].constant);
    };
    solve::FlowNetworkReport report;
    const bool done = flow.network.newton(flow.branch_flow, options, loss, gross, report);
    flow.converged = done && std::isfinite(report.unbalanced) &&
                     std::all_of(flow.branch_flow.begin(), flow.branch_flow.end(),
                                 [](double m) { return std::isfinite(m); });
    flow.iterations += report.iterations;
    flow.residual = report.unbalanced;
}

double true_rise(const Branch& b, double m) {
    return fan_pressure(*b.fan, m / b.density, b.speed, b.density).rise;
}

/// The fan's answer is on its curve as it is, not on a bridge over the stall dip.
bool on_curve(const Path& path, const PathFlow& flow, std::size_t fan) {
    const std::size_t branch = path.fan_branch[fan];
    const Branch& b = flow.branches[branch];
    const double m = flow.branch_flow[branch];
    const double read =
        fan_pressure(*b.fan, m / b.density, b.speed, b.density, b.reading, b.level).rise;
    return std::abs(read - true_rise(b, m)) <= 1e-7 * std::abs(read) + 1e-12;
}

/// Reads the curve of a fan, and of its twins at the same speed, in the given way and solves.
void read_as(const Path& path, PathFlow& flow, std::size_t lead, CurveReading reading,
             double level = 0) {
    for (std::size_t fan = 0; fan < path.fan_twin.size(); ++fan) {
        Branch& b = flow.branches[path.fan_branch[fan]];
        if (path.fan_twin[fan] != path.fan_twin[lead] ||
            b.speed != flow.branches[path.fan_branch[lead]].speed)
            continue;
        b.reading = reading;
        b.level = level;
    }
    iterate(flow);
}

/// Looks for a pressure at which the network's flow finds the fan giving as much, from level
/// `from` to `to` in steps, then within one. A pair of crossings closer than a step is overlooked,
/// which loses nothing: such a point does not last.
bool find_level(const Path& path, PathFlow& flow, std::size_t fan, double from, double to) {
    constexpr int steps = 48;
    const Branch& b = flow.branches[path.fan_branch[fan]];
    const double scale = b.speed * b.speed * b.density / b.fan->curve.reference_density;
    const auto read_at = [&](double level) {
        read_as(path, flow, fan, CurveReading::constant, level);
    };
    const auto surplus = [&](double level) {
        read_at(level);
        return true_rise(b, flow.branch_flow[path.fan_branch[fan]]) - level * scale;
    };
    const bool first = to > from;  // what the starting end gives, by the curve's shape
    for (int i = 1; i <= steps; ++i) {
        const double near = from + (to - from) * (i - 1) / steps;
        const double far = from + (to - from) * i / steps;
        if ((surplus(far) >= 0) == first) continue;
        double root = near;  // at the very end it may be so already
        if ((surplus(near) >= 0) == first)
            root = solve::bracketed_root(surplus, std::min(near, far), std::max(near, far),
                                         1e-14 * std::abs(from))
                       .x;
        read_at(root);
        return true;
    }
    return false;
}

double peak_pressure(const FanCurve& curve) {
    return *std::max_element(curve.pressure.begin(), curve.pressure.end());
}

bool leads(const Path& path, const PathFlow& flow, std::size_t fan) {
    const std::size_t twin = path.fan_twin[fan];
    return twin == fan ||
           flow.branches[path.fan_branch[twin]].speed != flow.branches[path.fan_branch[fan]].speed;
}

/// Moves fans whose answer lies on the bridge over a stall dip onto their true curve, to the point
/// of most flow.
void settle_stall(const Path& path, PathFlow& flow) {
    for (int sweep = 0; sweep < 20; ++sweep) {
        bool settled = true;
        for (std::size_t fan = 0; fan < path.fan_twin.size(); ++fan) {
            const Branch& b = flow.branches[path.fan_branch[fan]];
            const FanCurve& curve = b.fan->curve;
            if (curve.stall_flow == 0 || b.speed <= 0 || on_curve(path, flow, fan) ||
                !leads(path, flow, fan))
                continue;
            settled = false;
            const double dip = curve.dip_pressure, peak = peak_pressure(curve);
            if (find_level(path, flow, fan, peak, dip)) continue;
            read_as(path, flow, fan, CurveReading::lower);
        }
        if (settled) return;
    }
    flow.converged = false;
}

void report(const Path& path, const PathInputs& in, PathFlow& flow) {
    const PathDescription& d = path.description;
    flow.inlet_flow = flow.branch_flow[0];
    flow.leak_flow = 0;
    for (std::size_t i = 0; i < path.branches.size(); ++i) {
        const PathBranch& what = path.branches[i];
        const double m = flow.branch_flow[i];
        if (what.kind == Kind::leak) flow.leak_flow = m;
        if (what.kind == Kind::link) flow.link_flow[what.index] = m;
        if (what.kind == Kind::segment)
            std::fill_n(flow.passage_flow.begin() + static_cast<std::ptrdiff_t>(what.index),
                        what.passages, m);
    }
    flow.backflow = std::max(0.0, -flow.leak_flow);
    for (std::size_t k = 0; k < path.columns.size(); ++k) {
        const FaceColumn& column = path.columns[k];
        flow.column_flow[k] = flow.passage_flow[column.first_passage + column.passages - 1];
        flow.backflow += std::max(0.0, -flow.column_flow[k]);
    }
    std::fill(flow.core_flow.begin(), flow.core_flow.end(), 0.0);
    flow.outside_fit = false;
    for (std::size_t n = 0; n < path.passages.size(); ++n) {
        const Passage& passage = path.passages[n];
        flow.core_flow[passage.core] += flow.passage_flow[n];
        const Resistance& r = d.cores[passage.core].resistance;
        const double whole = std::abs(flow.passage_flow[n]) / passage.core_fraction;
        if (r.max_flow > 0 && whole > r.max_flow * (1 + 1e-9)) flow.outside_fit = true;
    }
    for (std::size_t c = 0; c < d.cores.size(); ++c)
        flow.face_velocity[c] = flow.core_flow[c] / (in.ambient_density * path.core_area[c]);
    flow.possibly_multiple = false;
    for (std::size_t fan = 0; fan < d.fans.size(); ++fan) {
        const Branch& b = flow.branches[path.fan_branch[fan]];
        flow.fans[fan] = fan_point(d.fans[fan], flow.branch_flow[path.fan_branch[fan]] / b.density,
                                   b.speed, b.density, in.supply_voltage);
        const FanCurve& curve = d.fans[fan].curve;
        if (curve.stall_flow > 0 && b.speed > 0) {
            // With falling losses to the left, a second crossing needs the curve to come down to
            // this point's pressure somewhere left of it.
            const double scale = b.speed * b.speed * b.density / curve.reference_density;
            if (flow.fans[fan].flow / b.speed > curve.dip_flow &&
                flow.fans[fan].rise >= curve.dip_pressure * scale)
                flow.possibly_multiple = true;
        }
    }
    flow.warm = flow.converged;
    flow.front_pressure = flow.network.pressure[0];
    flow.bay_pressure = flow.network.pressure[1];
}

void check_inputs(const Path& path, const PathInputs& in, const PathFlow& flow) {
    if (in.passage_inlet_temperature.size() != path.passages.size() ||
        in.passage_outlet_temperature.size() != path.passages.size() ||
        in.fan_speed.size() != path.description.fans.size() ||
        flow.branches.size() != path.branches.size() || flow.network.nodes() != path.nodes + 1)
        throw Error("the air path's inputs or results belong to another path",
                    "make_inputs(path) and make_flow(path)");
    if (!(in.ambient_density > 0) || !(in.ambient_temperature > 0) || !(in.viscosity > 0) ||
        !(in.inlet_temperature > 0) || !(in.bay_temperature > 0) || !(in.vehicle_speed >= 0))
        throw Error("density, viscosity and temperatures of an air path must be positive",
                    "> 0, and a vehicle speed >= 0");
}

}  // namespace

void operating_point(const Path& path, const PathInputs& inputs, PathFlow& flow) {
    check_inputs(path, inputs, flow);
    const bool warm = flow.warm;
    prepare(path, inputs, flow);
    if (!warm) cold_start(path, inputs, flow);
    flow.iterations = 0;
    iterate(flow, inputs.tolerance);
    for (std::size_t fan = 0; fan < path.description.fans.size(); ++fan)
        if (!on_curve(path, flow, fan)) {
            settle_stall(path, flow);
            break;
        }
    report(path, inputs, flow);
}

}  // namespace lapheat::airflow
