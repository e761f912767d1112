// lapheat show: what a result file says.
#include "commands.hpp"
#include "console.hpp"

namespace lapheat::app {

int show(const Common& common, const ShowRequest& request) {
    const results::Hdf5Reader reader(request.file);
    if (request.texts) {
        for (const results::TextFile& file : results::get_texts(reader))
            print("# --- " + file.path + "\n" + file.text + "\n");
        return all_well;
    }
    const results::Style style = style_of(common);
    std::vector<model::Result> runs;
    results::Json::Array listed;
    std::vector<std::string> roots;
    try {
        roots = results::run_roots(reader);
    } catch (const Error& e) {
        throw Error(e.what(), e.expected(), {request.file, 0, 0});
    }
    for (const std::string& root : roots) {
        model::Result result = results::get_result(reader, root);
        if (common.json) {
            listed.push_back(results::to_json(result));
            continue;
        }
        if (roots.size() == 1) {
            const auto limits = results::get_limits(reader, root);
            print(results::heading(result, style) + '\n' + results::verdict_tables(result, style) +
                  '\n' + results::limit_table(limits, style) + '\n' +
                  results::event_table(result, style) + '\n' +
                  results::ledger_table(result, style) + '\n' +
                  results::assumption_lines(result, style) + '\n' +
                  results::warning_lines(result, style) + results::cost_line(result));
            print(std::to_string(result.series.size()) + " series of " +
                  std::to_string(result.time.size()) + " samples\n");
        }
        runs.push_back(std::move(result));
    }
    if (common.json)
        print_json(results::Json::Object{{"report", "show"},
                                         {"lapheat", reader.label("/", "lapheat")},
                                         {"runs", std::move(listed)}});
    else {
        if (roots.size() > 1) print(results::comparison_table(runs, style));
        print(results::estimate_notice());
    }
    return all_well;
}

}  // namespace lapheat::app
