#include "lapheat/model/event.hpp"

#include <array>

namespace lapheat::model {
namespace {

constexpr std::array<const char*, event_kinds> event_names = {
    "over the limit",
    "under the limit again",
    "fan switch closes",
    "fan switch opens",
    "thermostat starts to open",
    "thermostat is fully open",
    "thermostat starts to close",
    "thermostat is shut",
    "engine starts",
    "engine stops",
    "cap opens first",
    "liquid is pushed out past the cap",
    "boils",
    "boils after shut-down",
    "vapour at the hot walls after shut-down",
    "hottest after shut-down",
    "pump cavitates",
    "pump runs full again",
    "relief valve opens first",
    "pump begins to draw vapour",
    "pump has lost its liquid",
    "liquid gone",
    "fault begins",
};

}  // namespace

const char* name(EventKind kind) noexcept { return event_names[static_cast<std::size_t>(kind)]; }

std::optional<EventKind> event_kind(std::string_view name) noexcept {
    for (std::size_t i = 0; i < event_names.size(); ++i)
        if (name == event_names[i]) return static_cast<EventKind>(i);
    return {};
}

}  // namespace lapheat::model
