#include "line_watch.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/units/constants.hpp"

namespace lapheat::model {
namespace {

using units::Quantity;

const char* kind_of(const PartBody& body) {
    struct Name {
        const char* operator()(const Line& l) const { return l.hose ? "hose" : "tube"; }
        const char* operator()(const Fitting& f) const { return f.what.c_str(); }
        const char* operator()(const Restriction& r) const {
            return r.filter ? "filter" : "restriction";
        }
        const char* operator()(const CorePass&) const { return "core"; }
        const char* operator()(const Thermostat&) const { return "thermostat"; }
        const char* operator()(const Valve&) const { return "valve"; }
        const char* operator()(const CheckValve&) const { return "check valve"; }
        const char* operator()(const Volume&) const { return ""; }
        const char* operator()(const Pump&) const { return ""; }
        const char* operator()(const FlowSource&) const { return ""; }
        const char* operator()(const CoolerFeed&) const { return ""; }
    };
    return std::visit(Name{}, body);
}

double diameter_of(const PartBody& body) {
    if (const auto* line = std::get_if<Line>(&body)) return line->inner_diameter;
    if (const auto* fitting = std::get_if<Fitting>(&body)) return fitting->diameter;
    if (const auto* valve = std::get_if<CheckValve>(&body)) return valve->diameter;
    return 0;
}

bool has_core(const Run& run) {
    return std::any_of(run.parts.begin(), run.parts.end(), [](const Part& part) {
        return std::holds_alternative<CorePass>(part.body);
    });
}

}  // namespace

LineWatch::LineWatch(const Dynamics& dynamics, std::size_t loop)
    : dynamics_(&dynamics), loop_(loop) {
    const FlatLoop& flat = dynamics.model().loops[loop];
    losses_.assign(flat.network->elements(), 0.0);
    inlet_pressure_ = losses_;
    add_parts();
    for (const FlatPump& pump : flat.pumps) {
        Starving s;
        s.state.loop = flat.name;
        s.state.pump = pump.name;
        s.state.suction_margin = 1e9;
        s.state.inlet_pressure = 1e99;
        const auto& body = flat.network->element(at(pump.element)).body;
        if (const auto* d = std::get_if<hydraulics::DisplacementPump>(&body))
            s.relief = d->relief_pressure;
        pumps_.push_back(std::move(s));
    }
    inlets.resize(flat.pumps.size());
}

void LineWatch::add_parts() {
    const Model& model = dynamics_->model();
    const FlatLoop& flat = model.loops[loop_];
    const Loop& loop = model.car.loops[loop_];
    int element = 0;
    for (std::size_t r = 0; r < loop.runs.size(); ++r) {
        const Run& run = loop.runs[r];
        const int end = flat.network->first_element[r + 1];
        const bool cooling = static_cast<int>(r) + flat.first_run == flat.cooling_run;
        // The return begins behind the last source of heat that a line or core follows.
        std::size_t begin = 0;
        for (std::size_t i = 0; cooling && i < run.parts.size(); ++i) {
            if (std::holds_alternative<CorePass>(run.parts[i].body)) break;
            const auto* volume = std::get_if<Volume>(&run.parts[i].body);
            const bool followed =
                std::any_of(run.parts.begin() + static_cast<std::ptrdiff_t>(i), run.parts.end(),
                            [](const Part& p) { return std::holds_alternative<Line>(p.body); });
            if (volume && !volume->heat.empty() && followed) begin = i + 1;
        }
        for (std::size_t i = 0; i < run.parts.size(); ++i) {
            Watched w;
            w.first = element;
            while (element < end && flat.element_part[at(element)] == static_cast<int>(i))
                ++element;
            w.last = element;
            w.run = static_cast<int>(r);
            if (cooling && return_element_ == none && w.first < w.last && i >= begin)
                return_element_ = w.first;
            const Part& part = run.parts[i];
            const std::string kind = kind_of(part.body);
            if (w.first == w.last || kind.empty() || run.closed) continue;
            w.now.loop = flat.name;
            w.now.run = run.name;
            w.now.part = part.name;
            w.now.kind = kind;
            w.now.inner_diameter = diameter_of(part.body);
            if (const auto* line = std::get_if<Line>(&part.body)) {
                w.now.length = line->length;
                w.now.bends = line->bends;
                w.rated_pressure = line->rated_pressure;
                w.rated_temperature = line->rated_temperature;
                w.use = line_use(loop, run, i);
                // A bypass is narrow on purpose: wider it would starve the core beside it.
                w.judged = w.use != hydraulics::LineUse::coolant || has_core(run);
            } else if (const auto* pass = std::get_if<CorePass>(&part.body)) {
                for (const CoreEntry& core : model.car.cores)
                    if (core.name == pass->core && !pass->second_side)
                        w.rated_pressure = core.rated_pressure;
            }
            parts_.push_back(std::move(w));
        }
    }
}

void LineWatch::look(double time, double pressure) {
    const Model& model = dynamics_->model();
    const FlatLoop& flat = model.loops[loop_];
    const hydraulics::Network& network = *flat.network;
    const LoopOutput& in = dynamics_->out().loops[loop_];
    const hydraulics::Flow& flow = in.flow;
    const double ambient = dynamics_->row().pressure;
    hydraulics::element_losses(network, {in.density, in.viscosity, in.control}, flow, losses_);
    const double base = pressure - flow.pressure[at(flat.cap_node)];
    for (std::size_t b = 0; b < network.branches(); ++b) {
        double p = base + flow.pressure[at(network.from[b])];
        for (int e = network.first_element[b]; e < network.first_element[b + 1]; ++e) {
            inlet_pressure_[at(e)] = p;
            p -= losses_[at(e)] + in.density[at(e)] * constants::gravity * network.rise[at(e)];
        }
    }
    pumped_ = 0;
    for (std::size_t e = 0; e < losses_.size(); ++e) pumped_ = std::max(pumped_, -losses_[e]);
    line_loss = 0;
    for (Watched& w : parts_) {
        const double m = flow.mass_flow[at(w.run)];
        const std::size_t e = at(w.first);
        LineState& s = w.now;
        s.flow = m / in.density[e];
        s.velocity = s.reynolds = 0;
        if (s.inner_diameter > 0) {
            s.velocity = s.flow / (std::numbers::pi / 4 * s.inner_diameter * s.inner_diameter);
            s.reynolds = in.density[e] * std::abs(s.velocity) * s.inner_diameter / in.viscosity[e];
        }
        double loss = 0, highest = inlet_pressure_[e];
        for (int i = w.first; i < w.last; ++i) {
            loss += losses_[at(i)];
            highest = std::max(highest, inlet_pressure_[at(i)] - losses_[at(i)]);
        }
        s.pressure_loss = std::abs(loss);
        s.share = pumped_ > 0 ? s.pressure_loss / pumped_ : 0;
        s.velocity_peak = std::max(s.velocity_peak, std::abs(s.velocity));
        s.pressure_loss_peak = std::max(s.pressure_loss_peak, s.pressure_loss);
        s.pressure_peak = std::max(s.pressure_peak, highest - ambient);
        s.temperature_peak = std::max(s.temperature_peak,
                                      dynamics_->out().cell_temperature[at(flat.element_cell[e])]);
        if (w.run + flat.first_run == flat.cooling_run && s.inner_diameter > 0)
            line_loss += s.pressure_loss;
    }
    return_pressure = return_element_ == none ? 0 : inlet_pressure_[at(return_element_)] - ambient;
    highest_return_ = std::max(highest_return_, return_pressure);
    pumps(time, begun_ ? time - last_time_ : 0);
    last_time_ = time;
    begun_ = true;
}

void LineWatch::pumps(double time, double since) {
    const FlatLoop& flat = dynamics_->model().loops[loop_];
    const LoopOutput& in = dynamics_->out().loops[loop_];
    for (std::size_t i = 0; i < flat.pumps.size(); ++i) {
        const FlatPump& pump = flat.pumps[i];
        const std::size_t e = at(pump.element);
        Starving& s = pumps_[i];
        const double speed = in.control[e];
        const double flow = std::max(0.0, in.flow.mass_flow[at(pump.branch)]) / in.density[e];
        const double temperature = dynamics_->out().cell_temperature[at(flat.element_cell[e])];
        const double velocity =
            pump.bore > 0 ? flow / (std::numbers::pi / 4 * pump.bore * pump.bore) : 0;
        const double available = hydraulics::npsh_available(
            inlet_pressure_[e], flat.fluid.vapour_pressure(temperature), in.density[e], velocity);
        const double required = pump.need.speed > 0
                                    ? hydraulics::npsh_required(pump.need, speed, flow)
                                    : pump.need.at_flow;
        inlets[i] = {inlet_pressure_[e], available - required};
        s.state.inlet_pressure = std::min(s.state.inlet_pressure, inlet_pressure_[e]);
        s.state.pressure_rise_peak = std::max(s.state.pressure_rise_peak, -losses_[e]);
        if (speed <= 0) continue;
        if (available - required < s.state.suction_margin) {
            s.state.suction_margin = available - required;
            s.state.suction_available = available;
            s.state.suction_required = required;
            s.state.time = time;
        }
        const bool cavitates = available < required;
        if (cavitates != s.cavitates && events_.size() < 200)
            events_.push_back({time,
                               cavitates ? EventKind::pump_cavitates : EventKind::pump_full_again,
                               flat.name + "/" + pump.name, temperature});
        s.cavitates = cavitates;
        if (cavitates) s.state.time_cavitating += since;
        const bool relieves = s.relief > 0 && -losses_[e] > s.relief;
        // Opening and closing with every change of speed is a relief valve's work: told once.
        if (relieves && s.state.time_relieving == 0 && !s.relieves)
            events_.push_back(
                {time, EventKind::relief_opens_first, flat.name + "/" + pump.name, temperature});
        s.relieves = relieves;
        if (relieves) s.state.time_relieving += since;
    }
}

void LineWatch::keep_worst() {
    for (Watched& w : parts_) w.kept = w.now;
}

void LineWatch::finish(Result& result) const {
    const FlatLoop& flat = dynamics_->model().loops[loop_];
    const auto warn = [&](Code code, const std::string& part, std::vector<Measured> values) {
        std::vector<std::string> names;
        if (!part.empty()) names.push_back(part);
        result.warnings.push_back({code, flat.name, std::move(names), std::move(values)});
    };
    for (const Watched& w : parts_) {
        LineState line = w.kept;
        line.velocity_peak = w.now.velocity_peak;
        line.pressure_loss_peak = w.now.pressure_loss_peak;
        line.pressure_peak = w.now.pressure_peak;
        line.temperature_peak = w.now.temperature_peak;
        result.lines.push_back(line);
        if (w.judged)
            if (auto narrow =
                    hydraulics::line_warning(w.use, line.part, line.inner_diameter, line.flow)) {
                narrow->subject = flat.name;
                result.warnings.push_back(std::move(*narrow));
            }
        if (w.rated_pressure > 0 && line.pressure_peak > w.rated_pressure)
            warn(
                Code::part_over_pressure, line.part,
                {{line.pressure_peak, Quantity::pressure}, {w.rated_pressure, Quantity::pressure}});
        if (w.rated_temperature > 0 && line.temperature_peak > w.rated_temperature)
            warn(Code::part_too_hot, line.part,
                 {{line.temperature_peak, Quantity::temperature},
                  {w.rated_temperature, Quantity::temperature}});
    }
    for (const Starving& s : pumps_) {
        if (s.state.suction_margin > 1e8) continue;  // never turned
        result.pumps.push_back(s.state);
        if (s.state.time_cavitating > 0)
            warn(Code::pump_cavitates, s.state.pump,
                 {{s.state.time_cavitating, Quantity::time},
                  {s.state.suction_available, Quantity::length},
                  {s.state.suction_required, Quantity::length}});
    }
    if (flat.return_limit > 0 && highest_return_ > flat.return_limit)
        warn(Code::return_over_pressure, {},
             {{highest_return_, Quantity::pressure}, {flat.return_limit, Quantity::pressure}});
    result.events.insert(result.events.end(), events_.begin(), events_.end());
}

}  // namespace lapheat::model
