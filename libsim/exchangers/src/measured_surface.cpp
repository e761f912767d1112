#include "lapheat/exchangers/measured_surface.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/units/error.hpp"

namespace lapheat::exchangers {
namespace {

template <double SurfacePoint::*value>
solve::MonotoneCubic curve_of(const std::vector<SurfacePoint>& points) {
    std::vector<double> x, y;
    for (const SurfacePoint& p : points) {
        x.push_back(std::log(p.reynolds));
        y.push_back(std::log(p.*value));
    }
    return {std::move(x), std::move(y)};
}

const std::vector<SurfacePoint>& checked(const std::vector<SurfacePoint>& points) {
    const auto refuse = [](const char* what) {
        throw Error(what, "four points or more of Re, j and f, all above zero, Re rising", {},
                    "surface");
    };
    if (points.size() < 4) refuse("a measured surface of fewer than four points");
    for (std::size_t i = 0; i < points.size(); ++i) {
        const SurfacePoint& p = points[i];
        if (!(p.reynolds > 0 && p.j > 0 && p.f > 0) || !std::isfinite(p.reynolds * p.j * p.f))
            refuse("a point of a measured surface is not above zero");
        if (i > 0 && p.reynolds <= points[i - 1].reynolds)
            refuse("the Reynolds numbers of a measured surface do not rise");
    }
    return points;
}

}  // namespace

MeasuredSurface::MeasuredSurface(const std::vector<SurfacePoint>& points)
    : log_j_(curve_of<&SurfacePoint::j>(checked(points))),
      log_f_(curve_of<&SurfacePoint::f>(points)),
      least_(points.front().reynolds),
      most_(points.back().reynolds) {}

double MeasuredSurface::at(const solve::MonotoneCubic& curve, double log_re) const {
    const double low = std::log(least_), high = std::log(most_);
    const double end = std::clamp(log_re, low, high);
    if (end == log_re) return std::exp(curve(log_re));
    // The slope over the last twentieth of a decade towards the end.
    const double inside = end == low ? low + 0.1 : high - 0.1;
    const double slope = std::clamp((curve(inside) - curve(end)) / (inside - end), -1.0, 0.0);
    return std::exp(curve(end) + slope * (log_re - end));
}

JF MeasuredSurface::operator()(double reynolds) const {
    const double x = std::log(std::max(reynolds, 1e-9));
    return {at(log_j_, x), at(log_f_, x), reynolds >= least_ && reynolds <= most_};
}

const std::vector<SurfacePoint>& flat_tube_surface(ContinuousFin fin, bool staggered) {
    static const std::vector<SurfacePoint> plain{
        {400, 0.0115, 0.0463},   {500, 0.00982, 0.0376},  {600, 0.00861, 0.0321},
        {800, 0.00701, 0.0256},  {1000, 0.006, 0.0219},   {1200, 0.00536, 0.0196},
        {1500, 0.00477, 0.0174}, {2000, 0.00427, 0.0155}, {2500, 0.00411, 0.0142},
        {3000, 0.00405, 0.0133}, {4000, 0.00385, 0.0122}, {5000, 0.00369, 0.0116},
        {6000, 0.00359, 0.0113}, {8000, 0.00339, 0.0108}, {10000, 0.00326, 0.0106}};
    static const std::vector<SurfacePoint> ruffled{
        {400, 0.01128, 0.055},   {500, 0.01, 0.047},      {600, 0.0092, 0.0422},
        {800, 0.00832, 0.0366},  {1000, 0.00772, 0.0333}, {1200, 0.00727, 0.0309},
        {1500, 0.00676, 0.0284}, {2000, 0.00615, 0.0255}, {2500, 0.00573, 0.0238},
        {3000, 0.00543, 0.0228}, {4000, 0.00498, 0.0217}, {5000, 0.00468, 0.0208},
        {6000, 0.00445, 0.0201}, {8000, 0.00412, 0.0191}, {10000, 0.0039, 0.0183}};
    static const std::vector<SurfacePoint> ruffled_staggered{
        {400, 0.0163, 0.0652},   {500, 0.0142, 0.0565},   {600, 0.0127, 0.0505},
        {800, 0.0108, 0.0429},   {1000, 0.00968, 0.0384}, {1200, 0.00892, 0.0353},
        {1500, 0.00816, 0.0323}, {2000, 0.00739, 0.029},  {2500, 0.0069, 0.0269},
        {3000, 0.00655, 0.0253}, {4000, 0.00602, 0.0232}, {5000, 0.00563, 0.0218},
        {6000, 0.00533, 0.0207}, {8000, 0.00468, 0.0192}, {10000, 0.00453, 0.018}};
    if (fin == ContinuousFin::plain) return plain;
    return staggered ? ruffled_staggered : ruffled;
}

}  // namespace lapheat::exchangers
