#include "lapheat/study/certainty.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "lapheat/solve/given_data.hpp"
#include "measure.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using Columns = std::vector<std::vector<double>>;

constexpr std::size_t most_drivers = 12, most_measurements = 8;
constexpr std::size_t fewest = 20;  // draws below which nothing is said of drivers

/// The least margin of what a placement serves in one run, and whether it holds there.
struct Least {
    double margin = std::numeric_limits<double>::infinity();
    bool holds = true;
    std::size_t loop = 0;
};

Least least_in(const DrawTable& t, std::size_t n, std::size_t p, std::size_t c,
               std::size_t served) {
    Least out;
    for (std::size_t l = 0; l < t.loops.size(); ++l) {
        const FluidOutcome& o = t.at(n, p, c, l);
        if (std::isnan(o.margin)) continue;
        if (l >= served) {
            // What it does to the others counts only where it drives one over that could hold.
            bool spared = false;
            for (std::size_t q = 0; q < t.placements.size(); ++q)
                spared = spared || t.at(n, q, c, l).holds;
            if (o.holds || !spared) continue;
        }
        // What boils under its cap does not hold, whatever its limit says.
        const double margin = o.holds ? o.margin : std::min<double>(o.margin, -1e-3);
        out.holds = out.holds && o.holds;
        if (margin < out.margin) {
            out.margin = margin;
            out.loop = l;
        }
    }
    return out;
}

void set(double& value, double& low, double& high, const solve::Estimate& e) {
    value = e.value;
    low = e.low;
    high = e.high;
}

void quantiles(double& low, double& middle, double& high, const std::vector<double>& x) {
    low = solve::quantile(x, 0.05);
    middle = solve::quantile(x, 0.5);
    high = solve::quantile(x, 0.95);
}

/// Draws of one placement that gave an answer there.
std::vector<std::size_t> draws_of(const DrawTable& t, std::size_t p) {
    std::vector<char> good(t.draws, 1);
    for (const FailedDraw& f : t.failed)
        if (f.placement == t.placements[p]) good[f.draw] = 0;
    std::vector<std::size_t> out;
    for (std::size_t n = 0; n < t.draws; ++n)
        if (good[n] != 0) out.push_back(n);
    return out;
}

void count_placement(const DrawTable& t, std::size_t p, std::size_t served, Certainty& out) {
    const std::vector<std::size_t> draws = draws_of(t, p);
    PlacementCertainty& of = out.placements.emplace_back();
    of.placement = t.placements[p];
    of.failed = t.draws - draws.size();
    std::vector<std::vector<double>> by_cycle(t.cycles.size());
    std::vector<std::size_t> held(t.cycles.size(), 0);
    std::size_t held_all = 0;
    std::vector<double> least;
    std::map<std::pair<std::size_t, std::size_t>, std::size_t> bound;
    for (const std::size_t n : draws) {
        bool all = true;
        double worst = std::numeric_limits<double>::infinity();
        std::pair<std::size_t, std::size_t> where;
        for (std::size_t c = 0; c < t.cycles.size(); ++c) {
            const Least here = least_in(t, n, p, c, served);
            by_cycle[c].push_back(here.margin);
            held[c] += here.holds ? 1 : 0;
            all = all && here.holds;
            if (here.margin < worst) {
                worst = here.margin;
                where = {here.loop, c};
            }
        }
        held_all += all ? 1 : 0;
        least.push_back(worst);
        ++bound[where];
    }
    set(of.holds, of.holds_low, of.holds_high, solve::share(held_all, draws.size()));
    quantiles(of.margin_5, of.margin_50, of.margin_95, least);
    if (!bound.empty()) {
        const auto most =
            std::max_element(bound.begin(), bound.end(),
                             [](const auto& a, const auto& b) { return a.second < b.second; });
        of.bound_by = plain_name(t.loops[most->first.first]) + ", " + t.cycles[most->first.second];
        of.bound_share = static_cast<double>(most->second) / static_cast<double>(draws.size());
    }
    for (std::size_t c = 0; c < t.cycles.size(); ++c) {
        CycleCertainty& row = out.cycles.emplace_back();
        row.placement = t.placements[p];
        row.cycle = t.cycles[c];
        set(row.holds, row.holds_low, row.holds_high, solve::share(held[c], draws.size()));
        quantiles(row.margin_5, row.margin_50, row.margin_95, by_cycle[c]);
        row.hottest_5 = row.hottest_50 = row.hottest_95 = std::numeric_limits<double>::quiet_NaN();
    }
}

