// The rule that ranks placements, and the sentence that says why each stands where it does.
#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

#include "internal.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

/// One criterion: less is better, values within `tie` of a group's best count as equal.
struct Criterion {
    std::function<double(const Ranked&)> value;
    std::function<double(double)> tie;
    const char* words;      ///< "less …"
    std::size_t fluid = 0;  ///< which of Ranked::margins, for criteria of margin
};

/// Minus the margin of the n-th least fluid; what is plenty is enough.
double other_margin(const Ranked& r, std::size_t n) {
    return n < r.margins.size() ? -std::min(r.margins[n].second, margin_plenty) : -margin_plenty;
}

const std::vector<Criterion>& criteria() {
    static const std::vector<Criterion> all{
        {[](const Ranked& r) { return -r.worst_margin; }, [](double) { return margin_tie; },
         "more margin"},
        {[](const Ranked& r) { return r.time_over; }, [](double) { return 1.0; },
         "less time over the limits"},
        {[](const Ranked& r) { return other_margin(r, 1); }, [](double) { return margin_tie; },
         "more margin of the next fluid", 1},
        {[](const Ranked& r) { return other_margin(r, 2); }, [](double) { return margin_tie; },
         "more margin of the third fluid", 2},
        {[](const Ranked& r) { return r.fan_energy; }, [](double x) { return 0.02 * x + 1e3; },
         "less fan energy"},
        {[](const Ranked& r) { return r.line_length; }, [](double) { return 0.1; },
         "shorter lines"},
        {[](const Ranked& r) { return -std::min(r.engine_oil_margin, margin_plenty); },
         [](double) { return margin_tie; }, "more engine oil margin"},
    };
    return all;
}

/// Sorts ranks [from, to) by the criteria from `level` on; `why[i]` becomes the level that parts
/// rank i from the one above it.
void refine(std::vector<Ranked>& ranks, std::vector<std::size_t>& why, std::size_t from,
            std::size_t to, std::size_t level) {
    if (to - from < 2 || level == criteria().size()) return;
    const Criterion& by = criteria()[level];
    const auto begin = ranks.begin();
    const auto offset = [](std::size_t i) { return static_cast<std::ptrdiff_t>(i); };
    std::stable_sort(begin + offset(from), begin + offset(to),
                     [&](const Ranked& a, const Ranked& b) { return by.value(a) < by.value(b); });
    std::size_t start = from;
    for (std::size_t i = from + 1; i <= to; ++i) {
        const double best = by.value(ranks[start]);
        // "!(a <= b)" so that equal infinities stay together: inf − inf is not a number.
        const bool parts =
            i == to || (by.value(ranks[i]) != best && !(by.value(ranks[i]) - best <= by.tie(best)));
        if (!parts) continue;
        if (i < to) why[i] = level;
        refine(ranks, why, start, i, level + 1);
        start = i;
    }
}

enum Level : std::size_t { margin, time_over, second_fluid, third_fluid, fan, lines, engine_oil };

std::string value_words(const Ranked& r, std::size_t level, units::System system) {
    switch (level) {
        case margin:
            return say(r.worst_margin, Quantity::temperature_difference, system);
        case time_over:
            return say_time(r.time_over);
        case second_fluid:
        case third_fluid: {
            const std::size_t n = criteria()[level].fluid;
            if (n >= r.margins.size()) return "none";
            return plain_name(r.margins[n].first) + " " +
                   say(r.margins[n].second, Quantity::temperature_difference, system);
        }
        case fan:
            return say(r.fan_energy, Quantity::energy, system);
        case lines:
            return say_length(r.line_length, system);
        default:
            return say(r.engine_oil_margin, Quantity::temperature_difference, system);
    }
}

