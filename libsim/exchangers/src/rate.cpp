#include "lapheat/exchangers/rate.hpp"

#include <cmath>
#include <lapheat/fluids/air.hpp>
#include <utility>

namespace lapheat::exchangers {

fluids::Properties Medium::at(double kelvin) const noexcept {
    if (!is_air) return liquid.at(kelvin);
    const fluids::AirState a{kelvin, pressure, humidity_ratio};
    return {fluids::density(a), fluids::specific_heat(a), fluids::conductivity(a),
            fluids::viscosity(a)};
}

Medium liquid_medium(fluids::Liquid liquid) {
    Medium m;
    m.liquid = std::move(liquid);
    return m;
}

Medium air_medium(double pressure, double humidity_ratio) {
    Medium m;
    m.is_air = true;
    m.pressure = pressure;
    m.humidity_ratio = humidity_ratio;
    return m;
}

RatedOperation rate(const Core& core, const Medium& first, const Medium& second, const Duty& duty) {
    RatedOperation r;
    double mean1 = duty.first_inlet, mean2 = duty.second_inlet, wall = 0;
    for (int round = 0; round < 60 && !r.settled; ++round) {
        r.first = {duty.first_flow, duty.first_inlet, first.at(mean1),
                   round && !first.is_air ? first.liquid.viscosity(wall) : 0.0};
        r.second = {duty.second_flow, duty.second_inlet, second.at(mean2),
                    round && !second.is_air ? second.liquid.viscosity(wall) : 0.0};
        r.operation = operate(core, r.first, r.second);
        const double next1 = 0.5 * (duty.first_inlet + r.operation.first_outlet);
        const double next2 = 0.5 * (duty.second_inlet + r.operation.second_outlet);
        r.settled = round > 0 && std::abs(next1 - mean1) < 1e-9 && std::abs(next2 - mean2) < 1e-9 &&
                    std::abs(r.operation.wall_temperature - wall) < 1e-9;
        mean1 = next1;
        mean2 = next2;
        wall = r.operation.wall_temperature;
    }
    return r;
}

}  // namespace lapheat::exchangers
