// Draws, shares and what to measure: tables made by hand with known answers, and the demo car.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>

#include "count_of.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/solve/given_data.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/draw_file.hpp"
#include "lapheat/study/page.hpp"
#include "lapheat/study/report.hpp"
#include "synthetic.hpp"

using namespace lapheat;
using study::DrawTable;

namespace {

std::filesystem::path shipped(const std::string& name) {
    return std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios" / name;
}

/// A placement of the demo car through the first of its cycles.
scenario::Scenario shipped_placement(const std::string& name) {
    auto s = scenario::read(shipped("placements/" + name + ".toml"));
    s.cycles.resize(1);
    return s;
}

study::DoubtedNumber number(const std::string& name) {
    study::DoubtedNumber n;
    n.name = name;
    n.origin = scenario::Origin::assumed;
    n.distribution = solve::normal(0, 1);
    return n;
}

/// Two placements, one fluid, margins by hand: A 6 + 4 a + 3 c, B 5 + 4 b + 3 c, of normal a, b, c.
DrawTable by_hand(std::uint32_t draws) {
    DrawTable t;
    t.placements = {"A", "B"};
    t.cycles = {"only"};
    t.loops = {"coolant"};
    t.series = 5;
    t.numbers = {number("a"), number("b"), number("c")};
    t.drawn.resize(3);
    std::vector<std::uint64_t> keys;
    for (const auto& n : t.numbers) keys.push_back(solve::mixed(t.series, n.name));
    const solve::ScrambledPoints points(keys);
    std::vector<double> u(3);
    for (std::uint32_t n = 0; n < draws; ++n) {
        points.point(n, u);
        for (std::size_t k = 0; k < 3; ++k) t.drawn[k].push_back(u[k]);
        const auto x = [&](std::size_t k) { return solve::normal_quantile(u[k]); };
        for (const double margin : {6 + 4 * x(0) + 3 * x(2), 5 + 4 * x(1) + 3 * x(2)}) {
            study::FluidOutcome o;
            o.margin = static_cast<float>(margin);
            o.holds = margin >= 0;
            t.outcomes.push_back(o);
        }
    }
    t.draws = draws;
    return t;
}

/// A comparison of the same two.
study::Comparison with_draws(DrawTable table) {
    study::Comparison c;
    synthetic::add(c, "A", {{synthetic::verdict("coolant", 6)}}, 0, 9);
    synthetic::add(c, "B", {{synthetic::verdict("coolant", 5)}}, 0, 3);
    c.served = {"coolant"};
    c.left_out = {};
    c.cycles = {"only"};
    c.certainty = study::shares(std::move(table), 1);
    study::rank(c);
    study::explain(*c.certainty, c.ranking.front().placement, 1);
    c.verdict = study::verdict_text(c, units::System::si);
    return c;
}

}  // namespace

TEST_CASE("shares, margins and regret of two normal placements are those of the closed form") {
    const auto c = with_draws(by_hand(2048));
    const auto& p = c.certainty->placements;
    CHECK(p[0].holds == Approx(solve::normal_share(1.2)).margin(0.006));
    CHECK(p[1].holds == Approx(solve::normal_share(1.0)).margin(0.006));
    CHECK(p[0].holds_low < p[0].holds);
    CHECK(p[0].holds_high > p[0].holds);
    CHECK(p[0].best == Approx(solve::normal_share(1 / std::sqrt(32.0))).margin(0.006));
    CHECK(p[0].best + p[1].best == Approx(1));
    CHECK(p[0].margin_50 == Approx(6).margin(0.1));
    CHECK(p[0].margin_5 == Approx(6 - 1.6449 * 5).margin(0.2));
    CHECK(p[0].margin_95 == Approx(6 + 1.6449 * 5).margin(0.2));
    // The advantage of A is N(1, 32): regret s φ(1/s) − Φ(−1/s).
    const double s = std::sqrt(32.0);
    const double regret =
        s * std::exp(-0.5 / 32) / std::sqrt(2 * 3.14159265358979) - solve::normal_share(-1 / s);
    CHECK(p[0].regret == Approx(regret).margin(0.05));
    CHECK(p[1].regret == Approx(regret + 1).margin(0.05));
}

