#include "compile.hpp"

#include "lapheat/model/assumptions.hpp"

#include <algorithm>
#include <numeric>
#include <set>
#include <stdexcept>
#include <tuple>

namespace lapheat::model {
namespace {

/// The air's temperatures may err more than a liquid's by this factor: what a core gives its liquid
/// follows the air's error at a lag of seconds against its own of minutes.
constexpr double air_slack = 20;

}  // namespace

std::string known(const std::vector<std::string>& names) {
    std::string text = "one of: ";
    for (std::size_t i = 0; i < names.size(); ++i) text += (i ? ", " : "") + names[i];
    return text;
}

std::vector<int> cells_of(const Model& model, const std::string& loop, const std::string& part,
                          const FilePlace& place, const std::string& key) {
    std::vector<std::string> loops;
    for (std::size_t l = 0; l < model.car.loops.size(); ++l) {
        loops.push_back(model.car.loops[l].name);
        if (model.car.loops[l].name != loop) continue;
        const FlatLoop& flat = model.loops[l];
        std::vector<std::string> parts;
        std::vector<int> out;
        for (int c = flat.first_cell; c < flat.first_cell + flat.cells; ++c) {
            const Cell& cell = model.cells[at(c)];
            const Run& run = model.car.loops[l].runs[at(cell.run - flat.first_run)];
            const std::string& name = run.parts[at(cell.part)].name;
            if (name == part) out.push_back(c);
            if (parts.empty() || parts.back() != name) parts.push_back(name);
        }
        if (!out.empty()) return out;
        throw Error("no part '" + part + "' that holds fluid in the loop '" + loop + "'",
                    known(parts), place, key, part);
    }
    throw Error("no loop '" + loop + "'", known(loops), place, key, loop);
}

int sensor_cell(const Model& model, const std::string& loop, const std::string& part,
                const FilePlace& place, const std::string& key) {
    return cells_of(model, loop, part, place, key).back();
}

hydraulics::LineUse line_use(const Loop& loop, const Run& run, std::size_t index) {
    using hydraulics::LineUse;
    for (const Run& any : loop.runs)
        for (const Part& part : any.parts)
            if (std::holds_alternative<Pump>(part.body)) return LineUse::coolant;
    for (std::size_t i = index + 1; i < run.parts.size(); ++i) {
        if (std::holds_alternative<FlowSource>(run.parts[i].body)) return LineUse::suction;
        if (!std::holds_alternative<Line>(run.parts[i].body) &&
            !std::holds_alternative<Fitting>(run.parts[i].body))
            break;
    }
    for (std::size_t i = index; i-- > 0;) {
        const PartBody& body = run.parts[i].body;
        if (std::holds_alternative<FlowSource>(body)) return LineUse::pressure;
        const auto* volume = std::get_if<Volume>(&body);
        const bool gear = volume && std::find(volume->heat.begin(), volume->heat.end(),
                                              "steering_gear") != volume->heat.end();
        if (gear || std::holds_alternative<Restriction>(body) ||
            std::holds_alternative<CorePass>(body))
            break;
    }
    return LineUse::cooler;
}

void compile_controls(Model& model) {
    for (std::size_t l = 0; l < model.car.loops.size(); ++l) {
        const Loop& loop = model.car.loops[l];
        FlatLoop& flat = model.loops[l];
        for (std::size_t r = 0; r < loop.runs.size(); ++r) {
            for (const Part& part : loop.runs[r].parts) {
                const auto* thermostat = std::get_if<Thermostat>(&part.body);
                if (!thermostat) continue;
                if (!(thermostat->full > thermostat->opens))
                    throw Error("the thermostat '" + part.name +
                                    "' is fully open at or below the "
                                    "temperature at which it starts to open",
                                "full above opens", part.place, "full");
                FlatThermostat out;
                out.name = loop.name + "/" + part.name;
                out.cell =
                    thermostat->sensor.empty()
                        ? model.runs[static_cast<std::size_t>(flat.first_run) + r].first_cell
                        : sensor_cell(model, loop.name, thermostat->sensor, part.place, "sensor");
                out.opens = thermostat->opens;
                out.full = thermostat->full;
                out.hysteresis = thermostat->hysteresis;
                out.lag = thermostat->lag;
                out.stuck = thermostat->stuck.has_value();
                out.stuck_at = thermostat->stuck.value_or(0);
                const auto element =
                    static_cast<int>(flat.network->element(loop.runs[r].name, part.name));
                for (FlatLoop::Control& c : flat.controls)
                    if (c.element == element)
                        c.thermostat = static_cast<int>(model.thermostats.size());
                model.thermostats.push_back(std::move(out));
            }
        }
    }
    for (const FanEntry& fan : model.car.fans) {
        const auto index = static_cast<int>(&fan - model.car.fans.data());
        for (const FanSwitch& s : fan.switches) {
            if (!(s.on > s.off))
                throw Error("the switch of the fan '" + fan.name +
                                "' goes off at or above the "
                                "temperature at which it goes on",
                            "on above off", fan.place, "on");
            FlatSwitch out;
            out.cell = sensor_cell(model, s.loop, s.part, fan.place, "part");
            out.fan = index;
            out.on = s.on;
            out.off = s.off;
            out.full = s.full;
            if (s.full > s.on) model.fans[static_cast<std::size_t>(index)].ramped = true;
            out.lag = s.lag;
            out.command = s.command;
            out.name = fan.name;
            model.switches.push_back(std::move(out));
        }
    }
}

/// The cells that each loop's limit looks at.
void compile_limits(Model& model) {
    for (std::size_t l = 0; l < model.loops.size(); ++l) {
        FlatLoop& flat = model.loops[l];
        const Loop& loop = model.car.loops[l];
        if (!loop.limits.part.empty()) {
            flat.watched = cells_of(model, loop.name, loop.limits.part, loop.place, "limits.part");
            continue;
        }
        flat.watched.resize(at(flat.cells));
        std::iota(flat.watched.begin(), flat.watched.end(), flat.first_cell);
    }
}

void compile_links(Model& model) {
    for (const HeatLink& link : model.car.links) {
        const int first =
            sensor_cell(model, link.first_loop, link.first_part, link.place, "first_part");
        const int second =
            sensor_cell(model, link.second_loop, link.second_part, link.place, "second_part");
        if (first == second)
            throw Error("a link from '" + link.first_part + "' to itself", "two different parts",
                        link.place, "second_part", link.first_part);
        model.links.push_back(
            {first, second, {link.conductance.value, link.standing_share, link.speed_exponent}});
    }
    int converter = none;
    for (const HeatInto& h : model.heats) {
        const int cell =
            h.cell != none ? h.cell : model.walls[static_cast<std::size_t>(h.wall)].cell;
        switch (h.stream) {
            case Stream::engine_coolant:
                model.coolant_cell = cell;
                break;
            case Stream::engine_oil:
                model.oil_cell = cell;
                break;
            case Stream::gears:
                model.gearbox_cell = cell;
                break;
            case Stream::converter:
                converter = cell;
                break;
            default:
                break;
        }
    }
    // The converter's housing stands in the bell housing, on shafts that end in the case.
    const double through = model.car.transmission.converter_to_case;
    if (converter != none && model.gearbox_cell != none && converter != model.gearbox_cell &&
        through > 0)
        model.links.push_back({converter,
                               model.gearbox_cell,
                               {.conductance = through, .standing_share = 1, .speed_exponent = 0}});
}

void lay_out_state(Model& model) {
    Layout& layout = model.layout;
    const auto stand = [&](StateKind kind, auto& parts, double slack = 1) {
        int next = layout.add(kind, parts.size(), slack).first;
        for (auto& part : parts) part.state = next++;
    };
    layout.add(StateKind::cell, model.cells.size());
    stand(StateKind::wall, model.walls);
    stand(StateKind::passage, model.passages, air_slack);
    stand(StateKind::path, model.paths, air_slack);
    layout.add(StateKind::bay, 1, air_slack);
    layout.add(StateKind::bay_sheet, 1, air_slack);
    layout.add(StateKind::exhaust, heat::exhaust_parts, air_slack);
    layout.add(StateKind::head, at(model.pump_count));
    layout.add(StateKind::lost, model.loops.size());
    stand(StateKind::fan, model.fans);
    stand(StateKind::fan_switch, model.switches);
    stand(StateKind::wax, model.thermostats);
    layout.add(StateKind::ledger, model.ledger.size(), uncontrolled);
    layout.add(StateKind::fan_energy, 1, uncontrolled);
}

void require_same_numbers(const Model& before, const Model& after) {
    const auto differ = [](const auto& a, const auto& b, auto key) {
        return !std::equal(a.begin(), a.end(), b.begin(), b.end(),
                           [&](const auto& x, const auto& y) { return key(x) == key(y); });
    };
    const auto name = [](const auto& part) { return part.name; };
    const auto cell = [](const auto& part) { return part.cell; };
    const char* what = nullptr;
    if (!(before.layout == after.layout)) what = "states";
    if (!(before.ledger == after.ledger)) what = "paths of the ledger";
    if (differ(before.cells, after.cells, name)) what = "cells";
    if (differ(before.walls, after.walls, cell)) what = "walls";
    if (differ(before.loops, after.loops, [](const FlatLoop& l) {
            return std::tuple(l.name, l.first_run, l.first_cell, l.element_cell, l.pumps.size());
        }))
        what = "loops";
    if (differ(before.cores, after.cores, name)) what = "cores";
    if (differ(before.passages, after.passages,
               [](const FlatPassage& p) { return std::tuple(p.path, p.core); }))
        what = "passages";
    if (differ(before.paths, after.paths, name)) what = "air paths";
    if (differ(before.fans, after.fans, name)) what = "fans";
    if (differ(before.switches, after.switches, cell)) what = "switches";
    if (differ(before.thermostats, after.thermostats, name)) what = "thermostats";
    if (what)
        throw std::logic_error(std::string("a fault has changed the number or order of the ") +
                               what);
}

namespace {

/// A loop that machines warm gives heat off somewhere: through a core, a link, or a surface.
void require_ways_for_heat(const Model& model) {
    for (std::size_t l = 0; l < model.loops.size(); ++l) {
        const FlatLoop& loop = model.loops[l];
        const auto within = [&](int cell) {
            return cell >= loop.first_cell && cell < loop.first_cell + loop.cells;
        };
        const auto cell_of = [&](const HeatInto& h) {
            return h.cell != none ? h.cell : model.walls[at(h.wall)].cell;
        };
        const bool warmed = std::any_of(model.heats.begin(), model.heats.end(),
                                        [&](const HeatInto& h) { return within(cell_of(h)); });
        const bool cooled =
            std::any_of(
                model.cores.begin(), model.cores.end(),
                [&](const FlatCore& c) { return within(c.first_cell) || within(c.second_cell); }) ||
            std::any_of(model.losses.begin(), model.losses.end(),
                        [&](const SurfaceLoss& s) {
                            return within(s.cell) && s.at_rest + s.speed_gain > 0;
                        }) ||
            std::any_of(model.links.begin(), model.links.end(), [&](const FlatLink& link) {
                return within(link.first_cell) != within(link.second_cell);
            });
        if (warmed && !cooled) {
            const Loop& said = model.car.loops[l];
            throw Error("the loop '" + said.name + "' takes heat and has no way to give it off",
                        "a core in its runs, a link, or an ambient_conductance of a volume",
                        said.place, "loops");
        }
    }
}

/// The exhaust, and the paths of energy that are no loop's.
void add_surroundings(Model& model) {
    const heat::EngineModel& engine = model.car.engine;
    const bool stated = model.car.exhaust.stretch.front().metal > 0;
    model.exhaust = stated
                        ? model.car.exhaust
                        : heat::exhaust_system(engine.displacement, engine.cylinders,
                                               engine.exhaust_pipe_diameter, engine.exhaust_pipes);
    model.exhaust.inside_level = model.car.exhaust.inside_level;
    model.exhaust.outside_level = model.car.exhaust.outside_level;
    heat::validate(model.exhaust);
    LedgerPaths& ledger = model.ledger;
    model.radiation = ledger.within("exhaust radiation");
    model.brakes = ledger.in("brakes");
    model.condenser = ledger.in("condenser");
    model.engine_surface = ledger.in("engine to its bay");
    model.exhaust_gas = ledger.in("exhaust gas");
    model.reaction = ledger.in("catalyst reaction");
    model.tail_gas = ledger.out("exhaust gas at the tail");
    model.exhaust_below = ledger.out("exhaust below the floor");
    model.bay_out = ledger.out("air out of the engine bay");
    model.sheet_out = ledger.out("hood and wings");
}

std::shared_ptr<Model> compile_as_it_is(const Car& car) {
    auto model = std::make_shared<Model>();
    model->car = at_levels(car);
    if (car.loops.empty()) throw Error("the car has no loops", "at least one fluid loop");
    for (const StreamEntry& stream : stream_table)
        if (stream.warms_liquid)
            model->stream_ledger[stream.stream] = model->ledger.in(stream.name);
    add_surroundings(*model);
    compile_loops(*model);
    compile_air(*model);
    compile_controls(*model);
    compile_links(*model);
    compile_limits(*model);
    require_ways_for_heat(*model);
    lay_out_state(*model);
    for (const StreamEntry& stream : stream_table) {
        const bool used = std::any_of(model->heats.begin(), model->heats.end(),
                                      [&](const HeatInto& h) { return h.stream == stream.stream; });
        if (stream.warms_liquid && !used)
            model->warnings.push_back({Code::heat_without_part, stream.name});
    }
    for (const FlatLoop& loop : model->loops)
        for (Diagnostic w : loop.network->warnings) {
            w.subject = loop.name;
            model->warnings.push_back(std::move(w));
        }
    return model;
}

}  // namespace

std::shared_ptr<const Model> compile(const Car& car) {
    if (car.faults.empty()) return compile_as_it_is(car);
    std::shared_ptr<Model> model = compile_as_it_is(with_faults(car, 0));
    model->car.faults = car.faults;
    std::set<double> moments;
    for (const Fault& fault : car.faults)
        if (fault.begins > 0) moments.insert(fault.begins);
    for (const double t : moments)
        model->later.emplace_back(t, compile_as_it_is(with_faults(car, t)));
    for (const auto& [begins, broken] : model->later) require_same_numbers(*model, *broken);
    return model;
}

std::string whole_core(const std::vector<CoreEntry>& cores, const std::string& name) {
    for (const CoreEntry& core : cores)
        if (core.name == name) return core.whole();
    return name;
}

bool has_condenser(const Car& car) {
    return std::any_of(car.air.begin(), car.air.end(), [](const AirPath& path) {
        return path.condenser_cover > 0 ||
               std::any_of(path.stack.begin(), path.stack.end(), [](const StackItem& item) {
                   const StreamEntry* heat = find_stream(item.heat);
                   return heat && heat->stream == Stream::condenser;
               });
    });
}

const std::vector<Diagnostic>& warnings(const Model& model) { return model.warnings; }
const Car& car(const Model& model) { return model.car; }

}  // namespace lapheat::model
