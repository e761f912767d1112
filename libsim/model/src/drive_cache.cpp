#include "lapheat/model/drive_cache.hpp"

#include <algorithm>
#include <deque>
#include <mutex>

#include "forcing.hpp"

namespace lapheat::model {

struct DriveCache::Kept {
    explicit Kept(std::size_t limit) : most(limit) {}

    struct Entry {
        // All that a drive hangs on.
        Driven car;
        drive::Cycle cycle;
        double begin = 0, end = 0, averaged = 0;

        std::shared_ptr<const Forcing> forcing;
    };

    const std::size_t most;
    std::mutex lock;
    std::deque<Entry> entries;  ///< the last one first
    std::size_t made = 0, asked = 0;
};

DriveCache::DriveCache(std::size_t most) : kept_(std::make_unique<Kept>(most)) {}
DriveCache::~DriveCache() = default;

std::shared_ptr<const Forcing> DriveCache::drive(const Model& model, const drive::Cycle& cycle,
                                                 double begin, double end, double averaged) {
    const Driven car = driven(model);
    {
        const std::lock_guard guard(kept_->lock);
        ++kept_->asked;
        const auto found =
            std::find_if(kept_->entries.begin(), kept_->entries.end(), [&](const Kept::Entry& e) {
                return e.begin == begin && e.end == end && e.averaged == averaged && e.car == car &&
                       e.cycle == cycle;
            });
        if (found != kept_->entries.end()) return found->forcing;
    }
    // Two threads may make the same one: that takes no longer than waiting would.
    auto made = std::make_shared<const Forcing>(joined_forcing(car, cycle, begin, end, averaged));
    const std::lock_guard guard(kept_->lock);
    ++kept_->made;
    kept_->entries.push_front({car, cycle, begin, end, averaged, made});
    if (kept_->entries.size() > kept_->most) kept_->entries.pop_back();
    return made;
}

std::size_t DriveCache::made() const {
    const std::lock_guard guard(kept_->lock);
    return kept_->made;
}

std::size_t DriveCache::asked() const {
    const std::lock_guard guard(kept_->lock);
    return kept_->asked;
}

}  // namespace lapheat::model
