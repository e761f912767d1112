#include "page_log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "lapheat/results/report.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study::page {
namespace {

using html::element, html::tag;
using units::Quantity, units::System;

// Drawing units: one is one CSS pixel on a phone.
constexpr double left = 40, right = 388, top = 22, bottom = 190, width = 400, height = 226;
constexpr std::size_t most_points = 400;

std::string number(double x) { return fmt::format("{:.1f}", x); }

/// Some five round steps over all values, in the unit shown.
struct RoundSteps {
    double low = 0, high = 1, step = 1;

    RoundSteps(double from, double to) {
        const double rough = std::max(to - from, 1.0) / 5;
        const double ten = std::pow(10.0, std::floor(std::log10(rough)));
        for (const double s : {1.0, 2.0, 5.0, 10.0})
            if ((step = s * ten) >= rough) break;
        low = step * std::floor(from / step + 1e-9);
        high = std::max(step * std::ceil(to / step - 1e-9), low + step);
    }
};

/// One drawing over the time of a log: lines and an area in one quantity.
class Drawing {
  public:
    Drawing(const std::vector<double>& time, System system, Quantity quantity,
            const std::vector<const std::vector<double>*>& all)
        : time_(time), system_(system), quantity_(quantity), scale_(scale_of(all)) {}

    [[nodiscard]] Html line(const char* css, const std::vector<double>& values) const {
        Html out;
        std::string points;
        const auto done = [&] {
            if (!points.empty()) out += element("polyline", {{"class", css}, {"points", points}});
            points.clear();
        };
        for (std::size_t i = 0; i < time_.size(); i += every()) {
            if (!std::isfinite(values[i])) {
                done();
                continue;
            }
            points += (points.empty() ? "" : " ") + at(i, values[i]);
        }
        done();
        return out;
    }
    [[nodiscard]] Html area(const std::vector<double>& low, const std::vector<double>& high) const {
        std::string there, back;
        for (std::size_t i = 0; i < time_.size(); i += every()) {
            if (!std::isfinite(low[i]) || !std::isfinite(high[i])) continue;
            there += (there.empty() ? "" : " ") + at(i, high[i]);
            back = " " + at(i, low[i]) + back;
        }
        return element("polygon", {{"class", "nine"}, {"points", there + back}});
    }
    [[nodiscard]] Html grid(const char* words) const {
        Html out;
        const int steps = static_cast<int>(std::lround((scale_.high - scale_.low) / scale_.step));
        for (int i = 0; i <= steps; ++i) {
            const double v = scale_.low + i * scale_.step, y = height_of(v);
            const bool zero = quantity_ != Quantity::temperature && std::abs(v) < 1e-9;
            out += page::line(zero ? "axis" : "grid", left, y, right, y) +
                   label("end", left - 5, y + 4, say_number(std::abs(v) < 1e-9 ? 0 : v));
        }
        const double minutes = duration() / 60;
        double step = 1;
        for (const double s : {1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0})
            if ((step = s) * 7 >= minutes) break;
        for (double m = 0; m <= minutes + 1e-9; m += step) {
            const double x = left + (right - left) * 60 * m / duration();
            out += page::line("axis", x, bottom, x, bottom + 4) +
                   label("middle", x, bottom + 16, say_number(m));
        }
        return out + page::line("axis", left, bottom, right, bottom) +
               label("middle", (left + right) / 2, height - 3, "time, min") +
               label("start", 4, 12, with_unit(words, quantity_, system_));
    }

  private:
    RoundSteps scale_of(const std::vector<const std::vector<double>*>& all) const {
        double low = 1e9, high = -1e9;
        for (const auto* values : all)
            for (const double x : *values)
                if (std::isfinite(x)) {
                    const double v = units::to_display(x, quantity_, system_);
                    low = std::min(low, v), high = std::max(high, v);
                }
        return high >= low ? RoundSteps(low, high) : RoundSteps(0, 1);
    }
    [[nodiscard]] std::size_t every() const { return 1 + time_.size() / most_points; }
    [[nodiscard]] double duration() const { return std::max(time_.back() - time_.front(), 1.0); }
    [[nodiscard]] double height_of(double v) const {
        return bottom + (top - bottom) * (v - scale_.low) / (scale_.high - scale_.low);
    }
    [[nodiscard]] std::string at(std::size_t i, double value) const {
        return number(left + (right - left) * (time_[i] - time_.front()) / duration()) + "," +
               number(height_of(units::to_display(value, quantity_, system_)));
    }

