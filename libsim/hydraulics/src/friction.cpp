#include "lapheat/hydraulics/friction.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {

double colebrook(double reynolds, double relative_roughness) {
    // Newton on x = 1/√f from the explicit form of Haaland (1983); the function is convex and
    // nearly straight in x, so four steps reach rounding.
    const double a = relative_roughness / 3.7, b = 2.51 / reynolds, k = 2 / std::log(10.0);
    double x = -1.8 * std::log10(std::pow(a, 1.11) + 6.9 / reynolds);
    for (int i = 0; i < 8; ++i) {
        const double inside = a + b * x;
        const double step = (x + k * std::log(inside)) / (1 + k * b / inside);
        x -= step;
        if (std::abs(step) <= 1e-15 * x) break;
    }
    return 1 / (x * x);
}

namespace {

/// f·Re² and its slope for Re ≥ turbulent_start. With x = 1/√f: differentiating the Colebrook
/// equation gives dx/dRe = (k·b·x/Re)/(inside + k·b), b = 2.51/Re.
Loss turbulent(double reynolds, double relative_roughness) {
    const double f = colebrook(reynolds, relative_roughness), x = 1 / std::sqrt(f);
    const double b = 2.51 / reynolds, k = 2 / std::log(10.0);
    const double inside = relative_roughness / 3.7 + b * x;
    const double slope_x = k * b * x / reynolds / (inside + k * b);
    const double value = solve::perturbed(solve::Relation::pipe_friction, f * reynolds * reynolds);
    return {value, 2 * value / reynolds - 2 * value * slope_x / x};
}

struct Point {
    double x, value, slope;
};

LossCurve::Segment hermite(const Point& l, const Point& r) {
    const double h = r.x - l.x, secant = (r.value - l.value) / h;
    return {l.value, l.slope, (3 * secant - 2 * l.slope - r.slope) / h,
            (l.slope + r.slope - 2 * secant) / (h * h)};
}

Loss friction_times_square(double reynolds, double relative_roughness) {
    constexpr auto friction = solve::Relation::pipe_friction;
    if (reynolds <= laminar_end)
        return {solve::perturbed(friction, 64 * reynolds), solve::perturbed(friction, 64.0)};
    if (reynolds >= turbulent_start) return turbulent(reynolds, relative_roughness);
    const Loss end = turbulent(turbulent_start, relative_roughness);
    const auto c =
        hermite({laminar_end, 64 * laminar_end, 64}, {turbulent_start, end.value, end.slope});
    const double t = reynolds - laminar_end;
    return {c[0] + t * (c[1] + t * (c[2] + t * c[3])), c[1] + t * (2 * c[2] + t * 3 * c[3])};
}

/// Joins points that lie on the starts of consecutive slots. Slopes are limited after Fritsch &
/// Carlson (1980), so that the curve rises wherever the points do.
LossCurve join(std::vector<Point> points) {
    for (std::size_t i = 0; i + 1 < points.size(); ++i) {
        const double secant =
            (points[i + 1].value - points[i].value) / (points[i + 1].x - points[i].x);
        points[i].slope = std::clamp(points[i].slope, 0.0, 3 * secant);
        points[i + 1].slope = std::clamp(points[i + 1].slope, 0.0, 3 * secant);
    }
    LossCurve curve;
    curve.base = LossCurve::slot(points.front().x);
    const Point& first = points.front();
    const Point& last = points.back();
    // Below: a·x + b·x² that meets value and slope, where neither is negative.
    const double b = std::clamp((first.slope * first.x - first.value) / (first.x * first.x), 0.0,
                                first.value / (first.x * first.x));
    curve.segments.push_back({0, first.value / first.x - b * first.x, b, 0});
    for (std::size_t i = 0; i + 1 < points.size(); ++i)
        curve.segments.push_back(hermite(points[i], points[i + 1]));
    // Above: the slope goes on rising in proportion to x, as in fully rough flow.
    curve.segments.push_back({last.value, last.slope, last.slope / (2 * last.x), 0});
    return curve;
}

}  // namespace

double darcy_friction(double reynolds, double relative_roughness) {
    return friction_times_square(reynolds, relative_roughness).value / (reynolds * reynolds);
}

LossCurve pipe_curve(double relative_roughness) {
    constexpr double most = 1 << 27;
    std::vector<Point> points;
    const std::int64_t end = LossCurve::slot(most);
    for (std::int64_t n = LossCurve::slot(laminar_end); n <= end; ++n) {
        const double re = LossCurve::start(n);
        const Loss loss = friction_times_square(re, relative_roughness);
        points.push_back({re, loss.value, loss.slope});
    }
    return join(std::move(points));
}

LossCurve sampled_curve(const std::function<double(double)>& pressure_loss, double density,
                        double viscosity, double least, double most) {
    if (!(density > 0 && viscosity > 0 && least > 0 && most > least))
        throw Error("a loss curve needs a range of flows to be sampled over",
                    "density, viscosity and flows above zero, the greatest above the least");
    const double scale = density / (viscosity * viscosity);
    const std::int64_t begin = LossCurve::slot(least / viscosity);
    const std::int64_t end = LossCurve::slot(most / viscosity) + 1;
    std::vector<Point> points;
    for (std::int64_t n = begin; n <= end; ++n) {
        const double x = LossCurve::start(n), step = 1e-4 * x;
        const auto phi = [&](double at) { return scale * pressure_loss(at * viscosity); };
        points.push_back({x, phi(x), (phi(x + step) - phi(x - step)) / (2 * step)});
        const bool rises = points.size() == 1 || points.back().value > points.end()[-2].value;
        if (!(points.back().value > 0) || !rises)
            throw Error("the pressure loss of a passage does not rise with its flow",
                        "a loss that is positive and rises with flow");
    }
    return join(std::move(points));
}

}  // namespace lapheat::hydraulics
