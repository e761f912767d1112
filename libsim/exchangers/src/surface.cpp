#include "lapheat/exchangers/surface.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include "lapheat/solve/relation.hpp"

namespace lapheat::exchangers {
namespace {

using std::log;
using std::pow;

bool within(double x, double low, double high) noexcept { return x >= low && x <= high; }

/// formula(Re) inside [low, high]; beyond, a power law with the slope at the end, kept in
/// [steepest, 0] so that a film coefficient or a pressure drop never falls with flow.
template <typename Formula>
double continued(Formula formula, double re, double low, double high, double steepest) noexcept {
    if (within(re, low, high)) return formula(re);
    const double end = re < low ? low : high;
    const double step = re < low ? 1.05 : 1 / 1.05;
    const double value = formula(end);
    const double slope = log(formula(end * step) / value) / log(step);
    return value * pow(std::max(re, 1e-9) / end, std::clamp(slope, steepest, 0.0));
}

double louvred_friction_low(const LouvredFin& n, double re) noexcept {
    const double degrees = n.louvre_angle * 180 / std::numbers::pi;
    const double tube_pitch = n.fin_height + n.tube_height;
    const double f1 = 14.39 * pow(re, -0.805 * n.fin_pitch / n.fin_height) *
                      pow(log(1 + n.fin_pitch / n.louvre_pitch), 3.04);
    const double f2 = pow(log(pow(n.fin_thickness / n.fin_pitch, 0.48) + 0.9), -1.435) *
                      pow(n.hydraulic_diameter / n.louvre_pitch, -3.01) * pow(log(0.5 * re), -3.01);
    const double f3 = pow(n.fin_pitch / n.louvre_length, -0.308) *
                      pow(n.fin_depth / n.louvre_length, -0.308) *
                      std::exp(-0.1167 * tube_pitch / n.tube_height) * pow(degrees, 0.35);
    return f1 * f2 * f3;
}

double louvred_friction_high(const LouvredFin& n, double re) noexcept {
    const double degrees = n.louvre_angle * 180 / std::numbers::pi;
    const double tube_pitch = n.fin_height + n.tube_height;
    const double f1 = 4.97 * pow(re, 0.6049 - 1.064 / pow(degrees, 0.2)) *
                      pow(log(pow(n.fin_thickness / n.fin_pitch, 0.5) + 0.9), -0.527);
    const double f2 = pow(n.hydraulic_diameter / n.louvre_pitch * log(0.3 * re), -2.966) *
                      pow(n.fin_pitch / n.louvre_length, -0.7931 * tube_pitch / n.fin_height);
    const double f3 = pow(tube_pitch / n.tube_height, -0.0446) *
                      pow(log(1.2 + pow(n.louvre_pitch / n.fin_pitch, 1.4)), -3.553) *
                      pow(degrees, -0.477);
    return f1 * f2 * f3;
}

/// Both branches, joined as in the amendment of 2006: root of the weighted mean square of the ends.
double louvred_friction(const LouvredFin& n, double re) noexcept {
    if (re <= 130) return louvred_friction_low(n, re);
    if (re >= 230) return louvred_friction_high(n, re);
    const double low = louvred_friction_low(n, 130);
    const double high = louvred_friction_high(n, 230);
    const double w = 3.6 - 0.02 * re;
    return std::sqrt(0.5 * ((1 + w) * low * low + (1 - w) * high * high));
}

double plain_j(const PlateFin& n, double re) noexcept {
    const double ln = log(re);
    const double rows = std::min(n.rows, 6.0);
    const double by_collar = n.fin_pitch / n.collar_diameter;
    const double by_diameter = n.fin_pitch / n.hydraulic_diameter;
    const double by_pitch = n.fin_pitch / n.transverse_pitch;
    if (rows < 1.5) {
        return 0.108 * pow(re, -0.29) *
               pow(n.transverse_pitch / n.longitudinal_pitch, 1.9 - 0.23 * ln) *
               pow(by_collar, -1.084) * pow(by_diameter, -0.786) *
               pow(by_pitch, -0.236 + 0.126 * ln);
    }
    const double p3 = -0.361 - 0.042 * rows / ln + 0.158 * log(rows * pow(by_collar, 0.41));
    const double p4 = -1.224 - 0.076 * pow(n.longitudinal_pitch / n.hydraulic_diameter, 1.42) / ln;
    const double p5 = -0.083 + 0.058 * rows / ln;
    const double p6 = -5.735 + 1.21 * log(re / rows);
    return 0.086 * pow(re, p3) * pow(rows, p4) * pow(by_collar, p5) * pow(by_diameter, p6) *
           pow(by_pitch, -0.93);
}

double plain_f(const PlateFin& n, double re) noexcept {
    const double ln = log(re);
    const double pitches = n.transverse_pitch / n.longitudinal_pitch;
    const double by_collar = n.fin_pitch / n.collar_diameter;
    const double rows = std::min(n.rows, 6.0);
    const double f1 = -0.764 + 0.739 * pitches + 0.177 * by_collar - 0.00758 / rows;
    return 0.0267 * pow(re, f1) * pow(pitches, -15.689 + 64.021 / ln) *
           pow(by_collar, 1.696 - 15.695 / ln);
}

double wavy_j_small(const PlateFin& n, double re) noexcept {
    const double slope = n.wave_depth / n.half_wave_length;  // tan(theta)
    const double pitches = n.longitudinal_pitch / n.transverse_pitch;
    const double ln = log(re);
    const double c1 = -0.229 + 0.115 * pow(n.fin_pitch / n.collar_diameter, 0.6) *
                                   pow(n.longitudinal_pitch / n.hydraulic_diameter, 0.54) *
                                   pow(n.rows, -0.284) * log(0.5 * slope);
    const double c2 = -0.251 + 0.232 * pow(n.rows, 1.37) / (ln - 2.303);
    const double c3 = -0.439 * pow(n.fin_pitch / n.hydraulic_diameter, 0.09) * pow(pitches, -1.75) *
                      pow(n.rows, -0.93);
    const double c4 = 0.502 * (ln - 2.54);
    return 0.324 * pow(re, c1) * pow(n.fin_pitch / n.longitudinal_pitch, c2) * pow(slope, c3) *
           pow(pitches, c4) * pow(n.rows, 0.428);
}

double wavy_f_small(const PlateFin& n, double re) noexcept {
    const double slope = n.wave_depth / n.half_wave_length;
    const double area = log(n.area_over_tube_area);
    const double c5 =
        0.4604 - 0.01336 * pow(n.fin_pitch / n.longitudinal_pitch, 0.58) * area * pow(slope, -1.5);
    const double c6 = 3.247 * pow(n.fin_pitch / n.transverse_pitch, 1.4) * area;
    return 0.01915 * pow(re, c5) * pow(slope, c6) *
           pow(n.fin_pitch / n.longitudinal_pitch, -20.113 / log(re)) * pow(area, -5.35) *
           pow(n.hydraulic_diameter / n.collar_diameter, 1.3796) * pow(n.rows, -0.0916);
}

double wavy_j_large(const PlateFin& n, double re) noexcept {
    const double slope = n.wave_depth / n.half_wave_length;
    const double by_thickness = n.longitudinal_pitch / n.fin_thickness;
    const double by_collar = n.fin_pitch / n.collar_diameter;
    const double c1 = -0.1707 - 1.374 * pow(by_thickness, -0.493) * pow(by_collar, -0.886) *
                                    pow(n.rows, -0.143) * pow(slope, -0.0296);
    return 1.7910 * pow(re, c1) * pow(by_thickness, -0.456) * pow(n.rows, -0.27) *
           pow(by_collar, -1.343) * pow(slope, 0.317);
}

double wavy_f_large(const PlateFin& n, double re) noexcept {
    const double slope = n.wave_depth / n.half_wave_length;
    const double area = log(n.area_over_tube_area);
    const double by_pitch = n.fin_pitch / n.transverse_pitch;
    const double c2 =
        0.1714 - 0.07372 * pow(n.fin_pitch / n.longitudinal_pitch, 0.25) * area * pow(slope, -0.2);
    const double c3 = 0.426 * pow(by_pitch, 0.3) * area;
    return 0.05273 * pow(re, c2) * pow(slope, c3) * pow(by_pitch, -10.2192 / log(re)) *
           pow(area, -2.726) * pow(n.hydraulic_diameter / n.collar_diameter, 0.1325) *
           pow(n.rows, 0.02305);
}

}  // namespace

JF louvred_fin(const LouvredFin& n, double re) noexcept {
    const double tube_pitch = n.fin_height + n.tube_height;
    const double degrees = n.louvre_angle * 180 / std::numbers::pi;
    const double shape =
        pow(degrees / 90, 0.27) * pow(n.fin_pitch / n.louvre_pitch, -0.14) *
        pow(n.fin_height / n.louvre_pitch, -0.29) * pow(n.tube_depth / n.louvre_pitch, -0.23) *
        pow(n.louvre_length / n.louvre_pitch, 0.68) * pow(tube_pitch / n.louvre_pitch, -0.28) *
        pow(n.fin_thickness / n.louvre_pitch, -0.05);
    JF r;
    r.j = solve::perturbed(solve::Relation::louvred_film, shape * pow(std::max(re, 1e-9), -0.49));
    r.f = solve::perturbed(
        solve::Relation::louvred_friction,
        continued([&](double x) { return louvred_friction(n, x); }, re, 100, 5000, -1));
    r.in_range = within(re, 100, 3000) && within(n.fin_pitch, 0.51e-3, 3.33e-3) &&
                 within(n.fin_height, 2.84e-3, 20e-3) && within(n.louvre_pitch, 0.5e-3, 3e-3) &&
                 within(degrees, 8.4, 35) && within(n.tube_depth, 15.6e-3, 57.4e-3) &&
                 within(n.louvre_length, 2.13e-3, 18.5e-3) && within(tube_pitch, 7.51e-3, 25e-3);
    return r;
}

JF plain_plate_fin(const PlateFin& n, double re) noexcept {
    JF r;
    r.j = solve::perturbed(solve::Relation::plain_plate_film,
                           continued([&](double x) { return plain_j(n, x); }, re, 300, 2e4, -1));
    r.f = solve::perturbed(solve::Relation::plain_plate_friction,
                           continued([&](double x) { return plain_f(n, x); }, re, 300, 2e4, -1));
    r.in_range = within(re, 300, 2e4) && within(n.collar_diameter, 6.9e-3, 13.6e-3) &&
                 within(n.hydraulic_diameter, 1.3e-3, 9.37e-3) &&
                 within(n.transverse_pitch, 20.4e-3, 31.8e-3) &&
                 within(n.longitudinal_pitch, 12.7e-3, 32e-3) &&
                 within(n.fin_pitch, 1e-3, 8.7e-3) && within(n.rows, 1, 6);
    return r;
}

JF wavy_plate_fin(const PlateFin& n, double re) noexcept {
    JF r;
    if (n.collar_diameter < 12e-3) {
        r.j = solve::perturbed(
            solve::Relation::wavy_plate_film,
            continued([&](double x) { return wavy_j_small(n, x); }, re, 300, 8000, -1));
        r.f = solve::perturbed(
            solve::Relation::wavy_plate_friction,
            continued([&](double x) { return wavy_f_small(n, x); }, re, 300, 8000, -1));
        r.in_range = within(re, 300, 8000) && within(n.collar_diameter, 8.58e-3, 10.38e-3) &&
                     within(n.hydraulic_diameter, 1.53e-3, 4.52e-3) &&
                     within(n.fin_pitch, 1.21e-3, 3.66e-3) && within(n.rows, 1, 6) &&
                     within(n.transverse_pitch, 25e-3, 26e-3) &&
                     within(n.longitudinal_pitch, 19.05e-3, 25.04e-3) &&
                     within(n.wave_depth, 1.18e-3, 1.68e-3);
    } else {
        r.j = solve::perturbed(
            solve::Relation::wavy_plate_film,
            continued([&](double x) { return wavy_j_large(n, x); }, re, 500, 1e4, -1));
        r.f = solve::perturbed(
            solve::Relation::wavy_plate_friction,
            continued([&](double x) { return wavy_f_large(n, x); }, re, 500, 1e4, -1));
        r.in_range = within(re, 500, 1e4) && within(n.collar_diameter, 13.6e-3, 16.85e-3) &&
                     within(n.hydraulic_diameter, 3.63e-3, 7.23e-3) &&
                     within(n.fin_pitch, 2.98e-3, 6.34e-3) && within(n.rows, 1, 6) &&
                     within(n.transverse_pitch, 31.75e-3, 38.1e-3) &&
                     within(n.longitudinal_pitch, 27.5e-3, 33e-3);
    }
    return r;
}

double strip_fin_hydraulic_diameter(const StripFin& n) noexcept {
    const double s = n.spacing, h = n.height, t = n.thickness, l = n.strip;
    return 4 * s * h * l / (2 * (s * l + h * l + t * h) + t * s);
}

JF offset_strip_fin(const StripFin& n, double re) noexcept {
    const double alpha = n.spacing / n.height;
    const double delta = n.thickness / n.strip;
    const double gamma = n.thickness / n.spacing;
    // Products of powers, written as sums of logarithms.
    using std::exp;
    const double r = log(std::max(re, 1e-9)), a = log(alpha), d = log(delta), g = log(gamma);
    JF v;
    v.j = 0.6522 * exp(-0.5403 * r - 0.1541 * a + 0.1499 * d - 0.0678 * g) *
          pow(1 + 5.269e-5 * exp(1.340 * r + 0.504 * a + 0.456 * d - 1.055 * g), 0.1);
    v.f = 9.6243 * exp(-0.7422 * r - 0.1856 * a + 0.3053 * d - 0.2659 * g) *
          pow(1 + 7.669e-8 * exp(4.429 * r + 0.920 * a + 3.767 * d + 0.236 * g), 0.1);
    v.j = solve::perturbed(solve::Relation::strip_film, v.j);
    v.f = solve::perturbed(solve::Relation::strip_friction, v.f);
    v.in_range = within(re, 120, 1e4) && within(alpha, 0.134, 0.997) &&
                 within(delta, 0.012, 0.048) && within(gamma, 0.041, 0.121);
    return v;
}

JF annular_fin(const AnnularFin& n, double re) noexcept {
    // VDI M1's C: 0.33, 0.36, 0.38 at two, three, four rows.
    const double few = n.rows < 2.5 ? 0.33 / 0.38 : (n.rows < 3.5 ? 0.36 / 0.38 : 1.0);
    const double diagonal = std::hypot(n.transverse_pitch / 2, n.longitudinal_pitch);
    const double r0 = std::max(re, 1e-9);
    JF r;
    r.j = few * 0.134 * pow(r0, -0.319) * pow(n.fin_spacing / n.fin_height, 0.2) *
          pow(n.fin_spacing / n.fin_thickness, 0.11);
    // Drop of a row: 18.93 Re^-0.316 ... G²/rho = f (4 S_l/D_h) G²/(2 rho).
    const double euler = 18.93 * pow(r0, -0.316) *
                         pow(n.transverse_pitch / n.root_diameter, -0.927) *
                         pow(n.transverse_pitch / diagonal, 0.515);
    r.f = euler * n.hydraulic_diameter / (2 * n.longitudinal_pitch);
    r.j = solve::perturbed(solve::Relation::round_fin_film, r.j);
    r.f = solve::perturbed(solve::Relation::round_fin_friction, r.f);
    r.in_range = within(re, 1000, 2e4) && n.rows >= 6;
    return r;
}

}  // namespace lapheat::exchangers
