// What the sources of geometry.hpp share: checking dimensions, the ends of passages, the parts of
// a core that every kind has.
#pragma once

#include <fmt/core.h>

#include <cmath>
#include <string>

#include "lapheat/exchangers/duct.hpp"
#include "lapheat/exchangers/fin.hpp"
#include "lapheat/exchangers/geometry.hpp"
#include "lapheat/exchangers/surface.hpp"
#include "lapheat/solve/level.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::exchangers::detail {

using R = solve::Relation;

struct Built {
    Core core;
    CoreFacts facts;
};

inline std::string millimetres(double metres) { return fmt::format("{:.4g} mm", metres * 1e3); }

[[noreturn]] inline void refuse(const char* field, const std::string& message,
                                const std::string& expected) {
    throw Error(std::string(field) + ": " + message, expected, {}, field);
}

inline void need_positive(const char* field, double value, const char* expected = "above zero") {
    if (!(value > 0) || !std::isfinite(value))
        refuse(field, fmt::format("{:.6g}", value), expected);
}

inline void need_not_negative(const char* field, double value) {
    if (!(value >= 0) || !std::isfinite(value))
        refuse(field, fmt::format("{:.6g}", value), "zero or more");
}

inline void need_count(const char* field, int value, int least = 1, int most = 100000) {
    if (value < least || value > most)
        refuse(field, fmt::format("{}", value), fmt::format("{} to {}", least, most));
}

/// `value` must be below `limit`, which belongs to the thing named.
inline void need_below(const char* field, double value, double limit, const char* of_what) {
    if (!(value < limit))
        refuse(field, millimetres(value) + " does not fit " + of_what,
               "less than " + millimetres(limit));
}

inline void need_fins(const char* field, double fins_per_metre, double thickness) {
    need_positive(field, fins_per_metre, "a number of fins per metre above zero");
    need_positive("fin_thickness", thickness);
    if (!(thickness * fins_per_metre < 0.9))
        refuse("fin_thickness",
               millimetres(thickness) + " leaves no air between fins at " +
                   millimetres(1 / fins_per_metre) + " pitch",
               "less than the distance from fin to fin");
}

inline void need_material(const char* field, const Material& m) {
    if (!(m.conductivity > 0 && m.density > 0 && m.specific_heat > 0))
        refuse(field, "conductivity, density and specific heat", "all above zero");
}

/// Contraction and expansion of air into and out of a core, flat profiles (Kays & London at high
/// Reynolds number, as the surface correlations' data were reduced).
inline double air_ends(double sigma) { return contraction_loss(sigma) + (1 - sigma) * (1 - sigma); }

/// (m L)² / h = 2 L² / (k t).
inline double fin_parameter_of(double length, const Material& m, double thickness) {
    return 2 * length * length / (m.conductivity * thickness);
}

/// Liquid inside plain ducts. `turn` is the loss of a return bend on the velocity head, between
/// `passes`; ducts that end in headers have contraction and expansion at each pass instead.
inline void fill_duct_side(SideDescription& side, const Duct& duct, double sigma, int passes,
                           double turn) {
    side.hydraulic_diameter = duct.hydraulic_diameter;
    side.nusselt = [duct](double re, double pr) { return nusselt(duct, re, pr).value; };
    side.loss = [duct, sigma, passes, turn](double re) {
        const double friction =
            passes * friction_factor(duct, re) * duct.length / duct.hydraulic_diameter;
        const double ends = contraction_loss(sigma) + expansion_loss(duct, sigma, re);
        // An exit of a slow laminar profile recovers pressure; friction always outweighs it.
        return turn > 0 ? friction + ends + turn * (passes - 1) : friction + passes * ends;
    };
    side.reynolds_minimum = 0;
    side.reynolds_maximum = 1e6;
    side.prandtl_minimum = 1;
    side.prandtl_maximum = 1e5;
    side.table_reynolds_minimum = 0.01;
    side.table_reynolds_maximum = 1e6;
}

/// Offset strip fins that fill a gap: shape, and the least of the surface their channel has when
/// the flow creeps (developed laminar flow in the channel, Shah & London).
struct StripChannel {
    StripFin fin;
    double diameter = 0;
    double free_share = 0;  ///< of the gap's cross-section
    double fin_share = 0;   ///< of the surface
};

StripChannel strip_channel(const StripFill& fill, double gap);

/// Nusselt number (on the diameter above) and Darcy friction factor of the channel.
double strip_nusselt(const StripChannel& channel, double re, double pr);
double strip_friction(const StripChannel& channel, double re);

/// Fills a side whose passages hold strip fins over `flow_length` in each of `passes`.
void fill_strip_side(SideDescription& side, const StripChannel& channel, double flow_length,
                     int passes, const Material& material, double ends, bool liquid);

/// Notes for Core::assumptions.
void note_strip_range(Core& core, const StripChannel& channel, const char* where);

/// Puts a measured surface in place of the air side's correlation, if there is one; `diameter` is
/// 4 Ac L / A, `ends` the velocity heads of entrance and exit.
void use_surface(SideDescription& air, Core& core, const std::vector<SurfacePoint>& points,
                 double diameter, double ends);

/// Books metal: its mass and heat capacity.
inline void add_metal(CoreFacts& facts, double mass, const Material& material) {
    facts.dry_mass += mass;
    facts.heat_capacity += mass * material.specific_heat;
}

/// Books the air side of a core.
inline void note_air(Built& b, const SideDescription& air, double diameter, double fin_height,
                     int tubes) {
    b.facts.second_area = air.heat_area;
    b.facts.fin_share = air.fin_area_fraction;
    b.facts.open_fraction = b.core.open_fraction;
    b.facts.air_hydraulic_diameter = diameter;
    b.facts.fin_height = fin_height;
    b.facts.tubes = tubes;
}

/// Opens what the relations of a core leave in doubt: a surface measured on such fins is known to
/// 5 % (Kays & London 1984 of their own j, from memory), and its f too.
void open_levels(Core& core, const Assumed& inside, const Assumed& film, const Assumed& loss,
                 bool measured_surface);

/// Closes the book: mass and heat capacity, condition, checks.
Core finish(Built built, const Condition& condition);

Built build(const LouvredCore& core);
Built build(const PlateFinCore& core);
Built build(const BarPlateCore& core);
Built build(const TankPlateCooler& core);
Built build(const TankTubeCooler& core);
Built build(const FinnedTubeCore& core);
Built build(const FlatTubeCore& core);

}  // namespace lapheat::exchangers::detail
