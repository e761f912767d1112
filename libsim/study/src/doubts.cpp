#include "lapheat/study/doubts.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <stdexcept>
#include <string_view>
#include <utility>

#include "lapheat/model/assumptions.hpp"

namespace lapheat::study {
namespace {

using Meaning = NamedAssumption::Meaning;

bool is_level(const model::CarAssumption& a) {
    return a.meaning == Meaning::level && a.number->low > 0;
}

/// What a range means, and what it is drawn from.
struct Drawn {
    solve::Distribution what;
    const char* why = "";
};

Drawn distribution_of(const model::CarAssumption& a) {
    const Assumed& n = *a.number;
    if (!(n.high > n.low)) return {solve::fixed(n.value), ""};
    if (n.two_deviations && is_level(a)) {
        const double middle = std::sqrt(n.low * n.high);
        const double deviation = 0.25 * std::log(n.high / n.low);
        return {solve::log_normal(middle, deviation, middle * std::exp(-4 * deviation),
                                  middle * std::exp(4 * deviation)),
                "log-normal, the ends two standard deviations off; a bias found is in its middle"};
    }
    if (n.two_deviations) {
        const double deviation = 0.25 * (n.high - n.low);
        return {solve::normal(n.value, deviation, n.value - 4 * deviation, n.value + 4 * deviation),
                "normal, +- two standard deviations, as the file says"};
    }
    if (is_level(a))
        return {solve::log_triangular(n.low, n.value, n.high),
                "triangular in its logarithm over its range, likeliest at the value"};
    return {solve::triangular(n.low, n.value, n.high),
            "triangular over its range, likeliest at the value"};
}

bool is_given(const Assumed& number) {
    return std::string_view(number.source) == "given in the scenario";
}

std::string assumption_key(const model::CarAssumption& a) { return a.of + "/" + a.name; }

/// A doubt that a file states is normal, its half being two standard deviations.
solve::Distribution distribution_of(const scenario::StatedDoubt& d) {
    const double deviation = 0.5 * d.half;
    return solve::normal(d.value, deviation, std::max(d.range.low, d.value - 4 * deviation),
                         std::min(d.range.high, d.value + 4 * deviation));
}

/// The same claim with the same doubt for parts of one kind is one number: kind, key and claim.
std::string stated_key(const scenario::StatedDoubt& d) {
    const std::string kind = d.path.substr(0, d.path.find('.'));
    const std::string key = d.path.substr(d.path.rfind('.') + 1);
    return fmt::format("{}/{}/{:a}/{:a}", kind, key, d.value, d.half);
}

/// Cycles are read once: what they state is driven as it stands.
bool of_a_cycle(const scenario::StatedDoubt& d) { return d.path.find(": ") != std::string::npos; }

}  // namespace

std::string DoubtedNumber::words() const { return of.empty() ? name : name + " (" + of + ")"; }

std::size_t DoubtedCars::entry(const std::string& key, std::size_t p,
                               const solve::Distribution& what, DoubtedNumber words) {
    auto at = std::find_if(entries_.begin(), entries_.end(),
                           [&](const Entry& e) { return e.key == key; });
    if (at == entries_.end()) {
        words.distribution = what;
        words.low = what.quantile(0.05);
        words.high = what.quantile(0.95);
        numbers_.push_back(std::move(words));
        entries_.push_back({key, std::vector<std::optional<solve::Distribution>>(scenarios_.size()),
                            std::vector<std::vector<std::string>>(scenarios_.size())});
        at = entries_.end() - 1;
    }
    at->of[p] = what;
    return static_cast<std::size_t>(at - entries_.begin());
}

void DoubtedCars::add_assumptions(std::size_t p) {
    model::Car car = scenarios_[p].car;
    entry_of_.emplace_back();
    for (const model::CarAssumption& a : model::assumptions(car)) {
        entry_of_[p].push_back(not_in_doubt);
        const Drawn drawn = distribution_of(a);
        if (drawn.what.sharp()) continue;
        DoubtedNumber n;
        n.of = a.of;
        n.name = a.name;
        n.origin = is_given(*a.number) ? "yours" : "assumed";
        n.value = a.number->value;
        n.why = drawn.why;
        n.source = a.number->source;
        entry_of_[p].back() = entry(assumption_key(a), p, drawn.what, std::move(n));
    }
}

void DoubtedCars::add_stated(std::size_t p) {
    for (const scenario::StatedDoubt& d : scenarios_[p].doubts) {
        const solve::Distribution what = distribution_of(d);
        if (of_a_cycle(d) || what.sharp()) {
            if (std::find(not_drawn_.begin(), not_drawn_.end(), d.path) == not_drawn_.end())
                not_drawn_.push_back(d.path);
            continue;
        }
        DoubtedNumber n;
        const auto point = d.path.rfind('.');
        n.of = point == std::string::npos ? "" : d.path.substr(0, point);
        n.name = d.path.substr(point == std::string::npos ? 0 : point + 1);
        n.origin = "yours";
        n.value = d.value;
        n.quantity = d.quantity;
        n.why = "normal, +- two standard deviations, as the file says";
        n.source = fmt::format("{}, line {}", d.place.file, d.place.line);
        const std::size_t k = entry(stated_key(d), p, what, n);
        entries_[k].paths[p].push_back(d.path);
        // Of several parts: the seller's claim is one number.
        if (numbers_[k].of != n.of && numbers_[k].of.find(n.of) == std::string::npos)
            numbers_[k].of += ", " + n.of;
    }
}

DoubtedCars::DoubtedCars(const std::vector<scenario::Scenario>& scenarios, std::uint64_t series)
    : scenarios_(scenarios), points_({}) {
    for (std::size_t p = 0; p < scenarios.size(); ++p) {
        add_assumptions(p);
        add_stated(p);
    }
    std::vector<std::uint64_t> keys;
    for (const Entry& e : entries_) keys.push_back(solve::mixed(series, e.key));
    points_ = solve::ScrambledPoints(std::move(keys));
    add_fitted();
}

void DoubtedCars::add_fitted() {
    // Placements of one fitted car say the same: the first that does counts.
    const auto with = std::find_if(scenarios_.begin(), scenarios_.end(),
                                   [](const auto& s) { return !s.fitted.empty(); });
    if (with == scenarios_.end()) return;
    std::vector<std::size_t> rows;  // of with->fitted, those that are drawn
    for (std::size_t f = 0; f < with->fitted.size(); ++f) {
        const scenario::FittedTogether& fitted = with->fitted[f];
        const std::string key = fitted.of + "/" + fitted.name;
        // Of a number that files state it has the path alone.
        const auto is = [&](const Entry& e) {
            const auto& paths = e.paths[static_cast<std::size_t>(with - scenarios_.begin())];
            return fitted.of.empty() ? std::ranges::find(paths, fitted.name) != paths.end()
                                     : e.key == key;
        };
        for (std::size_t k = 0; k < entries_.size(); ++k)
            if (is(entries_[k])) together_.push_back(k), rows.push_back(f);
    }
    const std::size_t n = rows.size();
    solve::Matrix tried(n, n);  // above its diagonal nothing is read
    const auto correlation = [&](std::size_t i, std::size_t j) {
        const auto& of = with->fitted[rows[i]].correlation;
        return rows[j] < of.size() ? of[rows[j]] : 0;
    };
    // Digits that a file leaves out may cost it its being positive: shrunk until it is.
    for (double keep = 1; keep > 0.01; keep *= 0.99) {
        for (std::size_t i = 0; i < n; ++i) {
            tried(i, i) = keep + (1 - keep);
            for (std::size_t j = 0; j < i; ++j) tried(i, j) = keep * correlation(i, j);
        }
        std::optional<solve::Matrix> root = solve::lower_root(tried);
        if (!root) continue;
        root_ = std::move(*root);
        return;
    }
    together_.clear();
}

std::vector<double> DoubtedCars::draw(std::uint32_t index) const {
    std::vector<double> out(points_.dimensions());
    points_.point(index, out);
    if (together_.empty()) return out;
    std::vector<double> score;
    for (const std::size_t k : together_) score.push_back(solve::normal_quantile(out[k]));
    const std::vector<double> moved = root_ * score;
    for (std::size_t i = 0; i < together_.size(); ++i)
        out[together_[i]] = std::clamp(solve::normal_share(moved[i]), 1e-12, 1 - 1e-12);
    return out;
}

model::Car DoubtedCars::car(std::size_t p, std::span<const double> draw,
                            std::span<const std::pair<std::string, double>> set) const {
    std::vector<std::pair<std::string, double>> stated(set.begin(), set.end());
    for (std::size_t k = 0; k < entries_.size(); ++k)
        for (const std::string& path : entries_[k].paths[p]) {
            const double drawn = entries_[k].of[p]->quantile(draw[k]);
            const auto at = std::find_if(stated.begin(), stated.end(),
                                         [&](const auto& s) { return s.first == path; });
            if (at == stated.end())
                stated.emplace_back(path, drawn);
            else if (numbers_[k].quantity == units::Quantity::temperature)
                at->second += drawn - numbers_[k].value;  // off by as much
            else if (numbers_[k].value != 0)
                at->second *= drawn / numbers_[k].value;  // off by as large a part
        }
    model::Car car = stated.empty() ? scenarios_[p].car : scenario::car_with(scenarios_[p], stated);
    const std::vector<model::CarAssumption> all = model::assumptions(car);
    if (all.size() != entry_of_[p].size())
        throw std::logic_error("another value of a key gives a car with other assumptions");
    for (std::size_t i = 0; i < all.size(); ++i)
        if (const std::size_t k = entry_of_[p][i]; k != not_in_doubt)
            all[i].number->value = entries_[k].of[p]->quantile(draw[k]);
    return car;
}

}  // namespace lapheat::study
