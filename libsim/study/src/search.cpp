#include "lapheat/study/search.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <numeric>

#include "drives.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/solve/order_statistics.hpp"
#include "lapheat/study/wiring.hpp"

namespace lapheat::study {
namespace {

/// Whether a dearer one of this margin (K) joins a front that ends with `last`, as front_of()
/// tells.
[[nodiscard]] bool comes_onto_front(double margin, double last, double worth, double target) {
    return margin > last + worth || (margin >= target && last < target);
}

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr std::size_t together = 8;  // choices looked at at a time, whatever the threads
constexpr std::size_t block = 16;    // draws between two looks at the bound

/// A choice that is being run.
struct Candidate {
    Choice choice;
    std::vector<std::pair<std::string, double>> set;
    std::vector<double> margins;  ///< [draw], over the cycles so far; infinite before the first
    std::vector<std::pair<std::size_t, std::size_t>> where;  ///< [draw] loop and cycle, of names
    std::vector<char> failed;
    bool alive = true, complete = false;
};

class Searcher {
  public:
    Searcher(const std::vector<scenario::Scenario>& placements, const SearchOptions& options,
             Search& out)
        : placements_(placements),
          options_(options),
          out_(out),
          prepared_(prepare(placements)),
          run_(options.draws > 0 ? drawn(without_series(options.run))
                                 : without_series(options.run)),
          draws_(std::max<std::size_t>(options.draws, 1)),
          ranks_(solve::quantile_ranks(draws_, 1 - options.share)) {
        if (options.draws > 0) cars_.emplace(placements_, options.series);
        for (const scenario::Scenario& s : placements) check_fluids(s.car, options.fluids);
        order_.resize(draws_);
        std::iota(order_.begin(), order_.end(), 0);
        cycles_.resize(prepared_.cycle_names.size());
        std::iota(cycles_.begin(), cycles_.end(), 0);
    }

    void go() {
        out_.placements = prepared_.names;
        list_choices();
        const std::size_t all = draws_ * cycles_.size();
        out_.runs_of_all = candidates_.size() * all;
        if (candidates_.empty()) return;
        if (options_.draws > 0) settle();
        try {
            // The cheapest is on the front in any case; it tells which draws and cycles are hard.
            std::size_t first = 0;
            while (first < candidates_.size()) {
                const std::size_t count = order_known_ ? together : 1;
                const std::size_t last = std::min(first + count, candidates_.size());
                run_batch(first, last);
                if (!order_known_ && candidates_[first].complete) learn_order(candidates_[first]);
                first = last;
                if (options_.progress)
                    options_.progress(static_cast<double>(first) /
                                      static_cast<double>(candidates_.size()));
            }
        } catch (const Error&) {
            if (!options_.cancel || !*options_.cancel) throw;
            out_.cancelled = true;
        }
        finish();
    }

    [[nodiscard]] scenario::Scenario scenario_of(const Choice& c) const {
        scenario::Scenario s = placements_[c.placement];
        s.car = scenario::car_with(s, set_of(c));
        s.car.placement = c.words;
        return s;
    }

  private:
    [[nodiscard]] std::vector<std::pair<std::string, double>> set_of(const Choice& c) const {
        std::vector<std::pair<std::string, double>> out;
        for (std::size_t l = 0; l < options_.lists.size(); ++l)
            if (c.offers[l] != Choice::none)
                for (auto& pair : scenario::fitted(placements_[c.placement], options_.lists[l],
                                                   options_.lists[l].offers[c.offers[l]]))
                    out.push_back(std::move(pair));
        return out;
    }

    void list_choices() {
        for (std::size_t p = 0; p < placements_.size(); ++p) {
            std::vector<double> needed;
            for (const scenario::PartsList& list : options_.lists)
                needed.push_back(scenario::amount_needed(placements_[p], list));
            Choice c;
            c.placement = p;
            c.offers.assign(options_.lists.size(), 0);
            for (std::size_t l = 0; l < needed.size(); ++l)
                if (needed[l] == 0) c.offers[l] = Choice::none;
            while (true) {
                consider(c, needed);
                std::size_t l = 0;
                for (; l < c.offers.size(); ++l) {
                    if (c.offers[l] == Choice::none) continue;
                    if (++c.offers[l] < options_.lists[l].offers.size()) break;
                    c.offers[l] = 0;
                }
                if (l == c.offers.size()) break;
            }
        }
        std::stable_sort(
            candidates_.begin(), candidates_.end(),
            [](const Candidate& a, const Candidate& b) { return a.choice.price < b.choice.price; });
    }

