// What implicit steps are told of the right-hand side.
#include <catch2/catch.hpp>
#include <cmath>

#include "demo.hpp"
#include "dynamics.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

/// A warm car some seconds into a cycle, its flows held as in an implicit step.
struct Moment {
    std::shared_ptr<const Model> model;
    Forcing forcing;
    Dynamics dynamics;
    std::vector<double> y, rates;
    solve::SparseMatrix slopes;

    Moment(const std::string& placement, const std::string& cycle, std::size_t interval)
        : model(compile(demo_car(placement))),
          forcing(make_forcing(driven(*model), demo_cycle(cycle, model->car.vehicle))),
          dynamics(*model, forcing, 0.01, Holding::by_step),
          y(dynamics.size()),
          rates(y.size()),
          slopes(y.size()) {
        std::vector<double> kelvin;
        for (std::size_t l = 0; l < model->loops.size(); ++l)
            kelvin.push_back(350 + 5 * static_cast<double>(l));
        dynamics.start(kelvin, y.data());
        dynamics.enter_interval(interval);
        // No two neighbours alike, so that every stream carries something.
        for (std::size_t i = 0; i < model->cells.size(); ++i)
            y[i] += 3 * std::sin(static_cast<double>(i));
        for (const Wall& w : model->walls) y[at(w.state)] += 8;
        for (const FlatPassage& p : model->passages) y[at(p.state)] += 15;
        const std::vector<double> still(y.size(), 0.0);
        dynamics.begin_step(0, 0.1, y.data(), still.data());
        dynamics.rhs(0, y.data(), rates.data());
        dynamics.slopes(0, y.data(), slopes);
    }

    /// d rates / d y[column], by differences.
    std::vector<double> differences(std::size_t column) {
        std::vector<double> up(y.size()), down(y.size()), at_y = y;
        const double e = 1e-3;
        at_y[column] = y[column] + e;
        dynamics.rhs(0, at_y.data(), up.data());
        at_y[column] = y[column] - e;
        dynamics.rhs(0, at_y.data(), down.data());
        for (std::size_t i = 0; i < up.size(); ++i) up[i] = (up[i] - down[i]) / (2 * e);
        return up;
    }

    /// J for each unit of a state: what stores hold, less what the ledger counts.
    [[nodiscard]] std::vector<double> weights() const {
        std::vector<double> w(y.size(), 0.0);
        for (std::size_t c = 0; c < model->cells.size(); ++c) w[c] = model->cells[c].scale;
        for (const Wall& wall : model->walls) w[at(wall.state)] = wall.capacity;
        w[at(model->layout[StateKind::bay].first)] = model->car.bay.air;
        w[at(model->layout[StateKind::bay_sheet].first)] = model->car.bay.sheet;
        const Block& exhaust = model->layout[StateKind::exhaust];
        for (int i = 0; i < exhaust.count; ++i)
            w[at(exhaust.first + i)] = model->exhaust.stretch[at(i)].metal;
        auto sum = at(model->layout[StateKind::ledger].first);
        for (const LedgerPath& path : model->ledger) {
            if (path.direction == LedgerEntry::Direction::in) w[sum] = -1;
            if (path.direction == LedgerEntry::Direction::out) w[sum] = 1;
            ++sum;
        }
        return w;
    }
};

struct Where {
    const char *placement, *cycle;
    std::size_t interval;
};
const Where moments[] = {
    {"under_floor", "highway_grade", 5}, {"under_floor", "traffic", 100},
    {"in_tank", "lap_session", 100},     {"behind_radiator", "traffic", 40},
    {"rear", "lap_session", 900},        {"ahead_of_radiator", "traffic", 300}};

}  // namespace

TEST_CASE("slopes keep the energy: no store or sum gains what another does not lose") {
    for (const Where& where : moments) {
        Moment m(where.placement, where.cycle, where.interval);
        const std::vector<double> w = m.weights();
        std::vector<double> sum(m.y.size(), 0.0), size(m.y.size(), 0.0);
        for (std::size_t e = 0; e < m.slopes.entries(); ++e) {
            const double j = w[at(m.slopes.row(e))] * m.slopes.value(e);
            sum[at(m.slopes.column(e))] += j;
            size[at(m.slopes.column(e))] += std::abs(j);
        }
        INFO(where.placement << ", " << where.cycle);
        for (std::size_t i = 0; i < sum.size(); ++i) CHECK(std::abs(sum[i]) <= 1e-12 * size[i]);
    }
}

TEST_CASE("slopes between fluids, metals and air are those of the right-hand side") {
    for (const Where& where : moments) {
        Moment m(where.placement, where.cycle, where.interval);
        const Layout& layout = m.model->layout;
        const auto kinds = {StateKind::cell, StateKind::wall,       StateKind::passage,
                            StateKind::path, StateKind::fan_switch, StateKind::wax};
        const int fluids = layout[StateKind::wall].end();
        int compared = 0;
        for (int j = 0; j < fluids; ++j) {
            const std::vector<double> by_difference = m.differences(at(j));
            for (const StateKind kind : kinds)
                for (int i = layout[kind].first; i < layout[kind].end(); ++i) {
                    const double slope = m.slopes.at(i, j), difference = by_difference[at(i)];
                    INFO(where.placement << ", " << where.cycle << ": row " << i << " column "
                                         << j);
                    // Losses, links, radiation and recirculation are slow and left out.
                    CHECK(std::abs(slope - difference) < 0.02 * std::abs(difference) + 0.11);
                    if (i < fluids)
                        CHECK(std::abs(slope - difference) < 0.02 * std::abs(difference) + 0.012);
                    compared += std::abs(difference) > 0.05;
                }
        }
        CHECK(compared > 20);
    }
}

TEST_CASE(
    "air that warms by the exhaust, and air at rest, have the slopes of the right-hand side") {
    int warmed = 0, resting = 0;
    for (const Where& where :
         {Where{"under_floor", "lap_session", 900}, Where{"rear", "traffic", 100},
          Where{"side_duct", "lap_session", 100}, Where{"under_floor", "traffic", 100}}) {
        Moment m(where.placement, where.cycle, where.interval);
        const Layout& layout = m.model->layout;
        const Block &exhaust = layout[StateKind::exhaust], &air = layout[StateKind::path];
        INFO(where.placement << ", " << where.cycle << " " << where.interval);
        for (int j = exhaust.first; j < exhaust.end(); ++j) {
            const std::vector<double> by_difference = m.differences(at(j));
            for (int i = air.first; i < air.end(); ++i) {
                CHECK(m.slopes.at(i, j) == Approx(by_difference[at(i)]).epsilon(1e-3).margin(1e-9));
                warmed += by_difference[at(i)] > 1e-4;
            }
        }
        for (const FlatPassage& p : m.model->passages) {
            const double flow = m.dynamics.out().paths[at(p.path)].flow.passage_flow[at(p.local)];
            if (std::abs(flow) >= 2 * creeping_air) continue;
            ++resting;
            for (const StateKind kind : {StateKind::passage, StateKind::path, StateKind::bay})
                for (int j = layout[kind].first; j < layout[kind].end(); ++j)
                    CHECK(m.slopes.at(p.state, j) ==
                          Approx(m.differences(at(j))[at(p.state)]).epsilon(1e-3).margin(1e-6));
        }
    }
    CHECK(warmed > 2);
    CHECK(resting > 0);
}