/// Least margin of each fluid of one placement over all cycles.
void count_fluids(const DrawTable& t, std::size_t p, Certainty& out) {
    const std::vector<std::size_t> draws = draws_of(t, p);
    for (std::size_t l = 0; l < t.loops.size(); ++l) {
        std::vector<double> least;
        for (const std::size_t n : draws) {
            double margin = std::numeric_limits<double>::infinity();
            for (std::size_t c = 0; c < t.cycles.size(); ++c)
                if (const float m = t.at(n, p, c, l).margin; !std::isnan(m))
                    margin = std::min<double>(margin, m);
            if (std::isfinite(margin)) least.push_back(margin);
        }
        if (least.empty()) continue;
        FluidCertainty& of = out.fluids.emplace_back();
        of.placement = t.placements[p];
        of.loop = t.loops[l];
        quantiles(of.margin_5, of.margin_50, of.margin_95, least);
    }
}

void count_choice(const Columns& u, std::uint64_t series, Certainty& out) {
    const std::size_t width = u.size(), rows = u.empty() ? 0 : u[0].size();
    out.better.assign(width, std::vector<double>(width, 0.0));
    std::vector<std::size_t> best(width, 0);
    for (std::size_t n = 0; n < rows; ++n) {
        std::size_t first = 0;
        for (std::size_t p = 1; p < width; ++p)
            if (u[p][n] > u[first][n]) first = p;
        ++best[first];
        for (std::size_t p = 0; p < width; ++p)
            for (std::size_t q = 0; q < width; ++q)
                out.better[p][q] += u[p][n] > u[q][n] ? 1.0 / static_cast<double>(rows) : 0.0;
    }
    solve::GivenData options;
    options.key = series;
    for (std::size_t p = 0; p < width; ++p) {
        PlacementCertainty& of = out.placements[p];
        set(of.best, of.best_low, of.best_high, solve::share(best[p], rows));
        of.margin = rows > 0
                        ? std::accumulate(u[p].begin(), u[p].end(), 0.0) / static_cast<double>(rows)
                        : std::numeric_limits<double>::quiet_NaN();
        if (rows >= fewest)
            set(of.regret, of.regret_low, of.regret_high, solve::regret(u, p, options));
    }
    if (rows < fewest) return;
    const solve::Decision d = solve::decide(u, options);
    set(out.regret, out.regret_low, out.regret_high, d.regret);
}

/// Of the draws whose courses were kept and finished.
void count_bands(const DrawTable& t, Certainty& out) {
    const std::size_t kept = std::min(t.draws, band_draws);
    if (t.courses.size() < t.index(kept, 0, 0, 0) * band_steps) return;
    for (std::size_t p = 0; p < t.placements.size(); ++p)
        for (std::size_t c = 0; c < t.cycles.size(); ++c)
            for (std::size_t l = 0; l < t.loops.size(); ++l) {
                Band b{t.placements[p], t.cycles[c], t.loops[l], {}, {}, {}, {}};
                for (std::size_t s = 0; s < band_steps; ++s) {
                    std::vector<double> at;
                    for (std::size_t n = 0; n < kept; ++n)
                        if (const float x = t.courses[t.index(n, p, c, l) * band_steps + s];
                            !std::isnan(x))
                            at.push_back(x);
                    if (at.size() < fewest) break;
                    b.time.push_back(t.durations[c] * static_cast<double>(s) /
                                     static_cast<double>(band_steps - 1));
                    b.low.push_back(solve::quantile(at, 0.05));
                    b.middle.push_back(solve::quantile(at, 0.5));
                    b.high.push_back(solve::quantile(at, 0.95));
                }
                if (b.time.size() == band_steps) out.bands.push_back(std::move(b));
            }
}

