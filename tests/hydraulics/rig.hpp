// A network with everything it takes to solve it, for the tests.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "lapheat/hydraulics/solver.hpp"

namespace lapheat::hydraulics {

struct Rig {
    std::shared_ptr<const Network> network;
    NetworkSolver solver;
    std::vector<double> density, viscosity, control, fixed, outflow;
    Flow flow;

    explicit Rig(NetworkDescription d, double rho = 1000, double mu = 1e-3)
        : network(std::make_shared<const Network>(build(std::move(d)))),
          solver(network),
          density(network->elements(), rho),
          viscosity(network->elements(), mu),
          control(network->elements(), 1.0),
          fixed(network->nodes(), 0.0),
          outflow(network->nodes(), 0.0) {}

    Inputs inputs() const { return {density, viscosity, control, fixed, outflow}; }
    Outcome solve() { return solver.solve(inputs(), flow); }
    double& control_of(const char* branch, const char* element) {
        return control[network->element(branch, element)];
    }
    double flow_of(const char* branch) const { return flow.mass_flow[network->branch(branch)]; }
    double pressure_at(const char* node) const { return flow.pressure[network->node(node)]; }
};

/// A loss that is K·½ρv² at 10 mm and nothing else.
inline Element hole(std::string name, double k) { return {std::move(name), MinorLoss{k, 0, 0.01}}; }

/// Pressure lost by hole() at a mass flow, by hand.
inline double hole_loss(double k, double m, double rho = 1000) {
    const double area = 3.14159265358979 / 4 * 1e-4, v = m / rho / area;
    return k * 0.5 * rho * v * (v < 0 ? -v : v);
}

/// 1 bar at no flow and 1 l/s at no pressure, at 300 rad/s in water.
inline CentrifugalPump small_pump() { return {100.0 / 9e4, 0, 100.0 / 1e-6}; }

/// The invented coolant loop of the examples: jacket, radiator behind a thermostat, bypass,
/// heater.
inline NetworkDescription coolant_loop() {
    NetworkDescription d;
    d.branches = {
        {.name = "engine",
         .from = "in",
         .to = "out",
         .elements = {{"pump", small_pump()}, {"jacket", MinorLoss{6, 800, 0.025}}}},
        {.name = "radiator",
         .from = "out",
         .to = "in",
         .elements = {{"thermostat", Valve{5e-4, 0, 1.8}},
                      {"upper", Pipe{0.8, 0.032, 5e-6}, 0.3},
                      {"core", MinorLoss{8, 3000, 0.032}, -0.4},
                      {"lower", Pipe{0.9, 0.035, 5e-6}, 0.1}}},
        {.name = "bypass",
         .from = "out",
         .to = "in",
         .elements = {{"hose", Pipe{0.3, 0.016, 5e-6}}}},
        {.name = "heater",
         .from = "out",
         .to = "in",
         .elements = {{"valve", Valve{8e-5, 0, 2}},
                      {"feed", Pipe{2, 0.016, 5e-6}, 0.4},
                      {"core", MinorLoss{15, 3000, 0.016}},
                      {"return", Pipe{2, 0.016, 5e-6}, -0.4}}},
    };
    return d;
}

}  // namespace lapheat::hydraulics
