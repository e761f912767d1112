// What stands around the parts: the exhaust, the engine bay, the air that each path draws.
// A part of the car that warms the bay or the air under the floor, with states of its own, belongs
// here.
#pragma once

#include <vector>

#include "instant.hpp"
#include "slopes.hpp"

namespace lapheat::model {

class Environment {
  public:
    explicit Environment(const Model& model);

    /// Bay at ambient; the exhaust settled to the first moment's gas in a car that starts warm.
    void start(const ForcingRow& row, double* y) const;

    // The steps of one evaluation, in their order.
    void exhaust(const Instant& now) const;   ///< its gas and metal, before who sees it
    void surfaces(const Instant& now) const;  ///< lines and cases to the air around and the exhaust
    void inlets(const Instant& now);          ///< air before each path, radiation onto its face
    void bay(const Instant& now) const;       ///< the engine bay's air, after inlets()
    /// Slopes of the air before each path and of the bay's, after these.
    void slopes(const Instant& now, Slopes& slopes) const;

    /// K of the air at a place.
    [[nodiscard]] double air_at(Zone place, const Instant& now) const;

  private:
    /// Air that leaves a path.
    struct Leaving {
        double flow = 0, temperature = 0;  ///< kg/s, K
        double back = 0;                   ///< kg/s of it that leaves at the front
        /// Of what enters again.
        double core_share = 0, bay_share = 0, exhaust_share = 0, gearbox_share = 0;
    };
    [[nodiscard]] Leaving leaving(std::size_t path, const Instant& now) const;
    void inlet(std::size_t path, const Instant& now);
    void inlet_slopes(std::size_t path, const Instant& now, Slopes& slopes) const;
    void radiate(int cell, double watts, heat::ExhaustPart from, const Instant& now) const;

    const Model& model_;
    const int bay_, sheet_, exhaust_;  ///< states
    std::vector<Leaving> leaving_;     ///< of each path
};

}  // namespace lapheat::model
