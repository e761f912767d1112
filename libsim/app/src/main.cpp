// The command lapheat: reads the command line by the table of verbs, calls one, turns errors into
// words and codes.
#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <exception>
#include <map>
#include <type_traits>

#include "console.hpp"
#include "verbs.hpp"

namespace {

using namespace lapheat;

constexpr const char* purpose =
    "lapheat estimates whether a car's coolant, transmission fluid and steering fluid stay within\n"
    "their limits, and which place for a cooler is best. Estimates only.";

constexpr const char* examples = R"(Examples:
  lapheat new mycar                        a car to start from, which runs at once
  lapheat check mycar/placements/*.toml    read and validate, nothing else
  lapheat run mycar/placements/rear.toml   drive all its cycles
  lapheat compare mycar/placements/*.toml --page comparison.html
  lapheat fluid transmission_fluid --at "90 degC"

Exit codes: 0 done; 1 a run failed or was cancelled; 2 bad input, nothing written;
3 with --strict: a fluid went over its limit; 64 wrong command line.
lapheat help TOPIC tells of: )";

void add_option(CLI::App& command, const app::Option& option) {
    CLI::Option* added = std::visit(
        [&](auto* target) {
            using Target = std::remove_pointer_t<decltype(target)>;
            if constexpr (std::is_same_v<Target, bool>) {
                return command.add_flag(option.names, *target, option.help);
            } else {
                CLI::Option* made = command.add_option(option.names, *target, option.help);
                if constexpr (std::is_same_v<Target, int>)
                    made->check(CLI::Range(1, 1024).description(""));
                if constexpr (std::is_same_v<Target, units::System>) {
                    const std::map<std::string, units::System> systems = {
                        {"si", units::System::si}, {"us", units::System::us}};
                    made->transform(
                        CLI::CheckedTransformer(systems, CLI::ignore_case).description(""));
                }
                return made;
            }
        },
        option.target);
    if (!option.type.empty()) added->type_name(option.type);
    if (!option.words.empty()) added->check(CLI::IsMember(option.words).description(""));
    if (option.required) added->required();
}

/// Runs a verb and says what went wrong.
int guarded(const std::function<int()>& verb, units::System system) {
    try {
        return verb();
    } catch (const scenario::Errors& e) {
        app::complain(e.problems(), system);
        return app::bad_input;
    } catch (const Error& e) {
        app::complain(e, system);
        return app::bad_input;
    } catch (const std::exception& e) {
        app::complain(fmt::format("lapheat: {}\n", e.what()));
        return app::run_failed;
    }
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App cli(purpose, "lapheat");
    cli.footer(fmt::format("{}{}.\n", examples, fmt::join(app::help_topics(), ", ")));
    cli.require_subcommand(1);
    cli.set_version_flag("--version", results::version(), "the version");
    cli.set_help_all_flag("--help-all", "help of every command");

    app::Requests requests;
    const std::vector<app::Verb> verbs = app::verbs(requests);
    const app::Verb* chosen = nullptr;
    for (const app::Verb& verb : verbs) {
        CLI::App* command = cli.add_subcommand(verb.name, verb.help);
        for (const app::Option& option : verb.options) add_option(*command, option);
        if (!verb.example.empty())
            command->footer(fmt::format(
                "Example{}:\n{}",
                std::count(verb.example.begin(), verb.example.end(), '\n') > 1 ? "s" : "",
                verb.example));
        command->callback([&chosen, &verb] { chosen = &verb; });
    }
    try {
        cli.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        return cli.exit(e) == 0 ? app::all_well : app::bad_usage;
    }
    if (chosen->name == "help" && requests.topic.empty()) return app::print(cli.help()), 0;
    app::watch_interrupts();
    return guarded(chosen->run, requests.common.units);
}
