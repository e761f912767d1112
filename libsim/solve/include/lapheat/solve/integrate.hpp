// Integration of a right-hand side with located events, break points and dense output.
//
// The method is the fifth-order pair of Dormand and Prince (Boost.Odeint) with its fourth-order
// interpolant (Hairer, Norsett & Wanner, Solving Ordinary Differential Equations I, II.5-II.6), or
// the third-order pair of Bogacki and Shampine at half its cost for each step, or linearly implicit
// steps of second order, which a short time constant does not shorten.
// A caller describes its problem as a System: numbers in flat arrays, plain functions, a
// discrete mode that changes only in `handle` and `enter_interval`. Nothing is allocated after
// the first step.
//
// Order of things at one instant: samples are observed first (they show the state before a
// jump), then events are handled in the order of their index, then the next interval is entered.
#pragma once

#include <atomic>
#include <concepts>
#include <cstddef>
#include <functional>
#include <lapheat/solve/sparse_matrix.hpp>
#include <span>
#include <string>
#include <vector>

namespace lapheat::solve {

/// What the integrator does after an event has been handled.
enum class EventAction {
    go_on,    ///< nothing changed that the right-hand side or an event function sees
    restart,  ///< mode or state changed: derivative and event functions are evaluated anew
    stop      ///< the integration ends here
};

/// Which change of sign of an event function counts as the event.
enum class Crossing { rising, falling, either };

/// Whether the right-hand side is the same just before and just after a knot. Piecewise linear
/// inputs are continuous (only their slope changes), so the last derivative is used again.
enum class AtKnot { continuous, jump };

/// The problem. All times in seconds; y, dydt have `size()` entries, g has `event_count()`.
///
/// - `rhs` is a function of t, y and the discrete mode alone. Values that are not finite make
///   the step smaller, and in the end an Error.
/// - `events` fills g. An event is where g[i] reaches or crosses zero in `event_direction(i)`.
///   Zero at the start fires there if left in that direction; zero just after its own event does
///   not (it is the same crossing): what a handler puts in its place must not begin at zero. One
///   that is switched off is a constant other than zero. Two crossings between two looks go unseen.
/// - `handle(i, t, y)` may change y and the mode only if it returns `restart` or `stop`.
/// - `enter_interval(k)` is called at knot k (k = 0 also at the start): coefficients for
///   [knots[k], knots[k+1]] are to be used from now on.
template <class S>
concept System = requires(S& s, double t, const double* y, double* out, std::size_t i) {
    { s.size() } -> std::convertible_to<std::size_t>;
    {s.rhs(t, y, out)};
    { s.event_count() } -> std::convertible_to<std::size_t>;
    {s.events(t, y, out)};
    { s.event_direction(i) } -> std::same_as<Crossing>;
    { s.handle(i, t, out) } -> std::same_as<EventAction>;
    { s.enter_interval(i) } -> std::same_as<AtKnot>;
};

/// A System may also have `after_step(y)`, called with the state at the end of each accepted
/// step: true says that the right-hand side is another one from here on (a coefficient that the
/// system had held has been found too old), and the derivative is evaluated anew.
template <class S>
concept ChangesAfterStep = requires(S& s, const double* y) {
    { s.after_step(y) } -> std::same_as<bool>;
};

/// What implicit steps ask of a System. `slopes(t, y, a)` adds to a cleared matrix the derivatives
/// of rhs by the state, those at least that are fast; where rhs keeps a sum, so must they.
/// `begin_step(t, h, y, slope)` comes before each step is tried, with what the state did on average
/// over the last one: coefficients may be chosen there for the step as a whole (rhs is the same
/// function within it); true says that it differs from the one before.
template <class S>
concept Linearised = requires(S& s, double t, const double* y, SparseMatrix& a) {
    {s.slopes(t, y, a)};
    { s.begin_step(t, t, y, y) } -> std::same_as<bool>;
};

/// A Linearised system may also have `longest_step(y, slope)`, s: what it holds within a step is
/// found for the step's middle, and how far that may be from both ends no error of the step tells.
template <class S>
concept LimitsSteps = requires(S& s, const double* y) {
    { s.longest_step(y, y) } -> std::same_as<double>;
};

/// Receives the state at a requested time.
template <class F>
concept Observer = std::invocable<F&, double, const double*>;

/// Where knots and not the tolerance decide the step, third order needs half the calls: six a step
/// against three, and one more at each knot where the right-hand side jumps. At equal tolerance it
/// stays stable up to steps of 2.5 shortest time constants, fifth order up to 3.3.
///
/// Linearly implicit steps are for Linearised systems only; of second order, two calls and a sparse
/// factorisation each, and as long as the solution is smooth.
enum class Method { fifth_order, third_order, linearly_implicit };

/// Allowed local error of a step: the largest |error_i| / (absolute_i + relative |y_i|) is at
/// most one. Steps in seconds.
struct Tolerances {
    Method method = Method::fifth_order;
    double relative = 1e-6;
    double absolute = 1e-6;  ///< in the unit of the state
    std::vector<double> absolute_each =
        {};                    ///< one for each state, or empty; infinity: not controlled
    double initial_step = 0;   ///< 0: estimated from the derivative
    double max_step = 0;       ///< 0: no limit but the knots
    double min_step = 1e-10;   ///< a step rejected below this size is an Error
    double event_time = 1e-9;  ///< width to which an event is bracketed
};

/// What to do on the way.
struct IntegrationPlan {
    double start = 0;
    double end = 0;
    /// Times at which inputs have kinks, not decreasing, from <= start to >= end; or empty. A
    /// step ends exactly on each; equal neighbours are an interval of no length.
    std::span<const double> knots = {};
    std::span<const double> samples = {};  ///< times for the observer, not decreasing, start..end
    int looks_per_step = 1;                ///< event functions are looked at this often in a step
    /// Steps, accepted or not, after which the run ends with an Error that names what sets them; 0:
    /// no end. `name_of`: words for a state.
    std::size_t most_steps = 0;
    std::function<std::string(std::size_t)> name_of = {};
    int chatter_count = 64;                     ///< this many restarts ...
    double chatter_window = 1e-3;               ///< ... within this many seconds are an Error
    std::function<void(double)> progress = {};  ///< fraction done, 0..1; some times a second
    const std::atomic<bool>* cancel = nullptr;  ///< read when progress would be reported
    double progress_interval = 0.1;             ///< wall seconds
};

enum class Finish { reached_end, stopped_by_event, cancelled };

/// What an integration cost.
struct Cost {
    std::size_t rhs_calls = 0;
    std::size_t steps = 0;     ///< accepted
    std::size_t rejected = 0;  ///< tried and refused
    std::size_t events = 0;    ///< handled
    std::size_t restarts = 0;  ///< events after which the derivative was evaluated anew
    std::size_t event_function_calls = 0;
    double wall_seconds = 0;
    double smallest_step = 0;  ///< s, of the accepted ones
    double largest_step = 0;   ///< s
    double end_time = 0;       ///< s, where the integration ended
    Finish finish = Finish::reached_end;
};

/// Takes y from `run.start` to `run.end` in place. Throws lapheat::Error, naming the time, for
/// a right-hand side that is not finite, a step size that underflows, too many steps, events that
/// chatter, and for knots, samples or tolerances that make no sense.
template <System S, Observer Observe>
Cost integrate(S& system, std::span<double> y, const IntegrationPlan& run,
               const Tolerances& tolerances, Observe&& observe);

/// The same without samples.
template <System S>
Cost integrate(S& system, std::span<double> y, const IntegrationPlan& run,
               const Tolerances& tolerances);

}  // namespace lapheat::solve

#include <lapheat/solve/detail/integrator.hpp>
