#include "lapheat/results/fields.hpp"

#include "lapheat/results/binding.hpp"

namespace lapheat::results {
namespace {

using model::AssumedNumber, model::FanState, model::RunCost, model::Event, model::HeatSource,
    model::LedgerEntry, model::Limits, model::LineState, model::PumpState, model::Result,
    model::Verdict;
using units::Quantity;

constexpr Quantity kelvin = Quantity::temperature, kelvins = Quantity::temperature_difference,
                   second = Quantity::time, pascal = Quantity::pressure, metre = Quantity::length,
                   share = Quantity::ratio, joule = Quantity::energy,
                   ampere = Quantity::electric_current;

std::string kind(const Event& e) { return model::name(e.kind); }
constexpr Field<Event> events[] = {
    {"time", &Event::time, "when it happened", second},
    {"kind", &kind, "what happened"},
    {"subject", &Event::subject, "the part or fluid"},
    {"value", &Event::value, "temperature concerned; 0: none", kelvin}};

std::string direction(const LedgerEntry& e) { return model::direction_name(e.direction); }
constexpr Field<LedgerEntry> ledger[] = {
    {"name", &LedgerEntry::name, "the way"},
    {"direction", &direction, "'in', 'out', 'stored' or 'within'"},
    {"joules", &LedgerEntry::joules, "energy over the run, positive as the direction says", joule}};

constexpr Field<HeatSource> sources[] = {
    {"source", &HeatSource::source, "engine, transmission, steering …"},
    {"path", &HeatSource::path, "relief dwell, throttling, converter …"},
    {"joules", &HeatSource::joules, "heat made over the run", joule}};

std::string binds(const Verdict& v) { return what_binds(v, units::System::si); }
std::string role(const Verdict& v) { return model::name_of(v.role); }
std::string stream(const Verdict& v) { return cooled_by(v); }
constexpr Field<Verdict> verdicts[] = {
    {"loop", &Verdict::loop, "the fluid's loop"},
    {"role", &role, "what the loop is for: 'coolant', 'transmission', ... or 'other'"},
    {"part", &Verdict::part, "where the margin was least"},
    {"core", &Verdict::core, "the core that cools it, '' if none"},
    {"note", &Verdict::note, "the note of the limit"},
    {"binds", &binds, "what keeps it from being cooler then, in words"},
    {"cooled_by", &stream, "what its core stands in: 'air', 'coolant', '' without a core"},
    {"peak", &Verdict::peak, "highest temperature", kelvin},
    {"peak_time", &Verdict::peak_time, "time of the peak", second},
    {"start", &Verdict::start, "temperature at the start", kelvin},
    {"end", &Verdict::end, "temperature at the end", kelvin},
    {"mean", &Verdict::mean, "time mean of the temperature", kelvin},
    {"limit", &Verdict::limit, "limit at the moment of least margin", kelvin},
    {"margin", &Verdict::margin, "least of limit less temperature; negative: over", kelvins},
    {"margin_time", &Verdict::margin_time, "moment of least margin", second},
    {"time_over", &Verdict::time_over, "time above the limit", second},
    {"first_over", &Verdict::first_over, "moment the limit is first passed; negative: never",
     second},
    {"time_over_caution", &Verdict::time_over_caution, "time above the caution temperature",
     second},
    {"boils", &Verdict::boils, "moment it first boils under its cap; negative: never", second},
    {"liquid_lost", &Verdict::liquid_lost, "liquid boiled away by the end", Quantity::mass},
    {"lost_share", &Verdict::lost_share, "share of the loop's liquid boiled away", share},
    {"ruined", &Verdict::ruined,
     "moment its seals are used up or a transmission passes 200 degC; negative: never", second},
    {"end_rate", &Verdict::end_rate, "rate at which it still rises at the end; 0: it does not",
     "K s-1"},
    {"heading", &Verdict::heading,
     "temperature it would reach if the end went on; 0: none can be told", kelvin},
    {"flow", &Verdict::flow, "mean flow through the cooling run with the engine running",
     Quantity::volume_flow},
    {"line_loss", &Verdict::line_loss, "pressure loss of the lines at the moment of least margin",
     pascal},
    {"line_loss_peak", &Verdict::line_loss_peak, "highest pressure loss of the lines", pascal},
    {"return_pressure", &Verdict::return_pressure,
     "highest pressure above ambient where the fluid leaves its heat source", pascal},
    {"core_heat", &Verdict::core_heat, "heat given off by the core at the moment of least margin",
     Quantity::heat_flow},
    {"air_flow", &Verdict::air_flow,
     "air, or coolant, through the core at the moment of least margin", Quantity::mass_flow},
    {"air_inlet", &Verdict::air_inlet, "temperature of that stream at the core then", kelvin},
    {"ambient", &Verdict::ambient, "ambient air temperature then", kelvin},
    {"share_air", &Verdict::share_air, "share of that stream's side in the core's resistance then",
     share},
    {"share_wall", &Verdict::share_wall, "share of the wall in the core's resistance then", share},
    {"share_liquid", &Verdict::share_liquid,
     "share of the liquid side in the core's resistance then", share},
    {"effectiveness", &Verdict::effectiveness, "effectiveness of the core then", share},
    {"core_inlet", &Verdict::core_inlet, "temperature of the fluid at the core then", kelvin},
    {"core_flow", &Verdict::core_flow, "flow of the fluid through the core then",
     Quantity::volume_flow},
    {"core_capacity", &Verdict::core_capacity, "capacity rate of that flow", "W K-1"},
    {"core_resistance", &Verdict::core_resistance,
     "resistance of the core from the fluid to what cools it then", "K W-1"},
    {"fluid_life_used", &Verdict::fluid_life_used, "share of the fluid's life spent; 0: not rated",
     share},
    {"seal_life_used", &Verdict::seal_life_used,
     "share of what its seals stand that the run took; 0: not rated", share},
    {"stands_peak", &Verdict::stands_peak, "how long they stand the peak; 0: not rated", second}};

constexpr Field<LineState> lines[] = {
    {"loop", &LineState::loop, "the fluid's loop"},
    {"run", &LineState::run, "the run of parts it is in"},
    {"part", &LineState::part, "its name"},
    {"kind", &LineState::kind, "hose, tube, core, or what the fitting is"},
    {"inner_diameter", &LineState::inner_diameter, "inner diameter; 0: none of its own", metre},
    {"length", &LineState::length, "length of a line", metre},
    {"bends", &LineState::bends, "bends of a line", share},
    {"flow", &LineState::flow, "flow at the loop's least margin", Quantity::volume_flow},
    {"velocity", &LineState::velocity, "velocity then", Quantity::speed},
    {"reynolds", &LineState::reynolds, "Reynolds number then", share},
    {"pressure_loss", &LineState::pressure_loss, "pressure loss then, with its bends", pascal},
    {"share", &LineState::share, "share of what the loop's strongest pump gives then", share},
    {"velocity_peak", &LineState::velocity_peak, "highest velocity", Quantity::speed},
    {"pressure_loss_peak", &LineState::pressure_loss_peak, "highest pressure loss", pascal},
    {"pressure_peak", &LineState::pressure_peak, "highest pressure above ambient", pascal},
    {"temperature_peak", &LineState::temperature_peak, "hottest fluid in it", kelvin}};

constexpr Field<PumpState> pumps[] = {
    {"loop", &PumpState::loop, "the fluid's loop"},
    {"pump", &PumpState::pump, "its name"},
    {"suction_margin", &PumpState::suction_margin,
     "least suction head available less required; negative: it cavitates", metre},
    {"suction_available", &PumpState::suction_available, "suction head then", metre},
    {"suction_required", &PumpState::suction_required, "suction head required then", metre},
    {"time", &PumpState::time, "when", second},
    {"inlet_pressure", &PumpState::inlet_pressure, "lowest absolute inlet pressure", pascal},
    {"pressure_rise_peak", &PumpState::pressure_rise_peak, "highest pressure rise", pascal},
    {"time_cavitating", &PumpState::time_cavitating, "time cavitating", second},
    {"time_relieving", &PumpState::time_relieving, "time with the relief valve open", second}};

constexpr Field<FanState> fans[] = {
    {"fan", &FanState::fan, "its name"},
    {"claim", &FanState::claim, "its free flow as stated", Quantity::air_flow},
    {"duty", &FanState::duty, "share of the time that it ran", share},
    {"flow", &FanState::flow, "mean flow while it ran", Quantity::air_flow},
    {"flow_peak", &FanState::flow_peak, "most flow at any time", Quantity::air_flow},
    {"power", &FanState::power, "mean electrical power while it ran", Quantity::power}};

std::string quantity(const AssumedNumber& a) { return units::name(a.quantity); }
constexpr Field<AssumedNumber> assumed[] = {
    {"key", &AssumedNumber::key, "as a file would spell it"},
    {"quantity", &quantity, "what it measures"},
    {"value", &AssumedNumber::value, "as it was taken, in the SI unit of the quantity"},
    {"low", &AssumedNumber::low, "low end of what is usual, SI; the value: no range is known"},
    {"high", &AssumedNumber::high, "high end of it, SI"},
    {"why", &AssumedNumber::why, "of the default, or the source of the range"}};

constexpr Field<Limits> limits[] = {
    {"caution", &Limits::caution, "temperature of caution; 0: none", kelvin},
    {"limit", &Limits::limit, "limit; 0: the boiling point rules", kelvin},
    {"boiling_reserve", &Limits::boiling_reserve, "kept below boiling; 0: does not rule", kelvins},
    {"part", &Limits::part, "part whose temperature counts; '': the hottest"},
    {"note", &Limits::note, "why, and from where"}};

constexpr Field<RunCost> costs[] = {
    {"rhs_calls", &RunCost::rhs_calls, "right-hand sides", share},
    {"steps", &RunCost::steps, "steps taken", share},
    {"rejected", &RunCost::rejected, "steps taken back", share},
    {"events", &RunCost::events, "events located", share},
    {"network_failures", &RunCost::network_failures, "network solves that did not converge", share},
    {"wall_seconds", &RunCost::wall_seconds, "wall time", second},
    {"simulated_seconds", &RunCost::simulated_seconds, "time driven", second},
    {"network_residual", &RunCost::network_residual, "worst relative residual of a network", share},
    {"smallest_step", &RunCost::smallest_step, "smallest step", second},
    {"largest_step", &RunCost::largest_step, "largest step", second}};

double duration(const Result& r) { return r.cost.simulated_seconds; }
constexpr Field<Result> results[] = {
    {"car", &Result::car, "the car's name"},
    {"placement", &Result::placement, "the place of the cooler"},
    {"summary", &Result::summary, "what the placement is, in a line"},
    {"cycle", &Result::cycle, "what was driven"},
    {"duration", &duration, "time driven", second},
    {"distance", &Result::distance, "distance driven", metre},
    {"fan_energy", &Result::fan_energy, "electrical energy of all fans", joule},
    {"peak_fan_current", &Result::peak_fan_current, "most of all fans together", ampere},
    {"peak_current", &Result::peak_current, "most of fans and other loads together", ampere},
    {"idle_capacity", &Result::idle_capacity, "what the alternator gives at idle", ampere},
    {"current_shortfall", &Result::current_shortfall,
     "most by which the loads outran the alternator", ampere},
    {"battery_charge", &Result::battery_charge, "what the battery gave for that", "A s"}};

}  // namespace

template <>
std::span<const Field<Event>> fields() {
    return events;
}
template <>
std::span<const Field<LedgerEntry>> fields() {
    return ledger;
}
template <>
std::span<const Field<HeatSource>> fields() {
    return sources;
}
template <>
std::span<const Field<Verdict>> fields() {
    return verdicts;
}
template <>
std::span<const Field<LineState>> fields() {
    return lines;
}
template <>
std::span<const Field<PumpState>> fields() {
    return pumps;
}
template <>
std::span<const Field<FanState>> fields() {
    return fans;
}
template <>
std::span<const Field<AssumedNumber>> fields() {
    return assumed;
}
template <>
std::span<const Field<Limits>> fields() {
    return limits;
}
template <>
std::span<const Field<RunCost>> fields() {
    return costs;
}
template <>
std::span<const Field<Result>> fields() {
    return results;
}

}  // namespace lapheat::results
