// What is wrong with the input, all of it at once: collected while files are read, sorted by place
// and thrown together, so that a person mends a file in one go.
#pragma once

#include <cstddef>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::scenario {

/// A file as it was read. A value set by hand (with()) has its own SourceFile, so that every place
/// in a message can be shown with its line.
struct SourceFile {
    std::string path;  ///< as given by the user or written in `extends`
    std::string text;
};

enum class Severity { error, warning };

/// One thing to mend. `key` is the path of the key, e.g. "cores.radiator.tubes[2].width" (items
/// of arrays count from 1); empty if the problem is not about a key.
struct Problem {
    FilePlace place;
    std::string key;
    std::string found;     ///< e.g. "\"600 kg\", which is a mass"; or what happened
    std::string expected;  ///< e.g. "a length, such as \"8 mm\""; may be empty
    std::string hint;      ///< e.g. "did you mean 'inner_diameter'?"; may be empty
    Severity severity = Severity::error;
    std::shared_ptr<const Diagnostic> said{};  ///< what `found` tells in SI; none: a plain sentence
    bool is_cause = false;  ///< told first: a file or a line that cannot be read, and what follows
};

/// The same with `found` told in other units, if they matter to it.
[[nodiscard]] Problem in_units(Problem problem, units::System system);

/// One line: "car.toml:12:9: cores.radiator.width: found "600", expected a length, such as "8 mm"".
/// Parts that are empty are left out.
[[nodiscard]] std::string to_string(const Problem& problem);

/// to_string() and, below it, the line of the file with a caret under the place, if the file is
/// among `files`. With `colour`, ANSI colours for a terminal.
[[nodiscard]] std::string to_string(const Problem& problem, const std::vector<SourceFile>& files,
                                    bool colour = false);

/// Collects problems. Not for several threads at once.
class Problems {
  public:
    void add(Problem problem);
    void error(const FilePlace& place, std::string key, std::string found,
               std::string expected = {}, std::string hint = {});
    /// A file or a line that cannot be read.
    void cause(const FilePlace& place, std::string found, std::string hint = {});
    void warning(const FilePlace& place, std::string key, std::string found,
                 std::string expected = {}, std::string hint = {});

    /// Takes back a problem that another explains better; nothing if it is not there.
    void withdraw(const Problem& problem);

    /// Each key told otherwise, as by_names() does.
    void rename(const std::function<std::string(const std::string&)>& key);

    /// What cannot be read first; then by file, line and column; one of each.
    [[nodiscard]] std::vector<Problem> sorted() const;

    [[nodiscard]] std::size_t errors() const noexcept { return errors_; }
    [[nodiscard]] std::size_t warnings() const noexcept { return all_.size() - errors_; }

    /// Throws Errors with all problems (warnings too) if there is at least one error.
    void throw_if_any() const;

    /// Texts that were read before: this reading takes them, by their paths, in place of what the
    /// disk holds by now.
    void keep(std::vector<SourceFile> files) { kept_ = std::move(files); }
    /// nullptr: the file has not been read before.
    [[nodiscard]] const SourceFile* kept(std::string_view path) const;

  private:
    std::vector<SourceFile> kept_;
    std::vector<Problem> all_;
    std::size_t errors_ = 0;
};

/// Every problem of a reading. what() holds one line for each; place() and expected() are the
/// first error's.
class Errors : public Error {
  public:
    explicit Errors(std::vector<Problem> problems);
    [[nodiscard]] const std::vector<Problem>& problems() const noexcept { return problems_; }

  private:
    std::vector<Problem> problems_;
};

/// The candidate nearest to `word` by the Damerau-Levenshtein distance (F. J. Damerau, Comm. ACM 7
/// (1964) 171; optimal string alignment), blind to case and to '-' against '_'. Empty if none is
/// near enough to be a slip: at most one edit for each three letters of the longer word, or one
/// beginning or ending with the other.
[[nodiscard]] std::string nearest(std::string_view word,
                                  const std::vector<std::string>& candidates);

/// "did you mean 'inner_diameter'?", or without a near one the list "known: a, b, c" (at most
/// eight names); empty if there are no candidates.
[[nodiscard]] std::string suggest(std::string_view word,
                                  const std::vector<std::string>& candidates);

}  // namespace lapheat::scenario
