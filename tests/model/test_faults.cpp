#include <catch2/catch.hpp>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

const drive::Cycle& jam() {
    static const drive::Cycle cycle = demo_cycle("traffic", demo_car("under_floor").vehicle);
    return cycle;
}

Result broken(std::vector<Fault> faults, const drive::Cycle& cycle,
              const std::string& placement = "under_floor") {
    Car car = demo_car(placement);
    car.faults = std::move(faults);
    return run(car, cycle);
}

/// With fans that run all the time. A switch in the radiator's cold tank catches a blocked core
/// earlier than a clean one, whose hot side is then the hotter of the two: what the fault costs is
/// then fan energy, not margin.
Result broken_without_switches(std::vector<Fault> faults, const drive::Cycle& cycle) {
    Car car = demo_car("under_floor");
    run_fans_always(car);
    car.faults = std::move(faults);
    return run(car, cycle);
}

Fault fault(FaultKind kind, const std::string& part, double amount, double begins = 0) {
    Fault f;
    f.kind = kind;
    f.part = part;
    f.amount = amount;
    f.begins = begins;
    return f;
}

}  // namespace

TEST_CASE("every fault of the cooling system makes the coolant's margin smaller in traffic") {
    const double whole = verdict(broken_without_switches({}, jam()), "coolant").margin;
    const std::vector<Fault> all = {fault(FaultKind::fan_dead, "radiator_left", 0),
                                    fault(FaultKind::thermostat_stuck, "", 0),
                                    fault(FaultKind::belt_slip, "", 0.5),
                                    fault(FaultKind::coolant_low, "", 0.15),
                                    fault(FaultKind::core_blocked, "radiator", 0.33),
                                    fault(FaultKind::core_fouled, "radiator", 5e-4),
                                    fault(FaultKind::hose_collapsed, "lower hose", 0.9),
                                    fault(FaultKind::cap_leaking, "", 0),
                                    fault(FaultKind::spark_late, "", 12)};
    for (const Fault& f : all) {
        const Result result = broken_without_switches({f}, jam());
        INFO(describe(f) << ": margin " << verdict(result, "coolant").margin << " K, healthy "
                         << whole << " K");
        CHECK(verdict(result, "coolant").margin < whole);
        CHECK(result.ledger.closure < 1e-9);
        CHECK(result.cost.network_failures == 0);
        REQUIRE(events(result, EventKind::fault_begins).size() == 1);
        CHECK(events(result, EventKind::fault_begins).front().subject == describe(f));
    }
}

TEST_CASE("with a switch in the cold tank a blocked radiator costs fan energy") {
    // The switch alone: fans that run with the air conditioning never rest in this jam.
    const auto energy = [](std::vector<Fault> faults) {
        Car car = demo_car("under_floor");
        for (FanEntry& fan : car.fans) fan.with_air_conditioning = false;
        car.faults = std::move(faults);
        return run(car, jam()).fan_energy;
    };
    CHECK(energy({fault(FaultKind::core_blocked, "radiator", 0.33)}) > 1.1 * energy({}));
}

TEST_CASE("a thermostat stuck shut overheats the engine, and the time to the limit is told") {
    const Result result = broken({fault(FaultKind::thermostat_stuck, "", 0, 300)}, jam());
    const Verdict& coolant = verdict(result, "coolant");
    CHECK(coolant.margin < 0);
    CHECK(coolant.first_over > 300);
    const auto passed = events(result, EventKind::over_limit);
    REQUIRE(!passed.empty());
    CHECK(passed.front().time == coolant.first_over);
    CHECK(verdict(broken({}, jam()), "coolant").first_over == -1);
    CHECK(events(result, EventKind::boils).size() == 1);
    CHECK(warning(result, Code::fluid_boils, "coolant"));
}

TEST_CASE("a thermostat stuck open warms the engine more slowly and keeps it cooler") {
    drive::Surroundings cool;
    cool.ambient = 278.15;
    const drive::Cycle road = drive::steady(25, 1200, cool);
    Car car = demo_car("under_floor");
    car.start_warm = false;
    const double whole = verdict(run(car, road), "coolant").end;
    car.faults = {fault(FaultKind::thermostat_stuck, "", 1)};
    const double open = verdict(run(car, road), "coolant").end;
    INFO(celsius(whole) << " degC, stuck open " << celsius(open));
    CHECK(open < whole - 10);
}

