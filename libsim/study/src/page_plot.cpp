// The page's drawings as inline SVG.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {
namespace {

using html::Attributes, html::element, html::tag;
using units::Quantity;

// Drawing units: one is one CSS pixel on a phone.
constexpr double width = 400, height = 250, left = 36, right = 306, top = 10, bottom = 218;
constexpr double label_gap = 12;  // between lines of text

std::string number(double x) { return fmt::format("{:.1f}", x); }

struct PlotCurve {
    std::string name, css, loop;
    const std::vector<double>* values = nullptr;
    const std::vector<double>* limit = nullptr;
};

struct Frame {
    Axis axis;
    double start = 0, end = 1;  ///< s
    units::System system = units::System::si;

    [[nodiscard]] double x(double time) const {
        return left + (right - left) * (time - start) / (end - start);
    }
    [[nodiscard]] double y(double kelvin) const {
        const double v = units::to_display(kelvin, Quantity::temperature, system);
        return bottom + (top - bottom) * (v - axis.low) / (axis.high - axis.low);
    }
};

/// Of round temperatures along an axis of that length.
double axis_step(double length) { return length > 200 ? 50 : 20; }

/// Points of a line, at most about `points`: of each stretch its lowest and its highest value.
std::string polyline(const Frame& frame, const std::vector<double>& time,
                     const std::vector<double>& values, std::size_t points) {
    const std::size_t n = std::min(time.size(), values.size());
    const std::size_t stretch = std::max<std::size_t>(1, 2 * n / std::max<std::size_t>(points, 2));
    std::string out;
    const auto add = [&](std::size_t i) {
        out +=
            (out.empty() ? "" : " ") + number(frame.x(time[i])) + "," + number(frame.y(values[i]));
    };
    if (n > 0) add(0);
    for (std::size_t i = 1; i < n; i += stretch) {
        const std::size_t end = std::min(i + stretch, n);
        std::size_t low = i, high = i;
        for (std::size_t k = i; k < end; ++k) {
            if (values[k] < values[low]) low = k;
            if (values[k] > values[high]) high = k;
        }
        add(std::min(low, high));
        if (low != high) add(std::max(low, high));
    }
    if (n > 1) add(n - 1);
    return out;
}

/// Heights for labels, kept apart by label_gap and inside the frame, in the order of their wishes.
std::vector<double> spread(std::vector<double> wish) {
    std::vector<std::size_t> order(wish.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](auto a, auto b) { return wish[a] < wish[b]; });
    for (std::size_t k = 0; k < order.size(); ++k) {
        const double least = k == 0 ? top + 4 : wish[order[k - 1]] + label_gap;
        wish[order[k]] = std::max(wish[order[k]], least);
    }
    double most = bottom;
    for (std::size_t k = order.size(); k-- > 0;) {
        wish[order[k]] = std::min(wish[order[k]], most);
        most = wish[order[k]] - label_gap;
    }
    return wish;
}

/// The area between two lines, thinned.
Html area(const Frame& frame, const Band& band) {
    constexpr std::size_t every = 4;
    std::string there, back;
    for (std::size_t i = 0; i < band.time.size(); i += every) {
        const std::string x = number(frame.x(frame.start + band.time[i]));
        there += (there.empty() ? "" : " ") + x + "," + number(frame.y(band.high[i]));
        back = " " + x + "," + number(frame.y(band.low[i])) + back;
    }
    return element("polygon", {{"class", "nine"}, {"points", there + back}});
}

constexpr units::System both[] = {units::System::si, units::System::us};

/// Temperatures at the frame's lower and upper end in a system's unit.
std::pair<double, double> ends_in(const Frame& frame, units::System system) {
    const auto shown = [](double kelvin, units::System s) {
        return units::to_display(kelvin, Quantity::temperature, s);
    };
    // Display units are straight lines of the kelvin.
    const double zero = shown(0, frame.system), degree = shown(1, frame.system) - zero;
    return {shown((frame.axis.low - zero) / degree, system),
            shown((frame.axis.high - zero) / degree, system)};
}

/// Lines across at round temperatures of a system's unit.
Html temperature_grid(const Frame& frame, units::System system) {
    const auto [low, high] = ends_in(frame, system);
    const double step = system == frame.system ? frame.axis.step : axis_step(high - low);
    Html out;
    for (double v = step * std::ceil(low / step - 1e-9); v <= high + 1e-9; v += step) {
        const double y = bottom + (top - bottom) * (v - low) / (high - low);
        out += line("grid", left, y, right, y) + label("end", left - 4, y + 4, say_number(v));
    }
    return element("g", {{"class", only_in(system)}}, out);
}

