// The whole right-hand side of the demo car, integrated by SciPy at 1e-12, against simulate().
#include <unistd.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <fstream>

#include "check.hpp"
#include "lapheat/model/simulate.hpp"
#include "recorder.hpp"
#include "reference.hpp"

namespace {

using namespace lapheat;
using validation::Problem;

const std::filesystem::path scenarios = LAPHEAT_SOURCE_DIR "/scenarios";

struct Case {
    const char* placement;
    const char* cycle;
    double seconds;
    bool warm;
    bool events;  ///< switches and thermostat act on the way
    const char* words;
};

struct Reference {
    std::string version;
    int events = 0;
    long calls = 0;
    std::vector<std::vector<double>> rows;  ///< time, state …, one at each knot
};

Reference scipy(const Case& c, std::size_t states) {
    const std::string output =
        std::filesystem::temp_directory_path() / ("lapheat_reference_" + std::to_string(getpid()));
    const std::string command = LAPHEAT_PRELOAD "/usr/bin/python3 " LAPHEAT_SOURCE_DIR
                                                "/validation/model/reference.py " LAPHEAT_REFERENCE
                                                " " +
                                (scenarios / "placements" / c.placement).string() + " " +
                                (scenarios / "cycles" / c.cycle).string() + " " +
                                std::to_string(c.seconds) + " " + (c.warm ? "1 " : "0 ") + output;
    Reference reference;
    const std::unique_ptr<FILE, int (*)(FILE*)> pipe(popen(command.c_str(), "r"), pclose);
    std::array<char, 64> version{};
    REQUIRE(pipe);
    REQUIRE(std::fscanf(pipe.get(), "%63s %d %ld", version.data(), &reference.events,
                        &reference.calls) == 3);
    reference.version = version.data();
    std::ifstream file(output, std::ios::binary);
    std::vector<double> row(states + 1);
    while (file.read(reinterpret_cast<char*>(row.data()),
                     static_cast<std::streamsize>(row.size() * sizeof(double))))
        reference.rows.push_back(row);
    std::filesystem::remove(output);
    return reference;
}

/// The reference's states made into the series that simulate() gives.
model::Result replay(Problem& problem, const Reference& reference) {
    model::Result result;
    model::Recorder record(*problem.dynamics, result, model::Options{});
    for (std::size_t k = 0; k < reference.rows.size(); ++k) {
        problem.dynamics->enter_interval(k == 0 ? 0 : k - 1);
        record(reference.rows[k].front(), reference.rows[k].data() + 1);
    }
    return result;
}

bool is_temperature_of_state(const model::Series& s) {
    return s.name == "temperature" || s.name == "wall_temperature" ||
           s.name == "engine_bay_temperature";
}

struct Worst {
    double kelvin = 0, time = 0;
    std::string where;
    std::size_t series = 0;
};

Worst worst_difference(const model::Result& ours, const model::Result& reference) {
    REQUIRE(ours.time.size() == reference.time.size());
    REQUIRE(ours.series.size() == reference.series.size());
    Worst worst;
    for (std::size_t s = 0; s < ours.series.size(); ++s) {
        if (!is_temperature_of_state(ours.series[s])) continue;
        ++worst.series;
        for (std::size_t i = 0; i < ours.time.size(); ++i) {
            REQUIRE(std::abs(ours.time[i] - reference.time[i]) < 1e-9);
            const double d = std::abs(ours.series[s].values[i] - reference.series[s].values[i]);
            if (!(d <= worst.kelvin)) worst = {d, ours.time[i], ours.series[s].group, worst.series};
        }
    }
    return worst;
}

}  // namespace

TEST_CASE("every temperature of the whole car agrees with SciPy's integration at 1e-12") {
    const Case c = GENERATE(Case{"under_floor.toml", "highway_grade.toml", 80, false, false,
                                 "cold start on the highway, 80 s, no events"},
                            Case{"in_tank.toml", "highway_grade.toml", 80, false, false,
                                 "the same, cooler in the radiator's tank"},
                            Case{"under_floor.toml", "traffic.toml", 400, true, true,
                                 "warm in traffic, 400 s, thermostat and fans act"});
    Problem problem(scenarios / "placements" / c.placement, scenarios / "cycles" / c.cycle,
                    c.seconds, c.warm);
    const Reference reference = scipy(c, problem.first.size());
    REQUIRE(reference.rows.size() == problem.forcing.time.size());
    CHECK((reference.events > 0) == c.events);
    const model::Result theirs = replay(problem, reference);
    for (const double tolerance : {model::Options{}.tolerance, 1e-8}) {
        const bool tight = tolerance < 1e-6;
        model::Options options;
        options.tolerance = tolerance;
        const model::Result ours = simulate(*problem.compiled, problem.cycle, options);
        const Worst worst = worst_difference(ours, theirs);
        CHECK(worst.series > 20);
        char words[160];
        std::snprintf(words, sizeof words,
                      "worst of %zu temperatures, at %s, %.0f s; SciPy took %ld calls, ours %zu",
                      worst.series, worst.where.c_str(), worst.time, reference.calls,
                      ours.cost.rhs_calls);
        validation::Row row{
            .topic = "Whole car against SciPy",
            .quantity = std::string(c.words) + ", tolerance " + (tight ? "1e-8 K" : "as shipped"),
            .source = "SciPy, solve_ivp DOP853, rtol = atol = 1e-12, on the same right-hand side",
            .ours = worst.kelvin,
            .unit = "K"};
        row.band = !tight     ? validation::Band{0, 0.05, "the project's target"}
                   : c.events ? validation::Band{0, 1e-5,
                                                 "a switch reached slowly acts earlier or later by "
                                                 "the sensor's error over its rate"}
                              : validation::Band{0, 1e-6, "the tolerance, over a run"};
        row.note = "SciPy " + reference.version + "; " + words;
        validation::library(row);
    }
}
