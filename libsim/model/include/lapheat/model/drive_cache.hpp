// What drives cars through cycles, worked out once for many runs.
#pragma once

#include <memory>

#include "lapheat/drive/cycle.hpp"
#include "lapheat/model/model.hpp"

namespace lapheat::model {

struct Forcing;

/// Cars that differ in nothing but what cools them (placement, cores, fans, hoses, fluids) are
/// driven alike, and of a drive through the same cycle heats, speeds and air are then the same.
/// Runs that are given one cache look there first; their bits are the same as without. For use by
/// any number of threads at a time.
class DriveCache {
  public:
    /// Holds the last `most` drives: one for each cycle, and for each way of averaging, of runs
    /// that come one after the other.
    explicit DriveCache(std::size_t most = 4);
    ~DriveCache();
    DriveCache(const DriveCache&) = delete;
    DriveCache& operator=(const DriveCache&) = delete;

    /// From `begin` to `end` (s) of the cycle, averaged over `averaged` (s, as Options has it);
    /// found, or made and kept. Throws Error as drive::backward does.
    [[nodiscard]] std::shared_ptr<const Forcing> drive(const Model& model,
                                                       const drive::Cycle& cycle, double begin,
                                                       double end, double averaged);
    /// How many drives were made, and how many asked for.
    [[nodiscard]] std::size_t made() const;
    [[nodiscard]] std::size_t asked() const;

  private:
    struct Kept;
    std::unique_ptr<Kept> kept_;
};

}  // namespace lapheat::model
