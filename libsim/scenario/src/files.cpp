#include "files.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>

#include "lapheat/units/utf8.hpp"

namespace lapheat::scenario {

std::string read_file(const std::filesystem::path& path, std::string& text) {
    std::error_code failed;
    const auto status = std::filesystem::status(path, failed);
    if (failed || status.type() == std::filesystem::file_type::not_found) {
        return failed ? failed.message() : "no such file";
    }
    if (status.type() == std::filesystem::file_type::directory) return "it is a folder";
    errno = 0;
    std::ifstream in(path, std::ios::binary);
    if (!in) return errno != 0 ? std::strerror(errno) : "it cannot be opened";
    constexpr std::size_t most = std::size_t{256} << 20U;
    text.clear();
    char buffer[65536];
    while (in.read(buffer, sizeof buffer), in.gcount() > 0) {
        text.append(buffer, static_cast<std::size_t>(in.gcount()));
        if (text.size() > most) return "it is larger than 256 MiB";
    }
    return in.bad() ? "reading failed" : "";
}

namespace {

constexpr const char* save_as = "save it as UTF-8, which editors offer where they save";

}  // namespace

NotText not_text(std::string_view text) {
    using namespace std::string_view_literals;
    if (text.starts_with("\xff\xfe\0\0"sv) || text.starts_with("\0\0\xfe\xff"sv))
        return {"it is UTF-32 text", save_as};
    if (text.starts_with("\xff\xfe"sv) || text.starts_with("\xfe\xff"sv))
        return {"it is UTF-16 text", save_as};
    if (text.starts_with("\x89HDF"sv))
        return {"it is an HDF5 file", "`lapheat show` reads results"};
    if (text.starts_with("PK\x03\x04"sv) || text.starts_with("{\\rtf"sv) ||
        text.starts_with("\xd0\xcf\x11\xe0"sv))
        return {"it is a document of a word processor or spreadsheet, or an archive",
                "save it as plain text"};
    std::size_t line = 1, column = 1;
    for (std::size_t at = 0; at < text.size();) {
        if (text[at] == '\0')
            return at == 1 || at == 0 ? NotText{"it is UTF-16 text", save_as}
                                      : NotText{"it holds a NUL, as no text does", save_as};
        const std::size_t length = units::utf8_length(text, at);
        if (length == 0)
            return {"it is not UTF-8 text", std::string(save_as) + "; it may be Windows-1252 now",
                    line, column};
        column = text[at] == '\n' ? 1 : column + 1;
        line += text[at] == '\n' ? 1 : 0;
        at += length;
    }
    return {};
}

std::string read_file(const std::filesystem::path& path, std::string& text,
                      const Problems& problems) {
    const SourceFile* kept = problems.kept(path.string());
    if (kept == nullptr) return read_file(path, text);
    text = kept->text;
    return {};
}

}  // namespace lapheat::scenario
