#include "lapheat/study/fields.hpp"

namespace lapheat::results {
namespace {

using study::Caution, study::FanFeed, study::HottestAmbient, study::LineCost, study::CycleOutcome,
    study::PlumbingItem, study::Ranked, study::CycleCertainty, study::PlacementCertainty,
    study::FluidCertainty, study::Driver, study::Measurement, study::GaugeReading, study::SizeTried,
    study::Lever;
using units::Quantity;

constexpr Quantity kelvin = Quantity::temperature, kelvins = Quantity::temperature_difference,
                   second = Quantity::time, metre = Quantity::length, joule = Quantity::energy,
                   ampere = Quantity::electric_current, share = Quantity::ratio;

constexpr Field<LineCost> line_costs[] = {
    {"loop", &LineCost::loop, "the fluid's loop"},
    {"part", &LineCost::part, "the line"},
    {"cycle", &LineCost::cycle, "what was driven"},
    {"length", &LineCost::length, "length of the line", metre},
    {"inner_diameter", &LineCost::inner_diameter, "inner diameter", metre},
    {"peak_per_metre", &LineCost::peak_per_metre, "the loop's peak, each metre more", "K m-1"},
    {"margin_per_metre", &LineCost::margin_per_metre, "least margin lost, each metre more",
     "K m-1"},
    {"flow_per_metre", &LineCost::flow_per_metre, "mean flow lost, each metre more", "m3 s-1 m-1"},
    {"peak_per_bend", &LineCost::peak_per_bend, "the loop's peak, each bend more", kelvins},
    {"margin_per_bend", &LineCost::margin_per_bend, "least margin lost, each bend more", kelvins},
    {"flow_per_bend", &LineCost::flow_per_bend, "mean flow lost, each bend more",
     Quantity::volume_flow}};

std::string lever_quantity(const Lever& l) { return units::name(l.quantity); }
constexpr Field<Lever> levers[] = {
    {"placement", &Lever::placement, "that does not hold"},
    {"loop", &Lever::loop, "the fluid that is most over its limit"},
    {"cycle", &Lever::cycle, "where"},
    {"missing", &Lever::missing, "that it is over by", kelvins},
    {"cored", &Lever::cored, "a core cools that fluid", share},
    {"what", &Lever::what, "number that is moved; \"ambient\": the air of that cycle"},
    {"quantity", &lever_quantity, "what it measures"},
    {"stands", &Lever::stands, "as the car has it, in the SI unit of the quantity"},
    {"to", &Lever::to, "with which it holds, else the best that was tried, SI"},
    {"holds", &Lever::holds, "with that it does", share},
    {"gained", &Lever::gained, "margin with it over that without", kelvins}};

constexpr Field<PlumbingItem> plumbing[] = {
    {"what", &PlumbingItem::what, "hose, tube, clamp, hose end, …"},
    {"loop", &PlumbingItem::loop, "the fluid's loop; '' in a total"},
    {"part", &PlumbingItem::part, "for which part"},
    {"size", &PlumbingItem::size, "as sold; '' where none is known"},
    {"length", &PlumbingItem::length, "to cut; 0 for what is counted", metre},
    {"count", &PlumbingItem::count, "how many", share},
    {"pressure", &PlumbingItem::pressure, "class: what it must bear, gauge; 0: none",
     Quantity::pressure},
    {"temperature", &PlumbingItem::temperature, "class: what it must bear; 0: none", kelvin},
    {"standard", &PlumbingItem::standard, "kind of hose sold for that; '' none"},
    {"note", &PlumbingItem::note, "bends, ratings, what to watch for"}};

constexpr Field<FanFeed> feeds[] = {
    {"fan", &FanFeed::fan, "the fan"},
    {"current", &FanFeed::current, "its rated current", ampere},
    {"fuse", &FanFeed::fuse, "fuse at the battery end; 0: none is given", ampere},
    {"area", &FanFeed::area, "copper", Quantity::area},
    {"length", &FanFeed::length, "run of the wire", metre},
    {"problem", &FanFeed::problem, "why no wire is given, else ''"}};

constexpr Field<CycleOutcome> outcomes[] = {
    {"placement", &CycleOutcome::placement, "the placement"},
    {"cycle", &CycleOutcome::cycle, "the cycle"},
    {"worst_margin", &CycleOutcome::worst_margin, "least margin of the fluids served", kelvins},
    {"worst_loop", &CycleOutcome::worst_loop, "the fluid that has it"},
    {"binding", &CycleOutcome::binding, "what binds it, in words"},
    {"ambient", &CycleOutcome::ambient, "air temperature at the moment of that margin", kelvin},
    {"coolant_lost", &CycleOutcome::coolant_lost,
     "coolant margin given up against the car without its cooler", kelvins},
    {"hottest_ambient", &CycleOutcome::hottest_ambient, "hottest air that the cycle could be at",
     kelvin},
    {"hottest_beyond", &CycleOutcome::hottest_beyond, "the search ended before its answer"}};

constexpr Field<Ranked> ranks[] = {
    {"placement", &Ranked::placement, "the placement"},
    {"holds", &Ranked::holds,
     "nothing it serves is over its limit or boils; no other fluid is driven over"},
    {"worst_margin", &Ranked::worst_margin, "least margin of any fluid it serves, any cycle",
     kelvins},
    {"worst_cycle", &Ranked::worst_cycle, "the cycle that has it"},
    {"worst_loop", &Ranked::worst_loop, "the fluid that has it"},
    {"time_over", &Ranked::time_over, "time over limits, fluids it serves and cycles summed",
     second},
    {"time_over_caution", &Ranked::time_over_caution,
     "time over caution temperatures, fluids it serves and cycles summed", second},
    {"ties", &Ranked::ties, "neither holding nor margin parts it from the one above"},
    {"fan_energy", &Ranked::fan_energy, "electrical energy of the fans, all cycles", joule},
    {"line_length", &Ranked::line_length, "hose and tube in the car", metre},
    {"coolant_lost", &Ranked::coolant_lost, "coolant margin given up, most of any cycle", kelvins},
    {"peak_fan_current", &Ranked::peak_fan_current, "most of all fans together, any cycle", ampere},
    {"peak_current", &Ranked::peak_current, "most of fans and other loads, any cycle", ampere},
    {"idle_capacity", &Ranked::idle_capacity, "what the alternator gives at idle", ampere},
    {"current_shortfall", &Ranked::current_shortfall,
     "most by which the loads outran the alternator", ampere},
    {"harmed", &Ranked::harmed, "a fluid it does not serve and drives over its limit; '' none"},
    {"over_anyway", &Ranked::over_anyway,
     "a fluid it does not serve, over its limit with it and without; '' none"},
    {"hot_line", &Ranked::hot_line, "oil line in sight of the exhaust", metre},
    {"exposed", &Ranked::exposed, "oil line under the floor, a core there as a metre", metre},
    {"reason", &Ranked::reason, "why it stands here"}};

constexpr Field<CycleCertainty> cycle_certainties[] = {
    {"placement", &CycleCertainty::placement, "the placement"},
    {"cycle", &CycleCertainty::cycle, "the cycle"},
    {"holds", &CycleCertainty::holds, "share of the draws in which what it serves holds", share},
    {"holds_low", &CycleCertainty::holds_low, "low end of the share's 95 % interval", share},
    {"holds_high", &CycleCertainty::holds_high, "high end of it", share},
    {"margin_5", &CycleCertainty::margin_5, "least margin below which 5 % of the draws lie",
     kelvins},
    {"margin_50", &CycleCertainty::margin_50, "the same of 50 %", kelvins},
    {"margin_95", &CycleCertainty::margin_95, "the same of 95 %", kelvins},
    {"hottest_5", &CycleCertainty::hottest_5, "hottest air it could be at, 5 % of the draws below",
     kelvin},
    {"hottest_50", &CycleCertainty::hottest_50, "the same of 50 %", kelvin},
    {"hottest_95", &CycleCertainty::hottest_95, "the same of 95 %", kelvin}};

constexpr Field<PlacementCertainty> placement_certainties[] = {
    {"placement", &PlacementCertainty::placement, "the placement"},
    {"holds", &PlacementCertainty::holds, "share of the draws in which it holds in all cycles",
     share},
    {"holds_low", &PlacementCertainty::holds_low, "low end of the share's 95 % interval", share},
    {"holds_high", &PlacementCertainty::holds_high, "high end of it", share},
    {"best", &PlacementCertainty::best, "share of the draws in which it has the most margin",
     share},
    {"best_low", &PlacementCertainty::best_low, "low end of the share's 95 % interval", share},
    {"best_high", &PlacementCertainty::best_high, "high end of it", share},
    {"regret", &PlacementCertainty::regret,
     "margin it has less than the best of each draw, on the mean", kelvins},
    {"regret_low", &PlacementCertainty::regret_low, "low end of its 90 % interval", kelvins},
    {"regret_high", &PlacementCertainty::regret_high, "high end of it", kelvins},
    {"margin", &PlacementCertainty::margin, "least margin, on the mean", kelvins},
    {"margin_5", &PlacementCertainty::margin_5, "least margin below which 5 % of the draws lie",
     kelvins},
    {"margin_50", &PlacementCertainty::margin_50, "the same of 50 %", kelvins},
    {"margin_95", &PlacementCertainty::margin_95, "the same of 95 %", kelvins},
    {"bound_by", &PlacementCertainty::bound_by,
     "fluid and cycle that most often have its least margin"},
    {"bound_share", &PlacementCertainty::bound_share, "how often", share},
    {"failed", &PlacementCertainty::failed, "draws that gave no answer", share}};

constexpr Field<FluidCertainty> fluid_certainties[] = {
    {"placement", &FluidCertainty::placement, "the placement"},
    {"loop", &FluidCertainty::loop, "the fluid's loop"},
    {"margin_5", &FluidCertainty::margin_5, "least margin below which 5 % of the draws lie",
     kelvins},
    {"margin_50", &FluidCertainty::margin_50, "the same of 50 %", kelvins},
    {"margin_95", &FluidCertainty::margin_95, "the same of 95 %", kelvins}};

constexpr Field<GaugeReading> gauges[] = {
    {"cycle", &GaugeReading::cycle, "the cycle"},
    {"loop", &GaugeReading::loop, "the fluid's loop"},
    {"part", &GaugeReading::part, "where its limit is watched"},
    {"low", &GaugeReading::low, "below it for a tenth of the time", kelvin},
    {"high", &GaugeReading::high, "above it for a tenth of the time", kelvin},
    {"most", &GaugeReading::most, "highest; with draws what one car in twenty passes", kelvin},
    {"drawn", &GaugeReading::drawn, "low and high are of the middle car of the draws"}};

constexpr Field<Driver> drivers[] = {
    {"number", &Driver::number, "what is in doubt"},
    {"origin", &Driver::origin, "yours, derived or assumed"},
    {"source", &Driver::source, "where its range is from"},
    {"value", &Driver::value, "as it stands, SI"},
    {"low", &Driver::low, "5 % of its draws lie below, SI"},
    {"high", &Driver::high, "5 % of its draws lie above, SI"},
    {"share", &Driver::share, "part of the variance of the margin that it carries alone", share},
    {"share_low", &Driver::share_low, "low end of its 90 % interval", share},
    {"share_high", &Driver::share_high, "high end of it", share},
    {"worth", &Driver::worth, "margin that knowing it would save the choice, on the mean", kelvins},
    {"worth_low", &Driver::worth_low, "low end of its 90 % interval", kelvins},
    {"worth_high", &Driver::worth_high, "high end of it", kelvins},
    {"margin_low", &Driver::margin_low, "mean margin where it is in its lowest fifth", kelvins},
    {"margin_high", &Driver::margin_high, "mean margin where it is in its highest fifth", kelvins}};

constexpr Field<Measurement> measurements[] = {
    {"what", &Measurement::what, "what to measure"},
    {"how", &Measurement::how, "how"},
    {"how_well", &Measurement::how_well, "how well that can be done"},
    {"worth", &Measurement::worth, "margin that it would save the choice, on the mean", kelvins},
    {"worth_low", &Measurement::worth_low, "low end of its 90 % interval", kelvins},
    {"worth_high", &Measurement::worth_high, "high end of it", kelvins},
    {"settles", &Measurement::settles, "part of the variance of the margin that it would settle",
     share},
    {"settles_low", &Measurement::settles_low, "low end of its 90 % interval", share},
    {"settles_high", &Measurement::settles_high, "high end of it", share}};

constexpr Field<Caution> cautions[] = {{"about", &Caution::about, "what it is about"},
                                       {"text", &Caution::text, "whole sentences"}};

constexpr Field<HottestAmbient> hottest[] = {
    {"ambient", &HottestAmbient::ambient, "the cycle's highest air temperature at zero margin",
     kelvin},
    {"shift", &HottestAmbient::shift, "from the cycle's own air temperatures", kelvins},
    {"loop", &HottestAmbient::loop, "the fluid that reaches its limit there"},
    {"runs", &HottestAmbient::runs, "simulations it took", share},
    {"beyond_range", &HottestAmbient::beyond_range, "the end of the searched range is given"}};

constexpr Field<SizeTried> tries[] = {
    {"value", &SizeTried::value, "that was tried, SI"},
    {"margin", &SizeTried::margin, "least margin; with draws what the asked share reaches",
     kelvins},
    {"margin_low", &SizeTried::margin_low, "low end of its 95 % interval", kelvins},
    {"margin_high", &SizeTried::margin_high, "high end of it", kelvins},
    {"holds", &SizeTried::holds, "share of the draws that reach the target", share},
    {"loop", &SizeTried::loop, "the fluid that has it"},
    {"cycle", &SizeTried::cycle, "the cycle that has it"},
    {"failed", &SizeTried::failed, "why there is none; '' there is"},
    {"unfinished", &SizeTried::unfinished, "draws without an answer", share}};

}  // namespace

template <>
std::span<const Field<LineCost>> fields() {
    return line_costs;
}
template <>
std::span<const Field<Lever>> fields() {
    return levers;
}
template <>
std::span<const Field<PlumbingItem>> fields() {
    return plumbing;
}
template <>
std::span<const Field<FanFeed>> fields() {
    return feeds;
}
template <>
std::span<const Field<CycleOutcome>> fields() {
    return outcomes;
}
template <>
std::span<const Field<Ranked>> fields() {
    return ranks;
}
template <>
std::span<const Field<CycleCertainty>> fields() {
    return cycle_certainties;
}
template <>
std::span<const Field<PlacementCertainty>> fields() {
    return placement_certainties;
}
template <>
std::span<const Field<FluidCertainty>> fields() {
    return fluid_certainties;
}
template <>
std::span<const Field<GaugeReading>> fields() {
    return gauges;
}
template <>
std::span<const Field<Driver>> fields() {
    return drivers;
}
template <>
std::span<const Field<Measurement>> fields() {
    return measurements;
}
template <>
std::span<const Field<Caution>> fields() {
    return cautions;
}
template <>
std::span<const Field<HottestAmbient>> fields() {
    return hottest;
}
template <>
std::span<const Field<SizeTried>> fields() {
    return tries;
}

}  // namespace lapheat::results
