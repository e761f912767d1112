// Slopes of the liquid side, for implicit steps.
#include "lapheat/heat/boiling.hpp"
#include "lapheat/heat/engine.hpp"
#include "liquid_side.hpp"
#include "slopes.hpp"

namespace lapheat::model {

void LiquidSide::slopes(const Instant& now, Slopes& slopes) const {
    const Outputs& out = now.out;
    for (std::size_t r = 0; r < model_.runs.size(); ++r) {
        const FlatRun& run = model_.runs[r];
        const double m = std::abs(out.run_flow[r]);
        if (m == 0) continue;
        for (int c = run.first_cell; c < run.first_cell + run.cells; ++c) {
            upstream_slopes(c, slopes, out,
                            [&](int from, double h) { slopes.into_cell(c, from, m * h); });
            slopes.into_cell(c, c, -m * specific_heat(c, out) * slopes.kelvin(c));
        }
    }
    for (std::size_t w = 0; w < model_.walls.size(); ++w) {
        const Wall& wall = model_.walls[w];
        const double to_cell = wall_[w], to_wall = wall_[w] * slopes.kelvin(wall.cell);
        slopes.into_cell(wall.cell, wall.state, to_cell);
        slopes.into_cell(wall.cell, wall.cell, -to_wall);
        slopes.into_store(wall.state, wall.capacity, wall.state, -to_cell);
        slopes.into_store(wall.state, wall.capacity, wall.cell, to_wall);
    }
    for (const FlatLink& link : model_.links) {
        const double g = heat::oil_to_block(link.block, now.row.engine_speed, now.row.engine_on);
        slopes.across(link.first_cell, link.second_cell, link.first_cell,
                      g * slopes.kelvin(link.first_cell));
        slopes.across(link.first_cell, link.second_cell, link.second_cell,
                      -g * slopes.kelvin(link.second_cell));
    }
    for (std::size_t i = 0; i < model_.cores.size(); ++i) {
        const FlatCore& core = model_.cores[i];
        if (core.second_cell == none || core.first_cell == none) continue;
        inlet_slopes(core.first_cell, core.first_run, slopes, out, [&](int from, double kelvin) {
            slopes.across(core.first_cell, core.second_cell, from, core_[i] * kelvin);
        });
        inlet_slopes(core.second_cell, core.second_run, slopes, out, [&](int from, double kelvin) {
            slopes.across(core.first_cell, core.second_cell, from, -core_[i] * kelvin);
        });
    }
    for (const FlatLoop& loop : model_.loops)
        for (const FlatPump& pump : loop.pumps)
            slopes.rate(heads_ + pump.number, heads_ + pump.number, -1 / head_lag);
    for (std::size_t l = 0; l < model_.loops.size(); ++l) {
        const FlatLoop& loop = model_.loops[l];
        if (out.loops[l].vapour <= 0) continue;
        for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c) {
            if (out.cell_temperature[at(c)] <= out.loops[l].boiling) continue;
            const Cell& cell = model_.cells[at(c)];
            const double watts =
                (cell.a + cell.b * out.loops[l].boiling) / heat::boiling_lag * slopes.kelvin(c);
            slopes.into_cell(c, c, -watts);
            slopes.cross(loop.vapour, c, watts);
        }
    }
}

}  // namespace lapheat::model
