// Why the winner wins, composed from the numbers of the ranking and of the two best placements.
#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "causes.hpp"
#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;
using units::System;

std::size_t number_of(const std::vector<std::string>& names, const std::string& name) {
    return static_cast<std::size_t>(std::find(names.begin(), names.end(), name) - names.begin());
}

std::string where(const Ranked& r) {
    return "(" + plain_name(r.worst_loop) + ", " + r.worst_cycle + ")";
}

/// "In timed laps steering has 8 K there and 14 K here: here …"
std::string comparison_sentence(const Comparison& c, const Ranked& winner, const Ranked& other,
                                System system) {
    const std::size_t cycle = number_of(c.cycles, other.worst_cycle);
    const std::size_t w = c.index_of(winner.placement);
    const std::size_t o = c.index_of(other.placement);
    if (cycle == c.cycles.size()) return "";
    const auto* here = results::verdict_of(c.at(w, cycle).result, other.worst_loop);
    const auto* there = results::verdict_of(c.at(o, cycle).result, other.worst_loop);
    if (!here || !there) return "";
    std::string out = " What holds " + other.placement + " back is " +
                      plain_name(other.worst_loop) + " in " + other.worst_cycle + ": " +
                      say_kelvins(there->margin, system) + " of margin there against " +
                      say_kelvins(here->margin, system) + " " + winner.placement;
    return out + cause_words(*here, *there, system) + ".";
}

std::string sole(const Ranked& r, System system) {
    const std::string name = sentence_case(r.placement);
    if (r.holds)
        return name + " is the only placement here and it holds: its least margin is " +
               say_kelvins(r.worst_margin, system) + " " + where(r) + ".";
    if (r.worst_margin >= 0) return name + " is the only placement here and it boils.";
    return name + " is the only placement here and it does not hold: it goes " +
           say_kelvins(-r.worst_margin, system) + " over " + where(r) + ", with " +
           say_time(r.time_over) + " over limits in all.";
}

std::string interaction(const Comparison& c, const Ranked& winner, System system) {
    const CycleOutcome* most = nullptr;
    for (const CycleOutcome& o : c.outcomes)
        if (o.coolant_lost >= 1 && (!most || o.coolant_lost > most->coolant_lost)) most = &o;
    if (!most) return "";
    std::string out = " " + sentence_case(most->placement) + " gives up the most coolant margin, " +
                      say_kelvins(most->coolant_lost, system) + " in " + most->cycle + " against " +
                      without_it_words(c);
    if (most->placement != winner.placement && winner.coolant_lost >= 1)
        out += "; " + winner.placement + " gives up " + say_kelvins(winner.coolant_lost, system) +
               " at most";
    return out + ".";
}

/// Fluids that no place serves and that are over their limits in every one of them.
std::string over_anyway(const Comparison& c, System system) {
    std::string out;
    for (const std::string& loop : c.left_out) {
        double least = std::numeric_limits<double>::infinity();
        bool all = true;
        for (std::size_t p = 0; p < c.placements.size(); ++p) {
            double here = std::numeric_limits<double>::infinity();
            for (std::size_t k = 0; k < c.cycles.size(); ++k)
                if (const auto* v = results::verdict_of(c.at(p, k).result, loop))
                    here = std::min(here, v->margin);
            all = all && here < 0;
            least = std::min(least, here);
        }
        if (all && std::isfinite(least))
            out += " " + sentence_case(plain_name(loop)) + " goes up to " +
                   say_kelvins(-least, system) +
                   " over its limit wherever the cooler is; no place here serves it.";
    }
    return out;
}

}  // namespace

VerdictWords verdict_words(const Comparison& c, System system) {
    if (c.ranking.empty()) return {"Nothing was compared.", ""};
    if (c.certainty && c.certainty->draws > 0) {
        VerdictWords words = certain_words(c, system);
        words.rest += over_anyway(c, system);
        return words;
    }
    const Ranked& first = c.ranking.front();
    if (c.ranking.size() == 1) return {sole(first, system), ""};
    const Ranked& second = c.ranking[1];
    const std::string name = sentence_case(first.placement);
    const bool tie = first.holds == second.holds &&
                     (first.worst_margin == second.worst_margin ||
                      std::abs(first.worst_margin - second.worst_margin) <= c.doubt);
    std::string headline, out;
    if (!first.holds) headline = c.faults ? "None of them holds." : "No placement holds.";
    std::string& ranked = first.holds ? headline : out;
    if (!first.holds) out = " ";
    const std::string best = c.faults ? " loses least: " : " wins: ";
    if (tie) {
        const std::string margins[] = {
            say_kelvins(first.worst_margin, system) + " " + where(first),
            say_kelvins(second.worst_margin, system) + " " + where(second)};
        ranked += name + " and " + second.placement + " tie: " +
                  (margins[0] == margins[1]
                       ? "the least margin of both is " + margins[0]
                       : "their least margins are " + margins[0] + " and " + margins[1]) +
                  fmt::format("; {} or less says nothing sure.", say_kelvins(c.doubt, system));
        out +=
            second.decided_by.empty()
                ? " Nothing else that is ranked parts them either; they stand in the order given."
                : " " + name + " is put first for " + second.decided_by + ".";
    } else if (first.holds || first.worst_margin >= 0) {
        ranked += name + best + "its least margin is " + say_kelvins(first.worst_margin, system) +
                  " " + where(first) + ", against " + say_kelvins(second.worst_margin, system) +
                  " " + where(second) + " " + second.placement + ", the next best" +
                  (second.holds ? "." : ", which does not hold.");
    } else {
        ranked += name + (c.faults ? " loses least: it goes " : " is the least bad: it goes ") +
                  say_kelvins(-first.worst_margin, system) + " over " + where(first) + " for " +
                  say_time(first.time_over) + " in all, against " +
                  say_kelvins(-second.worst_margin, system) + " over " + where(second) + " " +
                  second.placement + ".";
    }
    // Of those that tie nothing holds one back against the other: the next one says more.
    for (const Ranked& r : c.ranking)
        if (first.worst_margin - r.worst_margin > c.doubt) {
            out += comparison_sentence(c, first, r, system);
            break;
        }
    out += interaction(c, first, system);
    std::vector<std::string> fail;
    for (const Ranked& r : c.ranking)
        if (!r.holds) fail.push_back(r.placement);
    if (first.holds && !fail.empty())
        out += (fail.size() == 1 ? " One placement does not hold: " : " These do not hold: ") +
               listed(fail) + ".";
    for (const Ranked& r : c.ranking)
        if (!r.harmed.empty())
            out += " " + sentence_case(r.placement) + " does not hold because it drives " +
                   plain_name(r.harmed) + ", which it does not serve, over its limit.";
    out += over_anyway(c, system);
    if (first.holds && first.worst_margin < c.doubt)
        out += " A margin below " + say_kelvins(c.doubt, system) +
               " is less than the estimate is sure of.";
    return {headline, out};
}

std::string verdict_text(const Comparison& c, System system) {
    const VerdictWords words = verdict_words(c, system);
    return words.headline + words.rest;
}

}  // namespace lapheat::study
