// Rows as JSON by their fields. Heavy to compile: for the sources that make JSON, not for headers.
#pragma once

#include <nlohmann/json.hpp>

#include "lapheat/results/fields.hpp"
#include "lapheat/results/json.hpp"

namespace lapheat::results {

/// {"loop": "coolant", "peak": 371.2, …}
template <class Row>
[[nodiscard]] Json json_row(const Row& row) {
    Json out = Json::object();
    for (const Field<Row>& field : fields<Row>())
        with_value(field, row, [&](const auto& x) { out.emplace(field.name, x); });
    return out;
}

template <class Rows>
[[nodiscard]] Json json_rows(const Rows& rows) {
    Json out = Json::array();
    for (const auto& row : rows) out.push_back(json_row(row));
    return out;
}

}  // namespace lapheat::results
