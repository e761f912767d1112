#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <lapheat/solve/integrate.hpp>
#include <lapheat/units/error.hpp>
#include <utility>
#include <vector>

using namespace lapheat::solve;

namespace {

struct Fired {
    std::size_t event;
    double time;
};

/// A System put together from lambdas; counts what happens to it.
struct Scripted {
    std::size_t states = 1;
    std::vector<Crossing> directions;
    std::function<void(double, const double*, double*)> rate;
    std::function<void(double, const double*, double*)> functions = [](double, const double*,
                                                                       double*) {};
    std::function<EventAction(std::size_t, double, double*)> on_event =
        [](std::size_t, double, double*) { return EventAction::go_on; };
    std::function<AtKnot(std::size_t)> on_knot = [](std::size_t) { return AtKnot::continuous; };
    std::vector<Fired> fired;

    std::size_t size() const { return states; }
    std::size_t event_count() const { return directions.size(); }
    void rhs(double t, const double* y, double* d) const { rate(t, y, d); }
    void events(double t, const double* y, double* g) const { functions(t, y, g); }
    Crossing event_direction(std::size_t i) const { return directions[i]; }
    EventAction handle(std::size_t i, double t, double* y) {
        fired.push_back({i, t});
        return on_event(i, t, y);
    }
    AtKnot enter_interval(std::size_t k) const { return on_knot(k); }
};

constexpr double gravity = 9.81;

/// A ball: height, speed.
Scripted ball() {
    Scripted s;
    s.states = 2;
    s.directions = {Crossing::falling};
    s.rate = [](double, const double* y, double* d) {
        d[0] = y[1];
        d[1] = -gravity;
    };
    s.functions = [](double, const double* y, double* g) { g[0] = y[0]; };
    s.on_event = [](std::size_t, double, double* y) {
        y[0] = 0;
        y[1] = -0.8 * y[1];
        return EventAction::restart;
    };
    return s;
}

}  // namespace

TEST_CASE("a bouncing ball hits the floor when the closed form says") {
    Scripted s = ball();
    std::vector<double> y{1, 0};
    const Cost cost =
        integrate(s, y, IntegrationPlan{.end = 3}, Tolerances{.relative = 1e-10, .max_step = 0.05});
    double t = std::sqrt(2 / gravity);
    double v = 0.8 * gravity * t;
    REQUIRE(s.fired.size() >= 6);
    for (const Fired& f : s.fired) {
        CHECK(f.time == Approx(t).margin(5e-9));
        t += 2 * v / gravity;
        v *= 0.8;
    }
    CHECK(t > 3);
    CHECK(cost.restarts == s.fired.size());
    CHECK(cost.end_time == 3);
}

TEST_CASE("a ball that bounces ever faster is reported as chatter with the time") {
    Scripted s = ball();
    std::vector<double> y{1, 0};
    CHECK_THROWS_WITH(
        integrate(s, y,
                  IntegrationPlan{
                      .end = 20, .looks_per_step = 4, .chatter_count = 8, .chatter_window = 0.2},
                  Tolerances{.relative = 1e-10, .max_step = 0.01}),
        Catch::Contains("chatter at t = 4.0"));
}

