// Numbers as people say them, for sentences and the page.
#pragma once

#include <fmt/core.h>

#include <cmath>

#include "lapheat/results/words.hpp"

namespace lapheat::study {

using results::in_units, results::listed, results::percent, results::plain_name, results::say,
    results::say_length, results::say_number, results::say_time, results::sentence_case,
    results::unit_word, results::with_unit;

/// A difference of temperature, in sentences: "4.1 K", "22 °F".
inline std::string say_kelvins(double x, units::System system) {
    return say(x, units::Quantity::temperature_difference, system);
}
/// The same to two digits and no more: "4.1 K", "7.4 °F".
inline std::string format_kelvins(double x, units::System system) {
    return results::figure(x, units::Quantity::temperature_difference, system, 2);
}

/// A difference of temperature as a column of that system shows it.
inline double shown_kelvins(double x, units::System system) {
    return units::to_display(x, units::Quantity::temperature_difference, system);
}
/// The same with its sign: "+4.1"; "-" for what is no number.
inline std::string signed_kelvins(double x, units::System system) {
    return std::isfinite(x) ? fmt::format("{:+.1f}", shown_kelvins(x, system)) : "-";
}

}  // namespace lapheat::study
