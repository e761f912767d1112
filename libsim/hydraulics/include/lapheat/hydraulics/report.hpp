// What a solved network says about its lines, and the list to go shopping with.
#pragma once

#include <string>
#include <vector>

#include "lapheat/hydraulics/solver.hpp"

namespace lapheat::hydraulics {

struct ElementReport {
    std::string branch, name;
    double flow = 0;           ///< m³/s at the element's density
    double velocity = 0;       ///< m/s; 0 where no diameter is known
    double reynolds = 0;       ///< −
    double pressure_loss = 0;  ///< Pa along the flow; negative: a pump that gives
    double share = 0;  ///< of the losses around the network's heaviest way, see heaviest_loss
    double power = 0;  ///< W turned to heat (or given, negative)
};

struct BranchReport {
    std::string name;
    double mass_flow = 0;      ///< kg/s, positive from → to
    double flow = 0;           ///< m³/s at the first element's density
    double pressure_loss = 0;  ///< Pa, friction only, along from → to
    double static_rise = 0;    ///< Pa of height
    double pumped = 0;         ///< Pa given by pumps
    bool closed = false;
};

struct FlowReport {
    std::vector<ElementReport> elements;
    std::vector<BranchReport> branches;
    double heaviest_loss = 0;    ///< Pa, the largest pressure a pump gives: what shares refer to
    double lowest_pressure = 0;  ///< Pa, of any node
    std::string lowest_node;
    double residual = 0;  ///< of the solve reported on
};

/// Every line of a solved network. `inputs` must be those of the solve.
FlowReport report(const Network& network, const Inputs& inputs, const Flow& flow);

/// Pa at the inlet of a pump (flat element number): the branch's start less what is lost and
/// climbed before the pump.
double inlet_pressure(const Network& network, const Inputs& inputs, const Flow& flow,
                      std::size_t pump);

/// What one metre more of a pipe element or one more of a minor loss costs, by a solve with
/// the part changed by 1 %.
struct Cost {
    std::string branch, name;
    double flow_per_unit = 0;      ///< kg/s of the branch lost per metre (pipe) or per fitting
    double pressure_per_unit = 0;  ///< Pa per metre or per fitting at the flow as it is
};
std::vector<Cost> line_costs(const Network& network, const Inputs& inputs, const Flow& flow);

/// One line of the plumbing list.
struct PlumbingItem {
    std::string what;   ///< "hose", "fitting", "clamp", …
    std::string where;  ///< branch and part
    std::string size;   ///< "9.5 mm (3/8 in, dash 6)"
    double length = 0;  ///< m to cut; 0 for what is counted
    int count = 1;
};

/// Hose cut lengths (with `allowance` of the length more, for trimming), fittings and two clamps
/// for each hose; then each size's total length.
std::vector<PlumbingItem> plumbing_list(const Network& network, double allowance = 0.05);

}  // namespace lapheat::hydraulics
