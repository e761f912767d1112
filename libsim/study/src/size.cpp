#include "lapheat/study/size.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <map>
#include <mutex>

#include "drives.hpp"
#include "lapheat/solve/order_statistics.hpp"
#include "lapheat/solve/roots.hpp"

namespace lapheat::study {
namespace {

using scenario::Handle;

constexpr double accuracy = 1e-3, drawn_accuracy = 5e-3;  // of the range
constexpr std::size_t usual_samples = 7, drawn_samples = 5;

/// The margins of one value, each tried once.
class Tries {
  public:
    Tries(const scenario::Scenario& s, const Handle& h, const SizeOptions& o)
        : scenarios_{s},
          handle_(h),
          options_(o),
          run_(o.draws > 0 ? drawn(without_series(o.run)) : without_series(o.run)),
          cycles_(shared_cycles(s)) {
        if (o.draws > 0) cars_.emplace(scenarios_, o.series);
    }

    /// Tries all of them, on all threads together. Throws Error when cancelled.
    void at(const std::vector<double>& values, double from, double to) {
        std::vector<double> fresh;
        for (const double x : values)
            if (known_.count(x) == 0) fresh.push_back(x);
        const std::size_t draws = std::max<std::size_t>(options_.draws, 1);
        if (cars_ && starts_.empty() && !fresh.empty()) settle();
        std::vector<Job> jobs(fresh.size() * draws);
        for_all(
            jobs.size(), options_.threads, options_.cancel,
            [&](std::size_t i, const TaskWatch& watch) {
                jobs[i] = one(fresh[i / draws], i % draws, watch);
            },
            [&](double done) {
                if (options_.progress) options_.progress(from + (to - from) * done);
            });
        for (std::size_t k = 0; k < fresh.size(); ++k)
            known_[fresh[k]] = together(fresh[k], {&jobs[k * draws], draws});
        runs += jobs.size() * cycles_.size();
    }

    const SizeTried& operator[](double x) {
        at({x}, done_, done_);
        return known_.at(x);
    }
    [[nodiscard]] const std::map<double, SizeTried>& known() const { return known_; }
    void done(double share) { done_ = share; }

    std::size_t runs = 0;

  private:
    /// One car, all cycles.
    struct Job {
        double margin = std::numeric_limits<double>::infinity();
        std::string loop, cycle, failed;
        bool built = false;
    };

    /// Drawn cars set out to settle from where the car as it stands does.
    void settle() {
        const auto model = model::compile(scenarios_[0].car);
        starts_.resize(cycles_.size());
        for_all(
            cycles_.size(), options_.threads, options_.cancel,
            [&](std::size_t c, const TaskWatch& watch) {
                starts_[c] = start_near(*model, *cycles_[c], run_, watch);
            },
            nullptr);
    }

    Job one(double x, std::size_t draw, const TaskWatch& watch) const {
        Job out;
        try {
            const auto set = handle_.at(x);
            const auto model = model::compile(
                cars_ ? cars_->car(0, cars_->draw(static_cast<std::uint32_t>(draw)), set)
                      : scenario::car_with(scenarios_[0], set));
            out.built = true;
            for (std::size_t c = 0; c < cycles_.size(); ++c) {
                const LeastMargin here =
                    least_margin(drive(*model, *cycles_[c], run_, watch,
                                       starts_.empty() ? nullptr : starts_[c].get()),
                                 options_.fluids);
                if (here.margin < out.margin) {
                    out.margin = here.margin;
                    out.loop = here.loop;
                    out.cycle = cycles_[c]->name;
                }
            }
        } catch (const Error& e) {
            if (watch.stop) throw;
            out.failed = told(e);
        }
        return out;
    }

