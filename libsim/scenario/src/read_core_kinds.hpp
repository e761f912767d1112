// Reading the kinds of cores, shared by the files that read them.
#pragma once

#include <optional>

#include "lapheat/exchangers/core.hpp"
#include "lapheat/exchangers/fit.hpp"
#include "lapheat/exchangers/rate.hpp"
#include "read_parts.hpp"

namespace lapheat::scenario {

/// A core's kind: from dimensions, or from what a seller states or somebody measured.
enum class CoreKind {
    rated,
    points,
    map,
    conductance,
    weight_class,
    louvred,
    plate_fin,
    bar_plate,
    tank_plate,
    tank_tube,
    finned_tube
};

/// Key `arrangement` with what belongs to it; none if the file leaves it to the core's kind.
std::optional<exchangers::ArrangementSpec> read_arrangement(Reader& r);

/// Dirt and damage: liquid_fouling, air_fouling, blocked, bent_fins.
exchangers::Condition read_condition(Reader& r);

/// From dimensions; empty when something is wrong, which is then among the problems.
std::optional<exchangers::Core> read_geometry(Reader& r, CoreKind kind);

/// From what is stated, without its condition.
std::optional<exchangers::Core> read_stated(Reader& r, CoreKind kind,
                                            const exchangers::Medium& first,
                                            const exchangers::Medium& second);

/// A table of measured points under `key`. `face_area` (m²) turns air speeds into flows.
std::vector<exchangers::FitPoint> read_points(Reader& r, const char* key,
                                              const exchangers::Medium& first,
                                              const exchangers::Medium& second, double face_area);

}  // namespace lapheat::scenario
