// One check of the project against the world outside it.
//
// A check names its source and is recorded, pass or fail, as one line of JSON in the file that
// the environment variable LAPHEAT_CHECKS names; validation/report.py makes the table in
// validation/README.md of those lines. It also asserts (Catch2) that ours agrees.
#pragma once

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdlib>
#include <fstream>
#include <nlohmann/json.hpp>
#include <string>

namespace lapheat::validation {

struct Check {
    std::string topic;         ///< heading in the report, e.g. "Water"
    std::string quantity;      ///< what is compared, e.g. "specific heat, 300 K, 3 MPa"
    std::string source;        ///< author, title, table or equation; or library and version
    bool from_memory = false;  ///< the value was written without the page open
    double published = 0;      ///< the outside value
    double ours = 0;           ///< our value, same unit
    std::string unit;          ///< unit of both, "-" for none
    double tolerance = 0;      ///< allowed |ours - published| as a fraction of |published|
    double absolute = 0;       ///< allowed |ours - published| in the unit; the larger of both holds
    std::string note;          ///< why they differ, scatter of the source, and the like
};

/// Records the check and asserts it. Disagreement is never tuned away: it goes into the note.
inline void check(const Check& c) {
    const double difference = std::abs(c.ours - c.published);
    const double allowed = std::max(c.absolute, c.tolerance * std::abs(c.published));
    if (const char* path = std::getenv("LAPHEAT_CHECKS")) {
        // The first line of a program takes the place of what its last run left.
        static bool begun = false;
        std::ofstream(path, begun ? std::ios::app : std::ios::trunc)
            << nlohmann::json{{"topic", c.topic},
                              {"quantity", c.quantity},
                              {"source", c.source},
                              {"from_memory", c.from_memory},
                              {"published", c.published},
                              {"ours", c.ours},
                              {"unit", c.unit},
                              {"allowed", allowed},
                              {"pass", difference <= allowed},
                              {"note", c.note}}
                   .dump()
            << '\n';
        begun = true;
    }
    INFO(c.topic << ": " << c.quantity << " [" << c.source << "] published " << c.published
                 << " ours " << c.ours << ' ' << c.unit);
    CHECK(difference <= allowed);
}

}  // namespace lapheat::validation
