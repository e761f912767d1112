// Why a placement has less margin: hand-made cases, and single inputs of the demo car swapped.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <functional>

#include "../../libsim/study/src/causes.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "synthetic.hpp"

using namespace lapheat;
using namespace lapheat::study;
using Catch::Matchers::Contains;
using synthetic::verdict;
using units::System;

namespace {

struct Bench {
    double heat = 1500;     ///< W
    double air = 0.1;       ///< kg/s
    double air_at = 311;    ///< K
    double fluid = 1.4e-4;  ///< m³/s
    double scale = 1;       ///< of the core
};

/// A core by its own law: films with the powers 0.5 and 0.3 of the flows, streams that warm.
model::Verdict on_bench(const Bench& b) {
    model::Verdict v = verdict("steering", 0);
    const double cooling = 0.02 / b.scale * std::sqrt(0.1 / b.air), wall = 0.0005 / b.scale,
                 fluid = 0.01 / b.scale * std::pow(1.4e-4 / b.fluid, 0.3);
    v.core_heat = b.heat;
    v.air_flow = b.air;
    v.air_inlet = b.air_at;
    v.core_flow = b.fluid;
    v.core_capacity = b.fluid * 1.75e6;
    v.core_resistance = cooling + wall + fluid;
    v.share_air = cooling / v.core_resistance;
    v.share_wall = wall / v.core_resistance;
    v.share_liquid = fluid / v.core_resistance;
    const double least = std::min(b.air * 1007, v.core_capacity),
                 most = std::max(b.air * 1007, v.core_capacity), ratio = least / most,
                 units = 1 / (least * v.core_resistance);
    const double fade = std::exp(-units * (1 - ratio));
    v.effectiveness = (1 - fade) / (1 - ratio * fade);  // counter-flow
    v.core_inlet = b.air_at + b.heat / (v.effectiveness * least);
    v.limit = 383;
    v.peak = v.core_inlet;
    v.margin = v.limit - v.core_inlet;
    return v;
}

double worth(const std::vector<Cause>& all, CauseKind kind) {
    return all.at(static_cast<std::size_t>(kind)).worth;
}

/// The causes of `worse` against the plain bench, and that they add up.
std::vector<Cause> against_plain(const Bench& worse) {
    const model::Verdict a = on_bench({}), b = on_bench(worse);
    double rest = 0;
    std::vector<Cause> all = causes(a, b, &rest);
    REQUIRE(all.size() == 5);
    CHECK(std::abs(rest) < 1e-9);
    return all;
}

}  // namespace

TEST_CASE("one input swapped is the one cause, worth what the swap is worth", "[study]") {
    const double plain = on_bench({}).margin;
    Bench hot, still, slow, small, loaded;
    hot.air_at += 15;
    still.air = 0.04;
    slow.fluid = 0.5e-4;
    small.scale = 0.6;
    loaded.heat = 2300;
    const std::pair<Bench, CauseKind> cases[] = {{hot, CauseKind::cooling_temperature},
                                                 {still, CauseKind::cooling_flow},
                                                 {slow, CauseKind::fluid_flow},
                                                 {small, CauseKind::core},
                                                 {loaded, CauseKind::heat}};
    for (const auto& [bench, kind] : cases) {
        const double lost = plain - on_bench(bench).margin;
        REQUIRE(lost > 1);
        const auto all = against_plain(bench);
        // Exact but for how the warming of the two streams is shared.
        CHECK(worth(all, kind) == Approx(lost).epsilon(0.25));
        for (const Cause& other : all)
            if (other.kind != kind) CHECK(std::abs(other.worth) < 0.25 * lost);
    }
    CHECK(worth(against_plain(hot), CauseKind::cooling_temperature) == Approx(15));
}

