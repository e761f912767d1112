// Points, indices and values of information against functions whose answers are known.
#include <cmath>
#include <numbers>
#include <string>

#include "check.hpp"
#include "lapheat/solve/distribution.hpp"
#include "lapheat/solve/draws.hpp"
#include "lapheat/solve/given_data.hpp"

using namespace lapheat;
using namespace lapheat::validation;

namespace {

constexpr double pi = std::numbers::pi;
constexpr std::uint32_t rows = 1024;

using Table = std::vector<std::vector<double>>;

/// Columns of the unit cube's points.
Table cube(std::size_t columns, std::uint32_t count, std::uint64_t series) {
    std::vector<std::uint64_t> keys;
    for (std::size_t d = 0; d < columns; ++d)
        keys.push_back(solve::mixed(series, std::to_string(d)));
    const solve::ScrambledPoints points(keys);
    Table out(columns);
    std::vector<double> u(columns);
    for (std::uint32_t n = 0; n < count; ++n) {
        points.point(n, u);
        for (std::size_t d = 0; d < columns; ++d) out[d].push_back(u[d]);
    }
    return out;
}

/// The same, each coordinate by itself.
Table plain(std::size_t columns, std::uint32_t count, std::uint64_t series) {
    Table out(columns);
    for (std::size_t d = 0; d < columns; ++d)
        for (std::uint32_t n = 0; n < count; ++n) {
            const std::uint64_t bits = solve::mixed(solve::mixed(series, std::to_string(d)) ^ n);
            out[d].push_back((static_cast<double>(bits >> 11) + 0.5) * 0x1p-53);
        }
    return out;
}

double ishigami(const Table& u, std::size_t n) {
    const double x1 = pi * (2 * u[0][n] - 1), x2 = pi * (2 * u[1][n] - 1),
                 x3 = pi * (2 * u[2][n] - 1);
    return std::sin(x1) + 7 * std::pow(std::sin(x2), 2) + 0.1 * std::pow(x3, 4) * std::sin(x1);
}

constexpr double g_weights[] = {0, 1, 4.5, 9, 99, 99, 99, 99};

double g_function(const Table& u, std::size_t n) {
    double product = 1;
    for (std::size_t d = 0; d < 8; ++d)
        product *= (std::abs(4 * u[d][n] - 2) + g_weights[d]) / (1 + g_weights[d]);
    return product;
}

std::vector<double> outcomes(const Table& u, double (*f)(const Table&, std::size_t)) {
    std::vector<double> y;
    for (std::size_t n = 0; n < u[0].size(); ++n) y.push_back(f(u, n));
    return y;
}

double mean(const std::vector<double>& y) {
    double sum = 0;
    for (const double v : y) sum += v;
    return sum / static_cast<double>(y.size());
}

/// Root mean square error of the mean of f over some keys.
double error_of_mean(Table (*make)(std::size_t, std::uint32_t, std::uint64_t), std::size_t columns,
                     std::uint32_t count, double (*f)(const Table&, std::size_t), double truth) {
    constexpr std::uint64_t repeats = 32;
    double sum = 0;
    for (std::uint64_t series = 0; series < repeats; ++series)
        sum += std::pow(mean(outcomes(make(columns, count, series), f)) - truth, 2);
    return std::sqrt(sum / repeats);
}

/// What is worth to know of a normal advantage of one alternative: Raiffa & Schlaifer's unit normal
/// loss times its deviation.
double unit_loss(double level, double deviation) {
    const double z = std::abs(level) / deviation;
    return deviation * (std::exp(-0.5 * z * z) / std::sqrt(2 * pi) - z * solve::normal_share(-z));
}

void index_row(Row row, const Table& u, const std::vector<double>& y,
               const std::vector<double>& truth) {
    solve::GivenData quick;
    quick.resamples = 0;
    const auto s = solve::first_order(u, y, quick);
    for (std::size_t d = 0; d < truth.size(); ++d)
        row.points.push_back({"x" + std::to_string(d + 1), truth[d], s[d].value});
    closed_form(row);
    row.points.clear();
    const std::string quantity = row.quantity;
    row.quantity = quantity + ", fitted together";
    const auto together = solve::first_order_together(u, y, quick);
    for (std::size_t d = 0; d < truth.size(); ++d)
        row.points.push_back({"x" + std::to_string(d + 1), truth[d], together[d].value});
    closed_form(row);
}

}  // namespace

TEST_CASE("variance shares of the function of Ishigami") {
    const double b = 0.1, a = 7, p4 = std::pow(pi, 4);
    const double total = a * a / 8 + b * p4 / 5 + b * b * p4 * p4 / 18 + 0.5;
    const Table u = cube(3, rows, 3);
    index_row({.topic = "Certainty",
               .quantity = "first-order indices of the Ishigami function, 1 024 draws",
               .source = "Ishigami & Homma 1990, An importance quantification technique; "
                         "V1 = (1 + b pi^4/5)^2/2, V2 = a^2/8, V3 = 0 of a = 7, b = 0.1 "
                         "(0.314, 0.442, 0)",
               .from_memory = true,
               .band = {0, 0.03, "two standard errors of a correlation over 1 024 draws"}},
              u, outcomes(u, ishigami),
              {0.5 * std::pow(1 + b * p4 / 5, 2) / total, a * a / 8 / total, 0});
}