TEST_CASE("each fluid's least margin has the quantiles of its own normal distribution") {
    // A is normal about 6 with deviation 5 (4 and 3 in quadrature), all of one fluid.
    const study::Certainty sure = study::shares(by_hand(4096), 1);
    REQUIRE(sure.fluids.size() == 2);
    const study::FluidCertainty* a = sure.fluid("A", "coolant");
    REQUIRE(a);
    CHECK(a->margin_50 == Approx(6).margin(0.1));
    CHECK(a->margin_5 == Approx(6 - 1.644854 * 5).margin(0.2));
    CHECK(a->margin_95 == Approx(6 + 1.644854 * 5).margin(0.2));
    CHECK(sure.fluid("A", "steering") == nullptr);
    CHECK(sure.fluid("C", "coolant") == nullptr);
}

TEST_CASE("a toss-up is called one, and the shorter lines decide") {
    const auto c = with_draws(by_hand(512));
    CHECK(c.ranking.front().placement == "B");
    CHECK_THAT(c.verdict, Catch::Contains("a toss-up") && Catch::Contains("shorter lines") &&
                              Catch::Contains("of 100"));
    CHECK(c.verdict.find("Sobol") == std::string::npos);
}

TEST_CASE("more often holding comes first, whatever the lines") {
    DrawTable t = by_hand(512);
    for (std::size_t n = 0; n < t.draws; ++n) {
        auto& b = t.outcomes[t.index(n, 1, 0, 0)];
        b.margin -= 5;
        b.holds = b.margin >= 0;
    }
    const auto c = with_draws(t);
    CHECK(c.ranking.front().placement == "A");
    CHECK_THAT(c.verdict, !Catch::Contains("toss-up"));
}

TEST_CASE("the shared number is half of the doubt about a margin and nothing of the choice") {
    const auto c = with_draws(by_hand(1024));  // B is first: 4 b and 3 c
    const auto of = [&](const std::string& name) {
        for (const auto& d : c.certainty->drivers)
            if (d.number == name) return d;
        return study::Driver{};
    };
    CHECK(of("b").share == Approx(16.0 / 25).margin(0.03));
    CHECK(of("c").share == Approx(9.0 / 25).margin(0.03));
    CHECK(of("a").share == Approx(0).margin(0.01));
    CHECK(of("c").worth < 0.05);
    CHECK(of("b").worth > 0.5);
    CHECK(of("b").margin_high > of("b").margin_low);
}

namespace {

/// The two of by_hand() among eighty more numbers that do nothing, of which only B has the last
/// forty; in one car of all A boils.
DrawTable among_many(std::uint32_t draws, std::uint64_t series) {
    DrawTable t = by_hand(draws);
    t.series = series;
    std::vector<std::uint64_t> keys;
    for (int i = 0; i < 80; ++i) t.numbers.push_back(number("idle " + std::to_string(i)));
    for (const auto& n : t.numbers) keys.push_back(solve::mixed(series, n.name));
    const solve::SpreadPoints points(keys);
    t.drawn.assign(keys.size(), {});
    std::vector<double> u(keys.size());
    for (std::uint32_t n = 0; n < draws; ++n) {
        points.point(n, u);
        for (std::size_t k = 0; k < u.size(); ++k) t.drawn[k].push_back(u[k]);
        const auto x = [&](std::size_t k) { return solve::normal_quantile(u[k]); };
        t.outcomes[t.index(n, 0, 0, 0)].margin = static_cast<float>(26 + 4 * x(0) + 3 * x(2));
        t.outcomes[t.index(n, 1, 0, 0)].margin = static_cast<float>(5 + 4 * x(1) + 3 * x(2));
    }
    t.outcomes[t.index(draws / 3, 0, 0, 0)].margin = -40;
    for (study::FluidOutcome& o : t.outcomes) o.holds = o.margin >= 0;
    for (std::size_t k = 0; k < t.numbers.size(); ++k) t.numbers[k].in = {k < 43, true};
    return t;
}

}  // namespace

