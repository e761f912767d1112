// lapheat check: read and validate, nothing else.
#include <fmt/core.h>

#include <filesystem>
#include <set>
#include <stdexcept>
#include <utility>

#include "commands.hpp"
#include "console.hpp"
#include "examples.hpp"
#include "json_reports.hpp"
#include "lapheat/units/restate.hpp"

namespace lapheat::app {
namespace {

using scenario::Document;

bool is_cycle(const Document& document) {
    return document.root.find("segments") != nullptr && document.root.find("car") == nullptr;
}

/// An invented car to drive a cycle that is checked by itself, for laps need one, with a condenser
/// in case the air conditioning runs.
Document some_car() {
    for (const Example& example : examples())
        if (example.path == "short/car.toml")
            return scenario::parse(std::string(example.text), "(an invented car)")
                .with("radiator.condenser", "true")
                .with("cycles", "[]");
    throw std::logic_error("the example car is missing");
}

/// What the file is, with what it holds.
std::string read_one(const std::string& file, CheckedFile& out) {
    scenario::Problems syntax;
    const Document document = scenario::load(file, syntax);
    if (is_cycle(document)) {
        const scenario::Scenario s = scenario::read(some_car(), "", {file}, document.files);
        out.problems = s.warnings;
        out.cycles = 1;
        return fmt::format("cycle '{}'", s.cycles.front().name);
    }
    // A car that placements extend.
    const bool base = document.root.find("car") != nullptr &&
                      document.root.find("placement") == nullptr &&
                      document.root.find("cooler") == nullptr;
    const scenario::Scenario s =
        scenario::read_loaded(base ? document.with("placement", "to extend") : document,
                              std::move(syntax), std::filesystem::path(file).parent_path());
    out.problems = s.warnings;
    out.cycles = s.cycles.size();
    out.assumed = s.car.assumed;
    out.besides = results::other_assumptions(s.car.assumptions, s.car.assumed);
    out.assumptions = out.assumed.size();
    return fmt::format("{}, {} cycles, {} numbers assumed",
                       base ? "a car for placements to extend" : "'" + s.car.placement + "'",
                       out.cycles, out.assumptions);
}

/// Reads one file; "cycle 'traffic'" into `what`.
CheckedFile checked(const std::string& file, std::string& what) {
    CheckedFile out;
    out.file = file;
    try {
        what = read_one(file, out);
    } catch (const scenario::Errors& e) {
        out.problems = e.problems();
        out.good = false;
    }
    return out;
}

}  // namespace

int check(const Common& common, const std::vector<std::string>& files, bool all) {
    int code = all_well;
    std::vector<CheckedFile> report;
    std::set<std::string> told;  // what placements share, a car or a cycle, is told once
    for (const std::string& file : files) {
        std::string what;
        const CheckedFile& found = report.emplace_back(checked(file, what));
        if (!found.good)
            code = bad_input;
        else if (!common.json && !common.quiet)
            print(fmt::format("{}: good: {}\n", file, what));
        if (found.good && all && !found.assumed.empty() && !common.json) {
            const results::Style style = style_of(common);
            print(
                '\n' +
                results::render(results::assumed_table(found.assumed, common.units), style.table) +
                '\n');
            print("Besides, in words\n");
            std::vector<std::string> shown;
            for (const std::string& text : found.besides)
                shown.push_back(units::restated(text, common.units));
            print_list(shown, style);
        }
        std::vector<scenario::Problem> fresh;
        for (const scenario::Problem& problem : found.problems)
            if (told.insert(scenario::to_string(problem)).second) fresh.push_back(problem);
        complain(fresh, common.units);
        if (fresh.empty() && !found.good) complain(file + ": bad: as told above\n");
    }
    if (common.json) print_check(report);
    return code;
}

}  // namespace lapheat::app
