// The command lapheat: reads the command line by the table of verbs, calls one, turns errors into
// words and codes.
#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cstdio>
#include <exception>
#include <new>
#include <sstream>
#include <string_view>
#include <type_traits>

#include "console.hpp"
#include "lapheat/results/hdf5_exit.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/units/text.hpp"
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

/// A system's word becomes its number, which is what the option is read from.
std::string as_system(std::string& word) {
    const auto system = units::system_named(units::lowered(word));
    if (!system) return "'" + word + "' is no system of units; expected si or us";
    word = std::to_string(static_cast<int>(*system));
    return {};
}

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
                if constexpr (std::is_same_v<Target, units::System>)
                    made->transform(CLI::Validator(as_system, "", ""));
                return made;
            }
        },
        option.target);
    if (!option.type.empty()) added->type_name(option.type);
    if (!option.words.empty())
        added->check(CLI::Validator(
            [words = option.words](const std::string& word) {
                return std::find(words.begin(), words.end(), word) != words.end()
                           ? std::string()
                           : fmt::format("'{}' is none of {}", word, fmt::join(words, ", "));
            },
            ""));
    if (option.required) added->required();
}

constexpr const char* no_memory = "lapheat: there is not enough memory\n";

/// For what nothing catches, as memory that runs out before main() or while an error is told: words
/// and a code all the same, made without memory.
[[noreturn]] void last_words() {
    std::string_view text = "lapheat: stopped by an error that it cannot tell\n";
    try {
        if (std::current_exception()) throw;
    } catch (const std::bad_alloc&) {
        text = no_memory;
    } catch (...) {
        // The first text says it.
    }
    if (::write(STDERR_FILENO, text.data(), text.size()) < 0) ::_exit(app::run_failed);
    ::_exit(app::run_failed);
}

/// Before all other objects of the program.
struct LastWords {
    LastWords() { std::set_terminate(last_words); }
};
__attribute__((init_priority(101))) const LastWords ready;

/// Runs a verb and says what went wrong.
int guarded(const std::function<int()>& verb, units::System system) {
    try {
        return verb();
    } catch (const scenario::Errors& e) {
        app::complain(e.problems(), system);
        return app::bad_input;
    } catch (const Error& e) {
        app::complain(e, system);
        return e.code() == Code::run_failed || e.code() == Code::cancelled ? app::run_failed
                                                                           : app::bad_input;
    } catch (const std::bad_alloc&) {
        std::fputs(no_memory, stderr);
        return app::run_failed;
    } catch (const std::exception& e) {
        app::complain(fmt::format("lapheat: {}\n", e.what()));
        return app::run_failed;
    }
}

/// What the command line may have meant: a verb or an option near to the word that was not known.
std::string meant(const std::string& word, const std::vector<app::Verb>& verbs,
                  const std::string& verb) {
    std::vector<std::string> known;
    const bool option_wanted = word.starts_with('-');
    for (const app::Verb& v : verbs) {
        if (!option_wanted) known.push_back(v.name);
        if (!option_wanted || v.name != verb) continue;
        for (const app::Option& option : v.options) {
            std::string_view names = option.names;
            while (!names.empty()) {
                const std::size_t end = std::min(names.find(','), names.size());
                known.emplace_back(names.substr(0, end));
                names.remove_prefix(std::min(end + 1, names.size()));
            }
        }
    }
    const std::string near = scenario::nearest(word, known);
    return near.empty() ? std::string() : fmt::format("; did you mean '{}'?", near);
}

/// A word where a verb is due, and none is called so; empty else.
std::string unknown_verb(int argc, char** argv, const std::vector<app::Verb>& verbs) {
    if (argc < 2 || *argv[1] == '-') return {};
    const std::string word = argv[1];
    for (const app::Verb& verb : verbs)
        if (verb.name == word) return {};
    return word;
}

}  // namespace

int main(int argc, char** argv) {
    app::hold_standard_streams();
    results::leave_hdf5_alone_at_exit();
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
    if (const std::string word = unknown_verb(argc, argv, verbs); !word.empty()) {
        app::complain(fmt::format("lapheat: there is no verb '{}'{}; `lapheat --help` lists them\n",
                                  word, meant(word, verbs, {})));
        return app::bad_usage;
    }
    try {
        cli.parse(argc, argv);
    } catch (const CLI::ExtrasError& e) {
        for (int i = 2; i < argc; ++i) {
            const std::string word = std::string(argv[i]).substr(0, std::string(argv[i]).find('='));
            const std::string hint = word.starts_with('-') ? meant(word, verbs, argv[1]) : "";
            if (hint.empty() || hint.find("'" + word + "'") != std::string::npos) continue;
            app::complain(
                fmt::format("lapheat {}: there is no option {}{}\n", argv[1], word, hint));
            return app::bad_usage;
        }
        return cli.exit(e), app::bad_usage;
    } catch (const CLI::ParseError& e) {
        if (e.get_exit_code() != 0) return cli.exit(e), app::bad_usage;
        std::ostringstream help;
        cli.exit(e, help);
        return guarded([&] { return app::print(help.str()), app::all_well; }, units::System::si);
    }
    app::watch_signals();
    requests.common.units_asked =
        cli.get_subcommand(chosen->name)->get_option_no_throw("--units") &&
        cli.get_subcommand(chosen->name)->count("--units") > 0;
    if (!requests.common.units_asked && chosen->car)
        requests.common.units =
            scenario::system_of(std::filesystem::path(chosen->car())).value_or(units::System::si);
    if (chosen->name == "help" && requests.topic.empty())
        return guarded([&] { return app::print(cli.help()), app::all_well; }, units::System::si);
    return guarded(chosen->run, requests.common.units);
}