TEST_CASE("one car in 64 that boils is not laid at the door of a number that does nothing") {
    int named = 0, wrong = 0, seen = 0;
    for (std::uint64_t series = 1; series <= 20; ++series) {
        study::Certainty c = study::shares(among_many(64, series), 1);
        study::explain(c, "A", 1);
        for (const study::Driver& d : c.drivers) {
            if (d.number.starts_with("idle")) CHECK(std::stoi(d.number.substr(5)) < 40);
            if (d.share < 0.1) continue;
            ++named;
            wrong += d.number != "a" && d.number != "c";
            seen += d.number == "a";
        }
    }
    INFO(named << " named, " << wrong << " of them do nothing");
    CHECK(seen == 20);
    CHECK(wrong <= 2);
}

TEST_CASE("what each number was driven to do by itself divides what the draws show of all") {
    // A is 26 + 4 a + 3 c: at 5 and 95 of 100 a is 1.645 off its middle.
    const double off = solve::normal_quantile(0.95);
    study::LoneEffects alone;
    alone.middle = 26;
    alone.low.assign(83, 0.0);
    alone.high.assign(83, 0.0);
    const double none = std::numeric_limits<double>::quiet_NaN();
    alone.low[0] = -4 * off, alone.high[0] = 4 * off;
    alone.low[2] = none, alone.high[2] = 3 * off;  // one end could not be driven: a straight line
    for (std::size_t k = 43; k < 83; ++k) alone.low[k] = alone.high[k] = none;
    for (std::uint64_t series = 1; series <= 20; ++series) {
        study::Certainty c = study::shares(among_many(64, series), 1);
        study::explain(c, "A", 1, &alone);
        REQUIRE(c.drivers.size() >= 2);
        CHECK(c.drivers[0].number == "a");
        CHECK(c.drivers[1].number == "c");
        CHECK(c.drivers[0].share == Approx(16.0 / 25).margin(0.15));
        CHECK(c.drivers[1].share == Approx(9.0 / 25).margin(0.1));
        CHECK(c.drivers[0].share_low < 16.0 / 25);
        CHECK(c.drivers[0].share_high > 16.0 / 25);
        CHECK(c.drivers[0].margin_low == Approx(26 - 4 * off));
        CHECK(c.drivers[0].margin_high == Approx(26 + 4 * off));
        CHECK(c.explained > 0.75);  // the car that boils is one of 64
        CHECK(c.explained <= 1);
        for (std::size_t k = 2; k < c.drivers.size(); ++k) CHECK(c.drivers[k].share == 0);
    }
    // Effects that the draws say nothing of are no part of the doubt.
    std::swap(alone.low[0], alone.low[1]);
    std::swap(alone.high[0], alone.high[1]);
    study::Certainty c = study::shares(among_many(512, 3), 1);
    study::explain(c, "A", 1, &alone);
    CHECK(c.explained < 0.25);
}

TEST_CASE("a number's lone effect is what setting it does to the car as a builder would run it") {
    const std::vector<scenario::Scenario> cars{shipped_placement("under_floor"),
                                               shipped_placement("in_tank")};
    study::DrawOptions options;
    options.draws = 2;
    DrawTable t;
    study::add_draws(t, cars, options);
    const study::LoneEffects one = study::lone_effects(t, cars, "under the floor", 2, options);
    options.threads = 1;
    const study::LoneEffects again = study::lone_effects(t, cars, "under the floor", 2, options);
    const study::DoubtedCars drawn(cars, options.series);
    const auto margin = [&](const std::vector<double>& draw) {
        const model::Result run =
            model::simulate(*model::compile(drawn.car(0, draw)), cars[0].cycles[0], options.run);
        return std::min(results::verdict_of(run, "transmission")->margin,
                        results::verdict_of(run, "steering")->margin);
    };
    std::vector<double> draw(t.numbers.size(), 0.5);
    const double middle = margin(draw);
    CHECK(one.middle == Approx(middle).margin(0.3));
    int own = 0, not_own = 0;
    for (std::size_t k = 0; k < t.numbers.size(); ++k) {
        INFO(t.numbers[k].words());
        const bool has = t.numbers[k].stands_in(0);
        CHECK(std::isnan(one.low[k]) == !has);
        if (!has) {
            ++not_own;
            continue;
        }
        ++own;
        CHECK(one.low[k] == again.low[k]);
        CHECK(one.high[k] == again.high[k]);
        if (std::abs(one.low[k]) < 1.5 && std::abs(one.high[k]) < 1.5) continue;
        draw[k] = study::LoneEffects::low_at;
        CHECK(one.low[k] == Approx(margin(draw) - middle).margin(0.3));
        draw[k] = study::LoneEffects::high_at;
        CHECK(one.high[k] == Approx(margin(draw) - middle).margin(0.3));
        draw[k] = 0.5;
    }
    CHECK(own > 40);
    CHECK(not_own > 3);  // what only the tank has
}

