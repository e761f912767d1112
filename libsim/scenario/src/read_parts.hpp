// The steps of read(): each maps one kind of table to its struct.
#pragma once

#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/model/description.hpp"
#include "lapheat/scenario/reader.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/units/assumed.hpp"

namespace lapheat::scenario {

using Fluids = std::map<std::string, fluids::Liquid>;

/// A number with a range: a value, or [value, low, high]. A value alone widens the range where it
/// lies outside. Absent: the default stays, and with `why` it is told as an assumption.
void read_assumed(Reader& r, std::string_view key, Quantity what, Range range, Assumed& number,
                  std::string_view why = {});

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

/// What a part of a loop may refer to.
struct PartContext {
    std::vector<std::string> cores;  ///< names
    heat::EngineLumps lumps;         ///< what a volume "of_engine" has when the file says no more
};
std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids,
                                    const std::vector<model::CoreEntry>& cores,
                                    const heat::EngineLumps& lumps);
/// The stretch of the exhaust in sight of a core or line, `exhaust_part`.
heat::ExhaustPart read_exhaust_part(Reader& r, const char* fallback);
/// One table of a run's `parts`.
model::Part read_part(Reader& r, const PartContext& context);
std::vector<model::HeatLink> read_links(Reader& root, const heat::EngineLumps& lumps);

/// Last of all: faults name fans, cores and parts.
std::vector<model::Fault> read_faults(Reader& root, const model::Car& car);

/// `drivable`: the car has no errors, so that laps can be solved with it. `files`, if given, takes
/// every text that was read, those of other cycles and of tables too; `assumptions` the
/// defaults that have a reason; `air_conditioning`, if given, the place where it is first asked for
/// (line 0: nowhere).
drive::Cycle read_cycle_document(const Document& document, const drive::Vehicle& vehicle,
                                 Problems& problems, bool drivable,
                                 std::vector<SourceFile>* files = nullptr,
                                 std::vector<Assumption>* assumptions = nullptr,
                                 FilePlace* air_conditioning = nullptr);

}  // namespace lapheat::scenario
