// Numbers that are no SI values of anything a car does are questioned, not computed with.
#pragma once

#include <fmt/core.h>

#include <string>

#include "lapheat/units/error.hpp"

namespace lapheat::python {

/// A temperature in K as it is; none is one too. Throws Error for one that looks like degrees.
inline double kelvin(double value, const std::string& name) {
    if (value < 150)
        throw Error(fmt::format("{} is {:g} K, that is {:g} degC", name, value, value - 273.15),
                    fmt::format("kelvin; {:g} degC are {:g}", value, value + 273.15), {}, name);
    return value;
}

/// A pressure in Pa of at least `least`. Throws Error for one that looks like bar or kPa.
inline double pascal(double value, const std::string& name, double least) {
    if (value < least)
        throw Error(fmt::format("{} is {:g} Pa", name, value),
                    fmt::format("pascals, absolute; {:g} bar are {:g}, {:g} kPa are {:g}", value,
                                value * 1e5, value, value * 1e3),
                    {}, name);
    return value;
}

}  // namespace lapheat::python
