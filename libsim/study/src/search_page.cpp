#include "lapheat/study/search_page.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "lapheat/results/report.hpp"
#include "page_parts.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using page::Html, page::html::element, page::html::tag;
using units::Quantity, units::System;

// Drawing units: one is one CSS pixel on a phone.
constexpr double left = 40, right = 388, top = 26, bottom = 216, width = 400, height = 262;

std::string number(double x) { return fmt::format("{:.1f}", x); }

/// An axis with some five round steps that holds `low` and `high`.
struct Rounded {
    double low, high, step;

    Rounded(double from, double to) : low(from), high(std::max(to, from + 1)), step(1) {
        const double rough = (high - low) / 5;
        const double ten = std::pow(10.0, std::floor(std::log10(rough)));
        for (const double s : {1.0, 2.0, 5.0, 10.0})
            if ((step = s * ten) >= rough) break;
        low = step * std::floor(low / step + 1e-9);
        high = step * std::ceil(high / step - 1e-9);
    }
    [[nodiscard]] double at(double x, double begin, double end) const {
        return begin + (end - begin) * (x - low) / (high - low);
    }
    [[nodiscard]] int steps() const { return static_cast<int>(std::lround((high - low) / step)); }
};

double shown(double kelvins, System system) {
    return units::to_display(kelvins, Quantity::temperature_difference, system);
}

/// Price across, margin upwards.
class Figure {
  public:
    Figure(const Search& s, System system)
        : search_(s), system_(system), price_(prices(s)), margin_(margins(s, system)) {}

    [[nodiscard]] Html drawn() const {
        const std::string name = page::id("front", system_);
        return element(
            "figure", {{"class", "sure"}},
            tag("figcaption", search_.draws == 0
                                  ? "What each price buys; the filled point is the one chosen"
                                  : "What each price buys, with 95 % of what more draws would "
                                    "say; the filled point is the one chosen"),
            element("svg",
                    {{"viewBox", fmt::format("0 0 {} {}", number(width), number(height))},
                     {"role", "img"},
                     {"aria-labelledby", name}},
                    element("title", {{"id", name}}, described()), grid(), points()));
    }

  private:
    static Rounded prices(const Search& s) {
        double most = 0;
        for (const Choice& c : s.front) most = std::max(most, c.price);
        return {0, 1.04 * most};
    }
    static Rounded margins(const Search& s, System system) {
        double low = std::min(0.0, s.target), high = std::max(0.0, s.target);
        for (const Choice& c : s.front)
            for (const double m : {c.margin, c.margin_low, c.margin_high}) {
                if (!std::isfinite(m)) continue;
                low = std::min(low, m);
                high = std::max(high, m);
            }
        return {shown(low, system), shown(high, system)};
    }
    [[nodiscard]] double x(double price) const { return price_.at(price, left, right); }
    /// What lies beyond the axis (a drawn car that could not be driven has no margin) is at its
    /// end.
    [[nodiscard]] double y(double kelvins) const {
        return margin_.at(std::clamp(shown(kelvins, system_), margin_.low, margin_.high), bottom,
                          top);
    }

    [[nodiscard]] std::string described() const {
        std::string out = "Price against margin. ";
        for (std::size_t i = 0; i < search_.front.size(); ++i) {
            const Choice& c = search_.front[i];
            out += fmt::format("{}: {:.0f} {}, {}. ", i + 1, c.price, search_.currency,
                               say(c.margin, Quantity::temperature_difference, system_));
        }
        return out;
    }

    [[nodiscard]] Html grid() const {
        Html out;
        for (int i = 0; i <= margin_.steps(); ++i) {
            const double v = margin_.low + i * margin_.step, at = margin_.at(v, bottom, top);
            out += page::line(std::abs(v) < 1e-9 ? "axis" : "grid", left, at, right, at) +
                   page::label("end", left - 5, at + 4, say_number(std::abs(v) < 1e-9 ? 0 : v));
        }
        for (int i = 0; i <= price_.steps(); ++i) {
            const double v = price_.low + i * price_.step, at = price_.at(v, left, right);
            out += page::line("grid", at, top, at, bottom) +
                   page::label("middle", at, bottom + 16, say_number(v));
        }
        out += page::label("middle", 0.5 * (left + right), bottom + 36,
                           search_.currency.empty() ? "price" : "price, " + search_.currency);
        out += page::label("start", 4, 12,
                           with_unit("margin", Quantity::temperature_difference, system_));
        const double asked = y(search_.target);
        out += page::line("asked", left, asked, right, asked) +
               page::label("end", right, asked - 4, search_.target == 0 ? "limit" : "asked for");
        return out;
    }

