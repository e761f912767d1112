#include "lapheat/study/retrace.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "bands.hpp"
#include "fit_noise.hpp"
#include "internal.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/solve/interpolate.hpp"
#include "lapheat/study/doubts.hpp"
#include "lapheat/units/error.hpp"
#include "log_gears.hpp"
#include "words.hpp"

namespace lapheat::study {
namespace {

using model::LoopRole;
using scenario::Signal;

constexpr double none = std::numeric_limits<double>::quiet_NaN();

struct Compared {
    Signal signal;
    LoopRole role;
};
constexpr Compared compared[] = {{Signal::coolant, LoopRole::coolant},
                                 {Signal::transmission, LoopRole::transmission},
                                 {Signal::steering, LoopRole::steering},
                                 {Signal::engine_oil, LoopRole::engine_oil}};

/// A first-order lag of `tau` s over samples `step` s apart.
void hold_back(std::vector<double>& x, double step, double tau) {
    if (!(tau > 0)) return;
    const double keep = std::exp(-step / tau);
    for (std::size_t i = 1; i < x.size(); ++i) x[i] = keep * x[i - 1] + (1 - keep) * x[i];
}

double mean_of(double sum, std::size_t count, std::size_t least) {
    return count >= least ? sum / static_cast<double>(count) : none;
}

/// First time at which x is at least `level`; NaN if it begins there or never comes.
double reaches(const std::vector<double>& t, const std::vector<double>& x, double level) {
    for (std::size_t i = 0; i < t.size(); ++i)
        if (x[i] >= level) return i == 0 ? none : t[i];
    return none;
}

/// In what a model may differ from a log.
struct Differences {
    double regulated = none;          ///< K, once warm, model less log
    double warming = none;            ///< time to warm, of that logged
    double slow = none, fast = none;  ///< K beside the mean of all
};
Differences differences_of(const TracedFluid& f) {
    return {.regulated = f.regulated_model - f.regulated_logged,
            .warming = f.warm_model / f.warm_logged,
            .slow = f.bias_slow - f.bias,
            .fast = f.bias_fast - f.bias};
}

/// In brackets: whether nine of ten drawn cars leave room for a car that does as the log has it.
std::string covered(const std::vector<Differences>& drawn, double Differences::*which,
                    double as_logged) {
    std::vector<double> all;
    for (const Differences& d : drawn)
        if (std::isfinite(d.*which)) all.push_back(d.*which);
    constexpr std::size_t fewest = 10;
    if (all.size() < fewest) return "";
    const bool in =
        solve::quantile(all, 0.05) <= as_logged && as_logged <= solve::quantile(all, 0.95);
    return in ? " (the doubts of the file cover it)" : " (beyond what the file doubts)";
}

/// What a difference of this sort most often comes from. Common practice, no source.
void add_looks(const TracedFluid& f, const std::vector<Differences>& drawn, units::System system,
               std::vector<std::string>& looks) {
    const auto say = [&](const std::string& text) { looks.push_back(f.loop + ": " + text); };
    const auto side = [](double bias) { return bias > 0 ? "hotter" : "cooler"; };
    const Differences d = differences_of(f);
    if (std::abs(d.regulated) > 2)
        say(fmt::format(
            "once warm the model runs {} {} than the log{}: look at {} first, then at "
            "the sensor",
            format_kelvins(std::abs(d.regulated), system), side(d.regulated),
            covered(drawn, &Differences::regulated, 0),
            f.signal == Signal::coolant ? "the thermostat's opening temperature"
                                        : "the flow through its cooler and the air there"));
    if (d.warming > 1.25 || d.warming < 0.8)
        say(fmt::format("it warms up in {:.1f} of the time logged{}: {}", d.warming,
                        covered(drawn, &Differences::warming, 1),
                        d.warming < 1
                            ? "the engine gives less heat to the coolant, the cabin heater "
                              "took it, or there is more metal and coolant than the file says"
                            : "the engine gives more heat than the file says, or the cabin "
                              "heater was off"));
    if (std::abs(d.slow) > 3 && !(std::abs(d.regulated) > 2 && f.signal == Signal::coolant))
        say(
            fmt::format("standing and creeping it is {} {} than elsewhere{}: look at the fan, its "
                        "switch and the air that comes back from the bay",
                        format_kelvins(std::abs(d.slow), system), side(d.slow),
                        covered(drawn, &Differences::slow, 0)));
    if (std::abs(d.fast) > 3)
        say(
            fmt::format("at speed it is {} {} than elsewhere{}: look at the core, the grille and "
                        "the ram air",
                        format_kelvins(std::abs(d.fast), system), side(d.fast),
                        covered(drawn, &Differences::fast, 0)));
}

}  // namespace

LoggedDrive::LoggedDrive(const model::Car& car, const scenario::Log& log,
                         const RetraceOptions& options)
    : options_(options), log_(log.file), cycle_(scenario::cycle_of(log, options.cycle, notes_)) {
    set_gears(cycle_, log, car.vehicle, notes_);
    for (const Compared& pair : compared) {
        const scenario::Channel* channel = log.find(pair.signal);
        const auto loop = std::ranges::find(car.loops, pair.role, &model::Loop::role);
        if (channel == nullptr || loop == car.loops.end()) continue;
        TracedFluid f;
        f.signal = pair.signal;
        f.loop = loop->name, f.column = channel->column, f.step = channel->step;
        for (double t = 0; t <= cycle_.time.back(); t += options.grid) f.time.push_back(t);
        f.logged = scenario::sampled(*channel, f.time,
                                     std::max(options.longest_gap, 4 * channel->interval));
        // Before its first and after its last sample a log says nothing.
        for (std::size_t i = 0; i < f.time.size(); ++i)
            if (f.time[i] < channel->time.front() || f.time[i] > channel->time.back())
                f.logged[i] = none;
        fluids_.push_back(std::move(f));
    }
    if (fluids_.empty())
        throw Error("has no temperature of a fluid that the car has",
                    "coolant, transmission, steering or engine_oil; say which column with --map",
                    {log.file});
    set_start(car, log);
}

void LoggedDrive::set_start(const model::Car& car, const scenario::Log& log) {
    const double air = cycle_.ambient.front();
    const auto logged = [&](LoopRole role) {
        for (const Compared& pair : compared)
            if (pair.role == role)
                if (const scenario::Channel* c = log.find(pair.signal)) return c->value.front();
        return 0.0;
    };
    double coolant = logged(LoopRole::coolant);
    if (!(coolant > 0)) coolant = air;
    // Garages keep a car some kelvins above the day.
    constexpr double cold = 15;
    warm_ = coolant > air + cold;
    start_ = coolant;
    if (!warm_) return;
    // Of what no log tells, the share of the coolant's rise that it has after a drive.
    std::string guessed;
    for (const model::Loop& loop : car.loops) {
        double at = logged(loop.role);
        if (!(at > 0)) {
            const double share = loop.role == LoopRole::engine_oil     ? 1.0
                                 : loop.role == LoopRole::transmission ? 0.8
                                                                       : 0.5;
            at = loop.role == LoopRole::coolant ? coolant : air + share * (coolant - air);
            guessed += (guessed.empty() ? "" : ", ") + loop.name;
        }
        loops_.emplace_back(loop.name, at);
    }
    if (!guessed.empty())
        notes_.push_back(
            "the car was warm when the log began; where no log tells, a fluid starts at "
            "the coolant's rise over the day (oil), at 0.8 of it (transmission) or half "
            "of it (others): " +
            guessed);
}

std::vector<std::vector<double>> LoggedDrive::drive(const model::Car& car,
                                                    const std::atomic<bool>* cancel,
                                                    model::Result* result) const {
    model::Car from = car;
    from.start_warm = warm_;
    from.start_temperature = warm_ ? from.start_temperature : start_;
    for (const auto& [name, at] : loops_)
        for (model::Loop& loop : from.loops)
            if (loop.name == name) loop.warm_start = at;
    model::Options run = options_.run;
    run.keep_series = true;
    run.sample_interval = std::min(run.sample_interval, options_.grid);
    if (cancel != nullptr) run.cancel = cancel;
    model::Result driven = model::simulate(*model::compile(from), cycle_, run);
    std::vector<std::vector<double>> out;
    for (const TracedFluid& f : fluids_) {
        const model::Series* s = driven.find("loops/" + f.loop, "watched_temperature");
        if (s == nullptr) throw Error("the run has no temperature of " + f.loop);
        std::vector<double> felt = s->values;
        hold_back(felt, run.sample_interval, options_.sensor_lag);
        std::vector<double>& at = out.emplace_back();
        for (const double t : f.time) at.push_back(solve::between(driven.time, felt, t));
    }
    if (result != nullptr) *result = std::move(driven);
    return out;
}

void compare_traces(TracedFluid& f, const std::vector<double>& speed) {
    struct Sum {
        double sum = 0;
        std::size_t count = 0;
        void add(double x) { sum += x, ++count; }
    };
    std::vector<double> held;
    for (const double x : f.logged)
        if (std::isfinite(x)) held.push_back(x);
    f.samples = held.size();
    f.bias = f.rms = f.worst = 0;
    if (held.empty()) return;
    const double high = solve::quantile(held, 0.9);
    Sum all, warming, slow, fast;
    double squares = 0;
    std::vector<double> warm_logged, warm_model;
    bool warm = false;
    for (std::size_t i = 0; i < f.time.size(); ++i) {
        if (!std::isfinite(f.logged[i])) continue;
        const double off = f.model[i] - f.logged[i];
        all.add(off), squares += off * off;
        if (std::abs(off) > std::abs(f.worst)) f.worst = off, f.worst_time = f.time[i];
        warm = warm || f.logged[i] >= high - 3;
        if (!warm) {
            warming.add(off);
            continue;
        }
        warm_logged.push_back(f.logged[i]), warm_model.push_back(f.model[i]);
        if (speed[i] < 20 / 3.6) slow.add(off);
        if (speed[i] > 70 / 3.6) fast.add(off);
    }
    const auto n = static_cast<double>(held.size());
    f.bias = all.sum / n, f.rms = std::sqrt(squares / n);
    const double step = f.time.size() > 1 ? f.time[1] - f.time[0] : 1;
    const auto minute = static_cast<std::size_t>(60 / step) + 1;
    f.bias_warming = mean_of(warming.sum, warming.count, minute);
    f.bias_slow = mean_of(slow.sum, slow.count, minute);
    f.bias_fast = mean_of(fast.sum, fast.count, minute);
    const bool stays = warm_logged.size() >= 2 * minute;
    f.regulated_logged = stays ? solve::quantile(warm_logged, 0.5) : none;
    f.regulated_model = stays ? solve::quantile(warm_model, 0.5) : none;
    f.warm_logged = stays ? reaches(f.time, f.logged, f.regulated_logged - 5) : none;
    f.warm_model = stays ? reaches(f.time, f.model, f.regulated_logged - 5) : none;
}

namespace {

/// Cars of the file's doubts driven as the log has it: each one's fluids with its thermometers'
/// offsets.
class DrawnTraces {
  public:
    DrawnTraces(const scenario::Scenario& scenario, const LoggedDrive& drive,
                const TraceBandOptions& options, const std::atomic<bool>* cancel)
        : traces_(options.draws) {
        const std::vector<scenario::Scenario> scenarios{scenario};
        const DoubtedCars cars(scenarios, 1);
        std::vector<std::uint64_t> keys;
        for (const TracedFluid& f : drive.fluids())
            keys.push_back(
                solve::mixed(1, fmt::format("thermometer {}", scenario::entry(f.signal).name)));
        const solve::ScrambledPoints offsets(keys);
        std::vector<std::string> failed(options.draws);
        for_all(
            options.draws, options.threads, cancel,
            [&](std::size_t n, const TaskWatch& watch) {
                const auto index = static_cast<std::uint32_t>(n);
                std::vector<double> u(keys.size());
                offsets.point(index, u);
                try {
                    traces_[n] = drive.drive(cars.car(0, cars.draw(index)), &watch.stop);
                } catch (const Error& e) {
                    if (watch.stop) throw;
                    failed[n] = e.what();
                    return;
                }
                for (std::size_t k = 0; k < keys.size(); ++k)
                    for (double& x : traces_[n][k])
                        x += options.sensor_error * solve::normal_quantile(u[k]);
            },
            options.progress);
        for (const std::string& why : failed)
            if (!why.empty()) ++failures_, why_ = why;
    }

