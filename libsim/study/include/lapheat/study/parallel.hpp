// Many runs on all cores. Results come in the order of the jobs and are the same bits for any
// number of threads: a run shares nothing with another but immutable models and cycles.
#pragma once

#include <atomic>
#include <cstddef>
#include <functional>
#include <memory>
#include <span>
#include <vector>

#include "lapheat/model/simulate.hpp"

namespace lapheat::study {

/// One model through one cycle. Both are shared, neither is copied.
struct Job {
    std::shared_ptr<const model::Model> model;
    std::shared_ptr<const drive::Cycle> cycle;
};

struct ParallelOptions {
    int threads = 0;                       ///< 0: as many as the machine has
    model::Options run;                    ///< of every run; its progress and cancel are not used
    std::function<void(double)> progress;  ///< fraction done; on the calling thread
    const std::atomic<bool>* cancel = nullptr;  ///< set true to stop
};

/// The number of threads that `asked` means (0: all), at most one for each job, at least one.
[[nodiscard]] int thread_count(int asked, std::size_t jobs) noexcept;

/// All results, in the order of the jobs. Throws the Error of the first job (in that order) that
/// fails, and Error when cancelled.
[[nodiscard]] std::vector<model::Result> run_all(std::span<const Job> jobs,
                                                 const ParallelOptions& options = {});

/// For studies that must not grow: `make(i)` gives the i-th job (called on any thread, several at
/// a time), `take(i, result)` gets its result (one call at a time, in order of i). At most a few
/// results for each thread are in memory. Throws as run_all() does, or what make and take throw.
void run_each(std::size_t count, const std::function<Job(std::size_t)>& make,
              const std::function<void(std::size_t, model::Result&&)>& take,
              const ParallelOptions& options = {});

}  // namespace lapheat::study
