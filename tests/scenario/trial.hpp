// A placement of the demo car with a few lines changed, read as a file would be.
#pragma once

#include <unistd.h>

#include <filesystem>
#include <fstream>
#include <string>
#include <vector>

#include "lapheat/scenario/scenario.hpp"

namespace trial {

/// A file that extends a placement of the demo car; gone when this is.
class File {
  public:
    explicit File(const std::string& changes, const std::string& placement = "under_floor")
        : path_(std::filesystem::temp_directory_path() /
                ("lapheat_trial_" + std::to_string(getpid()) + ".toml")) {
        std::ofstream(path_) << "extends = \"" << LAPHEAT_SOURCE_DIR << "/scenarios/placements/"
                             << placement << ".toml\"\nplacement = \"trial\"\ncycles = []\n"
                             << changes;
    }
    File(const File&) = delete;
    File& operator=(const File&) = delete;
    ~File() { std::filesystem::remove(path_); }
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

  private:
    std::filesystem::path path_;
};

/// The changes begin on this line of the file.
inline constexpr std::size_t first_line = 4;

inline lapheat::scenario::Scenario read(const std::string& changes,
                                        const std::string& placement = "under_floor") {
    const File file(changes, placement);
    return lapheat::scenario::read(file.path());
}

/// Every problem as "line of the changes: key: what", or one line "none".
inline std::vector<std::string> problems(const std::string& changes,
                                         const std::string& placement = "under_floor") {
    const File file(changes, placement);
    std::vector<std::string> out;
    try {
        (void)lapheat::scenario::read(file.path());
    } catch (const lapheat::scenario::Errors& e) {
        for (const auto& p : e.problems()) {
            const bool here = p.place.file == file.path().string();
            out.push_back((here ? std::to_string(p.place.line + 1 - first_line) : p.place.file) +
                          ": " + p.key + ": " + p.found);
        }
    }
    if (out.empty()) out.emplace_back("none");
    return out;
}

}  // namespace trial
