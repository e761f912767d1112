// What to buy, as one web page that needs nothing else.
#pragma once

#include <string>

#include "lapheat/study/search.hpp"

namespace lapheat::study {

/// A whole HTML 5 document, UTF-8: the choice, price against margin as a drawing and a table, the
/// shopping list of the one chosen, what was looked at, cautions. Both systems of units are on it,
/// `system` is the one shown first. Reads without script or network; names are escaped.
[[nodiscard]] std::string search_page(const Search& search, units::System system);

}  // namespace lapheat::study
