// lapheat check: read and validate, nothing else.
#include <fmt/core.h>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"

namespace lapheat::app {
namespace {

/// A cycle by itself is read with the car that generated laps would need least of: the default one.
bool is_cycle(const scenario::Document& document) {
    return document.root.find("segments") != nullptr && document.root.find("car") == nullptr;
}

/// Reads one file; "cycle 'traffic'" into `what`.
CheckedFile checked(const std::string& file, std::string& what) {
    CheckedFile out;
    out.file = file;
    try {
        scenario::Problems ignored;
        if (is_cycle(scenario::load(file, ignored))) {
            what = fmt::format("cycle '{}'", scenario::read_cycle(file, drive::Vehicle{}).name);
            out.cycles = 1;
        } else {
            const scenario::Scenario s = scenario::read(file);
            out.problems = s.warnings;
            out.assumptions = s.assumptions.size();
            out.cycles = s.cycles.size();
            what = fmt::format("'{}', {} cycles, {} assumptions", s.car.placement, out.cycles,
                               out.assumptions);
        }
    } catch (const scenario::Errors& e) {
        out.problems = e.problems();
        out.good = false;
    }
    return out;
}

}  // namespace

int check(const Common& common, const std::vector<std::string>& files) {
    int code = all_well;
    std::vector<CheckedFile> report;
    for (const std::string& file : files) {
        std::string what;
        const CheckedFile& found = report.emplace_back(checked(file, what));
        if (!found.good)
            code = bad_input;
        else if (!common.json && !common.quiet)
            print(fmt::format("{}: good: {}\n", file, what));
        complain(found.problems, common.units);
    }
    if (common.json) print_check(report);
    return code;
}

}  // namespace lapheat::app
