// A file on the way between a library that wants one and Python, which wants bytes.
#pragma once

#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <utility>

#include "module.hpp"

namespace lapheat::python {

/// The place of a file, alone in a folder that is there as long as this.
class Scratch {
  public:
    explicit Scratch(std::string name) : name_(std::move(name)) {
        const py::object tempfile = py::module_::import("tempfile");
        folder_ = tempfile.attr("mkdtemp")("", "lapheat-").cast<std::string>();
    }
    /// With these bytes in it.
    Scratch(std::string name, const py::bytes& bytes) : Scratch(std::move(name)) {
        std::ofstream(file(), std::ios::binary) << std::string(bytes);
    }
    Scratch(const Scratch&) = delete;
    Scratch& operator=(const Scratch&) = delete;
    ~Scratch() {
        std::error_code ignored;
        std::filesystem::remove_all(folder_, ignored);
    }
    [[nodiscard]] std::filesystem::path file() const { return folder_ / name_; }
    [[nodiscard]] py::bytes bytes() const {
        std::ifstream in(file(), std::ios::binary);
        return std::string(std::istreambuf_iterator<char>(in), {});
    }

  private:
    std::string name_;
    std::filesystem::path folder_;
};

}  // namespace lapheat::python
