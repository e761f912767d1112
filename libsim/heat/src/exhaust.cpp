#include <algorithm>
#include <cmath>
#include <lapheat/heat/exhaust.hpp>
#include <lapheat/units/constants.hpp>
#include <numbers>

#include "require.hpp"

namespace lapheat::heat {
namespace {

using std::numbers::pi;

using constants::stefan_boltzmann;

// Pa s and W/(m K) at T: these times (T / 500)^exponent.
constexpr double viscosity = 2.70e-5, viscosity_exponent = 0.64;
constexpr double conductivity = 0.0407, conductivity_exponent = 0.75;

double fourth(double t) {
    const double square = t * t;
    return square * square;
}

struct Outside {
    double air = 0, around = 0;  // K
};
Outside outside(const ExhaustStretch& s, const ExhaustSurroundings& a) {
    return s.in_bay ? Outside{a.bay_air, a.bay_sheet} : Outside{a.below, a.below};
}

/// Temperature of a skin behind an insulation: Newton on a convex, rising function.
double insulated_skin(const ExhaustStretch& s, double film, double metal, const Outside& out) {
    const double radiation = stefan_boltzmann * s.emissivity * s.outer_area;
    const double around = fourth(out.around);
    double t = out.air + (metal - out.air) * s.insulation / (s.insulation + 2 * film);
    for (int i = 0; i < 20; ++i) {
        const double f =
            film * (t - out.air) + radiation * (fourth(t) - around) - s.insulation * (metal - t);
        const double step = f / (film + 4 * radiation * t * t * t + s.insulation);
        t -= step;
        if (std::abs(step) < 1e-9 * t) break;
    }
    return t;
}

ExhaustStretch pipe(double diameter, double pipes, double length, double thickness) {
    ExhaustStretch s;
    s.diameter = diameter;
    s.pipes = pipes;
    s.inner_area = pipes * pi * diameter * length;
    s.outer_area = pipes * pi * (diameter + 2 * thickness) * length;
    // Steel, 7850 kg/m^3 and 550 J/(kg K) at some 300 degC (Incropera et al., Table A.1).
    s.metal = pipes * pi * (diameter + thickness) * thickness * length * 7850 * 550;
    return s;
}

}  // namespace

const std::array<std::string, exhaust_parts>& exhaust_part_names() {
    static const std::array<std::string, exhaust_parts> names = {
        "manifold", "front_pipe", "catalyst", "mid_pipe", "silencer", "tail_pipe"};
    return names;
}

Exhaust exhaust_system(double displacement, int cylinders, double pipe_diameter, int pipes) {
    Exhaust e;
    const double litres = displacement * 1e3;
    const auto at = [&](ExhaustPart p) -> ExhaustStretch& {
        return e.stretch[static_cast<std::size_t>(p)];
    };
    // A runner for each cylinder, 0.35 m with its share of the collector, 3 mm thick: between thin
    // tube and cast iron. The bore of a runner goes with the root of what it passes.
    ExhaustStretch& manifold = at(ExhaustPart::manifold);
    manifold = pipe(0.043 * std::sqrt(litres / cylinders), cylinders, 0.35, 0.003);
    // The source's 1.5 to 3 in its middle. With 2.5 and 2 a small car's converter close to the
    // ports came out 50 to 130 K colder than its log.
    manifold.augmentation = 2.0;
    manifold.air_share = 0.1;
    manifold.gas_fraction = 0.95;
    manifold.in_bay = true;
    ExhaustStretch& front = at(ExhaustPart::front_pipe);
    front = pipe(pipe_diameter, pipes, 0.8, 0.0018);
    front.augmentation = 1.75;
    front.air_share = 0.2;
    front.gas_fraction = 0.88;
    // 400 cells to the square inch: channels of 1.1 mm, 2.7 m^2 and 0.45 kg of ceramic a litre, in
    // a can of 1.5 mm steel on a mat of 6 mm, 0.2 W/(m K), with bare cones.
    const double brick = 0.6 * litres, each = brick / pipes;  // litres
    ExhaustStretch& catalyst = at(ExhaustPart::catalyst);
    const double frontal = 0.0095 * std::cbrt(each * each) * pipes;  // m^2
    catalyst.diameter = 1.1e-3;
    catalyst.pipes = 62e4 * frontal;
    catalyst.inner_area = 2.7 * brick;
    catalyst.outer_area = 0.085 * std::cbrt(each * each) * pipes;
    catalyst.metal = 0.45 * brick * 1000 + catalyst.outer_area * 1.5e-3 * 7850 * 550;
    catalyst.insulation = (0.2 / 0.006 + 10) * catalyst.outer_area;
    catalyst.air_share = 0.3;
    catalyst.gas_fraction = 0.85;
    ExhaustStretch& mid = at(ExhaustPart::mid_pipe);
    mid = pipe(pipe_diameter, pipes, 1.3, 0.0015);
    mid.augmentation = 1.5;
    mid.gas_fraction = 0.75;
    // A can of four times the bore by 0.45 m; gas washes shell, ends and baffles: 1.6 times its
    // outer face, slowly, but in jets from the perforations: taken at the pipe's film.
    ExhaustStretch& silencer = at(ExhaustPart::silencer);
    silencer = pipe(pipe_diameter, pipes, 0.6, 0.0015);
    const double can = 3.6 * pipe_diameter;
    silencer.outer_area = pipes * pi * can * (0.45 + 0.5 * can);
    silencer.inner_area = 1.6 * silencer.outer_area;
    silencer.metal = (silencer.outer_area * 2.2e-3 * 7850 * 550) + silencer.metal;
    silencer.augmentation = 1.0;
    silencer.insulation = 0;
    silencer.gas_fraction = 0.65;
    ExhaustStretch& tail = at(ExhaustPart::tail_pipe);
    tail = pipe(pipe_diameter, pipes, 0.7, 0.0015);
    tail.augmentation = 1.2;
    tail.gas_fraction = 0.6;
    return e;
}

std::vector<NamedAssumption> assumptions(Exhaust& e) {
    using M = NamedAssumption::Meaning;
    return {{"gas to wall", &e.inside_level, M::level},
            {"skin to air", &e.outside_level, M::level}};
}

void validate(const Exhaust& e) {
    for (const ExhaustStretch& s : e.stretch) {
        require_within(s.diameter, 1e-4, 0.3, "diameter", units::Quantity::length);
        require_within(s.pipes, 1, 1e6, "pipes");
        require_within(s.inner_area, 1e-3, 100, "inner_area", units::Quantity::area);
        require_within(s.outer_area, 1e-3, 10, "outer_area", units::Quantity::area);
        require_within(s.metal, 10, 1e6, "metal", units::Quantity::heat_capacity);
        require_within(s.augmentation, 0.3, 6, "augmentation");
        require_within(s.insulation, 0, 1e4, "insulation",
                       units::Quantity::heat_transfer_coefficient);
        require_within(s.air_share, 0, 1, "air_share");
        require_within(s.emissivity, 0, 1, "emissivity");
    }
    require_within(e.reaction_share, 0, 0.1, "reaction_share");
    require_within(e.light_off, 400, 800, "light_off", units::Quantity::temperature);
    require_within(e.light_off_width, 1, 100, "light_off_width",
                   units::Quantity::temperature_difference);
}

ExhaustFilmLaw::ExhaustFilmLaw(const Exhaust& e) {
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        const ExhaustStretch& s = e.stretch[i];
        // Re = 4 m / (pipes pi d mu), Nu = 0.023 Re^0.8 Pr^0.3, W/K = Nu k / d A; the stretch's gas
        // is gas_fraction of the port's temperature.
        const double gas = s.gas_fraction / 500;
        const double k = e.inside_level.value * s.augmentation * s.inner_area / s.diameter *
                         conductivity * std::pow(gas, conductivity_exponent);
        const double mu = viscosity * std::pow(gas, viscosity_exponent);
        laminar_[i] = 3.66 * k;
        turbulent_[i] =
            0.023 * std::pow(0.7, 0.3) * k * std::pow(4 / (s.pipes * pi * s.diameter * mu), 0.8);
        area_[i] = e.outside_level.value * s.outer_area;
        root_share_[i] = std::sqrt(s.air_share);
    }
}

