// Linearly implicit steps and the sparse factor behind them.
#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/solve/integrate.hpp>
#include <random>
#include <utility>
#include <vector>

using namespace lapheat::solve;

namespace {

/// A chain of stores that a stream runs through, heated at its head; the last state sums what has
/// left. `exact`: whether the slopes are those of the right-hand side, or those of a stream half as
/// strong.
struct Chain {
    double rate = 5, heat = 30;  // 1/s, K/s
    double known = 1;            ///< part of the slopes that is given
    double knock = 1e9;          ///< s at which an event adds to the first store
    std::size_t handled = 0;
    static constexpr std::size_t stores = 6;

    static std::size_t size() { return stores + 1; }
    void rhs(double, const double* y, double* d) const {
        d[0] = heat - rate * y[0] * (1 + 0.01 * y[0]);
        for (std::size_t i = 1; i < stores; ++i) d[i] = flow(y[i - 1]) - flow(y[i]);
        d[stores] = flow(y[stores - 1]);
    }
    double flow(double y) const { return rate * y * (1 + 0.01 * y); }
    void slopes(double, const double* y, SparseMatrix& a) const {
        for (std::size_t i = 0; i < stores; ++i) {
            const double s = known * rate * (1 + 0.02 * y[i]);
            a.add(static_cast<int>(i), static_cast<int>(i), -s);
            a.add(static_cast<int>(i) + 1, static_cast<int>(i), s);
        }
    }
    static bool begin_step(double, double, const double*, const double*) { return false; }
    static std::size_t event_count() { return 1; }
    void events(double t, const double*, double* g) const { g[0] = t - knock; }
    static Crossing event_direction(std::size_t) { return Crossing::rising; }
    EventAction handle(std::size_t, double, double* y) {
        ++handled;
        y[0] += 1;
        return EventAction::restart;
    }
    static AtKnot enter_interval(std::size_t) { return AtKnot::continuous; }
};

std::vector<double> after(Chain chain, double end, const Tolerances& tolerances,
                          Cost* cost = nullptr) {
    std::vector<double> y(Chain::size(), 0.0);
    const Cost spent = integrate(chain, y, IntegrationPlan{.end = end}, tolerances);
    if (cost) *cost = spent;
    return y;
}

Tolerances fixed_step(double h) {
    return {.method = Method::linearly_implicit,
            .relative = 0,
            .absolute = 1e9,
            .initial_step = h,
            .max_step = h};
}

}  // namespace

TEST_CASE("halving an implicit step quarters its error, with slopes exact or half known") {
    const std::vector<double> exact = after({}, 1, {.relative = 1e-12, .absolute = 1e-12});
    for (const double known : {1.0, 0.5, 0.0}) {
        Chain chain;
        chain.known = known;
        double before = 0;
        for (const double h : {0.02, 0.01, 0.005}) {
            const std::vector<double> y = after(chain, 1, fixed_step(h));
            double error = 0;
            for (std::size_t i = 0; i < y.size(); ++i)
                error = std::max(error, std::abs(y[i] - exact[i]));
            if (before > 0) CHECK(before / error == Approx(4).epsilon(0.15));
            before = error;
        }
    }
}

TEST_CASE("a step a thousand time constants long lands on the steady state") {
    Chain chain;
    chain.rate = 1000;
    const std::vector<double> y = after(chain, 50, fixed_step(1));
    for (std::size_t i = 0; i < Chain::stores; ++i)
        CHECK(chain.flow(y[i]) == Approx(chain.heat).epsilon(1e-6));
}

TEST_CASE("implicit steps keep what the right-hand side keeps, to rounding, whatever they are") {
    for (const double known : {1.0, 0.3}) {
        Chain chain;
        chain.known = known;
        chain.knock = 1.2345;
        for (const Tolerances& t :
             {fixed_step(0.1), Tolerances{.method = Method::linearly_implicit, .absolute = 1e-3}}) {
            std::vector<double> y(Chain::size(), 0.0);
            Chain run = chain;
            integrate(run, y, IntegrationPlan{.end = 7}, t);
            CHECK(run.handled == 1);
            double sum = 0;
            for (const double v : y) sum += v;
            CHECK(sum == Approx(7 * chain.heat + 1).epsilon(1e-14));
        }
    }
}