/// Mean of y in the lowest and in the highest fifth of x.
std::pair<double, double> ends(const std::vector<double>& x, const std::vector<double>& y) {
    std::vector<std::size_t> order(x.size());
    std::iota(order.begin(), order.end(), 0);
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return x[a] < x[b]; });
    const std::size_t fifth = std::max<std::size_t>(x.size() / 5, 1);
    double low = 0, high = 0;
    for (std::size_t i = 0; i < fifth; ++i) {
        low += y[order[i]];
        high += y[order[order.size() - 1 - i]];
    }
    return {low / static_cast<double>(fifth), high / static_cast<double>(fifth)};
}

}  // namespace

std::vector<std::size_t> complete_draws(const DrawTable& t) {
    std::vector<char> good(t.draws, 1);
    for (const FailedDraw& f : t.failed) good[f.draw] = 0;
    std::vector<std::size_t> out;
    for (std::size_t n = 0; n < t.draws; ++n)
        if (good[n] != 0) out.push_back(n);
    return out;
}

std::vector<double> nine_of_ten(std::vector<double> y) {
    const double low = solve::quantile(y, 0.05), high = solve::quantile(y, 0.95);
    for (double& one : y) one = std::clamp(one, low, high);
    return y;
}

std::vector<std::vector<double>> margins(const DrawTable& t, std::size_t served) {
    Columns out(t.placements.size());
    for (const std::size_t n : complete_draws(t))
        for (std::size_t p = 0; p < t.placements.size(); ++p) {
            double worst = std::numeric_limits<double>::infinity();
            for (std::size_t c = 0; c < t.cycles.size(); ++c)
                worst = std::min(worst, least_in(t, n, p, c, served).margin);
            out[p].push_back(worst);
        }
    return out;
}

bool enough(const DrawTable& t, std::size_t served) {
    for (std::size_t p = 0; p < t.placements.size(); ++p) {
        std::size_t held = 0, asked = 0;
        for (const std::size_t n : draws_of(t, p)) {
            bool all = true;
            for (std::size_t c = 0; c < t.cycles.size(); ++c)
                all = all && least_in(t, n, p, c, served).holds;
            held += all ? 1 : 0;
            ++asked;
        }
        const solve::Estimate e = solve::share(held, asked);
        if (e.high - e.low > 2 * enough_share) return false;
    }
    return true;
}

Certainty shares(DrawTable table, std::size_t served) {
    Certainty out;
    out.draws = table.draws;
    out.runs = table.draws * table.placements.size() * table.cycles.size();
    out.failed = table.failed.size();
    out.cancelled = table.cancelled;
    out.not_drawn = table.not_drawn;
    if (!table.failed.empty()) {
        const FailedDraw& f = table.failed.front();
        out.first_failure = fmt::format("draw {}, {}{}{}: {}", f.draw + 1, f.placement,
                                        f.cycle.empty() ? "" : ", ", f.cycle, f.what);
    }
    for (std::size_t p = 0; p < table.placements.size(); ++p)
        count_placement(table, p, served, out);
    for (std::size_t p = 0; p < table.placements.size(); ++p) count_fluids(table, p, out);
    count_choice(margins(table, served), table.series, out);
    count_bands(table, out);
    out.table = std::move(table);
    return out;
}

const FluidCertainty* Certainty::fluid(const std::string& placement,
                                       const std::string& loop) const noexcept {
    for (const FluidCertainty& f : fluids)
        if (f.placement == placement && f.loop == loop) return &f;
    return nullptr;
}

const Band* Certainty::band(const std::string& placement, const std::string& cycle,
                            const std::string& loop) const noexcept {
    for (const Band& b : bands)
        if (b.placement == placement && b.cycle == cycle && b.loop == loop) return &b;
    return nullptr;
}

