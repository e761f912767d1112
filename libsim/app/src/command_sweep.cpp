// lapheat sweep: a car over many values of its numbers, into one file.
#include "lapheat/study/sweep.hpp"

#include <fmt/core.h>

#include <cmath>

#include "commands.hpp"
#include "json_reports.hpp"
#include "runs.hpp"

namespace lapheat::app {

int sweep(const Common& common, const SweepRequest& request) {
    const auto scenarios = read_all(common, {request.file}, request.cycles);
    const scenario::Scenario& car = scenarios.front();
    std::vector<study::SweepAxis> axes;
    for (const std::string& text : request.vary) axes.push_back(study::parse_sweep_axis(car, text));
    study::SweepOptions o;
    if (!request.points.empty()) {
        const double points = option_value(request.points, units::Quantity::ratio, "--points");
        if (!(points >= 1) || points > 1e9 || points != std::floor(points))
            throw Error("'" + request.points + "' points", "a whole number from 1 to 1e9", {},
                        "--points");
        o.points = static_cast<std::size_t>(points);
    }
    o.series = static_cast<std::uint64_t>(request.series);
    o.hottest = request.hottest;
    o.threads = request.threads;
    o.cancel = &interrupted();
    const std::size_t size = study::sweep_size(axes, o);
    const std::filesystem::path file = request.to.empty() ? "sweep.h5" : request.to;
    if (file.has_parent_path()) make_folder(file.parent_path());
    study::SweepDone done;
    {
        Progress progress("points", size, common.quiet || common.json);
        std::size_t shown = 0;
        o.progress = [&](double points, std::size_t) {
            const auto now = static_cast<std::size_t>(points);
            if (now > shown) progress.add(now - shown), shown = now;
        };
        done = study::sweep(car, axes, file, o);
    }
    if (common.json) {
        print_sweep(done, axes, file.string());
    } else {
        if (done.before > 0)
            print(fmt::format("{} of {} points were there already.\n", done.before, done.points));
        if (done.failed > 0)
            print(fmt::format("{} points could not be built or driven: {}\n", done.failed,
                              done.first_failure));
        if (done.cancelled)
            print(fmt::format("Stopped with {} of {} points done; the same command goes on.\n",
                              done.before + done.done, done.points));
        else
            print(
                fmt::format("{} points are in {}: xarray.open_dataset(\"{}\", "
                            "engine=\"h5netcdf\").\n",
                            done.points, file.string(), file.string()));
        if (!common.quiet && done.done > 0)
            print(fmt::format("{} runs in {:.1f} s.\n", done.runs, done.seconds));
    }
    return done.cancelled ? run_failed : all_well;
}

}  // namespace lapheat::app
