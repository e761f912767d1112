// Every number of a car that has a range: what its places, its engine and its links assume. Whoever
// asks "would the answer change?" varies these.
#pragma once

#include <string>
#include <vector>

#include "lapheat/model/description.hpp"

namespace lapheat::model {

/// Two entries with the same `of` and `name` are one number that stands in two places (two air
/// paths in one kind of place).
struct CarAssumption {
    std::string of;         ///< "under the floor on a crossmember", "engine", a link's two parts
    const char* name = "";  ///< "ram recovery"
    Assumed* number = nullptr;
};

/// Points into `car`, in the order of its air paths, then engine, then links.
[[nodiscard]] std::vector<CarAssumption> assumptions(Car& car);

}  // namespace lapheat::model
