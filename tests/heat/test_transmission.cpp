#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/heat/transmission.hpp>
#include <lapheat/units/error.hpp>

#include "../drive/invented_car.hpp"

using namespace lapheat;
using namespace lapheat::heat;

namespace {

double energy(const drive::Trace& t, const std::vector<double>& power) {
    double sum = 0;
    for (std::size_t k = 0; k + 1 < t.size(); ++k) sum += power[k] * (t.time[k + 1] - t.time[k]);
    return sum;
}

}  // namespace

TEST_CASE("every watt the driveline loses ends in converter, sump or housing") {
    const drive::Trace t = drive::backward(drive::invented_car(), drive::stop_and_go(600, 3));
    TransmissionModel m;
    for (const bool automatic : {true, false}) {
        m.automatic = automatic;
        const TransmissionHeat h = transmission_heat(m, t);
        for (std::size_t k = 0; k < t.size(); ++k) {
            const double lost =
                t.converter_loss[k] + t.shift_loss[k] + t.pump_drag[k] + t.gear_loss[k];
            CHECK(h.converter[k] + h.sump[k] + h.housing[k] == Approx(lost).margin(1e-9));
        }
        CHECK(h.energy == Approx(energy(t, t.converter_loss) + energy(t, t.shift_loss) +
                                 energy(t, t.pump_drag) + energy(t, t.gear_loss)));
    }
}

TEST_CASE("at stall all the power that enters the converter becomes heat in its fluid") {
    const drive::Trace t = drive::backward(drive::invented_car(), drive::brake_torque(0.6, 5));
    const TransmissionHeat h = transmission_heat(TransmissionModel{}, t);
    for (std::size_t k = 1; k + 1 < t.size(); ++k) {
        const double entered =
            t.engine_power[k] - t.accessory_power[k] - t.pump_drag[k] - t.engine_inertia_power[k];
        CHECK(h.converter[k] == Approx(entered).epsilon(1e-9));
        CHECK(h.converter[k] > 30e3);
        CHECK(t.speed[k] == 0);
    }
}

TEST_CASE("a locked converter spares the fluid, launches heat it most for the way they go") {
    const drive::Vehicle car = drive::invented_car();
    const auto heat_for_way = [](const drive::Vehicle& v, const drive::Cycle& c) {
        const drive::Trace t = drive::backward(v, c);
        return transmission_heat(TransmissionModel{}, t).energy / drive::summarize(t, v).distance;
    };
    const double cruise = heat_for_way(car, drive::steady(28, 300));
    CHECK(heat_for_way(car, drive::stop_and_go(600, 3)) > 3 * cruise);
    const drive::Trace t = drive::backward(car, drive::stop_and_go(600, 3));
    CHECK(transmission_heat(TransmissionModel{}, t).converter_share > 0.3);
    drive::Vehicle open = car;
    open.shift.lockup = false;
    CHECK(heat_for_way(open, drive::steady(28, 300)) > 1.3 * cruise);
}

TEST_CASE("a manual gearbox has no cooler flow and its clutch does not heat the oil") {
    const drive::Trace t =
        drive::backward(drive::invented_manual_car(), drive::stop_and_go(600, 3));
    TransmissionModel m;
    m.automatic = false;
    const TransmissionHeat h = transmission_heat(m, t);
    for (std::size_t k = 0; k < t.size(); ++k) {
        CHECK(h.converter[k] == 0);
        CHECK(h.cooler_flow[k] == 0);
    }
    CHECK(energy(t, h.housing) > 0);
}

TEST_CASE("cooler flow rises with engine speed to its full value, falls cold and when locked") {
    const TransmissionModel m;
    const double warm = m.reference_viscosity;
    CHECK(cooler_flow(m, 0, warm, false) == 0);
    CHECK(cooler_flow(m, m.idle_speed, warm, false) == Approx(m.cooler_idle_flow));
    CHECK(cooler_flow(m, 500, warm, false) == Approx(m.cooler_flow));
    double last = 0;
    for (double w = 10; w < 400; w += 10) {
        const double q = cooler_flow(m, w, warm, false);
        CHECK(q >= last);
        last = q;
    }
    CHECK(cooler_flow(m, 300, 20 * warm, false) < 0.5 * m.cooler_flow);
    CHECK(cooler_flow(m, 300, warm, true) == Approx(m.locked_share * m.cooler_flow));
}

TEST_CASE("cooler flow is most at the warm viscosity: thick oil passes less, thin oil leaks away") {
    const TransmissionModel m;
    const double warm = m.reference_viscosity;
    for (const double w : {m.idle_speed, 3 * m.idle_speed}) {
        const double most = cooler_flow(m, w, warm, false);
        double last = 0;
        for (double ratio = 30; ratio >= 1; ratio *= 0.9) {  // warming up to there
            const double q = cooler_flow(m, w, ratio * warm, false);
            CHECK(q > last);
            CHECK(q <= most);
            last = q;
        }
        last = most;
        for (double ratio = 1; ratio > 0.15; ratio *= 0.9) {  // and on
            const double q = cooler_flow(m, w, ratio * warm, false);
            CHECK(q <= last);
            last = q;
        }
    }
    // By hand, a third of the warm viscosity, some 140 degC: at idle the leakage of a fifth counts
    // twice, so 0.6 of 50 cm3/s are left; at twice the speed a fifth is gone.
    CHECK(cooler_flow(m, m.idle_speed, warm / 3, false) == Approx(30e-6));
    CHECK(cooler_flow(m, 2 * m.idle_speed, warm / 3, false) /
              cooler_flow(m, 2 * m.idle_speed, warm, false) ==
          Approx(0.8));
    CHECK(cooler_flow(m, m.idle_speed, 1e-6, false) == Approx(5e-6));
}

TEST_CASE("a transmission that makes no sense is refused by name") {
    TransmissionModel m;
    m.gear_to_fluid = 1.4;
    try {
        validate(m);
        FAIL("accepted");
    } catch (const Error& e) {
        CHECK(e.key() == "gear_to_fluid");
    }
}
