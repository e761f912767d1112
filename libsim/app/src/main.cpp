// The command lapheat: reads the command line, calls a verb, turns errors into words and codes.
#include <CLI/CLI.hpp>

#include <cstdio>
#include <exception>

#include "commands.hpp"
#include "console.hpp"

namespace {

using namespace lapheat;

constexpr const char* examples = R"(Examples:
  lapheat new mycar                        a car to start from, which runs at once
  lapheat check mycar/placements/*.toml    read and validate, nothing else
  lapheat run mycar/placements/rear.toml   drive all its cycles
  lapheat compare mycar/placements/*.toml --page comparison.html
  lapheat fluid transmission_fluid --at "90 degC"

Exit codes: 0 done; 1 a run failed or was cancelled; 2 bad input, nothing written;
3 with --strict: a fluid went over its limit; 64 wrong command line.
lapheat help TOPIC tells of: )";

void add_common(CLI::App& command, app::Common& common, bool writes) {
    const std::map<std::string, units::System> systems = {{"si", units::System::si},
                                                          {"us", units::System::us}};
    command.add_option("--units", common.units, "units of what is shown: si or us")
        ->transform(CLI::CheckedTransformer(systems, CLI::ignore_case).description(""))
        ->type_name("SYSTEM");
    if (writes)
        command.add_option("--out", common.out, "folder for result files (lapheat-results)")
            ->type_name("DIR");
    command.add_flag("--quiet,-q", common.quiet, "only what was asked for: no report, no progress");
    command.add_flag("--json", common.json,
                     "a report for machines, in SI; see 'lapheat help json'");
}

std::string joined(const std::vector<std::string>& words) {
    std::string out;
    for (const std::string& word : words) out += (out.empty() ? "" : ", ") + word;
    return out;
}

/// Every verb with its options, for completion.
std::vector<app::VerbOptions> verbs_of(const CLI::App& cli) {
    std::vector<app::VerbOptions> out;
    for (const CLI::App* verb : cli.get_subcommands(nullptr)) {
        app::VerbOptions options{verb->get_name(), {}};
        for (const CLI::Option* option : verb->get_options())
            for (const std::string& name : option->get_lnames())
                options.options.push_back("--" + name);
        out.push_back(std::move(options));
    }
    return out;
}

/// Runs a verb and says what went wrong.
int guarded(const std::function<int()>& verb) {
    try {
        return verb();
    } catch (const scenario::Errors& e) {
        app::complain(e.problems());
        return app::bad_input;
    } catch (const Error& e) {
        app::complain(e);
        return app::bad_input;
    } catch (const std::exception& e) {
        app::complain(std::string("lapheat: ") + e.what() + "\n");
        return app::run_failed;
    }
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App cli(
        "lapheat estimates whether a car's coolant, transmission fluid and steering fluid stay "
        "within\n"
        "their limits, and which place for a cooler is best. Estimates only.",
        "lapheat");
    cli.footer(examples + joined(app::help_topics()) + ".\n");
    cli.require_subcommand(1);
    cli.set_version_flag("--version", results::version(), "the version");
    cli.set_help_all_flag("--help-all", "help of every command");

    app::Common common;
    std::function<int()> verb;

    std::vector<std::string> checked;
    CLI::App* check =
        cli.add_subcommand("check", "Reads placements or cycles and lists every mistake.");
    check->add_option("FILE", checked, "placement or cycle files")->required();
    add_common(*check, common, false);
    check->footer("Example:\n  lapheat check placements/*.toml cycles/traffic.toml\n");
    check->callback([&] { verb = [&] { return app::check(common, checked); }; });

    app::RunRequest run_request;
    CLI::App* run = cli.add_subcommand("run", "Drives one placement through its cycles.");
    run->add_option("FILE", run_request.file, "placement file")->required();
    run->add_option("--cycle", run_request.cycles, "cycle files, in place of those the file lists")
        ->type_name("FILE");
    run->add_flag("--all", run_request.all,
                  "show events, the energy ledger and assumptions in full");
    run->add_flag("--lines", run_request.lines,
                  "what each foot of line and each elbow costs (two runs for each)");
    run->add_flag("--strict", run_request.strict, "exit code 3 if a fluid goes over its limit");
    run->add_flag("--dry", run_request.dry, "write no result file");
    add_common(*run, common, true);
    run->footer(
        "Examples:\n  lapheat run placements/rear.toml --units us\n"
        "  lapheat run placements/rear.toml --cycle cycles/traffic.toml --json\n");
    run->callback([&] { verb = [&] { return app::run(common, run_request); }; });

    app::CompareRequest compare_request;
    CLI::App* compare = cli.add_subcommand(
        "compare", "Drives several placements through the same cycles and ranks them.");
    compare->add_option("FILE", compare_request.files, "placement files")->required();
    compare
        ->add_option("--cycle", compare_request.cycles,
                     "cycle files, in place of those the files list")
        ->type_name("FILE");
    compare->add_option("--page", compare_request.page, "also write the comparison as a web page")
        ->type_name("FILE");
    compare
        ->add_option("--threads", compare_request.threads, "threads (as many as the machine has)")
        ->check(CLI::Range(1, 1024).description(""))
        ->type_name("N");
    compare->add_flag("--sensitivity", compare_request.sensitivity,
                      "ask whether uncertain assumptions change the winner");
    compare->add_flag("--hottest", compare_request.hottest,
                      "find the hottest day that each placement still holds");
    compare->add_flag("--lines", compare_request.lines,
                      "what each foot of line and each elbow costs (two runs for each)");
    compare->add_flag("--strict", compare_request.strict,
                      "exit code 3 if the winner lets a fluid go over its limit");
    compare->add_flag("--dry", compare_request.dry, "write no result files");
    add_common(*compare, common, true);
    compare->footer(
        "Example:\n  lapheat compare placements/*.toml --cycle cycles/traffic.toml --page "
        "traffic.html\n");
    compare->callback([&] { verb = [&] { return app::compare(common, compare_request); }; });

    app::PlumbRequest plumb_request;
    CLI::App* plumb = cli.add_subcommand(
        "plumb", "Lists hoses, tubes, clamps and fittings of a placement, ready to shop from.");
    plumb->add_option("FILE", plumb_request.file, "placement file")->required();
    plumb->add_flag("--totals", plumb_request.totals, "only what to buy, not what each is for");
    add_common(*plumb, common, false);
    plumb->footer("Example:\n  lapheat plumb placements/rear.toml --units us\n");
    plumb->callback([&] { verb = [&] { return app::plumb(common, plumb_request); }; });

    app::ShowRequest show_request;
    CLI::App* show = cli.add_subcommand("show", "Tells what a result file holds.");
    show->add_option("FILE", show_request.file, "result file (.h5)")->required();
    show->add_flag("--texts", show_request.texts,
                   "print the scenario files that the result was made from");
    add_common(*show, common, false);
    show->footer("Example:\n  lapheat show lapheat-results/rear-traffic.h5\n");
    show->callback([&] { verb = [&] { return app::show(common, show_request); }; });

    app::RateRequest rate_request;
    CLI::App* rate = cli.add_subcommand(
        "rate", "Prints the performance of a file's cores over flows and temperatures.");
    rate->add_option("FILE", rate_request.file, "file with [cores] and [fluids]")->required();
    rate->add_option("--core", rate_request.cores, "only these cores")->type_name("NAME");
    rate->add_option("--flow", rate_request.first_flows,
                     "flows of the fluid that is cooled, \"8 L/min\"")
        ->type_name("FLOW");
    rate->add_option("--inlet", rate_request.first_inlets, "its inlet temperatures, \"110 degC\"")
        ->type_name("TEMPERATURE");
    rate->add_option("--air-speed", rate_request.air_speeds,
                     "speeds of the air at the face, \"4 m/s\"")
        ->type_name("SPEED");
    rate->add_option("--second-flow", rate_request.second_flows,
                     "flows of the coolant that cools, for cores in a tank")
        ->type_name("FLOW");
    rate->add_option("--second-inlet", rate_request.second_inlets,
                     "inlet temperatures of what cools, \"35 degC\"")
        ->type_name("TEMPERATURE");
    rate->add_option("--csv", rate_request.csv, "write the map as comma-separated values")
        ->type_name("FILE");
    rate->add_option("--h5", rate_request.h5, "write the map as HDF5")->type_name("FILE");
    add_common(*rate, common, false);
    rate->footer(
        "Example:\n  lapheat rate placements/rear.toml --core cooler.transmission --inlet \"110 "
        "degC\" --csv map.csv\n");
    rate->callback([&] { verb = [&] { return app::rate(common, rate_request); }; });

    app::FluidRequest fluid_request;
    CLI::App* fluid =
        cli.add_subcommand("fluid", "Prints a fluid's properties with their sources.");
    fluid
        ->add_option("NAME", fluid_request.name,
                     "water, ethylene_glycol, transmission_fluid, air, ...")
        ->required();
    fluid
        ->add_option("--at", fluid_request.at,
                     "temperatures, \"90 degC\" (20, 60, 90 and 120 degC)")
        ->type_name("TEMPERATURE");
    fluid->add_option("--fraction", fluid_request.fraction, "glycol by volume (50 %)")
        ->type_name("SHARE");
    fluid
        ->add_option("--pressure", fluid_request.pressure,
                     "absolute pressure, for boiling and for air (101.325 kPa)")
        ->type_name("PRESSURE");
    fluid->add_option("--file", fluid_request.file, "take NAME from the [fluids] of this file")
        ->type_name("FILE");
    add_common(*fluid, common, false);
    fluid->footer(
        "Example:\n  lapheat fluid coolant --file car.toml\n  lapheat fluid ethylene_glycol "
        "--fraction \"40 %\" --at \"90 degC\" --at \"105 "
        "degC\"\n");
    fluid->callback([&] { verb = [&] { return app::fluid(common, fluid_request); }; });

    std::string folder;
    CLI::App* create =
        cli.add_subcommand("new", "Writes a commented car, placements and cycles to start from.");
    create->add_option("DIR", folder, "folder to make")->required();
    create->add_flag("--quiet,-q", common.quiet, "say nothing");
    create->footer("Example:\n  lapheat new mycar && lapheat compare mycar/placements/*.toml\n");
    create->callback([&] { verb = [&] { return app::make_new(common, folder); }; });

    std::string topic;
    CLI::App* help =
        cli.add_subcommand("help", "Tells of a topic: " + joined(app::help_topics()) + ".");
    help->add_option("TOPIC", topic, "one of the topics, or none to list them");
    help->callback([&] {
        verb = [&] {
            if (topic.empty()) return app::print(cli.help()), 0;
            return app::help_topic(topic);
        };
    });

    std::string shell;
    CLI::App* completion =
        cli.add_subcommand("completion", "Prints a completion script for a shell: bash.");
    completion->add_option("SHELL", shell, "bash")
        ->required()
        ->check(CLI::IsMember({"bash"}).description(""));
    completion->footer("Example:\n  source <(lapheat completion bash)\n");
    completion->callback([&] { verb = [&] { return app::completion(verbs_of(cli)); }; });

    try {
        cli.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        const int code = cli.exit(e);
        return code == 0 ? app::all_well : app::bad_usage;
    }
    app::watch_interrupts();
    return guarded(verb);
}
