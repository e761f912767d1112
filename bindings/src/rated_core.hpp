// A core as Python holds it: with the fluids that flow through it.
#pragma once

#include <memory>

#include "lapheat/exchangers/rate.hpp"
#include "scenario.hpp"

namespace lapheat::python {

struct RatedCore {
    exchangers::Core core;
    fluids::Liquid first;
    bool second_is_air = true;
    fluids::Liquid second;
    std::shared_ptr<Scenario> from = {};  ///< whose core it is, if it is one's

    [[nodiscard]] exchangers::Medium first_medium() const {
        return exchangers::liquid_medium(first);
    }
    /// `pressure`: Pa, of the air.
    [[nodiscard]] exchangers::Medium second_medium(double pressure) const {
        return second_is_air ? exchangers::air_medium(pressure) : exchangers::liquid_medium(second);
    }
};

}  // namespace lapheat::python
