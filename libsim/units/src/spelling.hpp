// The steps of reading text as people write it; see spellings.hpp.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "lapheat/units/text.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::units {

/// Characters that look alike become the one that keyboards have: no-break spaces, minus signs,
/// primes and typographic quotes, the ordinal sign for a degree; "½" becomes " 1/2".
[[nodiscard]] std::string plain_characters(std::string_view text);

/// A number and what follows it.
struct NumberText {
    double value = 0;
    std::string_view rest;
};

/// The number that `text` begins with, with commas between thousands; nothing if it begins with
/// none. Throws Error for a comma that could be a decimal point, and for a number too large.
[[nodiscard]] std::optional<NumberText> leading_number(std::string_view text);

/// `number` with the fraction that follows it: "5/16 inch", "1 1/2 inch", "1-1/4\"". Anything else
/// is left as it is.
[[nodiscard]] NumberText with_fraction(NumberText number) noexcept;

/// What UDUNITS is to read for a unit that it does not know for this quantity: "psi" for "PSI",
/// "lbf" for "lbs" of a force. Nothing if it is no spelling of ours either.
[[nodiscard]] std::optional<std::string> spelled(std::string_view unit, Quantity quantity);

/// Another of our spellings' quantity, for a complaint: power for "PS".
[[nodiscard]] std::optional<Quantity> spelled_quantity(std::string_view unit);

/// What to write in place of a unit whose meaning is not certain for this quantity; else empty.
[[nodiscard]] std::string uncertain(std::string_view unit, Quantity quantity);

}  // namespace lapheat::units