ExhaustFilms ExhaustFilmLaw::at(double gas_flow, double port, double speed) const {
    ExhaustFilms f;
    f.port = port;
    const double root_speed = std::sqrt(std::max(0.0, speed));
    for (std::size_t i = 0; i < exhaust_parts; ++i)
        f.outside[i] = (8 + 6 * root_share_[i] * root_speed) * area_[i];
    if (gas_flow <= 0) return f;
    f.capacity = gas_flow * exhaust_gas_heat;
    const double k = std::pow(port, conductivity_exponent);
    const double moved = k * std::pow(gas_flow * std::pow(port, -viscosity_exponent), 0.8);
    for (std::size_t i = 0; i < exhaust_parts; ++i)
        f.keeps[i] = std::exp(-std::max(laminar_[i] * k, turbulent_[i] * moved) / f.capacity);
    return f;
}

double skin_slope(const ExhaustStretch& s, double film, double skin) {
    if (s.insulation <= 0) return 1;
    const double radiation = stefan_boltzmann * s.emissivity * s.outer_area;
    return s.insulation / (s.insulation + film + 4 * radiation * skin * skin * skin);
}

double light_off_share(const Exhaust& e, double t) {
    return 1 / (1 + std::exp(-std::clamp((t - e.light_off) / e.light_off_width, -40.0, 40.0)));
}

