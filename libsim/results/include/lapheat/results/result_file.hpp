// Results of simulations as HDF5, and back. Layout 2, which the README repeats; layout 1, with
// series of 64 bits, is read as well:
//
//   /                   attributes format = "lapheat result", layout = 2, Conventions, title,
//   source, history (CF),
//                       car, placement, summary, cycle, lapheat and hdf5 (versions)
//   /time               s, a dimension scale, attached to every series
//   /car/speed, /loops/<loop>/<part>/temperature, /cores/<core>/heat, /fans/<fan>/…, /air/…, …
//                       one series each over time, with `units` (UDUNITS text of an SI unit) and
//                       `long_name`, in 32 bits of which 15 of a mantissa are kept for a
//                       temperature (8 mK from -17 to 238 degC) and 13 for others; where the path
//                       does not say it `group` and `name`; every group also holds a link to /time,
//                       so that it opens alone
//   /events             time (s), kind, subject, value (K; 0 if none), over the scale `event`
//   /ledger             direction ("in", "out", "stored"), joules over the scale `name`; attributes
//                       moved (J) and closure (of the heat moved)
//   /verdicts           one dataset for each number of a verdict (SI), over the scale `loop`
//   /lines              every part that costs pressure: loop, run, part, kind, size, flow,
//   velocity,
//                       reynolds, pressure_loss, share, peaks (SI), over the scale `line`
//   /pumps              suction margins (m), lowest inlet pressure, times, over the scale `number`
//   /fan_duty           claim, flow, flow_peak (m³/s), duty, power over the scale `fan`
//   /assumed            value, low, high (SI), quantity (a flag, with flag_meanings), why over the
//                       scale `key`
//   /limits             caution, limit, boiling_reserve (K; 0: none), part, note, over `loop`
//   /phases             start (s), over the scale `phase`; name
//   /totals             distance, duration, fan_energy, peak_fan_current, peak_current,
//                       idle_capacity, current_shortfall, battery_charge (A s)
//   /cost               wall_seconds, rhs_calls, steps, …: how dear the run was
//   /notes              `warning` and `assumption`: lists of sentences (scales); over the warnings
//                       `code`, `subject`, name_1, value_1 with quantity_1 and so on: what each
//                       is made of; over the assumptions `key_length`: how many bytes of
//                       each are what a file would call it, 0 for a remark
//   /scenario           text over the scale `file`: every file that was read, as it was
//
// A file with several runs (studies, comparisons) has /runs/<placement>/<cycle>, and each of those
// groups holds the above, attributes included; `scenario` is then at the root only. Words in
// paths are lower case, with '_' for what is no letter, digit, '-', '.' or '+'.
//
// The file is written beside its place and renamed (see Hdf5Writer). All functions throw Error.
#pragma once

#include <cstdint>
#include <filesystem>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/model/limits.hpp"
#include "lapheat/model/result.hpp"
#include "lapheat/results/fields.hpp"
#include "lapheat/results/hdf5_file.hpp"

namespace lapheat::model {
struct Car;
}

namespace lapheat::results {

/// What a data set holds, as the CF conventions (1.11) say it: units, which of the two meanings of
/// kelvins, long_name.
[[nodiscard]] Attributes described(Unit unit, const std::string& words);
/// What the root of every file says of itself: Conventions, source, history and version.
[[nodiscard]] Attributes origin_attributes();

/// A text that the run was made from.
struct TextFile {
    std::string path;
    std::string text;
};

/// The limits of one loop, as the scenario has them.
struct LoopLimits {
    std::string loop;
    model::Limits limits;
};

/// Where a result comes from, for the file.
struct Provenance {
    std::vector<TextFile> files;
    std::vector<LoopLimits> limits;
    bool exact = false;  ///< series in 64 bits, not rounded
};

[[nodiscard]] std::vector<LoopLimits> limits_of(const model::Car& car);

/// One run to one file, whole or not at all.
void write_result(const std::filesystem::path& target, const model::Result& result,
                  const Provenance& origin = {});

/// The first or only run of a file.
[[nodiscard]] model::Result read_result(const std::filesystem::path& file);

// Several runs in one file. `root` is "" for the file itself or a path as run_path() makes it.

/// "/runs/<placement>/<cycle>" with words fit for a path.
[[nodiscard]] std::string run_path(const model::Result& result);
void put_result(Hdf5Writer& writer, const std::string& root, const model::Result& result,
                const std::vector<LoopLimits>& limits = {}, bool exact = false);
void put_texts(Hdf5Writer& writer, std::span<const TextFile> files);
/// Many runs to one file, each in the group of its run_path(), a second of one name with "-2"
/// behind it. `limits`: of each run. Whole or not at all.
void write_results(const std::filesystem::path& target, std::span<const model::Result> results,
                   std::span<const std::vector<LoopLimits>> limits,
                   std::span<const TextFile> files);
/// The roots of all runs in the file, in the order written; {""} for a file of one run. Throws
/// Error for a file that holds none.
[[nodiscard]] std::vector<std::string> run_roots(const Hdf5Reader& reader);
[[nodiscard]] model::Result get_result(const Hdf5Reader& reader, const std::string& root = {});
[[nodiscard]] std::vector<LoopLimits> get_limits(const Hdf5Reader& reader,
                                                 const std::string& root = {});
[[nodiscard]] std::vector<TextFile> get_texts(const Hdf5Reader& reader);

/// "the rear, long lines" as a word for paths and file names: "the_rear_long_lines"; "unnamed" if
/// nothing is left. At most 80 bytes.
[[nodiscard]] std::string path_word(std::string_view text);

/// The version of this library, "0.1.0".
[[nodiscard]] const char* version() noexcept;

}  // namespace lapheat::results
