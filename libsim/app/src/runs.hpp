// What run and compare share: reading before anything is written, and files for results.
#pragma once

#include <filesystem>
#include <functional>
#include <memory>
#include <optional>
#include <set>
#include <stdexcept>
#include <string>
#include <vector>

#include "console.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/holding.hpp"
#include "progress.hpp"

namespace lapheat::app {

struct HoldingRequest;

/// Reads all placements, so that every error of every file is known at once. Warnings are shown
/// unless `quiet`. Throws scenario::Errors with all problems; Error for a scenario without cycles.
[[nodiscard]] std::vector<scenario::Scenario> read_all(const Common& common,
                                                       const std::vector<std::string>& files,
                                                       const std::vector<std::string>& cycles);

[[nodiscard]] results::Provenance origin_of(const scenario::Scenario& scenario);

/// Throws Error if `target` could not be written in the end, before anything is driven; empty is
/// fine.
void require_target(const std::filesystem::path& target, const char* option);
/// Makes the folder, one that results can be written to. Throws Error.
void make_folder(const std::filesystem::path& folder);

/// "<folder>/<placement>-<cycle>.h5", numbered if `taken` in this call has it already.
[[nodiscard]] std::filesystem::path result_path(const std::filesystem::path& folder,
                                                const model::Result& result,
                                                std::set<std::string>& taken);

/// Where draws are kept in a folder of results.
inline constexpr const char* draws_file = "draws.h5";

/// What --draws asks for: nothing for none, 0 for enough. Throws Error.
[[nodiscard]] std::optional<std::size_t> draws_of(const std::string& text);

/// The same of what has no end that is enough; 0 for none. `what` ("a size") is named where such is
/// asked for. Throws Error.
[[nodiscard]] std::size_t counted_draws(const std::string& text, const char* what);

/// What is asked of something that must hold, as options; interrupted() ends it. `what`: as in
/// counted_draws(). Throws Error.
void take(const HoldingRequest& request, const char* what, study::HoldingOptions& options);

/// The draws of an earlier call in this folder; nullptr if there are none of this comparison.
[[nodiscard]] std::shared_ptr<const study::DrawTable> earlier_draws(
    const std::filesystem::path& folder, const std::vector<scenario::Scenario>& scenarios,
    std::uint64_t series);

/// The report on draws.
void print_certainty(const study::Comparison& comparison, const results::Style& style);

/// A run that could not be finished: exit code 1, unlike errors in the input.
class RunFailure : public std::runtime_error {
  public:
    using std::runtime_error::runtime_error;
};

/// True if some network solve of a run did not converge: complained of, and no answer to trust.
[[nodiscard]] bool unsettled(const std::vector<model::Result>& runs);

/// True if a verdict of any run has a fluid over its limit.
[[nodiscard]] bool any_over(const std::vector<model::Result>& runs);

/// A callback that moves `progress` (of 1000 steps for `total` pieces of work) as piece `index` is
/// done by a fraction.
[[nodiscard]] std::function<void(double)> moves(Progress& progress, std::size_t& shown,
                                                std::size_t index, std::size_t total);

}  // namespace lapheat::app