    /// Adds what is within the limits and can be built.
    void consider(Choice c, const std::vector<double>& needed) {
        ++out_.choices;
        std::vector<std::string> names;
        for (std::size_t l = 0; l < c.offers.size(); ++l)
            if (c.offers[l] != Choice::none) {
                const auto& offer = options_.lists[l].offers[c.offers[l]];
                c.price += offer.price * needed[l];
                names.push_back(offer.what);
            }
        c.words = prepared_.names[c.placement];
        if (!names.empty()) c.words += fmt::format(": {}", fmt::join(names, ", "));
        if (c.price > options_.budget * (1 + 1e-12)) return void(++out_.over_budget);
        Candidate made;
        made.set = set_of(c);
        if (!fits(c, made.set)) return void(++out_.too_large);
        try {
            const model::Car car = scenario::car_with(placements_[c.placement], made.set);
            for (const FanFeed& feed : fan_feeds(car)) c.current += feed.current;
            if (c.current > options_.current * (1 + 1e-12)) return void(++out_.over_current);
            (void)model::compile(car);
        } catch (const Error& e) {
            if (out_.unbuildable++ == 0) out_.first_unbuildable = c.words + ": " + told(e);
            return;
        }
        made.choice = std::move(c);
        made.margins.assign(draws_, infinity);
        made.where.resize(draws_);
        made.failed.assign(draws_, 0);
        candidates_.push_back(std::move(made));
    }

    [[nodiscard]] bool fits(const Choice& c,
                            const std::vector<std::pair<std::string, double>>& set) const {
        for (std::size_t l = 0; l < c.offers.size(); ++l) {
            if (c.offers[l] == Choice::none) continue;
            const auto tables =
                scenario::tables_of_part(placements_[c.placement], options_.lists[l].part);
            if (!tables.front().starts_with("cores.")) continue;
            const auto& offer = options_.lists[l].offers[c.offers[l]];
            const char* keys[] = {"width", "height", "depth"};
            for (const Room& room : options_.rooms) {
                if (!room.placement.empty() && room.placement != prepared_.names[c.placement])
                    continue;
                for (std::size_t side = 0; side < 3; ++side) {
                    const double size = offer.overall[side] > 0
                                            ? offer.overall[side]
                                            : number_of(c, tables.front() + "." + keys[side], set);
                    if (room.size[side] > 0 && size > room.size[side] * (1 + 1e-9)) return false;
                }
            }
        }
        return true;
    }

    /// As the choice makes it, or as the car has it; 0 if it has none.
    [[nodiscard]] double number_of(const Choice& c, const std::string& path,
                                   const std::vector<std::pair<std::string, double>>& set) const {
        for (const auto& [known, value] : set)
            if (known == path) return value;
        for (const scenario::Number& n : placements_[c.placement].numbers)
            if (n.path == path) return n.value;
        return 0;
    }

    void settle() {
        const std::size_t cycles = cycles_.size();
        starts_.resize(placements_.size() * cycles);
        for_all(
            starts_.size(), options_.threads, options_.cancel,
            [&](std::size_t i, const TaskWatch& watch) {
                starts_[i] = start_near(*prepared_.models[i / cycles],
                                        *prepared_.cycles[i / cycles][i % cycles], run_, watch);
            },
            nullptr);
    }

    /// Some draws of some candidates through one cycle.
    void run_some(const std::vector<Candidate*>& of, std::size_t from, std::size_t to,
                  std::size_t c) {
        const std::size_t width = to - from;
        for_all(
            of.size() * width, options_.threads, options_.cancel,
            [&](std::size_t i, const TaskWatch& watch) {
                one(*of[i / width], order_[from + i % width], c, watch);
            },
            nullptr);
        out_.runs += of.size() * width;
    }

    void one(Candidate& of, std::size_t n, std::size_t c, const TaskWatch& watch) {
        if (of.failed[n]) return;
        const std::size_t p = of.choice.placement;
        try {
            const auto model = model::compile(
                cars_ ? cars_->car(p, cars_->draw(static_cast<std::uint32_t>(n)), of.set)
                      : scenario::car_with(placements_[p], of.set));
            const LeastMargin here = least_margin(
                drive(*model, *prepared_.cycles[p][c], run_, watch,
                      starts_.empty() ? nullptr : starts_[p * cycles_.size() + c].get()),
                options_.fluids);
            if (here.margin >= of.margins[n]) return;
            of.margins[n] = here.margin;
            of.where[n] = {loop_index(p, here.loop), c};
        } catch (const Error&) {
            if (watch.stop) throw;
            of.failed[n] = 1;
            of.margins[n] = -infinity;
        }
    }

    [[nodiscard]] std::size_t loop_index(std::size_t p, const std::string& loop) const {
        const auto& loops = placements_[p].car.loops;
        for (std::size_t l = 0; l < loops.size(); ++l)
            if (loops[l].name == loop) return l;
        return 0;
    }

