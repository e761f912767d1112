// Columns against a stack solved finely in two dimensions.
#include "../../validation/airflow/fine_stack.hpp"

#include <catch2/catch.hpp>
#include <lapheat/airflow/path.hpp>

using namespace lapheat::airflow;
using Catch::Matchers::WithinRel;
using lapheat::validation::FineResult;
using lapheat::validation::FineStack;

namespace {

Resistance finned(double area) {
    return fit_resistance([=](double m) { return 14.5 * std::pow(m / area, 1.6); }, 0.1 * area,
                          10 * area, 1.2, 1.81e-5);
}

/// The fine stack's cores as an air path with the same pressure in front.
Path as_path(const FineStack& s) {
    PathDescription d;
    d.inlet = {.coefficient = s.front_pressure / (0.5 * s.density * 900), .losses = {}};
    d.exit = {.coefficient = 0, .losses = {}};
    const double front = (s.to - s.from) * s.height, rear = s.width * s.height;
    d.cores = {{.face = {s.from, 0, s.to - s.from, s.height},
                .resistance = finned(front),
                .gap_behind = s.gap},
               {.face = {0, 0, s.width, s.height}, .resistance = finned(rear)}};
    return make_path(d);
}

FineStack fine(double from, double to, double gap) {
    FineStack s;
    s.from = from;
    s.to = to;
    s.gap = gap;
    const Resistance law = finned(1);
    s.front_drop = [law](double flux) { return pressure_drop(law, flux, 1.2, 1.81e-5); };
    s.rear_drop = s.front_drop;
    return s;
}

/// Heat of both cores by the same transfer units, from the path's streams.
FineResult heat(const FineStack& s, const Path& path, const PathFlow& flow) {
    constexpr double cp = 1007;
    FineResult r{.front_flow = flow.core_flow[0], .rear_flow = flow.core_flow[1]};
    std::vector<double> in(path.passages.size(), s.air_temperature), out = in;
    for (int round = 0; round < 4; ++round) {
        r.front_heat = r.rear_heat = 0;
        for (std::size_t n = 0; n < path.passages.size(); ++n) {
            const bool front = path.passages[n].core == 0;
            const double m = flow.passage_flow[n];
            const double part = lapheat::validation::transfer_effectiveness(
                front ? s.front_units : s.rear_units, m / path.passages[n].area);
            const double wall = front ? s.front_temperature : s.rear_temperature;
            out[n] = in[n] + part * (wall - in[n]);
            (front ? r.front_heat : r.rear_heat) += m * cp * (out[n] - in[n]);
        }
        passage_inlet_temperatures(path, flow, s.air_temperature, 330, out, in);
    }
    return r;
}

PathFlow solved(const FineStack& s, const Path& path) {
    PathInputs in = make_inputs(path, s.density, 293.15);
    in.vehicle_speed = 30;
    PathFlow flow = make_flow(path);
    operating_point(path, in, flow);
    REQUIRE(flow.converged);
    return flow;
}

}  // namespace

TEST_CASE("cores that touch behave as sealed columns in the fine solution too") {
    const FineStack s = fine(0.15, 0.45, 0);
    const Path path = as_path(s);
    const FineResult ours = heat(s, path, solved(s, path)), theirs = solve_fine(s);
    CHECK_THAT(ours.front_flow, WithinRel(theirs.front_flow, 2e-4));
    CHECK_THAT(ours.rear_flow, WithinRel(theirs.rear_flow, 2e-4));
    CHECK_THAT(ours.front_heat, WithinRel(theirs.front_heat, 2e-4));
    CHECK_THAT(ours.rear_heat, WithinRel(theirs.rear_heat, 2e-4));
}

