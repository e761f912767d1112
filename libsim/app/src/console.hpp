// The terminal: what it can show, and errors in words.
#pragma once

#include <atomic>
#include <string>
#include <vector>

#include "commands.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::app {

/// Colour and width of standard output. Without a terminal there is no colour, and lines are as
/// long as COLUMNS says, or 132. NO_COLOR (any text) and TERM=dumb turn colour off.
[[nodiscard]] results::Style style_of(const Common& common);

/// To standard output. Throws Error (code run_failed) if it does not get there; a reader who has
/// gone away is none.
void print(const std::string& text);
/// Sentences, wrapped to the terminal.
void print_wrapped(const std::string& text, const results::Style& style);
/// Sentences of a list, each wrapped to the terminal: "  - …".
void print_list(const std::vector<std::string>& sentences, const results::Style& style);
/// To standard error.
void complain(const std::string& text);

/// Every problem on a line of its own to standard error; with its line and a caret on a terminal.
void complain(const std::vector<scenario::Problem>& problems, units::System system);
/// "lapheat: words, expected …" with the place as the error has it.
void complain(const Error& error, units::System system);

/// Set by the first Ctrl-C, for the solver to stop at its next step; the second one kills.
[[nodiscard]] const std::atomic<bool>& interrupted();
void watch_signals();
/// While it lives Ctrl-C ends the program at once: nothing has begun that could be cut short.
class Unwatched {
  public:
    Unwatched();
    ~Unwatched();
    Unwatched(const Unwatched&) = delete;
    Unwatched& operator=(const Unwatched&) = delete;
};
/// Keeps the places of standard streams that were closed, so that no file of ours gets their
/// numbers and with them what is said; to write there stays an error. First of all.
void hold_standard_streams();

/// Parses "8 L/min" given to `option`; the error names the option.
[[nodiscard]] double option_value(const std::string& text, units::Quantity quantity,
                                  const char* option);

}  // namespace lapheat::app
