// Worked networks with printed answers, and networks whose answer is a closed form.
#include <array>
#include <cmath>
#include <memory>
#include <string>
#include <vector>

#include "check.hpp"
#include "lapheat/hydraulics/solver.hpp"
#include "lapheat/units/constants.hpp"

using namespace lapheat::hydraulics;
using namespace lapheat::validation;

namespace {

constexpr double water = 998.2, viscosity = 1.002e-3;  // kg/m³, Pa s at 20 °C

/// A pipe of the worked example: its ends, the printed resistance K of h = K·Q² in m of water with
/// friction factors held, and the printed flows (m³/s, along from → to) with Colebrook's friction.
struct Printed {
    const char *from, *to;
    double diameter, length, resistance, colebrook;
};

/// Three loops, ten pipes; 0.08 m³/s in at A; 0.04, 0.02 and 0.02 out at D, G and H.
constexpr std::array<Printed, 10> example{{{"A", "B", 0.30, 250, 159.7828, 0.0382},
                                           {"B", "C", 0.20, 100, 535.9666, 0.0382},
                                           {"C", "D", 0.20, 125, 669.9582, 0.0230},
                                           {"E", "D", 0.20, 125, 669.9582, 0.0258},
                                           {"A", "E", 0.20, 100, 535.9666, 0.0418},
                                           {"D", "F", 0.15, 100, 2430.5356, 0.0088},
                                           {"F", "G", 0.25, 125, 207.7883, 0.0040},
                                           {"E", "G", 0.15, 100, 2430.5356, 0.0160},
                                           {"C", "H", 0.15, 100, 2430.5356, 0.0152},
                                           {"F", "H", 0.25, 125, 207.7883, 0.0048}}};

template <class Body>
Flow solve_example(Body body) {
    NetworkDescription d;
    for (const char* name : {"A", "B", "C", "D", "E", "F", "G", "H"})
        d.nodes.push_back({.name = name,
                           .kind = name[0] == 'A' ? Node::Kind::fixed : Node::Kind::junction,
                           .outlet = true});
    for (std::size_t i = 0; i < example.size(); ++i)
        d.branches.push_back({.name = "pipe " + std::to_string(i + 1),
                              .from = example[i].from,
                              .to = example[i].to,
                              .elements = {{"pipe", body(example[i])}}});
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho(10, water), mu(10, viscosity), control(10, 0), fixed(8, 0);
    const std::vector<double> outflow{0, 0, 0, 0.04 * water, 0, 0, 0.02 * water, 0.02 * water};
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, outflow}, flow) == Outcome::converged);
    return flow;
}

/// The loops as lists of signed pipes (from 1), and the flows they are started from.
const std::vector<std::vector<int>> loops{{1, 2, 3, -4, -5}, {4, 6, 7, -8}, {-3, 9, -10, -6}};
constexpr std::array<double, 10> first_guess{.04, .04, .02, .02, .04, 0, 0, .02, .02, 0};

/// Flows after so many corrections, all loops corrected together (Cross 1936).
std::array<double, 10> by_cross(int corrections) {
    std::array<double, 10> q = first_guess;
    for (int round = 0; round < corrections; ++round) {
        std::array<double, 10> change{};
        for (const auto& loop : loops) {
            double head = 0, slope = 0;
            for (const int pipe : loop) {
                const auto n = static_cast<std::size_t>(std::abs(pipe)) - 1;
                head += (pipe > 0 ? 1 : -1) * example[n].resistance * q[n] * std::abs(q[n]);
                slope += 2 * example[n].resistance * std::abs(q[n]);
            }
            for (const int pipe : loop)
                change[static_cast<std::size_t>(std::abs(pipe)) - 1] -=
                    (pipe > 0 ? 1 : -1) * head / slope;
        }
        for (std::size_t i = 0; i < q.size(); ++i) q[i] += change[i];
    }
    return q;
}

}  // namespace

TEST_CASE("a printed network of three loops carries the flows of its source") {
    const std::array<double, 10> last = by_cross(300);
    const Flow held = solve_example([](const Printed& p) -> ElementBody {
        // h = K·Q² in metres of water as a loss coefficient on a bore of 1 m.
        return MinorLoss{2 * std::pow(M_PI / 4, 2) * lapheat::constants::gravity * p.resistance, 0,
                         1};
    });
    const Flow free = solve_example([](const Printed& p) -> ElementBody {
        return Pipe{p.length, p.diameter, 0.25e-3};
    });
    Row cross{.topic = "Networks",
              .quantity = "flows of ten pipes in three loops, friction held",
              .source =
                  "the method of Cross (Univ. Illinois Eng. Exp. Station Bulletin 286, 1936) "
                  "carried to its end in the check",
              .unit = "m3/s"};
    cross.band = {0, 1e-9, "both converge to rounding"};
    Row printed = cross;
    printed.quantity = "flows of ten pipes in three loops, Colebrook's friction, water at 20 degC";
    printed.source =
        "Maurer, R package hydraulics 0.7 (2023), worked example of the Hardy-Cross method";
    printed.read = "the package's vignette (GPL-3; numbers only)";
    printed.band = {0, 2.5e-4,
                    "the source stops after three corrections, up to 2.3e-4 m3/s from the "
                    "end, and prints four decimals"};
    for (std::size_t i = 0; i < example.size(); ++i) {
        const std::string name = "pipe " + std::to_string(i + 1);
        cross.points.push_back({name, last[i], held.mass_flow[i] / water});
        printed.points.push_back({name, example[i].colebrook, free.mass_flow[i] / water});
    }
    closed_form(cross);
    published(printed);
}

