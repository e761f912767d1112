#include "lapheat/exchangers/film.hpp"

namespace lapheat::exchangers {

CoreOperation operate_with_wall(const Core& core, StreamInput first, StreamInput second,
                                const fluids::Liquid* first_liquid,
                                const fluids::Liquid* second_liquid) noexcept {
    const CoreOperation o = operate_thermal(core, first, second);
    if (!(o.wall_temperature > 0) || (!first_liquid && !second_liquid)) return o;
    if (first_liquid) first.wall_viscosity = first_liquid->viscosity(o.wall_temperature);
    if (second_liquid) second.wall_viscosity = second_liquid->viscosity(o.wall_temperature);
    return operate_thermal(core, first, second);
}

}  // namespace lapheat::exchangers
