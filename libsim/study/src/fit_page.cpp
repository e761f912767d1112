// A fit as one web page.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <filesystem>

#include "lapheat/results/report.hpp"
#include "lapheat/study/fit_report.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using page::Html, page::html::element, page::html::tag;
using units::Quantity, units::System;

// Drawing units: one is one CSS pixel on a phone.
constexpr double left = 40, right = 388, top = 22, bottom = 190, width = 400, height = 226;
constexpr std::size_t most_points = 400;

std::string number(double x) { return fmt::format("{:.1f}", x); }

/// Some five round steps over all values, in the unit shown.
struct Scale {
    double low = 0, high = 1, step = 1;

    Scale(double from, double to) {
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
    Drawing(const FitScore& s, System system, Quantity quantity,
            const std::vector<const std::vector<double>*>& all)
        : time_(s.after.time), system_(system), quantity_(quantity), scale_(scale_of(all)) {}

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
                   page::label("end", left - 5, y + 4, say_number(std::abs(v) < 1e-9 ? 0 : v));
        }
        const double minutes = duration() / 60;
        double step = 1;
        for (const double s : {1.0, 2.0, 5.0, 10.0, 20.0, 30.0, 60.0, 120.0})
            if ((step = s) * 7 >= minutes) break;
        for (double m = 0; m <= minutes + 1e-9; m += step) {
            const double x = left + (right - left) * 60 * m / duration();
            out += page::line("axis", x, bottom, x, bottom + 4) +
                   page::label("middle", x, bottom + 16, say_number(m));
        }
        return out + page::line("axis", left, bottom, right, bottom) +
               page::label("middle", (left + right) / 2, height - 3, "time, min") +
               page::label("start", 4, 12, with_unit(words, quantity_, system_));
    }

  private:
    Scale scale_of(const std::vector<const std::vector<double>*>& all) const {
        double low = 1e9, high = -1e9;
        for (const auto* values : all)
            for (const double x : *values)
                if (std::isfinite(x)) {
                    const double v = units::to_display(x, quantity_, system_);
                    low = std::min(low, v), high = std::max(high, v);
                }
        return high >= low ? Scale(low, high) : Scale(0, 1);
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
    Scale scale_;
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

/// A log's temperatures with the band, and what the car is off by, before and after.
Html plots(const FitScore& s, std::size_t index, System system) {
    if (s.after.time.size() < 2) return {};
    const std::string what = sentence_case(s.after.loop) + ", " +
                             std::filesystem::path(s.log).filename().string() +
                             (s.held_back ? ", held back" : ", fitted");
    const char* css = colour_of(s.signal);
    const Drawing warm(s, system, Quantity::temperature,
                       {&s.after.logged, &s.before.model, &s.after.model, &s.low, &s.high});
    const std::vector<double> before = less(s.before.model, s.after.logged),
                              after = less(s.after.model, s.after.logged),
                              low = less(s.low, s.after.logged),
                              high = less(s.high, s.after.logged);
    const Drawing off(s, system, Quantity::temperature_difference, {&before, &after, &low, &high});
    const auto kelvin = [&](double x) { return say(x, Quantity::temperature_difference, system); };
    return figure(what, page::id(fmt::format("warm-{}", index), system),
                  fmt::format("{}: temperatures against time as logged, by the car as it stood and "
                              "by the car as fitted with the band that should hold 90 of 100 "
                              "readings; {:.0f} of 100 do.",
                              what, 100 * s.inside_after),
                  css,
                  warm.area(s.low, s.high) + warm.line("limit", s.before.model) +
                      warm.line("line", s.after.model) + warm.line("logged", s.after.logged),
                  warm.grid("temperature")) +
           figure("The model less the log", page::id(fmt::format("off-{}", index), system),
                  fmt::format("{}: what the model says above the log, {} rms before, {} after.",
                              what, kelvin(s.rms_before), kelvin(s.rms_after)),
                  css, off.area(low, high) + off.line("limit", before) + off.line("line", after),
                  off.grid("difference"));
}

Html in_units(const CarFit& fit, System system) {
    const auto section = [&](const char* name, const char* title, const Html& body) {
        return page::section(name, page::id(name, system), title, body);
    };
    Html drawn;
    // Those that are a test first.
    for (const bool held : {true, false})
        for (std::size_t i = 0; i < fit.scores.size(); ++i)
            if (fit.scores[i].held_back == held) drawn += plots(fit.scores[i], i, system);
    const std::vector<std::string> untold = untold_numbers(fit);
    return element(
        "div", {{"class", page::only_in(system)}},
        element("div", {{"class", "verdict"}, {"role", "region"}, {"aria-label", "Score"}},
                tag("p", tag("strong", headline_words(fit, system)))),
        section("scores", "Held against the logs",
                tag("p",
                    "Thin dark: as logged. Dotted: the car as it stood. Coloured: the car as "
                    "fitted, in the band that should hold 90 of 100 readings.") +
                    element("div", {{"class", "plots"}}, drawn) +
                    page::html::table(fit_score_table(fit, system))),
        section("told", "What the logs told", page::html::table(fitted_number_table(fit))),
        section("untold", "What the logs said nothing about",
                untold.empty()
                    ? tag("p", "They told something of every number.")
                    : tag("p",
                          "These numbers keep their ranges; to know one of them better, "
                          "measure it, or log a drive that it matters in.") +
                          tag("details", tag("summary", fmt::format("{} numbers", untold.size())),
                              page::list(untold, "plain side"))),
        section("known", "To know", page::list(fit_words(fit, system), "plain")));
}

}  // namespace

std::string fit_page(const CarFit& fit, const std::string& car, System system) {
    const System other = system == System::us ? System::si : System::us;
    const Html body =
        element("a", {{"class", "skip"}, {"href", "#main"}}, "To the content") +
        tag("header", tag("h1", "What the logs say"),
            element("p", {{"class", "car"}}, sentence_case(car))) +
        "\n" +
        element("main", {{"id", "main"}},
                page::choice_of_units(system) + in_units(fit, system) + in_units(fit, other)) +
        tag("footer", tag("p", results::estimate_notice()));
    return page::html::document(page::head("What the logs say" + (car.empty() ? "" : ": " + car)),
                                body)
        .markup();
}

}  // namespace lapheat::study
