// One check of the project against the world outside it.
//
// There are four kinds of row, each recorded by a call of its own; what compares us with ourselves
// is a test and lives in tests/.
//     measured(row)     somebody's instrument: points, tables and charts of tests
//     published(row)    a value or relation in print: handbook, standard, correlation, example
//     library(row)      another library computes the same in the same run
//     closed_form(row)  mathematics
// A row stands only if breaking the library breaks it: "ours" comes out of libsim, the outside
// value does not. The band is the source's own scatter or its last printed digit, written down
// before the comparison. A row that fails is not tuned away: it says in `story` who is wrong, then
// it stands in the table as failed, is counted there, and does not break the build. Without a story
// it fails; a row with a story that passes fails too, because the story is stale.
//
// Each row is one line of JSON in the file that the environment variable LAPHEAT_CHECKS names;
// validation/report.py makes validation/README.md of those lines.
#pragma once

#include <catch2/catch.hpp>
#include <string>
#include <vector>

#include "lapheat/solve/relation.hpp"

namespace lapheat::validation {

using solve::Relation;

/// Allowed |ours - outside|: the larger of a fraction of |outside| and an amount in the unit.
struct Band {
    double fraction = 0;
    double absolute = 0;
    std::string
        from{};  ///< where the band comes from: "95 % of the data within ±15 %", "last digit"
};

/// One of several points of the same comparison.
struct Point {
    std::string at{};  ///< where, e.g. "Re 1200"
    double outside = 0;
    double ours = 0;
};

struct Row {
    std::string topic{};     ///< heading in the report, e.g. "Louvred fins"
    std::string quantity{};  ///< what is compared, with its conditions
    std::string source{};    ///< author, title, table or equation; or library and version
    std::string read{};      ///< where it was read, if not on the original page: a public copy, …
    bool from_memory = false;            ///< written without any page open
    bool common_practice = false;        ///< no source: rule of thumb, lecture notes, owners' tales
    bool own_data = false;               ///< our relation was fitted to these numbers
    bool out_of_range = false;           ///< of the relation, as its authors state it
    Relation relation = Relation::none;  ///< that the row measures, if it is one alone
    double outside = 0;
    double ours = 0;              ///< same unit
    std::string unit = "-";       ///< "-" for none
    std::vector<Point> points{};  ///< instead of outside and ours: the worst of them is shown
    Band band{};                  ///< stated before the comparison
    std::string note{};           ///< what a reader should know
    std::string story{};          ///< of a failed row: who is wrong, and how we know
    /// Standard deviation of the source's own data about the relation it prints, as a fraction:
    /// what it says of ours is no sharper than that. 0: a value, or points as measured.
    double source_scatter = 0;
};

void measured(const Row& row);
void published(const Row& row);
void library(const Row& row);
void closed_form(const Row& row);

/// A number in few digits, for words beside it.
[[nodiscard]] std::string number(double value, int digits = 4);

}  // namespace lapheat::validation
