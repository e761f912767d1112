#include "lapheat/study/doubts.hpp"

#include <algorithm>
#include <utility>

#include "lapheat/model/assumptions.hpp"

namespace lapheat::study {
namespace {

solve::Distribution distribution_of(const Assumed& number) {
    if (number.stated) {
        const double deviation = 0.25 * (number.high - number.low);
        return solve::normal(number.value, deviation, number.value - 4 * deviation,
                             number.value + 4 * deviation);
    }
    return solve::triangular(number.low, number.value, number.high);
}

std::string assumption_key(const model::CarAssumption& a) { return a.of + "/" + a.name; }

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
        entries_.push_back(
            {key, std::vector<std::optional<solve::Distribution>>(scenarios_.size())});
        at = entries_.end() - 1;
    }
    at->of[p] = what;
    return static_cast<std::size_t>(at - entries_.begin());
}

void DoubtedCars::add_assumptions(std::size_t p) {
    model::Car car = scenarios_[p].car;
    for (const model::CarAssumption& a : model::assumptions(car)) {
        const solve::Distribution what = distribution_of(*a.number);
        if (what.sharp()) continue;
        DoubtedNumber n;
        n.of = a.of;
        n.name = a.name;
        n.origin = a.number->stated ? "yours" : "assumed";
        n.value = a.number->value;
        n.why = a.number->stated ? "normal, +- two standard deviations, as the file says"
                                 : "triangular over its range, likeliest at the value";
        n.source = a.number->source;
        entry(assumption_key(a), p, what, std::move(n));
    }
}

DoubtedCars::DoubtedCars(const std::vector<scenario::Scenario>& scenarios, std::uint64_t seed)
    : scenarios_(scenarios), points_({}) {
    for (std::size_t p = 0; p < scenarios.size(); ++p) {
        add_assumptions(p);
        for (const scenario::StatedDoubt& d : scenarios[p].doubts)
            if (std::find(not_drawn_.begin(), not_drawn_.end(), d.path) == not_drawn_.end())
                not_drawn_.push_back(d.path);
    }
    std::vector<std::uint64_t> keys;
    for (const Entry& e : entries_) keys.push_back(solve::mixed(seed, e.key));
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
        const std::string key = with->fitted[f].of + "/" + with->fitted[f].name;
        for (std::size_t k = 0; k < entries_.size(); ++k)
            if (entries_[k].key == key) together_.push_back(k), rows.push_back(f);
    }
    const auto n = static_cast<Eigen::Index>(rows.size());
    Eigen::MatrixXd correlation = Eigen::MatrixXd::Identity(n, n);
    for (Eigen::Index i = 0; i < n; ++i)
        for (Eigen::Index j = 0; j < i; ++j) {
            const auto& of = with->fitted[rows[static_cast<std::size_t>(i)]].correlation;
            const std::size_t column = rows[static_cast<std::size_t>(j)];
            if (column < of.size()) correlation(i, j) = correlation(j, i) = of[column];
        }
    // Digits that a file leaves out may cost it its being positive: shrunk until it is.
    for (double keep = 1; keep > 0.01; keep *= 0.99) {
        const Eigen::MatrixXd tried =
            keep * correlation + (1 - keep) * Eigen::MatrixXd::Identity(n, n);
        const Eigen::LLT<Eigen::MatrixXd> factor(tried);
        if (factor.info() != Eigen::Success) continue;
        root_ = factor.matrixL();
        return;
    }
    together_.clear();
}

std::vector<double> DoubtedCars::draw(std::uint32_t index) const {
    std::vector<double> out(points_.dimensions());
    points_.point(index, out);
    const auto n = static_cast<Eigen::Index>(together_.size());
    Eigen::VectorXd score(n);
    for (Eigen::Index i = 0; i < n; ++i)
        score[i] = solve::normal_quantile(out[together_[static_cast<std::size_t>(i)]]);
    const Eigen::VectorXd moved = root_ * score;
    for (Eigen::Index i = 0; i < n; ++i)
        out[together_[static_cast<std::size_t>(i)]] =
            std::clamp(solve::normal_share(moved[i]), 1e-12, 1 - 1e-12);
    return out;
}

model::Car DoubtedCars::car(std::size_t p, std::span<const double> draw) const {
    model::Car car = scenarios_[p].car;
    for (const model::CarAssumption& a : model::assumptions(car)) {
        const std::string key = assumption_key(a);
        for (std::size_t k = 0; k < entries_.size(); ++k)
            if (entries_[k].of[p] && entries_[k].key == key)
                a.number->value = entries_[k].of[p]->quantile(draw[k]);
    }
    return car;
}

}  // namespace lapheat::study
