// What can be bought of one part, as the builder's own table: CSV with a row for each thing on
// offer. Its first row names the columns:
//
//     what, width [mm], height [mm], depth [mm], passages, price [EUR], notes
//     plate cooler 280, 280, 210, 38, 20, 96, two weeks
//
//   what          by what name it is bought; needed
//   price         of one, or of a metre or foot: price [EUR], price [USD/ft]; needed
//   claim         what the seller promises: the free flow of a fan, the heat of a rated core
//   notes         for the shopping list
//   size          of a line, as sold: -8, 5/16 inch
//   overall_width, overall_height, overall_depth    with tanks and brackets, for the space it needs
//   any other     a key of the part's table in a car's file; of fans also flow, pressure; of lines
//                 bore
//
// Units stand in the heading or in each cell ("280 mm"). Commas, semicolons (with decimal commas or
// points) or tabs; UTF-8, UTF-16 or Windows-1252, as spreadsheets write them.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "lapheat/scenario/scenario.hpp"

namespace lapheat::scenario {

struct OfferedPart {
    std::string what, notes;
    double price = 0;                                     ///< of one, or of a metre
    std::optional<double> claim;                          ///< SI
    std::vector<std::pair<std::string, double>> numbers;  ///< keys of the part's table, SI
    std::array<double, 3> overall{};                      ///< m, width, height, depth; 0: not said
    FilePlace place;
};

struct PartsList {
    std::string part;      ///< "cooler", "fan", ... as asked for
    std::string currency;  ///< "EUR"; empty: not said
    bool per_metre = false;
    std::vector<OfferedPart> offers;  ///< as listed
    SourceFile source;
};

/// Reads the offers of a part (see tables_of_part()) for a car that has it. What is wrong goes to
/// `problems` with line and column: an unknown or repeated column, no price, a wrong unit, a value
/// that its key does not allow.
[[nodiscard]] PartsList read_parts_list(const std::filesystem::path& file, const std::string& part,
                                        const Scenario& car, Problems& problems);

/// What an offer makes of a car's numbers, for car_with(), with what follows them. Empty for a car
/// without that part.
[[nodiscard]] std::vector<std::pair<std::string, double>> fitted(const Scenario& car,
                                                                 const PartsList& list,
                                                                 const OfferedPart& offer);
/// Of how many of it, or of how many metres, the car takes; 0 for a car without that part.
[[nodiscard]] double amount_needed(const Scenario& car, const PartsList& list);

}  // namespace lapheat::scenario
