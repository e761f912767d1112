#include "verbs.hpp"

#include <fmt/format.h>

namespace lapheat::app {
namespace {

using Options = std::vector<Option>;

/// What every verb understands; `out` where result files are written.
Options with_common(Options options, Common& common, bool out) {
    options.push_back({"--units", &common.units,
                       "units of what is shown, si or us, if not as the car's file says",
                       "SYSTEM"});
    if (out)
        options.push_back(
            {"--out", &common.out, "folder for result files (lapheat-results)", "DIR"});
    options.push_back(
        {"--quiet,-q", &common.quiet, "only what was asked for: no report, no progress"});
    options.push_back(
        {"--json", &common.json, "a report for machines, in SI; see 'lapheat help json'"});
    return options;
}

constexpr const char* draws_help =
    "how sure: draw all that is in doubt so often, or \"enough\" for until shares stand within 2 "
    "%; "
    "goes on from the draws in --out";
constexpr const char* usual_draws_help =
    "how sure: draw all that is in doubt so often (64), \"enough\" for until shares stand within 2 "
    "%, or 0 for the cars exactly as written; goes on from the draws in --out";
constexpr const char* margin_help = "margin that is asked for (0 K)";
constexpr const char* fluid_help = "only these must hold, \"transmission\" (all)";
constexpr const char* nine_help = "what holds in nine of ten: draw all that is in doubt so often";
constexpr const char* threads_help = "threads (as many as the machine has)";
constexpr const char* cycle_help = "cycle files, in place of those the files list";
constexpr const char* series_help = "other draws (1)";
constexpr const char* lines_help =
    "what each foot of line and each elbow costs (two runs for each)";

Verb check_verb(Requests& r) {
    return {.name = "check",
            .help = "Reads placements or cycles and lists every mistake.",
            .options = with_common(
                {{"FILE", &r.checked, "placement or cycle files", "", true},
                 {"--all", &r.check_all, "list every number that is assumed, with its range"}},
                r.common, false),
            .example = "  lapheat check placements/*.toml cycles/traffic.toml\n",
            .run = [&r] { return check(r.common, r.checked, r.check_all); },
            .car = [&r] { return r.checked.front(); }};
}

Verb run_verb(Requests& r) {
    Options options = {
        {"FILE", &r.run.file, "placement file", "", true},
        {"--cycle", &r.run.cycles, "cycle files, in place of those the file lists", "FILE"},
        {"--all", &r.run.all, "show events, the energy ledger and assumptions in full"},
        {"--lines", &r.run.lines, lines_help},
        {"--draws", &r.run.draws, draws_help, "N"},
        {"--series", &r.run.series, series_help, "N"},
        {"--threads", &r.run.threads, "threads for draws (as many as the machine has)", "N"},
        {"--strict", &r.run.strict, "exit code 3 if a fluid goes over its limit"},
        {"--dry", &r.run.dry, "write no result file"}};
    return {.name = "run",
            .help = "Drives one placement through its cycles.",
            .options = with_common(std::move(options), r.common, true),
            .example =
                "  lapheat run placements/rear.toml --units us\n"
                "  lapheat run placements/rear.toml --cycle cycles/traffic.toml --json\n",
            .run = [&r] { return run(r.common, r.run); },
            .car = [&r] { return r.run.file; }};
}

Verb compare_verb(Requests& r) {
    Options options = {
        {"FILE", &r.compare.files, "placement files", "", true},
        {"--cycle", &r.compare.cycles, "cycle files, in place of those the files list", "FILE"},
        {"--one-file", &r.compare.one_file, "one result file of all runs, not one each", "FILE"},
        {"--page", &r.compare.page, "also write the comparison as a web page", "FILE"},
        {"--fitted", &r.compare.fitted,
         "what `fit --write` wrote: its numbers in every placement, before beside after", "FILE"},
        {"--threads", &r.compare.threads, "threads (as many as the machine has)", "N"},
        {"--draws", &r.compare.draws, usual_draws_help, "N"},
        {"--series", &r.compare.series, series_help, "N"},
        {"--all", &r.compare.all, "show every table, each cycle of each placement among them"},
        {"--hottest", &r.compare.hottest, "find the hottest day that each placement still holds"},
        {"--lines", &r.compare.lines, lines_help},
        {"--strict", &r.compare.strict, "exit code 3 if the winner lets a fluid go over its limit"},
        {"--dry", &r.compare.dry, "write no result files"}};
    return {.name = "compare",
            .help = "Drives several placements through the same cycles and ranks them.",
            .options = with_common(std::move(options), r.common, true),
            .example =
                "  lapheat compare placements/*.toml --cycle cycles/traffic.toml --page "
                "traffic.html\n",
            .run = [&r] { return compare(r.common, r.compare); },
            .car = [&r] { return r.compare.files.front(); }};
}

Verb size_verb(Requests& r) {
    SizeRequest& q = r.size;
    Options options = {
        {"FILE", &q.file, "placement file", "", true},
        {"--of", &q.of, "what to size: \"core width\", \"fan flow\", \"line bore\", ... or a path",
         "WHAT", true},
        {"--from", &q.from, "least that is looked at (a third of what the car has)", "SIZE"},
        {"--to", &q.to, "most that is looked at (three times that)", "SIZE"},
        {"--parts", &q.parts,
         "a list of what it could be (lapheat help buy): the cheapest that holds", "FILE"},
        {"--margin", &q.target, margin_help, "KELVIN"},
        {"--fluid", &q.fluids, fluid_help, "NAME"},
        {"--cycle", &q.cycles, cycle_help, "FILE"},
        {"--draws", &q.draws, nine_help, "N"},
        {"--series", &q.series, series_help, "N"},
        {"--threads", &q.threads, "threads (as many as the machine has)", "N"},
        {"--strict", &q.strict, "exit code 3 if nothing in the range reaches the margin"}};
    return {
        .name = "size",
        .help = "Finds the smallest that holds, of one thing: a core, a fan, a line, a switch.",
        .options = with_common(std::move(options), r.common, false),
        .example =
            "  lapheat size placements/rear.toml --of \"core width\" --fluid transmission\n"
            "  lapheat size placements/rear.toml --of \"fan flow\" --margin \"5 K\" --draws 100\n",
        .run = [&r] { return size(r.common, r.size); },
        .car = [&r] { return r.size.file; }};
}

Verb search_verb(Requests& r) {
    SearchRequest& q = r.search;
    Options options = {
        {"FILE", &q.files, "placement files", "", true},
        {"--parts", &q.parts, "a list of what can be bought of a part: cooler=coolers.csv",
         "PART=FILE", true},
        {"--budget", &q.budget, "most that all may cost, in the lists' currency", "SUM"},
        {"--space", &q.spaces,
         "room for the core, of all or of one placement: \"300 mm x 220 mm x 60 "
         "mm\", \"at the rear = ...\"",
         "SPACE"},
        {"--current", &q.current, "most that all fans may take together, \"35 A\"", "CURRENT"},
        {"--margin", &q.target, margin_help, "KELVIN"},
        {"--fluid", &q.fluids, fluid_help, "NAME"},
        {"--cycle", &q.cycles, cycle_help, "FILE"},
        {"--draws", &q.draws, nine_help, "N"},
        {"--series", &q.series, series_help, "N"},
        {"--page", &q.page, "also write the answer as a web page", "FILE"},
        {"--threads", &q.threads, threads_help, "N"},
        {"--strict", &q.strict, "exit code 3 if nothing on offer reaches the margin"}};
    return {.name = "search",
            .help = "Finds what to buy of lists of parts: the front of price against margin.",
            .options = with_common(std::move(options), r.common, false),
            .example =
                "  lapheat search placements/*.toml --parts cooler=coolers.csv --parts "
                "fan=fans.csv --budget 300\n"
                "  lapheat search placements/rear.toml --parts line=hoses.csv --current \"35 A\" "
                "--draws 100\n",
            .run = [&r] { return search(r.common, r.search); },
            .car = [&r] { return r.search.files.front(); }};
}

Verb sweep_verb(Requests& r) {
    SweepRequest& q = r.sweep;
    Options options = {
        {"FILE", &q.file, "placement file", "", true},
        {"--vary", &q.vary, "what is varied, and over what: \"core width = 240 mm to 400 mm in 5\"",
         "WHAT=VALUES", true},
        {"--to", &q.to, "the file it goes into (sweep.h5); goes on with one that was stopped",
         "FILE"},
        {"--points", &q.points, "so many points spread evenly, in place of the grid", "N"},
        {"--hottest", &q.hottest, "also the hottest air that each cycle could be at"},
        {"--cycle", &q.cycles, cycle_help, "FILE"},
        {"--series", &q.series, "other points (1)", "N"},
        {"--threads", &q.threads, threads_help, "N"}};
    return {
        .name = "sweep",
        .help = "Drives one placement over many values of its numbers, into one file.",
        .options = with_common(std::move(options), r.common, false),
        .example =
            "  lapheat sweep placements/rear.toml --vary \"core width = 240 mm to 400 mm in "
            "5\" --vary \"ambient = 20 degC to 45 degC in 6\"\n"
            "  lapheat sweep placements/rear.toml --vary \"altitude = 0 m, 1500 m\" --hottest\n",
        .run = [&r] { return sweep(r.common, r.sweep); },
        .car = [&r] { return r.sweep.file; }};
}

Verb plumb_verb(Requests& r) {
    Options options = {{"FILE", &r.plumb.file, "placement file", "", true},
                       {"--totals", &r.plumb.totals, "only what to buy, not what each is for"}};
    return {.name = "plumb",
            .help = "Lists hoses, tubes, clamps and fittings of a placement, ready to shop from.",
            .options = with_common(std::move(options), r.common, false),
            .example = "  lapheat plumb placements/rear.toml --units us\n",
            .run = [&r] { return plumb(r.common, r.plumb); },
            .car = [&r] { return r.plumb.file; }};
}

Verb show_verb(Requests& r) {
    Options options = {
        {"FILE", &r.show.file, "result file (.h5)", "", true},
        {"--texts", &r.show.texts, "print the scenario files that the result was made from"}};
    return {.name = "show",
            .help = "Tells what a result file holds.",
            .options = with_common(std::move(options), r.common, false),
            .example = "  lapheat show lapheat-results/rear-traffic.h5\n",
            .run = [&r] { return show(r.common, r.show); }};
}

Verb rate_verb(Requests& r) {
    RateRequest& q = r.rate;
    Options options = {
        {"FILE", &q.file, "file with [cores] and [fluids]", "", true},
        {"--core", &q.cores, "only these cores", "NAME"},
        {"--flow", &q.first_flows, "flows of the fluid that is cooled, \"8 L/min\"", "FLOW"},
        {"--inlet", &q.first_inlets, "its inlet temperatures, \"110 degC\"", "TEMPERATURE"},
        {"--air-speed", &q.air_speeds, "speeds of the air at the face, \"4 m/s\"", "SPEED"},
        {"--second-flow", &q.second_flows, "flows of the coolant that cools, for cores in a tank",
         "FLOW"},
        {"--second-inlet", &q.second_inlets, "inlet temperatures of what cools, \"35 degC\"",
         "TEMPERATURE"},
        {"--csv", &q.csv, "write the map as comma-separated values", "FILE"},
        {"--h5", &q.h5, "write the map as HDF5", "FILE"}};
    return {.name = "rate",
            .help = "Prints the performance of a file's cores over flows and temperatures.",
            .options = with_common(std::move(options), r.common, false),
            .example =
                "  lapheat rate placements/rear.toml --core cooler.transmission --inlet "
                "\"110 degC\" --csv map.csv\n",
            .run = [&r] { return rate(r.common, r.rate); },
            .car = [&r] { return r.rate.file; }};
}

Verb fluid_verb(Requests& r) {
    FluidRequest& q = r.fluid;
    Options options = {
        {"NAME", &q.name, "water, ethylene_glycol, transmission_fluid, air, ...", "", true},
        {"--at", &q.at, "temperatures, \"90 degC\" (20, 60, 90 and 120 degC)", "TEMPERATURE"},
        {"--fraction", &q.fraction, "glycol by volume (50 %)", "SHARE"},
        {"--pressure", &q.pressure, "absolute pressure, for boiling and for air (101.325 kPa)",
         "PRESSURE"},
        {"--file", &q.file, "take NAME from the [fluids] of this file", "FILE"}};
    return {.name = "fluid",
            .help = "Prints a fluid's properties with their sources.",
            .options = with_common(std::move(options), r.common, false),
            .example =
                "  lapheat fluid coolant --file car.toml\n"
                "  lapheat fluid ethylene_glycol --fraction \"40 %\" --at \"90 degC\" --at "
                "\"105 degC\"\n",
            .run = [&r] { return fluid(r.common, r.fluid); },
            .car = [&r] { return r.fluid.file; }};
}

Verb log_verb(Requests& r) {
    LogRequest& q = r.log;
    Options options = {
        {"FILE", &q.file, "what a logger wrote while the car drove, as text", "", true},
        {"--map", &q.map, "the column of a signal, where names do not tell", "SIGNAL=COLUMN"},
        {"--write", &q.write, "write the drive as a table that a cycle's file reads", "FILE"},
        {"--ambient", &q.ambient, "air temperature of the drive, if the log has none",
         "TEMPERATURE"}};
    return {.name = "log",
            .help = "Tells what a logger's file holds and what is amiss with it.",
            .options = with_common(std::move(options), r.common, false),
            .example =
                "  lapheat log sunday.csv --map coolant=\"Temp 2\"\n"
                "  lapheat log sunday.csv --ambient \"24 degC\" --write sunday_drive.csv\n",
            .run = [&r] { return log(r.common, r.log); }};
}

constexpr const char* map_help = "the column of a signal, where names do not tell";
constexpr const char* ambient_help = "air temperature of the drive, if the log has none";

Verb retrace_verb(Requests& r) {
    RetraceRequest& q = r.retrace;
    Options options = {
        {"FILE", &q.file, "placement file", "", true},
        {"--log", &q.log, "what a logger wrote", "LOG", true},
        {"--map", &q.map, map_help, "SIGNAL=COLUMN"},
        {"--ambient", &q.ambient, ambient_help, "TEMPERATURE"},
        {"--draws", &q.draws, "cars of the file's doubts for the bands; 0: none", "N"},
        {"--page", &q.page, "also write the answer as a web page", "FILE"},
        {"--threads", &q.threads, threads_help, "N"}};
    return {.name = "retrace",
            .help = "Drives the car as a logger saw it driven, beside what was measured.",
            .options = with_common(std::move(options), r.common, false),
            .example = "  lapheat retrace placements/rear.toml --log sunday.csv\n",
            .run = [&r] { return retrace(r.common, r.retrace); },
            .car = [&r] { return r.retrace.file; }};
}

Verb fit_verb(Requests& r) {
    FitRequest& q = r.fit;
    Options options = {
        {"FILE", &q.file, "placement file", "", true},
        {"--log", &q.logs, "what a logger wrote; several are better than one", "LOG", true},
        {"--map", &q.map, map_help, "SIGNAL=COLUMN"},
        {"--ambient", &q.ambient, ambient_help, "TEMPERATURE"},
        {"--held", &q.held, "logs held back as a test (two in five of --log)", "LOG"},
        {"--free", &q.free, "fit only these numbers, as the report names them", "NUMBER"},
        {"--each-log", &q.each_log, "numbers that each drive has for itself: a heater", "NUMBER"},
        {"--write", &q.write, "write the fitted car, to compare again", "FILE"},
        {"--h5", &q.h5, "write values, joint draws, residuals and bands as HDF5", "FILE"},
        {"--page", &q.page, "also write the answer as a web page", "FILE"},
        {"--threads", &q.threads, "threads (as many as the machine has)", "N"}};
    return {.name = "fit",
            .help = "Fits a car's doubtful numbers to what loggers wrote, some logs held back.",
            .options = with_common(std::move(options), r.common, false),
            .example =
                "  lapheat fit placements/rear.toml --log sunday.csv --log track.csv --write "
                "fitted.toml\n",
            .run = [&r] { return fit(r.common, r.fit); },
            .car = [&r] { return r.fit.file; }};
}

Verb car_verb(Requests& r) {
    return {.name = "car",
            .help = "Lists every number of a car: yours, derived or assumed.",
            .options = with_common({{"FILE", &r.car.file, "placement file", "", true},
                                    {"--stated", &r.car.stated, "without what is only assumed"},
                                    {"--write", &r.car.write,
                                     "write what is assumed as a file that extends it", "FILE"}},
                                   r.common, false),
            .example = "  lapheat car mycar/placements/under_floor.toml --units us\n",
            .run = [&r] { return car(r.common, r.car); },
            .car = [&r] { return r.car.file; }};
}

Verb new_verb(Requests& r) {
    return {
        .name = "new",
        .help = "Asks ten things about a car, writes it, and compares the places of its cooler.",
        .options = {{"DIR", &r.made.folder, "folder to make", "", true},
                    {"--answers", &r.made.answers, "a file of answers, so that nothing is asked",
                     "FILE"},
                    {"--ask-only", &r.made.ask_only, "write the files and end: nothing is driven"},
                    {"--template", &r.made.plain, "ask nothing: the full invented car"},
                    {"--quiet,-q", &r.common.quiet, "say nothing"}},
        .example =
            "  lapheat new mycar\n  lapheat new mycar --answers answers.toml && lapheat compare "
            "mycar/placements/*.toml\n",
        .run = [&r] { return make_new(r.common, r.made); }};
}

Verb help_verb(Requests& r) {
    return {.name = "help",
            .help = fmt::format("Tells of a topic, or answers a question: {}.",
                                fmt::join(help_topics(), ", ")),
            .options = {{"TOPIC", &r.topic, "one of the topics, or none to list them"},
                        {"--units", &r.common.units, "units of what is shown: si or us", "SYSTEM"}},
            .example = "",
            .run = [&r] { return help_topic(r.topic, r.common); }};
}

/// For a script or a page only the words count, so any requests will do.
std::vector<VerbWords> verb_words() {
    Requests any;
    std::vector<VerbWords> listed;
    for (const Verb& verb : verbs(any)) {
        VerbWords& words = listed.emplace_back(VerbWords{verb.name, verb.help, verb.example, {}});
        for (const Option& o : verb.options)
            words.options.emplace_back(o.names.substr(0, o.names.find(',')), o.help);
        words.options.emplace_back("--help", "what the verb does");
    }
    return listed;
}

Verb completion_verb(Requests& r) {
    return {
        .name = "completion",
        .help = "Prints a completion script for a shell: bash, zsh or fish.",
        .options = {{"SHELL", &r.shell, "bash, zsh or fish", "", true, {"bash", "zsh", "fish"}}},
        .example = "  source <(lapheat completion bash)\n  lapheat completion fish | source\n",
        .run = [&r] { return completion(verb_words(), r.shell); }};
}

Verb manual_verb(Requests&) {
    return {.name = "manual",
            .help = "Prints the manual page, for man.",
            .options = {},
            .example = "  lapheat manual | man -l -\n",
            .run = [] { return manual(verb_words()); }};
}

}  // namespace

std::vector<Verb> verbs(Requests& r) {
    return {check_verb(r), run_verb(r),        compare_verb(r), size_verb(r), search_verb(r),
            sweep_verb(r), plumb_verb(r),      show_verb(r),    rate_verb(r), fluid_verb(r),
            log_verb(r),   retrace_verb(r),    fit_verb(r),     car_verb(r),  new_verb(r),
            help_verb(r),  completion_verb(r), manual_verb(r)};
}

}  // namespace lapheat::app
