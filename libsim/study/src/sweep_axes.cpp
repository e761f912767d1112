// What a sweep varies, and the values of its points.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "lapheat/drive/generate.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/study/margin.hpp"
#include "lapheat/study/sweep.hpp"
#include "lapheat/units/text.hpp"

namespace lapheat::study {
namespace {

using units::Quantity, units::trimmed;

constexpr std::size_t most_sweep_points = 1'000'000'000;

std::string dimension_name(std::string_view what) {
    std::string out;
    for (const char c : what) {
        const bool plain = std::isalnum(static_cast<unsigned char>(c)) != 0;
        if (plain)
            out += c;
        else if (!out.empty() && out.back() != '_')
            out += '_';
    }
    while (!out.empty() && out.back() == '_') out.pop_back();
    return out;
}

/// What can be varied of the cycles.
struct OfCycle {
    SweepAxis::Of of;
    const char* name;
    Quantity quantity;
    const char* words;
    double low, high;  ///< SI, as a cycle may have them
};
constexpr OfCycle of_cycles[] = {
    {SweepAxis::Of::ambient, "ambient", Quantity::temperature,
     "highest air temperature of the cycle", 220, 340},
    {SweepAxis::Of::altitude, "altitude", Quantity::length, "altitude at which the cycle begins",
     -500, 6000},
    {SweepAxis::Of::grade, "grade", Quantity::ratio, "steepest grade of the cycle", -0.5, 0.5},
    {SweepAxis::Of::idle_time, "idle time", Quantity::time, "idling behind the cycle, in drive", 0,
     86400}};

const OfCycle* of_cycle(std::string_view what) {
    const auto* found = std::find_if(std::begin(of_cycles), std::end(of_cycles),
                                     [&](const OfCycle& of) { return what == of.name; });
    return found == std::end(of_cycles) ? nullptr : found;
}

/// What an axis may be, SI.
scenario::Range range_of(const SweepAxis& axis) {
    if (axis.handle) return axis.handle->range;
    for (const OfCycle& of : of_cycles)
        if (of.of == axis.of) return {.low = of.low, .high = of.high};
    return scenario::any_value;
}

void climb_by(drive::Cycle& cycle, double steepest) {
    const double most = *std::max_element(cycle.grade.begin(), cycle.grade.end());
    for (double& grade : cycle.grade) grade = most > 0 ? grade * steepest / most : steepest;
    const double begins = cycle.altitude.front();
    std::fill(cycle.altitude.begin(), cycle.altitude.end(), begins);
    drive::follow_road(cycle, begins);
}

void stand_behind(drive::Cycle& cycle, double seconds) {
    if (seconds == 0) return;
    drive::Cycle standing = drive::idle(seconds, drive::Selector::drive,
                                        {.ambient = cycle.ambient.back(),
                                         .humidity = cycle.humidity.back(),
                                         .sun = cycle.sun.back(),
                                         .wind = cycle.wind.back(),
                                         .altitude = cycle.altitude.back()});
    std::fill(standing.ac_demand.begin(), standing.ac_demand.end(), cycle.ac_demand.back());
    const std::string name = cycle.name;
    cycle = drive::chain({cycle, standing}, name);
}

/// The axis without its values.
SweepAxis axis_of(const scenario::Scenario& car, std::string_view what) {
    SweepAxis out;
    out.name = dimension_name(what);
    if (const OfCycle* of = of_cycle(what)) {
        out.of = of->of;
        out.quantity = of->quantity;
        out.words = of->words;
    } else {
        out.handle = scenario::handle(car, what);
        out.quantity = out.handle->quantity;
        out.words = out.handle->words;
    }
    return out;
}

void check_axis(const SweepAxis& axis) {
    if (axis.values.empty())
        throw Error("'" + axis.name + "' has no values", "one or more", {}, axis.name);
    const scenario::Range range = range_of(axis);
    const auto said = [&](double x) { return units::format(x, axis.quantity, units::System::si); };
    for (const double x : axis.values) {
        if (!std::isfinite(x) || !range.holds(x))
            throw Error(fmt::format("'{}' cannot be {}", axis.name, said(x)),
                        fmt::format("{} to {}", said(range.low), said(range.high)), {}, axis.name);
    }
    std::vector<double> sorted = axis.values;
    std::sort(sorted.begin(), sorted.end());
    if (const auto twice = std::adjacent_find(sorted.begin(), sorted.end()); twice != sorted.end())
        throw Error(fmt::format("'{}' has {} twice", axis.name,
                                units::format(*twice, axis.quantity, units::System::si)),
                    "each value once", {}, axis.name);
}

}  // namespace

SweepAxis sweep_axis(const scenario::Scenario& car, std::string_view what,
                     std::vector<double> values) {
    SweepAxis out = axis_of(car, std::string(trimmed(what)));
    out.values = std::move(values);
    check_axis(out);
    return out;
}

SweepAxis parse_sweep_axis(const scenario::Scenario& car, std::string_view text) {
    const std::size_t equals = text.find('=');
    const std::string example =
        "\"core width = 240 mm, 320 mm\" or \"ambient = 20 degC to 45 degC in 6\"";
    if (equals == std::string_view::npos)
        throw Error("'" + std::string(text) + "' says no values", example, {}, "--vary");
    SweepAxis out = axis_of(car, std::string(trimmed(text.substr(0, equals))));
    const std::string rest(trimmed(text.substr(equals + 1)));
    const auto number = [&](std::string_view said) {
        try {
            return units::parse(trimmed(said), out.quantity);
        } catch (const Error& e) {
            throw Error(fmt::format("{}: {}", out.name, e.what()), e.expected(), {}, "--vary");
        }
    };
    if (const std::size_t to = rest.find(" to "); to != std::string::npos) {
        const double low = number(rest.substr(0, to));
        std::string high = rest.substr(to + 4);
        std::size_t n = 2;
        if (const std::size_t in = high.rfind(" in "); in != std::string::npos) {
            const std::string count(trimmed(high.substr(in + 4)));
            const double asked = units::parse(count, Quantity::ratio);
            if (!(asked >= 2) || asked > 1e6 || asked != std::floor(asked))
                throw Error("'" + count + "' steps", "a whole number from 2 to 1000000", {},
                            "--vary");
            n = static_cast<std::size_t>(asked);
            high.resize(in);
        }
        const double top = number(high);
        if (!(low < top))
            throw Error("the range of '" + out.name + "' is empty", "the lower end first", {},
                        "--vary");
        for (std::size_t i = 0; i < n; ++i)
            out.values.push_back(i + 1 == n ? top
                                            : low + (top - low) * static_cast<double>(i) /
                                                        static_cast<double>(n - 1));
    } else {
        for (std::size_t at = 0; at <= rest.size();) {
            const std::size_t end = std::min(rest.find(',', at), rest.size());
            out.values.push_back(number(rest.substr(at, end - at)));
            at = end + 1;
        }
    }
    check_axis(out);
    return out;
}

std::vector<drive::Cycle> sweep_cycles(const std::vector<drive::Cycle>& cycles,
                                       const std::vector<SweepAxis>& axes,
                                       const std::vector<double>& values) {
    std::vector<drive::Cycle> out = cycles;
    for (std::size_t a = 0; a < axes.size(); ++a)
        for (drive::Cycle& cycle : out) switch (axes[a].of) {
                case SweepAxis::Of::car:
                    break;
                case SweepAxis::Of::ambient:
                    cycle = shifted(cycle, values[a] - *std::max_element(cycle.ambient.begin(),
                                                                         cycle.ambient.end()));
                    break;
                case SweepAxis::Of::altitude: {
                    const double up = values[a] - cycle.altitude.front();
                    for (double& height : cycle.altitude) height += up;
                    break;
                }
                case SweepAxis::Of::grade:
                    climb_by(cycle, values[a]);
                    break;
                case SweepAxis::Of::idle_time:
                    stand_behind(cycle, values[a]);
                    break;
            }
    for (const drive::Cycle& cycle : out) drive::validate(cycle);
    return out;
}

std::size_t sweep_size(const std::vector<SweepAxis>& axes, const SweepOptions& o) {
    if (axes.empty()) throw Error("nothing is varied", "one number or more", {}, "--vary");
    for (std::size_t a = 0; a < axes.size(); ++a) {
        check_axis(axes[a]);
        for (std::size_t b = 0; b < a; ++b)
            if (axes[a].name == axes[b].name)
                throw Error("'" + axes[a].name + "' is varied twice", "each once", {}, "--vary");
        if (o.points > 0 && axes[a].values.size() < 2)
            throw Error("'" + axes[a].name + "' has one value, and points are spread between two",
                        "its two ends", {}, "--vary");
    }
    double points = static_cast<double>(o.points);
    if (o.points == 0) {
        points = 1;
        for (const SweepAxis& axis : axes) points *= static_cast<double>(axis.values.size());
    }
    if (points > static_cast<double>(most_sweep_points))
        throw Error(fmt::format("{:.3g} points", points), "1e9 at most", {}, "--vary");
    return static_cast<std::size_t>(points);
}

std::vector<double> sweep_values(const std::vector<SweepAxis>& axes, const SweepOptions& o,
                                 std::size_t index) {
    std::vector<double> out(axes.size());
    if (o.points == 0) {
        for (std::size_t a = axes.size(); a-- > 0;) {
            out[a] = axes[a].values[index % axes[a].values.size()];
            index /= axes[a].values.size();
        }
        return out;
    }
    std::vector<std::uint64_t> keys;
    for (const SweepAxis& axis : axes) keys.push_back(solve::mixed(o.series, axis.name));
    solve::ScrambledPoints(std::move(keys)).point(static_cast<std::uint32_t>(index), out);
    for (std::size_t a = 0; a < axes.size(); ++a) {
        const auto [low, high] = std::minmax_element(axes[a].values.begin(), axes[a].values.end());
        out[a] = std::lerp(*low, *high, out[a]);
    }
    return out;
}

}  // namespace lapheat::study
