#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/heat/exhaust.hpp>
#include <lapheat/units/error.hpp>
#include <numeric>

using namespace lapheat;
using namespace lapheat::heat;

namespace {

constexpr auto of(ExhaustPart p) { return static_cast<std::size_t>(p); }
const ExhaustSurroundings mild{325, 320, 303};

Exhaust v8() { return exhaust_system(0.006, 8, 0.057, 2); }

double sum(const std::array<double, exhaust_parts>& a) {
    return std::accumulate(a.begin(), a.end(), 0.0);
}

}  // namespace

TEST_CASE("what the gas loses and the converter burns is gained, carried off or radiated") {
    const Exhaust e = v8();
    for (const double flow : {0.002, 0.007, 0.05, 0.3})
        for (const double speed : {0.0, 30.0}) {
            const ExhaustFilms f = ExhaustFilmLaw(e).at(flow, 950, speed);
            const double metal[exhaust_parts] = {600, 500, 700, 420, 380, 310};
            ExhaustMoment m;
            exhaust_moment(e, f, metal, 800, mild, m);
            const double in = f.capacity * (950 - m.gas.back()) +
                              800 * light_off_share(e, metal[of(ExhaustPart::catalyst)]);
            CHECK(sum(m.gained) + sum(m.to_air) + sum(m.radiated) == Approx(in).epsilon(1e-12));
        }
}

TEST_CASE("gas nears the metal of a stretch as the exponential of its transfer units") {
    Exhaust e = v8();
    const double flow = 0.02;
    const ExhaustFilms f = ExhaustFilmLaw(e).at(flow, 900, 0);
    const double metal[exhaust_parts] = {500, 500, 500, 500, 500, 500};
    ExhaustMoment m;
    exhaust_moment(e, f, metal, 0, mild, m);
    double gas = 900;
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        gas = 500 + (gas - 500) * f.keeps[i];
        CHECK(m.gas[i] == Approx(gas).epsilon(1e-12));
    }
    // Twice the area: the square of what is kept.
    Exhaust longer = e;
    longer.stretch[0].inner_area *= 2;
    CHECK(ExhaustFilmLaw(longer).at(flow, 900, 0).keeps[0] == Approx(f.keeps[0] * f.keeps[0]));
    // Laminar flow in a converter's channels brings the gas to the brick.
    CHECK(f.keeps[of(ExhaustPart::catalyst)] < 1e-3);
}

TEST_CASE("skins cool down the pipe, and more gas or less car speed heats every one of them") {
    const Exhaust e = v8();
    const auto skins = [&](double flow, double speed) {
        const ExhaustFilms f = ExhaustFilmLaw(e).at(flow, 900, speed);
        const auto metal = exhaust_steady(e, f, 0, mild);
        ExhaustMoment m;
        exhaust_moment(e, f, metal.data(), 0, mild, m);
        for (std::size_t i = 0; i < exhaust_parts; ++i)
            CHECK(std::abs(m.gained[i]) < 1e-3);  // settled
        return m.skin;
    };
    const auto some = skins(0.02, 20), more = skins(0.06, 20), still = skins(0.02, 0);
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        CHECK(more[i] > some[i]);
        CHECK(still[i] > some[i]);
    }
    CHECK(some[0] > some[of(ExhaustPart::front_pipe)]);
    CHECK(some[of(ExhaustPart::mid_pipe)] > some[of(ExhaustPart::silencer)]);
    CHECK(some[of(ExhaustPart::silencer)] > some[of(ExhaustPart::tail_pipe)]);
}

TEST_CASE("a converter burns nothing cold, all hot, and heats its gas by what it burns") {
    const Exhaust e = v8();
    CHECK(light_off_share(e, 350) < 1e-4);
    CHECK(light_off_share(e, e.light_off) == Approx(0.5));
    CHECK(light_off_share(e, 750) > 0.9999);
    const ExhaustFilms f = ExhaustFilmLaw(e).at(0.05, 1050, 25);
    const auto cold = exhaust_steady(e, f, 0, mild), hot = exhaust_steady(e, f, 2500, mild);
    const std::size_t c = of(ExhaustPart::catalyst);
    CHECK(hot[c] > cold[c] + 0.7 * 2500 / f.capacity);
    CHECK(hot[c] < cold[c] + 2500 / f.capacity);
    CHECK(hot[0] == Approx(cold[0]).epsilon(1e-8));  // nothing upstream knows
}

TEST_CASE("with the engine off the metal only cools, the thin pipes first") {
    const Exhaust e = v8();
    const ExhaustFilms f = ExhaustFilmLaw(e).at(0, 300, 0);
    double metal[exhaust_parts] = {650, 600, 750, 480, 440, 400};
    ExhaustMoment m;
    exhaust_moment(e, f, metal, 1000, mild, m);
    for (std::size_t i = 0; i < exhaust_parts; ++i) CHECK(m.gained[i] < 0);
    // From the same heat a manifold takes minutes: its time constant at this moment.
    const double falls = -m.gained[0] / e.stretch[0].metal;  // K/s
    CHECK((metal[0] - mild.bay_air) / falls > 60);
    CHECK((metal[0] - mild.bay_air) / falls < 600);
}

TEST_CASE("an exhaust that cannot be is refused by its key") {
    Exhaust e = v8();
    CHECK_NOTHROW(validate(e));
    e.stretch[3].metal = 0;
    CHECK_THROWS_AS(validate(e), Error);
}

TEST_CASE("a skin follows its metal as its balance says") {
    const Exhaust e = v8();
    const ExhaustFilms f = ExhaustFilmLaw(e).at(0.02, 900, 15);
    std::array<double, exhaust_parts> metal = {700, 620, 800, 520, 430, 350};
    ExhaustMoment m, up, down;
    exhaust_moment(e, f, metal.data(), 0, mild, m);
    int behind = 0;
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        const double before = metal[i], step = 0.01;
        metal[i] = before + step;
        exhaust_moment(e, f, metal.data(), 0, mild, up);
        metal[i] = before - step;
        exhaust_moment(e, f, metal.data(), 0, mild, down);
        metal[i] = before;
        const double slope = skin_slope(e.stretch[i], f.outside[i], m.skin[i]);
        CHECK(slope == Approx((up.skin[i] - down.skin[i]) / (2 * step)).epsilon(1e-5));
        behind += e.stretch[i].insulation > 0;
        CHECK((slope < 1) == (e.stretch[i].insulation > 0));
    }
    CHECK(behind == 1);  // the converter's mat
}
