// How a scenario spells the assumptions of a place.
#pragma once

#include <string>
#include <string_view>

namespace lapheat::scenario {

/// The key under [air.<name>.assumptions] of an airflow::NamedAssumption's name:
/// "engine-bay share at rest" is engine_bay_share_at_rest.
[[nodiscard]] std::string place_key(std::string_view name);

}  // namespace lapheat::scenario
