// What happens at a moment of a run: kinds and their names.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace lapheat::model {

/// Names stand in model/src/event.cpp, in this order.
enum class EventKind : std::uint8_t {
    over_limit,
    under_limit_again,
    fan_switch_closes,
    fan_switch_opens,
    thermostat_starts_to_open,
    thermostat_fully_open,
    thermostat_starts_to_close,
    thermostat_shut,
    engine_starts,
    engine_stops,
    cap_opens_first,
    liquid_pushed_out,  ///< past the cap: the expansion volume is full
    boils,
    boils_after_stop,
    wall_vapour_after_stop,  ///< a hot wall is above the boiling point of what stands before it
    hottest_after_stop,
    pump_cavitates,
    pump_full_again,
    relief_opens_first,
    pump_draws_vapour,  ///< what boiled away has used up the reserve
    pump_lost_liquid,
    liquid_gone,
    fault_begins,
};
inline constexpr int event_kinds = static_cast<int>(EventKind::fault_begins) + 1;

/// As files and tables have it: "over the limit", "fan switch closes".
[[nodiscard]] const char* name(EventKind kind) noexcept;
/// The kind of that name, or none.
[[nodiscard]] std::optional<EventKind> event_kind(std::string_view name) noexcept;

/// Something that happened at a moment, located by the integrator.
struct Event {
    double time = 0;  ///< s
    EventKind kind = EventKind::over_limit;
    std::string subject;  ///< the part or fluid
    double value = 0;     ///< K of the temperature concerned; 0: none
};

}  // namespace lapheat::model
