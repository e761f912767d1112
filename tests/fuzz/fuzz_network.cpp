// Networks of liquids and paths of air, built from bytes. The first byte chooses between the two
// and between numbers as cars have them, where a solution must be found, and any numbers at all,
// where it must be found or said to be none.
#include <algorithm>
#include <memory>

#include "harness.hpp"
#include "lapheat/airflow/path.hpp"
#include "lapheat/hydraulics/solver.hpp"

using namespace lapheat;

namespace {

/// A number of a part: as cars have it, or of any kind.
struct Source {
    fuzz::Choices& choices;
    bool tame;
    double operator()(double low, double high) const {
        return tame || choices.byte() < 160 ? choices.within(low, high) : choices.wild();
    }
};

hydraulics::ElementBody body(const Source& number) {
    using namespace hydraulics;
    fuzz::Choices& c = number.choices;
    switch (c.below(7)) {
        case 0: {
            Pipe pipe{number(0.05, 20), number(2e-3, 0.06)};
            pipe.roughness =
                number.tame ? pipe.inner_diameter * c.within(1e-5, 0.04) : number(0, 1e-3);
            return pipe;
        }
        case 1:
            return MinorLoss{number(0, 100), number(0, 1e4), number(2e-3, 0.06)};
        case 2:
            return MeasuredLoss{number(1e-5, 1e-2), number(10, 1e6), number(700, 1300),
                                number(2e-4, 1), number(0, 1)};
        case 3:
            return Valve{number(1e-7, 2e-3), c.coin() ? 0.0 : number(1e-8, 1e-7), number(0.5, 5),
                         c.coin()};
        case 4:
            return CheckValve{number(0.1, 20), number(3e-3, 0.05), number(0, 2e5)};
        case 5:
            return CentrifugalPump{number(1e-4, 0.01), number(0, 1e3), number(1e5, 1e9)};
        default:
            return DisplacementPump{.displacement = number(1e-8, 2e-5),
                                    .controlled_flow = c.coin() ? 0.0 : number(1e-5, 1e-3),
                                    .relief_pressure = c.coin() ? 0.0 : number(1e5, 1.5e7),
                                    .leakage = number(1e-15, 1e-12)};
    }
}

hydraulics::NetworkDescription description(const Source& number) {
    fuzz::Choices& c = number.choices;
    hydraulics::NetworkDescription d;
    const std::size_t nodes = 1 + c.below(6), branches = 1 + c.below(9);
    for (std::size_t i = 0; i < nodes; ++i) {
        d.nodes.push_back({.name = std::to_string(i)});
        if (c.below(5) == 1) d.nodes.back().kind = static_cast<hydraulics::Node::Kind>(c.below(3));
    }
    for (std::size_t b = 0; b < branches; ++b) {
        hydraulics::Branch branch;
        branch.name = "b" + std::to_string(b);
        branch.from = std::to_string(c.below(nodes));
        branch.to = std::to_string(c.below(nodes));
        branch.closed = c.below(16) == 7;
        for (std::size_t e = 0, count = 1 + c.below(4); e < count; ++e)
            branch.elements.push_back({"e" + std::to_string(e), body(number)});
        // A tight pump that nothing stands against is no car's: its pressure is all rounding.
        if (number.tame) branch.elements.push_back({"line", hydraulics::Pipe{1, 0.01, 1e-6}});
        if (c.below(4) == 1) branch.elements.front().rise = number(-1, 1);
        d.branches.push_back(std::move(branch));
    }
    d.pumpless = c.coin();
    return d;
}

void hold_liquid(const hydraulics::Flow& flow, bool tame) {
    using hydraulics::Outcome;
    if (tame)
        fuzz::hold(
            flow.outcome != Outcome::too_many_iterations && flow.outcome != Outcome::bad_input,
            "no solution for a network with numbers as cars have them: " +
                std::string(hydraulics::describe(flow.outcome)) + ", residual " +
                std::to_string(flow.residual * 1e9) + "e-9");
    if (!flow.converged()) return;
    for (const double m : flow.mass_flow) fuzz::hold(std::isfinite(m), "a flow that is no number");
    for (const double p : flow.pressure)
        fuzz::hold(std::isfinite(p), "a pressure that is no number");
    fuzz::hold(flow.residual <= 1e-9, "converged with a residual");
}

void liquid(const Source& number) {
    fuzz::Choices& c = number.choices;
    std::shared_ptr<const hydraulics::Network> network;
    if (fuzz::refused([&] {
            network =
                std::make_shared<const hydraulics::Network>(hydraulics::build(description(number)));
        }))
        return;
    hydraulics::NetworkSolver solver(network);
    hydraulics::Flow flow;
    std::vector<double> density(network->elements()), viscosity(network->elements()),
        control(network->elements());
    for (int solves = 0; solves < 4; ++solves) {
        const double rho = number(700, 1300), mu = number(2e-4, 2);
        for (std::size_t e = 0; e < network->elements(); ++e) {
            density[e] = rho, viscosity[e] = mu;
            const auto law = network->law[e];
            const bool pump = law == hydraulics::Network::Law::centrifugal ||
                              law == hydraulics::Network::Law::displacement;
            control[e] = c.below(4) == 0 ? 0 : number(0, pump ? 700 : 1);
        }
        solver.solve({density, viscosity, control}, flow);
        hold_liquid(flow, number.tame);
        if (flow.converged()) {
            std::vector<double> losses(network->elements());
            hydraulics::element_losses(*network, {density, viscosity, control}, flow, losses);
            for (const double loss : losses)  // an opening of 1e300 may cost what no double holds
                fuzz::hold(!number.tame || std::isfinite(loss), "a loss that is no number");
        }
    }
}

airflow::Fan fan(const Source& number) {
    airflow::Fan out;
    out.curve = airflow::fan_curve(number(0.05, 2), number(20, 900), number(0, 1));
    out.disc_area = number(0.01, 0.3);
    out.rated_power = number(20, 900);
    return out;
}

airflow::PathDescription path_description(const Source& number) {
    fuzz::Choices& c = number.choices;
    airflow::PathDescription d;
    d.inlet.losses = {{number(0, 5), number(0.01, 0.5)}};
    d.exit.losses = {{number(0, 5), number(0.01, 0.5)}};
    for (std::size_t i = 0, count = c.below(4); i < count; ++i) {
        airflow::PathCore core;
        core.face = {number(0, 0.5), number(0, 0.5), number(0.1, 0.9), number(0.1, 0.6)};
        core.resistance = {number(0, 1e9), number(0, 1e6), number(1, 1e3), 0.01, 4, 0};
        core.gap_behind = c.coin() ? 0.0 : number(0, 0.1);
        core.rise = c.coin() ? 0.0 : number(0, 0.5);
        d.cores.push_back(core);
    }
    for (std::size_t i = 0, count = c.below(3); i < count; ++i) {
        airflow::Shroud shroud;
        shroud.cover = {number(0, 0.5), number(0, 0.5), number(0.1, 0.5), number(0.1, 0.5)};
        for (std::size_t f = 0, fans = 1 + c.below(2); f < fans; ++f) {
            shroud.fans.push_back(d.fans.size());
            d.fans.push_back(fan(number));
        }
        shroud.pusher = c.coin();
        shroud.gap_area = c.coin() ? 0.0 : number(0, 0.05);
        shroud.flap_area = c.coin() ? 0.0 : number(0, 0.1);
        d.shrouds.push_back(shroud);
    }
    d.leak_area = c.coin() ? 0.0 : number(0, 0.1);
    d.bay_rise = c.coin() ? 0.0 : number(0, 0.5);
    return d;
}

void air(const Source& number) {
    fuzz::Choices& c = number.choices;
    airflow::Path path;
    if (fuzz::refused([&] { path = airflow::make_path(path_description(number)); })) return;
    airflow::PathInputs in = airflow::make_inputs(path, number(0.7, 1.4), number(250, 330));
    airflow::PathFlow flow = airflow::make_flow(path);
    for (int solves = 0; solves < 3; ++solves) {
        in.vehicle_speed = c.coin() ? 0 : number(0, 80);
        in.headwind = number(-20, 20);
        for (double& speed : in.fan_speed) speed = c.coin() ? 0 : number(0, 1.2);
        for (double& t : in.passage_outlet_temperature) t = number(250, 420);
        if (fuzz::refused([&] { airflow::operating_point(path, in, flow); })) continue;
        if (number.tame)
            fuzz::hold(flow.converged, "no solution for a path as cars have them: " +
                                           std::to_string(flow.residual) + " Pa, " +
                                           std::to_string(flow.iterations) + " iterations");
        if (!flow.converged) continue;
        for (const double m : flow.branch_flow)
            fuzz::hold(std::isfinite(m), "an air flow that is no number");
        fuzz::hold(std::isfinite(flow.residual), "a residual that is no number");
    }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 2048) return 0;
    fuzz::Choices choices(data, size);
    const std::uint8_t mode = choices.byte();
    const Source number{choices, (mode & 1U) == 0};
    (mode & 2U) == 0 ? liquid(number) : air(number);
    return 0;
}
