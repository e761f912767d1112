#include "geometry_detail.hpp"

#include <fmt/core.h>

#include <algorithm>

namespace lapheat::exchangers {
namespace detail {

StripChannel strip_channel(const StripFill& fill, double gap) {
    need_fins("fins_per_metre", fill.fins_per_metre, fill.fin_thickness);
    need_positive("strip_length", fill.strip_length);
    need_below("fin_thickness", fill.fin_thickness, gap, "the gap");
    StripChannel c;
    c.fin.spacing = 1 / fill.fins_per_metre - fill.fin_thickness;
    c.fin.height = gap - fill.fin_thickness;
    c.fin.thickness = fill.fin_thickness;
    c.fin.strip = fill.strip_length;
    c.diameter = strip_fin_hydraulic_diameter(c.fin);
    c.free_share = c.fin.spacing * fill.fins_per_metre * c.fin.height / gap;
    const double s = c.fin.spacing, h = c.fin.height, t = c.fin.thickness, l = c.fin.strip;
    c.fin_share = (2 * (h * l + t * h) + t * s) / (2 * (s * l + h * l + t * h) + t * s);
    return c;
}

namespace {

/// The plain channel between two fins, for creeping flow.
Duct plain_channel(const StripChannel& c) {
    const double a = c.fin.spacing, b = c.fin.height;
    return {DuctShape::rectangle, c.diameter, 1, std::min(a, b) / std::max(a, b)};
}

}  // namespace

double strip_nusselt(const StripChannel& c, double re, double pr) {
    return std::max(offset_strip_fin(c.fin, re).j * re * std::cbrt(pr),
                    laminar_nusselt_constant_temperature(plain_channel(c)));
}

double strip_friction(const StripChannel& c, double re) {
    return std::max(4 * offset_strip_fin(c.fin, re).f,
                    laminar_friction_constant(plain_channel(c)) / re);
}

void fill_strip_side(SideDescription& side, const StripChannel& c, double flow_length, int passes,
                     const Material& material, double ends, bool liquid) {
    side.hydraulic_diameter = c.diameter;
    side.fin_area_fraction = c.fin_share;
    side.fin_parameter = fin_parameter_of(c.fin.height / 2, material, c.fin.thickness);
    side.nusselt = [c](double re, double pr) { return strip_nusselt(c, re, pr); };
    side.loss = [c, flow_length, passes, ends](double re) {
        return passes * (strip_friction(c, re) * flow_length / c.diameter + ends);
    };
    side.reynolds_minimum = 120;
    side.reynolds_maximum = 1e4;
    if (liquid) {
        side.prandtl_minimum = 1;
        side.prandtl_maximum = 1e5;
        side.table_reynolds_minimum = 0.01;
    }
}

void note_strip_range(Core& core, const StripChannel& c, const char* where) {
    if (!offset_strip_fin(c.fin, 1000).in_range)
        core.assumptions.push_back(std::string("strip fins ") + where +
                                   ": shape outside the 18 surfaces of Manglik & Bergles 1995");
}

void use_surface(SideDescription& air, Core& core, const std::vector<SurfacePoint>& points,
                 double diameter, double ends) {
    if (points.empty()) return;
    const MeasuredSurface surface(points);
    const double area_ratio = air.heat_area / air.flow_area;
    air.hydraulic_diameter = diameter;
    air.nusselt = [surface](double re, double pr) { return surface(re).j * re * std::cbrt(pr); };
    air.loss = [surface, area_ratio, ends](double re) { return surface(re).f * area_ratio + ends; };
    air.reynolds_minimum = surface.least();
    air.reynolds_maximum = surface.most();
    core.assumptions.push_back(fmt::format("air side from {} measured points, Re {} to {}",
                                           points.size(), std::lround(surface.least()),
                                           std::lround(surface.most())));
}

void open_levels(Core& core, const Assumed& inside, const Assumed& film, const Assumed& loss,
                 bool measured_surface) {
    constexpr Assumed measured{1, 0.95, 1.05, "a surface measured on such fins"};
    core.levels.first_film = inside;
    core.levels.second_film = measured_surface ? measured : film;
    core.levels.second_loss = measured_surface ? measured : loss;
}

Core finish(Built built, const Condition& condition) {
    built.core.heat_capacity = built.facts.heat_capacity;
    built.core.first_volume = built.facts.liquid_volume;
    Core core = make_core(std::move(built.core));
    if (condition.first_fouling != 0 || condition.second_fouling != 0 || condition.blocked != 0 ||
        condition.bent != 0)
        core = with_condition(std::move(core), condition);
    return core;
}

}  // namespace detail

Core make_core(const LouvredCore& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const PlateFinCore& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const BarPlateCore& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const TankPlateCooler& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const TankTubeCooler& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const FinnedTubeCore& c) { return detail::finish(detail::build(c), c.condition); }
Core make_core(const FlatTubeCore& c) { return detail::finish(detail::build(c), c.condition); }

CoreFacts facts(const LouvredCore& c) { return detail::build(c).facts; }
CoreFacts facts(const PlateFinCore& c) { return detail::build(c).facts; }
CoreFacts facts(const BarPlateCore& c) { return detail::build(c).facts; }
CoreFacts facts(const TankPlateCooler& c) { return detail::build(c).facts; }
CoreFacts facts(const TankTubeCooler& c) { return detail::build(c).facts; }
CoreFacts facts(const FinnedTubeCore& c) { return detail::build(c).facts; }
CoreFacts facts(const FlatTubeCore& c) { return detail::build(c).facts; }

}  // namespace lapheat::exchangers
