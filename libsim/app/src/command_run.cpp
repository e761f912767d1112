// lapheat run: one placement through its cycles.
#include "commands.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/study/wiring.hpp"
#include "line_report.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

constexpr std::size_t events_shown = 12;

std::string report(const model::Result& result, const results::Style& style, bool all) {
    std::string out = results::heading(result, style) + '\n' +
                      results::verdict_tables(result, style) + results::fault_lines(result, style) +
                      '\n';
    out += results::event_table(result, style, all ? 0 : events_shown) + '\n';
    out += results::source_table(result, style) + '\n';
    if (all)
        out += results::line_state_table(result, style) + '\n' +
               results::pump_table(result, style) + '\n' + results::ledger_table(result, style) +
               '\n' + results::assumption_lines(result, style) + '\n';
    out += results::warning_lines(result, style) + results::cost_line(result);
    return out;
}

}  // namespace

int run(const Common& common, const RunRequest& request) {
    const std::vector<scenario::Scenario> scenarios =
        read_all(common, {request.file}, request.cycles);
    const scenario::Scenario& s = scenarios.front();
    const auto model = model::compile(s.car);
    const results::Origin origin = origin_of(s);
    const results::Style style = style_of(common);
    if (!request.dry) make_folder(common.out);

    std::vector<model::Result> done;
    std::set<std::string> taken;
    results::Json::Array listed;
    // One job for each cycle, with a progress bar over all of them; its errors name the cycle.
    const auto each_cycle = [&](const char* doing, auto&& job) {
        Progress progress(doing, 1000, common.quiet || common.json);
        std::size_t shown = 0;
        for (std::size_t i = 0; i < s.cycles.size(); ++i) {
            try {
                job(i, moves(progress, shown, i, s.cycles.size()));
            } catch (const Error& e) {
                throw RunFailure(s.car.placement + ", " + s.cycles[i].name + ": " + e.what());
            }
        }
    };
    each_cycle("driving", [&](std::size_t i, const auto& moved) {
        model::Options options;
        options.cancel = &interrupted();
        options.progress = moved;
        done.push_back(model::simulate(*model, s.cycles[i], options));
    });
    std::vector<std::vector<study::LineCost>> costs(done.size());
    if (request.lines)
        each_cycle("lines", [&](std::size_t i, const auto& moved) {
            study::LineCostOptions options;
            options.cancel = &interrupted();
            options.progress = moved;
            costs[i] = study::line_costs(s.car, s.cycles[i], options);
        });
    for (const model::Result& result : done) {
        const std::vector<study::LineCost>& cost =
            costs[static_cast<std::size_t>(&result - done.data())];
        std::string path;
        if (!request.dry) {
            const std::filesystem::path target = result_path(common.out, result, taken);
            results::write_result(target, result, origin);
            path = target.string();
        }
        if (common.json) {
            results::Json json = results::to_json(result);
            auto& object = std::get<results::Json::Object>(json.value);
            if (request.lines) object.emplace_back("line_costs", line_cost_json(cost));
            object.emplace_back("file", path.empty() ? results::Json() : results::Json(path));
            listed.push_back(std::move(json));
        } else if (common.quiet) {
            if (!path.empty()) print(path + "\n");
        } else {
            print(report(result, style, request.all) +
                  (request.lines ? '\n' + line_cost_table(cost, style) : "") +
                  (path.empty() ? "" : "Written to " + path + "\n") + "\n");
        }
    }
    if (common.json)
        print_json(results::Json::Object{{"report", "run"},
                                         {"lapheat", results::version()},
                                         {"runs", std::move(listed)},
                                         {"plumbing", plumbing_json(study::plumbing(s.car))}});
    else if (!common.quiet) {
        std::string feeds;
        for (const std::string& text : study::wiring(s.car, common.units)) {
            std::string lead = "  - ";
            for (const std::string& line :
                 results::wrapped(text, style.table.width - lead.size())) {
                feeds += lead + line + '\n';
                lead = "    ";
            }
        }
        if (!feeds.empty()) print("Wiring of the fans\n" + feeds);
        if (!s.assumptions.empty() && !request.all)
            print(std::to_string(s.car.assumptions.size()) +
                  " assumptions were made; --all lists them.\n");
        print(results::estimate_notice());
    }
    return request.strict && any_over(done) ? over_limit : all_well;
}

}  // namespace lapheat::app