Html grid(const Frame& frame) {
    Html out;
    for (const units::System system : both) out += temperature_grid(frame, system);
    const double minutes = (frame.end - frame.start) / 60;
    double step = 1;
    for (const double s : {1.0, 2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 60.0, 120.0, 240.0, 480.0})
        if (minutes / (step = s) <= 6) break;
    for (double m = 0; m <= minutes + 1e-9; m += step) {
        const double x = frame.x(frame.start + 60 * m);
        out +=
            line("axis", x, bottom, x, bottom + 4) + label("middle", x, bottom + 16, say_number(m));
    }
    return out + line("axis", left, bottom, right, bottom) +
           label("middle", (left + right) / 2, height - 3, "time, min");
}

std::vector<PlotCurve> curves(const model::Result& result) {
    std::vector<PlotCurve> out;
    for (const model::Verdict& v : result.verdicts) {
        const auto* t = result.find("loops/" + v.loop, "watched_temperature");
        const auto* limit = result.find("loops/" + v.loop, "limit");
        if (t && !t->values.empty())
            out.push_back({plain_name(v.loop), model::name_of(v.role), v.loop, &t->values,
                           limit ? &limit->values : nullptr});
    }
    const auto* air = result.find("air", "ambient_temperature");
    if (air && !air->values.empty()) out.push_back({"air", "air", "", &air->values, nullptr});
    return out;
}

std::string described(const CycleOutcome& outcome, units::System system) {
    std::string out = "Temperatures against time. ";
    for (const model::Verdict& v : outcome.result.verdicts)
        out += sentence_case(plain_name(v.loop)) + " peaks at " +
               say(v.peak, Quantity::temperature, system) + " after " + say_time(v.peak_time) +
               ", least margin " + say(v.margin, Quantity::temperature_difference, system) + ". ";
    return out;
}

}  // namespace

std::string id(const std::string& name, units::System system) {
    return system == units::System::us ? name + "-us" : name;
}

const char* only_in(units::System system) {
    return system == units::System::us ? "in-us" : "in-si";
}

Html line(const char* css, double x1, double y1, double x2, double y2) {
    return element("line", {{"class", css},
                            {"x1", number(x1)},
                            {"y1", number(y1)},
                            {"x2", number(x2)},
                            {"y2", number(y2)}});
}

Html label(const char* anchor, double x, double y, const std::string& text) {
    return element("text", {{"x", number(x)}, {"y", number(y)}, {"text-anchor", anchor}}, text);
}

std::string fluid_class(const Comparison& comparison, const std::string& loop) {
    for (const CycleOutcome& outcome : comparison.outcomes)
        for (const model::Verdict& v : outcome.result.verdicts)
            if (v.loop == loop) return model::name_of(v.role);
    return model::name_of(model::LoopRole::other);
}

Axis temperature_axis(const Comparison& comparison, units::System system) {
    double low = 1e9, high = -1e9;
    const auto include = [&](double kelvin) {
        const double v = units::to_display(kelvin, Quantity::temperature, system);
        if (!std::isfinite(v)) return;
        low = std::min(low, v);
        high = std::max(high, v);
    };
    for (const CycleOutcome& o : comparison.outcomes) {
        for (const model::Verdict& v : o.result.verdicts)
            for (const double t : {v.peak, v.limit}) include(t);
        for (const PlotCurve& c : curves(o.result)) {
            if (comparison.certainty)
                if (const Band* b = comparison.certainty->band(o.placement, o.cycle, c.loop))
                    for (const auto* edge : {&b->low, &b->high})
                        for (const double t : *edge) include(t);
            for (const double t : *c.values) include(t);
            if (c.limit)
                for (const double t : *c.limit) include(t);
        }
    }
    Axis axis;
    if (!(high > low)) return {0, 100, 20};
    axis.step = axis_step(high - low);
    axis.low = axis.step * std::floor(low / axis.step);
    axis.high = axis.step * std::ceil((high + 1) / axis.step);
    return axis;
}

