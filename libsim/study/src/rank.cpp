// The rule that ranks placements, and the sentence that says why each stands where it does.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

// Differences below these are none worth a choice. Judgement, no source.
constexpr double line_tie = 0.5;     // m, a hose is routed and cut no better
constexpr double current_tie = 3;    // A, a tenth of a common fan fuse
constexpr double core_exposed = 1;   // m of line that a core under the floor counts as
constexpr double least_view = 0.01;  // share of a line in sight of the exhaust that is none

/// One criterion: less is better, values within `tie` of a group's best count as equal, and so
/// does what `apart`, if there is one, does not set apart from it.
struct Criterion {
    std::function<double(const Ranked&)> value;
    double tie;
    const char* words;  ///< "less …"
    Quantity quantity;
    std::function<bool(const Ranked& best, const Ranked& other)> apart = {};
};

enum Level : std::size_t { holding, margin, exhaust, floor_exposed, lines, current };

/// Holding and margin by draws.
void by_draws(const Comparison& c, std::vector<Criterion>& criteria) {
    const auto of = [&c](const Ranked& r) -> const PlacementCertainty& {
        return c.certainty->placements[c.index_of(r.placement)];
    };
    criteria[holding].value = [of](const Ranked& r) { return -of(r).holds; };
    criteria[holding].tie = share_tie;
    criteria[margin].value = [of](const Ranked& r) { return -of(r).margin; };
    criteria[margin].tie = margin_tie;
    criteria[margin].apart = [&c](const Ranked& best, const Ranked& other) {
        return c.certainty->better[c.index_of(best.placement)][c.index_of(other.placement)] >=
               clearly_more;
    };
}

std::vector<Criterion> criteria(const Comparison& c) {
    std::vector<Criterion> out{
        {[](const Ranked& r) { return r.holds ? 0.0 : 1.0; }, 0.5, "", Quantity::ratio},
        {[](const Ranked& r) { return -r.worst_margin; }, c.doubt, "more margin",
         Quantity::temperature_difference},
        {[](const Ranked& r) { return r.hot_line; }, line_tie,
         "less oil line in sight of the exhaust", Quantity::length},
        {[](const Ranked& r) { return r.exposed; }, line_tie,
         "less oil line and core exposed under the floor", Quantity::length},
        {[](const Ranked& r) { return r.line_length; }, line_tie, "shorter lines",
         Quantity::length},
        {[](const Ranked& r) { return r.peak_current; }, current_tie, "less current",
         Quantity::electric_current}};
    if (c.certainty && c.certainty->draws > 0) by_draws(c, out);
    return out;
}

/// Sorts ranks [from, to) by the criteria from `level` on; `why[i]` becomes the level that parts
/// rank i from the one above it.
void refine(const std::vector<Criterion>& by_all, std::vector<Ranked>& ranks,
            std::vector<std::size_t>& why, std::size_t from, std::size_t to, std::size_t level) {
    if (to - from < 2 || level == by_all.size()) return;
    const Criterion& by = by_all[level];
    const auto begin = ranks.begin();
    const auto offset = [](std::size_t i) { return static_cast<std::ptrdiff_t>(i); };
    std::stable_sort(begin + offset(from), begin + offset(to),
                     [&](const Ranked& a, const Ranked& b) { return by.value(a) < by.value(b); });
    std::size_t start = from;
    for (std::size_t i = from + 1; i <= to; ++i) {
        const double best = by.value(ranks[start]);
        // "!(a <= b)" so that equal infinities stay together: inf − inf is not a number.
        const bool parts =
            i == to || (by.value(ranks[i]) != best && !(by.value(ranks[i]) - best <= by.tie) &&
                        (!by.apart || by.apart(ranks[start], ranks[i])));
        if (!parts) continue;
        if (i < to) why[i] = level;
        refine(by_all, ranks, why, start, i, level + 1);
        start = i;
    }
}

double& entry(std::vector<std::pair<std::string, double>>& list, const std::string& name,
              double begin) {
    for (auto& [known, value] : list)
        if (known == name) return value;
    return list.emplace_back(name, begin).second;
}

/// What a placement does to a loop it does not serve.
void count_effect(const Comparison& c, std::size_t p, std::size_t k, const model::Verdict& v,
                  Ranked& r) {
    const model::Verdict* without = without_it(c, p, k, v.loop);
    double& most = entry(r.effects, v.loop, 0.0);
    most = std::max(most, without->margin - v.margin);
    if (v.holds()) return;
    std::string& name = without->holds() ? r.harmed : r.over_anyway;
    if (name.empty()) name = v.loop;
}

/// Where oil could burn or be struck: its lines in sight of the exhaust, lines and cores under the
/// floor.
void count_danger(const Comparison& c, const model::Car& car, Ranked& r) {
    for (const model::Loop& loop : car.loops) {
        if (loop.role == model::LoopRole::coolant) continue;
        for (const model::Run& run : loop.runs)
            for (const model::Part& part : run.parts)
                if (const auto* line = std::get_if<model::Line>(&part.body)) {
                    if (line->exhaust_view > least_view && line->heat_shields == 0)
                        r.hot_line += line->length;
                    if (line->surroundings == model::Zone::under_floor) r.exposed += line->length;
                } else if (const auto* pass = std::get_if<model::CorePass>(&part.body)) {
                    for (const model::AirPath& path : car.air)
                        for (const model::StackItem& item : path.stack)
                            if (item.core == pass->core && is_in(c.served, loop.name) &&
                                path.assumptions.place == airflow::Place::under_floor)
                                r.exposed += core_exposed;
                }
    }
}

