// The parts of the right-hand side, each alone: one evaluation at temperatures that no run has.
#include <catch2/catch.hpp>
#include <numeric>
#include <random>
#include <span>

#include "channels.hpp"
#include "compile.hpp"
#include "demo.hpp"
#include "dynamics.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

/// A car on a fast road at some second, its cells at temperatures drawn between 40 and 110 °C.
struct Bench {
    explicit Bench(const std::string& placement = "under_floor")
        : car(demo_car(placement)),
          model(compile(car)),
          forcing(make_forcing(driven(*model), drive::steady(30, 60, hot_day))),
          out(*model),
          balance(*model),
          y(at(model->layout.size())),
          dydt(y.size()),
          row(forcing.rows.front()) {
        std::mt19937 random(7);
        std::uniform_real_distribution<double> kelvin(313, 383);
        for (std::size_t c = 0; c < model->cells.size(); ++c)
            y[c] = model->cells[c].state(kelvin(random));
        for (const StateKind kind :
             {StateKind::wall, StateKind::passage, StateKind::path, StateKind::bay,
              StateKind::fan_switch, StateKind::wax, StateKind::bay_sheet, StateKind::exhaust}) {
            const Block& block = model->layout[kind];
            std::generate_n(&y[at(block.first)], block.count, [&] { return kelvin(random); });
        }
        const Block& fans = model->layout[StateKind::fan];
        std::fill_n(&y[at(fans.first)], fans.count, 0.7);
        const Block& heads = model->layout[StateKind::head];
        std::fill_n(&y[at(heads.first)], heads.count, 1.0);
        for (double& metal :
             std::span(&y[at(model->layout[StateKind::exhaust].first)], heat::exhaust_parts))
            metal += 150;
    }
    Instant now() { return {row, y.data(), dydt.data(), balance, out}; }
    [[nodiscard]] double gained() const {
        return std::accumulate(balance.wall.begin(), balance.wall.end(),
                               std::accumulate(balance.cell.begin(), balance.cell.end(), 0.0));
    }
    /// What came in less what went out by the ledger's paths, W: of the whole car, or of its
    /// liquids and their metal, to whom cores and lines within the car are ways out and the
    /// exhaust's radiation is a way in.
    [[nodiscard]] double entered(bool liquids = true) const {
        using Direction = LedgerEntry::Direction;
        double sum = 0;
        std::size_t i = 0;
        for (const LedgerPath& path : model->ledger) {
            const double watts = balance.crossed[i++];
            if (path.direction == Direction::within)
                sum += liquids ? (path.name == "exhaust radiation" ? watts : -watts) : 0;
            else
                sum += path.direction == Direction::in ? watts : -watts;
        }
        return sum;
    }
    Car car;
    std::shared_ptr<const Model> model;
    Forcing forcing;
    Outputs out;
    Balance balance;
    std::vector<double> y, dydt;
    ForcingRow row;
};

constexpr double rounding = 1e-6;  // W, of tens of megawatts that streams carry round

}  // namespace

TEST_CASE("streams carry heat from cell to cell and lose none on the way") {
    Bench b;
    Controls controls(*b.model);
    LiquidSide liquid(*b.model, 0, b.out);
    controls.start(b.y.data());
    liquid.temperatures(b.now());
    controls.lifts(b.now());
    liquid.flows(b.now());
    liquid.transport(b.now());
    double moved = 0;
    for (const double w : b.balance.cell) moved += std::abs(w);
    CHECK(moved > 1e4);
    CHECK(b.gained() == Approx(0).margin(rounding));
    CHECK(b.entered() == 0);
}

TEST_CASE("whatever crosses the boundary of the liquid side is in the ledger") {
    Bench b;
    Controls controls(*b.model);
    LiquidSide liquid(*b.model, 0, b.out);
    liquid.temperatures(b.now());
    controls.lifts(b.now());
    liquid.flows(b.now());
    liquid.sources(b.now());
    liquid.pumps(b.now());
    liquid.cores(b.now());
    CHECK(b.entered() > 1e4);
    CHECK(b.gained() == Approx(b.entered()).epsilon(1e-12));
}

