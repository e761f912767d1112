// The whole car against logged drives: how the coolant that a thermostat holds follows the ambient.
#include <cmath>
#include <lapheat/drive/generate.hpp>
#include <lapheat/model/simulate.hpp>
#include <lapheat/scenario/scenario.hpp>

#include "check.hpp"
#include "drives.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

/// Slope of y over x by least squares, and its standard error.
struct Line {
    double slope = 0, error = 0;
};
Line fitted(const std::vector<double>& x, const std::vector<double>& y) {
    const auto n = static_cast<double>(x.size());
    double sx = 0, sy = 0, sxx = 0, sxy = 0, rest = 0;
    for (std::size_t i = 0; i < x.size(); ++i) {
        sx += x[i];
        sy += y[i];
    }
    for (std::size_t i = 0; i < x.size(); ++i) {
        sxx += (x[i] - sx / n) * (x[i] - sx / n);
        sxy += (x[i] - sx / n) * (y[i] - sy / n);
    }
    const double slope = sxy / sxx;
    for (std::size_t i = 0; i < x.size(); ++i) {
        const double off = y[i] - sy / n - slope * (x[i] - sx / n);
        rest += off * off;
    }
    return {slope, std::sqrt(rest / (n - 2) / sxx)};
}

/// Mean coolant of the demo car on a steady country road, once it is warm, K.
double held_coolant(const model::Car& car, double ambient, double speed) {
    drive::Surroundings weather;
    weather.ambient = ambient;
    const model::Result r =
        model::simulate(*model::compile(car), drive::steady(speed, 2400, weather));
    const model::Series* s = r.find("loops/coolant", "watched_temperature");
    REQUIRE(s != nullptr);
    double sum = 0;
    std::size_t n = 0;
    for (std::size_t i = 0; i < r.time.size(); ++i)
        if (r.time[i] > 1800) sum += s->values[i], ++n;
    return sum / static_cast<double>(n);
}

}  // namespace

TEST_CASE("the coolant that a thermostat holds rises with the ambient as in logged drives") {
    std::vector<double> ambient, coolant;
    double speed = 0, rows = 0;
    for (int k = 1; k <= logged_drives; ++k) {
        const LoggedDrive d = logged_drive(k);
        const WarmMeans m = warm_means(d);
        REQUIRE(m.rows > 500);
        ambient.push_back(m.ambient);
        coolant.push_back(m.coolant);
        for (std::size_t i = 0; i < d.time.size(); ++i)
            if (d.time[i] > 1200 && d.speed[i] > 30 / 3.6) speed += d.speed[i], ++rows;
    }
    const Line line = fitted(ambient, coolant);
    const model::Car car =
        scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/under_floor.toml").car;
    std::vector<double> x, y;
    for (const double t : {263.15, 278.15, 293.15, 303.15}) {
        x.push_back(t);
        y.push_back(held_coolant(car, t, speed / rows));
    }
    // As kelvins over what a year brings, so that the relation's doubt is one of temperature.
    constexpr double year = 30;
    Row row{.topic = "Logged drives",
            .quantity = "coolant held at 25 degC of ambient over that at -5, nine drives",
            .source = logged_drives_source,
            .read = "a public copy, bytes unchanged; thinned here to a row a second",
            .relation = Relation::regulated_temperature,
            .outside = year * line.slope,
            .ours = year * fitted(x, y).slope,
            .unit = "K"};
    row.band = {0, 2 * year * line.error, "two standard errors of the slope of nine drives"};
    row.note = "slopes " + number(line.slope, 2) + " and ours " + number(fitted(x, y).slope, 2) +
               " K/K; one turbocharged diesel car; ours is the demo car with its large engine at " +
               number(speed / rows * 3.6, 3) +
               " km/h; at 5 degC of air its stem swings out and rests where the last swing leaves "
               "it, so that ours is 1.9 K by steps of 1e-5 K, and 1.3 to 1.4 K as shipped";
    measured(row);

    double logged = 0, held = 0;
    for (const double c : coolant) logged += c / logged_drives;
    for (const double c : y) held += c / static_cast<double>(y.size());
    row.quantity = "coolant held over the thermostat's marked opening, mean of nine drives";
    row.common_practice = true;
    row.relation = Relation::none;
    row.outside = logged - (88 + 273.15);
    row.ours = held - (82 + 273.15);
    row.band = {0, 3.5, "a thermostat's tolerance of 2 K, a sensor's of 1.5 K"};
    row.note =
        "the measured car's marking is not known: 88 degC, usual for such engines, is "
        "assumed; ours opens at 82 degC";
    measured(row);
}
