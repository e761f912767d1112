#include "lapheat/study/sweep.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <bit>
#include <chrono>
#include <cmath>
#include <mutex>
#include <numeric>

#include "drives.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/hdf5_file.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/study/margin.hpp"
#include "sweep_store.hpp"

namespace lapheat::study {
namespace {

using units::Quantity;

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

std::vector<std::string> loops_of(const scenario::Scenario& car) {
    std::vector<std::string> out;
    for (const model::Loop& loop : car.car.loops) out.push_back(loop.name);
    return out;
}

/// The variables of the file, in the order of a point's numbers.
struct Variable {
    const char* path;
    results::Unit unit;
    const char* words;
    bool by_loop;
};
constexpr Variable variables[] = {
    {"/margin", units::Quantity::temperature_difference, "least margin to the limit", true},
    {"/peak", units::Quantity::temperature, "highest temperature", true},
    {"/flow", "m3 s-1", "flow through the core, time mean", true},
    {"/holds", "1", "below its limit, and does not boil", true},
    {"/fan_energy", "J", "electrical energy of the fans", false},
    {"/fan_current", "A", "most of all fans together", false},
    {"/hottest", units::Quantity::temperature, "hottest air that the cycle could be at", false}};
enum : std::size_t { margin, peak, flow, holds, fan_energy, fan_current, hottest };

/// Where the numbers of a variable begin among a point's; of one past the last, `failed`.
std::size_t begins(std::size_t variable, std::size_t cycles, std::size_t loops) {
    std::size_t at = 0;
    for (std::size_t v = 0; v < variable; ++v) at += cycles * (variables[v].by_loop ? loops : 1);
    return at;
}

SweepPoint empty_point(std::size_t cycles, std::size_t loops) {
    SweepPoint out;
    out.numbers.assign(begins(std::size(variables), cycles, loops) + 1, nan);
    out.numbers.back() = 0;
    return out;
}

std::uint64_t fingerprint_of(const scenario::Scenario& car, const std::vector<SweepAxis>& axes,
                             const SweepOptions& o) {
    std::uint64_t print = solve::mixed(o.hottest ? 3 : 2, results::version());
    const auto number = [&](double x) {
        print = solve::mixed(print ^ std::bit_cast<std::uint64_t>(x));
    };
    number(o.run.tolerance);
    number(static_cast<double>(o.points));
    if (o.points > 0) number(static_cast<double>(o.series));
    for (const scenario::SourceFile& file : car.files) print = solve::mixed(print, file.text);
    for (const drive::Cycle& cycle : car.cycles) {
        print = solve::mixed(print, cycle.name);
        for (const auto* column : {&cycle.time, &cycle.speed, &cycle.grade, &cycle.altitude,
                                   &cycle.ambient, &cycle.humidity, &cycle.sun, &cycle.wind,
                                   &cycle.steering_angle, &cycle.lateral_acceleration,
                                   &cycle.held_throttle, &cycle.ac_demand, &cycle.trailer_mass})
            for (const double x : *column) number(x);
        for (const auto x : cycle.engine_on) number(x);
        for (const auto x : cycle.selector) number(static_cast<double>(x));
        for (const auto x : cycle.gear) number(x);
    }
    for (const SweepAxis& axis : axes) {
        print = solve::mixed(print, axis.name);
        for (const double x : axis.values) number(x);
    }
    return print;
}

void write_axes(results::Hdf5Writer& w, const std::vector<SweepAxis>& axes, const SweepOptions& o,
                std::size_t points, std::vector<std::string>& over) {
    const auto about = [](const SweepAxis& axis) {
        results::Attributes out = results::described(axis.quantity, axis.words);
        if (axis.handle) {
            std::vector<std::string> paths;
            for (const auto& n : axis.handle->numbers) paths.push_back(n.path);
            out.emplace_back("numbers", paths);
        }
        return out;
    };
    if (o.points == 0) {
        for (const SweepAxis& axis : axes) {
            w.scale("/" + axis.name, std::span<const double>(axis.values), about(axis));
            over.push_back("/" + axis.name);
        }
        return;
    }
    std::vector<std::int64_t> count(points);
    std::iota(count.begin(), count.end(), 0);
    w.scale("/point", std::span<const std::int64_t>(count));
    over.emplace_back("/point");
    std::vector<std::vector<double>> columns(axes.size());
    for (std::size_t i = 0; i < points; ++i) {
        const auto values = sweep_values(axes, o, i);
        for (std::size_t a = 0; a < axes.size(); ++a) columns[a].push_back(values[a]);
    }
    for (std::size_t a = 0; a < axes.size(); ++a)
        w.numbers("/" + axes[a].name, columns[a], over, about(axes[a]));
}

/// All points from the store, block by block along the first axis.
void write_file(const std::filesystem::path& file, const scenario::Scenario& car,
                const std::vector<SweepAxis>& axes, const SweepOptions& o, std::size_t points,
                std::uint64_t fingerprint, const SweepStore& store) {
    results::Hdf5Writer w(file);
    w.attributes("/", results::origin_attributes());
    w.attributes("/", {{"title", std::string("a sweep: margins and peaks over what was varied")},
                       {"content", std::string("sweep")},
                       {"fingerprint", fmt::format("{:x}", fingerprint)},
                       {"car", car.car.name},
                       {"placement", car.car.placement},
                       {"series", fmt::format("{:x}", o.series)}});
    std::vector<std::string> over;
    write_axes(w, axes, o, points, over);
    std::vector<std::string> cycles;
    for (const drive::Cycle& cycle : car.cycles) cycles.push_back(cycle.name);
    const std::vector<std::string> loops = loops_of(car);
    w.scale("/cycle", std::span<const std::string>(cycles));
    w.scale("/loop", std::span<const std::string>(loops));
    std::vector<std::string> by_cycle = over, by_loop = over;
    by_cycle.emplace_back("/cycle");
    by_loop.emplace_back("/cycle");
    by_loop.emplace_back("/loop");
    for (const Variable& v : variables)
        w.rows(v.path, v.by_loop ? by_loop : by_cycle, results::described(v.unit, v.words));
    w.rows("/failed", over, {{"long_name", "could not be built or driven"}});

    const std::size_t first = o.points > 0 ? points : axes.front().values.size();
    const std::size_t each = points / first;  // points of one step along the first axis
    const std::size_t steps = std::max<std::size_t>(1, 4096 / each);
    std::vector<std::string> failures;
    std::vector<std::int64_t> failed_points;
    for (std::size_t from = 0; from < first; from += steps) {
        const std::size_t to = std::min(first, from + steps);
        std::vector<std::vector<double>> columns(std::size(variables) + 1);
        for (std::size_t i = from * each; i < to * each; ++i) {
            std::string text;
            const std::vector<double> row = store.get(i, text);
            auto at = row.begin();
            for (std::size_t v = 0; v < std::size(variables); ++v) {
                const auto n = static_cast<std::ptrdiff_t>(
                    cycles.size() * (variables[v].by_loop ? loops.size() : 1));
                columns[v].insert(columns[v].end(), at, at + n);
                at += n;
            }
            columns.back().push_back(*at);
            if (*at != 0) {
                failures.push_back(text);
                failed_points.push_back(static_cast<std::int64_t>(i));
            }
        }
        for (std::size_t v = 0; v < std::size(variables); ++v)
            w.fill(variables[v].path, from, columns[v]);
        w.fill("/failed", from, columns.back());
    }
    if (!failures.empty()) {
        w.scale("/failure_point", std::span<const std::int64_t>(failed_points));
        w.strings("/failure", failures, {"/failure_point"});
    }
    w.commit();
}

/// A finished file of the same sweep; nothing if there is none. Throws Error for one of another.
bool finished(const std::filesystem::path& file, std::uint64_t fingerprint) {
    if (!std::filesystem::exists(file)) return false;
    const results::Hdf5Reader r(file);
    if (r.label("/", "content") == "sweep" &&
        r.label("/", "fingerprint") == fmt::format("{:x}", fingerprint))
        return true;
    throw Error("is there already, and of another car, other values or another version",
                "another file (--to), or that this one is removed", {file.string(), 0, 0});
}

}  // namespace

SweepPoint sweep_point(const scenario::Scenario& s, const std::vector<SweepAxis>& axes,
                       const std::vector<double>& values, const SweepOptions& o,
                       const std::atomic<bool>& stop) {
    const std::vector<std::string> loops = loops_of(s);
    SweepPoint out = empty_point(s.cycles.size(), loops.size());
    try {
        std::vector<std::pair<std::string, double>> set;
        for (std::size_t a = 0; a < axes.size(); ++a)
            if (axes[a].handle)
                for (auto& pair : axes[a].handle->at(values[a])) set.push_back(std::move(pair));
        const auto model = model::compile(scenario::car_with(s, set));
        const std::vector<drive::Cycle> cycles = sweep_cycles(s.cycles, axes, values);
        const TaskWatch watch{stop, nullptr};
        const model::Options run = without_series(o.run);
        for (std::size_t c = 0; c < cycles.size(); ++c) {
            const model::Result result = drive(*model, cycles[c], run, watch);
            const auto at = [&](std::size_t variable, std::size_t i) -> double& {
                return out.numbers[begins(variable, cycles.size(), loops.size()) + i];
            };
            for (std::size_t l = 0; l < loops.size(); ++l)
                if (const auto* v = results::verdict_of(result, loops[l])) {
                    const std::size_t i = c * loops.size() + l;
                    at(margin, i) = v->margin;
                    at(peak, i) = v->peak;
                    at(flow, i) = v->flow;
                    at(holds, i) = v->holds() ? 1 : 0;
                }
            at(fan_energy, c) = result.fan_energy;
            at(fan_current, c) = result.peak_fan_current;
            if (!o.hottest) continue;
            model::Options search = run;
            search.cancel = &stop;
            const auto* v = results::tightest(result);
            at(hottest, c) =
                hottest_ambient(*model, cycles[c], search, {}, v ? v->margin : nan).ambient;
        }
    } catch (const Error& e) {
        if (stop) throw;
        out = empty_point(s.cycles.size(), loops.size());
        out.numbers.back() = 1;
        out.failed = told(e);
    }
    return out;
}

struct SweepFile::State {
    const scenario::Scenario& car;
    std::vector<SweepAxis> axes;
    std::filesystem::path file;
    SweepOptions options;
    SweepDone done{};
    std::uint64_t fingerprint = 0;
    std::unique_ptr<SweepStore> store{};  ///< nullptr: the file is there already
    std::vector<std::uint32_t> left{};
    std::atomic<std::size_t> put{0};
    std::chrono::steady_clock::time_point begin = std::chrono::steady_clock::now();
};

SweepFile::SweepFile(const scenario::Scenario& car, std::vector<SweepAxis> axes,
                     std::filesystem::path file, SweepOptions options)
    : state_(new State{car, std::move(axes), std::move(file), std::move(options)}) {
    State& s = *state_;
    if (car.cycles.empty()) throw Error("no cycle to drive", "at least one cycle");
    s.done.points = sweep_size(s.axes, s.options);
    s.fingerprint = fingerprint_of(car, s.axes, s.options);
    s.done.before = s.done.points;
    if (finished(s.file, s.fingerprint)) return;
    std::filesystem::path going = s.file;
    going += ".going";
    s.store = std::make_unique<SweepStore>(
        going, s.fingerprint, s.done.points,
        empty_point(car.cycles.size(), car.car.loops.size()).numbers.size());
    for (std::size_t i = 0; i < s.done.points; ++i)
        if (!s.store->has(i)) s.left.push_back(static_cast<std::uint32_t>(i));
    s.done.before -= s.left.size();
}

SweepFile::~SweepFile() = default;
SweepFile::SweepFile(SweepFile&&) noexcept = default;
SweepFile& SweepFile::operator=(SweepFile&&) noexcept = default;

const std::vector<std::uint32_t>& SweepFile::left() const noexcept { return state_->left; }

void SweepFile::put(std::size_t point, const SweepPoint& result) {
    const std::size_t numbers =
        empty_point(state_->car.cycles.size(), state_->car.car.loops.size()).numbers.size();
    if (!state_->store || point >= state_->done.points || result.numbers.size() != numbers)
        throw Error("a point of another sweep");
    state_->store->put(point, result.numbers, result.failed);
    ++state_->put;
}

bool SweepFile::run() {
    State& s = *state_;
    try {
        for_all(
            s.left.size(), s.options.threads, s.options.cancel,
            [&](std::size_t i, const TaskWatch& watch) {
                put(s.left[i],
                    sweep_point(s.car, s.axes, sweep_values(s.axes, s.options, s.left[i]),
                                s.options, watch.stop));
            },
            [&](double) {
                if (s.options.progress)
                    s.options.progress(static_cast<double>(s.done.before + s.put), s.done.points);
            });
    } catch (const Error&) {
        if (!s.options.cancel || !*s.options.cancel) throw;
        return false;
    }
    return true;
}

SweepDone SweepFile::finish() {
    State& s = *state_;
    SweepDone out = s.done;
    out.done = s.put;
    out.runs = out.done * s.car.cycles.size();
    for (std::size_t i = 0; s.store && i < out.points; ++i) {
        if (!s.store->has(i)) {
            out.cancelled = true;
            continue;
        }
        std::string text;
        (void)s.store->get(i, text);
        if (!text.empty() && out.failed++ == 0) out.first_failure = text;
    }
    if (s.store && !out.cancelled) {
        write_file(s.file, s.car, s.axes, s.options, out.points, s.fingerprint, *s.store);
        s.store->remove();
        s.store.reset();
    }
    out.seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - s.begin).count();
    return out;
}

SweepDone sweep(const scenario::Scenario& car, const std::vector<SweepAxis>& axes,
                const std::filesystem::path& file, const SweepOptions& options) {
    SweepFile out(car, axes, file, options);
    (void)out.run();
    return out.finish();
}

}  // namespace lapheat::study