TEST_CASE("a failed draw is counted, shown, and counts for nothing") {
    DrawTable t = by_hand(256);
    t.failed.push_back({7, "B", "only", "the solver gave up"});
    t.outcomes[t.index(7, 1, 0, 0)] = {};
    const auto c = with_draws(t);
    CHECK(c.certainty->failed == 1);
    CHECK(c.certainty->placements[1].failed == 1);
    CHECK(study::margins(c.certainty->table, 1)[0].size() == 255);
    CHECK_THAT(c.verdict, Catch::Contains("1 of 512 runs could not be finished"));
}

TEST_CASE("what a placement drives over its limit counts where another shows that it could hold") {
    DrawTable t = by_hand(64);
    t.loops = {"coolant", "engine_oil"};
    std::vector<study::FluidOutcome> wide;
    for (std::size_t n = 0; n < t.draws; ++n)
        for (std::size_t p = 0; p < 2; ++p) {
            study::FluidOutcome o;
            o.margin = 20;
            o.holds = true;
            wide.push_back(o);
            o.margin = p == 0 ? -4 : 3;
            o.holds = p == 1;
            wide.push_back(o);
        }
    t.outcomes = wide;
    const auto m = study::margins(t, 1);
    CHECK(m[0][0] == Approx(-4));
    CHECK(m[1][0] == Approx(20));
    // Over everywhere, it is nobody's doing.
    for (std::size_t n = 0; n < t.draws; ++n) t.outcomes[t.index(n, 1, 0, 1)].holds = false;
    CHECK(study::margins(t, 1)[0][0] == Approx(20));
}

TEST_CASE("there are enough draws when all shares stand within two per cent") {
    CHECK_FALSE(study::enough(by_hand(256), 1));
    CHECK(study::enough(by_hand(4096), 1));
    CHECK(study::of_hundred(0.934, 500) == "93 of 100");
    CHECK(study::of_hundred(0.998, 500) == "more than 99 of 100");
    CHECK(study::of_hundred(1, 512) == "all 512");
    CHECK(study::of_hundred(0.001, 2000) == "fewer than 1 of 100");
    CHECK(study::of_hundred(0, 64) == "none of 64");
}

