// The air path of one placement: opening, stack of cores, fans, way out; and its operating point.
//
//   ambient --inlet--> front plenum --columns--> [shroud --fans, gap, flaps-->] bay --exit-->
//   ambient
//
// Cores are rectangles on one face plane, listed from upstream to downstream, so series, partly
// overlapping and side-by-side cores are one and the same thing. make_path() cuts the face into
// columns: all area that lies behind the same cores and the same shroud. Where cores touch, air
// of one column stays in it; where a gap is left, it also flows sideways through the gap from
// column to column. Seal leaks run beside the cores. Fans and ram are solved together.
//
// Every branch's drop grows with its flow, so there is one solution (solve/flow_network.hpp finds
// it, as for liquids). A fan curve with a stall dip is the exception and is reported.
#pragma once

#include <cstddef>
#include <vector>

#include <lapheat/airflow/fan.hpp>
#include <lapheat/airflow/resistance.hpp>
#include <lapheat/solve/flow_network.hpp>

namespace lapheat::airflow {

/// A rectangle on the face plane, m. Any origin, the same for all parts of one path.
struct Rectangle {
    double x = 0, y = 0, width = 0, height = 0;
    [[nodiscard]] double area() const { return width * height; }
};

struct PathCore {
    Rectangle face;
    Resistance resistance;       ///< over the whole face
    double open_fraction = 0.8;  ///< free-flow area / face area (sigma), for the acceleration term
    double gap_behind = 0;       ///< m to the next core; 0: sealed round the edge, no flow sideways
    double rise = 0;             ///< m the air climbs inside the core (leaning or lying cores)
};

/// A shroud: what the fans in it draw from (puller) or blow onto (pusher).
struct Shroud {
    Rectangle cover;
    std::vector<std::size_t> fans;  ///< indices into PathDescription::fans
    bool pusher = false;            ///< ahead of the cores
    double gap_area = 0;            ///< m^2 of slot past the fans, both ways
    double flap_area = 0;           ///< m^2 of flaps that open for ram and close against the fan
};

/// Pressure coefficients on the dynamic pressure of the air speed, and the openings' losses.
struct Opening {
    double coefficient = 0;         ///< Cp with the air from ahead
    double coefficient_behind = 0;  ///< Cp with the air from behind (wind faster than the car)
    std::vector<Loss> losses;       ///< in series
};

struct PathDescription {
    Opening inlet{.coefficient = 0.8, .coefficient_behind = -0.2, .losses = {}};
    Opening exit{.coefficient = -0.1, .coefficient_behind = 0.1, .losses = {}};
    std::vector<PathCore> cores;  ///< upstream first
    std::vector<Fan> fans;
    std::vector<Shroud> shrouds;  ///< covers must not overlap
    double leak_area = 0;         ///< m^2 of gaps around the cores, front plenum to bay
    double bay_rise = 0;          ///< m the air climbs from the cores to the exit
};

/// One core crossed by one column.
struct Passage {
    std::size_t core = 0, column = 0;
    double area = 0;           ///< m^2
    double core_fraction = 0;  ///< share of the core's face
    int upstream = -1;         ///< passage just ahead in the column; -1: the inlet
    int downstream = -1;       ///< passage just behind; -1: none
};

struct FaceColumn {
    double area = 0;                              ///< m^2
    int shroud = -1;                              ///< -1: straight to the bay
    std::size_t first_passage = 0, passages = 0;  ///< consecutive in Path::passages
};

/// A way sideways through the gap between two cores, from just ahead of one passage to just ahead
/// of another of the same core.
struct GapLink {
    std::size_t from = 0, to = 0;  ///< passages
    double area = 0;               ///< m^2: gap times length of the columns' common edge
};

/// A branch of the network: what it is, its nodes (-1 is ambient), and where its data stand.
struct PathBranch {
    enum class Kind { inlet, exit, leak, segment, fan, gap, flap, link } kind = Kind::inlet;
    int from = -1, to = -1;
    std::size_t index = 0;     ///< shroud, fan or link; a segment's first passage
    std::size_t passages = 0;  ///< of a segment: passages in series with no gap between
    double quadratic = 0;      ///< 1/m^4, of openings, gaps and links
};

/// The compiled path: immutable, shared by threads.
struct Path {
    PathDescription description;
    std::vector<FaceColumn> columns;
    std::vector<Passage> passages;
    std::vector<GapLink> links;
    std::vector<double> core_area;        ///< m^2, each core's face
    std::vector<std::size_t> fan_branch;  ///< index into branches of each fan
    std::vector<std::size_t> fan_twin;    ///< first fan of the same shroud with the same data
    std::vector<PathBranch> branches;     ///< inlet first, exit second
    std::size_t nodes = 0;
};

/// Cuts the face into columns and checks everything. Throws Error.
Path make_path(PathDescription description);

/// A fan without a shroud: a square of the fan's disc area centred in `behind`, and a slot of
/// `distance` (m) all round the rotor's rim through which it draws air that no core cooled.
Shroud bare_fan(const Fan& fan, std::size_t index, const Rectangle& behind, double distance);

/// What the path is asked with. Temperatures are the last known ones; densities follow from them
/// at ambient pressure (the pressures here are below 1 % of it).
struct PathInputs {
    double vehicle_speed = 0;      ///< m/s, >= 0
    double headwind = 0;           ///< m/s, wind against the car's direction, negative from behind
    double ambient_density = 1.2;  ///< kg/m^3
    double ambient_temperature = 293.15;  ///< K
    double viscosity = 1.81e-5;  ///< Pa s at ambient; goes with T^0.67 (White, Viscous Fluid Flow)
    double inlet_temperature = 293.15;               ///< K at the first core, see inlet.hpp
    double bay_temperature = 293.15;                 ///< K of the air that leaves
    double supply_voltage = 13.5;                    ///< V at the fans
    std::vector<double> passage_inlet_temperature;   ///< K per passage, in the flow's direction
    std::vector<double> passage_outlet_temperature;  ///< K per passage
    std::vector<double> fan_speed;  ///< fraction of full speed per fan, see fan_drive.hpp
    double tolerance = 1e-11;       ///< of flows, relative, and of pressures: change that ends it
};

/// Inputs of the right sizes: car at rest, all air at `temperature` (K), fans off.
PathInputs make_inputs(const Path& path, double ambient_density, double temperature);

/// A branch at work: drop = a m + c sqrt|m| m + b m |m| + constant, less the rise of the fan in it.
/// Used by operating_point(); of no interest outside.
struct Branch {
    double a = 0, c = 0, b = 0, constant = 0;
    double density = 1, speed = 0, level = 0;
    const Fan* fan = nullptr;
    CurveReading reading = CurveReading::upper;
};

struct PathFlow {
    std::vector<double> passage_flow;   ///< kg/s per passage, > 0 rearward
    std::vector<double> column_flow;    ///< kg/s per column, where it leaves its last core
    std::vector<double> link_flow;      ///< kg/s sideways per link
    std::vector<double> core_flow;      ///< kg/s per core
    std::vector<double> face_velocity;  ///< m/s per core: core_flow / (ambient density * face)
    std::vector<FanPoint> fans;
    double inlet_flow = 0;  ///< kg/s through the opening
    double leak_flow = 0;   ///< kg/s past the cores; < 0: bay air back to the front
    double backflow = 0;    ///< kg/s of all bay air that returns to the front plenum
    double front_pressure = 0, bay_pressure = 0;  ///< Pa above ambient
    double residual = 0;  ///< Pa, greatest unbalanced pressure of any branch
    int iterations = 0;
    bool converged = false;
    bool outside_fit = false;        ///< a core works beyond its fitted flow range
    bool possibly_multiple = false;  ///< a fan has a stall dip that may offer a second point
    std::vector<Branch> branches;
    std::vector<double> branch_flow;  ///< kg/s of each branch; the next solve starts here
    solve::FlowNetwork network;       ///< of Path::nodes, and ambient as one more
    bool warm = false;                ///< `branch_flow` and `network` hold a converged solution
};

/// Memory for a path's results, allocated once.
PathFlow make_flow(const Path& path);

/// Finds the operating point; starts from what `flow` holds of an earlier one. Does not allocate.
/// Where a fan curve has a stall dip the point with the highest flow is found, and
/// `possibly_multiple` says when another may exist.
void operating_point(const Path& path, const PathInputs& inputs, PathFlow& flow);

/// Temperature (K) of the air that enters every passage, given what leaves each passage: from the
/// inlet, from the core ahead, mixed with what comes sideways through gaps, or, where the flow is
/// reversed, from behind. Sizes as Path::passages.
void passage_inlet_temperatures(const Path& path, const PathFlow& flow, double inlet_temperature,
                                double bay_temperature,
                                const std::vector<double>& outlet_temperature,
                                std::vector<double>& inlet_temperature_of_passage);

}  // namespace lapheat::airflow
