// The steps of read(): each maps one kind of table to its struct.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "lapheat/model/description.hpp"
#include "lapheat/scenario/reader.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::scenario {

using Fluids = std::map<std::string, fluids::Liquid>;

drive::Vehicle read_vehicle(Reader& root);
heat::EngineModel read_engine_heat(Reader& root, const drive::Vehicle& vehicle);
heat::TransmissionModel read_transmission(Reader& root);
heat::SteeringModel read_steering(Reader& root);
void read_surroundings(Reader& root, model::Car& car);

Fluids read_fluids(Reader& root);
/// One table may give several entries: the circuits of a combined core.
std::vector<RatingSheet> read_core_tables(Reader& root, const Fluids& fluids);

std::vector<model::FanEntry> read_fans(Reader& root);
/// Needs the cores for their face sizes and `circuits` for those that are split.
std::vector<model::AirPath> read_air(Reader& root, const std::vector<model::CoreEntry>& cores,
                                     const std::vector<model::FanEntry>& fans);

std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids,
                                    const std::vector<model::CoreEntry>& cores);
/// One table of a run's `parts`; `cores` are the names it may refer to.
model::Part read_part(Reader& r, const std::vector<std::string>& cores);
std::vector<model::Link> read_links(Reader& root);

/// `drivable`: the car has no errors, so that laps can be solved with it.
drive::Cycle read_cycle_document(const Document& document, const drive::Vehicle& vehicle,
                                 Problems& problems, bool drivable);

}  // namespace lapheat::scenario
