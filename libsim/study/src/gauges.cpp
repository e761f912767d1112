#include "lapheat/study/gauges.hpp"

#include <algorithm>

#include "lapheat/solve/given_data.hpp"

namespace lapheat::study {
namespace {

// The share of the time below "low" and above "high".
constexpr double tail = 0.1;

}  // namespace

std::vector<GaugeReading> gauge_readings(const Comparison& c, std::size_t p) {
    std::vector<GaugeReading> out;
    for (std::size_t k = 0; k < c.cycles.size(); ++k) {
        const CycleOutcome& o = c.at(p, k);
        for (const model::Verdict& v : o.result.verdicts) {
            const auto* series = o.result.find("loops/" + v.loop, "watched_temperature");
            if (!series || series->values.empty()) continue;
            const Band* band =
                c.certainty ? c.certainty->band(o.placement, o.cycle, v.loop) : nullptr;
            const std::vector<double>& shown = band ? band->middle : series->values;
            const std::vector<double>& highest = band ? band->high : series->values;
            out.push_back({c.cycles[k], v.loop, v.part, solve::quantile(shown, tail),
                           solve::quantile(shown, 1 - tail),
                           *std::max_element(highest.begin(), highest.end()), band != nullptr});
        }
    }
    return out;
}

}  // namespace lapheat::study
