// How people write quantities, before UDUNITS-2 reads them: "16 PSI", "3' 6\"", "1,050 cfm",
// "1 1/4 in", "212F", "-6AN". parse() reads all of these. What UDUNITS knows for a quantity is read
// as UDUNITS reads it; a spelling only adds to that, and where its meaning is not certain it is
// refused with what to write.
#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "lapheat/units/units.hpp"

namespace lapheat::units {

/// An example of a spelling.
struct Spelling {
    std::string_view written;
    Quantity quantity;
    /// The same in plain units, as parse() reads it too; of what is refused empty.
    std::string_view means;
};

/// Examples of what is read, and of what is refused for want of one meaning. Static storage.
[[nodiscard]] std::span<const Spelling> spellings() noexcept;

/// The system of the unit that `text` ends with: us for "24 inch", si for what is none of its
/// units.
[[nodiscard]] System written_in(std::string_view text, Quantity quantity);

/// The number of a size of hose, tube or fitting as sold: 6 of "-6", "AN-6", "-6AN", "AN 6", "6AN",
/// "#6", "-06", "JIC-6"; nothing if the text is no such size or beyond 1 to 64. What is 6/16 inch
/// of it is the business of who asks.
[[nodiscard]] std::optional<int> dash_size(std::string_view text) noexcept;

/// A bore (m) as shops know it: "9.53 mm (-6)", "3/8 inch (-6)", "1 1/4 inch (-20)"; without a size
/// where it is 4 % from the nearest.
[[nodiscard]] std::string size_as_sold(double inner_diameter, System system);
/// The same without the number that hose of that bore has: "5/16 inch", "7.94 mm".
[[nodiscard]] std::string bore_as_sold(double inner_diameter, System system);

}  // namespace lapheat::units
