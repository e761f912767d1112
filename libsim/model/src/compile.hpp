// Steps of compile(), in their order. Each fills its part of the model.
#pragma once

#include "flat.hpp"

namespace lapheat::model {

void compile_loops(
    Model& model);  ///< cells, runs, networks, losses, walls, heats, cores' liquid sides
void compile_air(Model& model);       ///< paths, passages, fans
void compile_controls(Model& model);  ///< thermostats' and switches' sensors
void compile_links(Model& model);     ///< conductances between loops, and the cells heats depend on
void compile_limits(Model& model);    ///< which cells each loop's limit looks at
void lay_out_state(Model& model);

/// Throws std::logic_error if a run could not go on from one model to the other: a part, a state or
/// a path of the ledger with another number.
void require_same_numbers(const Model& before, const Model& after);

/// What lines, tanks and cases of a loop give to the air around: to the engine bay within the car.
LedgerId case_losses(Model& model, const std::string& loop, Zone where);

/// Numbers of the cells of a loop's part, one or more, in the direction of flow. The one place
/// where a part's name becomes a number. Throws Error at `place` for a name that has none.
std::vector<int> cells_of(const Model& model, const std::string& loop, const std::string& part,
                          const FilePlace& place, const std::string& key);
/// The last of them: what a sensor in it feels.
int sensor_cell(const Model& model, const std::string& loop, const std::string& part,
                const FilePlace& place, const std::string& key);

/// "known: a, b, c" for messages.
std::string known(const std::vector<std::string>& names);

}  // namespace lapheat::model
