// What build() throws: what is wrong with a description of a network, and where in it.
#pragma once

#include <string>
#include <utility>

#include "lapheat/units/diagnostic.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::hydraulics {

/// Numbers into NetworkDescription, -1 for none: a branch, one of its elements, a node as listed
/// (given ones first, then as branches name them).
struct NetworkSpot {
    int branch = -1, element = -1, node = -1;
};

class NetworkError : public Error {
  public:
    NetworkError(const Diagnostic& diagnostic, NetworkSpot spot) : Error(diagnostic), spot_(spot) {}
    NetworkError(const std::string& message, std::string expected, NetworkSpot spot)
        : Error(message, std::move(expected)), spot_(spot) {}

    [[nodiscard]] const NetworkSpot& spot() const noexcept { return spot_; }

  private:
    NetworkSpot spot_;
};

/// A pump that cannot deliver, for whichever reason.
[[nodiscard]] inline bool is_deadhead(Code code) noexcept {
    return code == Code::deadhead_loose_end || code == Code::deadhead_capped ||
           code == Code::deadhead_no_way;
}

}  // namespace lapheat::hydraulics
