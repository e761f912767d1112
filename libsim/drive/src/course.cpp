#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/drive/course.hpp>
#include <lapheat/solve/interpolate.hpp>
#include <lapheat/units/error.hpp>
#include <limits>
#include <numbers>
#include <utility>

#include "sizes.hpp"

namespace lapheat::drive {

namespace {

constexpr double no_limit = 1e3;  // m/s

/// Curvature against distance of one piece, as points with straight lines between.
struct Piece {
    std::vector<double> s, curvature;
    const Segment* segment = nullptr;
    [[nodiscard]] double length() const { return s.back(); }
    [[nodiscard]] double at(double x) const { return solve::between(s, curvature, x); }
};

Piece slalom_piece(const Segment& g) {
    // y = A sin(pi x / L): cones stand at x = L/2, 3L/2, ... where the weave is widest.
    Piece p;
    const double w = std::numbers::pi / g.spacing;
    const int count = 128 * g.gates;
    double s = 0;
    for (int k = 0; k <= count; ++k) {
        const double x = g.gates * g.spacing * k / count;
        const double slope = g.offset * w * std::cos(w * x);
        const double bend = -g.offset * w * w * std::sin(w * x);
        const double stretch = std::sqrt(1 + slope * slope);
        if (k > 0) {
            const double mid = w * (x - 0.5 * g.gates * g.spacing / count);
            const double mid_slope = g.offset * w * std::cos(mid);
            s += g.gates * g.spacing / count * std::sqrt(1 + mid_slope * mid_slope);
        }
        p.s.push_back(s);
        p.curvature.push_back(bend / (stretch * stretch * stretch));
    }
    return p;
}

Piece piece_of(const Segment& g, std::size_t number) {
    auto need = [&](bool good, const char* key, double value, const char* expected) {
        if (!good)
            throw Error(fmt::format("segment {}: {} {:.6g} is out of range", number, key, value),
                        expected, {}, key);
    };
    need(std::abs(g.grade) <= 0.5, "grade", g.grade, "-0.5 to 0.5");
    need(g.grip >= 0.3 && g.grip <= 1.5, "grip", g.grip, "0.3 to 1.5");
    Piece p;
    switch (g.kind) {
        case SegmentKind::braking_zone:
            need(g.end_speed > 0, "end_speed", g.end_speed, "m/s above 0");
            [[fallthrough]];
        case SegmentKind::straight:
            need(g.length > 0, "length", g.length, "m above 0");
            p = {{0, g.length}, {0, 0}};
            break;
        case SegmentKind::arc:
        case SegmentKind::box_turn: {
            need(g.radius > 1, "radius", g.radius, "m above 1");
            need(g.angle != 0, "angle", g.angle, "rad, not 0");
            need(g.transition >= 0, "transition", g.transition, "m, not negative");
            // Spirals on both sides turn half as much for their length: angle = k (round + spiral).
            const double k = std::copysign(1 / g.radius, g.angle);
            const double turn = std::abs(g.angle) * g.radius;
            const double spiral = g.kind == SegmentKind::box_turn ? turn / 3 : g.transition;
            const double round = turn - spiral;
            need(round > 0, "transition", g.transition, "m, shorter than radius times angle");
            if (spiral > 0)
                p = {{0, spiral, spiral + round, 2 * spiral + round}, {0, k, k, 0}};
            else
                p = {{0, round}, {k, k}};
            break;
        }
        case SegmentKind::slalom:
            need(g.gates >= 1, "gates", g.gates, "1 or more");
            need(g.spacing > 1, "spacing", g.spacing, "m above 1");
            need(g.offset > 0 && g.offset < g.spacing, "offset", g.offset,
                 "m above 0, below the spacing");
            p = slalom_piece(g);
            break;
    }
    p.segment = &g;
    return p;
}

/// A tridiagonal system, solved in place of `right`: `below[k]`, `at[k]`, `above[k]` of row k.
/// Without pivots (Golub & Van Loan, Matrix Computations, 4.3.6): for diagonals that outweigh their
/// rows.
void solve_tridiagonal(const std::vector<double>& below, std::vector<double> at,
                       const std::vector<double>& above, std::vector<double>& right) {
    for (std::size_t k = 1; k < at.size(); ++k) {
        const double share = below[k] / at[k - 1];
        at[k] -= share * above[k - 1];
        right[k] -= share * right[k - 1];
    }
    for (std::size_t k = at.size(); k-- > 0;) {
        if (k + 1 < at.size()) right[k] -= above[k] * right[k + 1];
        right[k] /= at[k];
    }
}

/// Second derivatives of the cubic spline through y(t): natural ends, or periodic when closed
/// (the last point is then the first again).
std::vector<double> spline_bends(const std::vector<double>& t, const std::vector<double>& y,
                                 bool closed) {
    const std::size_t n = t.size(), unknowns = closed ? n - 1 : n;
    std::vector<double> below(unknowns), at(unknowns, 1.0), above(unknowns), right(unknowns);
    for (std::size_t k = 0; k < unknowns; ++k) {
        if (!closed && (k == 0 || k == n - 1)) continue;
        const std::size_t before = k == 0 ? unknowns - 1 : k - 1;
        const double h0 = t[before + 1] - t[before], h1 = t[k + 1] - t[k];
        below[k] = h0 / 6, at[k] = (h0 + h1) / 3, above[k] = h1 / 6;
        right[k] = (y[k + 1] - y[k]) / h1 - (y[before + 1] - y[before]) / h0;
    }
    if (!closed) {
        solve_tridiagonal(below, at, above, right);
        return right;
    }
    // The corners make it a tridiagonal system and one product of two vectors (Sherman & Morrison,
    // Ann. Math. Stat. 21 (1950) 124; as in Press et al., Numerical Recipes, 2.7.2).
    const double corner = above.back(), first = below.front(), gamma = -at.front();
    std::vector<double> along(unknowns, 0.0);
    along.front() = gamma, along.back() = corner;
    at.front() -= gamma;
    at.back() -= corner * first / gamma;
    solve_tridiagonal(below, at, above, right);
    solve_tridiagonal(below, at, above, along);
    const double share = (right.front() + first / gamma * right.back()) /
                         (1 + along.front() + first / gamma * along.back());
    for (std::size_t k = 0; k < unknowns; ++k) right[k] -= share * along[k];
    right.push_back(right.front());
    return right;
}

void need_size(double length, double step) {
    if (!(length <= longest_course) || length / step > static_cast<double>(most_course_points))
        throw Error("the course is " + fmt::format("{:.6g}", length) + " m long",
                    "200 km and 50 000 steps at most", {}, "length");
}

struct Derivatives {
    double value, first, second;
};

Derivatives spline_at(const std::vector<double>& t, const std::vector<double>& y,
                      const std::vector<double>& m, std::size_t k, double u) {
    const double h = t[k + 1] - t[k], b = u / h, a = 1 - b;
    return {
        a * y[k] + b * y[k + 1] + ((a * a * a - a) * m[k] + (b * b * b - b) * m[k + 1]) * h * h / 6,
        (y[k + 1] - y[k]) / h + ((1 - 3 * a * a) * m[k] + (3 * b * b - 1) * m[k + 1]) * h / 6,
        a * m[k] + b * m[k + 1]};
}

}  // namespace

Segment straight(double length) {
    Segment s;
    s.length = length;
    return s;
}

Segment arc(double radius, double angle, double transition) {
    Segment s;
    s.kind = SegmentKind::arc;
    s.radius = radius;
    s.angle = angle;
    s.transition = transition;
    return s;
}

Segment slalom(int gates, double spacing, double offset) {
    Segment s;
    s.kind = SegmentKind::slalom;
    s.gates = gates;
    s.spacing = spacing;
    s.offset = offset;
    return s;
}

Segment box_turn(double radius, double angle) {
    Segment s = arc(radius, angle);
    s.kind = SegmentKind::box_turn;
    return s;
}

Segment braking_zone(double length, double end_speed) {
    Segment s;
    s.kind = SegmentKind::braking_zone;
    s.length = length;
    s.end_speed = end_speed;
    return s;
}

Course course_from_segments(std::string name, const std::vector<Segment>& segments, bool closed,
                            double step) {
    if (segments.empty())
        throw Error("a course needs at least one segment", "one or more segments", {}, "segments");
    if (!(step > 0)) throw Error("the course's step must be positive", "m above 0", {}, "step");
    std::vector<Piece> pieces;
    double length = 0;
    for (std::size_t k = 0; k < segments.size(); ++k) {
        pieces.push_back(piece_of(segments[k], k + 1));
        length += pieces.back().length();
    }
    need_size(length, step);
    Course c;
    c.name = std::move(name);
    c.closed = closed;
    const auto count =
        std::max<std::size_t>(4, static_cast<std::size_t>(std::lround(length / step)));
    const double ds = length / static_cast<double>(count);
    std::size_t j = 0;
    double begin = 0;
    for (std::size_t k = 0; k <= count; ++k) {
        const double s = static_cast<double>(k) * ds;
        while (j + 1 < pieces.size() && s >= begin + pieces[j].length() - 1e-9 * length)
            begin += pieces[j++].length();
        const Segment& g = *pieces[j].segment;
        double curvature = pieces[j].at(s - begin);
        // A knot on the seam of two pieces belongs to the tighter one.
        if (j > 0 && s - begin < 1e-9 * length) {
            const double before = pieces[j - 1].curvature.back();
            if (std::abs(before) > std::abs(curvature)) curvature = before;
        }
        c.distance.push_back(s);
        c.curvature.push_back(curvature);
        c.grade.push_back(g.grade);
        c.grip.push_back(g.grip);
        c.speed_limit.push_back(no_limit);
    }
    double end = 0;
    for (const Piece& p : pieces) {
        end += p.length();
        if (p.segment->kind != SegmentKind::braking_zone) continue;
        const auto k = std::min(count, static_cast<std::size_t>(std::lround(end / ds)));
        c.speed_limit[k] = std::min(c.speed_limit[k], p.segment->end_speed);
    }
    if (closed) {
        if (std::abs(c.curvature.back()) > std::abs(c.curvature.front()))
            c.curvature.front() = c.curvature.back();
        c.curvature.back() = c.curvature.front();
        c.grade.back() = c.grade.front();
        c.grip.back() = c.grip.front();
        c.speed_limit.front() = c.speed_limit.back() =
            std::min(c.speed_limit.front(), c.speed_limit.back());
    }
    return c;
}

Course course_from_points(std::string name, const std::vector<double>& x_in,
                          const std::vector<double>& y_in, bool closed, double step) {
    if (x_in.size() != y_in.size() || x_in.size() < 4)
        throw Error("a course needs at least four points with x and y", "columns of equal length",
                    {}, "x");
    if (!(step > 0)) throw Error("the course's step must be positive", "m above 0", {}, "step");
    if (x_in.size() > most_course_points)
        throw Error(fmt::format("a course of {} points", x_in.size()), "50 000 at most", {}, "x");
    std::vector<double> x = x_in, y = y_in;
    if (closed && std::hypot(x.back() - x.front(), y.back() - y.front()) > 1e-9) {
        x.push_back(x.front());
        y.push_back(y.front());
    }
    std::vector<double> t{0};
    for (std::size_t k = 1; k < x.size(); ++k) {
        const double chord = std::hypot(x[k] - x[k - 1], y[k] - y[k - 1]);
        if (!(chord > 1e-9))
            throw Error(fmt::format("row {}: the point is the same as the one before", k + 1),
                        "points apart from each other", {}, "x");
        t.push_back(t.back() + chord);
    }
    const std::vector<double> mx = spline_bends(t, x, closed), my = spline_bends(t, y, closed);
    // The line finely: distance by the speed of the parameter (Simpson), curvature at each point.
    std::vector<double> s{0}, curvature;
    constexpr int fine = 64;
    for (std::size_t k = 0; k + 1 < t.size(); ++k)
        for (int i = 0; i <= fine; ++i) {
            if (i == fine && k + 2 < t.size()) break;
            const double h = t[k + 1] - t[k], u = h * i / fine;
            const Derivatives px = spline_at(t, x, mx, k, u), py = spline_at(t, y, my, k, u);
            const double speed = std::hypot(px.first, py.first);
            curvature.push_back((px.first * py.second - py.first * px.second) /
                                (speed * speed * speed));
            if (i == fine) break;
            auto rate = [&](double at) {
                return std::hypot(spline_at(t, x, mx, k, at).first,
                                  spline_at(t, y, my, k, at).first);
            };
            const double du = h / fine;
            s.push_back(s.back() + du / 6 * (speed + 4 * rate(u + 0.5 * du) + rate(u + du)));
        }
    need_size(s.back(), step);
    Course c;
    c.name = std::move(name);
    c.closed = closed;
    const auto count =
        std::max<std::size_t>(4, static_cast<std::size_t>(std::lround(s.back() / step)));
    std::size_t j = 0;
    for (std::size_t k = 0; k <= count; ++k) {
        const double at = s.back() * static_cast<double>(k) / static_cast<double>(count);
        while (j + 2 < s.size() && s[j + 1] < at) ++j;
        const double part = (at - s[j]) / (s[j + 1] - s[j]);
        c.distance.push_back(at);
        c.curvature.push_back(curvature[j] + part * (curvature[j + 1] - curvature[j]));
        c.grade.push_back(0);
        c.grip.push_back(1);
        c.speed_limit.push_back(no_limit);
    }
    return c;
}

Course cone_course() {
    // Invented. About 820 m of start, slalom, box turns, sweeper, offsets and stop box.
    constexpr double pi = std::numbers::pi;
    std::vector<Segment> s{straight(30),       slalom(5, 19, 1.6),     box_turn(13, pi / 2),
                           straight(45),       arc(38, -pi * 0.75, 8), straight(25),
                           slalom(4, 22, 2.4), box_turn(10, pi),       straight(70),
                           arc(26, pi / 2, 8), straight(18),           arc(22, -pi / 2, 8),
                           slalom(6, 18, 1.4), box_turn(12, -pi / 2),  braking_zone(50, 6)};
    return course_from_segments("cone course", s, false, 0.5);
}

Course road_circuit() {
    // Invented. Twelve bends, one long straight, a rise and a fall.
    constexpr double pi = std::numbers::pi;
    auto on = [](Segment s, double grade) {
        s.grade = grade;
        return s;
    };
    std::vector<Segment> s{
        straight(620),          arc(48, pi / 2, 12),      straight(110),
        arc(90, -pi / 3, 20),   on(straight(240), 0.04),  arc(60, pi / 2, 20),
        on(straight(90), 0.03), arc(24, pi * 0.9, 12),    straight(160),
        arc(55, -pi / 2, 20),   arc(42, pi / 2, 12),      on(straight(330), -0.035),
        arc(130, pi / 3, 20),   on(straight(150), -0.03), arc(35, -pi * 0.4, 12),
        straight(70),           arc(38, pi * 0.4, 12),    straight(210),
        arc(75, pi * 0.6, 20)};
    return course_from_segments("road circuit", s, true, 1.0);
}

std::span<const NamedCourse> our_courses() {
    static constexpr NamedCourse courses[] = {{"cone_course", cone_course},
                                              {"road_circuit", road_circuit}};
    return courses;
}

}  // namespace lapheat::drive
