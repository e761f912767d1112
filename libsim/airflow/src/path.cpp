// Cuts a placement's face into columns and checks the description.
#include <lapheat/airflow/path.hpp>

#include <algorithm>
#include <cmath>
#include <lapheat/units/error.hpp>
#include <map>
#include <utility>

namespace lapheat::airflow {
namespace {

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

}  // namespace

Path make_path(PathDescription description) {
    check_description(description);
    Path path;
    path.description = std::move(description);
    const PathDescription& d = path.description;

    // Every cell between the rectangles' edges lies wholly behind or beside each of them; cells
    // behind the same cores and shroud are one column. Cells without a core are blanked off.
    using Key = std::pair<int, std::vector<std::size_t>>;
    std::map<Key, double> areas;
    const std::vector<double> xs = cuts(d, true), ys = cuts(d, false);
    for (std::size_t i = 0; i + 1 < xs.size(); ++i)
        for (std::size_t j = 0; j + 1 < ys.size(); ++j) {
            const double x = (xs[i] + xs[i + 1]) / 2, y = (ys[j] + ys[j + 1]) / 2;
            Key key{-1, {}};
            for (std::size_t c = 0; c < d.cores.size(); ++c)
                if (contains(d.cores[c].face, x, y)) key.second.push_back(c);
            for (std::size_t s = 0; s < d.shrouds.size(); ++s)
                if (contains(d.shrouds[s].cover, x, y)) key.first = static_cast<int>(s);
            if (!key.second.empty()) areas[key] += (xs[i + 1] - xs[i]) * (ys[j + 1] - ys[j]);
        }

    for (const PathCore& core : d.cores) path.core_area.push_back(core.face.area());
    std::vector<bool> breathes(d.shrouds.size(), false);
    for (const auto& [key, area] : areas) {
        Column column{.area = area,
                      .shroud = key.first,
                      .first_passage = path.passages.size(),
                      .passages = key.second.size()};
        if (key.first >= 0) breathes[static_cast<std::size_t>(key.first)] = true;
        for (std::size_t n = 0; n < key.second.size(); ++n) {
            const int here = static_cast<int>(path.passages.size());
            const std::size_t core = key.second[n];
            path.passages.push_back({.core = core,
                                     .column = path.columns.size(),
                                     .area = area,
                                     .core_fraction = area / path.core_area[core],
                                     .upstream = n > 0 ? here - 1 : -1,
                                     .downstream = n + 1 < key.second.size() ? here + 1 : -1});
        }
        path.columns.push_back(column);
    }
    if (std::find(breathes.begin(), breathes.end(), false) != breathes.end())
        throw Error("a shroud covers no part of any core", "a cover that overlaps a core's face");

    path.inlet_quadratic = sum_losses(d.inlet);
    path.exit_quadratic = sum_losses(d.exit);
    path.leak_quadratic = d.leak_area > 0 ? quadratic(gap(d.leak_area)) : 0;
    path.fan_shroud.resize(d.fans.size());
    path.fan_twin.resize(d.fans.size());
    for (std::size_t s = 0; s < d.shrouds.size(); ++s)
        for (std::size_t n = 0; n < d.shrouds[s].fans.size(); ++n) {
            const std::size_t fan = d.shrouds[s].fans[n];
            path.fan_shroud[fan] = s;
            path.fan_twin[fan] = fan;
            for (std::size_t earlier = 0; earlier < n; ++earlier) {
                const std::size_t other = d.shrouds[s].fans[earlier];
                if (same_fan(d.fans[fan], d.fans[other])) {
                    path.fan_twin[fan] = path.fan_twin[other];
                    break;
                }
            }
        }
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
    flow.column_flow.assign(path.columns.size(), 0);
    flow.core_flow.assign(d.cores.size(), 0);
    flow.face_velocity.assign(d.cores.size(), 0);
    flow.fans.assign(d.fans.size(), {});
    flow.branches.assign(3 + path.columns.size() + d.fans.size() + 2 * d.shrouds.size(), {});
    return flow;
}

}  // namespace lapheat::airflow