Ranked summarise(const Comparison& comparison, std::size_t p) {
    Ranked r;
    r.placement = comparison.placements[p];
    r.worst_margin = std::numeric_limits<double>::infinity();
    bool boils = false;
    double caution = 0;  // s, most of one fluid in one cycle
    for (std::size_t c = 0; c < comparison.cycles.size(); ++c) {
        const CycleOutcome& outcome = comparison.at(p, c);
        for (const model::Verdict& v : outcome.result.verdicts) {
            if (is_in(comparison.left_out, v.loop)) {
                count_effect(comparison, p, c, v, r);
                continue;
            }
            r.time_over += v.time_over;
            r.time_over_caution += v.time_over_caution;
            if (v.time_over_caution > caution) {
                caution = v.time_over_caution;
                r.most_caution = plain_name(v.loop) + ", " + outcome.cycle;
            }
            boils = boils || v.boils >= 0;
            double& least = entry(r.margins, v.loop, v.margin);
            least = std::min(least, v.margin);
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
    r.holds = r.worst_margin >= 0 && !boils && r.harmed.empty();
    if (p < comparison.cars.size()) {
        const model::Car& car = comparison.cars[p];
        r.line_length = line_length(car);
        count_danger(comparison, car, r);
        for (const model::Loop& loop : car.loops)
            if (const double metres = line_length(loop); metres > 0)
                r.lines.emplace_back(loop.name, metres);
    }
    return r;
}

std::string margin_words(const Ranked& r, units::System system) {
    const std::string where = " (" + plain_name(r.worst_loop) + ", " + r.worst_cycle + ")";
    std::string out;
    if (r.worst_margin < 0)
        out = "goes " + say_kelvins(-r.worst_margin, system) + " over" + where + ", " +
              say_time(r.time_over) + " over limits in all";
    else if (r.holds && r.over_anyway.empty())
        out = "holds with at least " + say_kelvins(r.worst_margin, system) + where;
    else if (!r.holds && r.harmed.empty())
        out = "boils, though the margin is " + say_kelvins(r.worst_margin, system) + where;
    else
        out = "keeps " + say_kelvins(r.worst_margin, system) + " of what it serves" + where;
    if (!r.harmed.empty())
        out += "; does not hold, for it drives " + plain_name(r.harmed) +
               ", which it does not serve, over its limit";
    if (!r.over_anyway.empty())
        out += "; " + plain_name(r.over_anyway) + " does not hold, with this place or without";
    for (const auto& [loop, lost] : r.effects)
        if (lost >= worth_a_word)
            out += "; costs " + plain_name(loop) + " " + say_kelvins(lost, system) + " at most";
    return out;
}

}  // namespace

const model::Verdict* without_it(const Comparison& c, std::size_t p, std::size_t k,
                                 const std::string& loop) {
    for (const model::Verdict& v : c.at(p, k).without)
        if (v.loop == loop) return &v;
    const model::Verdict* best = nullptr;
    for (std::size_t q = 0; q < c.placements.size(); ++q)
        if (const auto* v = results::verdict_of(c.at(q, k).result, loop))
            if (!best || v->margin > best->margin) best = v;
    return best;
}

const char* counted_against(const Comparison& c) {
    return c.placed.empty() ? "the compared placement that leaves them most"
                            : "the same car with its cooler taken out";
}

const char* without_it_words(const Comparison& c) {
    return c.placed.empty() ? "the best place" : "the car without it";
}

void rank(Comparison& comparison, units::System system) {
    auto& ranks = comparison.ranking;
    ranks.clear();
    for (std::size_t p = 0; p < comparison.placements.size(); ++p)
        ranks.push_back(summarise(comparison, p));
    const std::vector<Criterion> by = criteria(comparison);
    std::vector<std::size_t> why(ranks.size(), by.size());
    refine(by, ranks, why, 0, ranks.size(), 0);
    for (std::size_t i = 0; i < ranks.size(); ++i) {
        std::string reason = sentence_case(margin_words(ranks[i], system));
        ranks[i].ties = i > 0 && why[i] > margin;
        if (i > 0 && why[i] >= by.size()) {
            reason += "; equal to " + ranks[i - 1].placement + " in all that is ranked";
        } else if (i > 0 && why[i] > margin) {
            const Criterion& parted = by[why[i]];
            const auto value = [&](const Ranked& r) {
                return parted.quantity == Quantity::length
                           ? say_length(parted.value(r), system)
                           : say(parted.value(r), parted.quantity, system);
            };
            ranks[i].decided_by = fmt::format("{} ({} against {})", parted.words,
                                              value(ranks[i - 1]), value(ranks[i]));
            reason += "; ties in margin with " + ranks[i - 1].placement + ", which has " +
                      ranks[i].decided_by;
        }
        ranks[i].reason = reason + ".";
    }
}

std::string ranking_rule(const Comparison& c, units::System system) {
    if (c.certainty && c.certainty->draws > 0) return certain_rule(c, system);
    std::vector<std::string> served, others;
    for (const std::string& loop : c.served) served.push_back(plain_name(loop));
    for (const std::string& loop : c.left_out) others.push_back(plain_name(loop));
    std::string out =
        others.empty()
            ? fmt::format("Every fluid counts ({})", listed(served))
            : fmt::format("A placement is judged by the fluids it serves ({})", listed(served));
    out += fmt::format(
        ", by their least margin over all cycles; those that hold come first; margins closer than "
        "{}, {}, tie, and then {}",
        say_kelvins(c.doubt, system),
        c.doubt == margin_doubt ? "which a single assumption about a place can move"
                                : "half of what the least certain assumption moves",
        tie_order);
    if (!others.empty())
        out += fmt::format(
            "; what it does to the others ({}) is shown as a change against {}, and counts only if "
            "it "
            "drives one over its limit that holds there",
            listed(others), counted_against(c));
    return out + ".";
}

}  // namespace lapheat::study
