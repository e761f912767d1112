// Air paths: rectangles on a face plane become an airflow::Path; each core is cut into the slices
// that its columns cross.
#include <algorithm>
#include <cmath>

#include "compile.hpp"

namespace lapheat::model {
namespace {

// Range of face velocities (m/s) over which a core's drop is fitted: creeping to far above ram.
constexpr double slowest_face = 0.2, fastest_face = 20.0;
constexpr double air_density = 1.15, air_viscosity = 1.87e-5;  // 35 °C, sea level

// W/(m² K) of a warm face in still air: free convection 2 to 25 (Incropera et al., Table 1.1) and
// radiation about 6, of a core's two faces that see each other's surroundings only in part.
constexpr double still_face = 8;

airflow::PathCore path_core(const StackItem& item, const FlatCore* core) {
    airflow::PathCore out;
    out.face = {item.x, item.y, item.width, item.height};
    out.rise = item.rise;
    out.gap_behind = item.gap_behind;
    const double area = item.width * item.height;
    const double low = slowest_face * area * air_density, high = fastest_face * area * air_density;
    if (core) {
        out.open_fraction = core->core.open_fraction;
        out.resistance = airflow::fit_resistance(
            [&](double m) {
                return exchangers::second_pressure_drop(core->core, m, air_density, air_viscosity);
            },
            low, high, air_density, air_viscosity);
    } else {
        // One point is known; between laminar (∝ v) and form loss (∝ v²) louvred fins go with
        // about v^1.6 (Chang et al. 2000: f ∝ Re^-0.4 to -0.5).
        const double at = item.velocity * area * air_density;
        out.resistance = airflow::fit_resistance(
            [&](double m) { return item.pressure_loss * std::pow(m / at, 1.6); }, low, high,
            air_density, air_viscosity);
    }
    return out;
}

int core_number(const Model& model, const std::string& name, const FilePlace& place) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < model.cores.size(); ++i) {
        if (model.cores[i].name == name) return static_cast<int>(i);
        names.push_back(model.cores[i].name);
    }
    throw Error("no core '" + name + "'", known(names), place, "core", name);
}

int fan_number(const Model& model, const std::string& name, const FilePlace& place) {
    std::vector<std::string> names;
    for (std::size_t i = 0; i < model.fans.size(); ++i) {
        if (model.fans[i].name == name) return static_cast<int>(i);
        names.push_back(model.fans[i].name);
    }
    throw Error("no fan '" + name + "'", known(names), place, "fans", name);
}

FlatPath flat_path(Model& model, const AirPath& path) {
    FlatPath flat;
    flat.name = path.name;
    flat.parameters = airflow::parameters(path.assumptions);
    flat.parameters.exhaust_radiation.area = path.exhaust_view_area;
    flat.parameters.exhaust_radiation.shields = path.heat_shields;
    flat.parameters.exhaust_radiation.emissivity = path.exhaust_emissivity;
    flat.parameters.exhaust_radiation.shield_emissivity = path.shield_emissivity;
    flat.parameters.shield_keeps = path.shield_keeps;
    flat.parameters.condenser_cover = path.condenser_cover;
    flat.into_bay = path.into_bay;
    flat.brake_view_area = path.brake_view_area;
    flat.brake_air_share = path.brake_air_share;
    flat.exhaust_part = path.exhaust_part;
    flat.air_in = model.ledger.in("warm air into " + path.name);
    if (!path.into_bay) flat.air_out = model.ledger.out("air out of " + path.name);
    return flat;
}

airflow::PathDescription description(const AirPath& path) {
    airflow::PathDescription d;
    airflow::apply(path.assumptions, d);
    d.inlet.losses = path.inlet_losses;
    d.exit.losses = path.exit_losses;
    d.leak_area = path.leak_area;
    d.bay_rise = path.bay_rise;
    return d;
}

/// The stack's cores, each taken into this path; returns the number of each item's core.
std::vector<int> add_stack(Model& model, const AirPath& path, FlatPath& flat,
                           airflow::PathDescription& d) {
    std::vector<int> item_core;
    for (const StackItem& item : path.stack) {
        FlatCore* core = nullptr;
        if (!item.core.empty()) {
            const int c = core_number(model, item.core, path.place);
            core = &model.cores[static_cast<std::size_t>(c)];
            if (core->path != none)
                throw Error("the core '" + item.core + "' stands in two air paths, or twice in one",
                            "each core in one place", path.place, "stack");
            core->path = static_cast<int>(model.paths.size());
            item_core.push_back(c);
            if (core->first_cell != none) flat.cores.push_back(c);
        } else {
            item_core.push_back(none);
        }
        d.cores.push_back(path_core(item, core));
    }
    return item_core;
}

