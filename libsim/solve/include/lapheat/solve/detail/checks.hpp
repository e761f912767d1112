// Input checks and failures of the integrator, kept out of the templates.
#pragma once

#include <cstddef>
#include <vector>

namespace lapheat::solve {
struct IntegrationPlan;
struct Tolerances;
}  // namespace lapheat::solve

namespace lapheat::solve::detail {

/// Checks everything the caller handed in; returns the absolute tolerance of every state.
std::vector<double> checked_absolute(const IntegrationPlan& run, const Tolerances& tolerances,
                                     std::size_t size, std::size_t state_size);

/// Throws if a derivative is not finite, naming the first such state and the time.
void require_finite(const std::vector<double>& dydt, double t);

[[noreturn]] void throw_underflow(double t, double step);
/// `state`: the one whose error is largest against what is allowed.
[[noreturn]] void throw_too_many(double t, double step, std::size_t state,
                                 const IntegrationPlan& run);
[[noreturn]] void throw_chatter(double t, const IntegrationPlan& run);

}  // namespace lapheat::solve::detail
