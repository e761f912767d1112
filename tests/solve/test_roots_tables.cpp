#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/solve/newton.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <random>
#include <vector>

using namespace lapheat::solve;
using lapheat::Error;

TEST_CASE("the Colebrook friction factor at Re 1e5, roughness 1e-3 comes out of a bracket") {
    // Colebrook 1939; value by iterating x = -2 log10(...) by hand to ten digits: 0.0221742.
    const auto f = [](double x) {
        return 1 / std::sqrt(x) + 2 * std::log10(1e-3 / 3.7 + 2.51 / (1e5 * std::sqrt(x)));
    };
    const Root root = bracketed_root(f, 0.005, 0.1, 1e-13);
    double x = 7;
    for (int i = 0; i < 60; ++i) x = -2 * std::log10(1e-3 / 3.7 + 2.51 * x / 1e5);
    CHECK(root.x == Approx(1 / (x * x)).epsilon(1e-10));
    CHECK(root.calls < 20);
    CHECK(root.width <= 1e-13);
}

TEST_CASE("a root at an end of the bracket is found, a bracket without one is refused") {
    const auto f = [](double x) { return x * x - 4; };
    CHECK(bracketed_root(f, 2, 5, 1e-12).x == 2);
    CHECK(bracketed_root(f, 0, 2, 1e-12).x == 2);
    CHECK_THROWS_AS(bracketed_root(f, 3, 5, 1e-12), Error);
    CHECK_THROWS_AS(bracketed_root([](double) { return std::nan(""); }, 0, 1, 1e-9), Error);
}

TEST_CASE("damped Newton solves Rosenbrock's system from the usual far start") {
    const Residual f = [](std::span<const double> x, std::span<double> r) {
        r[0] = 10 * (x[1] - x[0] * x[0]);
        r[1] = 1 - x[0];
    };
    std::vector<double> x{-1.2, 1};
    const NewtonReport report = damped_newton(f, x);
    CHECK(report.converged);
    CHECK(x[0] == Approx(1));
    CHECK(x[1] == Approx(1));
    CHECK(report.least_damping < 1);
    CHECK(report.iterations < 25);
}

TEST_CASE("damped Newton goes round values that are not finite") {
    // Two square-root flows out of a node must add to 3: sqrt(p) + sqrt(p - 1) = 3, p = 25/9.
    const Residual f = [](std::span<const double> x, std::span<double> r) {
        r[0] = std::sqrt(x[0]) + std::sqrt(x[0] - 1) - 3;
    };
    std::vector<double> x{1.0001};
    const NewtonReport report = damped_newton(f, x);
    CHECK(report.converged);
    CHECK(x[0] == Approx(25.0 / 9));
}

TEST_CASE("damped Newton says so when there is no root") {
    const Residual f = [](std::span<const double> x, std::span<double> r) {
        r[0] = x[0] * x[0] + 1;
    };
    std::vector<double> x{3};
    const NewtonReport report = damped_newton(f, x);
    CHECK_FALSE(report.converged);
    CHECK(report.residual >= 1);
}

TEST_CASE("a straight table passes through its points, holds its ends and averages exactly") {
    const LinearTable t({0, 1, 3}, {10, 20, 0});
    CHECK(t(0) == 10);
    CHECK(t(0.5) == 15);
    CHECK(t(2) == 10);
    CHECK(t(3) == 0);
    CHECK(t(-5) == 10);
    CHECK(t(9) == 0);
    CHECK_FALSE(t.inside(9));
    CHECK(t.mean(0, 3) == Approx((15.0 + 20.0) / 3));
    CHECK(t.mean(0.5, 1) == Approx(17.5));
    CHECK(t.mean(-1, 0) == Approx(10));
    CHECK(t.mean(2, 2) == 10);
    CHECK(LinearTable({2}, {7})(100) == 7);
    CHECK_THROWS_AS(LinearTable({0, 0}, {1, 2}), Error);
    CHECK_THROWS_AS(LinearTable({0, 1}, {1}), Error);
    CHECK_THROWS_AS(LinearTable({0, 1}, {1, std::numeric_limits<double>::infinity()}), Error);
}

TEST_CASE("a monotone cubic never leaves the range of its neighbours and keeps its order") {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> uniform(0, 1);
    for (int trial = 0; trial < 50; ++trial) {
        std::vector<double> x{0}, y{0};
        for (int i = 0; i < 8; ++i) {
            x.push_back(x.back() + 0.01 + uniform(random));
            y.push_back(y.back() + std::pow(uniform(random), 4));
        }
        const MonotoneCubic c(x, y);
        double last = -1e-12;
        for (int i = 0; i <= 500; ++i) {
            const double v = c(x.back() * i / 500);
            CHECK(v >= last - 1e-12);
            last = v;
        }
        CHECK(last == Approx(y.back()));
    }
    const MonotoneCubic parabola({0, 1, 2, 3, 4}, {0, 1, 4, 9, 16});
    const double h = 1e-6;
    CHECK(parabola.slope(2.3) ==
          Approx((parabola(2.3 + h) - parabola(2.3 - h)) / (2 * h)).epsilon(1e-6));
    CHECK_THROWS_AS(MonotoneCubic({0, 1, 2}, {0, 1, 2}), Error);
}

TEST_CASE(
    "an even table reads like a straight one and its error falls with the square of the step") {
    const auto f = [](double x) { return std::exp(-x); };
    const auto coarse = UniformTable::sample(f, 0, 4, 41);
    const auto fine = UniformTable::sample(f, 0, 4, 81);
    double worst_coarse = 0;
    double worst_fine = 0;
    for (double x = 0; x <= 4; x += 0.00713) {
        worst_coarse = std::max(worst_coarse, std::abs(coarse(x) - f(x)));
        worst_fine = std::max(worst_fine, std::abs(fine(x) - f(x)));
    }
    CHECK(worst_coarse / worst_fine == Approx(4).margin(0.3));
    CHECK(coarse(4) == f(4));
    CHECK(coarse(99) == f(4));
    CHECK(coarse(-1) == 1);
    CHECK_FALSE(coarse.inside(4.1));
    CHECK_THROWS_AS(UniformTable(0, 0, {1, 2}), Error);
}

TEST_CASE("a map over two variables is exact for what is straight in each, and holds its edges") {
    const auto f = [](double x, double y) { return 3 + 2 * x - y + 0.5 * x * y; };
    const std::vector<double> x{0, 1, 4};
    const std::vector<double> y{-1, 2};
    std::vector<double> z;
    for (const double a : x) {
        for (const double b : y) z.push_back(f(a, b));
    }
    const BilinearTable t(x, y, z);
    CHECK(t(0.3, 1.1) == Approx(f(0.3, 1.1)));
    CHECK(t(3.7, -0.2) == Approx(f(3.7, -0.2)));
    CHECK(t(9, 9) == Approx(f(4, 2)));
    CHECK_FALSE(t.inside(9, 0));
    CHECK(t.inside(4, 2));
    CHECK_THROWS_AS(BilinearTable({0, 1}, {0, 1}, {1, 2, 3}), Error);
}
