// The kinds of segments of a cycle, and what makes each.
#pragma once

#include <optional>

#include "read_parts.hpp"

namespace lapheat::scenario {

/// What a cycle file needs to be read by another: how deep it stands, and where its text goes.
struct Nest {
    const drive::Vehicle& vehicle;
    Problems& problems;
    bool drivable;  ///< the car has no errors, so that laps can be solved with it
    int depth;
    std::vector<SourceFile>* files;
    std::vector<Assumption>* assumptions;
    std::vector<StatedDoubt>* doubts;
    FilePlace* air_conditioning;  ///< where it is first asked for, if anybody wants to know
    int* left;                    ///< segments that may still be read, over all files
};

/// What of its surroundings a segment brings along.
struct OwnSurroundings {
    bool altitude = false, ambient = false;
};

/// What a segment is made of beside its own keys.
struct SegmentContext {
    Reader& root;  ///< of the cycle's file
    const Nest& nest;
    const drive::Surroundings& around;
    OwnSurroundings& own;  ///< filled by those that have a table of their own
};

/// A kind of segment. What it makes is empty when something is wrong, which is then among the
/// problems.
using MakeSegment = std::optional<drive::Cycle> (*)(Reader&, const SegmentContext&);

/// Weather: of a cycle, and of a segment that has its own.
extern const Table weather_table;
drive::Surroundings read_weather(Reader& r, const drive::Surroundings& usual);
bool has_weather(const Reader& r);

/// Key `air_conditioning`, of all kinds but a cycle, which brings its own.
extern const Table compressor_table;

// read_cycle_table.cpp
extern const Table table_segment;
std::optional<drive::Cycle> make_table(Reader& r, const SegmentContext& context);

// read_cycle_log.cpp
extern const Table log_segment;
std::optional<drive::Cycle> make_log(Reader& r, const SegmentContext& context);

// read_course.cpp: laps, and the courses they are driven on; course_tables are keys of the file
extern const Table laps_segment, course_tables;
std::optional<drive::Cycle> make_laps(Reader& r, const SegmentContext& context);
/// Takes the keys of courses as known where no segment asked for them.
void ignore_course(Reader& root);

}  // namespace lapheat::scenario