TEST_CASE("variance shares of the g function of Sobol'") {
    double total = 1;
    for (const double a : g_weights) total *= 1 + 1 / (3 * (1 + a) * (1 + a));
    std::vector<double> truth;
    for (const double a : g_weights) truth.push_back(1 / (3 * (1 + a) * (1 + a)) / (total - 1));
    const Table u = cube(8, rows, 4);
    index_row({.topic = "Certainty",
               .quantity = "first-order indices of the g function, eight inputs, 1 024 draws",
               .source = "Saltelli & Sobol' 1995, About the use of rank transformation; V_i = "
                         "1/(3 (1 + a_i)^2), a = 0, 1, 4.5, 9, 99 (0.716, 0.179, 0.0237, 0.0072)",
               .from_memory = true,
               .band = {0, 0.03, "two standard errors of a correlation over 1 024 draws"}},
              u, outcomes(u, g_function), truth);
}

TEST_CASE("the value of knowing in a linear decision of normal numbers") {
    // Alternatives 1 + 2 x1 + x2 and 0.5 + 3 x3: advantages N(-0.5, .) of each number alone.
    const Table u = cube(4, rows, 6);
    Table x(4), gain(2);
    for (std::size_t n = 0; n < rows; ++n) {
        for (std::size_t d = 0; d < 4; ++d) x[d].push_back(solve::normal_quantile(u[d][n]));
        gain[0].push_back(1 + 2 * x[0][n] + x[1][n]);
        gain[1].push_back(0.5 + 3 * x[2][n]);
    }
    const auto worth = solve::value_of_knowing(x, gain);
    Row row{.topic = "Certainty",
            .quantity = "value of knowing one of four normal numbers before choosing, 1 024 draws",
            .source =
                "Raiffa & Schlaifer 1961, Applied statistical decision theory, unit normal "
                "loss integral",
            .from_memory = true,
            .unit = "K",
            .band = {0, 0.06, "standard error of the mean gain, deviation 3 K over 1 024 draws"}};
    const double deviations[] = {2, 1, 3};
    for (std::size_t d = 0; d < 3; ++d)
        row.points.push_back(
            {"x" + std::to_string(d + 1), unit_loss(0.5, deviations[d]), worth[d].value});
    row.points.push_back({"without effect", 0, worth[3].value});
    closed_form(row);
    row.points.clear();
    row.quantity = "expected regret of the same choice";
    row.outside = unit_loss(0.5, std::sqrt(14.0));
    row.ours = solve::decide(gain).regret.value;
    closed_form(row);
}

TEST_CASE("the error of evenly spread draws against their number") {
    Row row{.topic = "Certainty",
            .quantity =
                "mean of the g function, 32 keys, root mean square error over that of "
                "plain draws (sigma / sqrt N)",
            .source = "closed form: mean 1, variance prod(1 + 1/(3 (1 + a_i)^2)) - 1",
            .unit = "-"};
    double variance = 1;
    for (const double a : g_weights) variance *= 1 + 1 / (3 * (1 + a) * (1 + a));
    variance -= 1;
    row.band = {0, 0.25, "a quarter of the plain error is asked of each number of draws"};
    for (const std::uint32_t n : {64u, 256u, 1024u, 4096u})
        row.points.push_back({std::to_string(n) + " draws", 0,
                              error_of_mean(cube, 8, n, g_function, 1) / std::sqrt(variance / n)});
    closed_form(row);
    row.points.clear();
    row.quantity = "the same of our own plain draws";
    row.band = {0, 0.4, "three standard errors of an error seen 32 times"};
    for (const std::uint32_t n : {64u, 1024u})
        row.points.push_back({std::to_string(n) + " draws", 1,
                              error_of_mean(plain, 8, n, g_function, 1) / std::sqrt(variance / n)});
    closed_form(row);
}

TEST_CASE("the chance of two placements whose margins are normal") {
    // A: 6 + 4 x1 + 3 x3, B: 5 + 4 x2 + 3 x3 K of margin; the shared number cancels between them.
    Row row{.topic = "Certainty",
            .quantity = "two placements with a shared doubt, 1 024 draws: shares that hold and win",
            .source = "closed form: Phi(6/5), Phi(1), Phi(1/sqrt 32)",
            .unit = "-"};
    row.band = {0, 0.012, "a standard error of plain draws"};
    const Table u = cube(3, rows, 8);
    std::size_t a_holds = 0, b_holds = 0, a_wins = 0;
    for (std::size_t n = 0; n < rows; ++n) {
        const auto x = [&](std::size_t d) { return solve::normal_quantile(u[d][n]); };
        const double a = 6 + 4 * x(0) + 3 * x(2), b = 5 + 4 * x(1) + 3 * x(2);
        a_holds += a >= 0 ? 1 : 0;
        b_holds += b >= 0 ? 1 : 0;
        a_wins += a > b ? 1 : 0;
    }
    row.points = {
        {"A holds", solve::normal_share(1.2), solve::share(a_holds, rows).value},
        {"B holds", solve::normal_share(1), solve::share(b_holds, rows).value},
        {"A beats B", solve::normal_share(1 / std::sqrt(32.0)), solve::share(a_wins, rows).value}};
    closed_form(row);
}
