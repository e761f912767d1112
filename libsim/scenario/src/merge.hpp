// One document's values laid over another's, by the rules that document.hpp tells.
#pragma once

#include "lapheat/scenario/document.hpp"

namespace lapheat::scenario {

/// Lays `over` on `base`. What cannot be laid goes to `problems`, at its place.
void merge(DocumentNode& base, DocumentNode&& over, Problems& problems);

}  // namespace lapheat::scenario
