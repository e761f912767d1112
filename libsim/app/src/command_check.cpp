// lapheat check: read and validate, nothing else.
#include "commands.hpp"
#include "console.hpp"

namespace lapheat::app {
namespace {

/// A cycle by itself is read with the car that generated laps would need least of: the default one.
bool is_cycle(const scenario::Document& document) {
    return document.root.find("segments") != nullptr && document.root.find("car") == nullptr;
}

}  // namespace

int check(const Common& common, const std::vector<std::string>& files) {
    int code = all_well;
    results::Json::Array report;
    for (const std::string& file : files) {
        std::vector<scenario::Problem> problems;
        std::size_t assumptions = 0, cycles = 0;
        std::string what;
        try {
            scenario::Problems ignored;
            if (is_cycle(scenario::load(file, ignored))) {
                what = "cycle '" + scenario::read_cycle(file, drive::Vehicle{}).name + "'";
                cycles = 1;
            } else {
                const scenario::Scenario s = scenario::read(file);
                what = "'" + s.car.placement + "', " + std::to_string(s.cycles.size()) +
                       " cycles, " + std::to_string(s.assumptions.size()) + " assumptions";
                problems = s.warnings;
                assumptions = s.assumptions.size();
                cycles = s.cycles.size();
            }
            if (!common.json && !common.quiet) print(file + ": good: " + what + "\n");
        } catch (const scenario::Errors& e) {
            problems = e.problems();
            code = bad_input;
        }
        complain(problems);
        results::Json::Array list;
        bool good = true;
        for (const scenario::Problem& p : problems) {
            const bool is_error = p.severity == scenario::Severity::error;
            good = good && !is_error;
            list.emplace_back(
                results::Json::Object{{"file", p.place.file},
                                      {"line", static_cast<std::int64_t>(p.place.line)},
                                      {"column", static_cast<std::int64_t>(p.place.column)},
                                      {"key", p.key},
                                      {"found", p.found},
                                      {"expected", p.expected},
                                      {"hint", p.hint},
                                      {"severity", is_error ? "error" : "warning"}});
        }
        report.emplace_back(
            results::Json::Object{{"file", file},
                                  {"good", good},
                                  {"cycles", static_cast<std::int64_t>(cycles)},
                                  {"assumptions", static_cast<std::int64_t>(assumptions)},
                                  {"problems", std::move(list)}});
    }
    if (common.json)
        print_json(results::Json::Object{{"report", "check"}, {"files", std::move(report)}});
    return code;
}

}  // namespace lapheat::app