    /// What the dearest within a budget gives, as a stair; and the choices on it.
    [[nodiscard]] Html points() const {
        Html marks, names;
        std::string stair;
        double before_x = -100, before_y = -100;
        for (std::size_t i = 0; i < search_.front.size(); ++i) {
            const Choice& c = search_.front[i];
            const double px = x(c.price), py = y(c.margin);
            if (i > 0) stair += " " + number(px) + "," + number(y(search_.front[i - 1].margin));
            stair += (stair.empty() ? "" : " ") + number(px) + "," + number(py);
            if (search_.draws > 0)
                marks += page::line("reach", px, y(c.margin_low), px, y(c.margin_high));
            marks += element("circle", {{"class", search_.answer == i ? "point pick" : "point"},
                                        {"cx", number(px)},
                                        {"cy", number(py)},
                                        {"r", search_.answer == i ? "5" : "3.5"}});
            // Where two lie close the first has its number; the table has all.
            if (std::abs(px - before_x) < 14 && std::abs(py - before_y) < 12) continue;
            names += element("text",
                             {{"class", "tag"},
                              {"x", number(px - 6)},
                              {"y", number(py - 6)},
                              {"text-anchor", "end"}},
                             fmt::format("{}", i + 1));
            before_x = px;
            before_y = py;
        }
        if (!search_.front.empty())
            stair += " " + number(right) + "," + number(y(search_.front.back().margin));
        return element("polyline", {{"class", "front"}, {"points", stair}}) + marks + names;
    }

    const Search& search_;
    System system_;
    Rounded price_, margin_;
};

/// The table with the numbers that the drawing has.
results::TextTable numbered(results::TextTable table) {
    table.columns.insert(table.columns.begin(), {"no.", results::Align::right});
    for (std::size_t i = 0; i < table.rows.size(); ++i)
        table.rows[i].insert(table.rows[i].begin(), {fmt::format("{}", i + 1)});
    return table;
}

Html in_units(const Search& s, System system) {
    const std::vector<std::string> words = search_words(s, system);
    const auto section = [&](const char* name, const char* title, const Html& body) {
        return page::section(name, page::id(name, system), title, body);
    };
    Html bought;
    if (!s.shopping.empty())
        bought = section("buying", "Shopping list",
                         tag("p", s.answer ? "For the choice above. Prices are those of your lists."
                                           : "For what comes closest; it does not reach what was "
                                             "asked for. Prices are those of your lists.") +
                             page::html::table(shopping_table(s, system)));
    return element(
        "div", {{"class", page::only_in(system)}},
        element("div", {{"class", "verdict"}, {"role", "region"}, {"aria-label", "Choice"}},
                tag("p", tag("strong", words.front()))),
        section("price", "Price against margin",
                s.front.empty() ? tag("p", "Nothing was looked at to the end.")
                                : Figure(s, system).drawn() +
                                      page::html::table(numbered(front_table(s, system)))),
        bought,
        section("looked", "What was looked at",
                page::list({words.begin() + 1, words.end()}, "plain")),
        s.cautions.empty() ? Html() : section("cautions", "Cautions", page::cautions(s.cautions)));
}

}  // namespace

std::string search_page(const Search& s, System system) {
    const System other = system == System::us ? System::si : System::us;
    std::string subject = sentence_case(s.car);
    if (!s.cycles.empty()) subject += (subject.empty() ? "" : "; ") + listed(s.cycles);
    const Html body =
        element("a", {{"class", "skip"}, {"href", "#main"}}, "To the content") +
        tag("header", tag("h1", "What to buy?"), element("p", {{"class", "car"}}, subject)) + "\n" +
        element("main", {{"id", "main"}},
                page::choice_of_units(system) + in_units(s, system) + in_units(s, other)) +
        tag("footer", tag("p", results::estimate_notice()));
    return page::html::document(page::head("What to buy" + (s.car.empty() ? "" : ": " + s.car)),
                                body)
        .markup();
}

}  // namespace lapheat::study