    SizeTried together(double x, std::span<const Job> jobs) const {
        SizeTried out;
        out.value = x;
        std::vector<const Job*> good;
        for (const Job& job : jobs) {
            if (job.failed.empty())
                good.push_back(&job);
            else if (out.failed.empty())
                out.failed = job.failed;
            out.unfinished += !job.failed.empty() && job.built ? 1 : 0;
        }
        if (good.empty()) return out;
        if (2 * good.size() < jobs.size()) return out;  // most of them failed: no answer
        out.failed.clear();
        std::sort(good.begin(), good.end(),
                  [](const Job* a, const Job* b) { return a->margin < b->margin; });
        const std::size_t n = good.size();
        const solve::QuantileRanks ranks = solve::quantile_ranks(n, 1 - options_.share);
        out.margin = good[ranks.at]->margin;
        out.margin_low = good[ranks.low]->margin;
        out.margin_high = good[ranks.high]->margin;
        std::map<std::pair<std::string, std::string>, std::size_t> bound;
        std::size_t most = 0;
        for (const Job* job : good) {
            out.holds += job->margin >= options_.target ? 1.0 / static_cast<double>(n) : 0.0;
            if (const std::size_t times = ++bound[{job->loop, job->cycle}]; times > most) {
                most = times;
                out.loop = job->loop;
                out.cycle = job->cycle;
            }
        }
        return out;
    }