TEST_CASE(
    "a printed network of two loops, by the method of Cross, ends at the flows of its source") {
    constexpr double inch = 0.0254, foot = 0.3048, cubic_foot = foot * foot * foot;
    /// Bore (inch), length (ft), the flow started from and the flow in the end (ft³/s).
    struct Worked {
        const char *from, *to;
        double bore, length, first, last;
    };
    // Loops +1 +2 -3 -4 and -2 -5 +6 +7; what enters or leaves at a node follows from the flows
    // started from.
    const std::array<Worked, 7> pipes{{{"A", "B", 12, 3000, 1.67, 1.7474},
                                       {"B", "C", 14, 2000, 3.45, 3.4873},
                                       {"D", "C", 10, 3000, 1.00, 0.92260},
                                       {"A", "D", 10, 2000, 1.67, 1.5926},
                                       {"E", "B", 14, 3000, 1.78, 1.7399},
                                       {"E", "F", 10, 2000, 1.56, 1.6001},
                                       {"F", "C", 12, 3000, 0.67, 0.71006}}};
    const std::vector<std::string> names{"A", "B", "C", "D", "E", "F"};
    NetworkDescription d;
    for (const std::string& name : names)
        d.nodes.push_back({.name = name,
                           .kind = name == "A" ? Node::Kind::fixed : Node::Kind::junction,
                           .outlet = true});
    const double density = 999, thickness = 1.217e-5 * foot * foot * density;
    std::vector<double> outflow(names.size(), 0);
    for (const Worked& p : pipes) {
        d.branches.push_back(
            {.name = std::string(p.from) + p.to,
             .from = p.from,
             .to = p.to,
             .elements = {{"pipe", Pipe{p.length * foot, p.bore * inch, 0.012 * inch}}}});
        outflow[static_cast<std::size_t>(*p.from - 'A')] -= p.first * cubic_foot * density;
        outflow[static_cast<std::size_t>(*p.to - 'A')] += p.first * cubic_foot * density;
    }
    outflow[0] = 0;  // the fixed node takes what is left
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho(7, density), mu(7, thickness), control(7, 0), fixed(6, 0);
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, outflow}, flow) == Outcome::converged);
    Row row{.topic = "Networks",
            .quantity = "flows of seven pipes in two loops, Colebrook's friction",
            .source =
                "Jeppson, Steady Flow Analysis of Pipe Networks: An Instructional Manual (Utah "
                "State Univ., 1974), chapter on the method of Cross",
            .read =
                "an open rewriting of its program, as computed there; the printed page was not "
                "opened",
            .unit = "ft3/s"};
    row.band = {3e-4, 0, "three rounded units of the fourth printed digit"};
    for (std::size_t i = 0; i < pipes.size(); ++i)
        row.points.push_back({std::string(pipes[i].from) + pipes[i].to, pipes[i].last,
                              flow.mass_flow[i] / density / cubic_foot});
    published(row);
}

TEST_CASE("losses in series add and in parallel their inverse roots add") {
    // Two in parallel (K 4 and 9) behind one in series (K 1), from 50 kPa to nothing.
    NetworkDescription d;
    d.nodes = {{.name = "a", .kind = Node::Kind::fixed}, {.name = "c", .kind = Node::Kind::fixed}};
    d.branches = {
        {.name = "one", .from = "a", .to = "b", .elements = {{"k", MinorLoss{1, 0, 0.01}}}},
        {.name = "two", .from = "b", .to = "c", .elements = {{"k", MinorLoss{4, 0, 0.01}}}},
        {.name = "three", .from = "b", .to = "c", .elements = {{"k", MinorLoss{9, 0, 0.01}}}}};
    const auto network = std::make_shared<const Network>(build(std::move(d)));
    NetworkSolver solver(network);
    const std::vector<double> rho(3, 1000), mu(3, 1e-3), control(3, 0);
    std::vector<double> fixed(3, 0);
    fixed[network->node("a")] = 5e4;
    Flow flow;
    REQUIRE(solver.solve({rho, mu, control, fixed, {}}, flow) == Outcome::converged);
    const double together = 1 / std::pow(1 / std::sqrt(4.0) + 1 / std::sqrt(9.0), 2);
    const double area = M_PI / 4 * 1e-4;
    Row row{.topic = "Networks",
            .quantity = "flow through one loss and two in parallel behind it",
            .source = "closed form: K = 1 + (1/sqrt 4 + 1/sqrt 9)^-2",
            .outside = area * std::sqrt(2 * 1000 * 5e4 / (1 + together)),
            .ours = flow.mass_flow[0],
            .unit = "kg/s"};
    row.band = {1e-9, 0, "the solver's tolerance"};
    closed_form(row);
    row.quantity = "split of the two in parallel";
    row.source = "closed form: sqrt(9/4)";
    row.outside = 1.5;
    row.ours = flow.mass_flow[1] / flow.mass_flow[2];
    row.unit = "-";
    closed_form(row);
}
