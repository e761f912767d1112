// Columns of rows, for files.
#pragma once

#include <type_traits>
#include <vector>

namespace lapheat::study {

/// get(row) of each.
template <class Row, class Get>
[[nodiscard]] auto column_of(const std::vector<Row>& rows, Get get) {
    std::vector<std::decay_t<decltype(get(rows[0]))>> out;
    out.reserve(rows.size());
    for (const Row& row : rows) out.push_back(get(row));
    return out;
}

}  // namespace lapheat::study
