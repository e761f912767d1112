#include "lapheat/hydraulics/expansion.hpp"

#include <algorithm>
#include <cmath>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {

GasContent fill(const ExpansionVolume& tank, double vapour_pressure_at_fill) {
    if (!(tank.gas_volume > 0 && tank.fill_temperature > 0 &&
          tank.fill_pressure > vapour_pressure_at_fill))
        throw Error("an expansion volume needs gas in it, filled above the vapour pressure",
                    "gas volume and filling temperature above zero");
    return {(tank.fill_pressure - vapour_pressure_at_fill) * tank.gas_volume /
            tank.fill_temperature};
}

double swelling(double mass, double density_at_fill, double density_now) {
    return mass / density_now - mass / density_at_fill;
}

SystemPressure system_pressure(const ExpansionVolume& tank, const GasContent& gas, double swelling,
                               double gas_temperature, double vapour_pressure,
                               double ambient_pressure) {
    SystemPressure s;
    const double least = 0.02 * tank.gas_volume;
    s.overfilled = tank.gas_volume - swelling < least;
    s.gas_volume = std::max(tank.gas_volume - swelling, least);
    s.pressure = gas.amount * gas_temperature / s.gas_volume + vapour_pressure;
    s.gas = gas;
    const double high = ambient_pressure + tank.cap_pressure;
    const double low =
        tank.cap_pressure > 0 ? ambient_pressure - tank.vacuum_pressure : ambient_pressure;
    s.cap_open = s.pressure > high;
    s.vacuum_open = s.pressure < low;
    if (s.cap_open || s.vacuum_open) {
        s.pressure = s.cap_open ? high : low;
        s.gas.amount = std::max(0.0, s.pressure - vapour_pressure) * s.gas_volume / gas_temperature;
    }
    return s;
}

void check_cap(double cap_pressure, double rating, std::string_view rated_part) {
    if (!(cap_pressure >= 0)) throw Error("a cap's pressure is negative", "zero or more, gauge");
    if (cap_pressure > rating) {
        using units::Quantity;
        throw Error(Diagnostic{Code::cap_above_rating,
                               {},
                               {std::string(rated_part)},
                               {{cap_pressure, Quantity::pressure}, {rating, Quantity::pressure}}});
    }
}

}  // namespace lapheat::hydraulics
