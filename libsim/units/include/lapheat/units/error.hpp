// The one error type that leaves the library: what went wrong, where, and what was expected.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <stdexcept>
#include <string>
#include <utility>

namespace lapheat {

enum class Code : std::uint16_t;
struct Diagnostic;

/// A place in a text file. Lines and columns count from 1; 0 means "not known".
struct FilePlace {
    std::string file;
    std::size_t line = 0;
    std::size_t column = 0;
};

/// Thrown for input that cannot be used. `what()` is one line a person can act on, without the
/// place; rooms that know the place (scenario, results) fill it in. An error that code must tell
/// from others, or that holds numbers, carries a Diagnostic: see diagnostic.hpp.
class Error : public std::runtime_error {
  public:
    explicit Error(const std::string& message, std::string expected = {}, FilePlace place = {},
                   std::string key = {}, std::string found = {})
        : std::runtime_error(message),
          expected_(std::move(expected)),
          place_(std::move(place)),
          key_(std::move(key)),
          found_(std::move(found)) {}
    /// what() and expected() are its words in SI; words() gives them in other units.
    explicit Error(const Diagnostic& diagnostic, FilePlace place = {}, std::string key = {});

    [[nodiscard]] const std::string& expected() const noexcept { return expected_; }
    [[nodiscard]] const FilePlace& place() const noexcept { return place_; }
    [[nodiscard]] const std::string& key() const noexcept { return key_; }
    /// The name that stands at the key and cannot be used; empty if it is not that.
    [[nodiscard]] const std::string& found() const noexcept { return found_; }
    /// Code::bad_input if it carries no diagnostic.
    [[nodiscard]] Code code() const noexcept;
    /// nullptr if what() is all there is.
    [[nodiscard]] const std::shared_ptr<const Diagnostic>& diagnostic() const noexcept {
        return diagnostic_;
    }

  private:
    std::string expected_;
    FilePlace place_;
    std::string key_, found_;
    std::shared_ptr<const Diagnostic> diagnostic_;
};

}  // namespace lapheat
