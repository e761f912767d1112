// A course: the line the car follows, as curvature against distance.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace lapheat::drive {

enum class SegmentKind { straight, arc, slalom, box_turn, braking_zone };

/// One piece of a course. Lengths in m, angles in rad, positive turns left.
struct Segment {
    SegmentKind kind = SegmentKind::straight;
    double length = 0;      ///< m: straight, braking_zone
    double radius = 0;      ///< m: arc, box_turn
    double angle = 0;       ///< rad: arc; box_turn (pi/2 or pi usual)
    double transition = 0;  ///< m: arc, length of a spiral before and after, within `angle`
    int gates = 0;          ///< slalom: cones passed
    double spacing = 0;     ///< m: slalom, between cones
    double offset = 0;      ///< m: slalom, half the width of the weave
    double end_speed = 0;   ///< m/s: braking_zone, not faster than this at its end
    double grade = 0;       ///< rise over run
    double grip = 1;        ///< factor on the car's grip: 0.3 to 1.5
};

Segment straight(double length);
Segment arc(double radius, double angle, double transition = 0);
/// Weave past `gates` cones: y = offset sin(pi x / spacing), its curvature with distance.
Segment slalom(int gates, double spacing, double offset);
/// A tight turn between cones, entered and left on spirals each half as long as its round part.
Segment box_turn(double radius, double angle);
Segment braking_zone(double length, double end_speed);

/// A course cut into equal steps of distance, values at the knots.
struct Course {
    std::string name;
    bool closed = false;              ///< the end is the start; driven flying
    std::vector<double> distance;     ///< m, from 0, equal steps
    std::vector<double> curvature;    ///< 1/m, positive left
    std::vector<double> grade;        ///< rise over run
    std::vector<double> grip;         ///< factor on the car's grip
    std::vector<double> speed_limit;  ///< m/s, large where there is none
    double entry_speed = 0;           ///< m/s, start of an open course
    [[nodiscard]] double length() const { return distance.empty() ? 0 : distance.back(); }
};

/// Lays segments end to end with knots about every `step` m. Throws Error naming the segment
/// (from 1) when a value is missing or out of range.
Course course_from_segments(std::string name, const std::vector<Segment>& segments, bool closed,
                            double step = 0.5);

/// Through points (m). Curvature of the periodic (closed) or natural cubic spline over chord
/// length, cut every `step` m. At least 4 points, no two the same.
Course course_from_points(std::string name, const std::vector<double>& x,
                          const std::vector<double>& y, bool closed, double step = 1.0);

/// Two courses of our own invention (no real place): a run between cones, 45 to 60 s in a
/// quick road car, and a road circuit of some 3 km.
Course cone_course();
Course road_circuit();

/// One of them by the word that files have for it.
struct NamedCourse {
    std::string_view word;
    Course (*make)();
};
[[nodiscard]] std::span<const NamedCourse> our_courses();

}  // namespace lapheat::drive
