// What a sweep has done so far, on the disk: a record for each point at its place in a file, whole
// or not at all, each with its check sum.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

namespace lapheat::study {

class SweepStore {
  public:
    /// Opens or makes `file`. Throws Error if it belongs to something else, or to a sweep that
    /// goes on in another process.
    SweepStore(std::filesystem::path file, std::uint64_t fingerprint, std::size_t points,
               std::size_t numbers);
    ~SweepStore();
    SweepStore(const SweepStore&) = delete;
    SweepStore& operator=(const SweepStore&) = delete;

    [[nodiscard]] bool has(std::size_t point) const { return done_[point] != 0; }
    /// From any thread; each point by one of them.
    void put(std::size_t point, const std::vector<double>& numbers, const std::string& text);
    /// The numbers of a point that is there; `text` what was said of it, its first bytes.
    [[nodiscard]] std::vector<double> get(std::size_t point, std::string& text) const;
    void remove();

  private:
    [[nodiscard]] std::uint64_t sum_of(const std::vector<char>& record, std::size_t point) const;
    [[nodiscard]] bool read(std::size_t point, std::vector<char>& record) const;

    std::filesystem::path file_;
    std::uint64_t fingerprint_;
    std::size_t numbers_, record_;
    std::vector<char> done_;
    int descriptor_ = -1;
};

}  // namespace lapheat::study