TEST_CASE("draws are the same bits for any number of threads, in one go or gone on with") {
    const std::vector<scenario::Scenario> cars{shipped_placement("under_floor"),
                                               shipped_placement("in_tank")};
    study::DrawOptions options;
    options.draws = 24;
    options.threads = 1;
    DrawTable one, two, parts;
    study::add_draws(one, cars, options);
    options.threads = 2;
    study::add_draws(two, cars, options);
    options.draws = 10;
    study::add_draws(parts, cars, options);
    const auto file = std::filesystem::temp_directory_path() / "lapheat_draws_test.h5";
    study::write_draws(file, parts);
    DrawTable read = study::read_draws(file);
    for (std::size_t k = 0; k < parts.numbers.size(); ++k)
        CHECK(read.numbers[k].in == parts.numbers[k].in);
    // What belongs to no draw, and columns too short for theirs, are errors.
    DrawTable wrong = parts;
    wrong.failed.push_back({parts.draws, parts.placements[0], "", "beyond the last"});
    study::write_draws(file, wrong);
    CHECK_THROWS_WITH(study::read_draws(file), Catch::Matchers::Contains("failed_draw"));
    wrong = parts;
    wrong.courses.resize(wrong.courses.size() - study::band_steps);
    study::write_draws(file, wrong);
    CHECK_THROWS_WITH(study::read_draws(file), Catch::Matchers::Contains("/course"));
    std::filesystem::remove(file);
    CHECK(study::belongs(read, cars, options.series, options.run));
    CHECK_FALSE(study::belongs(read, {cars[0]}, options.series, options.run));
    options.draws = 24;
    study::add_draws(read, cars, options);
    REQUIRE(one.draws == 24);
    REQUIRE(one.outcomes.size() == two.outcomes.size());
    REQUIRE(one.outcomes.size() == read.outcomes.size());
    const auto same = [](float a, float b) { return a == b || (std::isnan(a) && std::isnan(b)); };
    bool equal = one.drawn == two.drawn && one.drawn == read.drawn;
    REQUIRE(one.courses.size() == 24 * one.index(1, 0, 0, 0) * study::band_steps);
    REQUIRE(read.courses.size() == one.courses.size());
    for (std::size_t i = 0; i < one.courses.size(); ++i)
        equal =
            equal && same(one.courses[i], two.courses[i]) && same(one.courses[i], read.courses[i]);
    for (std::size_t i = 0; i < one.outcomes.size(); ++i)
        for (const DrawTable* other : {&two, &read}) {
            const auto &a = one.outcomes[i], &b = other->outcomes[i];
            equal = equal && same(a.margin, b.margin) && same(a.peak, b.peak) &&
                    same(a.air_rise, b.air_rise) && same(a.flow, b.flow) && a.holds == b.holds;
        }
    CHECK(equal);
    const study::Certainty sure = study::shares(one, 2);
    REQUIRE(sure.bands.size() > 4);
    const study::Band* band = sure.band("under the floor", one.cycles[0], "coolant");
    REQUIRE(band != nullptr);
    for (std::size_t s = 0; s < band->time.size(); ++s) {
        CHECK(band->low[s] <= band->middle[s]);
        CHECK(band->middle[s] <= band->high[s]);
    }
    CHECK(band->time.back() == Approx(cars[0].cycles[0].time.back()));
    // What is drawn makes a difference, and the same one to whatever both share.
    CHECK(one.at(0, 0, 0, 0).margin != one.at(1, 0, 0, 0).margin);
    // Another series is other draws; a table of other cars is refused.
    options.series = 2;
    CHECK_THROWS_AS(study::add_draws(read, cars, options), Error);
}

TEST_CASE("drawn cars, driven coarsely, have the margins of runs as the caller asks for them") {
    const std::vector<scenario::Scenario> cars{
        scenario::read(shipped("placements/under_floor.toml")),
        scenario::read(shipped("placements/ahead_of_radiator.toml"))};
    study::DrawOptions options;
    options.draws = 12;
    DrawTable t;
    study::add_draws(t, cars, options);
    REQUIRE(t.draws == options.draws);
    const study::DoubtedCars drawn(cars, options.series);
    model::Options finer = options.run;
    finer.keep_series = false;
    double squares = 0;
    std::size_t count = 0;
    for (std::size_t p = 0; p < cars.size(); ++p)
        for (std::size_t c = 0; c < t.cycles.size(); ++c) {
            const drive::Cycle& cycle = cars[p].cycles[c];
            const auto near = model::settled_start(*model::compile(cars[p].car), cycle);
            std::vector<std::vector<double>> off(t.loops.size());
            for (std::size_t n = 0; n < t.draws; ++n) {
                const auto model =
                    model::compile(drawn.car(p, drawn.draw(static_cast<std::uint32_t>(n))));
                finer.start = model::settled_start(*model, cycle, options.run, near.get());
                const model::Result run = model::simulate(*model, cycle, finer);
                for (std::size_t l = 0; l < t.loops.size(); ++l) {
                    const auto* v = results::verdict_of(run, t.loops[l]);
                    REQUIRE(v != nullptr);
                    const study::FluidOutcome& o = t.at(n, p, c, l);
                    INFO(t.placements[p] << ", " << t.cycles[c] << ", " << t.loops[l]);
                    off[l].push_back(o.margin - v->margin);
                    CHECK(std::abs(off[l].back()) < 1.5);  // a fan that runs once more or less
                    CHECK(o.holds == v->holds());
                    squares += off[l].back() * off[l].back();
                    ++count;
                }
            }
            for (std::size_t l = 0; l < t.loops.size(); ++l) {
                INFO(t.placements[p] << ", " << t.cycles[c] << ", " << t.loops[l]);
                // The median of five cars that scatter by 0.16 K (laps) stands within 0.09 K of all
                // cars', a standard deviation: three of them.
                CHECK(std::abs(solve::quantile(off[l], 0.5)) < 0.27);
            }
        }
    REQUIRE(count == 2 * 3 * 4 * 12);
    CHECK(std::sqrt(squares / static_cast<double>(count)) < 0.15);
}

