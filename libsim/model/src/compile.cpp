#include "compile.hpp"

#include <algorithm>
#include <set>

namespace lapheat::model {

const std::vector<std::string>& stream_names() {
    static const std::vector<std::string> names = {
        "engine_coolant", "engine_oil",    "converter",     "gears",
        "gearbox_case",   "steering_pump", "steering_gear", "condenser"};
    return names;
}

std::string known(const std::vector<std::string>& names) {
    std::string text = "one of: ";
    for (std::size_t i = 0; i < names.size(); ++i) text += (i ? ", " : "") + names[i];
    return text;
}

int sensor_cell(const Model& model, const std::string& loop, const std::string& part,
                const Place& place, const std::string& key) {
    std::vector<std::string> loops;
    for (std::size_t l = 0; l < model.car.loops.size(); ++l) {
        loops.push_back(model.car.loops[l].name);
        if (model.car.loops[l].name != loop) continue;
        std::vector<std::string> parts;
        for (int c = model.loops[l].first_cell + model.loops[l].cells - 1;
             c >= model.loops[l].first_cell; --c) {
            const Cell& cell = model.cells[static_cast<std::size_t>(c)];
            const Run& run =
                model.car.loops[l]
                    .runs[static_cast<std::size_t>(cell.run - model.loops[l].first_run)];
            const std::string& name = run.parts[static_cast<std::size_t>(cell.part)].name;
            if (name == part) return c;
            if (parts.empty() || parts.back() != name) parts.push_back(name);
        }
        throw Error("no part '" + part + "' that holds fluid in the loop '" + loop + "'",
                    known(parts), place, key);
    }
    throw Error("no loop '" + loop + "'", known(loops), place, key);
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
        const FlatLoop& flat = model.loops[l];
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

void compile_links(Model& model) {
    for (const Link& link : model.car.links)
        model.links.push_back(
            {sensor_cell(model, link.first_loop, link.first_part, link.place, "between"),
             sensor_cell(model, link.second_loop, link.second_part, link.place, "between"),
             {link.conductance.value, link.standing_share, link.speed_exponent}});
    for (const HeatInto& h : model.heats) {
        const int cell =
            h.cell != none ? h.cell : model.walls[static_cast<std::size_t>(h.wall)].cell;
        switch (static_cast<Stream>(h.stream)) {
            case Stream::engine_coolant:
                model.coolant_cell = cell;
                break;
            case Stream::engine_oil:
                model.oil_cell = cell;
                break;
            case Stream::gears:
                model.gearbox_cell = cell;
                break;
            default:
                break;
        }
    }
}

void lay_out_state(Model& model) {
    int next = static_cast<int>(model.cells.size());
    model.first_wall = next;
    for (Wall& w : model.walls) w.state = next++;
    model.first_air = next;
    for (FlatPassage& p : model.passages) p.state = next++;
    for (FlatPath& p : model.paths) p.state = next++;
    model.bay = next++;
    model.first_fan = next;
    for (FlatFan& f : model.fans) f.state = next++;
    model.first_switch = next;
    for (FlatSwitch& s : model.switches) s.state = next++;
    model.first_wax = next;
    for (FlatThermostat& t : model.thermostats) t.state = next++;
    model.first_ledger = next;
    next += static_cast<int>(model.ledger_names.size());
    model.fan_energy = next++;
    model.states = next;
}

namespace {

std::shared_ptr<Model> compile_as_it_is(const Car& car) {
    auto model = std::make_shared<Model>();
    model->car = car;
    if (car.loops.empty()) throw Error("the car has no loops", "at least one fluid loop");
    for (const std::string& stream : stream_names()) {
        if (stream == "condenser") continue;
        model->ledger_names.push_back(stream);
        model->ledger_in.push_back(true);
    }
    model->ledger_names.push_back("exhaust radiation");
    model->ledger_in.push_back(true);
    model->radiation_ledger = static_cast<int>(model->ledger_names.size()) - 1;
    compile_loops(*model);
    compile_air(*model);
    compile_controls(*model);
    compile_links(*model);
    lay_out_state(*model);
    for (const std::string& stream : stream_names()) {
        if (stream == "condenser") continue;
        const auto index = static_cast<int>(&stream - stream_names().data());
        const bool used = std::any_of(model->heats.begin(), model->heats.end(),
                                      [&](const HeatInto& h) { return h.stream == index; });
        if (!used)
            model->warnings.push_back("the heat '" + stream + "' enters no part of any loop");
    }
    for (const FlatLoop& loop : model->loops)
        for (const std::string& w : loop.network->warnings)
            model->warnings.push_back(loop.name + ": " + w);
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
    return model;
}

const std::vector<std::string>& warnings(const Model& model) { return model.warnings; }
const Car& car(const Model& model) { return model.car; }

}  // namespace lapheat::model
