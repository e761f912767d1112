// lapheat retrace: the car driven as a logger saw it driven. lapheat fit: its doubtful numbers
// fitted to such logs.
#include <fmt/core.h>

#include <cmath>
#include <filesystem>

#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/study/car_fit.hpp"
#include "log_options.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

using results::Align;
using results::Style;
using units::Quantity;

std::string difference(double kelvin, const Style& style) {
    if (!std::isfinite(kelvin)) return "-";
    return fmt::format("{:+.1f}",
                       units::to_display(kelvin, Quantity::temperature_difference, style.units));
}
std::string size(double kelvin, const Style& style) {
    return fmt::format("{:.1f}",
                       units::to_display(kelvin, Quantity::temperature_difference, style.units));
}
std::string at(double kelvin, const Style& style) {
    if (!std::isfinite(kelvin)) return "-";
    return fmt::format("{:.1f}", units::to_display(kelvin, Quantity::temperature, style.units));
}
std::vector<scenario::Log> read_logs(const std::vector<std::string>& files,
                                     const std::vector<std::string>& map) {
    scenario::LogOptions options = log_options(map);
    options.cancel = &interrupted();
    std::vector<scenario::Log> out;
    for (const std::string& file : files) out.push_back(scenario::read_log(file, options));
    return out;
}

study::RetraceOptions retrace_options(const std::string& ambient) {
    study::RetraceOptions out;
    out.run.cancel = &interrupted();
    if (!ambient.empty())
        out.cycle.ambient = option_value(ambient, Quantity::temperature, "--ambient");
    return out;
}

results::TextTable trace_table(const study::Retrace& r, const Style& style) {
    const auto head = [&](const char* words, Quantity q) {
        return results::TableColumn{results::with_unit(words, q, style.units), Align::right};
    };
    results::TextTable table;
    table.title = "The model less the log";
    table.columns = {{"fluid"},
                     head("mean", Quantity::temperature_difference),
                     {"rms", Align::right},
                     {"worst", Align::right},
                     {"at", Align::right},
                     {"warming", Align::right},
                     {"slow", Align::right},
                     {"fast", Align::right}};
    for (const study::TracedFluid& f : r.fluids)
        table.rows.push_back({{f.loop},
                              {difference(f.bias, style)},
                              {size(f.rms, style)},
                              {difference(f.worst, style)},
                              {results::clock(f.worst_time)},
                              {difference(f.bias_warming, style)},
                              {difference(f.bias_slow, style)},
                              {difference(f.bias_fast, style)}});
    return table;
}

results::TextTable warm_table(const study::Retrace& r, const Style& style) {
    results::TextTable table;
    table.title = "Warm-up, and where it settles";
    table.columns = {
        {"fluid"},
        {results::with_unit("settles, logged", Quantity::temperature, style.units), Align::right},
        {"model", Align::right},
        {"warm after, logged", Align::right},
        {"model", Align::right}};
    for (const study::TracedFluid& f : r.fluids)
        table.rows.push_back({{f.loop},
                              {at(f.regulated_logged, style)},
                              {at(f.regulated_model, style)},
                              {results::clock(f.warm_logged)},
                              {results::clock(f.warm_model)}});
    return table;
}

results::TextTable number_table(const study::CarFit& fit) {
    results::TextTable table;
    table.title = "What the logs say of the car (5, 50 and 95 % of each number)";
    table.columns = {{"number", Align::left, true},
                     {"before", Align::right},
                     {"after", Align::right},
                     {"told", Align::right}};
    for (const study::FittedNumber& f : fit.numbers) {
        if (!f.fitted || f.told < 0.05) continue;
        table.rows.push_back(
            {{f.log.empty()
                  ? f.number.words()
                  : f.number.words() + ", " + std::filesystem::path(f.log).filename().string()},
             {fmt::format("{:.3g} .. {:.3g} .. {:.3g}", f.before_5, f.before, f.before_95)},
             {fmt::format("{:.3g} .. {:.3g} .. {:.3g}", f.after_5, f.after, f.after_95)},
             {fmt::format("{:.0f} %", 100 * f.told)}});
    }
    return table;
}

results::TextTable score_table(const study::CarFit& fit, const Style& style) {
    results::TextTable table;
    table.title = "Held against the logs";
    table.columns = {
        {"log", Align::left, true},
        {"fluid"},
        {""},
        {results::with_unit("rms", Quantity::temperature_difference, style.units), Align::right},
        {"after", Align::right},
        {"mean", Align::right},
        {"after", Align::right},
        {"in band", Align::right},
        {"after", Align::right}};
    for (const study::FitScore& s : fit.scores)
        table.rows.push_back({{std::filesystem::path(s.log).filename().string()},
                              {s.before.loop},
                              {s.held_back ? "held back" : "fitted",
                               s.held_back ? results::Tone::strong : results::Tone::faint},
                              {size(s.rms_before, style)},
                              {size(s.rms_after, style)},
                              {difference(s.bias_before, style)},
                              {difference(s.bias_after, style)},
                              {fmt::format("{:.0f} %", 100 * s.inside_before)},
                              {fmt::format("{:.0f} %", 100 * s.inside_after)}});
    return table;
}