TEST_CASE("a relay with hysteresis switches at the times of the closed form, for an hour") {
    // C dT/dt = q - u UA (T - Ta); fan on above T_on, off below T_off. Exponentials both ways.
    const double c = 30e3, q = 9e3, slow = 50, fast = 250, ambient = 300, t_on = 372, t_off = 364;
    bool on = false;
    Scripted s;
    s.directions = {Crossing::rising, Crossing::falling};
    s.rate = [&](double, const double* y, double* d) {
        d[0] = (q - (on ? fast : slow) * (y[0] - ambient)) / c;
    };
    s.functions = [&](double, const double* y, double* g) {
        g[0] = on ? -1 : y[0] - t_on;
        g[1] = on ? y[0] - t_off : 1;
    };
    s.on_event = [&](std::size_t i, double, double*) {
        on = i == 0;
        return EventAction::restart;
    };
    std::vector<double> y{340};
    integrate(s, y, IntegrationPlan{.end = 3600}, Tolerances{.relative = 1e-10, .absolute = 1e-9});

    const auto duration = [&](double from, double to, double ua) {
        const double end = ambient + q / ua;
        return c / ua * std::log((from - end) / (to - end));
    };
    double t = duration(340, t_on, slow);
    bool state = false;
    std::size_t k = 0;
    while (t < 3600) {
        REQUIRE(k < s.fired.size());
        CHECK(s.fired[k].event == (state ? 1U : 0U));
        CHECK(s.fired[k].time == Approx(t).margin(2e-6));
        state = !state;
        t += state ? duration(t_on, t_off, fast) : duration(t_off, t_on, slow);
        ++k;
    }
    CHECK(k == s.fired.size());
    CHECK(k > 90);
}

TEST_CASE("a relay with next to no hysteresis is an error, not an endless loop") {
    bool on = false;
    double play = 1e-6;
    Scripted s;
    s.directions = {Crossing::rising, Crossing::falling};
    s.rate = [&](double, const double*, double* d) { d[0] = on ? -1 : 1; };
    s.functions = [&](double, const double* y, double* g) {
        g[0] = on ? -1 : y[0] - 1;
        g[1] = on ? y[0] - 1 + play : 1;
    };
    s.on_event = [&](std::size_t i, double, double*) {
        on = i == 0;
        return EventAction::restart;
    };
    std::vector<double> y{0};
    // It comes to its threshold after a second, and turns each millionth of one.
    CHECK_THROWS_WITH(integrate(s, y, IntegrationPlan{.end = 10}, Tolerances{}),
                      Catch::Contains("chatter at t = 1.0000"));
    // A thousand turns a second are followed, at their times.
    on = false;
    play = 1e-3;
    y = {0};
    s.fired.clear();
    integrate(s, y, IntegrationPlan{.end = 3}, Tolerances{});
    REQUIRE(s.fired.size() == 2000);
    CHECK(s.fired[1000].time == Approx(2).margin(1e-6));
}

TEST_CASE("the direction filter lets through only its own crossings") {
    Scripted s;
    s.directions = {Crossing::rising, Crossing::falling, Crossing::either};
    s.rate = [](double t, const double*, double* d) { d[0] = std::cos(t); };
    s.functions = [](double, const double* y, double* g) { g[0] = g[1] = g[2] = y[0] - 0.5; };
    std::vector<double> y{0};
    const double pi = std::acos(-1.0);
    integrate(s, y, IntegrationPlan{.end = 4 * pi},
              Tolerances{.relative = 1e-11, .absolute = 1e-11, .max_step = 0.5});
    std::vector<std::vector<double>> times(3);
    for (const Fired& f : s.fired) times[f.event].push_back(f.time);
    REQUIRE(times[0].size() == 2);
    REQUIRE(times[1].size() == 2);
    REQUIRE(times[2].size() == 4);
    CHECK(times[0][1] == Approx(2 * pi + pi / 6).margin(1e-7));
    CHECK(times[1][0] == Approx(5 * pi / 6).margin(1e-7));
}

TEST_CASE("two events at the same time are both handled, in order, and once each") {
    Scripted s;
    s.directions = {Crossing::rising, Crossing::rising, Crossing::rising};
    s.rate = [](double, const double*, double* d) { d[0] = 1; };
    s.functions = [](double t, const double* y, double* g) {
        g[0] = y[0] - 2;
        g[1] = t - 2;
        g[2] = 3 * (y[0] - 2);
    };
    for (const auto action : {EventAction::go_on, EventAction::restart}) {
        s.fired.clear();
        s.on_event = [action](std::size_t, double, double*) { return action; };
        std::vector<double> y{0};
        integrate(s, y, IntegrationPlan{.end = 5}, Tolerances{});
        REQUIRE(s.fired.size() == 3);
        for (std::size_t i = 0; i < 3; ++i) {
            CHECK(s.fired[i].event == i);
            CHECK(s.fired[i].time == Approx(2).margin(2e-9));
        }
        CHECK(y[0] == Approx(5));
    }
}

