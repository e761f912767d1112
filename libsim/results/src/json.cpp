#include "lapheat/results/json.hpp"

#include <nlohmann/json.hpp>

namespace lapheat::results {

std::string to_text(const Json& json, int indent) {
    return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace lapheat::results