TEST_CASE("a study that is stopped keeps what is done") {
    const std::vector<scenario::Scenario> cars{shipped_placement("in_tank")};
    study::DrawOptions options;
    options.draws = 64;
    std::atomic<bool> stop{false};
    options.cancel = &stop;
    options.progress = [&](double done, std::size_t of) {
        CHECK(of == 64);
        if (done > 20) stop = true;
    };
    DrawTable t;
    study::add_draws(t, cars, options);
    CHECK(t.cancelled);
    CHECK(t.draws >= 16);
    CHECK(t.draws < 64);
    CHECK(t.outcomes.size() == t.index(t.draws, 0, 0, 0));
    CHECK(t.drawn.front().size() == t.draws);
}

TEST_CASE("a fluid that no place serves and many cars boil is told beside the ranking") {
    const auto notes = [](double mean) {
        study::Comparison c = with_draws(by_hand(200));
        c.left_out = {"engine_oil"};
        study::FluidCertainty oil{c.ranking.front().placement, "engine_oil", mean - 10, mean,
                                  mean + 10};
        c.certainty->fluids.push_back(oil);
        std::string out;
        for (const std::string& text : study::short_notes(c, units::System::si)) out += text + '\n';
        return out;
    };
    CHECK(notes(6).find("engine oil 6 (-4 to 16) K") != std::string::npos);
    CHECK(notes(6).find("Engine oil goes over its limit in more than one of twenty") !=
          std::string::npos);
    CHECK(notes(16).find("goes over") == std::string::npos);
}

TEST_CASE("a study stopped before its first draw says so and gives no share") {
    study::CompareOptions options;
    options.draws = 20;
    options.threads = 1;
    std::atomic<bool> stop{false};
    options.cancel = &stop;
    const double driven = 1 / (1 + 0.6 * 20);  // the share of the runs before the draws
    options.progress = [&](double done) { stop = stop || done > driven + 1e-9; };
    const study::Comparison c = study::compare({shipped_placement("in_tank")}, options);
    REQUIRE(stop);
    CHECK_FALSE(c.certainty.has_value());
    CHECK(c.verdict.find("none of 0") == std::string::npos);
    CHECK(c.verdict.find("only placement here") != std::string::npos);
    CHECK(study::short_table(c, units::System::si).title.find("exactly as written") !=
          std::string::npos);
    REQUIRE(c.not_done.size() == 1);
    std::size_t told = 0;
    for (const study::Caution& caution : c.cautions)
        told += caution.text == c.not_done.front() && caution.first_read ? 1 : 0;
    CHECK(told == 1);
    // The page says it in both systems of units.
    CHECK(count_of(study::comparison_page(c, units::System::si), c.not_done.front()) == 2);
}

TEST_CASE("numbers in doubt have a distribution with its reason, and one draw serves all places") {
    const std::vector<scenario::Scenario> cars{shipped_placement("under_floor"),
                                               shipped_placement("rear")};
    const study::DoubtedCars doubted(cars, 1);
    REQUIRE(doubted.numbers().size() > 20);
    for (const auto& n : doubted.numbers()) {
        INFO(n.words());
        CHECK_FALSE(n.why.empty());
        CHECK_FALSE(n.source.empty());
        CHECK(n.low < n.high);
        CHECK_FALSE(n.distribution.sharp());
    }
    const auto u = doubted.draw(3);
    model::Car a = doubted.car(0, u), b = doubted.car(1, u);
    CHECK(a.engine.wall_heat_level.value == b.engine.wall_heat_level.value);
    CHECK(a.engine.wall_heat_level.value != cars[0].car.engine.wall_heat_level.value);
}