TEST_CASE("an event exactly on a knot fires once, before the next interval is entered") {
    const std::vector<double> knots{0, 1, 2, 3, 4};
    std::size_t interval = 99;
    std::vector<std::size_t> interval_at_event;
    Scripted s;
    s.directions = {Crossing::rising};
    s.rate = [](double, const double*, double* d) { d[0] = 1; };
    s.functions = [](double, const double* y, double* g) { g[0] = y[0] - 2; };
    s.on_knot = [&](std::size_t k) {
        interval = k;
        return AtKnot::continuous;
    };
    for (const auto action : {EventAction::go_on, EventAction::restart, EventAction::stop}) {
        s.fired.clear();
        s.on_event = [&](std::size_t, double, double*) {
            interval_at_event.push_back(interval);
            return action;
        };
        std::vector<double> y{0};
        const Cost cost = integrate(s, y, IntegrationPlan{.end = 4, .knots = knots}, Tolerances{});
        REQUIRE(s.fired.size() == 1);
        CHECK(s.fired[0].time == Approx(2).margin(1e-9));
        CHECK(interval_at_event.back() == 1);
        if (action == EventAction::stop) {
            CHECK(cost.finish == Finish::stopped_by_event);
            CHECK(y[0] == Approx(2).margin(1e-9));
        } else {
            CHECK(interval == 3);
            CHECK(y[0] == Approx(4));
        }
    }
}

TEST_CASE("a function exactly zero at the start fires only if it leaves in its direction") {
    const auto count = [](Crossing direction, double rate) {
        Scripted s;
        s.directions = {direction};
        s.rate = [rate](double, const double*, double* d) { d[0] = rate; };
        s.functions = [](double, const double* y, double* g) { g[0] = y[0]; };
        std::vector<double> y{0};
        integrate(s, y, IntegrationPlan{.end = 1}, Tolerances{});
        if (!s.fired.empty()) {
            CHECK(s.fired[0].time == 0);
        }
        return s.fired.size();
    };
    CHECK(count(Crossing::rising, 1) == 1);
    CHECK(count(Crossing::rising, -1) == 0);
    CHECK(count(Crossing::falling, -1) == 1);
    CHECK(count(Crossing::falling, 0) == 0);
    CHECK(count(Crossing::either, 1) == 1);
}

TEST_CASE("an event that has fired stays quiet while its function rests at zero") {
    // At the threshold the rate vanishes: the function touches zero and stays.
    bool held = false;
    Scripted s;
    s.directions = {Crossing::either};
    s.rate = [&](double, const double*, double* d) { d[0] = held ? 0 : 1; };
    s.functions = [](double, const double* y, double* g) { g[0] = y[0] - 1; };
    s.on_event = [&](std::size_t, double, double* y) {
        held = true;
        y[0] = 1;
        return EventAction::restart;
    };
    std::vector<double> y{0};
    integrate(s, y, IntegrationPlan{.end = 10}, Tolerances{});
    CHECK(s.fired.size() == 1);
    CHECK(y[0] == 1);
}

TEST_CASE("an input that jumps at a knot fires the events it carries over zero, at the knot") {
    const std::vector<double> knots{0, 1, 2, 3};
    const std::vector<double> input{0, 5, 0};
    std::size_t k = 0;
    Scripted s;
    s.directions = {Crossing::rising, Crossing::falling};
    s.rate = [](double, const double*, double* d) { d[0] = 0; };
    s.functions = [&](double, const double*, double* g) { g[0] = g[1] = input[k] - 2; };
    s.on_knot = [&](std::size_t i) {
        k = i;
        return AtKnot::jump;
    };
    std::vector<double> y{0};
    integrate(s, y, IntegrationPlan{.end = 3, .knots = knots}, Tolerances{});
    REQUIRE(s.fired.size() == 2);
    CHECK(s.fired[0].event == 0);
    CHECK(s.fired[0].time == 1);
    CHECK(s.fired[1].event == 1);
    CHECK(s.fired[1].time == 2);
}