    std::vector<scenario::Scenario> scenarios_;
    const Handle& handle_;
    const SizeOptions& options_;
    model::Options run_;
    std::vector<CyclePtr> cycles_;
    std::optional<DoubtedCars> cars_;
    std::vector<StartPtr> starts_;
    std::map<double, SizeTried> known_;
    double done_ = 0;
};

/// The range that is looked through where none is given: what one could buy instead.
Stretch usual_range(const Handle& h) {
    using units::Quantity;
    Stretch out{h.value / 3, 3 * h.value};
    if (h.quantity == Quantity::temperature) out = {h.value - 20, h.value + 20};
    if (h.quantity == Quantity::temperature_difference) out = {0, std::max(3 * h.value, 10.0)};
    if (h.value == 0) out = {h.range.low, h.range.high};
    out.from = std::max(out.from, h.range.low);
    out.to = std::min(out.to, h.range.high);
    return out;
}

std::string value_words(const Handle& h, double x) {
    return units::format(x, h.quantity, units::System::si, 4);
}

Stretch checked_range(const Handle& h, const SizeOptions& o) {
    const Stretch usual = usual_range(h);
    const double low = o.low.value_or(usual.from), high = o.high.value_or(usual.to);
    if (!std::isfinite(low) || !std::isfinite(high))
        throw Error(fmt::format("'{}' is {} in this car, which tells no range to look through",
                                h.name, value_words(h, h.value)),
                    "--from and --to", {}, h.name);
    if (!(low < high))
        throw Error(fmt::format("the range of '{}' is empty: from {} to {}", h.name,
                                value_words(h, low), value_words(h, high)),
                    "--from below --to", {}, h.name);
    for (const double end : {low, high})
        if (!h.range.holds(end))
            throw Error(fmt::format("'{}' cannot be {}", h.name, value_words(h, end)),
                        fmt::format("a range within {} to {}", value_words(h, h.range.low),
                                    value_words(h, h.range.high)),
                        {}, h.name);
    return {low, high};
}

std::vector<double> samples_of(const Handle& h, const Stretch& range, std::size_t count) {
    std::vector<double> out;
    const std::size_t n = std::max<std::size_t>(count, 2);
    for (std::size_t i = 0; i < n; ++i) {
        double x =
            std::lerp(range.from, range.to, static_cast<double>(i) / static_cast<double>(n - 1));
        if (h.whole) x = std::round(x);
        if (out.empty() || x > out.back()) out.push_back(x);
    }
    return out;
}

bool reaches(const SizeTried& t, double target) { return t.margin >= target; }

/// Where the margin passes the target between two neighbours, one of which reaches it.
double crossing(Tries& tries, const Handle& h, double a, double b, double target, double width) {
    if (h.whole) {
        // Counts: halved until they are neighbours; the one that reaches it.
        const bool first = reaches(tries[a], target);
        while (b - a > 1.5) {
            const double middle = std::round(0.5 * (a + b));
            (reaches(tries[middle], target) == first ? a : b) = middle;
        }
        return first ? a : b;
    }
    // What cannot be built fails by far.
    const auto f = [&](double x) {
        const double margin = tries[x].margin;
        return std::isnan(margin) ? -100.0 : margin - target;
    };
    const double root = solve::bracketed_root(f, a, b, width).x;
    // Of what was tried, the nearest that reaches it: the answer is one that holds.
    double best = reaches(tries[a], target) ? a : b;
    for (const auto& [x, t] : tries.known())
        if (x >= a && x <= b && reaches(t, target) && std::abs(x - root) < std::abs(best - root))
            best = x;
    return best;
}

/// By straight lines between what was tried: where `get` passes the target next to `near`; nothing
/// if it does not.
std::optional<double> passes(const std::vector<SizeTried>& tried, double SizeTried::*get,
                             double target, double near) {
    std::optional<double> best;
    for (std::size_t i = 0; i + 1 < tried.size(); ++i) {
        const double a = tried[i].*get - target, b = tried[i + 1].*get - target;
        if (std::isnan(a) || std::isnan(b) || (a < 0) == (b < 0)) continue;
        const double x = tried[i].value + (tried[i + 1].value - tried[i].value) * a / (a - b);
        if (!best || std::abs(x - near) < std::abs(*best - near)) best = x;
    }
    return best;
}

void judge_monotony(Size& out, const std::vector<double>& samples, Tries& tries) {
    double up = 0, down = 0, last = std::numeric_limits<double>::quiet_NaN();
    for (const double x : samples) {
        const double margin = tries.known().at(x).margin;
        if (std::isnan(margin)) continue;
        if (!std::isnan(last)) (margin > last ? up : down) += std::abs(margin - last);
        last = margin;
    }
    out.against = std::min(up, down);
    out.monotone = out.against <= size_noise;
}

/// Ends of the answer's doubt.
void bound(Size& out) {
    std::optional<double> a, b;
    if (out.draws > 0) {
        a = passes(out.tried, &SizeTried::margin_high, out.target, out.value);
        b = passes(out.tried, &SizeTried::margin_low, out.target, out.value);
    } else {
        a = passes(out.tried, &SizeTried::margin, out.target - margin_doubt, out.value);
        b = passes(out.tried, &SizeTried::margin, out.target + margin_doubt, out.value);
    }
    // More margin is wanted towards the side that holds.
    const double optimist = out.least ? out.low : out.high,
                 pessimist = out.least ? out.high : out.low;
    const double x = a.value_or(optimist), y = b.value_or(pessimist);
    out.value_low = std::min({x, y, out.value});
    out.value_high = std::max({x, y, out.value});
    (out.least ? out.low_beyond : out.high_beyond) = !a;
    (out.least ? out.high_beyond : out.low_beyond) = !b;
}

/// All changes between holding and not, as stretches that hold.
void close_in(Size& out, const Handle& h, Tries& tries, const std::vector<double>& samples) {
    const double width = (out.draws > 0 ? drawn_accuracy : accuracy) * (out.high - out.low);
    std::size_t changes = 0, done = 0;
    for (std::size_t i = 0; i + 1 < samples.size(); ++i)
        changes += reaches(tries.known().at(samples[i]), out.target) !=
                           reaches(tries.known().at(samples[i + 1]), out.target)
                       ? 1
                       : 0;
    bool holds = reaches(tries.known().at(samples.front()), out.target);
    double from = samples.front();
    for (std::size_t i = 0; i + 1 < samples.size(); ++i) {
        const bool next = reaches(tries.known().at(samples[i + 1]), out.target);
        if (next == holds) continue;
        tries.done(0.6 + 0.4 * static_cast<double>(done++) / static_cast<double>(changes));
        const double x = crossing(tries, h, samples[i], samples[i + 1], out.target, width);
        if (holds) out.holds.push_back({from, x});
        from = x;
        holds = next;
    }
    if (holds) out.holds.push_back({from, samples.back()});
}

void answer(Size& out, const Handle& h, const std::vector<double>& samples) {
    if (out.holds.empty()) {
        out.answer = Size::Answer::none_holds;
        return;
    }
    if (out.holds.size() == 1 && out.holds[0].from == samples.front() &&
        out.holds[0].to == samples.back()) {
        out.answer = Size::Answer::all_hold;
        return;
    }
    out.answer = Size::Answer::found;
    // From here to the end of the range, or else from its beginning to here; of an island the
    // smaller end.
    if (out.holds.back().to == samples.back() || out.holds.front().from > samples.front()) {
        out.least = true;
        out.value =
            out.holds.back().to == samples.back() ? out.holds.back().from : out.holds.front().from;
    } else {
        out.least = false;
        out.value = out.holds.front().to;
    }
    out.sold = next_sold(h, out.value, out.least, units::System::si);
}

/// The worst of each kind that runs of a car warn of, about its loops.
std::vector<Diagnostic> loop_warnings(const model::Car& car, const scenario::Scenario& s,
                                      const SizeOptions& o) {
    std::vector<Diagnostic> out;
    const auto model = model::compile(car);
    const std::atomic<bool> never{false};
    const TaskWatch watch{o.cancel ? *o.cancel : never, nullptr};
    for (const drive::Cycle& cycle : s.cycles)
        for (const Diagnostic& d : drive(*model, cycle, without_series(o.run), watch).warnings) {
            if (about(d.code) != About::loop) continue;
            const auto known = std::find_if(out.begin(), out.end(), [&](const Diagnostic& x) {
                return x.code == d.code && x.subject == d.subject;
            });
            if (known == out.end())
                out.push_back(d);
            else if (amount(d) > amount(*known))
                *known = d;
        }
    return out;
}

void look_aside(Size& out, const scenario::Scenario& s, const Handle& h, const SizeOptions& o) {
    const std::vector<Diagnostic> before = loop_warnings(s.car, s, o);
    for (const Diagnostic& d : loop_warnings(scenario::car_with(s, h.at(out.value)), s, o))
        if (std::none_of(before.begin(), before.end(), [&](const Diagnostic& b) {
                return b.code == d.code && b.subject == d.subject && amount(b) >= 0.8 * amount(d);
            }))
            out.brings.push_back(d);
    out.runs += 2 * s.cycles.size();
}

}  // namespace

Size size(const scenario::Scenario& s, const Handle& h, const SizeOptions& o) {
    if (s.cycles.empty()) throw Error("no cycle to drive", "at least one cycle");
    check_fluids(s.car, o.fluids);
    const auto begin = std::chrono::steady_clock::now();
    Size out;
    out.handle = h;
    const Stretch range = checked_range(h, o);
    out.low = range.from;
    out.high = range.to;
    out.target = o.target;
    out.share = o.share;
    out.draws = o.draws;
    out.fluids = o.fluids;
    const std::vector<double> samples = samples_of(h, range,
                                                   o.samples > 0 ? o.samples
                                                   : o.draws > 0 ? drawn_samples
                                                                 : usual_samples);
    Tries tries(s, h, o);
    bool stopped = false;
    try {
        tries.at(samples, 0, 0.6);
        judge_monotony(out, samples, tries);
        close_in(out, h, tries, samples);
        answer(out, h, samples);
    } catch (const Error&) {
        if (!o.cancel || !*o.cancel) throw;
        stopped = true;
        out.answer = Size::Answer::stopped;
    }
    const SizeTried* best = nullptr;
    for (const auto& [x, t] : tries.known()) {
        out.tried.push_back(t);
        if (!std::isnan(t.margin) && (!best || t.margin > best->margin)) best = &t;
    }
    if (!best && !stopped)
        throw Error(out.tried.front().failed.empty() ? "no value of the range can be driven"
                                                     : out.tried.front().failed,
                    {}, {}, h.name);
    if (out.answer == Size::Answer::none_holds && best) out.value = best->value;
    if (out.answer == Size::Answer::all_hold) {
        // The end that costs less margin is the answer's, for it is the last that is known.
        const double first = tries.known().at(samples.front()).margin,
                     last = tries.known().at(samples.back()).margin;
        out.least = first <= last;
        out.value = out.least ? samples.front() : samples.back();
    }
    if (const auto at = tries.known().find(out.value); at != tries.known().end()) {
        out.margin = at->second.margin;
        out.loop = at->second.loop;
        out.cycle = at->second.cycle;
    }
    out.value_low = out.value_high = out.value;
    if (out.answer == Size::Answer::found) bound(out);
    out.runs = tries.runs;
    if (o.aside && (out.answer == Size::Answer::found || out.answer == Size::Answer::all_hold))
        look_aside(out, s, h, o);
    out.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    return out;
}

}  // namespace lapheat::study