TEST_CASE("surfaces give heat to the air they stand in, the bay's or the one outside") {
    Bench b;
    LiquidSide liquid(*b.model, 0, b.out);
    const Environment environment(*b.model);
    liquid.temperatures(b.now());
    b.out.exhaust.skin.fill(500);
    environment.surfaces(b.now());
    CHECK(b.gained() == Approx(b.entered()).epsilon(1e-12));
    const double warm_bay = b.gained();
    b.y[at(b.model->layout[StateKind::bay].first)] -= 20;
    b.balance.clear();
    environment.surfaces(b.now());
    CHECK(b.gained() < warm_bay - 10);
    CHECK(environment.air_at(Zone::outside, b.now()) == b.row.ambient);
}

TEST_CASE("an engine bay without engine heat or air from a path comes to the air outside") {
    Bench b;
    Environment environment(*b.model);
    b.row.surface_heat = 0;
    const std::size_t bay = at(b.model->layout[StateKind::bay].first),
                      sheet = at(b.model->layout[StateKind::bay_sheet].first);
    b.y[sheet] = b.row.ambient;
    environment.bay(b.now());
    CHECK(b.dydt[bay] < 0);
    CHECK(b.dydt[sheet] > 0);
    b.y[bay] = b.row.ambient;
    environment.bay(b.now());
    CHECK(b.dydt[bay] == Approx(0).margin(1e-12));
    CHECK(b.dydt[sheet] == Approx(0).margin(1e-12));
}

TEST_CASE("the exhaust gives what it takes from its gas, and nothing is lost in the bay") {
    Bench b;
    Environment environment(*b.model);
    environment.exhaust(b.now());
    environment.bay(b.now());
    double stored = 0;
    const std::size_t first = at(b.model->layout[StateKind::exhaust].first);
    for (std::size_t i = 0; i < heat::exhaust_parts; ++i)
        stored += b.dydt[first + i] * b.model->exhaust.stretch[i].metal;
    stored += b.dydt[at(b.model->layout[StateKind::bay].first)] * b.car.bay.air +
              b.dydt[at(b.model->layout[StateKind::bay_sheet].first)] * b.car.bay.sheet;
    CHECK(std::abs(stored) > 1e3);
    CHECK(stored == Approx(b.entered(false)).margin(rounding));
}

TEST_CASE("cores give the air what they take from their liquids") {
    Bench b;
    Controls controls(*b.model);
    LiquidSide liquid(*b.model, 0, b.out);
    AirSide air(*b.model, 0, b.row, b.out);
    air.enter_interval(b.row);
    liquid.temperatures(b.now());
    controls.lifts(b.now());
    liquid.flows(b.now());
    liquid.transport(b.now());
    air.flows(b.now(), controls, liquid);
    b.balance.clear();
    air.cores(b.now());
    double heat = 0, air_gains = 0;
    for (const CoreOutput& core : b.out.cores) heat += core.heat;
    for (const PathOutput& path : b.out.paths) air_gains += path.heat;
    CHECK(air_gains == Approx(heat).epsilon(1e-12));
    CHECK(std::abs(heat) > 1e2);
    CHECK(b.gained() == Approx(-heat).epsilon(1e-12));
    CHECK(b.gained() == Approx(b.entered()).epsilon(1e-12));
}

