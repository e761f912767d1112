// Warm-up against nine measured drives of a diesel car (validation/drives/README.md). Ours are
// other cars, with petrol engines, so the bands are wide and nothing was fitted: each drive's speed
// and ambient are driven from the coolant that it began with, and the times are put side by side.
#include <cmath>

#include "logged_car.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

/// Seconds between the first passages of two temperatures; negative if not reached.
double between(const std::vector<double>& time, const std::vector<double>& kelvin, double from,
               double to) {
    double begin = -1;
    for (std::size_t i = 0; i < time.size(); ++i) {
        if (begin < 0 && kelvin[i] >= from) begin = time[i];
        if (kelvin[i] >= to) return time[i] - begin;
    }
    return -1;
}

}  // namespace

TEST_CASE("coolant warms up on nine measured drives in the measured time, within another car's") {
    const model::Car small = small_car(), large = large_car();
    const model::Car small_heated = with_heater(small), large_heated = with_heater(large);
    const double from = 40 + zero, to = 70 + zero;
    Row row{.topic = "Warm-up",
            .quantity = "coolant from 40 to 70 degC over nine drives, ours over logged, base-2 log",
            .source = logged_drives_source,
            .read = "a public copy, bytes unchanged; thinned here to a row a second",
            .relation = Relation::warm_up,
            .unit = "octaves"};
    row.band = {0, 1, "ours: another car, of another fuel, from half to twice the time"};
    double measured_all = 0, ours_all = 0, large_all = 0;
    for (int n = 1; n <= logged_drives; ++n) {
        const LoggedDrive d = logged_drive(n);
        const double logged = between(d.time, d.coolant, from, to);
        REQUIRE(logged > 0);
        // In winter people heat; whether this car's heater ran is not known.
        const bool winter = d.ambient.front() < 10 + zero;
        const auto time_of = [&](const model::Car& car) {
            const DrivenCoolant run = driven(car, d);
            return between(run.time, run.coolant, from, to);
        };
        const double ours = time_of(winter ? small_heated : small);
        REQUIRE(ours > 0);
        measured_all += logged;
        ours_all += ours;
        large_all += time_of(winter ? large_heated : large);
        row.points.push_back({d.name + ", air at " + number(std::round(d.ambient.front() - zero)) +
                                  " degC, heater " + (winter ? "on" : "off") + ", " +
                                  number(logged) + " s and ours " + number(ours) + " s",
                              0, std::log2(ours / logged)});
    }
    row.note = "ours is an invented 2.0 L petrol car; the heater in winter is ours";
    measured(row);
    row.points.clear();
    row.relation = Relation::none;  // the same nine again
    row.quantity = "coolant from 40 to 70 degC, sum of nine drives";
    row.unit = "s";
    row.band = {0.5, 0, "ours: another car, of another fuel"};
    row.outside = measured_all;
    row.ours = ours_all;
    row.note = "the invented 6.0 L car takes " + number(large_all) +
               " s; a diesel gives less heat at light load than a petrol engine, so ours should be "
               "the quicker";
    measured(row);
}