TEST_CASE("an implicit tolerance bounds the error, and samples between steps are as good") {
    const double end = 3;
    std::vector<double> samples;
    for (int i = 0; i <= 300; ++i) samples.push_back(i * end / 300);
    std::vector<std::vector<double>> exact;
    Chain chain;
    chain.knock = 1.5;
    std::vector<double> y(Chain::size(), 0.0);
    const IntegrationPlan plan{.end = end, .samples = samples};
    Chain reference = chain;
    integrate(reference, y, plan, Tolerances{.relative = 1e-12, .absolute = 1e-12},
              [&](double, const double* at) { exact.emplace_back(at, at + Chain::size()); });
    double before = 1e9;
    for (const double tolerance : {1e-2, 1e-3, 1e-4}) {
        std::fill(y.begin(), y.end(), 0.0);
        double worst = 0;
        std::size_t k = 0;
        Chain run = chain;
        integrate(
            run, y, plan,
            Tolerances{.method = Method::linearly_implicit, .relative = 0, .absolute = tolerance},
            [&](double, const double* at) {
                for (std::size_t i = 0; i < Chain::size(); ++i)
                    worst = std::max(worst, std::abs(at[i] - exact[k][i]));
                ++k;
            });
        CHECK(worst < 25 * tolerance);
        CHECK(worst < before);
        before = worst;
    }
}

TEST_CASE("what slopes know nothing of does not run away in long steps: its own error ends them") {
    // Hot metal that radiates into 1: with steps past its time constant an explicit one would grow.
    struct Radiating {
        static std::size_t size() { return 1; }
        static void rhs(double, const double* y, double* d) {
            d[0] = 1 - y[0] * y[0] * y[0] * y[0];
        }
        static void slopes(double, const double*, SparseMatrix&) {}
        static bool begin_step(double, double, const double*, const double*) { return false; }
        static std::size_t event_count() { return 0; }
        static void events(double, const double*, double*) {}
        static Crossing event_direction(std::size_t) { return Crossing::rising; }
        static EventAction handle(std::size_t, double, double*) { return EventAction::go_on; }
        static AtKnot enter_interval(std::size_t) { return AtKnot::continuous; }
    } metal;
    std::vector<double> samples;
    for (int i = 0; i <= 1000; ++i) samples.push_back(3 + i);
    for (const double tolerance : {1e-2, 1e-4}) {
        std::vector<double> y = {0.5};
        double worst = 0;
        integrate(
            metal, y, IntegrationPlan{.end = 1003, .samples = samples},
            Tolerances{.method = Method::linearly_implicit, .relative = 0, .absolute = tolerance},
            [&](double, const double* at) { worst = std::max(worst, std::abs(at[0] - 1)); });
        CHECK(worst < 25 * tolerance);
    }
}

