// What a machine reads of a comparison.
#include "lapheat/results/json_rows.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/study/fields.hpp"
#include "lapheat/study/gauges.hpp"
#include "lapheat/study/report.hpp"

namespace lapheat::study {

using results::Json, results::json_row, results::json_rows;

namespace {

Json ranking_json(const Comparison& c) {
    Json out = Json::array();
    for (const Ranked& r : c.ranking) {
        Json rank = json_row(r);
        rank["lines"] = Json::object();
        for (const auto& [loop, metres] : r.lines) rank["lines"][loop] = metres;
        rank["margins"] = Json::object();
        for (const auto& [loop, margin] : r.margins) rank["margins"][loop] = margin;
        rank["effects"] = Json::object();
        for (const auto& [loop, lost] : r.effects) rank["effects"][loop] = lost;
        out.push_back(std::move(rank));
    }
    return out;
}

Json runs_json(const Comparison& c) {
    Json out = Json::array();
    for (const CycleOutcome& o : c.outcomes) {
        Json run = results::to_json(o.result);
        run["placement"] = o.placement;  // numbered where two share a name
        run.update(json_row(o));
        out.push_back(std::move(run));
    }
    return out;
}

}  // namespace

Json certainty_json(const Certainty& c) {
    Json numbers = Json::array();
    for (const DoubtedNumber& n : c.table.numbers)
        numbers.push_back({{"number", n.words()},
                           {"origin", scenario::name(n.origin)},
                           {"value", n.value},
                           {"low", n.distribution.quantile(0.05)},
                           {"high", n.distribution.quantile(0.95)},
                           {"distribution", n.why},
                           {"source", n.source}});
    Json failed = Json::array();
    for (const FailedDraw& f : c.table.failed)
        failed.push_back(
            {{"draw", f.draw}, {"placement", f.placement}, {"cycle", f.cycle}, {"what", f.what}});
    return {{"draws", c.draws},
            {"runs", c.runs},
            {"series", c.table.series},
            {"interrupted", c.cancelled},
            {"failed", std::move(failed)},
            {"not_drawn", c.not_drawn},
            {"placements", json_rows(c.placements)},
            {"cycles", json_rows(c.cycles)},
            {"fluids", json_rows(c.fluids)},
            {"better", c.better},
            {"about", c.about},
            {"drivers", json_rows(c.drivers)},
            {"explained", c.explained},
            {"measure", json_rows(c.measure)},
            {"regret", c.regret},
            {"regret_low", c.regret_low},
            {"regret_high", c.regret_high},
            {"numbers", std::move(numbers)}};
}

Json line_costs_json(const std::vector<LineCost>& costs) { return json_rows(costs); }

Json plumbing_json(const std::vector<PlumbingItem>& items) { return json_rows(items); }

Json wiring_json(const model::Car& car) { return json_rows(fan_feeds(car)); }

Json to_json(const Comparison& c) {
    Json line_costs = Json::array(), plumbing = Json::array(), wiring = Json::array();
    for (std::size_t p = 0; p < c.line_costs.size(); ++p)
        line_costs.push_back(
            {{"placement", c.placements[p]}, {"lines", line_costs_json(c.line_costs[p])}});
    for (std::size_t p = 0; p < c.cars.size(); ++p) {
        plumbing.push_back(
            {{"placement", c.placements[p]}, {"items", plumbing_json(study::plumbing(c.cars[p]))}});
        wiring.push_back({{"placement", c.placements[p]}, {"fans", wiring_json(c.cars[p])}});
    }
    Json gauges = Json::array();
    for (std::size_t p = 0; p < c.placements.size(); ++p)
        gauges.push_back(
            {{"placement", c.placements[p]}, {"readings", json_rows(gauge_readings(c, p))}});
    Json queue = Json::array();
    for (const QueueChoice& q : c.queue)
        queue.push_back({{"cycle", q.cycle},
                         {"placement", q.placement},
                         {"way", q.way},
                         {"as_driven", q.as_driven},
                         {"margin", q.margin}});
    return {{"verdict", c.verdict},
            {"rule", ranking_rule(c, units::System::si)},
            {"margins", results::limit_law()},
            {"served", c.served},
            {"ranking", ranking_json(c)},
            {"certainty", c.certainty ? certainty_json(*c.certainty) : Json()},
            {"runs", runs_json(c)},
            {"line_costs", std::move(line_costs)},
            {"plumbing", std::move(plumbing)},
            {"wiring", std::move(wiring)},
            {"levers", json_rows(c.levers)},
            {"queue", std::move(queue)},
            {"gauges", std::move(gauges)},
            {"cautions", json_rows(c.cautions)}};
}

}  // namespace lapheat::study
