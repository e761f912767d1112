// A cycle as columns by name, as tables and other languages hold it.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "lapheat/drive/cycle.hpp"

namespace lapheat::drive {

/// Every column that column_names() lists, `time` and the whole numbers included; SI.
std::map<std::string, std::vector<double>> columns_of(const Cycle& cycle);

/// The cycle with some of its columns changed, each of as many rows as it has; phases stay.
/// Throws Error naming row (from 1) and column.
Cycle with_columns(const Cycle& cycle, std::string name,
                   const std::map<std::string, std::vector<double>>& changed);

}  // namespace lapheat::drive