TEST_CASE("samples before an event show the state before it, later ones the state after") {
    Scripted s;
    s.directions = {Crossing::rising};
    s.rate = [](double, const double*, double* d) { d[0] = 1; };
    s.functions = [](double t, const double*, double* g) { g[0] = t - 1.05; };
    s.on_event = [](std::size_t, double, double* y) {
        y[0] += 100;
        return EventAction::restart;
    };
    std::vector<double> samples;
    for (int i = 0; i <= 20; ++i) samples.push_back(0.1 * i);
    std::vector<std::pair<double, double>> seen;
    std::vector<double> y{0};
    integrate(s, y, IntegrationPlan{.end = 2, .samples = samples}, Tolerances{},
              [&](double t, const double* at) { seen.emplace_back(t, at[0]); });
    REQUIRE(seen.size() == samples.size());
    for (const auto& [t, value] : seen) CHECK(value == Approx(t + (t > 1.05 ? 100 : 0)));
}

TEST_CASE("a restart keeps the step size: switching costs one derivative, not a slow start") {
    bool on = false;
    Scripted s;
    s.directions = {Crossing::rising};
    s.rate = [&](double, const double* y, double* d) {
        d[0] = (on ? 310 : 300) - y[0];
        d[0] *= 1e-3;
    };
    s.functions = [](double t, const double*, double* g) { g[0] = t - 500; };
    s.on_event = [&](std::size_t, double, double*) {
        on = true;
        return EventAction::restart;
    };
    std::vector<double> y{290};
    const Cost cost = integrate(s, y, IntegrationPlan{.end = 1000},
                                Tolerances{.relative = 1e-6, .absolute = 1e-4});
    CHECK(cost.steps < 25);
    const double before = 300 - 10 * std::exp(-0.5);
    CHECK(y[0] == Approx(310 + (before - 310) * std::exp(-0.5)).epsilon(1e-7));
}

namespace {

/// y' = −held, where held is y as it stood when it last was found too old.
struct Holding {
    double held = 1, allowed = 0;
    std::size_t looks = 0;

    std::size_t size() const { return 1; }
    std::size_t event_count() const { return 0; }
    void rhs(double, const double*, double* d) const { *d = -held; }
    void events(double, const double*, double*) const {}
    Crossing event_direction(std::size_t) const { return Crossing::either; }
    EventAction handle(std::size_t, double, double*) { return EventAction::go_on; }
    AtKnot enter_interval(std::size_t) const { return AtKnot::continuous; }
    bool after_step(const double* y) {
        ++looks;
        if (std::abs(*y - held) <= allowed) return false;
        held = *y;
        return true;
    }
};

}  // namespace

TEST_CASE("a coefficient found too old after a step is a new one in the next") {
    // Held for one step of h each, y falls by (1 − h) a step: Euler's method, exactly.
    Holding fresh;
    double y = 1;
    Tolerances steps;
    steps.max_step = steps.initial_step = 1.0 / 64;
    integrate(fresh, std::span(&y, 1), {.start = 0, .end = 1}, steps);
    CHECK(fresh.looks == 64);
    CHECK(y == Approx(std::pow(1 - 1.0 / 64, 64)).epsilon(1e-12));

    // Never too old: a straight line.
    Holding old{.held = 1, .allowed = 10};
    double z = 1;
    integrate(old, std::span(&z, 1), {.start = 0, .end = 1}, steps);
    CHECK(z == Approx(0).margin(1e-12));
}
