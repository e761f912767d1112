#include "lapheat/scenario/problems.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <tuple>
#include <utility>

namespace lapheat::scenario {
namespace {

std::string where(const FilePlace& place) {
    std::string out = place.file;
    if (place.line > 0) {
        out += fmt::format(":{}", place.line);
        if (place.column > 0) out += fmt::format(":{}", place.column);
    }
    return out;
}

/// The line without control characters, which could play tricks on a terminal, and how many
/// characters of padding bring a caret under `column`. Columns count code points, as TOML++ does.
struct Excerpt {
    std::string line;
    std::string padding;
};

Excerpt excerpt(std::string_view text, const FilePlace& place) {
    std::size_t begin = 0;
    for (std::size_t line = 1; line < place.line; ++line) {
        const std::size_t end = text.find('\n', begin);
        if (end == std::string_view::npos) return {};
        begin = end + 1;
    }
    Excerpt out;
    std::size_t column = 1;
    for (const char c : text.substr(begin, text.find('\n', begin) - begin)) {
        const bool continues = (static_cast<unsigned char>(c) & 0xC0U) == 0x80U;
        const bool control = static_cast<unsigned char>(c) < 0x20U || c == 0x7F;
        out.line += control ? ' ' : c;
        if (!continues && column++ < place.column) out.padding += ' ';
    }
    return out;
}

auto order(const Problem& p) {
    return std::tuple_cat(std::tuple<bool>(!p.is_cause),
                          std::tie(p.place.file, p.place.line, p.place.column, p.severity, p.key,
                                   p.found, p.expected, p.hint));
}

std::string joined(const std::vector<Problem>& problems) {
    std::string out;
    for (const Problem& problem : problems) {
        if (!out.empty()) out += '\n';
        out += to_string(problem);
    }
    return out;
}

const Problem& first_error(const std::vector<Problem>& problems) {
    static const Problem none;
    const auto found = std::find_if(problems.begin(), problems.end(),
                                    [](const Problem& p) { return p.severity == Severity::error; });
    return found == problems.end() ? none : *found;
}

}  // namespace

Problem in_units(Problem problem, units::System system) {
    if (problem.said) problem.found = words(*problem.said, system);
    return problem;
}

std::string to_string(const Problem& problem) {
    std::string out = where(problem.place);
    if (!out.empty()) out += ": ";
    if (problem.severity == Severity::warning) out += "warning: ";
    if (!problem.key.empty()) out += problem.key + ": ";
    out += problem.found;
    if (!problem.expected.empty()) {
        out += (problem.found.empty() ? "expected " : ", expected ") + problem.expected;
    }
    if (!problem.hint.empty()) out += "; " + problem.hint;
    return out;
}

std::string to_string(const Problem& problem, const std::vector<SourceFile>& files, bool colour) {
    const std::string bold = colour ? "\x1b[1m" : "";
    const std::string mark = !colour                               ? ""
                             : problem.severity == Severity::error ? "\x1b[31m"
                                                                   : "\x1b[33m";
    const std::string plain = colour ? "\x1b[0m" : "";
    std::string out = bold + to_string(problem) + plain;
    const auto file = std::find_if(files.begin(), files.end(), [&](const SourceFile& f) {
        return f.path == problem.place.file;
    });
    if (file == files.end() || problem.place.line == 0) return out;
    const auto lines =
        static_cast<std::size_t>(std::count(file->text.begin(), file->text.end(), '\n'));
    if (problem.place.line > lines + 1) return out;
    const Excerpt at = excerpt(file->text, problem.place);
    const std::string number = fmt::format("{}", problem.place.line);
    out += "\n  " + number + " | " + at.line;
    if (problem.place.column > 0) {
        out += "\n  " + std::string(number.size(), ' ') + " | " + at.padding + mark + "^" + plain;
    }
    return out;
}

void Problems::add(Problem problem) {
    if (problem.severity == Severity::error) ++errors_;
    all_.push_back(std::move(problem));
}

void Problems::error(const FilePlace& place, std::string key, std::string found,
                     std::string expected, std::string hint) {
    add({place, std::move(key), std::move(found), std::move(expected), std::move(hint)});
}

void Problems::cause(const FilePlace& place, std::string found, std::string hint) {
    add({.place = place,
         .key = {},
         .found = std::move(found),
         .expected = {},
         .hint = std::move(hint),
         .is_cause = true});
}

void Problems::rename(const std::function<std::string(const std::string&)>& key) {
    for (Problem& problem : all_) problem.key = key(problem.key);
}

void Problems::warning(const FilePlace& place, std::string key, std::string found,
                       std::string expected, std::string hint) {
    // One value is questioned once, whatever it is used for and however many ways it is odd.
    const auto at = [&](const Problem& p) {
        return p.severity == Severity::warning && p.place.file == place.file &&
               p.place.line == place.line && p.place.column == place.column;
    };
    if (place.line > 0 && std::any_of(all_.begin(), all_.end(), at)) return;
    add({place, std::move(key), std::move(found), std::move(expected), std::move(hint),
         Severity::warning});
}

void Problems::withdraw(const Problem& problem) {
    const auto found = std::find_if(all_.begin(), all_.end(),
                                    [&](const Problem& p) { return order(p) == order(problem); });
    if (found == all_.end()) return;
    if (found->severity == Severity::error) --errors_;
    all_.erase(found);
}

std::vector<Problem> Problems::sorted() const {
    std::vector<Problem> out = all_;
    std::sort(out.begin(), out.end(),
              [](const Problem& a, const Problem& b) { return order(a) < order(b); });
    out.erase(std::unique(out.begin(), out.end(),
                          [](const Problem& a, const Problem& b) { return order(a) == order(b); }),
              out.end());
    return out;
}

const SourceFile* Problems::kept(std::string_view path) const {
    for (const SourceFile& file : kept_)
        if (file.path == path) return &file;
    return nullptr;
}

void Problems::throw_if_any() const {
    if (errors_ > 0) throw Errors(sorted());
}

Errors::Errors(std::vector<Problem> problems)
    : Error(joined(problems), first_error(problems).expected, first_error(problems).place,
            first_error(problems).key),
      problems_(std::move(problems)) {}

}  // namespace lapheat::scenario
