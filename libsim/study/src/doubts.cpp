#include "lapheat/study/doubts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <stdexcept>
#include <string_view>
#include <tuple>
#include <utility>

#include "internal.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/scenario/handle.hpp"
#include "words.hpp"

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

/// "coolant" and "upper hose" in one; words that both have once.
std::string joined(const std::string& loop, const std::string& part) {
    if (part.starts_with(loop)) return part;
    const std::string last = loop.substr(loop.rfind(' ') + 1);
    return part.starts_with(last + " ") ? loop + part.substr(last.size()) : loop + " " + part;
}

/// Whose a number is, as a builder says it: "radiator left" of "fans.radiator_left.switches[1]",
/// "coolant upper hose" of a part of a run by its name.
std::string whose(std::string_view table, const std::string& part) {
    std::vector<std::string> words;
    for (std::size_t at = 0; at < table.size();) {
        const std::size_t end = std::min(table.find('.', at), table.size());
        words.emplace_back(table.substr(at, end - at));
        at = end + 1;
    }
    if (words.size() > 1 && (words[0] == "loops" || words[0] == "fans" || words[0] == "cores" ||
                             words[0] == "air" || words[0] == "fluids"))
        words.erase(words.begin());
    std::string out = plain_name(words[0]);
    if (!part.empty() && words.size() > 1)
        out = joined(out, part);
    else if (words.size() > 1 && words.back().starts_with("parts["))
        out += ", " + plain_name(words[words.size() - 2]) + " " + words.back();
    return out;
}

/// What a builder calls it, and whose it is.
void say(const scenario::Number& n, DoubtedNumber& out) {
    const auto point = n.path.rfind('.');
    const std::string table = point == std::string::npos ? "" : n.path.substr(0, point);
    std::string key = n.path.substr(point == std::string::npos ? 0 : point + 1), item;
    if (const auto bracket = key.find('['); bracket != std::string::npos) {
        item = " " + key.substr(bracket + 1, key.size() - bracket - 2);
        key.resize(bracket);
    }
    out.what = (n.relation != nullptr ? std::string(n.relation->name) : plain_name(key)) + item;
    if (!table.empty()) out.whose = {whose(table, n.part)};
}

void add_once(std::vector<std::string>& list, const std::vector<std::string>& more) {
    for (const std::string& one : more)
        if (!is_in(list, one)) list.push_back(one);
}

}  // namespace

std::string DoubtedNumber::words() const {
    if (what.empty()) return of.empty() ? name : fmt::format("{} ({})", name, of);
    return whose.empty() ? what : fmt::format("{} ({})", what, fmt::join(whose, ", "));
}

bool DoubtedNumber::stated_by(std::string_view path) const {
    const auto point = path.rfind('.');
    const bool bare = point == std::string_view::npos;
    return path.substr(bare ? 0 : point + 1) == name &&
           is_in(tables, std::string(bare ? std::string_view{} : path.substr(0, point)));
}

std::size_t DoubtedCars::entry(const std::string& key, std::size_t p,
                               const solve::Distribution& what, DoubtedNumber words) {
    auto at = std::find_if(entries_.begin(), entries_.end(),
                           [&](const Entry& e) { return e.key == key; });
    if (at == entries_.end()) {
        words.distribution = what;
        words.low = what.quantile(0.05);
        words.high = what.quantile(0.95);
        numbers_.push_back(std::move(words));
        entries_.push_back({key,
                            std::vector<std::optional<solve::Distribution>>(scenarios_.size()),
                            std::vector<std::vector<std::string>>(scenarios_.size()),
                            {}});
        at = entries_.end() - 1;
    }
    at->of[p] = what;
    return static_cast<std::size_t>(at - entries_.begin());
}

void DoubtedCars::add_assumptions(std::size_t p) {
    model::Car car = scenarios_[p].car;
    for (const model::CarAssumption& a : model::assumptions(car)) {
        entry_of_[p].push_back(not_in_doubt);
        const Drawn drawn = distribution_of(a);
        if (drawn.what.sharp()) continue;
        DoubtedNumber n;
        n.of = a.of;
        n.name = a.name;
        n.origin = a.number->given ? scenario::Origin::yours : scenario::Origin::assumed;
        n.value = a.number->value;
        n.why = drawn.why;
        n.source = a.number->source;
        entry_of_[p].back() = entry(assumption_key(a), p, drawn.what, std::move(n));
    }
}

