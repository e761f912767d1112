// Loops: every run's parts become cells (what holds heat) and hydraulic elements (what costs
// pressure); a core's passes are noted for the air and the other liquid.
#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "compile.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "line_loss.hpp"

namespace lapheat::model {
namespace {

constexpr double reference_temperature = 353.15;  // K, where masses are taken: a warm loop

Caloric caloric_of(const fluids::Liquid& fluid) {
    // Least squares of cp(T) = c0 + c1 T over 0…130 °C.
    double n = 0, st = 0, stt = 0, sc = 0, stc = 0;
    for (double t = 273.15; t <= 403.15; t += 5) {
        const double c = fluid.specific_heat(t);
        n += 1;
        st += t;
        stt += t * t;
        sc += c;
        stc += t * c;
    }
    Caloric out;
    out.c1 = (n * stc - st * sc) / (n * stt - st * st);
    out.c0 = (sc - out.c1 * st) / n;
    return out;
}

struct Builder {
    Model& model;
    const Loop& loop;
    FlatLoop flat;
    std::map<std::string, int> nodes;
    hydraulics::NetworkDescription network;

    int node(const std::string& name) {
        const auto [at, is_new] = nodes.try_emplace(name, static_cast<int>(nodes.size()));
        if (is_new) network.nodes.push_back({.name = name});
        return flat.first_node + at->second;
    }

    int add_cell(double volume, double metal, int run, int part, std::string name) {
        const double mass = volume * loop.fluid.density(reference_temperature);
        Cell cell;
        cell.a = mass * flat.caloric.c0 + metal;
        cell.b = mass * flat.caloric.c1;
        cell.scale = cell.a + cell.b * reference_temperature;
        cell.loop = static_cast<int>(model.loops.size());
        cell.run = run;
        cell.part = part;
        cell.name = std::move(name);
        model.cells.push_back(std::move(cell));
        return static_cast<int>(model.cells.size()) - 1;
    }

    void surface_loss(int cell, Surroundings where, double at_rest, double gain) {
        if (at_rest <= 0 && gain <= 0) return;
        model.losses.push_back(
            {cell, where, at_rest, gain, ledger_out("lines and cases of " + loop.name)});
    }

    int ledger_out(const std::string& name) {
        const auto at = std::find(model.ledger_names.begin(), model.ledger_names.end(), name);
        if (at != model.ledger_names.end())
            return static_cast<int>(at - model.ledger_names.begin());
        model.ledger_names.push_back(name);
        model.ledger_in.push_back(false);
        return static_cast<int>(model.ledger_names.size()) - 1;
    }

    void add_line(const Line& line, int run, int part, const std::string& name) {
        const double area = std::numbers::pi / 4 * line.inner_diameter * line.inner_diameter;
        const double outer = line.inner_diameter + 2 * line.wall_thickness;
        const double wall_area = std::numbers::pi / 4 * outer * outer - area;
        // One cell per half metre, eight at the most: the delay is right with any number, the
        // sharpness of a front grows with it (see hydraulics/line.hpp for the spread).
        const int cells = line.cells > 0
                              ? line.cells
                              : std::clamp(static_cast<int>(line.length / 0.5 + 0.5), 1, 8);
        const LineConductance ua = line_conductance(line, loop.fluid, line.length / cells);
        for (int i = 0; i < cells; ++i) {
            const double length = line.length / cells;
            const int cell = add_cell(
                area * length, wall_area * length * line.wall_heat_capacity, run, part,
                cells > 1 ? name + " " + std::to_string(i + 1) + "/" + std::to_string(cells)
                          : name);
            surface_loss(cell, line.surroundings, ua.at_rest, ua.speed_gain);
        }
    }

