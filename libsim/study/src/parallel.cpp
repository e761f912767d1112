#include "lapheat/study/parallel.hpp"

#include <algorithm>
#include <chrono>
#include <condition_variable>
#include <exception>
#include <map>
#include <mutex>
#include <thread>

#include "internal.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

// Results that may wait for an earlier one before workers pause: keeps memory flat.
constexpr std::size_t waiting_per_thread = 4;
constexpr auto report_interval = std::chrono::milliseconds(50);

/// What the workers and the calling thread share, all but `stop` under the lock.
struct Pool {
    std::mutex mutex;
    std::condition_variable changed;
    std::size_t next = 0, done = 0;
    std::size_t failed_job = 0;
    std::exception_ptr error;
    std::vector<double> fraction;  ///< of the task that each worker is at
    int alive = 0;
    std::atomic<bool> stop{false};
};

void work(Pool& pool, std::size_t worker, std::size_t count,
          const std::function<void(std::size_t, const TaskWatch&)>& task) {
    const TaskWatch watch{pool.stop, [&pool, worker](double done) {
                              const std::lock_guard guard(pool.mutex);
                              pool.fraction[worker] = done;
                          }};
    std::unique_lock lock(pool.mutex);
    while (!pool.error && !pool.stop && pool.next < count) {
        const std::size_t job = pool.next++;
        lock.unlock();
        std::exception_ptr thrown;
        try {
            task(job, watch);
        } catch (...) {
            thrown = std::current_exception();
        }
        lock.lock();
        pool.fraction[worker] = 0;
        ++pool.done;
        // Jobs are handed out in order, so all before this one still end.
        if (thrown && (!pool.error || job < pool.failed_job)) {
            pool.error = thrown;
            pool.failed_job = job;
        }
    }
    --pool.alive;
    pool.changed.notify_all();
}

/// Hands results on in the order of their jobs.
class InOrder {
  public:
    using Take = std::function<void(std::size_t, model::Result&&)>;
    InOrder(const Take& take, std::size_t window) : take_(take), window_(window) {}

    void give(std::size_t job, model::Result&& result, const std::atomic<bool>& stop) {
        std::unique_lock lock(mutex_);
        while (job >= taken_ + window_ && !broken_ && !stop)
            changed_.wait_for(lock, report_interval);
        waiting_.emplace(job, std::move(result));
        if (taking_) return;  // whoever is inside goes on to what is waiting
        taking_ = true;
        while (!broken_ && !waiting_.empty() && waiting_.begin()->first == taken_) {
            model::Result ready = std::move(waiting_.begin()->second);
            waiting_.erase(waiting_.begin());
            lock.unlock();
            try {
                take_(taken_, std::move(ready));
            } catch (...) {
                lock.lock();
                broken_ = true;
                taking_ = false;
                throw;
            }
            lock.lock();
            ++taken_;
            changed_.notify_all();
        }
        taking_ = false;
    }

    void give_up() {
        const std::lock_guard guard(mutex_);
        broken_ = true;
        changed_.notify_all();
    }

  private:
    const Take& take_;
    std::size_t window_;
    std::mutex mutex_;
    std::condition_variable changed_;
    std::map<std::size_t, model::Result> waiting_;
    std::size_t taken_ = 0;  ///< changed only by the one thread that is taking, under the lock
    bool taking_ = false, broken_ = false;
};

}  // namespace

void for_all(std::size_t count, int threads, const std::atomic<bool>* cancel,
             const std::function<void(std::size_t, const TaskWatch&)>& task,
             const std::function<void(double)>& progress) {
    const auto workers = static_cast<std::size_t>(thread_count(threads, count));
    Pool pool;
    pool.fraction.assign(workers, 0.0);
    pool.alive = static_cast<int>(workers);
    std::exception_ptr interrupted;
    {
        std::vector<std::jthread> crew;
        for (std::size_t w = 0; w < workers; ++w)
            crew.emplace_back([&, w] { work(pool, w, count, task); });
        std::unique_lock lock(pool.mutex);
        while (pool.alive > 0) {
            pool.changed.wait_for(lock, report_interval);
            if (cancel && *cancel) pool.stop = true;
            if (!progress || pool.stop || pool.error) continue;
            double done = static_cast<double>(pool.done);
            for (const double f : pool.fraction) done += f;
            lock.unlock();
            try {
                progress(
                    std::min(done / static_cast<double>(std::max<std::size_t>(count, 1)), 1.0));
            } catch (...) {
                interrupted = std::current_exception();
                pool.stop = true;
            }
            lock.lock();
        }
    }
    if (interrupted) std::rethrow_exception(interrupted);
    if (pool.stop) throw Error(Diagnostic{Code::cancelled});
    if (pool.error) std::rethrow_exception(pool.error);
}

int thread_count(int asked, std::size_t jobs) noexcept {
    const auto all = static_cast<std::size_t>(std::max(1u, std::thread::hardware_concurrency()));
    const std::size_t wanted = asked > 0 ? static_cast<std::size_t>(asked) : all;
    return static_cast<int>(std::clamp<std::size_t>(jobs, 1, wanted));
}

void run_each(std::size_t count, const std::function<Job(std::size_t)>& make,
              const std::function<void(std::size_t, model::Result&&)>& take,
              const ParallelOptions& options) {
    InOrder order(
        take, waiting_per_thread * static_cast<std::size_t>(thread_count(options.threads, count)));
    for_all(
        count, options.threads, options.cancel,
        [&](std::size_t i, const TaskWatch& watch) {
            try {
                const Job job = make(i);
                model::Options run = options.run;
                run.cancel = &watch.stop;
                run.progress = options.progress ? watch.report : nullptr;
                order.give(i, model::simulate(*job.model, *job.cycle, run), watch.stop);
            } catch (...) {
                order.give_up();
                throw;
            }
        },
        options.progress);
}

std::vector<model::Result> run_all(std::span<const Job> jobs, const ParallelOptions& options) {
    std::vector<model::Result> results(jobs.size());
    run_each(
        jobs.size(), [&](std::size_t i) { return jobs[i]; },
        [&](std::size_t i, model::Result&& result) { results[i] = std::move(result); }, options);
    return results;
}

}  // namespace lapheat::study
