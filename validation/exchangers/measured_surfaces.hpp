// The measured surfaces of kays_london.json, read for the checks.
#pragma once

#include <fstream>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "check.hpp"

namespace lapheat::validation {

struct SurfacePoint {
    double reynolds = 0;  ///< on the hydraulic diameter
    double j = 0, f = 0;  ///< 0: nothing is printed
};

struct TestedSurface {
    std::string name, kind, trust, note;
    nlohmann::json numbers;  ///< dimensions by name, units in the names
    std::vector<SurfacePoint> points;

    /// m, from a key that ends in _mm.
    [[nodiscard]] double metres(const char* key) const {
        return 1e-3 * numbers.at(key).get<double>();
    }
    /// m, from fin to fin.
    [[nodiscard]] double fin_pitch() const {
        return 0.0254 / numbers.at("fins_per_inch").get<double>();
    }
};

inline const char* const kays_london =
    "Kays & London, Compact Heat Exchangers, 3rd ed., chapter 10, table of ";
inline const char* const kays_london_read =
    "the public workbook KaysLondonCollection (with J. Eng. Gas Turbines Power 146 (11) 2024, doi "
    "10.1115/1.4065922)";

/// Every surface of a kind whose table is trusted (A or B).
inline std::vector<TestedSurface> measured_surfaces(const std::string& kind) {
    std::ifstream file(LAPHEAT_SOURCE_DIR "/validation/exchangers/kays_london.json");
    const nlohmann::json all = nlohmann::json::parse(file);
    std::vector<TestedSurface> found;
    for (const auto& s : all.at("surfaces")) {
        if (s.at("kind") != kind || s.at("trust") == "C") continue;
        TestedSurface m{s.at("name"), s.at("kind"), s.at("trust"), s.at("note"), s, {}};
        for (const auto& row : s.at("rows")) {
            const auto value = [](const nlohmann::json& x) {
                return x.is_null() ? 0 : x.get<double>();
            };
            m.points.push_back({row[0].get<double>(), value(row[1]), value(row[2])});
        }
        found.push_back(std::move(m));
    }
    return found;
}

/// A row of one surface: `ours` gives the number at a Reynolds number on the hydraulic diameter.
/// Points outside `low` to `high` (Re there) are left to another row.
template <class Ours>
Row surface_row(const TestedSurface& s, bool film, Ours ours, double low = 0, double high = 1e9) {
    Row row;
    row.quantity = std::string(film ? "Colburn j" : "Fanning f") + ", surface " + s.name +
                   " (trust " + s.trust + ")";
    row.source = kays_london + s.name;
    row.read = kays_london_read;
    for (const SurfacePoint& p : s.points) {
        const double outside = film ? p.j : p.f;
        if (outside > 0 && p.reynolds >= low && p.reynolds <= high)
            row.points.push_back({"Re " + number(p.reynolds), outside, ours(p.reynolds)});
    }
    return row;
}

}  // namespace lapheat::validation
