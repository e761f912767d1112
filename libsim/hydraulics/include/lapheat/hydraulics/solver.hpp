// The flow in a liquid network.
//
// The equations and how they are solved: solve/flow_network.hpp. Here the branches' losses, what
// closed valves cut off, and a second way in from a straight resistance for the hard case.
#pragma once

#include <memory>
#include <span>
#include <string_view>
#include <vector>

#include "lapheat/hydraulics/network.hpp"

namespace lapheat::hydraulics {

/// What may differ from one solve to the next. Spans must outlive the call only.
struct Inputs {
    std::span<const double> density;    ///< kg/m³, of each flat element
    std::span<const double> viscosity;  ///< Pa s, of each flat element
    /// Of each flat element: a pump's speed (rad/s), a valve's opening (0–1); else not read.
    std::span<const double> control;
    std::span<const double> fixed_pressure =
        {};                                ///< Pa, of each node; read at fixed ones; empty: 0
    std::span<const double> outflow = {};  ///< kg/s leaving at each node; empty: none
};

enum class Outcome : std::uint8_t {
    converged,
    too_many_iterations,
    bad_input,      ///< not finite, or density or viscosity not positive
    outflow_unmet,  ///< outflow asked of a part that is cut off by closed valves
};
std::string_view describe(Outcome outcome) noexcept;

/// The answer, and on the way in the start of the next solve. Default-made: a cold start.
struct Flow {
    std::vector<double> mass_flow;  ///< kg/s of each branch, positive from → to
    std::vector<double> pressure;   ///< Pa at each node, on the scale of fixed_pressure
    double residual = 0;  ///< worst of: pressure balance over the largest pressure difference,
                          ///< mass balance over the largest flow
    int iterations = 0;   ///< linear systems solved
    int evaluations = 0;  ///< sweeps over the branches
    Outcome outcome = Outcome::bad_input;

    [[nodiscard]] bool converged() const noexcept { return outcome == Outcome::converged; }
};

struct SolverOptions {
    double tolerance = 1e-11;  ///< goal of the residual and of the last change of any flow
    double acceptable = 1e-9;  ///< residual that counts as solved when rounding stops progress
    int most_iterations = 100;
};

/// Holds the workspace and the symbolic factorisation for one network. No allocation in solve()
/// once `flow` has its size. Not to be shared between threads; cheap to make one for each.
class NetworkSolver {
  public:
    explicit NetworkSolver(std::shared_ptr<const Network> network, SolverOptions options = {});
    NetworkSolver(NetworkSolver&&) noexcept;
    NetworkSolver& operator=(NetworkSolver&&) noexcept;
    ~NetworkSolver();

    /// Solves from `flow` (a wrong size: from a cold start) and writes the answer into it.
    /// Never throws for numbers: look at flow.outcome.
    Outcome solve(const Inputs& inputs, Flow& flow);

    [[nodiscard]] const Network& network() const noexcept;

  private:
    struct Work;
    std::unique_ptr<Work> work_;
};

/// Pressure lost in one flat element (Pa, positive along the branch, hydrostatic part left
/// out; negative for a pump that works) at a mass flow (kg/s). 0 in a valve that is shut. Allocates
/// nothing.
double element_loss(const Network& network, std::size_t element, double density, double viscosity,
                    double control, double mass_flow);

/// The same of every flat element at a solved flow, into `out` (as many as elements).
void element_losses(const Network& network, const Inputs& inputs, const Flow& flow,
                    std::span<double> out);

}  // namespace lapheat::hydraulics