void add_shroud(Model& model, const AirPath& path, const Shroud& shroud, FlatPath& flat,
                airflow::PathDescription& d) {
    airflow::Shroud out;
    out.cover = {shroud.x, shroud.y, shroud.width, shroud.height};
    out.pusher = shroud.pusher;
    out.gap_area = shroud.gap_area;
    out.flap_area = shroud.flap_area;
    for (const std::string& name : shroud.fans) {
        const int f = fan_number(model, name, path.place);
        FlatFan& fan = model.fans[static_cast<std::size_t>(f)];
        if (fan.path != none)
            throw Error("the fan '" + name + "' stands in two places", "each fan in one shroud",
                        path.place, "fans", name);
        fan.path = static_cast<int>(model.paths.size());
        fan.local = static_cast<int>(d.fans.size());
        flat.fans.push_back(f);
        const airflow::Fan& blades = model.car.fans[static_cast<std::size_t>(f)].fan;
        d.fans.push_back(blades);
        if (shroud.bare)
            d.shrouds.push_back(
                airflow::bare_fan(blades, d.fans.size() - 1, out.cover, shroud.distance));
        else
            out.fans.push_back(d.fans.size() - 1);
    }
    if (!shroud.bare) d.shrouds.push_back(std::move(out));
}

void add_passages(Model& model, const AirPath& path, const std::vector<int>& item_core,
                  FlatPath& flat) {
    flat.first_passage = static_cast<int>(model.passages.size());
    flat.passages = static_cast<int>(flat.path.passages.size());
    for (int p = 0; p < flat.passages; ++p) {
        const airflow::Passage& in = flat.path.passages[static_cast<std::size_t>(p)];
        FlatPassage out;
        out.path = static_cast<int>(model.paths.size());
        out.local = p;
        out.core = item_core[in.core];
        out.fraction = in.core_fraction;
        out.upstream = in.upstream < 0 ? none : flat.first_passage + in.upstream;
        out.downstream = in.downstream < 0 ? none : flat.first_passage + in.downstream;
        if (out.core != none) {
            FlatCore& core = model.cores[static_cast<std::size_t>(out.core)];
            out.slice = in.core_fraction < 1 - 1e-9
                            ? exchangers::face_fraction(core.core, in.core_fraction)
                            : core.core;
            core.passages.push_back(flat.first_passage + p);
        }
        const StackItem& item = path.stack[in.core];
        if (!item.heat.empty()) {
            const StreamEntry* entry = find_stream(item.heat);
            if (!entry)
                throw Error("no heat '" + item.heat + "'", known(stream_names()), path.place,
                            "heat", item.heat);
            out.heat = entry->stream;
        }
        model.passages.push_back(std::move(out));
    }
}

void add_path(Model& model, const AirPath& path) {
    FlatPath flat = flat_path(model, path);
    airflow::PathDescription d = description(path);
    const std::vector<int> item_core = add_stack(model, path, flat, d);
    for (const Shroud& shroud : path.shrouds) add_shroud(model, path, shroud, flat, d);
    try {
        flat.path = airflow::make_path(std::move(d));
    } catch (const Error& e) {
        throw Error("air path '" + path.name + "': " + e.what(), e.expected(), path.place, e.key(),
                    e.found());
    }
    add_passages(model, path, item_core, flat);
    model.paths.push_back(std::move(flat));
}

}  // namespace

void compile_air(Model& model) {
    for (const FanEntry& entry : model.car.fans) {
        FlatFan fan;
        fan.name = entry.name;
        fan.drive = entry.drive;
        fan.switched = !entry.switches.empty() || entry.with_air_conditioning;
        fan.with_air_conditioning = entry.with_air_conditioning;
        fan.after_run = entry.after_run;
        fan.dead = entry.dead;
        model.fans.push_back(std::move(fan));
    }
    for (const AirPath& path : model.car.air) add_path(model, path);
    for (FlatCore& core : model.cores) {
        const auto index = static_cast<std::size_t>(&core - model.cores.data());
        if (core.first_cell == none) {
            if (core.path != none || core.second_cell != none)
                model.warnings.push_back({Code::core_without_fluid, core.name});
            continue;
        }
        if (core.path == none && core.second_cell == none)
            throw Error("the core '" + core.name + "' stands in no air and no second liquid",
                        "a place in the stack of an air path, or a second liquid",
                        model.car.cores[index].place, "cores");
        if (core.path != none) {
            core.ledger = model.ledger.within("core " + core.name);
            // What its two faces still give when neither fan nor wind nor buoyancy moves air.
            const Cell& cell = model.cells[static_cast<std::size_t>(core.first_cell)];
            model.losses.push_back(
                {core.first_cell, Zone::outside, 2 * still_face * core.core.face_area, 0,
                 case_losses(model, model.loops[at(cell.loop)].name, Zone::outside)});
        }
    }
    for (const FlatFan& fan : model.fans)
        if (fan.path == none) model.warnings.push_back({Code::fan_without_path, fan.name});
}

}  // namespace lapheat::model
