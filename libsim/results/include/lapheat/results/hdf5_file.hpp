// HDF5 files, written whole or not at all, and read back.
//
// Layout. Groups hold datasets; each axis of a dataset is a dimension scale (time, event, ...),
// attached by the HDF5 dimension scale API, as netCDF-4 does it. A scale used by a dataset in
// another group is hard-linked into that group, so that each group opens by itself: h5py, xarray
// (engine h5netcdf), h5dump and the tools of netCDF need no special reader; HDF5 1.10 or newer.
// Text is UTF-8 of variable length, never filtered: netCDF's library refuses the one and breaks on
// text of fixed length (4.9.0). Sets of up to 1 KiB stand in their own header, series in one
// deflated chunk. No times are stored: the same content gives the same bytes. The root carries
// `format` = "lapheat result" and `layout`.
//
// Paths are absolute, "/coolant/radiator/inlet_temperature"; groups on the way are made as needed.
// All functions throw lapheat::Error (place: the file; key: the path within it). The HDF5 library
// is not safe for several threads: every call here takes one lock for the process, so Writers and
// Readers may be used from any threads, one thread at a time each. Code that uses HDF5 by other
// means at the same time (h5py in the same process) must take its own care.
#pragma once

#include <cstddef>
#include <cstdint>
#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "lapheat/units/error.hpp"

namespace lapheat::results {

/// The layout that Hdf5Writer writes and the newest that Hdf5Reader reads.
inline constexpr std::int64_t layout_version = 2;

/// The value of no attribute. Of a variant of strings, vectors and numbers alone the library of
/// GCC 12 holds that it always has a value: where memory runs out while one is copied, it destroys
/// what was never made.
struct NoValue {
    std::string never;
};
using AttributeValue = std::variant<std::string, double, std::int64_t, std::vector<std::string>,
                                    std::vector<double>, std::vector<std::int64_t>, NoValue>;
using Attributes = std::vector<std::pair<std::string, AttributeValue>>;

/// Keeps the file in memory; commit() puts it in its place (text_file.hpp). A Hdf5Writer destroyed
/// before that removes it, and a target that was there stays as it was.
class Hdf5Writer {
  public:
    /// Throws if the folder is missing or not writable.
    explicit Hdf5Writer(std::filesystem::path target);
    ~Hdf5Writer();
    Hdf5Writer(Hdf5Writer&& other) noexcept;
    Hdf5Writer& operator=(Hdf5Writer&& other) noexcept;
    Hdf5Writer(const Hdf5Writer&) = delete;
    Hdf5Writer& operator=(const Hdf5Writer&) = delete;

    void group(std::string_view path, const Attributes& attributes = {});
    /// Sets attributes of a group or dataset that is there; "/" for the file.
    void attributes(std::string_view path, const Attributes& attributes);

    // Dimension scales: coordinates along an axis.
    void scale(std::string_view path, std::span<const double> values,
               const Attributes& attributes = {});
    void scale(std::string_view path, std::span<const std::int64_t> values,
               const Attributes& attributes = {});
    void scale(std::string_view path, std::span<const std::string> values,
               const Attributes& attributes = {});

    // Datasets over one or more scales, given by their paths; several axes row by row (the last
    // scale fastest). The number of values must be the product of the scales' lengths. Beyond 1 KiB
    // chunked, and but for text shuffled and deflated.
    void numbers(std::string_view path, std::span<const double> values,
                 const std::vector<std::string>& scales, const Attributes& attributes = {});
    /// The same rounded to `bits` of the mantissa, 1 to 23, and stored in 32 bits: a relative error
    /// of 2^-(bits + 1) at most.
    void rounded(std::string_view path, std::span<const double> values, int bits,
                 const std::vector<std::string>& scales, const Attributes& attributes = {});
    void integers(std::string_view path, std::span<const std::int64_t> values,
                  const std::vector<std::string>& scales, const Attributes& attributes = {});
    void strings(std::string_view path, std::span<const std::string> values,
                 const std::vector<std::string>& scales, const Attributes& attributes = {});

    // Single values.
    void number(std::string_view path, double value, const Attributes& attributes = {});
    void text(std::string_view path, const std::string& value, const Attributes& attributes = {});

    // A dataset that is larger than memory should be: made over its scales first, then filled from
    // `first` on along the leading one, so many whole rows as the values are.
    void rows(std::string_view path, const std::vector<std::string>& scales,
              const Attributes& attributes = {});
    void fill(std::string_view path, std::size_t first, std::span<const double> values);

    /// Flushes to the disk and renames to the target. The Hdf5Writer is finished then.
    void commit();

    [[nodiscard]] const std::filesystem::path& target() const noexcept;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

/// Reads a file written by Hdf5Writer. Throws on opening if the file is missing, truncated, not
/// HDF5, not a lapheat result, or of a newer layout.
class Hdf5Reader {
  public:
    explicit Hdf5Reader(const std::filesystem::path& file);
    ~Hdf5Reader();
    Hdf5Reader(Hdf5Reader&& other) noexcept;
    Hdf5Reader& operator=(Hdf5Reader&& other) noexcept;
    Hdf5Reader(const Hdf5Reader&) = delete;
    Hdf5Reader& operator=(const Hdf5Reader&) = delete;

    /// Names in the order in which they were written. Linked scales count as datasets.
    [[nodiscard]] std::vector<std::string> groups(std::string_view path = "/") const;
    [[nodiscard]] std::vector<std::string> datasets(std::string_view path = "/") const;
    [[nodiscard]] bool has(std::string_view path) const;

    [[nodiscard]] std::vector<std::size_t> shape(std::string_view path) const;
    /// The names of the attached scales, one for each axis; of a scale, its own name.
    [[nodiscard]] std::vector<std::string> dimensions(std::string_view path) const;
    /// All values, several axes row by row; a single value comes as one.
    [[nodiscard]] std::vector<double> numbers(std::string_view path) const;
    [[nodiscard]] std::vector<std::int64_t> integers(std::string_view path) const;
    [[nodiscard]] std::vector<std::string> strings(std::string_view path) const;
    [[nodiscard]] double number(std::string_view path) const;
    [[nodiscard]] std::string text(std::string_view path) const;
    /// Throws Error at that path unless as many values were found as what belongs to it has.
    void need_rows(std::size_t found, std::size_t expected, std::string_view path) const;

    /// Attributes of kinds other than AttributeValue's (the scales' own references) are left out.
    [[nodiscard]] Attributes attributes(std::string_view path) const;
    [[nodiscard]] std::optional<AttributeValue> attribute(std::string_view path,
                                                          std::string_view name) const;
    /// A text attribute, e.g. units; empty if absent.
    [[nodiscard]] std::string label(std::string_view path, std::string_view name) const;

  private:
    struct State;
    std::unique_ptr<State> state_;
};

}  // namespace lapheat::results
