// Heat that a hose or tube gives to the air around it.
#pragma once

#include "lapheat/fluids/liquid.hpp"
#include "lapheat/model/description.hpp"

namespace lapheat::model {

struct LineLoss {
    double at_rest = 0;     ///< W/K of this length in still air
    double speed_gain = 0;  ///< W/K per sqrt(m/s) of vehicle speed
};

/// Series of inner film, wall, and outer film of `length` m of the line.
LineLoss line_conductance(const Line& line, const fluids::Liquid& fluid, double length);

}  // namespace lapheat::model
