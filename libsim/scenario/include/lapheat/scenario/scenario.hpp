// A scenario file made into what the model room works with: one car with its placement, and the
// cycles it is to be driven through. The keys are listed in the README; `lapheat new` writes a
// commented example.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/scenario/document.hpp"
#include "lapheat/scenario/number.hpp"
#include "lapheat/scenario/reader.hpp"

namespace lapheat::scenario {

/// A number of [fitted]. Its value and doubt stand in the car already; what is left is how it goes
/// together with others: `correlation` of the standard scores.
struct FittedTogether {
    std::string of, name;             ///< as model::CarAssumption has them
    std::vector<double> correlation;  ///< with each before it; missing ones are 0
};
struct Tree;

struct Scenario {
    model::Car car;
    std::vector<drive::Cycle> cycles;
    std::vector<SourceFile> files;        ///< every text that was read, for the result
    std::vector<Assumption> assumptions;  ///< defaults that were used
    std::vector<StatedDoubt> doubts;      ///< of numbers that state theirs
    std::vector<FittedTogether> fitted;   ///< empty unless the file has [fitted]
    std::vector<Number> numbers;          ///< of the car's files, see number.hpp
    std::shared_ptr<const Tree> tree;     ///< what car_with() builds from
    std::vector<Problem> warnings;
};

/// Reads a car or placement file and the cycles it lists. `cycles`, if not empty, are read in
/// place of those. Throws Errors with all problems of all files.
[[nodiscard]] Scenario read(const std::filesystem::path& file,
                            const std::vector<std::filesystem::path>& cycles = {});

/// The same from a document that was loaded, perhaps changed by Document::with(). Paths in it are
/// relative to `folder`. `kept`: texts of an earlier reading, taken in place of what those files
/// hold by now, so that a variant differs from its original in what was changed alone.
[[nodiscard]] Scenario read(const Document& document, const std::filesystem::path& folder,
                            const std::vector<std::filesystem::path>& cycles = {},
                            std::vector<SourceFile> kept = {});

/// read(file) of a document that load() gave already, with what it found: told together with what
/// the reading finds. Throws Errors.
[[nodiscard]] Scenario read_loaded(const Document& document, Problems problems,
                                   const std::filesystem::path& folder,
                                   const std::vector<std::filesystem::path>& cycles = {});

/// The system of units in which a car's file, or one that it extends, asks its reports to be shown;
/// nothing where it does not say, or cannot be read, which who reads it will tell.
[[nodiscard]] std::optional<units::System> system_of(const std::filesystem::path& file);
/// The same of texts that were read, the outermost first.
[[nodiscard]] std::optional<units::System> system_of(const std::vector<SourceFile>& files);

/// Reads one cycle file. Courses need the car that drives them. Throws Errors.
[[nodiscard]] drive::Cycle read_cycle(const std::filesystem::path& file,
                                      const drive::Vehicle& vehicle);

/// Reads only the cores of a file with the fluids that flow in them, for rating: pairs of the core
/// entry and the name of the fluid in `[fluids]` that each core's table names. Throws Errors.
struct RatingSheet {
    model::CoreEntry entry;
    fluids::Liquid first;
    bool second_is_air = true;
    fluids::Liquid second;  ///< when not air
};
[[nodiscard]] std::vector<RatingSheet> read_cores(const std::filesystem::path& file);

/// Reads only the fluids of a file, by name, with what its data sheets override. Throws Errors.
[[nodiscard]] std::map<std::string, fluids::Liquid> read_fluids(const std::filesystem::path& file);

}  // namespace lapheat::scenario