    void add_volume(const Volume& v, int run, int part, const std::string& name) {
        const int cell = add_cell(v.volume, v.metal_heat_capacity, run, part, name);
        surface_loss(cell, v.surroundings, v.ambient_conductance, v.ambient_speed_gain);
        int wall = none;
        if (v.wall_heat_capacity > 0) {
            wall = static_cast<int>(model.walls.size());
            model.walls.push_back({.cell = cell,
                                   .run = run,
                                   .state = 0,
                                   .capacity = v.wall_heat_capacity,
                                   .conductance = v.wall_conductance,
                                   .flow = std::max(v.wall_flow, 1e-6),
                                   .at_rest = v.static_conductance});
        }
        for (const std::string& stream : v.heat) {
            const auto& names = stream_names();
            const auto at = std::find(names.begin(), names.end(), stream);
            if (at == names.end() || stream == "condenser")
                throw Error("no heat '" + stream + "' for a fluid", known(names),
                            loop.runs[static_cast<std::size_t>(run - flat.first_run)]
                                .parts[static_cast<std::size_t>(part)]
                                .place,
                            "heat");
            model.heats.push_back(
                {static_cast<int>(at - names.begin()), wall == none ? cell : none, wall, 1});
        }
    }

    void add_core_pass(const CorePass& pass, int run, int part, const Part& where,
                       hydraulics::Branch& branch) {
        const auto entry = std::find_if(model.car.cores.begin(), model.car.cores.end(),
                                        [&](const CoreEntry& c) { return c.name == pass.core; });
        if (entry == model.car.cores.end()) {
            std::vector<std::string> names;
            for (const CoreEntry& c : model.car.cores) names.push_back(c.name);
            throw Error("no core '" + pass.core + "'", known(names), where.place, "core");
        }
        FlatCore& core = model.cores[static_cast<std::size_t>(entry - model.car.cores.begin())];
        int& used = pass.second_side ? core.second_cell : core.first_cell;
        if (used != none)
            throw Error("the core '" + pass.core + "' already has a liquid on this side",
                        "one run for each side of a core", where.place, "core");
        const exchangers::Side& side = pass.second_side ? entry->core.second : entry->core.first;
        const double volume =
            pass.second_side ? entry->core.second_volume : entry->core.first_volume;
        // The metal counts with the first side: its conductance is the higher one for a liquid.
        const double metal = pass.second_side ? 0 : entry->core.heat_capacity;
        used = add_cell(std::max(volume, 2e-5), metal, run, part, where.name);
        (pass.second_side ? core.second_run : core.first_run) = run;
        const fluids::Properties p = loop.fluid.at(reference_temperature);
        branch.elements.push_back({where.name,
                                   hydraulics::CurveLoss{hydraulics::sampled_curve(
                                       [&](double m) {
                                           return exchangers::pressure_drop(side, m, p.density,
                                                                            p.viscosity);
                                       },
                                       p.density, p.viscosity, 1e-4, 10.0)},
                                   0.0});
    }