/// The headline: what the logs say that were not fitted.
std::string headline(const study::CarFit& fit, const Style& style) {
    double before = 0, after = 0, inside = 0, samples = 0;
    bool held = false;
    for (const study::FitScore& s : fit.scores) held = held || s.held_back;
    for (const study::FitScore& s : fit.scores) {
        if (s.held_back != held) continue;
        const auto n = static_cast<double>(s.samples);
        before += n * s.rms_before * s.rms_before, after += n * s.rms_after * s.rms_after;
        inside += n * s.inside_after, samples += n;
    }
    if (!(samples > 0)) return "No log could be driven to its end.\n";
    return fmt::format(
        "{}: {} rms before, {} after; {:.0f} % of the readings lie in the band that should hold "
        "90.\n{}",
        held ? "On the logs held back" : "On the logs that were fitted",
        results::shown(std::sqrt(before / samples), Quantity::temperature_difference, style, 1),
        results::shown(std::sqrt(after / samples), Quantity::temperature_difference, style, 1),
        100 * inside / samples,
        held ? "" : "That is no test: give two logs or more, and some are held back for one.\n");
}

}  // namespace

int retrace(const Common& common, const RetraceRequest& request) {
    const std::vector<scenario::Scenario> cars = read_all(common, {request.file}, {});
    const std::vector<scenario::Log> logs = read_logs({request.log}, request.map);
    const study::Retrace traced =
        study::retrace(cars.front(), logs.front(), retrace_options(request.ambient), common.units);
    if (common.json) {
        print_retrace(traced);
        return all_well;
    }
    const Style style = style_of(common);
    print(fmt::format("{}, {}, as logged in {}\n\n", traced.result.car, traced.result.placement,
                      traced.log));
    print(results::render(trace_table(traced, style), style.table) + '\n');
    print(results::render(warm_table(traced, style), style.table));
    if (!traced.looks.empty()) {
        print("\nWhere it is off, and by what it looks (common practice, no source)\n");
        print_list(traced.looks, style);
    }
    if (!common.quiet) {
        print("\nWhat was assumed of the drive\n");
        print_list(traced.notes, style);
        print(results::estimate_notice());
    }
    return all_well;
}

int fit(const Common& common, const FitRequest& request) {
    require_target(request.write, "--write");
    const std::vector<scenario::Scenario> cars = read_all(common, {request.file}, {});
    std::vector<std::string> files = request.logs;
    files.insert(files.end(), request.held.begin(), request.held.end());
    const std::vector<scenario::Log> logs = read_logs(files, request.map);
    study::CarFitOptions options;
    const double grid = options.retrace.grid;
    options.retrace = retrace_options(request.ambient);
    options.retrace.grid = grid;
    options.free = request.free;
    options.each_log = request.each_log;
    options.hold_back = request.held.empty() ? -1 : static_cast<int>(request.held.size());
    options.threads = request.threads;
    options.cancel = &interrupted();
    Progress progress("fitting", 1000, common.quiet || common.json);
    std::size_t shown = 0;
    const auto moved = moves(progress, shown, 0, 1);
    options.progress = [&](double done, const char*) { moved(done); };
    const study::CarFit fitted = study::fit_car(cars.front(), logs, options);
    if (!request.write.empty())
        results::write_whole(request.write, study::overlay_of(fitted, request.file));
    if (common.json) {
        print_fit(fitted);
        return all_well;
    }
    const Style style = style_of(common);
    print(headline(fitted, style) + '\n');
    print(results::render(score_table(fitted, style), style.table) + '\n');
    print(results::render(number_table(fitted), style.table));
    std::vector<std::string> said = fitted.notes;
    for (const study::FittedSignal& f : fitted.signals) {
        const auto kelvins = [&](double x) {
            return results::shown(x, Quantity::temperature_difference, style, 1);
        };
        const std::string name(scenario::entry(f.signal).name);
        said.push_back(fmt::format("the thermometer of {} reads {} {} than the model, +- {}", name,
                                   kelvins(std::abs(f.offset)), f.offset > 0 ? "higher" : "lower",
                                   kelvins(2 * f.offset_deviation)));
        said.push_back(fmt::format(
            "the model's own error of {} is {} (one standard deviation) and lasts {}: "
            "an hour of log counts as {:.0f} readings",
            name, kelvins(f.deviation), results::clock(f.memory), std::max(1.0, 1800 / f.memory)));
    }
    std::size_t silent = 0;
    for (const study::FittedNumber& f : fitted.numbers)
        silent += f.fitted && f.told >= 0.05 ? 0 : 1;
    if (silent > 0)
        said.push_back(
            fmt::format("of {} other numbers the logs say next to nothing; they keep their "
                        "ranges (--json lists them)",
                        silent));
    if (!common.quiet) {
        print("\nTo know\n");
        print_list(said, style);
        if (!request.write.empty())
            print("\nThe fitted car is written to " + request.write +
                  ": compare it as any other.\n");
        print(results::estimate_notice());
    }
    return all_well;
}

}  // namespace lapheat::app
