#include "lapheat/results/json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>
#include <type_traits>

namespace lapheat::results {
namespace {

using Text = nlohmann::ordered_json;

Text converted(const Json& json) {
    return std::visit(
        [](const auto& x) -> Text {
            using T = std::decay_t<decltype(x)>;
            if constexpr (std::is_same_v<T, Json::Array>) {
                Text out = Text::array();
                for (const Json& item : x) out.push_back(converted(item));
                return out;
            } else if constexpr (std::is_same_v<T, Json::Object>) {
                Text out = Text::object();
                for (const auto& [key, item] : x) out[key] = converted(item);
                return out;
            } else if constexpr (std::is_same_v<T, double>) {
                return std::isfinite(x) ? Text(x) : Text(nullptr);
            } else {
                return Text(x);
            }
        },
        json.value);
}

}  // namespace

std::string to_text(const Json& json, int indent) {
    return converted(json).dump(indent, ' ', false, Text::error_handler_t::replace);
}

}  // namespace lapheat::results