    void add_part(const Part& part, int run, int index, hydraulics::Branch& branch) {
        const std::size_t before = branch.elements.size();
        const auto control = [&](FlatLoop::Control::Kind kind, double value) {
            // Element numbers within the loop are settled once all runs are known.
            pending.push_back({branch.name, part.name, kind, value});
        };
        if (const auto* line = std::get_if<Line>(&part.body)) {
            add_line(*line, run, index, part.name);
            branch.elements.push_back(
                {part.name, hydraulics::Pipe{line->length, line->inner_diameter, line->roughness},
                 line->rise});
            if (line->bends_90 > 0)
                branch.elements.push_back(
                    {part.name + " bends",
                     hydraulics::MinorLoss{
                         line->bends_90 * hydraulics::bend(line->inner_diameter,
                                                           line->bend_radius_ratio, 90,
                                                           line->roughness)
                                              .loss_coefficient,
                         0, line->inner_diameter},
                     0.0});
        } else if (const auto* fitting = std::get_if<Fitting>(&part.body)) {
            branch.elements.push_back(
                {part.name,
                 hydraulics::MinorLoss{fitting->count * fitting->loss_coefficient, 0,
                                       fitting->diameter},
                 0.0});
        } else if (const auto* r = std::get_if<Restriction>(&part.body)) {
            branch.elements.push_back(
                {part.name,
                 hydraulics::MeasuredLoss{
                     r->flow, r->pressure_loss, loop.fluid.density(reference_temperature),
                     r->viscosity > 0 ? r->viscosity : loop.fluid.viscosity(reference_temperature),
                     r->laminar_share},
                 0.0});
        } else if (const auto* volume = std::get_if<Volume>(&part.body)) {
            add_volume(*volume, run, index, part.name);
        } else if (const auto* pass = std::get_if<CorePass>(&part.body)) {
            add_core_pass(*pass, run, index, part, branch);
        } else if (const auto* pump = std::get_if<Pump>(&part.body)) {
            const double w = pump->reference_speed;
            // dp = density (a w² − c q²): shut-off head and free flow give the two-term curve.
            const double a = pump->shutoff_head / (pump->density * w * w);
            const double c =
                pump->shutoff_head / (pump->density * pump->free_flow * pump->free_flow);
            branch.elements.push_back({part.name, hydraulics::CentrifugalPump{a, 0.0, c}, 0.0});
            if (pump->electric_speed > 0)
                control(FlatLoop::Control::Kind::fixed_speed, pump->electric_speed);
            else
                control(FlatLoop::Control::Kind::engine_speed, pump->speed_ratio);
            pump_name = {branch.name, part.name};
            flat.pump_efficiency = pump->efficiency;
        } else if (const auto* source = std::get_if<FlowSource>(&part.body)) {
            branch.elements.push_back(
                {part.name,
                 hydraulics::DisplacementPump{.displacement = source->displacement,
                                              .controlled_flow = source->maximum_flow,
                                              .relief_pressure = source->relief_pressure,
                                              .leakage = std::max(source->leakage, 1e-15)},
                 0.0});
            control(FlatLoop::Control::Kind::engine_speed, source->speed_ratio);
        } else if (std::holds_alternative<CoolerFeed>(part.body)) {
            // A constant pressure behind an orifice: flow falls with the circuit's pressure p as
            // sqrt(1 − p/p0). The orifice's area follows the warm, open flow of the moment.
            const heat::TransmissionModel& t = model.car.transmission;
            const double density = loop.fluid.density(reference_temperature);
            const double full = 1.5 * t.cooler_flow;
            branch.elements.push_back(
                {part.name, hydraulics::CentrifugalPump{t.cooler_pressure / density, 0.0, 1e-3},
                 0.0});
            control(FlatLoop::Control::Kind::feed_pressure, 1);
            branch.elements.push_back(
                {part.name + " orifice",
                 hydraulics::Valve{full * std::sqrt(density / (2 * t.cooler_pressure)), 0.0, 1.0,
                                   false},
                 0.0});
            pending.push_back(
                {branch.name, part.name + " orifice", FlatLoop::Control::Kind::feed_orifice, full});
        } else if (const auto* t = std::get_if<Thermostat>(&part.body)) {
            branch.elements.push_back(
                {part.name,
                 hydraulics::Valve{t->open_area, t->closed_area, t->loss_coefficient, t->reversed},
                 0.0});
            control(FlatLoop::Control::Kind::valve, static_cast<double>(thermostats++));
        } else if (const auto* v = std::get_if<CheckValve>(&part.body)) {
            branch.elements.push_back(
                {part.name,
                 hydraulics::CheckValve{.loss_coefficient = v->loss_coefficient,
                                        .diameter = v->diameter},
                 0.0});
        }
        for (std::size_t e = before; e < branch.elements.size(); ++e) element_part.push_back(index);
    }

    struct Pending {
        std::string branch, element;
        FlatLoop::Control::Kind kind;
        double value;
    };
    std::vector<Pending> pending;
    std::pair<std::string, std::string> pump_name;
    std::vector<int> element_part;
    int thermostats = 0;

