// What few draws say of the doubt, against what many say.
//
//   measure_doubt DRAWS PLACEMENT ... [--draws N] [--fitted] [--words]
//
// DRAWS: a draws.h5 that compare wrote of these placements with thousands of draws. It is cut into
// pieces of N draws (64), and each piece explains each placement as if it were all there is: which
// numbers carry the doubt, and what to measure next. What is fitted to all draws together is taken
// for the truth. --fitted: pieces fit, too, in place of driving each number by itself. --words:
// what is true, and every piece whose sentence would be wrong.
//
// named: numbers that the verdict would name, at most two a piece. wrong: those of them that truly
// carry less than 3 %. in 90: whose interval of 90 % holds the truth. first: pieces whose first is
// truly the first. rms: of the first one's share. Then of the measurement put first: the share of
// the doubt that it is said to settle, that it does, that the best of all would; whose interval
// holds.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <stdexcept>
#include <string>

#include "internal.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/study/certainty.hpp"
#include "lapheat/study/draw_file.hpp"
#include "measure.hpp"

using namespace lapheat::study;

namespace {

// Shares from which the verdict names a number, and below which it had better not have.
constexpr double named = 0.1, next_to_none = 0.03;

/// Draws `first` to `first + count` as a table of their own.
DrawTable piece(const DrawTable& all, std::size_t first, std::size_t count) {
    DrawTable out = all;
    out.draws = count;
    for (auto& column : out.drawn) {
        column.assign(column.begin() + static_cast<std::ptrdiff_t>(first),
                      column.begin() + static_cast<std::ptrdiff_t>(first + count));
    }
    out.outcomes.assign(
        all.outcomes.begin() + static_cast<std::ptrdiff_t>(all.index(first, 0, 0, 0)),
        all.outcomes.begin() + static_cast<std::ptrdiff_t>(all.index(first + count, 0, 0, 0)));
    out.courses.clear();
    out.failed.clear();
    for (FailedDraw f : all.failed)
        if (f.draw >= first && f.draw < first + count) {
            f.draw -= first;
            out.failed.push_back(f);
        }
    return out;
}

struct Said {
    std::map<std::string, Driver> drivers;
    std::vector<Driver> in_order;
    std::vector<Measurement> measure;
};

Said explained(const DrawTable& table, const std::string& placement, std::size_t served,
               const LoneEffects* alone) {
    Certainty c = shares(table, served);
    explain(c, placement, served, alone);
    Said out;
    out.in_order = c.drivers;
    out.measure = c.measure;
    for (const Driver& d : c.drivers) out.drivers[d.number] = d;
    return out;
}

/// Of all instruments, of whatever placement, the share of the doubt about this one that they
/// settle.
std::map<std::string, double> all_settle(const DrawTable& table, const std::string& placement,
                                         std::size_t served) {
    const Certainty c = shares(table, served);
    const std::vector<double> margin =
        nine_of_ten(margins(table, served)[table.index_of(placement)]);
    const std::vector<std::size_t> draws = complete_draws(table);
    lapheat::solve::GivenData options;
    options.resamples = 0;
    std::map<std::string, double> out;
    for (std::size_t q = 0; q < table.placements.size(); ++q)
        for (const Instrument& i : instruments_for(c, q, served, draws))
            if (out.count(i.what) == 0) {
                const std::vector<std::vector<double>> column{i.reading};
                out[i.what] = lapheat::solve::first_order(column, margin, options)[0].value;
            }
    return out;
}

struct Tally {
    std::size_t pieces = 0, named = 0, wrong = 0, within = 0, right_first = 0;
    double squares = 0;  ///< of the first share's error
    std::size_t measured = 0, told = 0, idle = 0, settles_within = 0;
    double settles_said = 0, settles_true = 0, settles_best = 0;

    void add(const Tally& t) {
        pieces += t.pieces;
        named += t.named;
        wrong += t.wrong;
        within += t.within;
        right_first += t.right_first;
        squares += t.squares;
        measured += t.measured;
        told += t.told;
        idle += t.idle;
        settles_within += t.settles_within;
        settles_said += t.settles_said;
        settles_true += t.settles_true;
        settles_best += t.settles_best;
    }
};

}  // namespace