TEST_CASE("a system that turns for what is held over a long step is not turned at every moment") {
    // It rises. Going, what it holds for the middle of a step of over a second makes it fall; at
    // rest it rises: a step of ten seconds turns it at once, either way, and so for ever.
    struct Held {
        bool going = true;
        double from = 0, rate = 0;
        int turns = 0;
        static std::size_t size() { return 1; }
        void rhs(double, const double*, double* d) const { d[0] = rate; }
        static void slopes(double, const double*, SparseMatrix&) {}
        bool begin_step(double, double h, const double*, const double*) {
            const double before = std::exchange(rate, going ? 1e-3 * (1 - h) : 1e-3);
            return rate != before;
        }
        static std::size_t event_count() { return 2; }
        void events(double, const double* y, double* g) const {
            g[0] = going ? y[0] - from + 1e-5 : 1;
            g[1] = going ? -1 : y[0] - from - 1e-5;
        }
        static Crossing event_direction(std::size_t i) {
            return i == 0 ? Crossing::falling : Crossing::rising;
        }
        EventAction handle(std::size_t, double, const double* y) {
            ++turns;
            going = !going;
            from = y[0];
            return EventAction::restart;
        }
        static AtKnot enter_interval(std::size_t) { return AtKnot::continuous; }
    } held;
    std::vector<double> y = {0.0};
    const Cost cost = integrate(
        held, y, IntegrationPlan{.end = 1000},
        Tolerances{
            .method = Method::linearly_implicit, .relative = 0, .absolute = 1e-2, .max_step = 10});
    INFO(held.turns << " turns");
    CHECK(cost.finish == Finish::reached_end);
    CHECK(cost.steps < 20'000);  // 179 467 where every turn is followed by another long step
}

TEST_CASE("a stiff chain costs implicit steps no more than a slow one") {
    Cost slow, stiff, explicit_stiff;
    const Tolerances t{.method = Method::linearly_implicit, .relative = 0, .absolute = 1e-3};
    after({}, 200, t, &slow);
    Chain fast;
    fast.rate = 5e6;
    after(fast, 200, t, &stiff);
    CHECK(stiff.rhs_calls < 2 * slow.rhs_calls);
    fast.rate = 500;
    after(fast, 200, {.method = Method::third_order, .relative = 0, .absolute = 1e-3},
          &explicit_stiff);
    CHECK(explicit_stiff.rhs_calls > 20 * stiff.rhs_calls);
}

TEST_CASE("the stepper is a controlled stepper of Odeint by itself") {
    detail::LinearlyImplicit stepper(detail::ErrorNorm(0, {1e-6}));
    const auto f = [](const detail::State& y, detail::State& d, double) { d[0] = -50 * y[0]; };
    const auto slopes = [](const detail::State&, SparseMatrix& a, double) { a.add(0, 0, -50); };
    detail::State y{1};
    double t = 0, h = 0.1;
    int refused = 0;
    while (t < 0.1) {
        h = std::min(h, 0.1 - t);
        refused += stepper.try_step(std::pair(std::ref(f), std::ref(slopes)), y, t, h) !=
                   boost::numeric::odeint::success;
    }
    CHECK(refused > 0);
    CHECK(y[0] == Approx(std::exp(-5.0)).margin(1e-4));
}

TEST_CASE("a step sees what its slopes leave out, all of it or half") {
    // y' = -y; A knows nothing of it, a part, all. One step within its own error, whatever it
    // knows.
    for (const double known : {0.0, 0.5, 1.0})
        for (const double tolerance : {1e-2, 1e-4, 1e-6}) {
            detail::LinearlyImplicit stepper(detail::ErrorNorm(0, {tolerance}));
            const auto f = [](const detail::State& y, detail::State& d, double) { d[0] = -y[0]; };
            const auto slopes = [&](const detail::State&, SparseMatrix& a, double) {
                a.add(0, 0, -known);
            };
            detail::State y{1};
            double t = 0, h = 4;
            int refused = 0;
            while (stepper.try_step(std::pair(std::ref(f), std::ref(slopes)), y, t, h) !=
                   boost::numeric::odeint::success)
                ++refused;
            INFO(known << " known, " << tolerance << " allowed, " << t << " s");
            CHECK(refused > 0);
            CHECK(std::abs(y[0] - std::exp(-t)) < tolerance);
            const detail::State end = y;
            detail::State middle{0};
            stepper.calc_state(t / 2, middle, {1}, {-1}, 0, end, {-end[0]}, t);
            CHECK(std::abs(middle[0] - std::exp(-t / 2)) < 2 * tolerance);
        }
}

TEST_CASE("the sparse factor solves what a dense elimination solves, and again when it has grown") {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> any(-1, 1);
    const int n = 40;
    SparseMatrix a(n);
    ShiftedFactor factor;
    for (int round = 0; round < 6; ++round) {
        if (round != 3) {  // once with new values in the old pattern
            for (int k = 0; k < 50; ++k) {
                // The last ten follow: nothing depends on them.
                const int i = static_cast<int>(random() % n), j = static_cast<int>(random() % 30);
                a.add(i, j, any(random));
            }
        }
        for (int i = 0; i < n; ++i) a.add(i, i, -6);
        const double c = 0.1 + round;
        REQUIRE(factor.factor(a, c));
        CHECK(factor.unknowns() <= 30);
        std::vector<double> x(n), b(n, 0.0);
        for (double& v : x) v = any(random);
        for (int i = 0; i < n; ++i)
            for (int j = 0; j < n; ++j)
                b[static_cast<std::size_t>(i)] +=
                    ((i == j) - c * a.at(i, j)) * x[static_cast<std::size_t>(j)];
        factor.solve(b.data());
        for (std::size_t i = 0; i < x.size(); ++i) CHECK(b[i] == Approx(x[i]).margin(1e-11));
    }
    SparseMatrix singular(1);
    singular.add(0, 0, 1);
    CHECK_FALSE(ShiftedFactor{}.factor(singular, 1));
}
