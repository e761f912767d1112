// A car over a grid of values of its numbers, or over points spread evenly between their ends, into
// one HDF5 file that xarray opens with what is varied as named dimensions.
//
// A point is the car with its numbers changed, built anew and driven through every cycle exactly as
// a single run is: the same bits. What is done is kept in `<file>.going` beside the target, point
// by point, so that a sweep that was stopped, or killed, goes on where it was; at the end the file
// is written whole and the other removed. Memory does not grow with the number of points but for
// some bytes of each that is still to do.
//
//   /<axis> …             a scale for each of a grid, SI; of points: /point, and each axis over it
//   /cycle, /loop         names
//   /margin, /peak (K), /flow (m3/s), /holds (0, 1)    over the axes, cycle and loop
//   /fan_energy (J), /fan_current (A), /hottest (K)    over the axes and cycle
//   /failed               over the axes: 1 where the car could not be built or driven
//   /failure, /failure_point                            what was said of those, and which they are
//   attributes            content "sweep", fingerprint, car, placement, series
// Not a number: the loop is not in the car, the run failed, or `hottest` was not asked for.
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/handle.hpp"

namespace lapheat::study {

/// One thing that is varied.
struct SweepAxis {
    std::string name;  ///< of the dimension: "core_width"
    std::string words;
    units::Quantity quantity = units::Quantity::ratio;
    /// Of each cycle: the highest temperature of its air; the altitude it begins at; its steepest
    /// grade, the others in proportion (a level cycle has it all along); how long the car stands
    /// behind it with the engine idling in drive.
    enum class Of { car, ambient, altitude, grade, idle_time };
    Of of = Of::car;
    std::optional<scenario::Handle> handle;  ///< of the car
    std::vector<double> values;              ///< SI; for points the two ends
};

/// "core width", "ambient", "altitude", "grade", "idle time", or the path of a number, with SI
/// values. Throws Error.
[[nodiscard]] SweepAxis sweep_axis(const scenario::Scenario& car, std::string_view what,
                                   std::vector<double> values);
/// From one text: "core width = 240 mm, 280 mm, 320 mm" or "ambient = 20 degC to 45 degC in 6";
/// without "in" the ends alone. Throws Error with what is wrong.
[[nodiscard]] SweepAxis parse_sweep_axis(const scenario::Scenario& car, std::string_view text);

struct SweepOptions {
    std::size_t points = 0;    ///< 0: the grid; else so many, spread evenly between first and last
    std::uint64_t series = 1;  ///< of the points
    bool hottest = false;      ///< hottest ambient of each cycle: four to six more runs
    int threads = 0;
    model::Options run;  ///< progress, cancel and series in it are not used
    std::function<void(double done, std::size_t of)> progress;  ///< points; on the calling thread
    const std::atomic<bool>* cancel = nullptr;  ///< set true: what is done stays to be gone on from
};

/// What one point came to: its numbers in the order of the file's variables, `failed` last.
struct SweepPoint {
    std::vector<double> numbers;
    std::string failed;  ///< why it could not be built or driven; empty: it was
};

/// The values of the index-th point, SI, one for each axis: of a grid the last axis fastest.
[[nodiscard]] std::vector<double> sweep_values(const std::vector<SweepAxis>& axes,
                                               const SweepOptions& options, std::size_t index);
/// The cycles as a point with these values drives them. Throws Error for what they cannot be.
[[nodiscard]] std::vector<drive::Cycle> sweep_cycles(const std::vector<drive::Cycle>& cycles,
                                                     const std::vector<SweepAxis>& axes,
                                                     const std::vector<double>& values);
/// How many points there are. Throws Error for no axis, an axis without values, a grid of more than
/// 1e9 points.
[[nodiscard]] std::size_t sweep_size(const std::vector<SweepAxis>& axes,
                                     const SweepOptions& options);
/// One point alone: what batches elsewhere are made of. Throws Error only when cancelled.
[[nodiscard]] SweepPoint sweep_point(const scenario::Scenario& car,
                                     const std::vector<SweepAxis>& axes,
                                     const std::vector<double>& values, const SweepOptions& options,
                                     const std::atomic<bool>& stop);

struct SweepDone {
    std::size_t points = 0, before = 0, done = 0, failed = 0;  ///< before: by an earlier call
    std::size_t runs = 0;    ///< of a car through a cycle, of this call
    bool cancelled = false;  ///< the file is not written yet
    std::string first_failure;
    double seconds = 0;
};

/// A sweep's file as it grows, for who runs the points elsewhere: points come in any order.
class SweepFile {
  public:
    /// Makes or takes up `file`. `car` must outlive it. Throws Error for a file (or what is beside
    /// it) that is of another car, other values or another version, or in use by another process,
    /// and as sweep_size().
    SweepFile(const scenario::Scenario& car, std::vector<SweepAxis> axes,
              std::filesystem::path file, SweepOptions options);
    ~SweepFile();
    SweepFile(SweepFile&&) noexcept;
    SweepFile& operator=(SweepFile&&) noexcept;

    /// Points that are still to do, as they were when it was made.
    [[nodiscard]] const std::vector<std::uint32_t>& left() const noexcept;
    /// From any thread; each point by one of them.
    void put(std::size_t point, const SweepPoint& result);
    /// Runs what is left here. False if cancelled.
    bool run();
    /// Writes the file if all points are there.
    [[nodiscard]] SweepDone finish();

  private:
    struct State;
    std::unique_ptr<State> state_;
};

/// The three together.
[[nodiscard]] SweepDone sweep(const scenario::Scenario& car, const std::vector<SweepAxis>& axes,
                              const std::filesystem::path& file, const SweepOptions& options);

}  // namespace lapheat::study