    void build();
    void assign_element_cells();
};

void Builder::build() {
    flat.name = loop.name;
    flat.fluid = loop.fluid;
    flat.caloric = caloric_of(loop.fluid);
    flat.first_run = static_cast<int>(model.runs.size());
    flat.first_cell = static_cast<int>(model.cells.size());
    flat.first_node = model.nodes;
    flat.limits = loop.limits;
    flat.cap_pressure = loop.cap_pressure;
    flat.expansion_volume = loop.expansion_volume;
    int cooling = none, any_core = none;
    for (const Run& run : loop.runs) {
        FlatRun out;
        out.loop = static_cast<int>(model.loops.size());
        out.branch = static_cast<int>(network.branches.size());
        out.from = node(run.from);
        out.to = node(run.to);
        out.first_cell = static_cast<int>(model.cells.size());
        const auto number = static_cast<int>(model.runs.size());
        hydraulics::Branch branch;
        branch.name = run.name;
        branch.from = run.from;
        branch.to = run.to;
        branch.closed = run.closed;
        for (std::size_t i = 0; i < run.parts.size(); ++i) {
            add_part(run.parts[i], number, static_cast<int>(i), branch);
            if (const auto* pass = std::get_if<CorePass>(&run.parts[i].body);
                pass && !pass->second_side) {
                any_core = number;
                if (cooling == none) cooling = number;
            }
        }
        if (branch.elements.empty()) {
            branch.elements.push_back({"passage", hydraulics::MinorLoss{0.5, 0, 0.02}, 0.0});
            element_part.push_back(0);
        }
        out.cells = static_cast<int>(model.cells.size()) - out.first_cell;
        if (out.cells == 0)
            throw Error("the run '" + run.name + "' holds no fluid",
                        "at least one line, tank or core among its parts", run.place, "parts");
        model.runs.push_back(out);
        network.branches.push_back(std::move(branch));
    }
    flat.runs = static_cast<int>(model.runs.size()) - flat.first_run;
    flat.cells = static_cast<int>(model.cells.size()) - flat.first_cell;
    flat.nodes = static_cast<int>(nodes.size());
    model.nodes += flat.nodes;
    flat.cooling_run = cooling != none ? cooling : any_core != none ? any_core : flat.first_run;
    try {
        flat.network = std::make_shared<hydraulics::Network>(hydraulics::build(std::move(network)));
    } catch (const Error& e) {
        // The network knows the name of the part; the place of the loop is the best it can get.
        throw Error("loop '" + loop.name + "': " + e.what(), e.expected(), loop.place, e.key());
    }
    assign_element_cells();
    for (const Pending& p : pending) {
        const auto element = static_cast<int>(flat.network->element(p.branch, p.element));
        flat.controls.push_back({element, p.kind, p.value});
    }
    if (!pump_name.second.empty()) {
        flat.pump_element =
            static_cast<int>(flat.network->element(pump_name.first, pump_name.second));
        flat.pump_branch = static_cast<int>(flat.network->branch(pump_name.first));
        flat.pump_cell = flat.element_cell[static_cast<std::size_t>(flat.pump_element)];
        model.ledger_names.push_back("pump work of " + loop.name);
        model.ledger_in.push_back(true);
        flat.pump_ledger = static_cast<int>(model.ledger_names.size()) - 1;
    }
}

void Builder::assign_element_cells() {
    // An element has the temperature of its own part's middle cell, or of the nearest cell before
    // it in its run, or after it.
    for (int r = 0; r < flat.runs; ++r) {
        const FlatRun& run = model.runs[static_cast<std::size_t>(flat.first_run + r)];
        const auto first =
            static_cast<std::size_t>(flat.network->first_element[static_cast<std::size_t>(r)]);
        const auto last =
            static_cast<std::size_t>(flat.network->first_element[static_cast<std::size_t>(r) + 1]);
        for (std::size_t e = first; e < last; ++e) {
            int best = run.first_cell, count = 0;
            bool own = false;
            for (int c = run.first_cell; c < run.first_cell + run.cells; ++c) {
                const int part = model.cells[static_cast<std::size_t>(c)].part;
                if (part == element_part[e]) {
                    if (!own) best = c, own = true;
                    ++count;
                } else if (!own && part < element_part[e]) {
                    best = c;
                }
            }
            flat.element_cell.push_back(best + count / 2);
        }
    }
}

}  // namespace

void compile_loops(Model& model) {
    for (const CoreEntry& entry : model.car.cores) {
        FlatCore core;
        core.name = entry.name;
        core.core = entry.core;
        model.cores.push_back(std::move(core));
    }
    int thermostats = 0;
    for (const Loop& loop : model.car.loops) {
        Builder builder{.model = model,
                        .loop = loop,
                        .flat = {},
                        .nodes = {},
                        .network = {},
                        .pending = {},
                        .pump_name = {},
                        .element_part = {},
                        .thermostats = thermostats};
        builder.build();
        thermostats = builder.thermostats;
        model.loops.push_back(std::move(builder.flat));
    }
    // A stream that several parts name is shared between them in equal parts.
    for (HeatInto& h : model.heats) {
        const auto sharers = std::count_if(model.heats.begin(), model.heats.end(),
                                           [&](const HeatInto& o) { return o.stream == h.stream; });
        h.share = 1.0 / static_cast<double>(sharers);
    }
}

}  // namespace lapheat::model
