#include "lapheat/results/text_file.hpp"

#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <fstream>
#include <string>

#include "lapheat/units/error.hpp"

namespace lapheat::results {

void write_text(const std::filesystem::path& target, std::string_view text) {
    std::filesystem::path part = target;
    part += ".part-" + std::to_string(::getpid());
    errno = 0;
    std::error_code failed;
    bool written = false;
    {
        std::ofstream out(part, std::ios::binary | std::ios::trunc);
        out.write(text.data(), static_cast<std::streamsize>(text.size()));
        out.close();
        written = out.good();
    }
    const std::string why = std::strerror(errno);
    if (written) std::filesystem::rename(part, target, failed);
    if (written && !failed) return;
    std::error_code ignored;
    std::filesystem::remove(part, ignored);
    throw Error("cannot write '" + target.string() + "': " + (failed ? failed.message() : why),
                "a folder that can be written to", {target.string(), 0, 0});
}

}  // namespace lapheat::results
