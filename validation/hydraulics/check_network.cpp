// The network solver against a reference library on grids of 10, 100 and 1000 pipes, against the
// loop method of Cross on a network of two loops, and against closed forms.
#include <cmath>
#include <memory>

#include "check.hpp"
#include "epanet.hpp"
#include "lapheat/hydraulics/line.hpp"
#include "lapheat/hydraulics/solver.hpp"
#include "lapheat/units/constants.hpp"

using namespace lapheat::hydraulics;
using namespace lapheat::validation;

namespace {

/// The reference library's own friction: Swamee & Jain above Re 4000, Dunlop's cubic from 2000,
/// as its manual gives them (EPANET 2.2 User Manual, table 3.1 and appendix D).
double reference_friction(double re, double roughness) {
    if (re <= 2000) return 64 / re;
    if (re >= 4000)
        return 0.25 / std::pow(std::log10(roughness / 3.7 + 5.74 / std::pow(re, 0.9)), 2);
    const double y2 = roughness / 3.7 + 5.74 / std::pow(4000, 0.9), y3 = -0.86859 * std::log(y2);
    const double fa = 1 / (y3 * y3), fb = fa * (2 - 0.00514215 / (y2 * y3)), r = re / 2000;
    const double x1 = 7 * fa - fb, x2 = 0.128 - 17 * fa + 2.5 * fb;
    const double x3 = -0.128 + 13 * fa - 2 * fb, x4 = r * (0.032 - 3 * fa + 0.5 * fb);
    return x1 + r * (x2 + r * (x3 + x4));
}

std::vector<double> our_flows(const Grid& g, NetworkDescription d) {
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho(network->elements(), 1000), mu(network->elements(), 1e-3),
        control(network->elements(), 0), fixed(network->nodes(), 0);
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, g.outflow}, flow) == Outcome::converged);
    return flow.mass_flow;
}

double worst_difference(const std::vector<double>& a, const std::vector<double>& b, std::size_t n) {
    double worst = 0, most = 0;
    for (std::size_t i = 0; i < n; ++i) {
        worst = std::max(worst, std::abs(a[i] - b[i]));
        most = std::max(most, std::abs(b[i]));
    }
    return worst / most;
}

}  // namespace

TEST_CASE("grids of 10, 100 and 1000 pipes carry the flows that a reference library finds") {
    const int sizes[][2] = {{2, 4}, {2, 34}, {15, 35}};
    for (const auto& [width, height] : sizes) {
        const Grid g = make_grid(width, height);
        const std::string name = std::to_string(g.pipes.size()) + " pipes";
        const auto reference = by_reference_library(g);
        if (reference.size() != g.pipes.size() + 1)
            FAIL("the reference library did not answer: run ./run.sh, which installs it");
        const auto same = our_flows(
            g, describe(g, [](const GridPipe& p) -> ElementBody {
                const auto loss = [&](double m) {
                    const double area = M_PI / 4 * p.diameter * p.diameter, v = m / 1000 / area;
                    return reference_friction(v * p.diameter / 1e-6, p.roughness / p.diameter) *
                           p.length / p.diameter * 500 * v * v;
                };
                return CurveLoss{sampled_curve(loss, 1000, 1e-3, 1e-4, 100), p.diameter};
            }));
        Row row{.topic = "Networks",
                .quantity =
                    "largest difference of any flow over the largest, its own friction, " + name,
                .source = "epanet-js 0.9.0 in the same run",
                .ours = worst_difference(same, reference, g.pipes.size())};
        row.band = {0, 1e-4, "ours has the friction formulas through a table"};
        library(row);
        row.quantity = "the same with Colebrook's friction, " + name;
        row.ours = worst_difference(our_flows(g, describe(g)), reference, g.pipes.size());
        row.band = {0, 0.02,
                    "it uses Swamee & Jain for Colebrook, up to 3 % apart in friction, and "
                    "another cubic in the transition"};
        library(row);
    }
}

TEST_CASE("a pump at part of its speed moves what a reference library finds") {
    // 10 l/s against 20 m at full speed (1 rad/s here), both tanks at one height.
    constexpr double g = 9.81456;  // the library's: 32.2 ft/s2
    Row row{.topic = "Networks",
            .quantity = "flow of a pump at 1, 0.8, 0.6 and 0.4 of its speed through a fixed loss",
            .source = "epanet-js 0.9.0 in the same run",
            .relation = Relation::pump_affinity,
            .unit = "l/s"};
    row.band = {1e-4, 0, "the library writes 4/3 as 1.33334 and has a millimetre of pipe"};
    for (const double speed : {1.0, 0.8, 0.6, 0.4}) {
        NetworkDescription d;
        d.nodes = {{.name = "a", .kind = Node::Kind::fixed},
                   {.name = "b", .kind = Node::Kind::fixed}};
        d.branches = {{.name = "line",
                       .from = "a",
                       .to = "b",
                       .elements = {{"pump", CentrifugalPump{g * 20 * 4 / 3, 0, g * 20 / 3 / 1e-4}},
                                    {"loss", MinorLoss{30, 0, 0.05}}}}};
        const auto network = std::make_shared<const Network>(build(std::move(d)));
        NetworkSolver solver(network);
        const std::vector<double> rho{1000, 1000}, mu{1e-3, 1e-3}, control{speed, 0}, fixed{0, 0};
        Flow flow;
        REQUIRE(solver.solve({rho, mu, control, fixed, {}}, flow) == Outcome::converged);
        row.points.push_back({"speed " + number(speed),
                              pumped_by_reference_library(10, 20, speed, 30), flow.mass_flow[0]});
    }
    library(row);
}