void DoubtedCars::add_stated(std::size_t p) {
    for (const scenario::StatedDoubt& d : scenarios_[p].doubts) {
        const solve::Distribution what = distribution_of(d);
        if (d.of_cycle || what.sharp()) {  // cycles are read once: driven as they stand
            if (!is_in(not_drawn_, d.path)) not_drawn_.push_back(d.path);
            continue;
        }
        DoubtedNumber n;
        const auto point = d.path.rfind('.');
        n.of = point == std::string::npos ? "" : d.path.substr(0, point);
        n.tables = {n.of};
        n.name = d.path.substr(point == std::string::npos ? 0 : point + 1);
        n.origin = scenario::Origin::yours;
        n.value = d.value;
        n.quantity = d.quantity;
        n.why = "normal, +- two standard deviations, as the file says";
        n.source = fmt::format("{}, line {}", d.place.file, d.place.line);
        const scenario::Number* known = scenario::number_at(scenarios_[p], d.path);
        if (known != nullptr) say(*known, n);
        if (known != nullptr && known->relation != nullptr) {
            n.origin = known->origin;
            n.relation = known->relation->name;
            n.why = "normal, two standard deviations as the relation is off in 95 of 100 cars";
            n.source = fmt::format("{}: {}", known->relation->words, known->relation->source);
        }
        const std::size_t k = entry(stated_key(d), p, what, n);
        entries_[k].paths[p].push_back(d.path);
        // Of several parts: the seller's claim is one number.
        if (DoubtedNumber& one = numbers_[k]; !is_in(one.tables, n.of)) {
            one.tables.push_back(n.of);
            one.of += ", " + n.of;
            add_once(one.whose, n.whose);
        }
    }
}

DoubtedCars::DoubtedCars(const std::vector<scenario::Scenario>& scenarios, std::uint64_t series)
    : scenarios_(scenarios), entry_of_(scenarios.size()) {
    // A number's coordinate is its place among all: the order of the files must not change it.
    std::vector<std::size_t> by_name(scenarios.size());
    std::iota(by_name.begin(), by_name.end(), std::size_t{0});
    std::ranges::stable_sort(by_name, {}, [&](std::size_t p) {
        return std::tie(scenarios[p].car.placement, scenarios[p].car.name);
    });
    for (const std::size_t p : by_name) {
        add_assumptions(p);
        add_stated(p);
    }
    tell_apart();
    link_derived();
    for (std::size_t k = 0; k < numbers_.size(); ++k)
        for (const auto& of : entries_[k].of) numbers_[k].in.push_back(of.has_value());
    std::vector<std::uint64_t> keys;
    for (const Entry& e : entries_) keys.push_back(solve::mixed(series, e.key));
    points_ = solve::SpreadPoints(std::move(keys));
    add_fitted();
}

void DoubtedCars::tell_apart() {
    const auto among = [&](auto&& what) {
        std::map<std::string, std::size_t> times;
        for (const DoubtedNumber& n : numbers_) ++times[n.words()];
        for (std::size_t k = 0; k < numbers_.size(); ++k) {
            DoubtedNumber& n = numbers_[k];
            const std::string said = n.words(), more = what(k);
            if (!n.what.empty() && times[said] > 1 && said.find(more) == std::string::npos)
                n.what += ", " + more;
        }
    };
    among([&](std::size_t k) {
        return plain_name(numbers_[k].name.substr(0, numbers_[k].name.find('[')));
    });
    // Of several placements the first by its name, whatever the order of the files.
    among([&](std::size_t k) {
        std::string first;
        for (std::size_t p = 0; p < scenarios_.size(); ++p) {
            const std::string& placement = scenarios_[p].car.placement;
            if (entries_[k].of[p] && (first.empty() || placement < first)) first = placement;
        }
        return first;
    });
}

void DoubtedCars::link_derived() {
    for (const scenario::Follows& f : scenario::followers())
        for (std::size_t k = 0; k < numbers_.size(); ++k) {
            if (numbers_[k].relation != f.relation) continue;
            // The leader is of the same part, or the only one of a car that has no such parts.
            std::vector<std::size_t> own, others;
            for (std::size_t j = 0; j < numbers_.size(); ++j)
                if (f.key ? numbers_[j].relation.empty() && numbers_[j].name == f.leader
                          : numbers_[j].relation == f.leader)
                    (numbers_[j].of == numbers_[k].of ? own : others).push_back(j);
            if (!f.key && own.empty() && !numbers_[k].of.starts_with("fans.")) own = others;
            if (own.size() == 1) entries_[k].follows.emplace_back(own.front(), f.power);
        }
}

double DoubtedCars::drawn_ratio(std::size_t k, std::size_t p, std::span<const double> draw) const {
    if (!entries_[k].of[p] || numbers_[k].value == 0) return 1;
    double ratio = entries_[k].of[p]->quantile(draw[k]) / numbers_[k].value;
    for (const auto& [leader, power] : entries_[k].follows)
        ratio *= std::pow(drawn_ratio(leader, p, draw), power);
    return ratio;
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
            double drawn = entries_[k].of[p]->quantile(draw[k]);
            for (const auto& [leader, power] : entries_[k].follows)
                drawn *= std::pow(drawn_ratio(leader, p, draw), power);
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
