#include "lapheat/exchangers/measured_surface.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/solve/interpolate.hpp"
#include "lapheat/solve/relation.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::exchangers {
namespace {

template <double SurfacePoint::*value>
std::vector<double> logarithms(const std::vector<SurfacePoint>& points) {
    std::vector<double> y;
    for (const SurfacePoint& p : points) y.push_back(std::log(p.*value));
    return y;
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

std::vector<SurfacePoint> built_in(std::vector<SurfacePoint> points) {
    for (SurfacePoint& p : points) {
        p.j = solve::perturbed(solve::Relation::flat_tube_film, p.j);
        p.f = solve::perturbed(solve::Relation::flat_tube_friction, p.f);
    }
    return points;
}

}  // namespace

MeasuredSurface::MeasuredSurface(const std::vector<SurfacePoint>& points)
    : log_re_(logarithms<&SurfacePoint::reynolds>(checked(points))),
      log_j_(logarithms<&SurfacePoint::j>(points)),
      log_f_(logarithms<&SurfacePoint::f>(points)) {}

double MeasuredSurface::least() const { return std::exp(log_re_.front()); }
double MeasuredSurface::most() const { return std::exp(log_re_.back()); }

double MeasuredSurface::at(const std::vector<double>& curve, double log_re) const {
    const std::size_t last = log_re_.size() - 1;
    if (log_re >= log_re_.front() && log_re <= log_re_.back())
        return std::exp(solve::between(log_re_, curve, log_re));
    const std::size_t end = log_re < log_re_.front() ? 0 : last;
    const std::size_t next = end == 0 ? 1 : last - 1;
    const double slope =
        std::clamp((curve[next] - curve[end]) / (log_re_[next] - log_re_[end]), -1.0, 0.0);
    return std::exp(curve[end] + slope * (log_re - log_re_[end]));
}

JF MeasuredSurface::operator()(double reynolds) const {
    const double x = std::log(std::max(reynolds, 1e-9));
    return {at(log_j_, x), at(log_f_, x), x >= log_re_.front() && x <= log_re_.back()};
}

const std::vector<SurfacePoint>& flat_tube_surface(ContinuousFin fin, bool staggered) {
    static const std::vector<SurfacePoint> plain = built_in({{400, 0.0115, 0.0463},
                                                             {500, 0.00982, 0.0376},
                                                             {600, 0.00861, 0.0321},
                                                             {800, 0.00701, 0.0256},
                                                             {1000, 0.006, 0.0219},
                                                             {1200, 0.00536, 0.0196},
                                                             {1500, 0.00477, 0.0174},
                                                             {2000, 0.00427, 0.0155},
                                                             {2500, 0.00411, 0.0142},
                                                             {3000, 0.00405, 0.0133},
                                                             {4000, 0.00385, 0.0122},
                                                             {5000, 0.00369, 0.0116},
                                                             {6000, 0.00359, 0.0113},
                                                             {8000, 0.00339, 0.0108},
                                                             {10000, 0.00326, 0.0106}});
    static const std::vector<SurfacePoint> ruffled = built_in({{400, 0.01128, 0.055},
                                                               {500, 0.01, 0.047},
                                                               {600, 0.0092, 0.0422},
                                                               {800, 0.00832, 0.0366},
                                                               {1000, 0.00772, 0.0333},
                                                               {1200, 0.00727, 0.0309},
                                                               {1500, 0.00676, 0.0284},
                                                               {2000, 0.00615, 0.0255},
                                                               {2500, 0.00573, 0.0238},
                                                               {3000, 0.00543, 0.0228},
                                                               {4000, 0.00498, 0.0217},
                                                               {5000, 0.00468, 0.0208},
                                                               {6000, 0.00445, 0.0201},
                                                               {8000, 0.00412, 0.0191},
                                                               {10000, 0.0039, 0.0183}});
    static const std::vector<SurfacePoint> ruffled_staggered = built_in({{400, 0.0163, 0.0652},
                                                                         {500, 0.0142, 0.0565},
                                                                         {600, 0.0127, 0.0505},
                                                                         {800, 0.0108, 0.0429},
                                                                         {1000, 0.00968, 0.0384},
                                                                         {1200, 0.00892, 0.0353},
                                                                         {1500, 0.00816, 0.0323},
                                                                         {2000, 0.00739, 0.029},
                                                                         {2500, 0.0069, 0.0269},
                                                                         {3000, 0.00655, 0.0253},
                                                                         {4000, 0.00602, 0.0232},
                                                                         {5000, 0.00563, 0.0218},
                                                                         {6000, 0.00533, 0.0207},
                                                                         {8000, 0.00468, 0.0192},
                                                                         {10000, 0.00453, 0.018}});
    if (fin == ContinuousFin::plain) return plain;
    return staggered ? ruffled_staggered : ruffled;
}

}  // namespace lapheat::exchangers