TEST_CASE("the whole right-hand side balances at any temperatures") {
    for (const char* placement : {"under_floor", "in_tank"}) {
        Bench b(placement);
        Dynamics dynamics(*b.model, b.forcing);
        dynamics.enter_interval(0);
        dynamics.rhs(0, b.y.data(), b.dydt.data());
        double stored = 0;
        for (std::size_t c = 0; c < b.model->cells.size(); ++c)
            stored += b.dydt[c] * b.model->cells[c].scale;
        for (const Wall& w : b.model->walls) stored += b.dydt[at(w.state)] * w.capacity;
        const std::size_t exhaust = at(b.model->layout[StateKind::exhaust].first);
        for (std::size_t i = 0; i < heat::exhaust_parts; ++i)
            stored += b.dydt[exhaust + i] * b.model->exhaust.stretch[i].metal;
        stored += b.dydt[at(b.model->layout[StateKind::bay].first)] * b.car.bay.air +
                  b.dydt[at(b.model->layout[StateKind::bay_sheet].first)] * b.car.bay.sheet;
        b.balance = dynamics.balance();
        INFO(placement);
        CHECK(stored == Approx(b.entered(false)).margin(rounding));
    }
}

TEST_CASE("a stem rests over its hysteresis and follows the wax at either end") {
    Bench b;
    Controls controls(*b.model);
    const FlatThermostat& t = b.model->thermostats.front();
    const std::size_t first = b.model->switches.size();
    const double half = 0.5 * (t.opens + t.full);
    std::vector<double> g(controls.event_count());
    std::vector<Event> happened;
    const auto lift = [&](double wax) {
        b.y[at(t.state)] = wax;
        controls.lifts(b.now());
        return b.out.thermostats.front().lift;
    };
    CHECK(lift(half) == Approx(0.5));
    controls.handle(first, 0, b.y.data(), happened);  // the wax begins to cool: the stem rests
    CHECK(lift(half - 0.9 * t.hysteresis) == Approx(0.5));
    controls.events(b.y.data(), g.data());
    CHECK(g[first] < 0);
    CHECK(g[first + 1] < 0);
    b.y[at(t.state)] = half - 1.1 * t.hysteresis;
    controls.events(b.y.data(), g.data());
    CHECK(g[first + 1] > 0);
    controls.handle(first + 1, 0, b.y.data(), happened);  // it follows downward
    CHECK(lift(half - t.hysteresis) == Approx(0.5));
    CHECK(lift(t.opens - t.hysteresis) == Approx(0).margin(1e-12));
    CHECK(happened.empty());
}

TEST_CASE("two cars that number their parts differently are no two states of one car") {
    const auto under_floor = compile(demo_car("under_floor")), rear = compile(demo_car("rear")),
               tank = compile(demo_car("in_tank"));
    CHECK_NOTHROW(require_same_numbers(*under_floor, *compile(demo_car("under_floor"))));
    CHECK_THROWS_AS(require_same_numbers(*under_floor, *rear), std::logic_error);
    CHECK_THROWS_AS(require_same_numbers(*under_floor, *tank), std::logic_error);
}

TEST_CASE("a series goes on after a fault by its name, whatever the order") {
    std::vector<Series> series;
    Channels channels(series);
    const double one = 1, two = 2;
    channels.connect("a", "x", "K", "first", &one);
    channels.connect("b", "x", "K", "second", &two);
    channels.connected();
    channels.record();
    channels.disconnect();
    channels.connect("b", "x", "K", "second", &two);
    CHECK_THROWS_AS(channels.connected(), std::logic_error);  // a/x does not go on
    CHECK_THROWS_AS(channels.connect("c", "x", "K", "new", &one), std::logic_error);
    CHECK_THROWS_AS(channels.connect("b", "x", "K", "twice", &one), Error);
    channels.connect("a", "x", "K", "first", &one);
    channels.connected();
    channels.record();
    CHECK(series[0].values == std::vector<double>{1, 1});
    CHECK(series[1].values == std::vector<double>{2, 2});
}

TEST_CASE("a path of the ledger has one direction and one number") {
    LedgerPaths paths;
    const LedgerId fuel = paths.in("fuel");
    CHECK(paths.out("core") != fuel);
    CHECK(paths.in("fuel") == fuel);
    CHECK(paths.size() == 2);
    CHECK_THROWS_AS(paths.out("fuel"), std::logic_error);
}
