// What a loop is for. Loops may be called anything; the role decides their limits, what a fault of
// "the coolant" means, whose fluid's life is counted and how a report draws them.
#pragma once

#include <string_view>

namespace lapheat::model {

enum class LoopRole { other, coolant, transmission, steering, engine_oil };

/// "coolant", "transmission", "steering", "engine_oil" or "other". Static storage.
[[nodiscard]] constexpr const char* name_of(LoopRole role) noexcept {
    constexpr const char* names[] = {"other", "coolant", "transmission", "steering", "engine_oil"};
    return names[static_cast<int>(role)];
}

/// The role of that name; `other` for any other word.
[[nodiscard]] constexpr LoopRole role_named(std::string_view name) noexcept {
    for (const LoopRole role : {LoopRole::coolant, LoopRole::transmission, LoopRole::steering,
                                LoopRole::engine_oil})
        if (name == name_of(role)) return role;
    return LoopRole::other;
}

}  // namespace lapheat::model
