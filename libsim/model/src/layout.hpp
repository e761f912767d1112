// Where each kind of state stands in the state vector. A part with states of its own adds a kind
// here and a block in lay_out_state().
#pragma once

#include <array>
#include <cstddef>
#include <limits>

namespace lapheat::model {

/// Kinds of state, in the order in which they stand.
enum class StateKind {
    cell,        ///< energy over a constant, near the temperature (K), see Cell
    wall,        ///< K
    passage,     ///< K of the air that leaves a passage
    path,        ///< K of the air that enters a path
    bay,         ///< K of the engine bay's air
    bay_sheet,   ///< K of its sheet
    exhaust,     ///< K of the metal of each stretch of the exhaust
    head,        ///< part of each pump's head that cavitation leaves it
    lost,        ///< kg of liquid that each loop has boiled away
    fan,         ///< speed over full speed
    fan_switch,  ///< K of a switch's sensor
    wax,         ///< K of a thermostat's wax
    ledger,      ///< J that have gone each path of the ledger
    fan_energy,  ///< J electrical, all fans
    last = fan_energy
};

/// Local error is not controlled: a sum that nothing reads on the way.
inline constexpr double uncontrolled = std::numeric_limits<double>::infinity();

/// The states of one kind.
struct Block {
    int first = 0, count = 0;
    double slack = 1;  ///< local error allowed, over the tolerance asked for
    [[nodiscard]] int end() const noexcept { return first + count; }
    bool operator==(const Block&) const = default;
};

class Layout {
  public:
    /// Appends the states of one kind; kinds come in their order, each once.
    Block add(StateKind kind, std::size_t count, double slack = 1) {
        Block& block = blocks_[static_cast<std::size_t>(kind)];
        block = {size_, static_cast<int>(count), slack};
        size_ = block.end();
        return block;
    }
    [[nodiscard]] const Block& operator[](StateKind kind) const noexcept {
        return blocks_[static_cast<std::size_t>(kind)];
    }
    [[nodiscard]] const auto& blocks() const noexcept { return blocks_; }
    [[nodiscard]] int size() const noexcept { return size_; }
    bool operator==(const Layout&) const = default;

  private:
    std::array<Block, static_cast<std::size_t>(StateKind::last) + 1> blocks_{};
    int size_ = 0;
};

}  // namespace lapheat::model