int main(int count, char** words) {
    std::string file;
    std::size_t draws = 64;
    bool tell = false, fitted = false;
    std::vector<lapheat::scenario::Scenario> cars;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        if (word == "--draws" && i + 1 < count)
            draws = std::stoul(words[++i]);
        else if (word == "--fitted")
            fitted = true;
        else if (word == "--words")
            tell = true;
        else if (file.empty())
            file = word;
        else
            cars.push_back(lapheat::scenario::read(word));
    }
    DrawTable all = read_draws(file);
    const std::size_t served = prepare(cars).served.size();
    const DoubtedCars doubted(cars, all.series);
    if (doubted.numbers().size() != all.numbers.size())
        throw std::runtime_error("the draws are not of these placements");
    all.numbers = doubted.numbers();  // with their distributions
    std::printf("%zu draws in pieces of %zu\n", all.draws, draws);
    std::printf("%-34s %6s %6s %6s %6s %6s %6s | %6s %6s %6s %6s %6s %6s\n", "placement", "pieces",
                "named", "wrong", "in 90", "first", "rms", "told", "idle", "says", "true", "best",
                "in 90");
    Tally sum;
    const auto print = [](const std::string& name, const Tally& t) {
        const auto share = [](double a, std::size_t b) {
            return b > 0 ? a / static_cast<double>(b) : std::nan("");
        };
        std::printf("%-34s %6zu %6zu %6zu %6.2f %6.2f %6.3f | %6zu %6zu %6.2f %6.2f %6.2f %6.2f\n",
                    name.c_str(), t.pieces, t.named, t.wrong,
                    share(static_cast<double>(t.within), t.named),
                    share(static_cast<double>(t.right_first), t.pieces),
                    std::sqrt(share(t.squares, t.pieces)), t.told, t.idle,
                    share(t.settles_said, t.measured), share(t.settles_true, t.measured),
                    share(t.settles_best, t.measured),
                    share(static_cast<double>(t.settles_within), t.measured));
    };
    for (const std::string& placement : all.placements) {
        DrawOptions options;
        options.series = all.series;
        LoneEffects alone;
        if (!fitted) alone = lone_effects(all, cars, placement, served, options);
        const Said truth = explained(all, placement, served, nullptr);
        const auto true_share = [&](const std::string& number) {
            const auto at = truth.drivers.find(number);
            return at == truth.drivers.end() ? 0.0 : at->second.share;
        };
        const std::map<std::string, double> settles = all_settle(all, placement, served);
        const auto true_settles = [&](const std::string& what) {
            const auto at = settles.find(what);
            return at == settles.end() ? 0.0 : at->second;
        };
        double best = 0;
        for (const auto& [what, share] : settles) best = std::max(best, share);
        if (tell)
            for (std::size_t k = 0; k < std::min<std::size_t>(3, truth.in_order.size()); ++k)
                std::printf("  %s: %s %.2f (%.2f to %.2f)\n", placement.c_str(),
                            truth.in_order[k].number.c_str(), truth.in_order[k].share,
                            truth.in_order[k].share_low, truth.in_order[k].share_high);
        Tally t;
        for (std::size_t first = 0; first + draws <= all.draws; first += draws) {
            const Said said =
                explained(piece(all, first, draws), placement, served, fitted ? nullptr : &alone);
            ++t.pieces;
            const double most = truth.in_order.empty() ? 0 : truth.in_order[0].share;
            const double lead = said.in_order.empty() ? 0 : said.in_order[0].share;
            t.squares += (lead - most) * (lead - most);
            // Any that is truly within two hundredths of the largest is a right first.
            t.right_first +=
                !said.in_order.empty() && true_share(said.in_order[0].number) >= most - 0.02;
            for (std::size_t k = 0; k < std::min<std::size_t>(2, said.in_order.size()); ++k) {
                const Driver& d = said.in_order[k];
                if (d.share < named) break;
                const double real = true_share(d.number);
                ++t.named;
                t.wrong += real < next_to_none;
                t.within += d.share_low <= real && real <= d.share_high;
                if (tell && real < next_to_none)
                    std::printf("    draws %zu on: %s %.2f (%.2f to %.2f), truly %.3f\n", first,
                                d.number.c_str(), d.share, d.share_low, d.share_high, real);
            }
            if (!said.measure.empty()) {
                const Measurement& m = said.measure.front();
                const double real = true_settles(m.what);
                t.told += m.settles >= named;
                t.idle += m.settles >= named && real < next_to_none;
                if (tell && m.settles >= named && real < next_to_none)
                    std::printf("    draws %zu on: measure %s, %.2f (%.2f to %.2f), truly %.3f\n",
                                first, m.what.c_str(), m.settles, m.settles_low, m.settles_high,
                                real);
                ++t.measured;
                t.settles_said += m.settles;
                t.settles_true += real;
                t.settles_best += best;
                t.settles_within += m.settles_low <= real && real <= m.settles_high;
            }
        }
        print(placement, t);
        std::fflush(stdout);
        sum.add(t);
    }
    print("all", sum);
}
