// lapheat retrace: the car driven as a logger saw it driven. lapheat fit: its doubtful numbers
// fitted to such logs.
#include <fmt/core.h>

#include <cmath>
#include <filesystem>

#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/study/car_fit.hpp"
#include "lapheat/study/fit_report.hpp"
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
    require_target(request.h5, "--h5");
    require_target(request.page, "--page");
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
    if (!request.h5.empty()) study::write_fit(request.h5, fitted);
    if (!request.page.empty()) {
        const model::Car& car = cars.front().car;
        results::write_whole(
            request.page, study::fit_page(fitted, car.name + ", " + car.placement, common.units));
    }
    if (common.json) {
        print_fit(fitted);
        return all_well;
    }
    const Style style = style_of(common);
    print(study::headline_words(fitted, style.units) + "\n\n");
    print(results::render(study::fit_score_table(fitted, style.units), style.table) + '\n');
    print(results::render(study::fitted_number_table(fitted), style.table));
    if (!common.quiet) {
        print("\nTo know\n");
        print_list(study::fit_words(fitted, style.units), style);
        if (!request.write.empty())
            print("\nThe fitted car is written to " + request.write +
                  ": compare it as any other.\n");
        print(results::estimate_notice());
    }
    return all_well;
}

}  // namespace lapheat::app
