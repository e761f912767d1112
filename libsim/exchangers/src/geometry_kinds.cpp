// The list of kinds: each is described in its own source.
#include "lapheat/exchangers/geometry_kind.hpp"

namespace lapheat::exchangers {
namespace detail {

GeometryKind louvred_kind();
GeometryKind plate_fin_kind();
GeometryKind bar_plate_kind();
GeometryKind tank_plate_kind();
GeometryKind tank_tube_kind();
GeometryKind finned_tube_kind();
GeometryKind flat_tube_kind();

}  // namespace detail

std::span<const GeometryKind> geometry_kinds() {
    using namespace detail;
    static const std::vector<GeometryKind> kinds = {
        louvred_kind(),   plate_fin_kind(),   bar_plate_kind(), tank_plate_kind(),
        tank_tube_kind(), finned_tube_kind(), flat_tube_kind()};
    return kinds;
}

}  // namespace lapheat::exchangers
