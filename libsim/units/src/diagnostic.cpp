// The table of codes: their names, subjects and words; and how words are made of it.
#include "lapheat/units/diagnostic.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "lapheat/units/constants.hpp"
#include "lapheat/units/spellings.hpp"

namespace lapheat {
namespace {

using units::Quantity;
using units::System;

/// Sentences hold {s} for the subject, {a} and {b} for the names, {0} to {3} for the values, each
/// with its decimals and unit for either system: {0:.1f bar|.0f psi}, {0:.0f s}; {3:sold} is a bore
/// as shops know it. A sentence that
/// names the subject itself is not put behind it.
struct CodeRow {
    Code code;
    const char* name;
    About about;
    const char* sentence;
    const char* expected = "";
};

/// Of a line for `use`.
#define LINE_FAST(use)                                                                           \
    "{a}: the fluid runs at {0:.3g m/s|.3g ft/s}, above the {1:.3g m/s|.3g ft/s} that is usual " \
    "for " use "; {2:.3g mm|.3g inch} inside would do, sold as {3:sold}"

// clang-format off
constexpr std::array<CodeRow, code_count> code_rows = {{
    {Code::bad_input, "bad_input", About::whole, "the input cannot be used"},
    {Code::as_written, "as_written", About::whole, "{a}"},
    {Code::cancelled, "cancelled", About::whole, "cancelled"},
    {Code::run_failed, "run_failed", About::whole, "{a}"},
    {Code::out_of_range, "out_of_range", About::whole, "{a} is {0:any}, and must be {1:any} to {2:any}"},
    {Code::rises_unequal, "rises_unequal", About::loop,
     "the rises around the loop closed by run {a} add up to {0:.6g m|.6g ft}",
     "rises that add up to zero around every loop: what goes up comes down"},
    {Code::nodes_apart, "nodes_apart", About::loop, "node {a} is not connected to node {b}",
     "one network that hangs together; give separate loops a network each"},
    {Code::loose_end, "loose_end", About::loop, "run {a} is not connected at its end {b}",
     "another run at that node, or the run closed (capped)"},
    {Code::no_pump, "no_pump", About::loop, "the loop of run {a} has no pump", "a pump"},
    {Code::deadhead_loose_end, "deadhead_loose_end", About::loop,
     "deadhead: the pump in run {a} has nothing connected at {b}", "a way round for its flow"},
    {Code::deadhead_capped, "deadhead_capped", About::loop,
     "deadhead: the pump in run {a} stands in a capped run", "an open run for a pump"},
    {Code::deadhead_no_way, "deadhead_no_way", About::loop,
     "deadhead: the pump in run {a} has nowhere to deliver",
     "an open way from its outlet back to its inlet"},
    {Code::deadhead_behind, "deadhead_behind", About::loop,
     "with {a} shut, deadhead: the pump in run {b} has nowhere to deliver",
     "an open way from its outlet back to its inlet"},
    {Code::cap_above_rating, "cap_above_rating", About::loop,
     "the cap opens at {0:.3f bar|.1f psi}, above the {1:.3f bar|.1f psi} that {a} is rated for",
     "a cap at or below the weakest part's rating"},
    {Code::valve_may_deadhead, "valve_may_deadhead", About::loop,
     "with {a} shut, deadhead: the pump in run {b} has nowhere to deliver; give the valve a bleed "
     "or the loop a bypass"},
    {Code::no_relief, "no_relief", About::loop, "{a} has no relief valve and {b} can shut it in"},
    {Code::no_cap, "no_cap", About::loop,
     "no cap holds pressure, so the coolant boils as in an open pot"},
    {Code::no_expansion_volume, "no_expansion_volume", About::loop,
     "no expansion volume: the swelling liquid is taken to stand against the cap as soon as it is "
     "warm, and to be pushed out past it"},
    {Code::pump_curve_misses, "pump_curve_misses", About::loop,
     "the curve of {a} misses a point by {0:.0f %} of its shut-off pressure"},
    {Code::core_without_fluid, "core_without_fluid", About::core,
     "no fluid flows through the core '{s}'"},
    {Code::fan_without_path, "fan_without_path", About::fan, "the fan '{s}' stands in no air path"},
    {Code::heat_without_part, "heat_without_part", About::whole,
     "the heat '{s}' enters no part of any loop"},
    {Code::fault_too_late, "fault_too_late", About::whole,
     "a fault would begin after the end of the cycle: {a}"},
    {Code::engine_too_weak, "engine_too_weak", About::whole,
     "the engine cannot follow the cycle ({0:.1f %} of the cycle's intervals)"},
    {Code::engine_map_left, "engine_map_left", About::whole,
     "an engine map is read beyond its edge ({0:.1f %} of the cycle's intervals)"},
    {Code::steering_flow_short, "steering_flow_short", About::whole,
     "the steering asks for more flow than its pump gives ({0:.1f %} of the cycle's intervals)"},
    {Code::air_backwards, "air_backwards", About::air_path,
     "air ran backwards through a core for {0:.0f s}"},
    {Code::air_beyond_fit, "air_beyond_fit", About::air_path,
     "a core worked for {0:.0f s} beyond the flows its pressure drop was fitted for"},
    {Code::air_two_points, "air_two_points", About::air_path,
     "for {0:.0f s} a fan's stall dip may offer a second operating point; the one of more flow is told"},
    {Code::air_shares_scaled, "air_shares_scaled", About::air_path,
     "the shares of hotter air came to more than 95 % for {0:.0f s} and were scaled"},
    {Code::fan_stalled, "fan_stalled", About::fan,
     "ran left of its curve's last peak (stalled) for {0:.0f s}"},
    {Code::fan_reversed, "fan_reversed", About::fan,
     "turned against air that came from behind for {0:.0f s}"},
    {Code::loads_beyond_alternator, "loads_beyond_alternator", About::whole,
     "loads took up to {0:.0f A} more than the alternator gave; the battery gave {1:.2f A h} for it"},
    {Code::air_conditioning_short, "air_conditioning_short", About::whole,
     "air conditioning: the condenser's air cannot take its heat, the compressor cuts out on "
     "pressure and cools {0:.0f %} less than asked"},
    {Code::solves_failed, "solves_failed", About::whole,
     "{0:.0f} network solves did not converge: do not trust this result"},
    {Code::core_first_beyond, "core_first_beyond", About::core,
     "The liquid side works outside the range of its correlation."},
    {Code::core_second_beyond, "core_second_beyond", About::core,
     "The air side (in a tank, the coolant side) works outside the range of its correlation."},
    {Code::core_beyond_rating, "core_beyond_rating", About::core,
     "The core works outside the flows or temperature it was rated for."},
    {Code::core_stands_still, "core_stands_still", About::core, "A stream stands still."},
    {Code::core_not_described, "core_not_described", About::core,
     "The core has not been described."},
    {Code::core_not_finite, "core_not_finite", About::core,
     "A stream's properties, flow or temperature are not usable numbers."},
    {Code::fluid_too_cold, "fluid_too_cold", About::loop,
     "Colder than the sources of its properties: continued, not known."},
    {Code::fluid_too_hot, "fluid_too_hot", About::loop,
     "Hotter than the sources of its properties: continued, not known."},
    {Code::fluid_frozen, "fluid_frozen", About::loop, "Below its freezing or pour point."},
    {Code::fluid_not_finite, "fluid_not_finite", About::loop, "Its temperature is not a number."},
    {Code::fluid_boils, "fluid_boils", About::loop,
     "{s} boils: vapour carries off its heat and {0:.2g kg|.2g lb} of liquid; the cells keep their "
     "heat capacity, so what comes after is an estimate at best"},
    {Code::liquid_spilt, "liquid_spilt", About::loop,
     "the liquid swells more than the expansion volume holds and is pushed out past the cap"},
    {Code::suction_line_fast, "suction_line_fast", About::loop,
     LINE_FAST("a suction line, where more starves the pump")},
    {Code::cooler_line_fast, "cooler_line_fast", About::loop, LINE_FAST("a cooler line")},
    {Code::coolant_hose_fast, "coolant_hose_fast", About::loop,
     LINE_FAST("a coolant hose, where more wears it and costs pressure")},
    {Code::coolant_hose_at_its_widest, "coolant_hose_at_its_widest", About::loop,
     "{a}: the fluid runs at {0:.3g m/s|.3g ft/s}, above the {1:.3g m/s|.3g ft/s} that is usual for "
     "a coolant hose, where more wears it and costs pressure; the widest that necks have is {3:sold}"},
    {Code::pressure_line_fast, "pressure_line_fast", About::loop, LINE_FAST("a pressure line")},
    {Code::part_over_pressure, "part_over_pressure", About::loop,
     "{a} stands under {0:.1f bar|.0f psi}, above the {1:.1f bar|.0f psi} it is rated for"},
    {Code::part_too_hot, "part_too_hot", About::loop,
     "{a} reaches {0:.0f °C|.0f °F}, above the {1:.0f °C|.0f °F} it is rated for"},
    {Code::pump_cavitates, "pump_cavitates", About::loop,
     "{a} cavitates for {0:.0f s}: its inlet has {1:.1f m|.1f ft} of suction head at the worst "
     "moment and needs {2:.1f m|.1f ft}; the flow there is less than said"},
    {Code::return_over_pressure, "return_over_pressure", About::loop,
     "the return stands under {0:.0f kPa|.0f psi} at the most, above the {1:.0f kPa|.0f psi} that "
     "its hose and seals bear"},
}};
// clang-format on
#undef LINE_FAST

constexpr bool codes_in_order() {
    for (std::size_t i = 0; i < code_rows.size(); ++i)
        if (static_cast<std::size_t>(code_rows[i].code) != i) return false;
    return true;
}
static_assert(codes_in_order(), "the table of codes follows the enumeration");

const CodeRow& row(Code code) noexcept { return code_rows[static_cast<std::size_t>(code)]; }

/// Units that sentences speak in, where display_unit() would be unusual: fluids run at m/s, heads
/// are m.
struct Spoken {
    std::string_view unit;
    Quantity quantity;
    double factor, offset = 0;
};
constexpr std::array<Spoken, 18> spoken = {{
    {"", Quantity::ratio, 1},
    {"%", Quantity::ratio, 100},
    {"s", Quantity::time, 1},
    {"m/s", Quantity::speed, 1},
    {"ft/s", Quantity::speed, 1 / constants::foot},
    {"mm", Quantity::length, 1000},
    {"m", Quantity::length, 1},
    {"inch", Quantity::length, 1 / constants::inch},
    {"ft", Quantity::length, 1 / constants::foot},
    {"bar", Quantity::pressure, 1e-5},
    {"kPa", Quantity::pressure, 1e-3},
    {"psi", Quantity::pressure, 1 / constants::psi},
    {"°C", Quantity::temperature, 1, -constants::zero_celsius},
    {"°F", Quantity::temperature, 1.8, -459.67},
    {"kg", Quantity::mass, 1},
    {"lb", Quantity::mass, 1 / constants::pound},
    {"A", Quantity::electric_current, 1},
    {"A h", Quantity::electric_charge, 1.0 / 3600},
}};

/// `form` is ".1f bar": decimals, f (fixed) or g (significant digits), the unit.
std::string number(const Measured& value, std::string_view form) {
    const int digits = form[1] - '0';
    const bool fixed = form[2] == 'f';
    const std::string_view unit = form.size() > 4 ? form.substr(4) : std::string_view{};
    for (const Spoken& s : spoken) {
        if (s.unit != unit || s.quantity != value.quantity) continue;
        const double shown = value.si * s.factor + s.offset;
        if (!std::isfinite(shown)) return std::isnan(shown) ? "not known" : "unlimited";
        std::array<char, 400> text{};
        char* end =
            std::to_chars(text.data(), text.data() + text.size(), shown,
                          fixed ? std::chars_format::fixed : std::chars_format::general, digits)
                .ptr;
        std::string out(text.data(), end);
        if (out.starts_with('-') && out.find_first_not_of("-0.") == std::string::npos)
            out.erase(0, 1);
        if (!unit.empty()) out.append(" ").append(unit);
        return out;
    }
    return units::format(value.si, value.quantity, System::si, 3);
}

std::string placed(const Diagnostic& d, std::string_view slot, System system) {
    const auto named = [&](std::size_t i) { return i < d.names.size() ? d.names[i] : "?"; };
    if (slot == "s") return d.subject;
    if (slot == "a") return named(0);
    if (slot == "b") return named(1);
    const auto i = static_cast<std::size_t>(slot[0] - '0');
    if (slot.ends_with(":sold")) {
        // Files of before have it as a name.
        return i < d.values.size() ? units::size_as_sold(d.values[i].si, system) : named(1);
    }
    if (i >= d.values.size()) return "?";
    if (slot.ends_with(":any"))
        return units::format(d.values[i].si, d.values[i].quantity, system, 3);
    const std::string_view forms = slot.substr(2);
    const std::size_t bar = forms.find('|');
    if (bar == std::string_view::npos) return number(d.values[i], forms);
    return number(d.values[i], system == System::si ? forms.substr(0, bar) : forms.substr(bar + 1));
}

std::string filled(std::string_view text, const Diagnostic& d, System system) {
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t open = text.find('{', at);
        out += text.substr(at, open - at);
        if (open == std::string_view::npos) break;
        const std::size_t close = text.find('}', open);
        out += placed(d, text.substr(open + 1, close - open - 1), system);
        at = close + 1;
    }
    return out;
}

bool names_subject(std::string_view text) { return text.find("{s}") != std::string_view::npos; }

}  // namespace