TEST_CASE("a network of two loops balances as by the hand method of Cross") {
    // Six pipes, r·Q² each, invented. Cross's own figure could not be opened, so his method is
    // carried out here, loop by loop, and the answers are compared.
    //   0 --a-- 1 --b-- 2
    //   |       |       |
    //   d       e       f      plus g: 3-4, h: 4-5; 100 in at 0; 20, 30, 50 out at 1, 3, 5
    //   3 --g-- 4 --h-- 5
    struct Line {
        int from, to;
        double r;
    };
    const std::vector<Line> lines{{0, 1, 5}, {1, 2, 1}, {0, 3, 2}, {1, 4, 4},
                                  {2, 5, 2}, {3, 4, 3}, {4, 5, 1}};
    std::vector<double> q{60, 20, 40, 20, 20, 10, 30};
    // Loops as signed lists of lines.
    const std::vector<std::vector<std::pair<int, int>>> loops{{{0, 1}, {3, 1}, {5, -1}, {2, -1}},
                                                              {{1, 1}, {4, 1}, {6, -1}, {3, -1}}};
    for (int round = 0; round < 200; ++round)
        for (const auto& loop : loops) {
            double head = 0, slope = 0;
            for (const auto& [i, sign] : loop) {
                const auto n = static_cast<std::size_t>(i);
                head += sign * lines[n].r * q[n] * std::abs(q[n]);
                slope += 2 * lines[n].r * std::abs(q[n]);
            }
            for (const auto& [i, sign] : loop)
                q[static_cast<std::size_t>(i)] -= sign * head / slope;
        }
    NetworkDescription d;
    for (int i = 0; i < 6; ++i)
        d.nodes.push_back({.name = std::to_string(i),
                           .kind = i == 0 ? Node::Kind::fixed : Node::Kind::junction,
                           .outlet = true});
    for (std::size_t i = 0; i < lines.size(); ++i)  // r·m² in Pa: K/(2ρA²) = r
        d.branches.push_back(
            {.name = "l" + std::to_string(i),
             .from = std::to_string(lines[i].from),
             .to = std::to_string(lines[i].to),
             .elements = {{"loss", MinorLoss{lines[i].r * 2000 * std::pow(M_PI / 4, 2), 0, 1}}}});
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho(7, 1000), mu(7, 1e-3), control(7, 0), fixed(6, 0),
        outflow{0, 20, 0, 30, 0, 50};
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, outflow}, flow) == Outcome::converged);
    Row row{.topic = "Networks",
            .quantity = "flows of seven lines in two loops, invented resistances",
            .source =
                "the method of Cross (Univ. Illinois Eng. Exp. Station Bulletin 286, 1936) "
                "carried to its end in the check",
            .unit = "kg/s"};
    row.band = {1e-8, 0, "both converge to rounding"};
    for (std::size_t i = 0; i < lines.size(); ++i)
        row.points.push_back({"line " + std::to_string(i), q[i], flow.mass_flow[i]});
    closed_form(row);
}

TEST_CASE("a siphon between two tanks runs as Bernoulli says") {
    NetworkDescription d;
    d.nodes = {{.name = "upper", .kind = Node::Kind::fixed, .elevation = 1.5},
               {.name = "lower", .kind = Node::Kind::fixed, .elevation = 0}};
    d.branches = {{.name = "siphon",
                   .from = "upper",
                   .to = "lower",
                   .elements = {{"exit", MinorLoss{1, 0, 0.01}, -1.5}}}};
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho{1000}, mu{1e-3}, control{0}, fixed{1e5, 1e5};
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, {}}, flow) == Outcome::converged);
    Row row{.topic = "Networks",
            .quantity = "flow of a siphon that loses one velocity head",
            .source = "Torricelli, sqrt(2 g h)",
            .outside = 1000 * M_PI / 4 * 1e-4 * std::sqrt(2 * lapheat::constants::gravity * 1.5),
            .ours = flow.mass_flow[0],
            .unit = "kg/s"};
    row.band = {1e-9, 0, "the solver's tolerance"};
    closed_form(row);
}

TEST_CASE("a laminar thermosiphon loop runs at the flow of its closed form") {
    // Two legs of height H and a density difference: Δρ·g·H = 128 μ L Q/(π D⁴).
    const double height = 0.5, diameter = 0.012, hot = 858, cold = 862, mu = 0.05;
    NetworkDescription d;
    d.pumpless = true;
    d.branches = {{.name = "hot",
                   .from = "low",
                   .to = "high",
                   .elements = {{"p", Pipe{height, diameter, 0}, height}}},
                  {.name = "cold",
                   .from = "high",
                   .to = "low",
                   .elements = {{"p", Pipe{height, diameter, 0}, -height}}}};
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho{hot, cold}, nu{mu, mu}, control{0, 0};
    Flow flow;
    REQUIRE(solver.solve({rho, nu, control}, flow) == Outcome::converged);
    const double per_density = 128 * mu * height / (M_PI * std::pow(diameter, 4));
    Row row{.topic = "Networks",
            .quantity = "thermosiphon flow, rising in the hot leg",
            .source = "Hagen-Poiseuille and hydrostatics, closed form",
            .outside = (cold - hot) * lapheat::constants::gravity * height /
                       (per_density * (1 / hot + 1 / cold)),
            .ours = flow.mass_flow[0],
            .unit = "kg/s"};
    row.band = {1e-9, 0, "the solver's tolerance"};
    closed_form(row);
}
