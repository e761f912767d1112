// What a machine reads of a run and of a core's map.
#include "lapheat/exchangers/core.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/results/json_rows.hpp"
#include "lapheat/results/report.hpp"

namespace lapheat::results {

Json to_json(const model::Result& result) {
    Json out = json_row(result);
    const model::Verdict* least = tightest(result);
    out["tightest_loop"] = least ? Json(least->loop) : Json();
    out["least_margin"] = least ? Json(least->margin) : Json();
    out["verdicts"] = json_rows(result.verdicts);
    out["lines"] = json_rows(result.lines);
    out["pumps"] = json_rows(result.pumps);
    out["fans"] = json_rows(result.fans);
    out["events"] = json_rows(result.events);
    out["ledger"] = {{"moved", result.ledger.moved},
                     {"closure", result.ledger.closure},
                     {"entries", json_rows(result.ledger.entries)}};
    out["sources"] = json_rows(result.sources);
    out["phases"] = Json::array();
    for (const auto& [start, name] : result.phases)
        out["phases"].push_back({{"start", start}, {"name", name}});
    out["cost"] = json_row(result.cost);
    out["warnings"] = Json::array();
    for (const Diagnostic& d : result.warnings)
        out["warnings"].push_back(words(d, units::System::si));
    Json assumed = Json::array();
    for (const model::AssumedText& a : result.assumptions) assumed.push_back(a.words());
    out["assumptions"] = std::move(assumed);
    out["assumed"] = json_rows(result.assumed);
    return out;
}

Json to_json(const CoreMap& m) {
    Json points = Json::array();
    for (const MapPoint& p : points_of(m)) {
        Json point = json_row(p);
        point["limit"] = p.limit;
        point["flags"] = exchangers::describe_core_flags(p.flags);
        points.push_back(std::move(point));
    }
    return {{"core", m.core},
            {"second_is_air", m.second_is_air},
            {"face_area", m.face_area},
            {"uncertainty", m.uncertainty},
            {"heat_capacity", m.heat_capacity},
            {"liquid_volume", m.liquid_volume},
            {"points", std::move(points)},
            {"assumptions", m.assumptions}};
}

}  // namespace lapheat::results
