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

/// Runs a verb and says what went wrong.
int guarded(const std::function<int()>& verb) {
    try {
        return verb();
    } catch (const scenario::Errors& e) {
        app::complain(e.problems());
        return app::bad_input;
    } catch (const Error& e) {
        app::complain(e);
        return app::interrupted() ? app::run_failed : app::bad_input;
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
    run->add_flag("--strict", run_request.strict, "exit code 3 if a fluid goes over its limit");
    run->add_flag("--dry", run_request.dry, "write no result file");
    add_common(*run, common, true);
    run->footer(
        "Examples:\n  lapheat run placements/rear.toml --units us\n"
        "  lapheat run placements/rear.toml --cycle cycles/traffic.toml --json\n");
    run->callback([&] { verb = [&] { return app::run(common, run_request); }; });

    app::ShowRequest show_request;
    CLI::App* show = cli.add_subcommand("show", "Tells what a result file holds.");
    show->add_option("FILE", show_request.file, "result file (.h5)")->required();
    show->add_flag("--texts", show_request.texts,
                   "print the scenario files that the result was made from");
    add_common(*show, common, false);
    show->footer("Example:\n  lapheat show lapheat-results/rear-traffic.h5\n");
    show->callback([&] { verb = [&] { return app::show(common, show_request); }; });

    try {
        cli.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        const int code = cli.exit(e);
        return code == 0 ? app::all_well : app::bad_usage;
    }
    app::watch_interrupts();
    return guarded(verb);
}