namespace {

/// What a number does by itself: a parabola through what was driven, a line through one end alone.
class Curve {
  public:
    Curve(const solve::Distribution& of, double low, double high)
        : low_at_(of.quantile(LoneEffects::low_at)),
          middle_at_(of.quantile(0.5)),
          high_at_(of.quantile(LoneEffects::high_at)) {
        const double down = low_at_ - middle_at_, up = high_at_ - middle_at_;
        const bool has_low = std::isfinite(low) && down < 0,
                   has_high = std::isfinite(high) && up > 0;
        if (has_low && has_high) {
            bend_ = (high / up - low / down) / (up - down);
            slope_ = low / down - bend_ * down;
        } else if (has_low || has_high) {
            slope_ = has_low ? low / down : high / up;
        }
    }
    /// K over the middle; beyond the ends as at them, as the margins are taken.
    [[nodiscard]] double operator()(double value) const {
        const double x = std::clamp(value, low_at_, high_at_) - middle_at_;
        return x * (slope_ + bend_ * x);
    }

  private:
    double low_at_, middle_at_, high_at_, slope_ = 0, bend_ = 0;
};

struct Shares {
    std::vector<solve::Estimate> of;  ///< by number
    double together = 0;
};

/// Fitted to the draws, all of a car's own numbers together.
Shares fitted_shares(const DrawTable& t, std::size_t p, const Columns& x,
                     const std::vector<double>& margin, const solve::GivenData& options) {
    Shares out{std::vector<solve::Estimate>(x.size()), 0};
    // What a car has not got carries none of its doubt, however it happens to go with it.
    std::vector<std::size_t> own;
    Columns columns;
    for (std::size_t k = 0; k < x.size(); ++k)
        if (t.numbers[k].stands_in(p)) own.push_back(k), columns.push_back(x[k]);
    const auto share = solve::first_order_together(columns, margin, options);
    for (std::size_t i = 0; i < own.size(); ++i) {
        out.of[own[i]] = share[i];
        out.together += share[i].value;
    }
    return out;
}

/// What the sum of lone effects explains of the draws, divided by their variances.
Shares driven_shares(const DrawTable& t, const std::vector<std::size_t>& draws,
                     const LoneEffects& alone, const std::vector<double>& margin,
                     const solve::GivenData& options) {
    constexpr int points = 64;
    std::vector<double> sum(draws.size(), 0.0), variance(t.numbers.size(), 0.0);
    double all = 0;
    for (std::size_t k = 0; k < t.numbers.size(); ++k) {
        const solve::Distribution& of = t.numbers[k].distribution;
        const Curve curve(of, alone.low[k], alone.high[k]);
        double mean = 0, squares = 0;
        for (int i = 0; i < points; ++i) {
            const double effect = curve(of.quantile((i + 0.5) / points));
            mean += effect / points;
            squares += effect * effect / points;
        }
        variance[k] = std::max(squares - mean * mean, 0.0);
        all += variance[k];
        for (std::size_t n = 0; n < draws.size(); ++n) sum[n] += curve(t.value(k, draws[n]));
    }
    const solve::Estimate whole = solve::determination(sum, margin, options);
    // The middle car is not all cars: of the shares of nine placements of the demo car, nine of ten
    // were within this factor of what 3072 draws said (measure_doubt).
    constexpr double off_by = 1.5;
    Shares out{{}, whole.value};
    for (const double v : variance) {
        const double part = all > 0 ? v / all : 0, share = part * whole.value;
        out.of.push_back({share,
                          std::max(0.0, share - std::hypot(part * (whole.value - whole.low),
                                                           share * (1 - 1 / off_by))),
                          std::min(1.0, share + std::hypot(part * (whole.high - whole.value),
                                                           share * (off_by - 1)))});
    }
    return out;
}

}  // namespace