namespace {

/// A fluid's line and its limit, the name beside its end at height `tag_y`.
Html curve(const Frame& frame, const model::Result& result, const PlotCurve& c, double tag_y,
           std::size_t points, const Band* band) {
    Html out;
    if (band) out += area(frame, *band);
    if (c.limit)
        out += element("polyline", {{"class", "limit"},
                                    {"points", polyline(frame, result.time, *c.limit, 60)}});
    out += element("polyline", {{"class", "line"},
                                {"data-name", c.name},
                                {"points", polyline(frame, result.time, *c.values, points)}});
    out += line("lead", right, frame.y(c.values->back()), right + 8, tag_y - 4);
    out += element("text", {{"class", "tag"}, {"x", number(right + 10)}, {"y", number(tag_y)}},
                   c.name);
    return element("g", {{"class", c.css}}, out);
}

/// What the script needs to read times and temperatures off the drawing, in either unit.
Attributes scales(const Frame& frame) {
    const auto [si_low, si_high] = ends_in(frame, units::System::si);
    const auto [us_low, us_high] = ends_in(frame, units::System::us);
    return {{"data-x0", number(left)},
            {"data-x1", number(right)},
            {"data-y0", number(bottom)},
            {"data-y1", number(top)},
            {"data-t", number(frame.end - frame.start)},
            {"data-si-low", number(si_low)},
            {"data-si-high", number(si_high)},
            {"data-si-unit", unit_word(Quantity::temperature, units::System::si)},
            {"data-us-low", number(us_low)},
            {"data-us-high", number(us_high)},
            {"data-us-unit", unit_word(Quantity::temperature, units::System::us)}};
}

Html caption(const std::string& cycle) {
    Html out;
    for (const units::System system : both)
        out += element("span", {{"class", only_in(system)}},
                       with_unit(sentence_case(cycle), Quantity::temperature, system));
    return tag("figcaption", out);
}

}  // namespace

Html temperature_plot(const CycleOutcome& outcome, const Axis& axis, std::size_t points,
                      const std::string& id, units::System system, const Certainty* sure) {
    const model::Result& result = outcome.result;
    const std::vector<PlotCurve> lines = curves(result);
    if (lines.empty() || result.time.size() < 2) return {};
    const Frame frame{axis, result.time.front(), result.time.back(), system};
    std::vector<double> ends, limits;
    for (const PlotCurve& c : lines) {
        ends.push_back(frame.y(c.values->back()) + 4);
        if (c.limit) limits.push_back(frame.y(c.limit->front()) - 3);
    }
    ends = spread(ends);
    limits = spread(limits);
    Html body = grid(frame), limit_names;
    std::size_t limit_number = 0;
    for (std::size_t i = 0; i < lines.size(); ++i) {
        const Band* band =
            sure ? sure->band(outcome.placement, outcome.cycle, lines[i].loop) : nullptr;
        body += curve(frame, result, lines[i], ends[i], points, band);
        if (lines[i].limit)
            limit_names += element("text",
                                   {{"class", "tag " + lines[i].css},
                                    {"x", number(left + 4)},
                                    {"y", number(limits[limit_number++])}},
                                   lines[i].name + " limit");
    }
    const std::string name = sentence_case(outcome.placement);
    // The limits' names come last, so that no line crosses the words.
    return element(
        "figure", scales(frame), caption(outcome.cycle),
        element("svg",
                {{"viewBox", fmt::format("0 0 {} {}", number(width), number(height))},
                 {"role", "img"},
                 {"aria-labelledby", id}},
                element("title", {{"id", id}},
                        fmt::format("{}, {}. {}", name, outcome.cycle, described(outcome, system))),
                body, limit_names));
}

namespace {

constexpr double bar_length = 200, bar_thickness = 12;

Html bar_frame(const std::string& css, const Html& inside) {
    return element(
        "svg",
        {{"class", css},
         {"viewBox", fmt::format("0 0 {} {}", number(bar_length), number(bar_thickness))},
         {"preserveAspectRatio", "none"},
         {"aria-hidden", "true"}},
        inside);
}

/// Where a margin stands along a bar's scale from `low` to `high`.
double along(double margin, double low, double high) {
    return (std::clamp(margin, low, high) - low) * bar_length / std::max(high - low, 1e-9);
}

Html bar_rect(const char* css, double from, double to) {
    return element("rect", {{"class", css},
                            {"x", number(std::min(from, to))},
                            {"y", "2"},
                            {"width", number(std::max(std::abs(to - from), 0.5))},
                            {"height", "8"}});
}

}  // namespace

Html margin_bar(double margin, double low, double high, const std::string& css) {
    const double zero = along(0, low, high);
    return bar_frame(css,
                     bar_rect(margin < 0 ? "bar over" : "bar", zero, along(margin, low, high)) +
                         line("axis", zero, 0, zero, bar_thickness));
}

Html margin_band(double from, double middle, double to, double low, double high,
                 const std::string& css) {
    const double zero = along(0, low, high), at = along(middle, low, high);
    Html out = bar_rect("range", along(from, low, high), along(to, low, high));
    if (from < 0)
        out += bar_rect("range over", along(from, low, high), along(std::min(to, 0.0), low, high));
    return bar_frame(css, out + line("middle", at, 0, at, bar_thickness) +
                              line("axis", zero, 0, zero, bar_thickness));
}

}  // namespace lapheat::study::page
