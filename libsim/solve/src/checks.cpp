#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <lapheat/solve/detail/checks.hpp>
#include <lapheat/solve/integrate.hpp>
#include <lapheat/units/error.hpp>
#include <string>

namespace lapheat::solve::detail {
namespace {

std::string seconds(double t) { return fmt::format("{:.9g} s", t); }

void require(bool fine, const char* message, const char* expected) {
    if (!fine) throw Error(message, expected);
}

}  // namespace

std::vector<double> checked_absolute(const IntegrationPlan& run, const Tolerances& tolerances,
                                     std::size_t size, std::size_t state_size) {
    require(size > 0 && size == state_size, "the state has another length than the system",
            "as many numbers as the system has states");
    require(std::isfinite(run.start) && std::isfinite(run.end) && run.start <= run.end,
            "the integration ends before it starts", "finite start <= end");
    require(std::is_sorted(run.knots.begin(), run.knots.end()), "knot times go backwards",
            "times that do not decrease");
    require(run.knots.empty() || (run.knots.size() > 1 && run.knots.front() <= run.start &&
                                  run.knots.back() >= run.end),
            "knots do not cover the integration", "first knot <= start, last knot >= end");
    require(std::is_sorted(run.samples.begin(), run.samples.end()), "sample times go backwards",
            "times that do not decrease");
    require(
        run.samples.empty() || (run.samples.front() >= run.start && run.samples.back() <= run.end),
        "a sample lies outside the integration", "start <= sample <= end");
    require(run.chatter_count > 0 && run.looks_per_step > 0,
            "counts of looks and restarts must be positive", "1 or more");
    require(tolerances.relative >= 0 && tolerances.relative < 1, "relative tolerance out of range",
            "0 <= relative < 1");
    require(tolerances.min_step > 0 && tolerances.event_time > 0 && tolerances.max_step >= 0 &&
                tolerances.initial_step >= 0,
            "a step size or the event tolerance is negative or zero", "positive seconds");
    std::vector<double> absolute = tolerances.absolute_each;
    if (absolute.empty()) absolute.assign(size, tolerances.absolute);
    require(absolute.size() == size, "one absolute tolerance for each state is needed",
            "as many numbers as states, or none");
    for (const double a : absolute) {
        require(a > 0, "an absolute tolerance is not positive", "positive, in the state's unit");
    }
    return absolute;
}

void require_finite(const std::vector<double>& dydt, double t) {
    for (std::size_t i = 0; i < dydt.size(); ++i) {
        if (!std::isfinite(dydt[i])) {
            throw Error(fmt::format("the rate of change of state {} is not finite at t = {}", i,
                                    seconds(t)),
                        "finite rates");
        }
    }
}

void throw_underflow(double t, double step) {
    throw Error("the step size fell to " + seconds(step) + " at t = " + seconds(t) +
                    ": the right-hand side jumps there, or is not finite just behind it",
                "a right-hand side that is smooth between knots and events");
}

void throw_too_many(double t, double step, std::size_t state, const IntegrationPlan& run) {
    const std::string name = run.name_of ? run.name_of(state) : fmt::format("state {}", state);
    throw Error(fmt::format("{} steps were not enough: at t = {} they are {} long, set by {}",
                            run.most_steps, seconds(t), seconds(step), name),
                "a part there that answers in more than thousandths of a second");
}

void throw_chatter(double t, const IntegrationPlan& run) {
    throw Error(fmt::format("events chatter at t = {}: {} restarts within {}", seconds(t),
                            run.chatter_count, seconds(run.chatter_window)),
                "a switch with some hysteresis or delay");
}

}  // namespace lapheat::solve::detail
