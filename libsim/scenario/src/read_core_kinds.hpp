// The kinds of cores, and what makes each.
#pragma once

#include <functional>
#include <optional>
#include <span>

#include "lapheat/exchangers/core.hpp"
#include "lapheat/exchangers/fit.hpp"
#include "lapheat/exchangers/rate.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {

/// A kind of core: its keys, and what makes it of them; empty when something is wrong, which is
/// then among the problems.
struct CoreKind {
    using Build = std::function<std::optional<exchangers::Core>(
        Reader&, const exchangers::Medium& first, const exchangers::Medium& second)>;
    const Table* keys;
    Build build;
    bool in_tank = false;  ///< cooled by a liquid, whether the file names it or not
};

/// Cores from their dimensions; from what a seller states or somebody measured.
[[nodiscard]] std::span<const CoreKind> geometry_kinds();
[[nodiscard]] std::span<const CoreKind> stated_kinds();

/// Key `arrangement` with what belongs to it; none if the file leaves it to the core's kind.
extern const Table arrangement_table;
std::optional<exchangers::ArrangementSpec> read_arrangement(Reader& r);

/// Dirt and damage.
extern const Table condition_table;
exchangers::Condition read_condition(Reader& r);

/// Key `measured`: points to which a core from dimensions is fitted.
extern const Table measured_table;
std::optional<exchangers::Core> fitted_to_measured(Reader& r, std::optional<exchangers::Core> core,
                                                   const exchangers::Medium& first,
                                                   const exchangers::Medium& second);

}  // namespace lapheat::scenario