TEST_CASE("low coolant far enough to air-lock the pump stops the flow") {
    const drive::Cycle road = drive::steady(20, 300, hot_day);
    const double full = verdict(broken({}, road), "coolant").flow;
    const double low =
        verdict(broken({fault(FaultKind::coolant_low, "", 0.12)}, road), "coolant").flow;
    const double dry =
        verdict(broken({fault(FaultKind::coolant_low, "", 0.3)}, road), "coolant").flow;
    CHECK(low < full);
    CHECK(low > 0.2 * full);
    CHECK(dry < 0.01 * full);
}

TEST_CASE("a leaking cap lowers the boiling point and leaves the temperature alone") {
    const Result whole = broken({}, jam()),
                 leak = broken({fault(FaultKind::cap_leaking, "", 0)}, jam());
    CHECK(verdict(leak, "coolant").peak == Approx(verdict(whole, "coolant").peak).margin(0.05));
    // At 300 m, 97.8 kPa, 16 psi are worth 22.5 K to water (steam tables: 99.0 and 121.5 degC); to
    // coolant some more, and by the rule of 3 F for each psi 26 K (common practice, no source).
    const double lost = verdict(whole, "coolant").limit - verdict(leak, "coolant").limit;
    CHECK(lost > 22.5);
    CHECK(lost < 26);
}

TEST_CASE("a collapsed suction hose and a slipping belt cost flow") {
    const drive::Cycle road = drive::steady(25, 600, hot_day);
    const double whole = verdict(broken({}, road), "coolant").flow;
    double before = whole;
    for (const double lost : {0.5, 0.8, 0.95}) {
        const double flow =
            verdict(broken({fault(FaultKind::hose_collapsed, "lower hose", lost)}, road), "coolant")
                .flow;
        CHECK(flow < before);
        before = flow;
    }
    // By the affinity laws, where no thermostat answers.
    const Fault open = fault(FaultKind::thermostat_stuck, "", 1);
    CHECK(verdict(broken({open, fault(FaultKind::belt_slip, "", 0.4)}, road), "coolant").flow ==
          Approx(0.6 * verdict(broken({open}, road), "coolant").flow).epsilon(0.1));
}

TEST_CASE("a blocked combined cooler warms both of its fluids, and only those need it") {
    const drive::Cycle laps = demo_cycle("lap_session", demo_car("under_floor").vehicle);
    const Result whole = broken({}, laps),
                 blocked = broken({fault(FaultKind::core_blocked, "cooler", 0.6)}, laps);
    CHECK(verdict(blocked, "transmission").peak > verdict(whole, "transmission").peak);
    CHECK(verdict(blocked, "steering").peak > verdict(whole, "steering").peak);
}

TEST_CASE("a converter that never locks heats its fluid on the highway") {
    const drive::Cycle road = drive::climb(29, 1200, 0.03, 0, hot_day);
    CHECK(verdict(broken({fault(FaultKind::lockup_lost, "", 0)}, road), "transmission").peak >
          verdict(broken({}, road), "transmission").peak + 1);
}

TEST_CASE(
    "before a fault begins the car is the healthy one, and no temperature jumps when it does") {
    const double begins = 600;
    const Result whole = broken({}, jam()),
                 late = broken({fault(FaultKind::fan_dead, "radiator_left", 0, begins),
                                fault(FaultKind::coolant_low, "", 0.1, begins + 300)},
                               jam());
    REQUIRE(whole.time.size() == late.time.size());
    for (const Series& s : whole.series) {
        if (s.name != "temperature") continue;
        const std::vector<double>& other = series(late, s.group, s.name);
        for (std::size_t i = 0; i < whole.time.size(); ++i) {
            // Not to the bit: a step ends where the fault begins.
            if (whole.time[i] <= begins) CHECK(std::abs(other[i] - s.values[i]) < 0.01);
            if (i > 0 && s.group.find("jacket") != std::string::npos)
                CHECK(std::abs(other[i] - other[i - 1]) < 2);
        }
    }
    CHECK(late.ledger.closure < 1e-9);
}

TEST_CASE("a fault of a part that is not there is refused with the names that are") {
    CHECK_THROWS_WITH(broken({fault(FaultKind::fan_dead, "left", 0)}, jam()), "no fan 'left'");
    CHECK_THROWS_WITH(broken({fault(FaultKind::core_blocked, "radiatr", 0.3)}, jam()),
                      "no core 'radiatr'");
    CHECK_THROWS_AS(broken({fault(FaultKind::core_blocked, "radiator", 0.99)}, jam()), Error);
    CHECK_THROWS_AS(broken({fault(FaultKind::hose_collapsed, "", 0.5)}, jam()), Error);
    CHECK_THROWS_AS(broken({fault(FaultKind::fan_dead, "radiator_left", 0, -1)}, jam()), Error);
}
