#include "console.hpp"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstdlib>
#include <cstring>

namespace lapheat::app {
namespace {

std::atomic<bool> stop{false};
static_assert(std::atomic<bool>::is_always_lock_free, "a signal handler may only set it then");

extern "C" void on_interrupt(int signal) {
    stop = true;
    std::signal(signal, SIG_DFL);
}

bool coloured(int descriptor) {
    const char* none = std::getenv("NO_COLOR");
    const char* terminal = std::getenv("TERM");
    return isatty(descriptor) != 0 && (none == nullptr || *none == '\0') &&
           (terminal == nullptr || std::strcmp(terminal, "dumb") != 0);
}

/// Columns of the terminal; of a file or a pipe what COLUMNS says, or a page's worth.
std::size_t width_of(int descriptor) {
    constexpr std::size_t narrowest = 40, page = 80;
    winsize size{};
    if (isatty(descriptor) != 0 && ioctl(descriptor, TIOCGWINSZ, &size) == 0 &&
        size.ws_col >= narrowest)
        return size.ws_col;
    const char* columns = std::getenv("COLUMNS");
    const unsigned long asked = columns != nullptr ? std::strtoul(columns, nullptr, 10) : 0;
    return asked >= narrowest && asked <= 10000 ? asked : page;
}

/// Each file's text, for the caret. A file that cannot be read again has none.
std::vector<scenario::SourceFile> sources(const std::vector<scenario::Problem>& problems) {
    std::vector<scenario::SourceFile> out;
    std::vector<std::string> seen;
    for (const scenario::Problem& p : problems) {
        if (std::find(seen.begin(), seen.end(), p.place.file) != seen.end()) continue;
        seen.push_back(p.place.file);
        scenario::Problems ignored;
        for (scenario::SourceFile& file : scenario::load(p.place.file, ignored).files)
            out.push_back(std::move(file));
    }
    return out;
}

}  // namespace

results::Style style_of(const Common& common) {
    results::Style style;
    style.units = common.units;
    style.table.colour = coloured(STDOUT_FILENO);
    style.table.width = width_of(STDOUT_FILENO);
    return style;
}

namespace {

/// Where one of our own colours ends that begins there; npos: none does. Others may hide text.
std::size_t end_of_colour(const std::string& text, std::size_t at) {
    constexpr std::string_view ours[] = {"0", "1", "2", "31", "33", "34", "1;31"};
    if (text.compare(at, 2, "\x1b[") != 0) return std::string::npos;
    const std::size_t end = text.find_first_not_of("0123456789;", at + 2);
    if (end == std::string::npos || text[end] != 'm') return std::string::npos;
    const std::string_view code = std::string_view(text).substr(at + 2, end - at - 2);
    return std::find(std::begin(ours), std::end(ours), code) != std::end(ours) ? end + 1
                                                                               : std::string::npos;
}

/// Names come from files of anybody: nothing of them steers a terminal. Line ends and tabs stay,
/// and our own colours where we colour.
std::string harmless(const std::string& text, int descriptor) {
    const auto control = [](char c) {
        return (static_cast<unsigned char>(c) < 0x20U && c != '\n' && c != '\t') || c == 0x7F;
    };
    if (std::none_of(text.begin(), text.end(), control)) return text;
    const bool colours = coloured(descriptor);
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = colours ? end_of_colour(text, at) : std::string::npos;
        if (end != std::string::npos) {
            out.append(text, at, end - at);
            at = end;
        } else {
            out += control(text[at]) ? '?' : text[at];
            ++at;
        }
    }
    return out;
}

}  // namespace

void print(const std::string& given) {
    const std::string text = harmless(given, STDOUT_FILENO);
    errno = 0;
    if (std::fwrite(text.data(), 1, text.size(), stdout) == text.size() && std::fflush(stdout) == 0)
        return;
    // A pipe that was closed ("| head") is no error of ours.
    if (errno == EPIPE) return;
    throw Error(Diagnostic{
        Code::run_failed, {}, {fmt::format("cannot write the answer: {}", std::strerror(errno))}});
}

void print_wrapped(const std::string& text, const results::Style& style) {
    for (const std::string& line : results::wrapped(text, style.table.width)) print(line + '\n');
}

void print_list(const std::vector<std::string>& sentences, const results::Style& style) {
    for (const std::string& text : sentences) {
        std::string lead = "  - ";
        for (const std::string& line : results::wrapped(text, style.table.width - lead.size())) {
            print(lead + line + '\n');
            lead = "    ";
        }
    }
}

void complain(const std::string& text) {
    std::fputs(harmless(text, STDERR_FILENO).c_str(), stderr);
}

void complain(const std::vector<scenario::Problem>& problems, units::System system) {
    const bool terminal = isatty(STDERR_FILENO) != 0;
    const std::vector<scenario::SourceFile> files =
        terminal ? sources(problems) : std::vector<scenario::SourceFile>{};
    for (const scenario::Problem& problem : problems) {
        const scenario::Problem p = scenario::in_units(problem, system);
        complain((terminal ? scenario::to_string(p, files, coloured(STDERR_FILENO))
                           : scenario::to_string(p)) +
                 "\n");
    }
}

void complain(const Error& error, units::System system) {
    std::string where;
    if (!error.place().file.empty())
        where = error.place().line > 0 ? fmt::format("{}:{}:{}: ", error.place().file,
                                                     error.place().line, error.place().column)
                                       : error.place().file + ": ";
    const std::string what = error.diagnostic() ? words(*error.diagnostic(), system) : error.what();
    complain(fmt::format("lapheat: {}{}{}{}{}{}\n", where, error.key(),
                         error.key().empty() ? "" : ": ", what,
                         error.expected().empty() ? "" : "; expected ", error.expected()));
}

const std::atomic<bool>& interrupted() { return stop; }

void watch_signals() {
    // Without SA_RESTART: who waits for a pipe to speak ends at the first Ctrl-C.
    struct sigaction action {};
    action.sa_handler = on_interrupt;
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, nullptr);
    // A file that grows beyond what is allowed is then an error of its write, not the end of us.
    std::signal(SIGXFSZ, SIG_IGN);
}

Unwatched::Unwatched() { std::signal(SIGINT, SIG_DFL); }
Unwatched::~Unwatched() { watch_signals(); }

void hold_standard_streams() {
    for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO})
        if (::fcntl(stream, F_GETFD) < 0)
            (void)::open("/dev/null", stream == STDIN_FILENO ? O_WRONLY : O_RDONLY);
}

double option_value(const std::string& text, units::Quantity quantity, const char* option) {
    try {
        return units::parse(text, quantity);
    } catch (const Error& e) {
        throw Error(e.what(), e.expected(), {}, option);
    }
}

}  // namespace lapheat::app
