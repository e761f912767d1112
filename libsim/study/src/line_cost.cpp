#include "lapheat/study/line_cost.hpp"

#include <algorithm>
#include <cmath>
#include <memory>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/study/parallel.hpp"

namespace lapheat::study {
namespace {

/// Where a line stands in a car, for changing it in a copy.
struct Where {
    std::size_t loop = 0, run = 0, part = 0;
};

model::Line& line_of(model::Car& car, const Where& w) {
    return std::get<model::Line>(car.loops[w.loop].runs[w.run].parts[w.part].body);
}

std::vector<Where> all_lines(const model::Car& car) {
    std::vector<Where> out;
    for (std::size_t l = 0; l < car.loops.size(); ++l)
        for (std::size_t r = 0; r < car.loops[l].runs.size(); ++r) {
            const model::Run& run = car.loops[l].runs[r];
            for (std::size_t p = 0; p < run.parts.size() && !run.closed; ++p)
                if (std::holds_alternative<model::Line>(run.parts[p].body))
                    out.push_back({l, r, p});
        }
    return out;
}

/// The number of cells stays: more cells would change the smear of the delay, not the line.
int cells_of(const model::Line& line) {
    return line.cells > 0 ? line.cells
                          : std::clamp(static_cast<int>(std::lround(line.length / 0.5)), 1, 8);
}

}  // namespace

std::vector<LineCost> line_costs(const model::Car& car, const drive::Cycle& cycle,
                                 const LineCostOptions& options) {
    const std::vector<Where> lines = all_lines(car);
    const auto shared = std::make_shared<const drive::Cycle>(cycle);
    ParallelOptions parallel{options.threads, options.run, options.progress, options.cancel};
    parallel.run.keep_series = false;
    parallel.run.tolerance = options.tolerance;
    std::vector<LineCost> out(lines.size());
    std::vector<double> longer(lines.size());
    model::Result base;
    // Job 0 is the car as it is, then two for each line: longer, and with more bends.
    run_each(
        1 + 2 * lines.size(),
        [&](std::size_t i) {
            model::Car changed = car;
            if (i > 0) {
                model::Line& line = line_of(changed, lines[(i - 1) / 2]);
                line.cells = cells_of(line);
                if (i % 2 == 1) {
                    const double more = std::max(options.metres, 0.25 * line.length);
                    longer[(i - 1) / 2] = more;
                    line.length += more;
                } else if (line.bends > 0 || line.bend_angle == 90) {
                    line.bends += options.bends;
                }
            }
            return Job{model::compile(changed), shared};
        },
        [&](std::size_t i, model::Result&& result) {
            if (i == 0) {
                base = std::move(result);
                return;
            }
            const std::size_t n = (i - 1) / 2;
            const model::Loop& loop = car.loops[lines[n].loop];
            const model::Part& part = loop.runs[lines[n].run].parts[lines[n].part];
            const auto& line = std::get<model::Line>(part.body);
            const auto* before = results::verdict_of(base, loop.name);
            const auto* after = results::verdict_of(result, loop.name);
            LineCost& cost = out[n];
            cost.loop = loop.name;
            cost.part = part.name;
            cost.cycle = result.cycle;
            cost.length = line.length;
            cost.inner_diameter = line.inner_diameter;
            if (!before || !after) return;
            const double unit = i % 2 == 1 ? longer[n] : options.bends;
            const double peak = (after->peak - before->peak) / unit,
                         margin = (before->margin - after->margin) / unit,
                         flow = (before->flow - after->flow) / unit;
            if (i % 2 == 1) {
                cost.peak_per_metre = peak;
                cost.margin_per_metre = margin;
                cost.flow_per_metre = flow;
            } else {
                cost.peak_per_bend = peak;
                cost.margin_per_bend = margin;
                cost.flow_per_bend = flow;
            }
        },
        parallel);
    return out;
}

}  // namespace lapheat::study