TEST_CASE("what works the other way is never given as the reason", "[study]") {
    // Twice the air, but 23 K hotter: less margin in all. More air is no reason for less margin.
    Bench front;
    front.air = 0.2;
    front.air_at += 23;
    const model::Verdict plain = on_bench({}), worse = on_bench(front);
    REQUIRE(worse.margin < plain.margin);
    const auto all = against_plain(front);
    CHECK(worth(all, CauseKind::cooling_temperature) == Approx(23));
    CHECK(worth(all, CauseKind::cooling_flow) < 0);
    const std::string why = cause_words(plain, worse, System::si);
    CHECK_THAT(why, Contains("because there the air at its core is 23 K hotter"));
    // It is told as what it is, behind the reason.
    CHECK_THAT(why, Contains("; that its core breathes 0.2 kg/s instead of 0.1 kg/s makes up for "
                             "some of it"));
    // And the other way about nothing is found that explains why the hotter one should be better.
    CHECK(cause_words(worse, plain, System::si).empty());
}

TEST_CASE("less air is a reason, and its numbers stand in the order of the sentence", "[study]") {
    Bench still;
    still.air = 0.04;
    CHECK_THAT(cause_words(on_bench({}), on_bench(still), System::si),
               Contains("because there its core breathes 0.04 kg/s instead of 0.1 kg/s"));
}

TEST_CASE("no core, or one that takes nothing, is reason enough", "[study]") {
    const model::Verdict plain = on_bench({});
    model::Verdict none = plain;
    none.core.clear();
    none.margin -= 20;
    CHECK_THAT(cause_words(plain, none, System::si), Contains("no core at all"));
    model::Verdict heated = plain;
    heated.core_heat = -200;
    heated.air_inlet = heated.core_inlet + 5;
    heated.margin -= 20;
    CHECK_THAT(cause_words(plain, heated, System::si), Contains("takes no heat from it"));
    CHECK(causes(plain, heated).empty());
    model::Verdict still = plain;
    still.core_heat = -3;
    still.air_flow = 1e-4;
    still.margin -= 20;
    CHECK_THAT(cause_words(plain, still, System::si), Contains("hardly any air"));
}

namespace {

using Change = std::function<void(model::Car&)>;

/// Steering or transmission of the demo car in 20 minutes of traffic.
model::Verdict in_traffic(const std::string& placement, const std::string& loop,
                          const Change& change = {}) {
    auto s = scenario::read(std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios/placements" /
                            (placement + ".toml"));
    if (change) change(s.car);
    for (const drive::Cycle& cycle : s.cycles)
        if (cycle.name == "traffic") {
            model::Options options;
            options.keep_series = false;
            return *results::verdict_of(model::simulate(*model::compile(s.car), cycle, options),
                                        loop);
        }
    throw Error("no such cycle");
}

}  // namespace

TEST_CASE("a single input of the demo car swapped is named, and its worth is near the swap's",
          "[study]") {
    struct Swap {
        const char *better, *worse, *loop;
        Change change;
        CauseKind kind;
        const char* words;
    };
    const auto tired = [](model::Car& car) {
        for (model::FanEntry& fan : car.fans)
            if (fan.name == "cooler_fan")
                for (double& flow : fan.fan.curve.flow) flow *= 0.5;
    };
    const Swap swaps[] = {
        // The order of the stack alone.
        {"ahead_of_condenser",
         "ahead_of_radiator",
         "steering",
         {},
         CauseKind::cooling_temperature,
         "hotter"},
        {"under_floor", "under_floor", "transmission", tired, CauseKind::cooling_flow, "breathes"}};
    for (const Swap& swap : swaps) {
        CAPTURE(swap.better, swap.words);
        const model::Verdict a = in_traffic(swap.better, swap.loop),
                             b = in_traffic(swap.worse, swap.loop, swap.change);
        const double lost = a.margin - b.margin;
        REQUIRE(lost > 0.8);
        const auto all = causes(a, b);
        REQUIRE(all.size() == 5);
        CAPTURE(lost, a.core_flow, b.core_flow, all[0].worth, all[1].worth, all[2].worth,
                all[3].worth, all[4].worth);
        for (const Cause& other : all) CHECK(other.worth <= worth(all, swap.kind));
        CHECK(worth(all, swap.kind) > 0.5 * lost);
        CHECK_THAT(cause_words(a, b, System::si), Contains(swap.words));
    }
}
