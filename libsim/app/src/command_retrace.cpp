// lapheat retrace: the car driven as a logger saw it driven. lapheat fit: its doubtful numbers
// fitted to such logs.
#include <fmt/core.h>

#include <filesystem>

#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/study/car_fit.hpp"
#include "lapheat/study/fit_report.hpp"
#include "lapheat/study/retrace_report.hpp"
#include "log_options.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

using results::Style;
using units::Quantity;

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

}  // namespace

int retrace(const Common& common, const RetraceRequest& request) {
    require_target(request.page, "--page");
    const std::vector<scenario::Scenario> cars = read_all(common, {request.file}, {});
    const std::vector<scenario::Log> logs = read_logs({request.log}, request.map);
    study::TraceBandOptions bands;
    bands.draws = counted_draws(request.draws, "retracing");
    bands.threads = request.threads;
    Progress progress("retracing", 1000, common.quiet || common.json);
    std::size_t shown = 0;
    bands.progress = moves(progress, shown, 0, 1);
    const study::Retrace traced = study::retrace(
        cars.front(), logs.front(), retrace_options(request.ambient), common.units, bands);
    if (!request.page.empty())
        results::write_whole(request.page, study::retrace_page(traced, common.units));
    if (common.json) {
        print_retrace(traced);
        return all_well;
    }
    const Style style = style_of(common);
    print_wrapped(fmt::format("{}, {}, as logged in {}", traced.result.car, traced.result.placement,
                              traced.log),
                  style);
    print("\n");
    print_wrapped(study::retrace_headline(traced, style.units), style);
    print("\n");
    print(results::render(study::trace_table(traced, style.units), style.table) + '\n');
    print(results::render(study::warm_table(traced, style.units), style.table));
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
