// A whole run of a demonstration car with some of its numbers changed, for a few seconds of a cycle
// with numbers of its own. What comes out is finite, closes its ledger and has its networks solved,
// or the run was refused with a reason.
#include <array>
#include <utility>
#include <vector>

#include "harness.hpp"
#include "lapheat/drive/generate.hpp"
#include "lapheat/model/simulate.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;

namespace {

const scenario::Scenario& car(std::size_t which) {
    static const std::array<scenario::Scenario, 3> cars = [] {
        const std::string folder = LAPHEAT_SOURCE_DIR "/scenarios/";
        const std::vector<std::filesystem::path> cycle = {folder + "cycles/highway_grade.toml"};
        return std::array{scenario::read(folder + "placements/under_floor.toml", cycle),
                          scenario::read(folder + "placements/in_tank.toml", cycle),
                          scenario::read(folder + "short/placements/pickup_front.toml", cycle)};
    }();
    return cars[which];
}

/// Within what its key allows, mostly near to what it was; now and then anything.
double other(fuzz::Choices& c, const scenario::Number& n) {
    const std::size_t how = c.below(8);
    if (how == 0) return c.wild();
    if (how < 3 && std::isfinite(n.range.low) && std::isfinite(n.range.high))
        return n.range.low + c.share() * (n.range.high - n.range.low);
    const double factor = std::pow(10.0, (how < 6 ? 2 : 8) * (c.share() - 0.5));
    return n.whole ? std::round(n.value * factor) : n.value * factor;
}

drive::Surroundings weather(fuzz::Choices& c) {
    return {.ambient = c.within(233, 330),
            .humidity = c.share(),
            .sun = c.within(0, 1200),
            .wind = c.within(-20, 20),
            .altitude = c.within(-400, 5000)};
}

drive::Cycle cycle(fuzz::Choices& c) {
    const drive::Surroundings air = weather(c);
    switch (c.below(5)) {
        case 0:
            return drive::idle(c.within(1, 30), drive::Selector::drive, air);
        case 1:
            return drive::soak(c.within(1, 60), air);
        case 2:
            return drive::steady(c.within(0, 90), c.within(1, 20), air);
        case 3:
            return drive::pull_away(c.within(1, 60), c.within(0.3, 12), air);
        default:
            return drive::climb(c.within(1, 50), c.within(1, 20), c.within(-0.4, 0.4),
                                c.within(0, 3000), air);
    }
}

void hold_result(const model::Result& r) {
    for (const model::Series& s : r.series)
        for (const double x : s.values)
            fuzz::hold(std::isfinite(x), s.group + "/" + s.name + " is no number");
    fuzz::hold(r.ledger.closure < 1e-6,
               "the ledger does not close: " + std::to_string(r.ledger.closure * 1e9) + "e-9");
    // A network that was not solved is told: the run is a failed one then.
    if (r.cost.network_failures == 0)
        fuzz::hold(r.cost.network_residual < 1e-5, "a residual in a solved network");
    for (const model::Verdict& v : r.verdicts)
        fuzz::hold(std::isfinite(v.margin) && std::isfinite(v.peak), "a verdict that is no number");
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 256) return 0;
    fuzz::Choices c(data, size);
    const scenario::Scenario& scenario = car(c.below(3));
    const bool settle = c.below(32) == 31;  // which takes hours of a cruise
    const double start = c.within(250, 390);
    const bool cold = c.coin();
    const drive::Cycle drive = cycle(c);
    std::vector<std::pair<std::string, double>> numbers;
    while (!c.empty() && numbers.size() < 8) {
        const scenario::Number& n = scenario.numbers[c.word() % scenario.numbers.size()];
        numbers.emplace_back(n.path, other(c, n));
    }
    (void)fuzz::refused([&] {
        model::Car changed = scenario::car_with(scenario, numbers);
        if (!settle) changed.settled_speed = 0, changed.start_temperature = cold ? 0 : start;
        hold_result(model::simulate(*model::compile(changed), drive));
    });
    return 0;
}