TEST_CASE("the order in which placements are named changes no draw and no name") {
    const std::vector<scenario::Scenario> cars{
        shipped_placement("under_floor"), shipped_placement("rear"), shipped_placement("in_tank")};
    const std::vector<scenario::Scenario> backwards(cars.rbegin(), cars.rend());
    const study::DoubtedCars a(cars, 1), b(backwards, 1);
    REQUIRE(a.numbers().size() == b.numbers().size());
    for (std::size_t k = 0; k < a.numbers().size(); ++k)
        CHECK(a.numbers()[k].words() == b.numbers()[k].words());
    for (std::uint32_t n = 0; n < 16; ++n)
        for (std::size_t p = 0; p < cars.size(); ++p) {
            model::Car one = a.car(p, a.draw(n)), other = b.car(cars.size() - 1 - p, b.draw(n));
            const auto x = model::assumptions(one), y = model::assumptions(other);
            REQUIRE(x.size() == y.size());
            for (std::size_t i = 0; i < x.size(); ++i) {
                INFO(n << ", " << cars[p].car.placement << ": " << x[i].name);
                CHECK(x[i].number->value == y[i].number->value);
            }
        }
}

TEST_CASE("a doubt that a file states is drawn, once for all parts of one claim") {
    const auto file = std::filesystem::temp_directory_path() / "lapheat_stated_doubt.toml";
    std::ofstream(file) << "extends = \"" << shipped("placements/under_floor.toml").string()
                        << "\"\nplacement = \"trial\"\ncycles = []\n"
                           "fans.radiator_left.free_flow = \"1050 ft3/min +- 15 %\"\n"
                           "fans.radiator_right.free_flow = \"1050 ft3/min +- 15 %\"\n"
                           "cores.radiator.depth = \"42 mm +- 2 mm\"\n"
                           "vehicle.drag_coefficient = \"0.42 +- 0.04\"\n"
                           "air.front.assumptions.ram_recovery = \"0.8 +- 0.1\"\n";
    const std::vector<scenario::Scenario> cars{scenario::read(file)};
    std::filesystem::remove(file);
    const study::DoubtedCars doubted(cars, 1);
    std::vector<std::string> yours;
    std::size_t flow = 0, depth = 0, drag = 0;
    const auto& numbers = doubted.numbers();
    for (std::size_t k = 0; k < numbers.size(); ++k)
        if (numbers[k].origin == scenario::Origin::yours && numbers[k].why.starts_with("normal")) {
            yours.push_back(numbers[k].name);
            if (numbers[k].name == "free_flow") flow = k;
            if (numbers[k].name == "depth") depth = k;
            if (numbers[k].name == "drag_coefficient") drag = k;
        }
    REQUIRE(yours.size() == 4);
    CHECK(numbers[flow].words() == "free flow (radiator left, radiator right)");
    // 97.5 of 100 lie below the upper end of the +-.
    std::vector<double> u(numbers.size(), 0.5);
    u[flow] = solve::normal_share(2);
    u[depth] = solve::normal_share(-2);
    u[drag] = solve::normal_share(1);
    const model::Car car = doubted.car(0, u);
    const double claim = cars[0].car.fans[0].fan.curve.flow.back();
    CHECK(car.fans[0].fan.curve.flow.back() == Approx(1.15 * claim).epsilon(1e-3));
    CHECK(car.fans[1].fan.curve.flow.back() == Approx(1.15 * claim).epsilon(1e-3));
    CHECK(car.cores[0].core.depth == Approx(0.040).epsilon(1e-3));
    CHECK(car.vehicle.drag_coefficient == Approx(0.44).epsilon(1e-3));
    CHECK(cars[0].car.cores[0].core.depth == Approx(0.042));
}
