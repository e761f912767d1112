#include "files.hpp"

#include <cerrno>
#include <cstring>
#include <fstream>

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

std::string read_file(const std::filesystem::path& path, std::string& text,
                      const Problems& problems) {
    const SourceFile* kept = problems.kept(path.string());
    if (kept == nullptr) return read_file(path, text);
    text = kept->text;
    return {};
}

}  // namespace lapheat::scenario
