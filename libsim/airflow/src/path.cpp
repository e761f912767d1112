// Cuts a placement's face into columns and checks the description.
#include <lapheat/airflow/path.hpp>

#include <algorithm>
#include <cmath>
#include <compare>
#include <lapheat/units/error.hpp>
#include <map>
#include <utility>

namespace lapheat::airflow {
namespace {

using Kind = PathBranch::Kind;

/// Pressure the air loses to be set in motion sideways in a gap: rho v^2 by the momentum theorem,
/// as it enters without sideways speed. A fine two-dimensional solution with wall friction
/// (validation/airflow/fine_stack.hpp) agrees within 5 % of the cores' flows.
constexpr double sideways_loss = 2.0;

bool contains(const Rectangle& r, double x, double y) {
    return x > r.x && x < r.x + r.width && y > r.y && y < r.y + r.height;
}

void check_rectangle(const Rectangle& r, const char* what) {
    if (!(r.width > 0) || !(r.height > 0) || !std::isfinite(r.x + r.y + r.width + r.height))
        throw Error(std::string(what) + " needs a width and a height above zero", "> 0 m");
}

void check_areas(double area, const char* what) {
    if (!(area >= 0) || !std::isfinite(area))
        throw Error(std::string(what) + " must not be negative", ">= 0 m^2");
}

void check_description(const PathDescription& d) {
    if (d.cores.empty()) throw Error("an air path needs a core", "one core or more");
    for (const PathCore& core : d.cores) {
        check_rectangle(core.face, "a core's face");
        const Resistance& r = core.resistance;
        if (!(r.laminar >= 0) || !(r.boundary >= 0) || !(r.quadratic >= 0) ||
            !(r.laminar + r.boundary + r.quadratic > 0))
            throw Error("a core's air resistance must be positive",
                        "coefficients >= 0 and not all 0; see fit_resistance");
        if (!(core.gap_behind >= 0) || !std::isfinite(core.gap_behind))
            throw Error("the gap behind a core must not be negative", ">= 0 m");
        if (!(core.open_fraction > 0) || core.open_fraction > 1)
            throw Error("a core's open fraction is out of range", "0 < open_fraction <= 1");
    }
    check_areas(d.leak_area, "the leak area around the cores");
    for (const Fan& fan : d.fans) {
        if (fan.curve.slope.size() < 2)
            throw Error("a fan has no curve", "a curve made by fan_curve()");
        if (!(fan.disc_area > 0) || !(fan.locked_loss >= 0) || !(fan.freewheel_loss > 0) ||
            !(fan.windmill_velocity > 0))
            throw Error("a fan's disc, losses and windmilling velocity must be positive", "> 0");
    }
    std::vector<int> used(d.fans.size(), 0);
    for (const Shroud& shroud : d.shrouds) {
        check_rectangle(shroud.cover, "a shroud");
        check_areas(shroud.gap_area, "a shroud's gap area");
        check_areas(shroud.flap_area, "a shroud's flap area");
        for (std::size_t fan : shroud.fans) {
            if (fan >= d.fans.size())
                throw Error("a shroud names a fan that is not there", "an index into fans");
            ++used[fan];
        }
        if (shroud.fans.empty() && !(shroud.gap_area + shroud.flap_area > 0))
            throw Error("a shroud without fans must let air out", "a gap or flaps");
    }
    if (std::any_of(used.begin(), used.end(), [](int n) { return n != 1; }))
        throw Error("every fan sits in exactly one shroud", "see bare_fan() for a fan without one");
    for (std::size_t i = 0; i < d.shrouds.size(); ++i)
        for (std::size_t j = i + 1; j < d.shrouds.size(); ++j) {
            const Rectangle &a = d.shrouds[i].cover, &b = d.shrouds[j].cover;
            const double tiny = 1e-9;
            if (std::min(a.x + a.width, b.x + b.width) - std::max(a.x, b.x) > tiny &&
                std::min(a.y + a.height, b.y + b.height) - std::max(a.y, b.y) > tiny)
                throw Error("two shrouds cover the same part of the face", "apart");
        }
}

double sum_losses(const Opening& opening) {
    double sum = 0;
    for (const Loss& loss : opening.losses) sum += quadratic(loss);
    return sum;
}

std::vector<double> cuts(const PathDescription& d, bool horizontal) {
    std::vector<double> at;
    const auto add = [&](const Rectangle& r) {
        at.push_back(horizontal ? r.x : r.y);
        at.push_back(horizontal ? r.x + r.width : r.y + r.height);
    };
    for (const PathCore& core : d.cores) add(core.face);
    for (const Shroud& shroud : d.shrouds) add(shroud.cover);
    std::sort(at.begin(), at.end());
    at.erase(std::unique(at.begin(), at.end(),
                         [](double a, double b) { return std::abs(a - b) < 1e-9; }),
             at.end());
    return at;
}

bool same_fan(const Fan& a, const Fan& b) {
    return a.curve.flow == b.curve.flow && a.curve.pressure == b.curve.pressure &&
           a.curve.reference_density == b.curve.reference_density && a.disc_area == b.disc_area &&
           a.locked_loss == b.locked_loss && a.freewheel_loss == b.freewheel_loss &&
           a.windmill_velocity == b.windmill_velocity;
}

/// The face cut along every rectangle's edges. A cell lies wholly behind or beside each of them;
/// cells behind the same cores and shroud are one column. Cells without a core are blanked off.
struct Face {
    struct Kind {
        int shroud = -1;
        std::vector<std::size_t> cores;
        auto operator<=>(const Kind&) const = default;  // NOLINT(modernize-use-nullptr): its zero
    };
    std::vector<double> xs, ys;
    std::vector<int> column;  ///< of cell (i, j) at i * rows + j; -1: blank
    std::vector<Kind> kinds;  ///< of the columns
    std::vector<double> areas;
    [[nodiscard]] std::size_t rows() const { return ys.size() - 1; }
};

Face cut_face(const PathDescription& d) {
    Face face{.xs = cuts(d, true), .ys = cuts(d, false), .column = {}, .kinds = {}, .areas = {}};
    std::map<Face::Kind, int> known;
    std::vector<Face::Kind> cells;
    for (std::size_t i = 0; i + 1 < face.xs.size(); ++i)
        for (std::size_t j = 0; j + 1 < face.ys.size(); ++j) {
            const double x = (face.xs[i] + face.xs[i + 1]) / 2;
            const double y = (face.ys[j] + face.ys[j + 1]) / 2;
            Face::Kind kind;
            for (std::size_t c = 0; c < d.cores.size(); ++c)
                if (contains(d.cores[c].face, x, y)) kind.cores.push_back(c);
            for (std::size_t s = 0; s < d.shrouds.size(); ++s)
                if (contains(d.shrouds[s].cover, x, y)) kind.shroud = static_cast<int>(s);
            if (!kind.cores.empty()) known[kind] = 0;
            cells.push_back(std::move(kind));
        }
    for (auto& [kind, index] : known) {
        index = static_cast<int>(face.kinds.size());
        face.kinds.push_back(kind);
    }
    face.areas.assign(face.kinds.size(), 0);
    for (std::size_t cell = 0; cell < cells.size(); ++cell) {
        const std::size_t i = cell / face.rows(), j = cell % face.rows();
        face.column.push_back(cells[cell].cores.empty() ? -1 : known[cells[cell]]);
        if (face.column.back() >= 0)
            face.areas[static_cast<std::size_t>(face.column.back())] +=
                (face.xs[i + 1] - face.xs[i]) * (face.ys[j + 1] - face.ys[j]);
    }
    return face;
}

void add_columns(Path& path, const Face& face) {
    const PathDescription& d = path.description;
    std::vector<bool> breathes(d.shrouds.size(), false);
    for (std::size_t k = 0; k < face.kinds.size(); ++k) {
        const auto& [shroud, cores] = face.kinds[k];
        if (shroud >= 0) breathes[static_cast<std::size_t>(shroud)] = true;
        path.columns.push_back({.area = face.areas[k],
                                .shroud = shroud,
                                .first_passage = path.passages.size(),
                                .passages = cores.size()});
        for (std::size_t n = 0; n < cores.size(); ++n) {
            const int here = static_cast<int>(path.passages.size());
            path.passages.push_back({.core = cores[n],
                                     .column = k,
                                     .area = face.areas[k],
                                     .core_fraction = face.areas[k] / path.core_area[cores[n]],
                                     .upstream = n > 0 ? here - 1 : -1,
                                     .downstream = n + 1 < cores.size() ? here + 1 : -1});
        }
    }
    if (std::find(breathes.begin(), breathes.end(), false) != breathes.end())
        throw Error("a shroud covers no part of any core", "a cover that overlaps a core's face");
}

/// Links between columns with a common edge, ahead of a core both have, where at least one of them
/// has a core with a gap just ahead of it. A column with nothing ahead opens to the front plenum.
void add_links(Path& path, const Face& face) {
    std::map<std::pair<int, int>, double> edges;
    const auto touch = [&](std::size_t a, std::size_t b, double length) {
        const int one = face.column[a], other = face.column[b];
        if (one != other && one >= 0 && other >= 0)
            edges[{std::min(one, other), std::max(one, other)}] += length;
    };
    for (std::size_t i = 0; i + 1 < face.xs.size(); ++i)
        for (std::size_t j = 0; j < face.rows(); ++j) {
            const std::size_t cell = i * face.rows() + j;
            if (i + 2 < face.xs.size())
                touch(cell, cell + face.rows(), face.ys[j + 1] - face.ys[j]);
            if (j + 1 < face.rows()) touch(cell, cell + 1, face.xs[i + 1] - face.xs[i]);
        }
    const auto gap_ahead = [&](const Passage& p) {
        if (p.upstream < 0) return 0.0;
        const Passage& ahead = path.passages[static_cast<std::size_t>(p.upstream)];
        return path.description.cores[ahead.core].gap_behind;
    };
    for (const auto& [pair, length] : edges) {
        const FaceColumn& a = path.columns[static_cast<std::size_t>(pair.first)];
        const FaceColumn& b = path.columns[static_cast<std::size_t>(pair.second)];
        for (std::size_t m = a.first_passage; m < a.first_passage + a.passages; ++m)
            for (std::size_t n = b.first_passage; n < b.first_passage + b.passages; ++n) {
                const Passage &p = path.passages[m], &q = path.passages[n];
                if (p.core != q.core) continue;
                double one = gap_ahead(p), other = gap_ahead(q);
                if (p.upstream < 0) one = other;
                if (q.upstream < 0) other = one;
                const double gap_between = std::min(one, other);
                if (gap_between > 0) path.links.push_back({m, n, gap_between * length});
            }
    }
}

/// Nodes: front plenum, bay, shrouds, then a node ahead of every linked passage.
void add_branches(Path& path) {
    const PathDescription& d = path.description;
    constexpr int front = 0, bay = 1;
    int nodes = 2 + static_cast<int>(d.shrouds.size());
    const auto add = [&](Kind kind, int from, int to, std::size_t index, double b) {
        path.branches.push_back(
            {.kind = kind, .from = from, .to = to, .index = index, .passages = 0, .quadratic = b});
    };
    add(Kind::inlet, -1, front, 0, sum_losses(d.inlet));
    add(Kind::exit, bay, -1, 0, sum_losses(d.exit));
    if (d.leak_area > 0) add(Kind::leak, front, bay, 0, quadratic(gap(d.leak_area)));

    const auto pushed = [&](const FaceColumn& column) {
        return column.shroud >= 0 && d.shrouds[static_cast<std::size_t>(column.shroud)].pusher;
    };
    std::vector<int> ahead(path.passages.size(), -1);
    for (const GapLink& link : path.links)
        for (const std::size_t passage : {link.from, link.to}) {
            if (ahead[passage] >= 0) continue;
            const FaceColumn& column = path.columns[path.passages[passage].column];
            const int first = pushed(column) ? 2 + column.shroud : front;
            ahead[passage] = path.passages[passage].upstream < 0 ? first : nodes++;
        }
    for (const FaceColumn& column : path.columns) {
        const bool shrouded = column.shroud >= 0, pusher = pushed(column);
        int from = pusher ? 2 + column.shroud : front;
        const std::size_t end = column.first_passage + column.passages;
        for (std::size_t p = column.first_passage; p < end;) {
            std::size_t next = p + 1;
            while (next < end && ahead[next] < 0) ++next;
            const int last = shrouded && !pusher ? 2 + column.shroud : bay;
            const int to = next < end ? ahead[next] : last;
            add(Kind::segment, from, to, p, 0);
            path.branches.back().passages = next - p;
            from = to;
            p = next;
        }
    }
    path.fan_branch.resize(d.fans.size());
    for (std::size_t s = 0; s < d.shrouds.size(); ++s) {
        const Shroud& shroud = d.shrouds[s];
        const int here = 2 + static_cast<int>(s);
        const int from = shroud.pusher ? front : here, to = shroud.pusher ? here : bay;
        for (const std::size_t fan : shroud.fans) {
            path.fan_branch[fan] = path.branches.size();
            add(Kind::fan, from, to, fan, 0);
        }
        if (shroud.gap_area > 0) add(Kind::gap, from, to, s, quadratic(gap(shroud.gap_area)));
        if (shroud.flap_area > 0) add(Kind::flap, from, to, s, quadratic(gap(shroud.flap_area)));
    }
    for (std::size_t n = 0; n < path.links.size(); ++n) {
        const GapLink& link = path.links[n];
        add(Kind::link, ahead[link.from], ahead[link.to], n,
            quadratic({.coefficient = sideways_loss, .area = link.area}));
    }
    path.nodes = static_cast<std::size_t>(nodes);
}

void find_twins(Path& path) {
    const PathDescription& d = path.description;
    path.fan_twin.resize(d.fans.size());
    for (const Shroud& shroud : d.shrouds)
        for (std::size_t n = 0; n < shroud.fans.size(); ++n) {
            const std::size_t fan = shroud.fans[n];
            path.fan_twin[fan] = fan;
            for (std::size_t earlier = n; earlier-- > 0;) {
                const std::size_t other = shroud.fans[earlier];
                if (same_fan(d.fans[fan], d.fans[other])) path.fan_twin[fan] = path.fan_twin[other];
            }
        }
}

}  // namespace

Path make_path(PathDescription description) {
    check_description(description);
    Path path;
    path.description = std::move(description);
    const PathDescription& d = path.description;

    for (const PathCore& core : d.cores) path.core_area.push_back(core.face.area());
    const Face face = cut_face(d);
    add_columns(path, face);
    add_links(path, face);
    add_branches(path);
    find_twins(path);
    return path;
}

Shroud bare_fan(const Fan& fan, std::size_t index, const Rectangle& behind, double distance) {
    check_rectangle(behind, "the face behind a fan");
    if (!(distance >= 0)) throw Error("a fan's distance must not be negative", ">= 0 m");
    const double side = std::sqrt(fan.disc_area);
    const double width = std::min(side, behind.width);
    const double height = std::min(fan.disc_area / width, behind.height);
    constexpr double pi = 3.14159265358979323846;
    return {.cover = {.x = behind.x + (behind.width - width) / 2,
                      .y = behind.y + (behind.height - height) / 2,
                      .width = width,
                      .height = height},
            .fans = {index},
            .gap_area = distance * std::sqrt(4 * pi * fan.disc_area)};
}

PathInputs make_inputs(const Path& path, double ambient_density, double temperature) {
    PathInputs inputs;
    inputs.ambient_density = ambient_density;
    inputs.ambient_temperature = inputs.inlet_temperature = inputs.bay_temperature = temperature;
    inputs.passage_inlet_temperature.assign(path.passages.size(), temperature);
    inputs.passage_outlet_temperature.assign(path.passages.size(), temperature);
    inputs.fan_speed.assign(path.description.fans.size(), 0);
    return inputs;
}

PathFlow make_flow(const Path& path) {
    PathFlow flow;
    const PathDescription& d = path.description;
    flow.passage_flow.assign(path.passages.size(), 0);
    flow.column_flow.assign(path.columns.size(), 0);
    flow.link_flow.assign(path.links.size(), 0);
    flow.core_flow.assign(d.cores.size(), 0);
    flow.face_velocity.assign(d.cores.size(), 0);
    flow.fans.assign(d.fans.size(), {});
    flow.branches.assign(path.branches.size(), {});
    flow.branch_flow.assign(path.branches.size(), 0);
    const auto ambient = static_cast<std::int32_t>(path.nodes);
    std::vector<std::int32_t> from, to;
    for (const PathBranch& branch : path.branches) {
        from.push_back(branch.from < 0 ? ambient : branch.from);
        to.push_back(branch.to < 0 ? ambient : branch.to);
    }
    std::vector<bool> held(path.nodes + 1, false);
    held.back() = true;
    flow.network = {std::move(from), std::move(to), std::move(held)};
    flow.network.connect([](std::size_t) { return true; });
    return flow;
}

void passage_inlet_temperatures(const Path& path, const PathFlow& flow, double inlet_temperature,
                                double bay_temperature,
                                const std::vector<double>& outlet_temperature,
                                std::vector<double>& result) {
    for (std::size_t n = 0; n < path.passages.size(); ++n) {
        const Passage& p = path.passages[n];
        const bool forward = flow.passage_flow[n] >= 0;
        const int source = forward ? p.upstream : p.downstream;
        if (source >= 0)
            result[n] = outlet_temperature[static_cast<std::size_t>(source)];
        else
            result[n] = forward ? inlet_temperature : bay_temperature;
    }
    // Air from the side mixes in at the node ahead of a passage. Three rounds carry it across as
    // many columns; further than that nothing measurable arrives.
    const auto node = [&](std::size_t passage) {
        return flow.passage_flow[passage] >= 0 ? result[passage] : outlet_temperature[passage];
    };
    for (int round = 0; !path.links.empty() && round < 3; ++round)
        for (std::size_t n = 0; n < path.passages.size(); ++n) {
            const Passage& p = path.passages[n];
            if (p.upstream < 0 || flow.passage_flow[n] <= 0) continue;
            const std::size_t up = static_cast<std::size_t>(p.upstream);
            double flow_in = std::max(0.0, flow.passage_flow[up]);
            double heat = flow_in * outlet_temperature[up];
            for (std::size_t l = 0; l < path.links.size(); ++l) {
                const GapLink& link = path.links[l];
                const double side = link.to == n     ? flow.link_flow[l]
                                    : link.from == n ? -flow.link_flow[l]
                                                     : 0;
                if (side <= 0) continue;
                flow_in += side;
                heat += side * node(link.to == n ? link.from : link.to);
            }
            if (flow_in > 0) result[n] = heat / flow_in;
        }
}

}  // namespace lapheat::airflow