bool operator==(const Diagnostic& a, const Diagnostic& b) {
    const auto same = [](const Measured& x, const Measured& y) {
        return x.si == y.si && x.quantity == y.quantity;
    };
    return a.code == b.code && a.subject == b.subject && a.names == b.names &&
           std::equal(a.values.begin(), a.values.end(), b.values.begin(), b.values.end(), same);
}

About about(Code code) noexcept { return row(code).about; }

const char* name(Code code) noexcept { return row(code).name; }

std::optional<Code> code_named(std::string_view name) noexcept {
    for (const CodeRow& r : code_rows)
        if (name == r.name) return r.code;
    return {};
}

std::string who(const Diagnostic& d) {
    switch (about(d.code)) {
        case About::whole:
            return {};
        case About::loop:
        case About::core:
            return d.subject;
        case About::fan:
            return "fan " + d.subject;
        case About::air_path:
            return "air path " + d.subject;
    }
    return {};
}

std::string sentence(const Diagnostic& d, System system) {
    return filled(row(d.code).sentence, d, system);
}

std::string words(const Diagnostic& d, System system) {
    const std::string first = names_subject(row(d.code).sentence) ? "" : who(d);
    return (first.empty() ? "" : first + ": ") + sentence(d, system);
}

std::string expected(Code code) { return row(code).expected; }

}  // namespace lapheat
