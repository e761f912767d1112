#include "log_text.hpp"

#include <csv.h>
#include <fmt/format.h>
#include <iconv.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <system_error>

#include "lapheat/units/error.hpp"
#include "lapheat/units/utf8.hpp"

namespace lapheat::scenario {
namespace {

constexpr std::size_t block = std::size_t{1} << 18U;

/// Without a character that is cut off at the end.
std::string_view whole_characters(std::string_view text) {
    for (std::size_t back = 1; back <= std::min<std::size_t>(3, text.size()); ++back) {
        const auto byte = static_cast<unsigned char>(text[text.size() - back]);
        if ((byte & 0xC0U) == 0x80U) continue;
        const std::size_t bytes = byte >= 0xF0U ? 4 : byte >= 0xE0U ? 3 : byte >= 0xC0U ? 2 : 1;
        return bytes > back ? text.substr(0, text.size() - back) : text;
    }
    return text;
}

bool valid_utf8(std::string_view text) {
    std::size_t length = 1;
    for (std::size_t at = 0; at < text.size() && length > 0; at += length)
        length = units::utf8_length(text, at);
    return length > 0;
}

/// Of the first bytes; throws Error for what is no text.
std::string encoding_of(std::string_view raw, const std::string& file) {
    if (raw.starts_with("\xFF\xFE")) return "UTF-16LE";
    if (raw.starts_with("\xFE\xFF")) return "UTF-16BE";
    if (raw.starts_with("\xEF\xBB\xBF")) return "UTF-8";
    if (raw.starts_with("\x1F\x8B") || raw.starts_with("PK\x03\x04") || raw.starts_with("BZh") ||
        raw.starts_with("\xFD"
                        "7zXZ") ||
        raw.starts_with("\x28\xB5\x2F\xFD"))
        throw Error("is compressed", "a text file: unpack it first", {file});
    const std::string_view head = raw.substr(0, 4096);
    const auto zeros = static_cast<std::size_t>(std::ranges::count(head, '\0'));
    if (zeros > 0) {
        // Two bytes a character without a mark: zeros stand at odd or at even places alone.
        std::size_t odd = 0;
        for (std::size_t i = 1; i < head.size(); i += 2) odd += head[i] == '\0' ? 1U : 0U;
        if (odd * 10 >= head.size() * 4 && odd == zeros) return "UTF-16LE";
        if (odd == 0 && zeros * 10 >= head.size() * 4) return "UTF-16BE";
        throw Error("holds bytes that are no text", "a table as text, such as CSV", {file});
    }
    return valid_utf8(whole_characters(raw)) ? "UTF-8" : "WINDOWS-1252";
}

}  // namespace

LogText::LogText(const std::filesystem::path& file) : name_(file.string()) {
    std::error_code why;
    const auto status = std::filesystem::status(file, why);
    if (why || !std::filesystem::exists(status))
        throw Error("cannot be opened: " + std::string{std::strerror(why ? why.value() : ENOENT)},
                    "a logger's file", {name_});
    if (!std::filesystem::is_regular_file(status))
        throw Error("is no regular file", "a logger's file", {name_});
    in_.open(file, std::ios::binary);
    if (!in_)
        throw Error("cannot be opened: " + std::string{std::strerror(errno)}, "a logger's file",
                    {name_});
    raw_.resize(block);
    in_.read(raw_.data(), static_cast<std::streamsize>(block));
    raw_.resize(static_cast<std::size_t>(in_.gcount()));
    if (raw_.empty()) throw Error("is empty", "a logger's file", {name_});
    encoding_ = encoding_of(raw_, name_);
    if (raw_.starts_with("\xEF\xBB\xBF")) raw_.erase(0, 3);
    if (raw_.starts_with("\xFF\xFE") || raw_.starts_with("\xFE\xFF")) raw_.erase(0, 2);
    kept_ = raw_.size();
    if (encoding_ == "UTF-8") return;
    const iconv_t made = iconv_open("UTF-8", encoding_.c_str());
    if (made == reinterpret_cast<iconv_t>(-1))
        throw Error("is in " + encoding_ + ", which this machine cannot convert", "UTF-8", {name_});
    converter_ = made;
}

LogText::~LogText() {
    if (converter_ != nullptr) iconv_close(static_cast<iconv_t>(converter_));
}

std::string_view LogText::next() {
    if (kept_ < block) {
        raw_.resize(block);
        in_.read(raw_.data() + kept_, static_cast<std::streamsize>(block - kept_));
        raw_.resize(kept_ + static_cast<std::size_t>(in_.gcount()));
        if (in_.bad()) throw Error("cannot be read to its end", {}, {name_});
    }
    kept_ = 0;
    if (converter_ == nullptr) {
        out_ = raw_;
        return out_;
    }
    out_.resize(3 * raw_.size() + 16);
    char* from = raw_.data();
    std::size_t left = raw_.size();
    char* to = out_.data();
    std::size_t room = out_.size();
    while (left > 0) {
        if (iconv(static_cast<iconv_t>(converter_), &from, &left, &to, &room) !=
            static_cast<std::size_t>(-1))
            break;
        if (errno == EINVAL && in_) break;  // a character goes on in the next block
        // No character of this encoding: one unit becomes a question mark.
        *to++ = '?', --room;
        const std::size_t unit =
            std::min<std::size_t>(left, encoding_.starts_with("UTF-16") ? 2 : 1);
        from += unit, left -= unit;
    }
    out_.resize(out_.size() - room);
    raw_.erase(0, raw_.size() - left);
    kept_ = left;
    return out_;
}

struct LogRows::Parser {
    csv_parser csv{};
    Row row;
    std::vector<std::string> fields;
    std::size_t used = 0;  ///< of `fields`, whose strings are used again
    std::size_t line = 1, began = 1;
    bool after_return = false;

    void field(std::string_view text) {
        if (used == fields.size()) fields.emplace_back();
        fields[used++].assign(text);
    }
    void end(int by) {
        const bool blank = used == 0 || (used == 1 && fields[0].empty());
        if (!blank) {
            fields.resize(used);
            row(fields, began);
        }
        used = 0;
        // "\r\n" is one end of a line.
        if (by == '\n') line += after_return ? 0 : 1;
        if (by == '\r') ++line;
        after_return = by == '\r';
        began = line;
    }
};

LogRows::LogRows(char separator, Row row) : parser_(new Parser) {
    parser_->row = std::move(row);
    if (csv_init(&parser_->csv, CSV_REPALL_NL) != 0) {
        delete parser_;
        throw Error("no memory for a logger's file");
    }
    csv_set_delim(&parser_->csv, static_cast<unsigned char>(separator));
    // A blank is libcsv's tab as well, which may be the separator.
    csv_set_space_func(&parser_->csv, [](unsigned char c) -> int { return c == ' ' ? 1 : 0; });
}

LogRows::~LogRows() {
    csv_free(&parser_->csv);
    delete parser_;
}

namespace {
template <class Parser>
void on_field(void* text, std::size_t size, void* data) {
    static_cast<Parser*>(data)->field({static_cast<const char*>(text), size});
}
template <class Parser>
void on_row(int by, void* data) {
    static_cast<Parser*>(data)->end(by);
}
}  // namespace

void LogRows::feed(std::string_view text) {
    if (csv_parse(&parser_->csv, text.data(), text.size(), on_field<Parser>, on_row<Parser>,
                  parser_) != text.size())
        throw Error(csv_strerror(csv_error(&parser_->csv)));
}

void LogRows::finish() { csv_fini(&parser_->csv, on_field<Parser>, on_row<Parser>, parser_); }

}  // namespace lapheat::scenario