    /// What the margin can still be: more draws and cycles only lower it.
    [[nodiscard]] double bound(const Candidate& of) const {
        std::vector<double> sorted = of.margins;
        std::nth_element(sorted.begin(), sorted.begin() + static_cast<std::ptrdiff_t>(ranks_.at),
                         sorted.end());
        return sorted[ranks_.at];
    }

    /// Given up is what front_of() would leave out whatever is still to be run of it: a front's
    /// margins only rise, so what does not pass those that are known passes none of those to come.
    void drop_dominated(std::vector<Candidate*>& of) {
        if (options_.every_one) return;
        std::erase_if(of, [&](Candidate* c) {
            const double most = bound(*c), last = best_below(c->choice.price);
            c->alive = comes_onto_front(most, last, worth_money, options_.target) &&
                       std::none_of(known_.begin(), known_.end(), [&](const auto& known) {
                           return known.first == c->choice.price && known.second >= most;
                       });
            return !c->alive;
        });
    }

    /// The margin with which the front of what is known and cheaper ends; -infinity: nothing is.
    [[nodiscard]] double best_below(double price) const {
        std::vector<double> prices, margins;
        for (const auto& [known, margin] : known_)
            if (known < price) prices.push_back(known), margins.push_back(margin);
        const auto front = front_of(prices, margins, worth_money, options_.target);
        return front.empty() ? -infinity : margins[front.back()];
    }

    /// The hard draws of all of them side by side, then what is left of each by rising price, so
    /// that each is held against all that is cheaper.
    void run_batch(std::size_t first, std::size_t last) {
        std::vector<Candidate*> of;
        for (std::size_t i = first; i < last; ++i) of.push_back(&candidates_[i]);
        const std::size_t hard = std::min(draws_, order_known_ ? ranks_.at + 1 : 0);
        if (hard > 0) run_draws(of, 0, hard);
        while (!of.empty()) {
            std::vector<Candidate*> one = {of.front()};
            of.erase(of.begin());
            drop_dominated(one);
            for (std::size_t from = hard; from < draws_ && !one.empty(); from += block)
                run_draws(one, from, std::min(draws_, from + block));
            if (one.empty()) continue;
            one.front()->complete = true;
            known_.emplace_back(one.front()->choice.price, bound(*one.front()));
        }
    }

    /// Some draws of some candidates through all cycles, but of those that turn out dominated.
    void run_draws(std::vector<Candidate*>& of, std::size_t from, std::size_t to) {
        for (const std::size_t c : cycles_) {
            if (of.empty()) return;
            run_some(of, from, to, c);
            drop_dominated(of);
        }
    }

    /// Hard draws and the cycle that binds most often come first from now on.
    void learn_order(const Candidate& by) {
        std::stable_sort(order_.begin(), order_.end(), [&](std::size_t a, std::size_t b) {
            return by.margins[a] < by.margins[b];
        });
        std::vector<std::size_t> binds(cycles_.size(), 0);
        for (std::size_t n = 0; n < draws_; ++n) ++binds[by.where[n].second];
        std::stable_sort(cycles_.begin(), cycles_.end(),
                         [&](std::size_t a, std::size_t b) { return binds[a] > binds[b]; });
        order_known_ = true;
    }

    void tell(Candidate& of) const {
        Choice& c = of.choice;
        std::vector<double> sorted = of.margins;
        std::sort(sorted.begin(), sorted.end());
        c.margin = sorted[ranks_.at];
        c.margin_low = sorted[ranks_.low];
        c.margin_high = sorted[ranks_.high];
        std::map<std::pair<std::size_t, std::size_t>, std::size_t> times;
        std::size_t most = 0;
        for (std::size_t n = 0; n < draws_; ++n) {
            c.failed += of.failed[n] ? 1 : 0;
            c.holds += of.margins[n] >= options_.target ? 1.0 / static_cast<double>(draws_) : 0.0;
            if (of.failed[n]) continue;
            if (const std::size_t here = ++times[of.where[n]]; here > most) {
                most = here;
                c.loop = placements_[c.placement].car.loops[of.where[n].first].name;
                c.cycle = prepared_.cycle_names[of.where[n].second];
            }
        }
    }

    void finish() {
        std::vector<Candidate*> done;
        std::vector<double> prices, margins;
        for (Candidate& c : candidates_) {
            if (!c.complete) continue;
            tell(c);
            done.push_back(&c);
            prices.push_back(c.choice.price);
            margins.push_back(c.choice.margin);
        }
        for (const std::size_t i : front_of(prices, margins, worth_money, options_.target)) {
            if (!std::isfinite(margins[i])) continue;
            if (!out_.answer && margins[i] >= options_.target) out_.answer = out_.front.size();
            out_.front.push_back(done[i]->choice);
        }
        out_.dominated = candidates_.size() - out_.front.size();
    }