void explain(Certainty& out, const std::string& first, std::size_t served,
             const LoneEffects* alone) {
    const DrawTable& t = out.table;
    Columns u = margins(t, served);
    const std::size_t p = t.index_of(first);
    if (p >= u.size() || u[p].size() < fewest) return;
    out.about = first;
    // One placement alone: to build it, or not to, which has neither margin nor lack of it.
    if (u.size() == 1) u.emplace_back(u[0].size(), 0.0);
    const std::vector<std::size_t> draws = complete_draws(t);
    Columns x;
    for (std::size_t k = 0; k < t.numbers.size(); ++k) {
        auto& column = x.emplace_back();
        for (const std::size_t n : draws) column.push_back(t.drawn[k][n]);
    }
    solve::GivenData options;
    options.key = t.series;
    const std::vector<double> margin = nine_of_ten(u[p]);
    const Shares share = alone ? driven_shares(t, draws, *alone, margin, options)
                               : fitted_shares(t, p, x, margin, options);
    out.explained = share.together;
    out.lone_runs = alone ? alone->runs : 0;
    const auto worth = solve::value_of_knowing(x, u, options);
    out.drivers.clear();
    for (std::size_t k = 0; k < x.size(); ++k) {
        Driver d;
        const DoubtedNumber& number = t.numbers[k];
        d.number = number.words();
        d.origin = scenario::name(number.origin);
        d.source = number.source;
        d.quantity = number.quantity;
        d.value = number.value;
        d.low = number.distribution.quantile(0.05);
        d.high = number.distribution.quantile(0.95);
        set(d.share, d.share_low, d.share_high, share.of[k]);
        set(d.worth, d.worth_low, d.worth_high, worth[k]);
        std::tie(d.margin_low, d.margin_high) = ends(x[k], margin);
        if (alone && std::isfinite(alone->low[k] + alone->high[k])) {
            d.margin_low = alone->middle + alone->low[k];
            d.margin_high = alone->middle + alone->high[k];
        }
        out.drivers.push_back(std::move(d));
    }
    std::stable_sort(out.drivers.begin(), out.drivers.end(),
                     [](const Driver& a, const Driver& b) { return a.share > b.share; });
    if (out.drivers.size() > most_drivers) out.drivers.resize(most_drivers);

    const std::vector<Instrument> instruments = instruments_for(out, p, served, draws);
    Columns read;
    for (const Instrument& i : instruments) read.push_back(i.reading);
    options.among = read.size();
    const auto read_share = solve::first_order(read, margin, options);
    const auto read_worth = solve::value_of_knowing(read, u, options);
    out.measure.clear();
    for (std::size_t k = 0; k < instruments.size(); ++k) {
        Measurement m{.what = instruments[k].what,
                      .how = instruments[k].how,
                      .how_well = instruments[k].how_well};
        set(m.worth, m.worth_low, m.worth_high, read_worth[k]);
        set(m.settles, m.settles_low, m.settles_high, read_share[k]);
        out.measure.push_back(std::move(m));
    }
    // By what they save the choice; where that is next to nothing, by what they tell.
    const auto value = [](const Measurement& m) { return m.worth_low > 0 ? m.worth : 0.0; };
    std::stable_sort(out.measure.begin(), out.measure.end(),
                     [&](const Measurement& a, const Measurement& b) {
                         const double wa = value(a), wb = value(b);
                         return std::abs(wa - wb) > 0.05 ? wa > wb : a.settles > b.settles;
                     });
    if (out.measure.size() > most_measurements) out.measure.resize(most_measurements);
}

std::string of_hundred(double share, std::size_t draws) {
    if (share >= 1) return fmt::format("all {}", draws);
    if (share <= 0) return fmt::format("none of {}", draws);
    if (draws < 100)
        return fmt::format("{} of {}", std::lround(share * static_cast<double>(draws)), draws);
    const long rounded = std::lround(100 * share);
    if (rounded >= 100) return "more than 99 of 100";
    if (rounded <= 0) return "fewer than 1 of 100";
    return fmt::format("{} of 100", rounded);
}

}  // namespace lapheat::study
