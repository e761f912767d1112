// How much a line of well-mixed cells smears what passes, measured in the whole car: the supply
// hose of the rear placement against exact plug flow of the same inlet, and what the smear does to
// the temperature that a verdict is made of.
#include <algorithm>
#include <cmath>
#include <span>
#include <vector>

#include "check.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace {

using namespace lapheat;

const std::vector<double>& series(const model::Result& result, const std::string& group,
                                  const std::string& name) {
    const model::Series* s = result.find(group, name);
    if (!s) throw Error("no series " + group + "/" + name);
    return s->values;
}

model::Line& supply(model::Car& car) {
    for (model::Loop& loop : car.loops)
        for (model::Run& run : loop.runs)
            for (model::Part& part : run.parts)
                if (part.name == "supply hose") return std::get<model::Line>(part.body);
    throw Error("no supply hose");
}

/// The rear placement in traffic, its supply hose of so many cells; `bare`: without wall heat or
/// loss, so that nothing but transport is left. 0: the number that compile() chooses.
model::Result drive_with(int cells, bool bare, double interval = 0.1) {
    const scenario::Scenario s =
        scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/rear.toml");
    model::Car car = s.car;
    model::Line& hose = supply(car);
    hose.cells = cells;
    if (bare) {
        hose.wall_heat_capacity = 0;
        hose.wall_conductivity = 1e-9;
    }
    model::Options options;
    options.sample_interval = interval;
    for (const drive::Cycle& cycle : s.cycles)
        if (cycle.name.find("traffic") != std::string::npos)
            return model::simulate(*model::compile(car), cycle, options);
    throw Error("no traffic");
}

/// Outlet temperature (K) of plug flow at `time`: the inlet's at the moment when the fluid now
/// leaving came in, found from the volume that has passed. `times` (s) rise; flow (m³/s, ≥ 0) and
/// inlet temperature (K) go straight between them; before the first, `initial`.
double plug_flow_outlet(std::span<const double> times, std::span<const double> flow,
                        std::span<const double> inlet, double volume, double initial, double time) {
    // Backwards from `time`, counting what has passed until it fills the line.
    double left = volume;
    for (std::size_t i = times.size() - 1; i-- > 0;) {
        if (times[i] >= time) continue;
        const double span = times[i + 1] - times[i];
        const double slope = (flow[i + 1] - flow[i]) / span;
        const double end = std::min(time, times[i + 1]) - times[i];
        const double passed = end * (flow[i] + 0.5 * slope * end);
        if (passed < left) {
            left -= passed;
            continue;
        }
        // The moment s after times[i] with flow·s + slope·s²/2 = passed − left.
        const double target = passed - left;
        const double root = std::sqrt(std::max(0.0, flow[i] * flow[i] + 2 * slope * target));
        const double s = flow[i] + root > 0 ? 2 * target / (flow[i] + root) : 0;
        return inlet[i] + (inlet[i + 1] - inlet[i]) * s / span;
    }
    return initial;
}

struct Smear {
    double worst = 0, rms = 0, delay = 0;  // K, K, s
};

/// The hose's outlet against plug flow of the fluid that left the converter.
Smear smear(int cells, int named) {
    const model::Result r = drive_with(cells, true);
    const auto& inlet = series(r, "loops/transmission/converter", "temperature");
    const auto& mass = series(r, "loops/transmission/cooler", "mass_flow");
    const std::string last = std::to_string(named) + "_" + std::to_string(named);
    const auto& outlet = series(r, "loops/transmission/supply_hose_" + last, "temperature");
    model::Car car = scenario::read(LAPHEAT_SOURCE_DIR "/scenarios/placements/rear.toml").car;
    const model::Line& hose = supply(car);
    const double volume = M_PI / 4 * hose.inner_diameter * hose.inner_diameter * hose.length;
    // The model's cells hold the mass of 80 °C, so the volume passes as mass over that density.
    double density = 0;
    for (const model::Loop& loop : car.loops)
        if (loop.name == "transmission") density = loop.fluid.density(353.15);
    std::vector<double> flow;
    double sum = 0;
    for (const double m : mass) {
        flow.push_back(m / density);
        sum += m / density;
    }
    Smear out;
    out.delay = volume / (sum / static_cast<double>(flow.size()));
    std::size_t count = 0;
    for (std::size_t i = 600; i < r.time.size(); i += 5) {
        const double exact = plug_flow_outlet(r.time, flow, inlet, volume, inlet[0], r.time[i]);
        const double off = std::abs(outlet[i] - exact);
        out.worst = std::max(out.worst, off);
        out.rms += off * off;
        ++count;
    }
    out.rms = std::sqrt(out.rms / static_cast<double>(count));
    return out;
}

double sump_peak(const model::Result& r) {
    for (const model::Verdict& v : r.verdicts)
        if (v.loop == "transmission") return v.peak;
    return 0;
}

}  // namespace

TEST_CASE("the plug flow compared with hands a ramp on a transit time later, unchanged") {
    const std::vector<double> times{0, 10, 20, 60}, flow{1e-4, 1e-4, 1e-4, 1e-4},
        inlet{300, 300, 320, 320};
    validation::Row row{.topic = "Transport",
                        .quantity = "outlet of plug flow after a ramp, 16, 19 and 24.5 s",
                        .source = "characteristics, T(t - V/q)",
                        .unit = "K"};
    row.band = {1e-12, 0, "rounding"};
    for (const double t : {16.0, 19.0, 24.5})
        row.points.push_back({validation::number(t) + " s",
                              300 + 2 * std::clamp(t - 5 - 10, 0.0, 10.0),
                              plug_flow_outlet(times, flow, inlet, 5e-4, 300, t)});
    validation::closed_form(row);
}

TEST_CASE("the smear of a line's cells falls with their number and moves no verdict") {
    const Smear shipped = smear(0, 6), fine = smear(24, 24), finest = smear(96, 96);
    const auto said = [](const Smear& s) {
        char text[120];
        std::snprintf(text, sizeof text, "worst %.2f K, mean delay %.1f s", s.worst, s.delay);
        return std::string(text);
    };
    const std::string source =
        "exact plug flow, T(t) = T_in at the moment that the fluid now "
        "leaving came in, from the volume passed";
    validation::Row row{.topic = "Transport",
                        .quantity =
                            "outlet of a 3.2 m hose in traffic, 6 cells (as shipped), rms "
                            "difference",
                        .source = source,
                        .ours = shipped.rms,
                        .unit = "K"};
    row.band = {0, 0.5, "a tenth of the 5 K that a verdict's doubt usually has"};
    row.note = "numerical diffusion, measured: " + said(shipped);
    validation::closed_form(row);
    row.quantity = "outlet of a 3.2 m hose in traffic, 96 cells, rms difference";
    row.ours = finest.rms;
    row.band = {0, 0.1, "a quarter of the above by sqrt(6/96)"};
    row.note = said(finest);
    validation::closed_form(row);
    CHECK(fine.rms < shipped.rms);
    CHECK(finest.rms < fine.rms);
    // What numerical diffusion does to a verdict.
    const model::Result coarse = drive_with(0, false, 1), sharp = drive_with(96, false, 1);
    CHECK(std::abs(sump_peak(coarse) - sump_peak(sharp)) < 0.05);
}
