// A liquid network: branches of parts in series between nodes, checked and laid out flat.
//
// describe it (NetworkDescription) → build() → Network (immutable, shared) → NetworkSolver.
#pragma once

#include <array>
#include <cstdint>
#include <limits>
#include <string>
#include <string_view>
#include <vector>

#include "lapheat/hydraulics/elements.hpp"
#include "lapheat/units/diagnostic.hpp"

namespace lapheat::hydraulics {

struct Node {
    enum class Kind {
        junction,  ///< pressure is found
        fixed,     ///< pressure is given: a reservoir, an expansion tank, the reference
        dead_end,  ///< pressure is found, and one branch alone may end here: a tank on one hose
    };
    std::string name;
    Kind kind = Kind::junction;
    /// m; not a number: follows from the rises of the parts. Where it is given and the rises of
    /// a branch do not add up to it, the branch's pipes share the rest by length.
    double elevation = std::numeric_limits<double>::quiet_NaN();
    bool outlet = false;  ///< flow may enter or leave here (Inputs::outflow)
};

struct Branch {
    std::string name;
    std::string from, to;  ///< nodes; both the same for a single loop
    std::vector<Element> elements;
    bool closed = false;  ///< capped: no flow ever, and its ends may hang free
};

struct NetworkDescription {
    std::vector<Node> nodes;  ///< may be left out where nothing but the name matters
    std::vector<Branch> branches;
    bool pumpless = false;  ///< a thermosiphon on purpose: no pump is no error
};

/// The flat form. Public for reading (reports, the solver); made by build() only.
struct Network {
    NetworkDescription description;           ///< with every node listed and every rise settled
    std::vector<double> elevation;            ///< m, of nodes relative to the first
    std::vector<std::int32_t> from, to;       ///< node of each branch
    std::vector<std::int32_t> first_element;  ///< of each branch in the flat list, then the count
    std::vector<Diagnostic> warnings;         ///< possible but unwise; without subject

    // What the solver reads, one entry for each flat element.
    enum class Law : std::uint8_t { simple, curve, valve, check, centrifugal, displacement };
    std::vector<Law> law;
    std::vector<std::uint8_t> branch_closed;
    std::vector<double> laminar, turbulent;  ///< loss = laminar·μ/ρ·m + turbulent/ρ·m|m|
    std::vector<double> rise;                ///< m
    std::vector<double> curve_scale, curve_argument;  ///< loss = scale·μ²/ρ·Φ(argument·m/μ)
    std::vector<std::int64_t> curve_first, curve_count, curve_base;
    std::vector<LossCurve::Segment> segments;  ///< of all curves; equal ones stored once
    std::vector<double> nominal_area;          ///< m² of each branch, for a cold start

    [[nodiscard]] std::size_t nodes() const noexcept { return description.nodes.size(); }
    [[nodiscard]] std::size_t branches() const noexcept { return from.size(); }
    [[nodiscard]] std::size_t elements() const noexcept { return law.size(); }
    [[nodiscard]] const Element& element(std::size_t flat) const;
    /// Numbers by name; throw lapheat::Error if there is none.
    [[nodiscard]] std::size_t node(std::string_view name) const;
    [[nodiscard]] std::size_t branch(std::string_view name) const;
    [[nodiscard]] std::size_t element(std::string_view branch, std::string_view element) const;
};

/// Checks and lays out. Throws NetworkError (see there) saying where for: a size that is not
/// positive, an end that nothing else joins, parts that do not hang together, a loop without a
/// pump, a pump with nowhere to deliver, rises that do not add up to zero around a loop, and
/// two nodes or branches of one name. Without a fixed node the first node becomes the reference.
Network build(NetworkDescription description);

}  // namespace lapheat::hydraulics
