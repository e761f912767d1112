// The exhaust from the ports to the tail: gas and metal, stretch by stretch.
//
// In a stretch whose metal has one temperature T the gas falls as exp(-NTU), NTU = h A / (m cp):
//     leaving gas = T + (entering gas - T) exp(-NTU)
// and at every instant, in W and exact to rounding, over all stretches
//     m cp (port - tail) + reaction = gained by metal + to the air outside + radiated.
// The way of Kandylas & Stamatelos, Energy Conversion and Management 40 (1999) 1057: an inside film
// raised by pulsation and bends, most near the ports; conduction through double walls; convection
// and radiation outside; the metal's heat capacity; a converter with the heat of its reaction.
//
// Films. Inside: Nu = 0.023 Re^0.8 Pr^0.3 (Dittus & Boelter), not less than 3.66, times the
// stretch's augmentation; Depcik & Assanis (SAE 2002-01-0373, from memory) find 1.5 to 3 over
// steady flow in manifolds and front pipes, falling towards the tail. Outside: 8 + 6 sqrt(w)
// W/(m^2 K) at an air speed w m/s along the pipe (common practice, no source; free convection of a
// 60 mm pipe at 300 degC is 10, turbulent flow along a metre of it at 10 m/s 30). Burned gas as
// air: viscosity and conductivity as powers of temperature fitted to Incropera et al., Table A.4,
// between 500 and 1200 K (within 3 %).
#pragma once

#include <array>
#include <cstddef>
#include <lapheat/units/assumed.hpp>
#include <string>
#include <vector>

namespace lapheat::heat {

enum class ExhaustPart { manifold, front_pipe, catalyst, mid_pipe, silencer, tail_pipe };
inline constexpr std::size_t exhaust_parts = 6;
/// Names in the enum's order, "manifold", "front_pipe", … as files spell them.
const std::array<std::string, exhaust_parts>& exhaust_part_names();

/// J/(kg K) of burned gas, mean of 300 to 1100 K; the engine's exhaust heat is made with the same.
inline constexpr double exhaust_gas_heat = 1150;

/// All parallel pipes of one stretch together.
struct ExhaustStretch {
    double diameter = 0.057;  ///< m inside, of one pipe; of a converter, of one channel
    double pipes = 2;         ///< side by side, or channels
    double inner_area = 0;    ///< m^2 that the gas touches
    double outer_area = 0;    ///< m^2
    double metal = 0;         ///< J/K
    double augmentation = 1;  ///< of the inside film over steady flow
    double insulation = 0;    ///< W/K from the metal in the gas to the skin; 0: it is the skin
    double air_share = 0.3;   ///< of the car's speed at which air passes it
    double emissivity = 0.8;  ///< oxidised steel (Incropera et al., Table A.11)
    double gas_fraction = 1;  ///< of the port's gas temperature (K), for film properties only
    bool in_bay = false;      ///< its heat goes to the engine bay, else below the floor

    bool operator==(const ExhaustStretch&) const = default;
};

struct Exhaust {
    std::array<ExhaustStretch, exhaust_parts> stretch;
    double reaction_share = 0.02;  ///< of the fuel's energy, burned in a hot converter: what oxygen
                                   ///< is left to burn; 0.01 to 0.03 (common practice, no source)
    double light_off = 540;        ///< K at which half of it burns; 500 to 600 (common practice)
    double light_off_width = 15;   ///< K
    /// On the films inside and outside.
    Assumed inside_level{1, 0.6, 1.5, "1.5 to 3 over steady flow, Depcik & Assanis, from memory"};
    Assumed outside_level{1, 0.6, 1.6, "common practice, no source"};

    bool operator==(const Exhaust&) const = default;
};

/// What is in doubt of an exhaust, to be read or varied in place.
std::vector<NamedAssumption> assumptions(Exhaust& exhaust);

/// An exhaust of usual lengths for an engine: displacement in m^3, pipes of that bore in m. Tubular
/// or thin cast manifolds, two silencers' worth of steel, converters of 0.6 of the displacement
/// (common practice, no source).
Exhaust exhaust_system(double displacement, int cylinders, double pipe_diameter, int pipes);

/// Throws Error, with the name of the quantity as key, for numbers that make no sense.
void validate(const Exhaust& exhaust);

/// What holds while gas flow, port temperature and car speed are constant.
struct ExhaustFilms {
    double capacity = 0;                          ///< W/K, m cp of the gas
    double port = 0;                              ///< K
    std::array<double, exhaust_parts> keeps{};    ///< exp(-NTU)
    std::array<double, exhaust_parts> outside{};  ///< W/K of convection
    bool operator==(const ExhaustFilms&) const = default;
};
/// Films over flow, temperature and speed: the powers of one exhaust taken once.
class ExhaustFilmLaw {
  public:
    explicit ExhaustFilmLaw(const Exhaust& exhaust);
    /// Gas flow in kg/s (0: none moves), gas at the ports in K, car speed in m/s.
    [[nodiscard]] ExhaustFilms at(double gas_flow, double port_temperature, double speed) const;

  private:
    std::array<double, exhaust_parts> turbulent_{}, laminar_{};  ///< W/K at 1 kg/s and 1 K
    std::array<double, exhaust_parts> area_{}, root_share_{};    ///< m^2, -
};

/// What surrounds the pipes: air and what they radiate to, K.
struct ExhaustSurroundings {
    double bay_air = 298.15, bay_sheet = 298.15, below = 298.15;
};

/// One moment: K and W of each stretch.
struct ExhaustMoment {
    std::array<double, exhaust_parts> gas{};       ///< K leaving
    std::array<double, exhaust_parts> skin{};      ///< K
    std::array<double, exhaust_parts> gained{};    ///< W into the metal
    std::array<double, exhaust_parts> to_air{};    ///< W by convection outside
    std::array<double, exhaust_parts> radiated{};  ///< W
    double reaction = 0;                           ///< W that the converter releases
};
/// `metal`: K of each stretch. `reaction`: W of fuel energy that a hot converter would release.
/// With no gas flow the metal only cools, and nothing reacts.
void exhaust_moment(const Exhaust& exhaust, const ExhaustFilms& films, const double* metal,
                    double reaction, const ExhaustSurroundings& around, ExhaustMoment& out);

/// K of a stretch's skin for each kelvin of its metal: 1 but behind an insulation, where what the
/// skin sheds at its temperature (K) stands against what the insulation brings. `film`: W/K from
/// the skin to the air, as in ExhaustFilms.
double skin_slope(const ExhaustStretch& stretch, double film, double skin);

/// Share of the reaction at a converter's temperature (K), 0 to 1.
double light_off_share(const Exhaust& exhaust, double catalyst_temperature);

/// Metal temperatures at which nothing changes, K: by relaxing from the port towards the tail.
std::array<double, exhaust_parts> exhaust_steady(const Exhaust& exhaust, const ExhaustFilms& films,
                                                 double reaction,
                                                 const ExhaustSurroundings& around);

}  // namespace lapheat::heat
