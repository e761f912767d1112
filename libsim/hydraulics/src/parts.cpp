#include "lapheat/hydraulics/parts.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <sstream>

#include "lapheat/solve/interpolate.hpp"
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/constants.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {
namespace {

using constants::inch;

// Necks of radiators and engines, in sixteenths of an inch: main hoses 1 1/4 to 1 3/4 inch, heater
// hoses up to 3/4 inch; a main hose is 1 inch or more. Common practice, no source.
constexpr int narrowest_neck = 20, widest_neck = 28, heater_neck = 12;
constexpr double least_main_hose = inch;
constexpr std::string_view hooper = "Hooper, Chem. Eng. 88 (1981) no. 17, p. 96, table 1";
constexpr std::string_view practice = "common practice, no source";
constexpr std::string_view edges = "Idelchik, Handbook of Hydraulic Resistance, diagrams 3-1, 11-1";

constexpr std::array<FittingEntry, 16> fittings{{
    {"elbow_90", 800, 0.40, true, hooper},       // standard, screwed
    {"elbow_90_long", 800, 0.20, true, hooper},  // radius 1.5 diameters
    {"elbow_45", 500, 0.20, true, hooper},
    {"elbow_180", 1000, 0.35, true, hooper},
    {"tee_run", 200, 0.10, true, hooper, true},
    {"tee_branch", 500, 0.70, true, hooper, true},  // used as an elbow, screwed
    {"ball_valve", 300, 0.10, true, hooper},        // full bore
    {"gate_valve", 300, 0.10, true, hooper},
    {"globe_valve", 1500, 4.0, true, hooper},
    {"swing_check", 1500, 1.5, true, hooper},
    {"lift_check", 2000, 10.0, true, hooper},
    {"adapter", 200, 0.2, false, practice},
    {"barb_straight", 200, 0.5, false, practice},
    {"quick_disconnect", 1500, 5.0, false, practice},
    {"tank_entry", 0, 1.0, false, edges},
    {"tank_exit", 160, 0.5, false, edges},
}};

double require_positive(double value, const char* what) {
    if (!(value > 0 && std::isfinite(value)))
        throw Error(std::string(what) + " must be above zero", "a positive number");
    return value;
}

}  // namespace

double dash_diameter(int dash) {
    if (dash < 1 || dash > 64)
        throw Error(fmt::format("there is no dash size {}", dash),
                    "a dash number from 1 to 64, sixteenths of an inch");
    return dash * inch / 16;
}

MinorLoss bend(double inner_diameter, double radius_ratio, double angle, double roughness) {
    require_positive(inner_diameter, "a bend's inner diameter");
    require_positive(radius_ratio, "a bend's radius ratio");
    require_positive(roughness, "a bend's roughness");
    if (!(angle >= 0 && angle <= 180)) throw Error("a bend turns by 0 to 180 degrees", "0 to 180");
    // Crane TP-410 (2009), p. A-30.
    constexpr std::array<double, 12> ratio{1, 1.5, 2, 3, 4, 6, 8, 10, 12, 14, 16, 20};
    constexpr std::array<double, 12> multiple{20, 14, 12, 12, 14, 17, 24, 30, 34, 38, 42, 50};
    const double log_term = std::log10(3.7 * inner_diameter / roughness);
    const double full_turbulence = 0.25 / (log_term * log_term);
    // Idelchik, diagram 6-1: A1.
    const double radians = angle * std::numbers::pi / 180;
    double turn = 0.7 + 0.35 * angle / 90;
    if (angle <= 70)
        turn = 0.9 * std::sin(radians);
    else if (angle < 100)
        turn = solve::between(
            std::array{70.0, 90.0, 100.0},
            std::array{0.9 * std::sin(70 * std::numbers::pi / 180), 1.0, 0.7 + 35.0 / 90}, angle);
    return {.loss_coefficient = solve::perturbed(
                solve::Relation::bend_loss,
                full_turbulence * solve::between(ratio, multiple, radius_ratio) * turn),
            .laminar_coefficient = solve::between(std::array{0.0, 45.0, 90.0, 180.0},
                                                  std::array{0.0, 500.0, 800.0, 1000.0}, angle),
            .diameter = inner_diameter};
}

std::span<const FittingEntry> fitting_table() { return fittings; }

MinorLoss fitting(std::string_view name, double diameter) {
    require_positive(diameter, "a fitting's diameter");
    std::string names;
    for (const FittingEntry& f : fittings) {
        if (f.name == name)
            return {.loss_coefficient =
                        solve::perturbed(solve::Relation::fitting_loss,
                                         f.loss_coefficient * (f.scaled ? 1 + inch / diameter : 1)),
                    .laminar_coefficient =
                        solve::perturbed(solve::Relation::fitting_loss, f.laminar_coefficient),
                    .diameter = diameter};
        names += names.empty() ? "" : ", ";
        names += f.name;
    }
    throw Error("there is no fitting named " + std::string(name), "one of " + names);
}

MinorLoss sudden_expansion(double small_diameter, double large_diameter) {
    const double ratio = require_positive(small_diameter, "a diameter") /
                         require_positive(large_diameter, "a diameter");
    const double area = std::min(1.0, ratio * ratio);
    return {.loss_coefficient =
                solve::perturbed(solve::Relation::fitting_loss, (1 - area) * (1 - area)),
            .diameter = small_diameter};
}

MinorLoss sudden_contraction(double large_diameter, double small_diameter) {
    const double ratio = std::min(1.0, require_positive(small_diameter, "a diameter") /
                                           require_positive(large_diameter, "a diameter"));
    // Hooper 1988 on the wide side: 160/Re·(1/β⁴ − 1); here on the narrow side's Re and velocity.
    return {.loss_coefficient =
                solve::perturbed(solve::Relation::fitting_loss, 0.5 * (1 - ratio * ratio)),
            .laminar_coefficient = 160 * (1 - std::pow(ratio, 4)) / ratio,
            .diameter = small_diameter};
}

MinorLoss barb(double hose_diameter, double bore) {
    MinorLoss in = sudden_contraction(hose_diameter, std::min(bore, hose_diameter));
    in.loss_coefficient += sudden_expansion(in.diameter, hose_diameter).loss_coefficient;
    return in;
}

MinorLoss orifice(double diameter) {
    return {.loss_coefficient = 2.7,
            .laminar_coefficient = 33,  // Idelchik diagram 4-18: ζ ≈ 33/Re for creeping flow
            .diameter = require_positive(diameter, "an orifice's diameter")};
}

MeasuredLoss filter(double flow, double pressure_loss, double density, double viscosity,
                    double laminar_share) {
    return {flow, pressure_loss, density, viscosity, laminar_share};
}

double poppet_area(double seat_diameter, double lift) {
    return std::numbers::pi * seat_diameter * std::min(std::max(lift, 0.0), seat_diameter / 4);
}

Valve thermostat(double seat_diameter, double full_lift, double bleed_diameter) {
    const double bleed = std::numbers::pi / 4 * bleed_diameter * bleed_diameter;
    return {.open_area = bleed + poppet_area(require_positive(seat_diameter, "a thermostat's seat"),
                                             require_positive(full_lift, "a thermostat's lift")),
            .closed_area = bleed};
}

std::optional<Diagnostic> line_warning(LineUse use, std::string_view name, double inner_diameter,
                                       double flow) {
    struct Usual {
        double speed;
        Code beyond;
    };
    constexpr std::array<Usual, 4> usual{{{1.5, Code::suction_line_fast},
                                          {3, Code::cooler_line_fast},
                                          {3, Code::coolant_hose_fast},
                                          {6, Code::pressure_line_fast}}};
    const Usual& limit = usual[static_cast<std::size_t>(use)];
    const double area = std::numbers::pi / 4 * inner_diameter * inner_diameter;
    const double speed = std::abs(flow) / area;
    if (!(speed > limit.speed)) return {};
    const double enough = std::sqrt(std::abs(flow) / limit.speed * 4 / std::numbers::pi);
    int sold = 2 * static_cast<int>(std::ceil(enough * 8 / inch - 1e-9));  // even dash numbers
    Code beyond = limit.beyond;
    if (use == LineUse::coolant) {
        // Wider than the necks it goes on is no hose to buy.
        const bool main = inner_diameter >= least_main_hose;
        sold = std::clamp(sold, main ? narrowest_neck : 0, main ? widest_neck : heater_neck);
        if (dash_diameter(sold) <= inner_diameter + 1e-4) return {};
        if (dash_diameter(sold) < enough) beyond = Code::coolant_hose_at_its_widest;
    }
    using units::Quantity;
    return Diagnostic{beyond,
                      {},
                      {std::string(name)},
                      {{speed, Quantity::speed},
                       {limit.speed, Quantity::speed},
                       {enough, Quantity::length},
                       {dash_diameter(sold), Quantity::length}}};
}

}  // namespace lapheat::hydraulics
