// Numbers that files state, at what logs told of them.
#pragma once

#include "lapheat/scenario/document.hpp"

namespace lapheat::scenario {

/// The document with the keys that its [[fitted.numbers]] name at the values fitted, with their
/// doubt. Throws Error for a path that leads nowhere.
[[nodiscard]] Document with_fitted_keys(const Document& document);

}  // namespace lapheat::scenario
