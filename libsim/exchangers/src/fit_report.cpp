#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "fit_detail.hpp"
#include "words.hpp"

namespace lapheat::exchangers {
namespace {

struct SeenRange {
    double least = 1e300, most = 0;
    void add(double x) {
        least = std::min(least, x);
        most = std::max(most, x);
    }
    [[nodiscard]] double ratio() const { return most / least; }
};

/// Level and power of one side's drop by least squares of the logarithms; returns the rms left.
double fit_drop(Side& side, const std::vector<double>& reynolds, const std::vector<double>& ratio) {
    const auto n = static_cast<double>(ratio.size());
    if (ratio.empty()) return 0;
    SeenRange range;
    double mean_x = 0, mean_y = 0;
    for (std::size_t i = 0; i < ratio.size(); ++i) {
        range.add(reynolds[i]);
        mean_x += std::log(reynolds[i]) / n;
        mean_y += std::log(ratio[i]) / n;
    }
    double slope = 0;
    if (ratio.size() >= 3 && range.ratio() >= 1.5) {
        double xx = 0, xy = 0;
        for (std::size_t i = 0; i < ratio.size(); ++i) {
            const double x = std::log(reynolds[i]) - mean_x;
            xx += x * x;
            xy += x * (std::log(ratio[i]) - mean_y);
        }
        slope = xy / xx;
    }
    double sum = 0;
    for (std::size_t i = 0; i < ratio.size(); ++i) {
        const double e = std::log(ratio[i]) - mean_y - slope * (std::log(reynolds[i]) - mean_x);
        sum += e * e / n;
    }
    // The new power turns about the side's own reference, which a power of heat may use too.
    side.drop_tilt += slope;
    side.drop_factor *= std::exp(mean_y - slope * (mean_x - std::log(side.tilt_reynolds)));
    return std::sqrt(sum);
}

}  // namespace

void fit_drops(FitResult& result, const Medium& first, const Medium& second,
               const std::vector<FitPoint>& points) {
    std::vector<double> re1, ratio1, re2, ratio2;
    for (const FitPoint& p : points) {
        if (p.first_drop <= 0 && p.second_drop <= 0) continue;
        const RatedOperation r = rate(result.core, first, second, p.duty);
        const auto reynolds = [](const Side& s, const StreamInput& f) {
            return std::abs(f.mass_flow) * s.hydraulic_diameter /
                   (s.flow_area * f.properties.viscosity);
        };
        if (p.first_drop > 0 && r.operation.first_pressure_drop > 0) {
            re1.push_back(reynolds(result.core.first, r.first));
            ratio1.push_back(p.first_drop / r.operation.first_pressure_drop);
        }
        if (p.second_drop > 0 && r.operation.second_pressure_drop > 0) {
            re2.push_back(reynolds(result.core.second, r.second));
            ratio2.push_back(p.second_drop / r.operation.second_pressure_drop);
        }
    }
    result.first_drop_rms = fit_drop(result.core.first, re1, ratio1);
    result.second_drop_rms = fit_drop(result.core.second, re2, ratio2);
}

namespace {

/// One flow stood still, the other did not move the heat enough.
std::string steady_flow(const std::string& still, const std::string& other, double ratio) {
    return "The " + still + " flow is nearly the same at all points (within a factor of " +
           text(ratio) + ") and the " + other +
           " flow did not change the heat enough: the data cannot tell the " + still +
           " side from the " + other + " side. Measure at two or more " + still +
           " flows a factor of two apart.";
}

/// Why the points could not part the two sides.
std::string inseparable(const FitResult& result, const std::string& first,
                        const std::string& second, const std::vector<FitPoint>& points) {
    const std::size_t asked = result.parameters.size() - 1;
    if (points.size() < asked)
        return fmt::format(
            "{} point(s) cannot fix {} unknowns; the data give the total conductance only.",
            points.size(), asked);
    SeenRange flow1, flow2;
    for (const FitPoint& p : points) {
        flow1.add(p.duty.first_flow);
        flow2.add(p.duty.second_flow);
    }
    const bool narrow1 = flow1.ratio() < 1.25, narrow2 = flow2.ratio() < 1.25;
    if (narrow1 && narrow2)
        return "Both flows are nearly the same at all points (" + first + " within a factor of " +
               text(flow1.ratio()) + ", " + second + " " + text(flow2.ratio()) +
               "): the data give the total conductance, but cannot tell the " + second +
               " side from the " + first + " side. Measure at two or more " + second +
               " flows a factor of two apart.";
    if (narrow2) return steady_flow(second, first, flow2.ratio());
    if (narrow1) return steady_flow(first, second, flow1.ratio());
    return "The flows vary, but the heat changes too little with them against its errors to tell "
           "the " +
           second + " side from the " + first + " side.";
}

/// Parameters that only their combination is known of.
void tell_ties(FitResult& result) {
    const std::size_t asked = result.parameters.size() - 1;
    for (std::size_t i = 0; i < asked; ++i)
        for (std::size_t j = i + 1; j < asked; ++j) {
            const double c = result.correlation[i * asked + j];
            if (std::abs(c) > 0.95)
                result.findings.push_back("The " + result.parameters[i + 1].name + " and the " +
                                          result.parameters[j + 1].name +
                                          " are strongly tied (correlation " + text(c) +
                                          "): their combination is better known than either.");
        }
}

}  // namespace

void explain(FitResult& result, bool second_is_air, const std::vector<FitPoint>& points) {
    auto& say = result.findings;
    if (!result.separable && result.parameters.size() > 1) {
        say.push_back(inseparable(result, second_is_air ? "liquid" : "first liquid",
                                  second_is_air ? "air" : "second liquid", points));
        say.emplace_back(
            "One factor was fitted to the total conductance; the split of the resistances is "
            "that of the core the fit started from.");
    }
    for (std::size_t i = 1; i < result.parameters.size(); ++i) {
        const FitParameter& p = result.parameters[i];
        if (p.determined) continue;
        say.push_back("The " + p.name + " is not determined by the points" +
                      (std::isfinite(p.relative_error)
                           ? " (standard error " + text(100 * p.relative_error) + " %)."
                           : "."));
    }
    if (result.separable) tell_ties(result);
    if (result.degrees_of_freedom > 0 && result.chi_squared > 2.5 * result.degrees_of_freedom) {
        say.push_back("The points scatter " +
                      text(std::sqrt(result.chi_squared / result.degrees_of_freedom)) +
                      " times as much as their stated errors: errors are understated, a point is "
                      "wrong, or the "
                      "core follows another law of flow. The intervals are widened accordingly.");
    }
    const auto worst =
        std::max_element(result.residual.begin(), result.residual.end(),
                         [](double a, double b) { return std::abs(a) < std::abs(b); });
    const auto n = static_cast<double>(points.size());
    const double rest =
        std::sqrt((n * result.rms * result.rms - result.worst * result.worst) / (n - 1));
    if (n >= 5 && result.worst > 0.05 && !(result.worst < 4 * rest)) {
        say.push_back(fmt::format("Point {} is off by {} %, far more than the rest: check it.",
                                  worst - result.residual.begin() + 1, text(100 * *worst)));
    }
}

std::vector<std::string> describe_fit(const FitResult& fit, double confidence) {
    std::vector<std::string> out;
    out.push_back(fmt::format("Fitted to {}{}: largest misfit {} %, mean {} %.",
                              fit.residual.size(),
                              (fit.residual.size() == 1 ? " point" : " points"),
                              text(100 * fit.worst), text(100 * fit.rms)));
    for (const FitParameter& p : fit.parameters) {
        const std::string unit = p.unit == "-" ? "" : " " + p.unit;
        const std::string value =
            "Fitted " + p.name + " at the first point: " + text(p.value) + unit;
        if (!fit.separable && &p != &fit.parameters.front()) {
            out.push_back(value + ", by the split that was assumed; the points do not tell it.");
        } else if (std::isfinite(p.lower) && std::isfinite(p.upper)) {
            out.push_back(value + " (" + text(100 * confidence) + " % interval " + text(p.lower) +
                          " to " + text(p.upper) + ").");
        } else {
            out.push_back(value + "; too few points for an interval.");
        }
    }
    out.insert(out.end(), fit.findings.begin(), fit.findings.end());
    return out;
}

Envelope envelope_of(const std::vector<FitPoint>& points) {
    SeenRange first, second;
    for (const FitPoint& p : points) {
        first.add(std::abs(p.duty.first_flow));
        second.add(std::abs(p.duty.second_flow));
    }
    return {first.least / 2, first.most * 2, second.least / 2, second.most * 2, 1e9};
}

Core fitted_core(const Core& start, const Medium& first, const Medium& second,
                 const std::vector<FitPoint>& points, const FitOptions& options) {
    FitResult fit = fit_core(start, first, second, points, options);
    Core core = std::move(fit.core);
    const std::vector<std::string> found = describe_fit(fit, options.confidence);
    core.assumptions.insert(core.assumptions.end(), found.begin(), found.end());
    core.envelope = envelope_of(points);
    const FitParameter& total = fit.parameters.front();
    const double interval =
        std::isfinite(total.upper) ? std::log(total.upper / total.value) : start.uncertainty;
    core.uncertainty = std::max({fit.worst, interval, 0.03});
    // What was measured is both films together.
    core.levels.first_film = core.levels.second_film = exact_level;
    core.levels.conductance = conductance_level(core.uncertainty);
    if (std::any_of(points.begin(), points.end(),
                    [](const FitPoint& p) { return p.second_drop > 0; }))
        core.levels.second_loss = {1, 0.95, 1.05, "drops measured on this core"};
    return core;
}

}  // namespace lapheat::exchangers