TEST_CASE("cores one behind the other over the whole face are a plain series") {
    const FineStack s = fine(0, 0.65, 0);
    const Path path = as_path(s);
    REQUIRE(path.columns.size() == 1);
    const FineResult ours = heat(s, path, solved(s, path)), theirs = solve_fine(s);
    CHECK_THAT(ours.rear_flow, WithinRel(ours.front_flow, 1e-12));
    CHECK_THAT(ours.rear_flow, WithinRel(theirs.rear_flow, 2e-4));
    CHECK_THAT(ours.rear_heat, WithinRel(theirs.rear_heat, 2e-4));
}

TEST_CASE("with a gap between the cores flows and heat stay near the fine solution") {
    struct {
        double from, to;
    } const covers[] = {{0.15, 0.45}, {0, 0.2}, {0.05, 0.3}};
    for (const auto& [from, to] : covers)
        for (const double gap : {0.005, 0.02, 0.05}) {
            const FineStack s = fine(from, to, gap);
            const Path path = as_path(s);
            const FineResult ours = heat(s, path, solved(s, path)), theirs = solve_fine(s);
            INFO("front core from " << from << " to " << to << " m, gap " << gap);
            CHECK_THAT(ours.front_flow, WithinRel(theirs.front_flow, 0.06));
            CHECK_THAT(ours.rear_flow, WithinRel(theirs.rear_flow, 0.015));
            CHECK_THAT(ours.front_heat, WithinRel(theirs.front_heat, 0.05));
            CHECK_THAT(ours.rear_heat, WithinRel(theirs.rear_heat, 0.03));
        }
}

TEST_CASE("a wider gap takes air from the front core and gives it to the rear one") {
    double front = 1e9, rear = 0;
    for (const double gap : {0.0, 0.003, 0.01, 0.03, 0.1}) {
        const FineStack s = fine(0.15, 0.45, gap);
        const Path path = as_path(s);
        const PathFlow flow = solved(s, path);
        CHECK(flow.core_flow[0] < front);
        CHECK(flow.core_flow[1] > rear);
        front = flow.core_flow[0];
        rear = flow.core_flow[1];
    }
}

TEST_CASE("the core behind gets warmer air only where another stands before it") {
    const FineStack s = fine(0.15, 0.45, 0);
    const Path path = as_path(s);
    const PathFlow flow = solved(s, path);
    std::vector<double> out(path.passages.size(), 330), in(out.size());
    passage_inlet_temperatures(path, flow, 300, 350, out, in);
    for (std::size_t n = 0; n < path.passages.size(); ++n)
        CHECK(in[n] == (path.passages[n].upstream < 0 ? 300 : 330));
}

TEST_CASE("air that crosses a gap mixes by its mass") {
    const FineStack s = fine(0.15, 0.45, 0.02);
    const Path path = as_path(s);
    const PathFlow flow = solved(s, path);
    std::vector<double> out(path.passages.size(), 330), in(out.size());
    passage_inlet_temperatures(path, flow, 300, 350, out, in);
    double before = 0, after = 0;
    for (std::size_t n = 0; n < path.passages.size(); ++n) {
        if (path.passages[n].core == 0) before += flow.passage_flow[n] * (330 - 300);
        if (path.passages[n].core == 1) after += flow.passage_flow[n] * (in[n] - 300);
    }
    CHECK_THAT(after, WithinRel(before, 1e-9));
}

TEST_CASE("reversed air enters the stack from behind, at the bay's temperature") {
    const FineStack s = fine(0.15, 0.45, 0);
    PathDescription d = as_path(s).description;
    d.inlet.coefficient_behind = -0.4;
    const Path path = make_path(d);
    PathInputs inputs = make_inputs(path, 1.2, 293.15);
    inputs.headwind = -20;
    PathFlow flow = make_flow(path);
    operating_point(path, inputs, flow);
    std::vector<double> out(path.passages.size(), 330), in(out.size());
    passage_inlet_temperatures(path, flow, 300, 350, out, in);
    for (std::size_t n = 0; n < path.passages.size(); ++n) {
        REQUIRE(flow.passage_flow[n] < 0);
        CHECK(in[n] == (path.passages[n].downstream < 0 ? 350 : 330));
    }
}
