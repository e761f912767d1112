// A folder for a test's files, and what is in it.
#pragma once

#include <unistd.h>

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

#include "lapheat/units/error.hpp"

namespace files {

namespace fs = std::filesystem;

/// Of its own for each test, removed at its end.
struct Folder {
    fs::path path;
    Folder() {
        std::string name = (fs::temp_directory_path() / "lapheat_results_XXXXXX").string();
        REQUIRE(::mkdtemp(name.data()) != nullptr);
        path = name;
    }
    ~Folder() { fs::remove_all(path); }
    Folder(const Folder&) = delete;
    Folder& operator=(const Folder&) = delete;
};

inline std::string content(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
}

inline std::size_t files_in(const fs::path& folder) {
    return static_cast<std::size_t>(std::distance(fs::directory_iterator(folder), {}));
}

/// What it throws; a failed test if it throws nothing.
template <class F>
lapheat::Error error_of(F&& f) {
    try {
        f();
    } catch (const lapheat::Error& e) {
        return e;
    }
    FAIL("nothing was thrown");
    return lapheat::Error("");
}

}  // namespace files
