// What a fit found, as sentences, tables, a file and a page.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "lapheat/results/table.hpp"
#include "lapheat/study/car_fit.hpp"

namespace lapheat::study {

/// How all logs that were held back (or those fitted, if none was) come out together.
struct FitHeadline {
    bool held_back = false;
    std::size_t logs = 0;
    double rms_before = 0, rms_after = 0;  ///< K
    double inside = 0;                     ///< share of readings within the 90 % band
};
/// Of no reading at all: logs is 0.
[[nodiscard]] FitHeadline headline_of(const CarFit& fit);
[[nodiscard]] std::string headline_words(const CarFit& fit, units::System system);

/// A row for each fluid of each log.
[[nodiscard]] results::TextTable fit_score_table(const CarFit& fit, units::System system);
/// A row for each number that the logs tell of, SI: 5, 50 and 95 % before and after.
[[nodiscard]] results::TextTable fitted_number_table(const CarFit& fit);
/// Numbers of which the logs say next to nothing: they keep their ranges.
[[nodiscard]] std::vector<std::string> untold_numbers(const CarFit& fit);
/// Thermometers, the model's own error, how far the answer can be trusted, what was assumed.
[[nodiscard]] std::vector<std::string> fit_words(const CarFit& fit, units::System system);

/// As HDF5, to be looked at by other means:
///   /number        names of those fitted, told best first, a scale; over it /of, /log,
///                  /before_5, /before, /before_95, /after_5, /after, /after_95 (SI), /told
///   /correlation   over number and /with (the same names)
///   /draw, /value  the joint posterior: values (SI) over draw and number
///   /untold        numbers that keep their ranges
///   /score         a scale; over it /score_log, /score_loop, /held_back, /rms_before … (K)
///   /log_1/coolant/…   of each log and fluid over its own time (s): logged, before, after, low,
///                  high and residual (after less logged), K
///   attributes     converged, near_normal, tail, runs, notes
/// Whole or not at all. Throws Error.
void write_fit(const std::filesystem::path& target, const CarFit& fit);

/// A whole HTML 5 document, UTF-8: how logs held back come out, temperatures and residuals with
/// their bands, what the logs told and what not. Both systems of units are on it, `system` is the
/// one shown first. Reads without script or network; names are escaped.
[[nodiscard]] std::string fit_page(const CarFit& fit, const std::string& car, units::System system);

}  // namespace lapheat::study