Ranked summarise(const Comparison& comparison, std::size_t p) {
    const auto& left_out = comparison.left_out;
    Ranked r;
    r.placement = comparison.placements[p];
    r.worst_margin = r.engine_oil_margin = std::numeric_limits<double>::infinity();
    for (std::size_t c = 0; c < comparison.cycles.size(); ++c) {
        const CycleOutcome& outcome = comparison.at(p, c);
        for (const model::Verdict& v : outcome.result.verdicts) {
            if (std::find(left_out.begin(), left_out.end(), v.loop) != left_out.end()) {
                r.engine_oil_margin = std::min(r.engine_oil_margin, v.margin);
                continue;
            }
            r.time_over += v.time_over;
            const auto it = std::find_if(r.margins.begin(), r.margins.end(),
                                         [&](const auto& m) { return m.first == v.loop; });
            if (it == r.margins.end())
                r.margins.emplace_back(v.loop, v.margin);
            else
                it->second = std::min(it->second, v.margin);
            if (v.margin < r.worst_margin) {
                r.worst_margin = v.margin;
                r.worst_cycle = outcome.cycle;
                r.worst_loop = v.loop;
            }
        }
        r.fan_energy += outcome.result.fan_energy;
        r.peak_fan_current = std::max(r.peak_fan_current, outcome.result.peak_fan_current);
        r.peak_current = std::max(r.peak_current, outcome.result.peak_current);
        r.idle_capacity = std::max(r.idle_capacity, outcome.result.idle_capacity);
        r.current_shortfall = std::max(r.current_shortfall, outcome.result.current_shortfall);
        r.coolant_lost = std::max(r.coolant_lost, outcome.coolant_lost);
    }
    std::stable_sort(r.margins.begin(), r.margins.end(),
                     [](const auto& a, const auto& b) { return a.second < b.second; });
    r.holds = r.worst_margin >= 0;
    if (p < comparison.cars.size()) {
        r.line_length = line_length(comparison.cars[p]);
        for (const model::Loop& loop : comparison.cars[p].loops)
            if (const double metres = line_length(loop); metres > 0)
                r.lines.emplace_back(loop.name, metres);
    }
    return r;
}

std::string margin_words(const Ranked& r, units::System system) {
    const std::string where = " (" + plain_name(r.worst_loop) + ", " + r.worst_cycle + ")";
    std::string oil;
    if (r.engine_oil_margin < 0)
        oil = ", but engine oil, which the place does not serve, goes " +
              say(-r.engine_oil_margin, Quantity::temperature_difference, system) + " over";
    if (r.holds)
        return "holds with at least " +
               say(r.worst_margin, Quantity::temperature_difference, system) + where + oil;
    return "goes " + say(-r.worst_margin, Quantity::temperature_difference, system) + " over" +
           where + ", " + say_time(r.time_over) + " over limits in all";
}

}  // namespace

void rank(Comparison& comparison, units::System system) {
    auto& ranks = comparison.ranking;
    ranks.clear();
    for (std::size_t p = 0; p < comparison.placements.size(); ++p)
        ranks.push_back(summarise(comparison, p));
    std::vector<std::size_t> why(ranks.size(), criteria().size());
    refine(ranks, why, 0, ranks.size(), 0);
    for (std::size_t i = 0; i < ranks.size(); ++i) {
        std::string reason = sentence_case(margin_words(ranks[i], system));
        if (i > 0) {
            if (why[i] >= criteria().size()) {
                reason += "; equal to " + ranks[i - 1].placement + " in all that is ranked";
            } else if (why[i] > 0) {
                const std::string above = value_words(ranks[i - 1], why[i], system);
                std::string here = value_words(ranks[i], why[i], system);
                // "steering 14 K against 9 K": a fluid that is the same is named once.
                const std::size_t n = criteria()[why[i]].fluid;
                if (n > 0 && n < ranks[i].margins.size() && n < ranks[i - 1].margins.size() &&
                    ranks[i].margins[n].first == ranks[i - 1].margins[n].first)
                    here =
                        say(ranks[i].margins[n].second, Quantity::temperature_difference, system);
                ranks[i].decided_by =
                    std::string(criteria()[why[i]].words) + " (" + above + " against " + here + ")";
                reason += "; as good in margin as " + ranks[i - 1].placement + ", which has " +
                          ranks[i].decided_by;
            }
        }
        ranks[i].reason = reason + ".";
    }
}

}  // namespace lapheat::study