void exhaust_moment(const Exhaust& e, const ExhaustFilms& f, const double* metal, double reaction,
                    const ExhaustSurroundings& around, ExhaustMoment& m) {
    constexpr auto converter = static_cast<std::size_t>(ExhaustPart::catalyst);
    double gas = f.port;
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        const ExhaustStretch& s = e.stretch[i];
        const Outside out = outside(s, around);
        const double entering = gas;
        if (f.capacity > 0)
            gas = metal[i] + (entering - metal[i]) * f.keeps[i];
        else
            gas = metal[i];
        m.gas[i] = gas;
        double gained = f.capacity * (entering - gas);
        if (f.capacity <= 0) gained = 0;
        if (i == converter) {
            m.reaction =
                f.capacity > 0 && reaction > 0 ? reaction * light_off_share(e, metal[i]) : 0.0;
            gained += m.reaction;
        }
        m.skin[i] = s.insulation > 0 ? insulated_skin(s, f.outside[i], metal[i], out) : metal[i];
        m.to_air[i] = f.outside[i] * (m.skin[i] - out.air);
        m.radiated[i] = stefan_boltzmann * s.emissivity * s.outer_area *
                        (fourth(m.skin[i]) - fourth(out.around));
        m.gained[i] = gained - m.to_air[i] - m.radiated[i];
    }
}

std::array<double, exhaust_parts> exhaust_steady(const Exhaust& e, const ExhaustFilms& f,
                                                 double reaction,
                                                 const ExhaustSurroundings& around) {
    std::array<double, exhaust_parts> metal;
    metal.fill(f.capacity > 0 ? f.port : around.below);
    ExhaustMoment now;
    // A stretch depends on itself and on those before it: solve each in turn, by halving a bracket
    // of its own temperature (a converter alight is the upper of two).
    for (std::size_t i = 0; i < exhaust_parts; ++i) {
        double low = std::min(around.below, std::min(around.bay_air, around.bay_sheet)) - 1;
        double high = std::max({f.port, around.bay_air, around.bay_sheet}) + 600;
        for (int k = 0; k < 200 && high - low > 1e-9 * high; ++k) {
            metal[i] = 0.5 * (low + high);
            exhaust_moment(e, f, metal.data(), reaction, around, now);
            (now.gained[i] > 0 ? low : high) = metal[i];
        }
    }
    return metal;
}

}  // namespace lapheat::heat
