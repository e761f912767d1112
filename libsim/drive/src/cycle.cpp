#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/cycle.hpp>
#include <lapheat/units/error.hpp>
#include <utility>

#include "cycle_columns.hpp"
#include "sizes.hpp"

namespace lapheat::drive {

namespace {

std::string number(double x) { return fmt::format("{:.9g}", x); }

[[noreturn]] void bad_row(std::size_t k, const std::string& column, const std::string& what,
                          const std::string& expected) {
    throw Error(fmt::format("row {}: {} {}", k + 1, column, what), expected, {}, column);
}

/// Copies row k of one cycle to the end of another, with another time.
void push_row(Cycle& to, const Cycle& from, std::size_t k, double time) {
    to.time.push_back(time);
    for (const CycleColumn& c : cycle_columns) (to.*c.field).push_back((from.*c.field)[k]);
    to.engine_on.push_back(from.engine_on[k]);
    to.selector.push_back(from.selector[k]);
    to.gear.push_back(from.gear[k]);
}

void pop_row(Cycle& c) {
    c.time.pop_back();
    for (const CycleColumn& column : cycle_columns) (c.*column.field).pop_back();
    c.engine_on.pop_back();
    c.selector.pop_back();
    c.gear.pop_back();
}

}  // namespace

std::vector<std::string> column_names() {
    std::vector<std::string> names{"time"};
    for (const CycleColumn& c : cycle_columns) names.emplace_back(c.name);
    for (const char* name : {"engine_on", "selector", "gear"}) names.emplace_back(name);
    return names;
}

void surround(Cycle& c, const Surroundings& s) {
    const std::size_t n = c.size();
    c.altitude.assign(n, s.altitude);
    c.ambient.assign(n, s.ambient);
    c.humidity.assign(n, s.humidity);
    c.sun.assign(n, s.sun);
    c.wind.assign(n, s.wind);
}

Cycle make_cycle(std::string name, std::vector<double> time, std::vector<double> speed,
                 const Surroundings& s) {
    Cycle c;
    c.name = std::move(name);
    c.time = std::move(time);
    const std::size_t n = c.time.size();
    for (const CycleColumn& column : cycle_columns) (c.*column.field).assign(n, 0.0);
    c.speed = std::move(speed);
    c.engine_on.assign(n, 1);
    c.selector.assign(n, Selector::drive);
    c.gear.assign(n, 0);
    surround(c, s);
    validate(c);
    return c;
}

void validate(const Cycle& c) {
    const std::size_t n = c.size();
    if (n < 2)
        throw Error(fmt::format("a cycle needs at least two rows, this one has {}", n),
                    "two or more knots of time", {}, "time");
    auto length = [n](std::size_t m, const char* name) {
        if (m != n)
            throw Error(fmt::format("column {} has {} rows, time has {}", name, m, n),
                        "columns of equal length", {}, name);
    };
    for (std::size_t k = 0; k < n; ++k) {
        if (!std::isfinite(c.time[k])) bad_row(k, "time", "is not a number", "seconds");
        if (k > 0 && !(c.time[k] > c.time[k - 1]))
            bad_row(k, "time", number(c.time[k]) + " does not ascend", "seconds, ascending");
    }
    for (const CycleColumn& column : cycle_columns) {
        const std::vector<double>& x = c.*column.field;
        length(x.size(), column.name);
        for (std::size_t k = 0; k < n; ++k)
            if (!(x[k] >= column.low && x[k] <= column.high))
                bad_row(k, column.name, number(x[k]) + " is out of range", column.expected);
    }
    length(c.engine_on.size(), "engine_on");
    length(c.selector.size(), "selector");
    length(c.gear.size(), "gear");
    for (std::size_t k = 0; k < n; ++k)
        if (c.gear[k] < 0 || c.gear[k] > 12)
            bad_row(k, "gear", fmt::format("{} is out of range", c.gear[k]), "0 (by rule) to 12");
}

Cycle from_columns(std::string name, const std::map<std::string, std::vector<double>>& columns,
                   const Surroundings& s) {
    auto need = [&](const char* key) -> const std::vector<double>& {
        const auto found = columns.find(key);
        if (found == columns.end())
            throw Error("the cycle has no column '" + std::string(key) + "'",
                        "columns time and speed", {}, key);
        return found->second;
    };
    const std::vector<double>& time = need("time");
    Cycle c = make_cycle(std::move(name), time, need("speed"), s);
    const std::size_t n = c.size();
    for (const auto& [key, values] : columns) {
        if (key == "time") continue;
        if (values.size() != n)
            throw Error(fmt::format("column {} has {} rows, time has {}", key, values.size(), n),
                        "columns of equal length", {}, key);
        const auto column =
            std::find_if(cycle_columns.begin(), cycle_columns.end(),
                         [&k = key](const CycleColumn& known) { return k == known.name; });
        if (column != cycle_columns.end()) {
            c.*(column->field) = values;
            continue;
        }
        const double high = key == "engine_on" ? 1 : key == "selector" ? 3 : 12;
        if (key != "engine_on" && key != "selector" && key != "gear") {
            std::string known;
            for (const std::string& each : column_names())
                known += (known.empty() ? "" : ", ") + each;
            throw Error("a cycle has no column '" + key + "'", known, {}, key);
        }
        for (std::size_t k = 0; k < n; ++k) {
            if (!(values[k] >= 0 && values[k] <= high && values[k] == std::floor(values[k])))
                bad_row(k, key, number(values[k]) + " is out of range",
                        "a whole number from 0 to " + number(high));
            const auto value = static_cast<std::uint8_t>(values[k]);
            if (key == "engine_on") c.engine_on[k] = value;
            if (key == "selector") c.selector[k] = static_cast<Selector>(value);
            if (key == "gear") c.gear[k] = static_cast<std::int8_t>(value);
        }
    }
    validate(c);
    return c;
}

void follow_road(Cycle& c, double altitude) {
    if (c.size() == 0) return;
    const auto [low, high] = std::minmax_element(c.altitude.begin(), c.altitude.end());
    if (*low == *high) {
        double now = altitude;
        c.altitude.front() = now;
        for (std::size_t k = 0; k + 1 < c.size(); ++k) {
            const double grade = 0.5 * (c.grade[k] + c.grade[k + 1]);
            now += 0.5 * (c.speed[k] + c.speed[k + 1]) * grade / std::sqrt(1 + grade * grade) *
                   (c.time[k + 1] - c.time[k]);
            c.altitude[k + 1] = now;
        }
        return;
    }
    const double shift = altitude - c.altitude.front();
    for (double& h : c.altitude) h += shift;
}

void cool_with_height(Cycle& c, double ambient, double altitude) {
    for (std::size_t k = 0; k < c.size(); ++k)
        c.ambient[k] = ambient - lapse_rate * (c.altitude[k] - altitude);
}

Cycle chain(const std::vector<Cycle>& parts, std::string name, double ramp) {
    if (parts.empty())
        throw Error("a chain of cycles needs at least one part", "one or more cycles", {}, "parts");
    if (!(ramp > 0))
        throw Error("the ramp between chained cycles must be positive", "m/s^2 above 0", {},
                    "ramp");
    std::size_t knots = 0;
    for (const Cycle& part : parts) knots += part.size();
    if (knots > most_knots)
        throw Error(fmt::format("a cycle of {} knots is too long", knots), "2 000 000 at most", {},
                    "segments");
    Cycle out;
    out.name = std::move(name);
    double now = 0;
    for (const Cycle& part : parts) {
        validate(part);
        if (out.size() > 0) {
            const double change = std::abs(part.speed.front() - out.speed.back());
            if (change > 1e-9) {
                // The ramp is driven: engine on and in drive unless both sides say otherwise.
                const std::size_t last = out.size() - 1;
                out.engine_on[last] = 1;
                if (out.selector[last] == Selector::park || out.selector[last] == Selector::neutral)
                    out.selector[last] = Selector::drive;
                now += std::max(change / ramp, 1e-3);
            } else {
                pop_row(out);
            }
        }
        const double shift = now - part.time.front();
        for (std::size_t k = 0; k < part.size(); ++k) push_row(out, part, k, part.time[k] + shift);
        if (part.phases.empty()) out.phases.push_back({part.name, now, part.time.back() + shift});
        for (Phase p : part.phases) {
            p.begin += shift, p.end += shift;
            out.phases.push_back(std::move(p));
        }
        now = out.time.back();
    }
    return out;
}

Cycle repeat(const Cycle& cycle, int times, double ramp) {
    if (times < 1)
        throw Error(fmt::format("a cycle can be repeated once or more, not {}", times), "1 or more",
                    {}, "times");
    if (cycle.size() > most_knots / static_cast<std::size_t>(times))
        throw Error(
            fmt::format("a cycle of {} knots, repeated {} times, is too long", cycle.size(), times),
            "2 000 000 knots at most", {}, "repeat");
    Cycle out = chain(std::vector<Cycle>(static_cast<std::size_t>(times), cycle), cycle.name, ramp);
    return out;
}

Cycle resample(const Cycle& c, double step) {
    validate(c);
    if (!(step > 0)) throw Error("the step must be positive", "seconds above 0", {}, "step");
    Cycle out;
    out.name = c.name;
    out.phases = c.phases;
    const double begin = c.time.front(), end = c.time.back();
    const auto count = static_cast<std::size_t>(std::ceil((end - begin) / step - 1e-9));
    std::size_t k = 0;
    for (std::size_t j = 0; j <= count; ++j) {
        const double now = j == count ? end : begin + static_cast<double>(j) * step;
        while (k + 2 < c.size() && c.time[k + 1] <= now) ++k;
        const double part = (now - c.time[k]) / (c.time[k + 1] - c.time[k]);
        push_row(out, c, part >= 1 ? k + 1 : k, now);
        for (const CycleColumn& column : cycle_columns) {
            const std::vector<double>& x = c.*column.field;
            (out.*column.field).back() = x[k] + part * (x[k + 1] - x[k]);
        }
    }
    return out;
}

Totals totals(const Cycle& c) {
    Totals t;
    for (std::size_t k = 0; k + 1 < c.size(); ++k) {
        const double dt = c.time[k + 1] - c.time[k];
        const double mean = 0.5 * (c.speed[k] + c.speed[k + 1]);
        const double a = (c.speed[k + 1] - c.speed[k]) / dt;
        t.distance += mean * dt;
        if (mean <= 0) t.stopped += dt;
        const double grade = 0.5 * (c.grade[k] + c.grade[k + 1]);
        t.climb += std::max(0.0, grade / std::sqrt(1 + grade * grade) * mean * dt);
        t.highest_acceleration = std::max(t.highest_acceleration, a);
        t.hardest_braking = std::max(t.hardest_braking, -a);
    }
    if (c.size() > 0) {
        t.duration = c.time.back() - c.time.front();
        t.maximum_speed = *std::max_element(c.speed.begin(), c.speed.end());
        if (t.duration > 0) t.mean_speed = t.distance / t.duration;
    }
    return t;
}

ExpectedTotals regulatory_totals(const std::string& name) {
    constexpr double mile = 1609.344, mph = 0.44704, kmh = 1 / 3.6;
    // From memory: US EPA schedule pages; UN GTR 15, Annex 1.
    if (name == "UDDS") return {1369, 7.45 * mile, 19.59 * mph, 56.7 * mph};
    if (name == "HWFET") return {765, 10.26 * mile, 48.3 * mph, 59.9 * mph};
    // The agency's table of US06 has four seconds at rest more than its text says.
    if (name == "US06") return {596, 8.01 * mile, 48.37 * mph, 80.3 * mph, 0.01};
    if (name == "WLTC class 3b") return {1800, 23266, 46.5 * kmh, 131.3 * kmh};
    throw Error("no published totals are known for the schedule '" + name + "'",
                "UDDS, HWFET, US06 or WLTC class 3b", {}, "name");
}

std::vector<std::string> compare_totals(const Cycle& c, const ExpectedTotals& e) {
    const Totals t = totals(c);
    std::vector<std::string> out;
    auto line = [&](const char* what, double ours, double theirs, const char* unit) {
        if (theirs > 0 && std::abs(ours - theirs) > e.tolerance * theirs)
            out.push_back(std::string(what) + " is " + number(ours) + ' ' + unit + ", expected " +
                          number(theirs) + ' ' + unit);
    };
    line("duration", t.duration, e.duration, "s");
    line("distance", t.distance, e.distance, "m");
    line("mean speed", t.mean_speed, e.mean_speed, "m/s");
    line("maximum speed", t.maximum_speed, e.maximum_speed, "m/s");
    return out;
}

}  // namespace lapheat::drive