    const std::vector<double>& time_;
    System system_;
    Quantity quantity_;
    RoundSteps scale_;
};

const char* colour_of(scenario::Signal signal) {
    using scenario::Signal;
    return signal == Signal::transmission ? "transmission"
           : signal == Signal::steering   ? "steering"
           : signal == Signal::engine_oil ? "engine_oil"
                                          : "coolant";
}

Html figure(const std::string& caption, const std::string& name, const std::string& described,
            const char* css, const Html& lines, const Html& grid) {
    return element("figure", {}, tag("figcaption", caption),
                   element("svg",
                           {{"viewBox", fmt::format("0 0 {} {}", number(width), number(height))},
                            {"role", "img"},
                            {"aria-labelledby", name}},
                           element("title", {{"id", name}}, described), grid,
                           element("g", {{"class", css}}, lines)));
}

std::vector<double> less(const std::vector<double>& a, const std::vector<double>& b) {
    std::vector<double> out;
    for (std::size_t i = 0; i < a.size(); ++i) out.push_back(a[i] - b[i]);
    return out;
}

}  // namespace

Html logged_drive(const LoggedPlot& plot, System system) {
    const TracedFluid& f = *plot.fluid;
    if (f.time.size() < 2) return {};
    const std::string what = sentence_case(f.loop) + ", " +
                             std::filesystem::path(plot.log).filename().string() +
                             (plot.what.empty() ? "" : ", " + plot.what);
    const char* css = colour_of(f.signal);
    const std::vector<double> low(plot.low.begin(), plot.low.end()),
        high(plot.high.begin(), plot.high.end()), none;
    const std::vector<double>& before = plot.before != nullptr ? plot.before->model : none;
    const auto off = [&](const std::vector<double>& x) { return less(x, f.logged); };
    const std::vector<double> off_low = off(low), off_high = off(high), off_before = off(before),
                              off_line = off(f.model);
    const Drawing warm(f.time, system, Quantity::temperature,
                       {&f.logged, &before, &f.model, &low, &high});
    const Drawing apart(f.time, system, Quantity::temperature_difference,
                        {&off_before, &off_line, &off_low, &off_high});
    const auto drawn = [&](const Drawing& drawing, const std::vector<double>& from,
                           const std::vector<double>& to, const std::vector<double>& dotted,
                           const std::vector<double>& line) {
        return (from.empty() ? Html{} : drawing.area(from, to)) +
               (dotted.empty() ? Html{} : drawing.line("limit", dotted)) +
               drawing.line("line", line);
    };
    const auto kelvin = [&](double x) { return say_kelvins(x, system); };
    const std::string band =
        low.empty() ? ""
                    : fmt::format(
                          " with the band that should hold 90 of 100 readings; {:.0f} of "
                          "100 do",
                          100 * plot.inside);
    const std::string cars = plot.before != nullptr
                                 ? "as logged, by the car as it stood and by the car as fitted"
                                 : "as logged and by the car as its file has it";
    const std::string size =
        plot.before != nullptr
            ? fmt::format("{} rms before, {} after", kelvin(plot.before->rms), kelvin(f.rms))
            : fmt::format("{} rms", kelvin(f.rms));
    return figure(what, id("warm-" + plot.name, system),
                  fmt::format("{}: temperatures against time {}{}.", what, cars, band), css,
                  drawn(warm, low, high, before, f.model) + warm.line("logged", f.logged),
                  warm.grid("temperature")) +
           figure("The model less the log", id("off-" + plot.name, system),
                  fmt::format("{}: what the model says above the log, {}.", what, size), css,
                  drawn(apart, off_low, off_high, off_before, off_line), apart.grid("difference"));
}

std::string logs_document(const std::string& title, const std::string& car, System system,
                          const std::function<Html(System)>& body) {
    const System other = system == System::us ? System::si : System::us;
    const Html all =
        element("a", {{"class", "skip"}, {"href", "#main"}}, "To the content") +
        tag("header", tag("h1", title), element("p", {{"class", "car"}}, sentence_case(car))) +
        "\n" +
        element("main", {{"id", "main"}}, choice_of_units(system) + body(system) + body(other)) +
        tag("footer", tag("p", results::estimate_notice()));
    return html::document(head(title + (car.empty() ? "" : ": " + car)), all).markup();
}

}  // namespace lapheat::study::page
