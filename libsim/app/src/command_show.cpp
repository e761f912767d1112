// lapheat show: what a result file says.
#include <fmt/core.h>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"

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
    const results::Style style = style_of(common);
    if (runs.size() == 1)
        print_one(runs.front(), results::get_limits(reader, roots.front()), style);
    else
        print(results::comparison_table(runs, style));
    print(results::estimate_notice());
    return all_well;
}

}  // namespace lapheat::app
