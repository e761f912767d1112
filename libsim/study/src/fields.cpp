#include "lapheat/study/fields.hpp"

namespace lapheat::results {
namespace {

using study::Caution, study::FanFeed, study::HottestAmbient, study::LineCost, study::CycleOutcome,
    study::PlumbingItem, study::Ranked, study::Sensitivity;
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
     "coolant margin given up against the best placement here", kelvins},
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
    {"fan_energy", &Ranked::fan_energy, "electrical energy of the fans, all cycles", joule},
    {"line_length", &Ranked::line_length, "hose and tube in the car", metre},
    {"coolant_lost", &Ranked::coolant_lost, "coolant margin given up, most of any cycle", kelvins},
    {"peak_fan_current", &Ranked::peak_fan_current, "most of all fans together, any cycle", ampere},
    {"peak_current", &Ranked::peak_current, "most of fans and other loads, any cycle", ampere},
    {"idle_capacity", &Ranked::idle_capacity, "what the alternator gives at idle", ampere},
    {"current_shortfall", &Ranked::current_shortfall,
     "most by which the loads outran the alternator", ampere},
    {"harmed", &Ranked::harmed, "a fluid it does not serve and drives over its limit; '' none"},
    {"hot_line", &Ranked::hot_line, "oil line in sight of the exhaust", metre},
    {"exposed", &Ranked::exposed, "oil line under the floor, a core there as a metre", metre},
    {"reason", &Ranked::reason, "why it stands here"}};

constexpr Field<Sensitivity> sensitivities[] = {
    {"place", &Sensitivity::place, "the place that assumes it"},
    {"assumption", &Sensitivity::assumption, "what is assumed"},
    {"value", &Sensitivity::value, "the number assumed"},
    {"low", &Sensitivity::low, "low end of its range"},
    {"high", &Sensitivity::high, "high end of its range"},
    {"source", &Sensitivity::source, "where the range is from"},
    {"placement", &Sensitivity::placement, "the placement whose least margin it moves most"},
    {"swing", &Sensitivity::swing, "that margin's change over the range", kelvins},
    {"margin_low", &Sensitivity::margin_low, "that margin at the low end", kelvins},
    {"margin_high", &Sensitivity::margin_high, "that margin at the high end", kelvins},
    {"winner_low", &Sensitivity::winner_low, "first in the ranking at the low end"},
    {"winner_high", &Sensitivity::winner_high, "first in the ranking at the high end"},
    {"changes_winner", &Sensitivity::changes_winner, "another wins at an end"},
    {"only_ties", &Sensitivity::only_ties, "and that one ties with the winner"}};

constexpr Field<Caution> cautions[] = {{"about", &Caution::about, "what it is about"},
                                       {"text", &Caution::text, "whole sentences"}};

constexpr Field<HottestAmbient> hottest[] = {
    {"ambient", &HottestAmbient::ambient, "the cycle's highest air temperature at zero margin",
     kelvin},
    {"shift", &HottestAmbient::shift, "from the cycle's own air temperatures", kelvins},
    {"loop", &HottestAmbient::loop, "the fluid that reaches its limit there"},
    {"runs", &HottestAmbient::runs, "simulations it took", share},
    {"beyond_range", &HottestAmbient::beyond_range, "the end of the searched range is given"}};

}  // namespace

template <>
std::span<const Field<LineCost>> fields() {
    return line_costs;
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
std::span<const Field<Sensitivity>> fields() {
    return sensitivities;
}
template <>
std::span<const Field<Caution>> fields() {
    return cautions;
}
template <>
std::span<const Field<HottestAmbient>> fields() {
    return hottest;
}

}  // namespace lapheat::results
