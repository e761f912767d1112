// Loops: every run's parts become cells (what holds heat) and hydraulic elements (what costs
// pressure); a core's passes are noted for the air and the other liquid. Kinds of parts are in
// loop_parts.cpp.
#include <algorithm>
#include <cmath>

#include "lapheat/hydraulics/expansion.hpp"
#include "lapheat/hydraulics/network_error.hpp"
#include "loop_builder.hpp"

namespace lapheat::model {
namespace {

Caloric caloric_of(const fluids::Liquid& fluid) {
    // Least squares of cp(T) = c0 + c1 T over 0…130 °C.
    double n = 0, st = 0, stt = 0, sc = 0, stc = 0;
    for (int i = 0; i <= 26; ++i) {
        const double t = 273.15 + 5 * i;
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

}  // namespace

int LoopBuilder::node(const std::string& name) {
    const auto [at, is_new] = nodes_.try_emplace(name, static_cast<int>(nodes_.size()));
    if (is_new) network_.nodes.push_back({.name = name});
    return flat_.first_node + at->second;
}

int LoopBuilder::add_cell(double volume, double metal, const At& at, std::string name) {
    const double mass = volume * loop_.liquid_share * loop_.fluid.density(reference_temperature);
    Cell cell;
    cell.a = mass * flat_.caloric.c0 + metal;
    cell.b = mass * flat_.caloric.c1;
    cell.scale = cell.a + cell.b * reference_temperature;
    cell.loop = static_cast<int>(model_.loops.size());
    cell.run = at.run;
    cell.part = at.index;
    cell.name = std::move(name);
    model_.cells.push_back(std::move(cell));
    return static_cast<int>(model_.cells.size()) - 1;
}

void LoopBuilder::surface_loss(int cell, Zone where, double at_rest, double gain) {
    if (at_rest <= 0 && gain <= 0) return;
    model_.losses.push_back({cell, where, at_rest, gain, case_losses(model_, loop_.name, where)});
}

LedgerId case_losses(Model& model, const std::string& loop, Zone where) {
    const std::string name = "lines and cases of " + loop;
    return where == Zone::engine_bay ? model.ledger.within(name + " into the engine bay")
                                     : model.ledger.out(name);
}

void LoopBuilder::control(const At& at, Kind kind, double value, const char* suffix) {
    pending_.push_back({at.branch.name, at.part.name + suffix, kind, value});
}

void LoopBuilder::add_run(const Run& run) {
    FlatRun out;
    out.loop = static_cast<int>(model_.loops.size());
    out.branch = static_cast<int>(network_.branches.size());
    out.from = node(run.from);
    out.to = node(run.to);
    out.first_cell = static_cast<int>(model_.cells.size());
    const auto number = static_cast<int>(model_.runs.size());
    hydraulics::Branch branch;
    branch.name = run.name;
    branch.from = run.from;
    branch.to = run.to;
    branch.closed = run.closed;
    for (std::size_t i = 0; i < run.parts.size(); ++i) {
        const Part& part = run.parts[i];
        const At at{part, number, static_cast<int>(i), branch};
        const std::size_t before = branch.elements.size();
        try {
            std::visit([&](const auto& body) { add(at, body); }, part.body);
        } catch (const Error& e) {
            if (e.place().line > 0) throw;
            throw Error(part.name + ": " + e.what(), e.expected(), part.place, e.key(), e.found());
        }
        flat_.element_part.resize(flat_.element_part.size() + branch.elements.size() - before,
                                  at.index);
    }
    if (branch.elements.empty()) {
        branch.elements.push_back({"passage", hydraulics::MinorLoss{0.5, 0, 0.02}, 0.0});
        flat_.element_part.push_back(0);
    }
    out.cells = static_cast<int>(model_.cells.size()) - out.first_cell;
    if (out.cells == 0)
        throw Error("the run '" + run.name + "' holds no fluid",
                    "at least one line, tank or core among its parts", run.place, "parts");
    model_.runs.push_back(out);
    elements_.push_back(branch.elements.size());
    network_.branches.push_back(std::move(branch));
}

FlatLoop LoopBuilder::build() {
    flat_.name = loop_.name;
    flat_.fluid = loop_.fluid;
    flat_.caloric = caloric_of(loop_.fluid);
    flat_.first_run = static_cast<int>(model_.runs.size());
    flat_.first_cell = static_cast<int>(model_.cells.size());
    flat_.first_node = model_.nodes;
    flat_.limits = loop_.limits;
    if (std::isfinite(loop_.fluid.boiling_temperature(101325)))
        flat_.vapour = model_.ledger.out("vapour of " + loop_.name);
    flat_.missing = 1 - loop_.liquid_share;
    flat_.cap_pressure = loop_.cap_pressure;
    flat_.expansion_volume = loop_.expansion_volume;
    flat_.return_limit = loop_.return_limit;
    flat_.cooling_run = none;
    for (const Run& run : loop_.runs) {
        const auto cools = [](const Part& part) {
            const auto* pass = std::get_if<CorePass>(&part.body);
            return pass && !pass->second_side;
        };
        if (flat_.cooling_run == none && std::any_of(run.parts.begin(), run.parts.end(), cools))
            flat_.cooling_run = static_cast<int>(model_.runs.size());
        add_run(run);
    }
    if (flat_.cooling_run == none) flat_.cooling_run = flat_.first_run;
    flat_.runs = static_cast<int>(model_.runs.size()) - flat_.first_run;
    flat_.cells = static_cast<int>(model_.cells.size()) - flat_.first_cell;
    for (int c = flat_.first_cell; c < flat_.first_cell + flat_.cells; ++c)
        flat_.liquid += model_.cells[at(c)].b / flat_.caloric.c1 / loop_.liquid_share;
    flat_.nodes = static_cast<int>(nodes_.size());
    model_.nodes += flat_.nodes;
    if (!loop_.cap_at.empty()) {
        const auto at = nodes_.find(loop_.cap_at);
        if (at == nodes_.end()) {
            std::vector<std::string> names;
            for (const auto& [name, number] : nodes_) names.push_back(name);
            throw Error("no node '" + loop_.cap_at + "' in the loop '" + loop_.name + "'",
                        known(names), loop_.cap_at_place, "cap_at", loop_.cap_at);
        }
        flat_.cap_node = at->second;
    }
    check_shut_valves();
    try {
        flat_.network =
            std::make_shared<hydraulics::Network>(hydraulics::build(std::move(network_)));
    } catch (const hydraulics::NetworkError& e) {
        if (e.diagnostic()) throw Error(of_this_loop(*e.diagnostic()), place_of(e), e.key());
        throw Error(loop_.name + ": " + e.what(), e.expected(), place_of(e), e.key());
    }
    assign_element_cells();
    for (const Pending& p : pending_) {
        const auto element = static_cast<int>(flat_.network->element(p.branch, p.element));
        flat_.controls.push_back({element, p.kind, p.value});
    }
    settle_pumps();
    check_pressures();
    return std::move(flat_);
}

void LoopBuilder::settle_pumps() {
    for (const PendingPump& p : pumps_) {
        FlatPump out;
        out.name = p.element;
        out.element = static_cast<int>(flat_.network->element(p.branch, p.element));
        out.branch = static_cast<int>(flat_.network->branch(p.branch));
        out.cell = flat_.element_cell[static_cast<std::size_t>(out.element)];
        out.number = model_.pump_count++;
        out.efficiency = p.efficiency;
        out.need = p.need;
        out.bore = p.bore;
        out.loses_head = std::holds_alternative<hydraulics::CentrifugalPump>(
            flat_.network->element(at(out.element)).body);
        if (p.efficiency > 0) out.ledger = model_.ledger.in("pump work of " + loop_.name);
        flat_.pumps.push_back(std::move(out));
    }
}

void LoopBuilder::assign_element_cells() {
    // An element has the temperature of its own part's middle cell, or of the nearest cell before
    // it in its run, or after it.
    for (int r = 0; r < flat_.runs; ++r) {
        const FlatRun& run = model_.runs[at(flat_.first_run + r)];
        const auto first =
            static_cast<std::size_t>(flat_.network->first_element[static_cast<std::size_t>(r)]);
        const auto last =
            static_cast<std::size_t>(flat_.network->first_element[static_cast<std::size_t>(r) + 1]);
        for (std::size_t e = first; e < last; ++e) {
            int best = run.first_cell, count = 0;
            bool own = false;
            for (int c = run.first_cell; c < run.first_cell + run.cells; ++c) {
                const int part = model_.cells[static_cast<std::size_t>(c)].part;
                if (part == flat_.element_part[e]) {
                    if (!own) best = c, own = true;
                    ++count;
                } else if (!own && part < flat_.element_part[e]) {
                    best = c;
                }
            }
            flat_.element_cell.push_back(best + count / 2);
        }
    }
}

Diagnostic LoopBuilder::of_this_loop(Diagnostic said) const {
    said.subject = loop_.name;
    return said;
}

FilePlace LoopBuilder::place_of(const hydraulics::NetworkError& e) const {
    const hydraulics::NetworkSpot& spot = e.spot();
    const Run* run = spot.branch < 0 ? nullptr : &loop_.runs[static_cast<std::size_t>(spot.branch)];
    if (!run && spot.node >= 0)
        for (const Run& r : loop_.runs)
            for (const std::string& end : {r.from, r.to})
                if (const auto node = nodes_.find(end);
                    !run && node != nodes_.end() && node->second == spot.node)
                    run = &r;
    if (!run) return loop_.place;
    if (spot.element >= 0) {
        std::size_t flat = static_cast<std::size_t>(spot.element);
        for (std::size_t b = 0; b < static_cast<std::size_t>(spot.branch); ++b)
            flat += elements_[b];
        return run->parts[static_cast<std::size_t>(flat_.element_part[flat])].place;
    }
    // A deadhead is the pump's, the rest the run's or that of its loose end.
    if (hydraulics::is_deadhead(e.code()))
        for (const Part& p : run->parts)
            if (std::holds_alternative<Pump>(p.body) ||
                std::holds_alternative<FlowSource>(p.body) ||
                std::holds_alternative<CoolerFeed>(p.body))
                return p.place;
    if (e.code() == Code::loose_end) {
        const bool at_end = nodes_.at(run->to) == spot.node;
        const FilePlace& end = at_end ? run->to_place : run->from_place;
        if (end.line > 0) return end;
    }
    return run->place;
}

namespace {

const Part* centrifugal(const Run& run) {
    for (const Part& part : run.parts)
        if (std::holds_alternative<Pump>(part.body)) return &part;
    return nullptr;
}

}  // namespace

void LoopBuilder::check_shut_valves() {
    // The network with every tight valve shut: if a pump has no way round then, it deadheads.
    hydraulics::NetworkDescription shut = network_;
    const Part *by_hand = nullptr, *by_wax = nullptr;
    std::string tight;
    for (std::size_t r = 0; r < loop_.runs.size(); ++r)
        for (const Part& part : loop_.runs[r].parts) {
            const auto* t = std::get_if<Thermostat>(&part.body);
            const auto* v = std::get_if<Valve>(&part.body);
            const bool closes = t && t->closed_area < 1e-12 && !t->reversed && !t->stuck;
            const bool closed = v && v->opening <= 0;
            if (!closes && !closed) continue;
            shut.branches[r].closed = true;
            if (closed) by_hand = &part;
            if (closes) by_wax = &part;
            if (closes) tight += (tight.empty() ? "" : ", ") + part.name;
        }
    if (!by_hand && tight.empty()) return;
    check_wax();
    try {
        (void)hydraulics::build(std::move(shut));
    } catch (const hydraulics::NetworkError& e) {
        if (!hydraulics::is_deadhead(e.code())) return;  // said of the whole network
        const std::string& run = loop_.runs[static_cast<std::size_t>(e.spot().branch)].name;
        if (tight.empty())
            throw Error(Diagnostic{Code::deadhead_behind, loop_.name, {by_hand->name, run}},
                        by_hand->place, "opening");
        // A displacement pump opens its relief valve or is warned of without one. A centrifugal
        // pump churns, and what stands in the jacket boils.
        const Part* pump = centrifugal(loop_.runs[static_cast<std::size_t>(e.spot().branch)]);
        if (pump)
            throw Error(
                "with " + tight + " shut, the pump in run '" + run +
                    "' has nowhere to deliver, and the engine boils before the wax learns of it",
                "a bleed such as \"3 mm\", or a run that leads past the thermostat", by_wax->place,
                "bleed");
        model_.warnings.push_back({Code::valve_may_deadhead, loop_.name, {tight, run}});
    }
}

void LoopBuilder::check_wax() {
    // Behind a tight seat nothing flows while it is shut: a wax that stands in the same run learns
    // nothing of the engine.
    for (const Run& run : loop_.runs)
        for (const Part& part : run.parts) {
            const auto* t = std::get_if<Thermostat>(&part.body);
            if (!t || t->closed_area >= 1e-12 || t->reversed || t->stuck) continue;
            const bool here = t->sensor.empty() ||
                              std::any_of(run.parts.begin(), run.parts.end(),
                                          [&](const Part& p) { return p.name == t->sensor; });
            if (here)
                throw Error("the thermostat '" + part.name +
                                "' closes tight and its wax stands in "
                                "run '" +
                                run.name + "', where nothing flows while it is shut",
                            "sensor = a part that is always washed, or a bleed such as \"3 mm\"",
                            part.place, "sensor");
        }
}

void LoopBuilder::check_pressures() {
    const auto cap = [&](double rating, const std::string& what) {
        if (rating <= 0) return;
        try {
            hydraulics::check_cap(loop_.cap_pressure, rating, what);
        } catch (const Error& e) {
            const FilePlace& place = loop_.cap_place.line > 0 ? loop_.cap_place : loop_.place;
            if (e.diagnostic()) throw Error(of_this_loop(*e.diagnostic()), place, "cap_pressure");
            throw Error(loop_.name + ": " + e.what(), e.expected(), place, "cap_pressure");
        }
    };
    for (const Run& run : loop_.runs)
        for (const Part& part : run.parts) {
            if (const auto* line = std::get_if<Line>(&part.body))
                cap(line->rated_pressure, "the line '" + part.name + "'");
            if (const auto* pass = std::get_if<CorePass>(&part.body))
                for (const CoreEntry& core : model_.car.cores)
                    if (core.name == pass->core && !pass->second_side)
                        cap(core.rated_pressure, "the core '" + core.name + "'");
        }
    if (loop_.limits.boiling_reserve > 0 && loop_.cap_pressure <= 0)
        model_.warnings.push_back({Code::no_cap, loop_.name});
    else if (loop_.cap_pressure > 0 && loop_.expansion_volume <= 0)
        model_.warnings.push_back({Code::no_expansion_volume, loop_.name});
}

void compile_loops(Model& model) {
    for (const CoreEntry& entry : model.car.cores) {
        FlatCore core;
        core.name = entry.name;
        core.core = entry.core;
        model.cores.push_back(std::move(core));
    }
    for (const Loop& loop : model.car.loops) {
        FlatLoop flat = LoopBuilder(model, loop).build();
        model.loops.push_back(std::move(flat));
    }
    // A stream that several parts name is shared between them in equal parts.
    for (HeatInto& h : model.heats) {
        const auto sharers = std::count_if(model.heats.begin(), model.heats.end(),
                                           [&](const HeatInto& o) { return o.stream == h.stream; });
        h.share = 1.0 / static_cast<double>(sharers);
    }
}

}  // namespace lapheat::model
