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

/// A number with a range, of a key of quantities: a value, or [value, low, high]. A value alone
/// widens the range where it lies outside. Absent: the default stays, and with `why` it is told as
/// an assumption.
void read_assumed(Reader& r, const Key& key, Assumed& number, std::string_view why = {});

/// A factor on what is computed or stated, and a shift of temperatures; both for read_assumed().
constexpr Key level_key(std::string_view name, std::string_view help) {
    return key::quantities(name, Quantity::ratio, between(0.1, 10), help)
        .nothing("1, with its range");
}
constexpr Key shift_key(std::string_view help) {
    return key::quantities("shift", Quantity::temperature_difference, between(-50, 50), help)
        .nothing("0 K, with its range");
}

/// `exhaust_part`: the stretch of the exhaust in sight of a core or line, else `usual`.
extern const Table exhaust_part_table;
heat::ExhaustPart read_exhaust_part(Reader& r, heat::ExhaustPart usual);

/// The top tables of a car's file, each group beside the functions that read it.
extern const Table vehicle_tables, engine_tables, equipment_tables, fluid_tables, core_tables,
    fan_tables, air_tables, loop_tables, fault_tables, fitted_tables;

drive::Vehicle read_vehicle(Reader& root);
drive::Engine read_engine(Reader& root);
heat::EngineModel read_engine_heat(Reader& root, const drive::Vehicle& vehicle);
void read_exhaust_levels(Reader& root, heat::Exhaust& exhaust);
/// What a volume "of_engine" has when the file says no more.
heat::EngineLumps read_engine_lumps(Reader& root, const heat::EngineModel& engine);
heat::TransmissionModel read_transmission(Reader& root, const drive::Vehicle& vehicle);
heat::SteeringModel read_steering(Reader& root);
/// Engine bay, air conditioning, alternator, brakes, driver, start.
void read_equipment(Reader& root, model::Car& car);

Fluids read_fluids(Reader& root);
/// Reports unknown keys of the fluids, for readings that stop at them.
void finish_fluids(Reader& root);
/// One table may give several entries: the circuits of a combined core.
std::vector<RatingSheet> read_core_tables(Reader& root, const Fluids& fluids);

std::vector<model::FanEntry> read_fans(Reader& root);
/// Needs the cores for their face sizes and `circuits` for those that are split.
std::vector<model::AirPath> read_air(Reader& root, const std::vector<model::CoreEntry>& cores,
                                     const std::vector<model::FanEntry>& fans);

/// What a part of a loop may refer to.
struct PartContext {
    std::vector<std::string> cores;                 ///< names
    heat::EngineLumps lumps;                        ///< see read_engine_lumps()
    heat::SteeringModel steering;                   ///< whose pump a part may be
    model::LoopRole role = model::LoopRole::other;  ///< of the loop that is read
};
/// Needs the cores and the steering of `car`.
std::vector<model::Loop> read_loops(Reader& root, const Fluids& fluids, const model::Car& car,
                                    const heat::EngineLumps& lumps);
std::vector<model::HeatLink> read_links(Reader& root, const heat::EngineLumps& lumps);

/// Over what the car assumes by then. See Scenario::fitted.
std::vector<FittedTogether> read_fitted(Reader& root, model::Car& car);

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
                                 std::vector<StatedDoubt>* doubts = nullptr,
                                 FilePlace* air_conditioning = nullptr);

}  // namespace lapheat::scenario
