#include "check.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>

namespace lapheat::validation {
namespace {

double allowed(const Band& band, double outside) {
    return std::max(band.absolute, band.fraction * std::abs(outside));
}

/// The first line of a program takes the place of what its last run left.
void write(const nlohmann::json& line) {
    const char* path = std::getenv("LAPHEAT_CHECKS");
    if (path == nullptr) return;
    static bool begun = false;
    std::ofstream(path, begun ? std::ios::app : std::ios::trunc) << line.dump() << '\n';
    begun = true;
}

/// How much of its band a point uses.
double share(const Point& p, const Band& band) {
    const double miss = std::abs(p.ours - p.outside), fine = allowed(band, p.outside);
    if (!std::isfinite(miss)) return INFINITY;
    return miss == 0 ? 0 : fine > 0 ? miss / fine : INFINITY;
}

void record(const char* kind, const Row& row) {
    std::vector<Point> points = row.points;
    if (points.empty()) points.push_back({"", row.outside, row.ours});
    const Point& worst = *std::max_element(
        points.begin(), points.end(),
        [&](const Point& a, const Point& b) { return share(a, row.band) < share(b, row.band); });
    const bool pass = share(worst, row.band) <= 1;
    nlohmann::json pairs = nlohmann::json::array(), places = nlohmann::json::array();
    for (const Point& p : points) {
        pairs.push_back({p.outside, p.ours});
        places.push_back(p.at);
    }
    write({{"kind", kind},
           {"topic", row.topic},
           {"quantity", row.quantity},
           {"source", row.source},
           {"read", row.read},
           {"from_memory", row.from_memory},
           {"common_practice", row.common_practice},
           {"own_data", row.own_data},
           {"out_of_range", row.out_of_range},
           {"relation", solve::relation_names[static_cast<std::size_t>(row.relation)].name},
           {"outside", worst.outside},
           {"ours", worst.ours},
           {"unit", row.unit},
           {"allowed", allowed(row.band, worst.outside)},
           {"band", row.band.from},
           {"pass", pass},
           {"points", pairs},
           {"at", places},
           {"worst", worst.at},
           {"note", row.note},
           {"story", row.story},
           {"source_scatter", row.source_scatter}});
    INFO(row.topic << ": " << row.quantity << " [" << row.source << "] outside " << worst.outside
                   << " ours " << worst.ours << ' ' << row.unit << ' ' << worst.at);
    if (row.story.empty()) {
        CHECK(pass);
    } else {
        INFO("the row has a story of its failure, but passes: the story is stale");
        CHECK_FALSE(pass);
    }
}

}  // namespace

void measured(const Row& row) { record("measured", row); }
void published(const Row& row) { record("published", row); }
void library(const Row& row) { record("library", row); }
void closed_form(const Row& row) { record("closed form", row); }

std::string number(double value, int digits) {
    std::array<char, 40> text{};
    std::snprintf(text.data(), text.size(), "%.*g", digits, value);
    return text.data();
}

}  // namespace lapheat::validation
