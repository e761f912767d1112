// A car by a few questions, for `lapheat new`.
#pragma once

#include <string>
#include <vector>

namespace lapheat::app {

struct NewFile {
    std::string path, text;
};
/// The files of a car whose answers are asked for on the terminal; those of `answers` (a short car
/// file, empty: none) are not asked. Throws scenario::Errors for answers that cannot be.
std::vector<NewFile> questioned_car(const std::string& answers, bool ask);

}  // namespace lapheat::app
