// lapheat help signals, lapheat help sensors.
#pragma once

#include <string>

namespace lapheat::app {

/// Every signal a log may carry, with the units that are tried when the file states none.
[[nodiscard]] std::string signals_text();
/// Where to put a thermometer so that it tells something.
[[nodiscard]] const char* sensors_text() noexcept;

}  // namespace lapheat::app