    const std::vector<scenario::Scenario>& placements_;
    const SearchOptions& options_;
    Search& out_;
    Prepared prepared_;
    model::Options run_;
    std::size_t draws_;
    solve::QuantileRanks ranks_;  ///< of the margin asked for; as many may fail as lie below it
    std::optional<DoubtedCars> cars_;
    std::vector<StartPtr> starts_;
    std::vector<Candidate> candidates_;  ///< by rising price
    std::vector<std::size_t> order_, cycles_;
    bool order_known_ = false;
    std::vector<std::pair<double, double>> known_;  ///< price and margin of what is complete
};

void check_lists(const SearchOptions& o, Search& out) {
    for (const scenario::PartsList& list : o.lists) {
        out.lists.push_back(list.part);
        if (list.offers.empty())
            throw Error("nothing is on offer for '" + list.part + "'", "a row for each thing",
                        {list.source.path, 0, 0});
        if (!out.currency.empty() && !list.currency.empty() && out.currency != list.currency)
            throw Error(fmt::format("prices in {} and in {}", out.currency, list.currency),
                        "lists of one currency", {list.source.path, 1, 0});
        if (out.currency.empty()) out.currency = list.currency;
    }
}

void shop(const std::vector<scenario::Scenario>& placements, const SearchOptions& o,
          const Choice& c, Search& out) {
    for (std::size_t l = 0; l < o.lists.size(); ++l) {
        if (c.offers[l] == Choice::none) continue;
        const scenario::OfferedPart& offer = o.lists[l].offers[c.offers[l]];
        const double amount = scenario::amount_needed(placements[c.placement], o.lists[l]);
        out.shopping.push_back({o.lists[l].part, offer.what, offer.notes, offer.price, amount,
                                offer.price * amount, o.lists[l].per_metre});
    }
}

}  // namespace

std::vector<std::size_t> front_of(std::span<const double> prices, std::span<const double> margins,
                                  double worth, double target) {
    std::vector<std::size_t> order(prices.size()), out;
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return prices[a] != prices[b] ? prices[a] < prices[b] : margins[a] > margins[b];
    });
    for (const std::size_t i : order)
        if (out.empty() || comes_onto_front(margins[i], margins[out.back()], worth, target))
            out.push_back(i);
    return out;
}

Search search(const std::vector<scenario::Scenario>& placements, const SearchOptions& o) {
    const auto begin = std::chrono::steady_clock::now();
    Search out;
    if (!placements.empty()) {
        out.car = placements.front().car.name;
        for (const drive::Cycle& cycle : placements.front().cycles)
            out.cycles.push_back(cycle.name);
    }
    out.target = o.target;
    out.share = o.share;
    out.draws = o.draws;
    check_lists(o, out);
    for (const Room& room : o.rooms)
        if (!room.placement.empty() &&
            std::none_of(placements.begin(), placements.end(), [&](const scenario::Scenario& s) {
                return s.car.placement == room.placement;
            }))
            throw Error("no placement is called '" + room.placement + "'",
                        "the name of one of them, or none for all", {}, "--space");
    Searcher searcher(placements, o, out);
    searcher.go();
    if (out.front.empty() && !out.cancelled)
        throw Error(
            fmt::format("none of {} choices is left: {} over the budget, {} too large, {} over the "
                        "current, {} cannot be built{}",
                        out.choices, out.over_budget, out.too_large, out.over_current,
                        out.unbuildable,
                        out.first_unbuildable.empty() ? "" : " (" + out.first_unbuildable + ")"),
            "limits that leave a choice");
    if (!out.front.empty()) {
        const std::size_t chosen = out.answer.value_or(out.front.size() - 1);
        shop(placements, o, out.front[chosen], out);
        // What to mind with the choice, and with the dearest of each other place on the front, as a
        // comparison tells it.
        std::vector<std::size_t> of_place(placements.size(), Choice::none);
        for (std::size_t i = 0; i < out.front.size(); ++i) of_place[out.front[i].placement] = i;
        of_place[out.front[chosen].placement] = chosen;
        std::vector<scenario::Scenario> left;
        for (std::size_t p = 0; p < placements.size(); ++p) {
            if (of_place[p] == Choice::none) continue;
            left.push_back(searcher.scenario_of(out.front[of_place[p]]));
            left.back().car.placement = placements[p].car.placement;
        }
        if (!out.cancelled) {
            CompareOptions compare_options;
            compare_options.threads = o.threads;
            compare_options.run = without_series(o.run);
            compare_options.cancel = o.cancel;
            compare_options.system = o.system;
            try {
                out.cautions = compare(left, compare_options).cautions;
            } catch (const Error& e) {
                out.cautions.push_back({"How sure the numbers are", "Not compared: " + told(e)});
            }
        }
    }
    out.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return out;
}

}  // namespace lapheat::study
