// What `lapheat new` asks, on a terminal or of a file of answers.
#pragma once

#include <string>

#include "new_car.hpp"

namespace lapheat::app {

/// The car that a person on the terminal tells of. `name`: of the car, unless he says another.
[[nodiscard]] NewCar asked_car(const std::string& name);

/// The car of a file of answers, a table for each part as in a short car's file; what it leaves out
/// is as usual. Throws scenario::Errors for answers that cannot be.
[[nodiscard]] NewCar answered_car(const std::string& file);

}  // namespace lapheat::app
