// lapheat show: what a result file says.
#include <fmt/core.h>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/scenario/scenario.hpp"

namespace lapheat::app {
namespace {

void print_one(const model::Result& result, const std::vector<results::LoopLimits>& limits,
               const results::Style& style) {
    print(results::heading(result, style) + '\n' + results::verdict_tables(result, style) + '\n' +
          results::limit_table(limits, style) + '\n' + results::event_table(result, style) + '\n' +
          results::ledger_table(result, style) + '\n' + results::assumption_lines(result, style) +
          '\n' + results::warning_lines(result, style) + results::cost_line(result, style));
    print(fmt::format("{} series of {} samples\n", result.series.size(), result.time.size()));
}

/// As the files that the result was made from say.
units::System system_of(const results::Hdf5Reader& reader) {
    std::vector<scenario::SourceFile> files;
    for (const results::TextFile& file : results::get_texts(reader))
        files.push_back({file.path, file.text});
    return scenario::system_of(files).value_or(units::System::si);
}

}  // namespace

int show(const Common& common, const ShowRequest& request) {
    const results::Hdf5Reader reader(request.file);
    if (request.texts) {
        for (const results::TextFile& file : results::get_texts(reader))
            print(fmt::format("# --- {}\n{}\n", file.path, file.text));
        return all_well;
    }
    std::vector<std::string> roots;
    try {
        roots = results::run_roots(reader);
    } catch (const Error& e) {
        throw Error(e.what(), e.expected(), {request.file, 0, 0});
    }
    std::vector<model::Result> runs;
    for (const std::string& root : roots) runs.push_back(results::get_result(reader, root));
    if (common.json) {
        print_show(reader.label("/", "lapheat"), runs);
        return all_well;
    }
    results::Style style = style_of(common);
    if (!common.units_asked) style.units = system_of(reader);
    if (runs.size() == 1)
        print_one(runs.front(), results::get_limits(reader, roots.front()), style);
    else
        print(results::comparison_table(runs, style));
    print(results::estimate_notice());
    return all_well;
}

}  // namespace lapheat::app
