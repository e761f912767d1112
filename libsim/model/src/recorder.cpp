#include "recorder.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/model/faults.hpp"

namespace lapheat::model {
namespace {

/// Words of a place in a path: "outlet hose 2/4" → "outlet_hose_2_4".
std::string path_word(std::string text) {
    for (char& c : text)
        if (c == ' ' || c == '/') c = '_';
    return text;
}

}  // namespace

Recorder::Recorder(Dynamics& dynamics, Result& result, const Options& options)
    : dynamics_(&dynamics),
      result_(result),
      keep_(options.keep_series),
      fluids_only_(options.fluids_only),
      scratch_(dynamics.size()),
      channels_(result.series),
      air_watch_(dynamics) {
    const Model& m = dynamics.model();
    watches_.resize(m.loops.size());
    for (auto* v : {&loop_limit_, &loop_hottest_, &loop_pressure_, &loop_boiling_})
        v->assign(m.loops.size(), 0.0);
    core_flags_.assign(m.cores.size(), 0u);
    fluid_flags_.assign(m.loops.size(), 0u);
    tanks_.resize(m.loops.size());
    known_limits_.resize(m.loops.size());
    for (std::size_t l = 0; l < m.loops.size(); ++l) lines_.emplace_back(dynamics, l);
    for (std::size_t l = 0; l < m.loops.size(); ++l) {
        // The core in air that takes most of this loop's heat speaks for it.
        for (std::size_t c = 0; c < m.cores.size(); ++c) {
            const FlatCore& core = m.cores[c];
            if (core.first_cell == none || m.cells[at(core.first_cell)].loop != static_cast<int>(l))
                continue;
            if (watches_[l].core == none || core.path != none)
                watches_[l].core = static_cast<int>(c);
        }
    }
    connect();
}

void Recorder::follow(Dynamics& next) {
    failures_ += dynamics_->out().failures;
    dynamics_ = &next;
    for (LineWatch& line : lines_) line.follow(next);
    air_watch_.follow(next);
    for (std::size_t l = 0; l < tanks_.size(); ++l) {
        const FlatLoop& loop = next.model().loops[l];
        // Liquid that is gone has let in air.
        if (loop.expansion_volume != tanks_[l].volume.gas_volume) tanks_[l].begun = false;
        tanks_[l].volume.cap_pressure = loop.cap_pressure;
    }
    channels_.disconnect();
    connect();
}

void Recorder::connect() {
    if (!keep_) return;
    if (!fluids_only_) connect_drive();
    for (std::size_t l = 0; l < watches_.size(); ++l) connect_loop(l);
    if (!fluids_only_) {
        connect_cells();
        connect_cores();
        connect_air();
        connect_thermostats();
    }
    channels_.connected();
}

void Recorder::connect_drive() {
    const auto add = [&](auto&&... what) { channels_.connect(what...); };
    add("car", "speed", "m s-1", "vehicle speed", &drive_.speed);
    add("car", "engine_speed", "rad s-1", "engine speed", &drive_.engine_speed);
    add("air", "ambient_temperature", "K", "ambient air temperature", &drive_.ambient);
    add("air", "engine_bay_temperature", "K", "engine bay air temperature",
        &dynamics_->out().bay_temperature);
    add("air", "engine_bay_sheet_temperature", "K", "engine bay sheet temperature",
        &dynamics_->out().bay_sheet);
    for (std::size_t i = 0; i < heat::exhaust_parts; ++i) {
        const std::string& part = heat::exhaust_part_names()[i];
        add("exhaust/" + part, "skin_temperature", "K", "exhaust " + part + " skin temperature",
            &dynamics_->out().exhaust.skin[i]);
        add("exhaust/" + part, "gas_temperature", "K", "exhaust gas leaving the " + part,
            &dynamics_->out().exhaust.gas[i]);
    }
    for (const StreamEntry& stream : stream_table)
        add("heat", stream.name, "W", std::string("heat of ") + stream.name,
            &drive_.heat[stream.stream]);
}

void Recorder::connect_loop(std::size_t l) {
    const auto add = [&](auto&&... what) { channels_.connect(what...); };
    const FlatLoop& loop = dynamics_->model().loops[l];
    const std::string group = "loops/" + loop.name;
    const std::string& name = loop.name;
    add(group, "watched_temperature", "K", name + " temperature held against its limit",
        &loop_hottest_[l]);
    if (fluids_only_) return;
    add(group, "limit", "K", name + " temperature limit", &loop_limit_[l]);
    add(group, "line_pressure_loss", "Pa", name + " pressure loss of the cooling run's lines",
        &lines_[l].line_loss);
    add(group, "return_pressure", "Pa", name + " pressure above ambient behind its heat source",
        &lines_[l].return_pressure);
    if (loop.cap_pressure > 0)
        add(group, "pressure", "Pa", name + " absolute pressure", &loop_pressure_[l]);
    for (std::size_t p = 0; p < loop.pumps.size(); ++p) {
        const std::string& pump = loop.pumps[p].name;
        add(group + "/" + path_word(pump), "inlet_pressure", "Pa",
            pump + " absolute inlet pressure", &lines_[l].inlets[p].pressure);
        add(group + "/" + path_word(pump), "suction_margin", "m",
            pump + " suction head available less required", &lines_[l].inlets[p].margin);
    }
}

void Recorder::connect_cells() {
    const auto add = [&](auto&&... what) { channels_.connect(what...); };
    const Model& m = dynamics_->model();
    const Outputs& out = dynamics_->out();
    for (std::size_t r = 0; r < m.runs.size(); ++r) {
        const FlatLoop& loop = m.loops[at(m.runs[r].loop)];
        const std::string& run = loop.network->description.branches[at(m.runs[r].branch)].name;
        add("loops/" + loop.name + "/" + path_word(run), "mass_flow", "kg s-1", run + " mass flow",
            &out.run_flow[r]);
    }
    const auto group = [&](const Cell& cell) {
        return "loops/" + m.loops[at(cell.loop)].name + "/" + path_word(cell.name);
    };
    for (std::size_t c = 0; c < m.cells.size(); ++c)
        add(group(m.cells[c]), "temperature", "K", m.cells[c].name + " temperature",
            &out.cell_temperature[c]);
    for (std::size_t w = 0; w < m.walls.size(); ++w) {
        const Cell& cell = m.cells[at(m.walls[w].cell)];
        add(group(cell), "wall_temperature", "K", cell.name + " wall temperature",
            &out.wall_temperature[w]);
    }
}

void Recorder::connect_cores() {
    const auto add = [&](auto&&... what) { channels_.connect(what...); };
    const Model& m = dynamics_->model();
    for (std::size_t i = 0; i < m.cores.size(); ++i) {
        if (m.cores[i].first_cell == none) continue;
        const std::string group = "cores/" + path_word(m.cores[i].name);
        const std::string& name = m.cores[i].name;
        const bool in_air = m.cores[i].path != none;
        const CoreOutput& core = dynamics_->out().cores[i];
        add(group, "heat", "W", name + " heat rejection", &core.heat);
        add(group, "effectiveness", "1", name + " effectiveness", &core.effectiveness);
        add(group, in_air ? "air_mass_flow" : "second_mass_flow", "kg s-1",
            name + (in_air ? " air mass flow" : " coolant mass flow"), &core.second_flow);
        add(group, in_air ? "air_inlet_temperature" : "second_inlet_temperature", "K",
            name + (in_air ? " air inlet temperature" : " coolant inlet temperature"),
            &core.second_inlet);
    }
}

void Recorder::connect_air() {
    const auto add = [&](auto&&... what) { channels_.connect(what...); };
    const Model& m = dynamics_->model();
    const Outputs& out = dynamics_->out();
    for (std::size_t p = 0; p < m.paths.size(); ++p) {
        const std::string& name = m.paths[p].name;
        add("air/" + path_word(name), "inlet_temperature", "K",
            name + " air temperature at the first core", &out.paths[p].inlet);
        add("air/" + path_word(name), "inlet_mass_flow", "kg s-1", name + " air mass flow in",
            &out.paths[p].flow.inlet_flow);
    }
    for (std::size_t f = 0; f < m.fans.size(); ++f) {
        const std::string& name = m.fans[f].name;
        const std::string group = "fans/" + path_word(name);
        const FanOutput& fan = out.fans[f];
        add(group, "speed", "1", name + " speed fraction", &fan.speed);
        add(group, "air_volume_flow", "m3 s-1", name + " air volume flow", &fan.flow);
        add(group, "electrical_power", "W", name + " electrical power", &fan.power);
    }
}

void Recorder::connect_thermostats() {
    const Model& m = dynamics_->model();
    for (std::size_t t = 0; t < m.thermostats.size(); ++t) {
        const std::string& name = m.thermostats[t].name;
        const std::string group = "thermostats/" + path_word(name);
        const ThermostatOutput& thermostat = dynamics_->out().thermostats[t];
        channels_.connect(group, "lift", "1", name + " thermostat lift fraction", &thermostat.lift);
        channels_.connect(group, "wax_temperature", "K", name + " temperature of the wax",
                          &thermostat.wax);
    }
}

double Recorder::pressure_of(std::size_t l) {
    const Model& m = dynamics_->model();
    const FlatLoop& loop = m.loops[l];
    const double ambient = dynamics_->row().pressure;
    if (loop.cap_pressure <= 0) return ambient;
    double mass = 0, swollen = 0, hottest = 0, coldest = 1e9;
    for (int c = loop.first_cell; c < loop.first_cell + loop.cells; ++c) {
        const Cell& cell = m.cells[at(c)];
        const double fluid = cell.b / std::max(loop.caloric.c1, 1e-9);  // b = mass · c1
        const double t = dynamics_->out().cell_temperature[at(c)];
        mass += fluid;
        swollen += fluid / loop.fluid.density(t);
        hottest = std::max(hottest, t);
        coldest = std::min(coldest, t);
    }
    // No gas space: warm liquid fills the system and stands against the cap.
    if (loop.expansion_volume <= 0) return ambient + (hottest > 353.15 ? loop.cap_pressure : 0.0);
    Tank& tank = tanks_[l];
    if (!tank.begun) {
        tank.volume.gas_volume = loop.expansion_volume;
        tank.volume.cap_pressure = loop.cap_pressure;
        tank.volume.fill_pressure = ambient;
        tank.gas = hydraulics::fill(tank.volume, loop.fluid.vapour_pressure(293.15));
    }
    const double cold = mass / loop.fluid.density(293.15);
    const hydraulics::SystemPressure now =
        hydraulics::system_pressure(tank.volume, tank.gas, swollen - cold, coldest,
                                    loop.fluid.vapour_pressure(coldest), ambient);
    tank.gas = now.gas;  // what the cap let out or in stays out or in
    const double time = result_.time.back();
    if (tank.begun && now.cap_open && !tank.vented)
        cap_events_.push_back({time, EventKind::cap_opens_first, loop.name, hottest});
    if (tank.begun && now.overfilled && !tank.spilt)
        cap_events_.push_back({time, EventKind::liquid_pushed_out, loop.name, hottest});
    tank.vented = tank.vented || now.cap_open;
    tank.spilt = tank.spilt || now.overfilled;
    tank.begun = true;
    return now.pressure;
}

double Recorder::limit_temperature(std::size_t l) {
    const FlatLoop& loop = dynamics_->model().loops[l];
    if (loop.limits.boiling_reserve <= 0 && loop.limits.limit > 0) return loop.limits.limit;
    // What boils in the run is judged by the run's own pressure; the limit is not.
    loop_boiling_[l] = loop.fluid.boiling_temperature(loop_pressure_[l]);
    const double ambient = dynamics_->row().pressure;
    KnownLimit& known = known_limits_[l];
    if (known.ambient != ambient || known.cap != loop.cap_pressure)
        known = {ambient, loop.cap_pressure,
                 model::limit_temperature(loop.limits, loop.fluid, loop.cap_pressure, ambient)};
    return known.limit;
}

void Recorder::watch(std::size_t l) {
    const Model& m = dynamics_->model();
    const FlatLoop& loop = m.loops[l];
    Watch& w = watches_[l];
    const std::vector<double>& kelvin = dynamics_->out().cell_temperature;
    int hottest = loop.watched.front();
    for (const int c : loop.watched)
        if (kelvin[at(c)] > kelvin[at(hottest)]) hottest = c;
    const double temperature = kelvin[at(hottest)];
    loop_pressure_[l] = pressure_of(l);
    loop_limit_[l] = limit_temperature(l);
    lines_[l].look(result_.time.back(), loop_pressure_[l]);
    const double margin = loop_limit_[l] - temperature;
    if (w.limit.empty() || margin < w.least) {
        w.least = margin;
        lines_[l].keep_worst();
    }
    loop_hottest_[l] = temperature;
    fluid_flags_[l] |= loop.fluid.flags(temperature);
    w.temperature.push_back(temperature);
    w.cell.push_back(hottest);
    w.limit.push_back(loop_limit_[l]);
    w.vapour.push_back(dynamics_->out().loops[l].vapour);
    w.lost.push_back(dynamics_->out().loops[l].lost);
    if (loop_boiling_[l] > 0) {
        w.boiling.push_back(loop_boiling_[l]);
        double wall = 0;
        for (std::size_t i = 0; i < m.walls.size(); ++i)
            if (m.cells[at(m.walls[i].cell)].loop == static_cast<int>(l))
                wall = std::max(wall, dynamics_->out().wall_temperature[i]);
        w.wall.push_back(wall);
    }
    w.line_loss.push_back(lines_[l].line_loss);
    const double density = loop.fluid.density(temperature);
    w.flow.push_back(dynamics_->out().run_flow[at(loop.cooling_run)] / density);
    if (w.core == none) return;
    const CoreOutput& core = dynamics_->out().cores[at(w.core)];
    const double through = std::abs(dynamics_->out().run_flow[at(m.cores[at(w.core)].first_run)]);
    w.core_state.push_back(core);
    w.core_flow.push_back(through / loop.fluid.density(core.first_inlet));
    w.core_capacity.push_back(through * loop.fluid.specific_heat(core.first_inlet));
}

void Recorder::operator()(double t, const double* y) {
    dynamics_->rhs(t, y, scratch_.data());
    ++evaluations_;
    result_.time.push_back(t);
    const ForcingRow& row = dynamics_->row();
    running_.push_back(row.engine_on);
    ambient_.push_back(row.ambient);
    drive_.speed = row.speed;
    drive_.engine_speed = row.engine_speed;
    drive_.ambient = row.ambient;
    for (const StreamEntry& stream : stream_table) {
        const LedgerId path = dynamics_->model().stream_ledger[stream.stream];
        drive_.heat[stream.stream] =
            path.counts() ? dynamics_->balance().crossed[at(path.index)] : row.heat[stream.stream];
    }
    if (row.heat[Stream::condenser] > 0) {
        drive_.heat[Stream::condenser] = dynamics_->out().condenser;
        asked_cold_ += row.heat[Stream::condenser];
        given_cold_ += dynamics_->out().condenser;
    }
    for (std::size_t l = 0; l < watches_.size(); ++l) watch(l);
    for (std::size_t i = 0; i < core_flags_.size(); ++i)
        core_flags_[i] |= dynamics_->out().cores[i].flags;
    air_watch_.look(t);
    channels_.record();
}

void Recorder::collect_warnings() {
    const Model& m = dynamics_->model();
    // Fans that have yet to spin up, and no more, are not worth a word.
    if (given_cold_ < 0.98 * asked_cold_)
        result_.warnings.push_back(
            {Code::air_conditioning_short, {}, {}, {{1 - given_cold_ / asked_cold_}}});
    for (std::size_t i = 0; i < core_flags_.size(); ++i) {
        const unsigned flags = core_flags_[i] & ~static_cast<unsigned>(exchangers::core_no_flow);
        for (const Code code : exchangers::core_codes(flags))
            result_.warnings.push_back({code, m.cores[i].name});
    }
    for (std::size_t l = 0; l < fluid_flags_.size(); ++l)
        for (const Code code : fluids::flag_codes(fluid_flags_[l]))
            result_.warnings.push_back({code, m.loops[l].name});
    for (std::size_t l = 0; l < tanks_.size(); ++l)
        if (tanks_[l].spilt) result_.warnings.push_back({Code::liquid_spilt, m.loops[l].name});
    const std::size_t failures = failures_ + dynamics_->out().failures;
    if (failures > 0)
        result_.warnings.push_back(
            {Code::solves_failed, {}, {}, {{static_cast<double>(failures)}}});
}

void Recorder::finish() {
    for (std::size_t l = 0; l < watches_.size(); ++l) {
        judge(l);
        soak_events(l);
    }
    for (std::size_t i = 1; i < running_.size(); ++i)
        if (running_[i] != running_[i - 1])
            result_.events.push_back(
                {result_.time[i], running_[i] ? EventKind::engine_starts : EventKind::engine_stops,
                 "engine", 0});
    result_.events.insert(result_.events.end(), cap_events_.begin(), cap_events_.end());
    for (const LineWatch& lines : lines_) lines.finish(result_);
    std::stable_sort(result_.events.begin(), result_.events.end(),
                     [](const Event& a, const Event& b) { return a.time < b.time; });
    collect_warnings();
    air_watch_.tell(result_);
}

}  // namespace lapheat::model
