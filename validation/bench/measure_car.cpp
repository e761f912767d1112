// The demo car measured: milliseconds for each simulated hour, calls and steps by cycle and
// placement, and how far every run is from its reference (tests/model/accuracy.hpp has the rule).
//
//   measure_car [WORD ...] [--speed] [--reference K] [--tolerance K] [--repeat N]
//               [--averaged SECONDS] [--records SECONDS] [--draw N]
//
// Runs whose names have every WORD. --speed leaves out the references, which are never averaged.
// --draw: each car as its doubts draw it the N-th time, cars that no bound was set by. Times are
// processor time, the least of N runs. Fails if a run is outside the rule that is not known to be,
// or further than known, or its ledger does not close to 1e-12.
#include <cstdio>

#include "accuracy.hpp"
#include "lapheat/study/doubts.hpp"
#include "processor_time.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

struct Wishes {
    std::vector<std::string> words;
    bool references = true;
    double reference = 1e-7, tolerance = Options{}.tolerance;
    int repeat = 3;
    Stepping stepping = Stepping::by_tolerance;
    double averaged = 0, records = Options{}.sample_interval;
    int draw = -1;  ///< of the cars; below 0: as written
};

Wishes read(int count, char** words) {
    Wishes out;
    for (int i = 1; i < count; ++i) {
        const std::string word = words[i];
        const bool more = i + 1 < count;
        if (word == "--speed")
            out.references = false;
        else if (word == "--implicit")
            out.stepping = Stepping::implicit_steps;
        else if (word == "--explicit")
            out.stepping = Stepping::explicit_steps;
        else if (word == "--reference" && more)
            out.reference = std::stod(words[++i]);
        else if (word == "--tolerance" && more)
            out.tolerance = std::stod(words[++i]);
        else if (word == "--draw" && more)
            out.draw = std::stoi(words[++i]);
        else if (word == "--averaged" && more)
            out.averaged = std::stod(words[++i]);
        else if (word == "--records" && more)
            out.records = std::stod(words[++i]);
        else if (word == "--repeat" && more)
            out.repeat = std::stoi(words[++i]);
        else
            out.words.push_back(word);
    }
    return out;
}

struct Times {
    double run = 1e9, plain = 1e9, settle = 1e9;  // s
};

Times measure(const Model& model, const drive::Cycle& cycle, Options options, int repeat,
              RunCost& cost) {
    Times out;
    for (int i = 0; i < repeat; ++i) {
        double began = processor_seconds();
        options.start = settled_start(model, cycle, options);
        out.settle = std::min(out.settle, processor_seconds() - began);
        for (const bool keep : {true, false}) {
            options.keep_series = keep;
            began = processor_seconds();
            cost = simulate(model, cycle, options).cost;
            double& least = keep ? out.run : out.plain;
            least = std::min(least, processor_seconds() - began);
        }
    }
    return out;
}

}  // namespace

int main(int count, char** arguments) {
    const Wishes wishes = read(count, arguments);
    std::printf("ms for each simulated hour: with series, without, and ms of settling alone\n");
    std::printf("%-36s %6s %6s %6s %8s %6s %5s | %8s %8s %8s %4s %3s %8s %s\n", "run", "ms/h",
                "plain", "settle", "calls/h", "steps/h", "rej/h", "K", "fluid K", "event s", "of",
                "odd", "peak K", "where");
    double sum = 0, plain = 0, settle = 0, worst = 0, late = 0, peak = 0;
    int runs = 0, broken = 0, loose = 0;
    for (const AccuracyCase& one : accuracy_table(LAPHEAT_SOURCE_DIR "/scenarios")) {
        if (std::any_of(wishes.words.begin(), wishes.words.end(), [&](const std::string& word) {
                return one.name.find(word) == std::string::npos;
            }))
            continue;
        const std::vector<scenario::Scenario> read{scenario::read(one.scenario, {one.cycle})};
        const scenario::Scenario& s = read.front();
        const study::DoubtedCars cars(read, 1);
        const auto model = compile(
            wishes.draw < 0 ? s.car
                            : cars.car(0, cars.draw(static_cast<std::uint32_t>(wishes.draw))));
        const drive::Cycle& cycle = s.cycles.front();
        Options options;
        options.tolerance = wishes.tolerance;
        options.stepping = wishes.stepping;
        options.averaged = wishes.averaged;
        options.sample_interval = wishes.records;
        RunCost cost;
        const Times times = measure(*model, cycle, options, wishes.repeat, cost);
        const double hours = (cycle.time.back() - cycle.time.front()) / 3600;
        const auto each = [&](std::size_t n) { return static_cast<double>(n) / hours; };
        std::printf("%-36s %6.1f %6.1f %6.1f %8.0f %6.0f %5.0f", one.name.c_str(),
                    1e3 * times.run / hours, 1e3 * times.plain / hours, 1e3 * times.settle,
                    each(cost.rhs_calls), each(cost.steps), each(cost.rejected));
        ++runs;
        sum += 1e3 * times.run / hours;
        plain += 1e3 * times.plain / hours;
        settle += 1e3 * times.settle;
        if (wishes.references) {
            options.start = settled_start(*model, cycle, options);
            const Result ours = simulate(*model, cycle, options);
            options.tolerance = wishes.reference;
            options.averaged = 0;
            options.stepping = Stepping::explicit_steps;
            Deviation d;
            try {
                d = deviation(ours, simulate(*model, cycle, options));
            } catch (const Error& e) {  // explicit steps give up on what is very short
                std::printf(" | no reference: %s\n", e.what());
                continue;
            }
            broken += !d.within_rule();
            loose += !d.within_rule(kelvin_allowed_in(one.name)) || !(ours.ledger.closure <= 1e-12);
            worst = std::max(worst, d.kelvin);
            late = std::max(late, d.event);
            peak = std::max(peak, d.peak);
            std::printf(" | %8.4f %8.4f %8.3f %4d %3d %8.4f %s %s, %.0f s; %s; closure %.0e",
                        d.kelvin, d.fluid, d.event, d.events, d.unpaired, d.peak,
                        d.within_rule() ? "  " : "!!", d.where.c_str(), d.when, d.which.c_str(),
                        ours.ledger.closure);
        }
        std::printf("\n");
        std::fflush(stdout);
    }
    if (runs > 0)
        std::printf(
            "mean of %d: %.1f ms/h, %.1f plain, %.1f ms of settling; worst %.4f K, %.3f s, "
            "peaks %.4f K; %d outside the rule\n",
            runs, sum / runs, plain / runs, settle / runs, worst, late, peak, broken);
    return loose > 0 ? 1 : 0;
}
