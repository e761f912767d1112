// Small parts that the reports share.
#pragma once

#include <string>

#include "lapheat/results/report.hpp"

namespace lapheat::results::detail {

/// K below which a margin is shown as a warning; common practice, no source.
inline constexpr double close_margin = 8;

std::string fixed(double x, int decimals);
std::string percent(double share);
/// In display units, without the unit.
std::string number(double si, units::Quantity quantity, const Style& style, int decimals);
/// "peak, °C".
std::string with_unit(const std::string& words, units::Quantity quantity, const Style& style);
/// The highest temperature; of a fluid that boils or is ruined the moment, for no number beyond
/// means anything.
std::string peak(const model::Verdict& verdict, const Style& style);
TableCell margin_cell(double margin, const Style& style);
/// `text` wrapped, the first line behind `first`, those after it behind `next`.
std::string paragraph(const std::string& text, const Style& style, const std::string& first,
                      const std::string& next);

}  // namespace lapheat::results::detail
