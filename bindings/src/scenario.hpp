// A scenario as Python holds it: the document it came from, so that values can be changed by
// path, what was read from it, and the compiled model, which runs on any thread share.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/model.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::python {

struct Scenario {
    scenario::Document document;
    std::string origin;  ///< the file's path, or the text itself
    bool from_text = false;
    std::vector<std::pair<std::string, std::string>> changes;  ///< path and value, since then
    std::filesystem::path folder;               ///< paths in the document are relative to it
    std::vector<std::filesystem::path> cycles;  ///< asked for instead of the document's own
    scenario::Scenario parsed;
    std::vector<std::shared_ptr<drive::Cycle>> driven;
    std::shared_ptr<const model::Model> compiled;
};

/// Options of a run, checked: `tolerance` in K, `sample_interval` in s. Throws Error.
[[nodiscard]] model::Options run_options(double tolerance, double sample_interval,
                                         bool keep_series);

}  // namespace lapheat::python
