#include <catch2/catch.hpp>
#include <cmath>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/solve/roots.hpp>
#include <lapheat/units/error.hpp>
#include <vector>

using namespace lapheat::solve;
using lapheat::Error;

TEST_CASE("the Colebrook friction factor at Re 1e5, roughness 1e-3 comes out of a bracket") {
    // Colebrook 1939; by fixed point of x = -2 log10(...), x = 1/sqrt(f), 0.02217453594. Haaland
    // (1983), explicit and within 1.5 % of it: 0.0221.
    const auto f = [](double x) {
        return 1 / std::sqrt(x) + 2 * std::log10(1e-3 / 3.7 + 2.51 / (1e5 * std::sqrt(x)));
    };
    const Root root = bracketed_root(f, 0.005, 0.1, 1e-13);
    CHECK(root.x == Approx(0.02217453594).epsilon(1e-9));
    const double haaland = -1.8 * std::log10(std::pow(1e-3 / 3.7, 1.11) + 6.9 / 1e5);
    CHECK(root.x == Approx(1 / (haaland * haaland)).epsilon(0.015));
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

TEST_CASE("straight lines pass through their points and hold their ends") {
    const std::vector<double> x{0, 1, 3}, y{10, 20, 0};
    for (std::size_t i = 0; i < x.size(); ++i) CHECK(between(x, y, x[i]) == y[i]);
    CHECK(between(x, y, 0.5) == 15);
    CHECK(between(x, y, 2) == 10);
    CHECK(between(x, y, -5) == 10);
    CHECK(between(x, y, 9) == 0);
    CHECK(between(std::vector<double>{2}, std::vector<double>{7}, 100) == 7);
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
