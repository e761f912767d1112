// A logger's file as text: bytes of any usual encoding to UTF-8 by blocks, and what sort of table
// it is, from its beginning.
#pragma once

#include <filesystem>
#include <fstream>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

namespace lapheat::scenario {

/// Hands out a file's text as UTF-8, block by block.
class LogText {
  public:
    /// Throws Error: not there, not a regular file, compressed, binary.
    explicit LogText(const std::filesystem::path& file);
    LogText(const LogText&) = delete;
    LogText& operator=(const LogText&) = delete;
    ~LogText();

    [[nodiscard]] const std::string& encoding() const { return encoding_; }
    /// The next block, empty at the end. Valid until the next call.
    std::string_view next();

  private:
    std::string name_;
    std::ifstream in_;
    std::string encoding_;
    void* converter_ = nullptr;  ///< iconv_t; nullptr when bytes are UTF-8 already
    std::string raw_, out_;
    std::size_t kept_ = 0;  ///< bytes of raw_ left over from the block before
};

/// Splits text into rows of fields by libcsv; a row is handed over as soon as its end is seen.
class LogRows {
  public:
    /// Called with the fields of a row that is not blank, and the line it begins in.
    using Row = std::function<void(std::vector<std::string>& fields, std::size_t line)>;
    LogRows(char separator, Row row);
    LogRows(const LogRows&) = delete;
    LogRows& operator=(const LogRows&) = delete;
    ~LogRows();
    void feed(std::string_view text);
    void finish();

  private:
    struct Parser;
    Parser* parser_;
};

struct LogShape {
    enum class Layout { columns, long_form, stamp_each };
    char separator = ',';
    bool decimal_comma = false;
    std::size_t names = 0;  ///< index of the header's row among the rows that are not blank
    bool has_names = false;
    std::size_t first_data = 0;                    ///< index of the first row of data
    std::size_t fields = 0;                        ///< usual number of them
    std::vector<std::string> columns, units;       ///< as the header has them; units may be empty
    std::size_t names_line = 0;                    ///< counts from 1
    std::vector<std::vector<std::string>> sample;  ///< rows of data from the beginning
};

/// From the file's beginning. Throws Error if it is no table.
[[nodiscard]] LogShape shape_of(std::string_view beginning, const std::string& file);

}  // namespace lapheat::scenario