    [[nodiscard]] std::size_t driven() const { return traces_.size() - failures_; }
    /// Empty where all could be driven.
    [[nodiscard]] std::string trouble() const {
        return failures_ == 0 ? ""
                              : fmt::format(
                                    "{} of {} cars of the file's doubts could not be "
                                    "driven as logged, and are not in the bands: {}",
                                    failures_, traces_.size(), why_);
    }

    /// Sets the band of the k-th fluid; what each car differs from the log by.
    std::vector<Differences> lay(std::size_t k, const std::vector<double>& speed,
                                 TracedFluid& f) const {
        std::vector<Differences> out;
        std::vector<std::vector<double>> of;
        for (const auto& trace : traces_) {
            if (trace.empty()) continue;
            of.push_back(trace[k]);
            TracedFluid one = f;
            one.model = trace[k];
            compare_traces(one, speed);
            out.push_back(differences_of(one));
        }
        if (of.empty()) return out;
        TraceBand band =
            band_of(of, f.logged, std::hypot(deviation_of_reading(f.step), usual_deviation));
        f.low = std::move(band.low), f.high = std::move(band.high), f.inside = band.inside;
        return out;
    }

  private:
    std::vector<std::vector<std::vector<double>>> traces_;  ///< K, by car, fluid, time
    std::size_t failures_ = 0;
    std::string why_;
};

}  // namespace

Retrace retrace(const scenario::Scenario& scenario, const scenario::Log& log,
                const RetraceOptions& options, units::System system,
                const TraceBandOptions& bands) {
    const LoggedDrive drive(scenario.car, log, options);
    Retrace out;
    out.log = log.file;
    out.cycle = drive.cycle();
    out.notes = drive.notes();
    out.fluids = drive.fluids();
    const auto driven = drive.drive(scenario.car, options.run.cancel, &out.result);
    const DrawnTraces drawn(scenario, drive, bands, options.run.cancel);
    out.drawn = drawn.driven();
    if (const std::string trouble = drawn.trouble(); !trouble.empty()) out.notes.push_back(trouble);
    for (std::size_t k = 0; k < out.fluids.size(); ++k) {
        TracedFluid& f = out.fluids[k];
        f.model = driven[k];
        std::vector<double> speed;
        for (const double t : f.time)
            speed.push_back(solve::between(out.cycle.time, out.cycle.speed, t));
        compare_traces(f, speed);
        add_looks(f, drawn.lay(k, speed, f), system, out.looks);
    }
    return out;
}

}  // namespace lapheat::study
