// Streams of heat that the drive gives and that a volume or a stack item may name. To add one: an
// enumerator, its line in the table, its watts in src/forcing.cpp (the compiler asks for the
// latter two).
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <vector>

namespace lapheat::model {

enum class Stream : int {
    engine_coolant,  ///< W from gas and friction to the jacket
    engine_oil,      ///< W to the engine's oil
    converter,       ///< W lost in the converter or a slipping clutch
    gears,           ///< W of mesh, spin, shift clutches and oil pump to the transmission fluid
    gearbox_case,    ///< W that gears and bearings give straight to the case
    steering_pump,   ///< W of relief, flow control and leakage in the steering pump
    steering_gear,   ///< W throttled in the rack or box and in its lines
    condenser,       ///< W of the air conditioning's condenser
    last = condenser
};

struct StreamEntry {
    Stream stream;
    const char* name;   ///< as files spell it
    bool warms_liquid;  ///< a part of a loop may take it, and the ledger counts it; else air only
};

inline constexpr std::array stream_table{
    StreamEntry{Stream::engine_coolant, "engine_coolant", true},
    StreamEntry{Stream::engine_oil, "engine_oil", true},
    StreamEntry{Stream::converter, "converter", true},
    StreamEntry{Stream::gears, "gears", true},
    StreamEntry{Stream::gearbox_case, "gearbox_case", true},
    StreamEntry{Stream::steering_pump, "steering_pump", true},
    StreamEntry{Stream::steering_gear, "steering_gear", true},
    StreamEntry{Stream::condenser, "condenser", false}};

static_assert(stream_table.size() == static_cast<std::size_t>(Stream::last) + 1,
              "every stream has one line in the table");
static_assert(
    [] {
        for (std::size_t i = 0; i < stream_table.size(); ++i)
            if (stream_table[i].stream != static_cast<Stream>(i)) return false;
        return true;
    }(),
    "the table is in the order of the enumerators");

/// One value for each stream.
template <class T>
struct PerStream {
    std::array<T, stream_table.size()> values{};
    [[nodiscard]] T& operator[](Stream s) noexcept { return values[static_cast<std::size_t>(s)]; }
    [[nodiscard]] const T& operator[](Stream s) const noexcept {
        return values[static_cast<std::size_t>(s)];
    }
    bool operator==(const PerStream&) const = default;
};

/// The names in the order of the table.
[[nodiscard]] const std::vector<std::string>& stream_names();

/// The entry of this name, or nullptr.
[[nodiscard]] const StreamEntry* find_stream(const std::string& name) noexcept;

}  // namespace lapheat::model
