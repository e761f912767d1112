// The operating point of an air path.
//
// Unknowns are the branches' mass flows. With every branch's drop f_i(m_i) rising, the flows that
// balance the network minimise the content sum(integral f_i dm_i) over all flows that obey
// continuity (Birkhoff & Diaz, Q. Appl. Math. 13, 1956). Newton's method on that convex function
// is the global gradient algorithm of Todini & Pilati (1987); each step is a linear network,
// which is series-parallel here and solved by adding conductances. A line search on the
// directional derivative, sum f_i dm_i, makes it converge from anywhere.
#include <algorithm>
#include <cmath>
#include <lapheat/airflow/path.hpp>
#include <lapheat/units/error.hpp>

namespace lapheat::airflow {
namespace {

constexpr double gravity = 9.80665;     // m/s^2
constexpr double smallest_flow = 1e-6;  // kg/s, below it quadratic losses turn linear
constexpr double stop = 1e-9;           // relative step after which one more is round-off
constexpr double accepted = 0.7;        // share of the content's slope a step may leave
constexpr int most_iterations = 80;
constexpr std::size_t inlet = 0, outlet = 1, leak = 2, first_column = 3;

struct Layout {
    std::size_t fans, gaps, flaps, end;
    explicit Layout(const Path& path)
        : fans(first_column + path.columns.size()),
          gaps(fans + path.description.fans.size()),
          flaps(gaps + path.description.shrouds.size()),
          end(flaps + path.description.shrouds.size()) {}
};

double square(double x) { return x * x; }

void set_coefficients(Branch& branch, double a, double c, double b, double constant) {
    // The linear floor keeps the slope above zero at no flow; it adds 1e-6 kg/s worth of a
    // quadratic loss and 1e-5 of the sqrt term, nothing against the losses' own uncertainty.
    branch.a = a + b * smallest_flow + c * 1e-5 + 1e-4;
    branch.c = c;
    branch.b = b;
    branch.constant = constant;
}

/// Drop of a branch at flow m, and its conductance 1 / (d drop / d m).
void evaluate(const Branch& branch, double m, double& drop, double& conductance) {
    const double size = std::abs(m);
    if (branch.fan != nullptr) {
        const FanPressure rise = fan_pressure(*branch.fan, m / branch.density, branch.speed,
                                              branch.density, branch.reading, branch.level);
        drop = branch.a * m - rise.rise;
        conductance = 1 / (branch.a - rise.slope / branch.density);
        return;
    }
    const double root = branch.c > 0 ? branch.c * std::sqrt(size) : 0;
    // Flaps shut against reversed flow: a thousandfold area below zero.
    const double b = branch.level > 0 && m < 0 ? branch.b * branch.level : branch.b;
    drop = m * (branch.a + root + b * size) + branch.constant;
    conductance = 1 / (branch.a + 1.5 * root + 2 * b * size);
}

void prepare_columns(const Path& path, const PathInputs& in, PathFlow& flow) {
    for (std::size_t k = 0; k < path.columns.size(); ++k) {
        const Column& column = path.columns[k];
        double a = 0, c = 0, b = 0, constant = 0;
        for (std::size_t n = 0; n < column.passages; ++n) {
            const std::size_t index = column.first_passage + n;
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
            // and exit terms once the losses are in the fit, G^2 / 2 (1 + sigma^2) (1/rho_2 -
            // 1/rho_1).
            b += r.quadratic * share * share * volume +
                 (1 + open * open) * (after - before) /
                     (2 * in.ambient_density * square(passage.area * open));
            constant -= gravity * core.rise * in.ambient_density * (1 - 1 / mean);
        }
        set_coefficients(flow.branches[first_column + k], a, c, std::max(b, 0.0), constant);
    }
}

void prepare(const Path& path, const PathInputs& in, PathFlow& flow) {
    const PathDescription& d = path.description;
    const Layout at(path);
    const double speed = in.vehicle_speed + in.headwind;
    const double dynamic = 0.5 * in.ambient_density * speed * speed;
    const auto coefficient = [&](const Opening& o) {
        return speed >= 0 ? o.coefficient : o.coefficient_behind;
    };
    const double inlet_density = in.ambient_density * in.ambient_temperature / in.inlet_temperature;
    const double bay_density = in.ambient_density * in.ambient_temperature / in.bay_temperature;
    set_coefficients(flow.branches[inlet], 0, 0, path.inlet_quadratic / inlet_density,
                     -coefficient(d.inlet) * dynamic);
    set_coefficients(
        flow.branches[outlet], 0, 0, path.exit_quadratic / bay_density,
        coefficient(d.exit) * dynamic - gravity * d.bay_rise * (in.ambient_density - bay_density));
    set_coefficients(flow.branches[leak], 0, 0, path.leak_quadratic / inlet_density, 0);
    prepare_columns(path, in, flow);

    for (std::size_t s = 0; s < d.shrouds.size(); ++s) {
        const Shroud& shroud = d.shrouds[s];
        double area = 0, weighted = 0;
        for (std::size_t k = 0; k < path.columns.size(); ++k) {
            const Column& column = path.columns[k];
            if (column.shroud != static_cast<int>(s)) continue;
            area += column.area;
            weighted += column.area *
                        in.passage_outlet_temperature[column.first_passage + column.passages - 1];
        }
        const double density = shroud.pusher
                                   ? inlet_density
                                   : in.ambient_density * in.ambient_temperature * area / weighted;
        for (std::size_t fan : shroud.fans) {
            Branch& branch = flow.branches[at.fans + fan];
            branch.fan = &d.fans[fan];
            branch.density = density;
            branch.speed = std::max(0.0, in.fan_speed[fan]);
            branch.reading = CurveReading::upper;
            branch.level = 0;
            const FanCurve& curve = d.fans[fan].curve;
            // Same purpose as the floor above: 1e-5 of the shut-off pressure at free flow.
            branch.a = 1e-5 * curve.pressure.front() / (density * curve.flow.back());
        }
        Branch& gaps = flow.branches[at.gaps + s];
        Branch& flaps = flow.branches[at.flaps + s];
        set_coefficients(gaps, 0, 0,
                         shroud.gap_area > 0 ? quadratic(gap(shroud.gap_area)) / density : 0, 0);
        set_coefficients(flaps, 0, 0,
                         shroud.flap_area > 0 ? quadratic(gap(shroud.flap_area)) / density : 0, 0);
        flaps.level = 1e6;
    }
}

/// A linear branch or group between two nodes: m = source + conductance * (p_from - p_to).
struct Linear {
    double source = 0, conductance = 0;
    void add(const Branch& b) {
        source += b.flow - b.conductance * b.drop;
        conductance += b.conductance;
    }
};

void set_step(Branch& b, double pressure_difference, double& worst) {
    const double unbalanced = pressure_difference - b.drop;
    b.across = pressure_difference;
    b.step = b.conductance * unbalanced;
    worst = std::max(worst, std::abs(unbalanced));
}

bool exists(const Path& path, const Layout& at, std::size_t branch) {
    const auto& shrouds = path.description.shrouds;
    if (branch == leak) return path.leak_quadratic > 0;
    if (branch >= at.flaps) return shrouds[branch - at.flaps].flap_area > 0;
    if (branch >= at.gaps) return shrouds[branch - at.gaps].gap_area > 0;
    return true;
}

/// Solves the linearised network and sets every branch's step. Returns the greatest imbalance, Pa.
double newton_step(const Path& path, const Layout& at, PathFlow& flow) {
    auto& branches = flow.branches;
    const auto& shrouds = path.description.shrouds;
    Linear middle;
    if (exists(path, at, leak)) middle.add(branches[leak]);
    for (std::size_t k = 0; k < path.columns.size(); ++k)
        if (path.columns[k].shroud < 0) middle.add(branches[first_column + k]);

    const auto groups = [&](std::size_t s, Linear& columns, Linear& fans) {
        for (std::size_t k = 0; k < path.columns.size(); ++k)
            if (path.columns[k].shroud == static_cast<int>(s))
                columns.add(branches[first_column + k]);
        for (std::size_t fan : shrouds[s].fans) fans.add(branches[at.fans + fan]);
        if (exists(path, at, at.gaps + s)) fans.add(branches[at.gaps + s]);
        if (exists(path, at, at.flaps + s)) fans.add(branches[at.flaps + s]);
    };
    for (std::size_t s = 0; s < shrouds.size(); ++s) {
        Linear columns, fans;
        groups(s, columns, fans);
        const double sum = columns.conductance + fans.conductance;
        middle.source +=
            (columns.source * fans.conductance + fans.source * columns.conductance) / sum;
        middle.conductance += columns.conductance * fans.conductance / sum;
    }
    Linear in, out;
    in.add(branches[inlet]);
    out.add(branches[outlet]);
    const double through = (middle.source + middle.conductance * (in.source / in.conductance +
                                                                  out.source / out.conductance)) /
                           (1 + middle.conductance * (1 / in.conductance + 1 / out.conductance));
    const double front = (in.source - through) / in.conductance;
    const double bay = (through - out.source) / out.conductance;
    flow.front_pressure = front;
    flow.bay_pressure = bay;

    double worst = 0;
    set_step(branches[inlet], -front, worst);
    set_step(branches[outlet], bay, worst);
    if (exists(path, at, leak)) set_step(branches[leak], front - bay, worst);
    for (std::size_t k = 0; k < path.columns.size(); ++k)
        if (path.columns[k].shroud < 0) set_step(branches[first_column + k], front - bay, worst);
    for (std::size_t s = 0; s < shrouds.size(); ++s) {
        Linear columns, fans;
        groups(s, columns, fans);
        const Linear &first = shrouds[s].pusher ? fans : columns,
                     &second = shrouds[s].pusher ? columns : fans;
        const double between =
            (first.source - second.source + first.conductance * front + second.conductance * bay) /
            (first.conductance + second.conductance);
        const double over_columns = shrouds[s].pusher ? between - bay : front - between;
        const double over_fans = shrouds[s].pusher ? front - between : between - bay;
        for (std::size_t k = 0; k < path.columns.size(); ++k)
            if (path.columns[k].shroud == static_cast<int>(s))
                set_step(branches[first_column + k], over_columns, worst);
        for (std::size_t fan : shrouds[s].fans) set_step(branches[at.fans + fan], over_fans, worst);
        if (exists(path, at, at.gaps + s)) set_step(branches[at.gaps + s], over_fans, worst);
        if (exists(path, at, at.flaps + s)) set_step(branches[at.flaps + s], over_fans, worst);
    }
    return worst;
}

/// Drops and conductances at flow + t * step; returns the content's slope sum(drop * step).
/// Steps obey continuity, so subtracting the nodes' pressures changes nothing but round-off.
double evaluate_all(PathFlow& flow, double t) {
    double slope = 0;
    for (Branch& b : flow.branches) {
        evaluate(b, b.flow + t * b.step, b.drop, b.conductance);
        slope += (b.drop - b.across) * b.step;
    }
    return slope;
}

/// Finds t > 0 where the content's slope along the step is small; the content is convex, so the
/// slope only rises with t. A full step is taken whenever it is good enough.
double line_search(PathFlow& flow, double slope0) {
    double slope = evaluate_all(flow, 1);
    if (slope <= -accepted * slope0) return 1;
    double low = 0, high = 1, at_low = slope0, at_high = slope, t = 1;
    for (int i = 0; i < 60 && std::abs(slope) > -accepted * slope0; ++i) {
        const double chord = low + (high - low) * at_low / (at_low - at_high);
        t = i % 2 == 0 ? chord : (low + high) / 2;
        slope = evaluate_all(flow, t);
        (slope < 0 ? low : high) = t;
        (slope < 0 ? at_low : at_high) = slope;
    }
    return t;
}

void cold_start(const Path& path, const Layout& at, const PathInputs& in, PathFlow& flow) {
    // Any flow will do; about 1 m/s through every core keeps the first linear network sane.
    for (std::size_t i = 0; i < at.end; ++i) flow.branches[i].flow = 0;
    double total = 0;
    for (std::size_t k = 0; k < path.columns.size(); ++k)
        total += flow.branches[first_column + k].flow = in.ambient_density * path.columns[k].area;
    flow.branches[inlet].flow = flow.branches[outlet].flow = total;
    for (std::size_t s = 0; s < path.description.shrouds.size(); ++s) {
        double share = 0;
        for (const Column& column : path.columns)
            if (column.shroud == static_cast<int>(s)) share += in.ambient_density * column.area;
        const auto& fans = path.description.shrouds[s].fans;
        for (std::size_t fan : fans)
            flow.branches[at.fans + fan].flow = share / static_cast<double>(fans.size());
    }
}

/// Newton to the solution for the branches as prepared.
void iterate(const Path& path, const Layout& at, PathFlow& flow, bool warm) {
    for (Branch& b : flow.branches) b.step = 0;
    evaluate_all(flow, 0);
    flow.converged = false;
    bool feasible = warm;
    for (int i = 0; i < most_iterations; ++i) {
        ++flow.iterations;
        newton_step(path, at, flow);
        double t = 1, biggest = 0, largest_step = 0, slope0 = 0;
        for (Branch& b : flow.branches) {
            slope0 += (b.drop - b.across) * b.step;
            largest_step = std::max(largest_step, std::abs(b.step));
            biggest = std::max(biggest, std::abs(b.flow + b.step));
        }
        // A start from rough flows breaks continuity; one full step restores it. Near the end the
        // slope is round-off and the full step is right.
        const bool done = largest_step <= stop * biggest + 1e-13;
        if (feasible && largest_step > 1e-6 * biggest)
            t = line_search(flow, slope0);
        else
            evaluate_all(flow, 1);
        for (Branch& b : flow.branches) b.flow += t * b.step;
        feasible = true;
        if (done) {
            flow.converged = std::isfinite(largest_step + biggest);
            return;
        }
    }
}

double true_rise(const Branch& b) {
    return fan_pressure(*b.fan, b.flow / b.density, b.speed, b.density).rise;
}

/// The fan's answer is on its curve as it is, not on a bridge over the stall dip.
bool on_curve(const Branch& b) {
    const double read =
        fan_pressure(*b.fan, b.flow / b.density, b.speed, b.density, b.reading, b.level).rise;
    return std::abs(read - true_rise(b)) <= 1e-7 * std::abs(read) + 1e-12;
}

/// Moves fans whose answer lies on the bridge over a stall dip onto their true curve: either left
/// of the dip, or on the rising part by a root search for the pressure, twins together.
void settle_stall(const Path& path, const Layout& at, PathFlow& flow) {
    const std::size_t count = path.description.fans.size();
    const auto branch = [&](std::size_t fan) -> Branch& { return flow.branches[at.fans + fan]; };
    const auto leads = [&](std::size_t fan) {
        const std::size_t twin = path.fan_twin[fan];
        return twin == fan || branch(twin).speed != branch(fan).speed;
    };
    const auto follow = [&](std::size_t lead, CurveReading reading, double level) {
        for (std::size_t fan = 0; fan < count; ++fan)
            if (fan == lead || (path.fan_twin[fan] == path.fan_twin[lead] &&
                                branch(fan).speed == branch(lead).speed)) {
                branch(fan).reading = reading;
                branch(fan).level = level;
            }
        iterate(path, at, flow, true);
    };
    for (int sweep = 0; sweep < 20; ++sweep) {
        bool settled = true;
        for (std::size_t fan = 0; fan < count; ++fan) {
            Branch& b = branch(fan);
            const FanCurve& curve = b.fan->curve;
            if (curve.stall_flow == 0 || b.speed <= 0 || on_curve(b) || !leads(fan)) continue;
            settled = false;
            follow(fan, CurveReading::lower, 0);
            if (on_curve(b)) continue;
            const double scale = b.speed * b.speed * b.density / curve.reference_density;
            double low = curve.dip_pressure, high = curve.pressure.front();
            for (double p : curve.pressure) high = std::max(high, p);
            for (int i = 0; i < 60 && high - low > 1e-12 * high; ++i) {
                const double level = (low + high) / 2;
                follow(fan, CurveReading::constant, level);
                (true_rise(b) > level * scale ? low : high) = level;
            }
        }
        if (settled) return;
    }
    flow.converged = false;
}

void report(const Path& path, const Layout& at, const PathInputs& in, PathFlow& flow) {
    const PathDescription& d = path.description;
    const auto& branches = flow.branches;
    for (std::size_t k = 0; k < path.columns.size(); ++k)
        flow.column_flow[k] = branches[first_column + k].flow;
    std::fill(flow.core_flow.begin(), flow.core_flow.end(), 0.0);
    flow.outside_fit = false;
    for (const Passage& passage : path.passages) {
        const double m = flow.column_flow[passage.column];
        flow.core_flow[passage.core] += m;
        const Resistance& r = d.cores[passage.core].resistance;
        const double whole = std::abs(m) / passage.core_fraction;
        if (r.max_flow > 0 && whole > r.max_flow * (1 + 1e-9)) flow.outside_fit = true;
    }
    for (std::size_t c = 0; c < d.cores.size(); ++c)
        flow.face_velocity[c] = flow.core_flow[c] / (in.ambient_density * path.core_area[c]);
    flow.possibly_multiple = false;
    for (std::size_t fan = 0; fan < d.fans.size(); ++fan) {
        const Branch& b = branches[at.fans + fan];
        flow.fans[fan] =
            fan_point(d.fans[fan], b.flow / b.density, b.speed, b.density, in.supply_voltage);
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
    flow.inlet_flow = branches[inlet].flow;
    flow.leak_flow = exists(path, at, leak) ? branches[leak].flow : 0;
    flow.backflow = std::max(0.0, -flow.leak_flow);
    for (double m : flow.column_flow) flow.backflow += std::max(0.0, -m);
    flow.warm = flow.converged;
    // What is left: one more linear network, taken at the solution, sees the imbalance.
    const double front = flow.front_pressure, bay = flow.bay_pressure;
    flow.residual = newton_step(path, at, flow);
    flow.front_pressure = front;
    flow.bay_pressure = bay;
}

void check_inputs(const Path& path, const PathInputs& in, const PathFlow& flow) {
    if (in.passage_inlet_temperature.size() != path.passages.size() ||
        in.passage_outlet_temperature.size() != path.passages.size() ||
        in.fan_speed.size() != path.description.fans.size() ||
        flow.branches.size() != Layout(path).end)
        throw Error("the air path's inputs or results belong to another path",
                    "make_inputs(path) and make_flow(path)");
    if (!(in.ambient_density > 0) || !(in.ambient_temperature > 0) || !(in.viscosity > 0) ||
        !(in.inlet_temperature > 0) || !(in.bay_temperature > 0) || !(in.vehicle_speed >= 0))
        throw Error("density, viscosity and temperatures of an air path must be positive",
                    "> 0, and a vehicle speed >= 0");
}

}  // namespace

void solve(const Path& path, const PathInputs& inputs, PathFlow& flow) {
    check_inputs(path, inputs, flow);
    const Layout at(path);
    const bool warm = flow.warm;
    prepare(path, inputs, flow);
    if (!warm) cold_start(path, at, inputs, flow);
    flow.iterations = 0;
    iterate(path, at, flow, warm);
    for (std::size_t fan = 0; fan < path.description.fans.size(); ++fan)
        if (!on_curve(flow.branches[at.fans + fan])) {
            settle_stall(path, at, flow);
            break;
        }
    report(path, at, inputs, flow);
}

bool stalled_point(const Path& path, const PathInputs& inputs, PathFlow& stalled) {
    solve(path, inputs, stalled);
    const double healthy = stalled.inlet_flow;
    const Layout at(path);
    prepare(path, inputs, stalled);
    for (std::size_t fan = 0; fan < path.description.fans.size(); ++fan)
        stalled.branches[at.fans + fan].reading = CurveReading::lower;
    iterate(path, at, stalled, true);
    for (std::size_t fan = 0; fan < path.description.fans.size(); ++fan)
        if (!on_curve(stalled.branches[at.fans + fan])) return false;
    report(path, at, inputs, stalled);
    return stalled.converged && std::abs(stalled.inlet_flow - healthy) > 1e-6 * std::abs(healthy);
}

}  // namespace lapheat::airflow
