// Inside of integrate.hpp. One object for one integration; its buffers are made once.
#pragma once

#include <algorithm>
#include <array>
#include <boost/math/tools/toms748_solve.hpp>
#include <chrono>
#include <cmath>
#include <functional>
#include <lapheat/solve/detail/checks.hpp>
#include <lapheat/solve/detail/linearly_implicit.hpp>
#include <lapheat/solve/detail/stepper.hpp>
#include <lapheat/solve/integrate.hpp>
#include <limits>
#include <stdexcept>

namespace lapheat::solve::detail {

constexpr int sign(double x) { return (x > 0) - (x < 0); }

constexpr bool passes(Crossing wanted, int direction) {
    return wanted == Crossing::either || (wanted == Crossing::rising) == (direction > 0);
}

template <class Stepper>
struct ControlOf {
    using type = Controlled<Stepper>;
};
template <>
struct ControlOf<LinearlyImplicit> {
    using type = LinearlyImplicit;
};
template <class Stepper>
using ControlledBy = typename ControlOf<Stepper>::type;

template <class Stepper, class S, class Observe>
class Integrator {
    static constexpr bool implicit = std::same_as<Stepper, LinearlyImplicit>;

  public:
    Integrator(S& system, std::span<double> y, const IntegrationPlan& run,
               const Tolerances& tolerances, Observe& observe)
        : system_(system),
          run_(run),
          tolerances_(tolerances),
          observe_(observe),
          size_(system.size()),
          event_count_(system.event_count()),
          stepper_(
              ErrorNorm(tolerances.relative, checked_absolute(run, tolerances, size_, y.size()))),
          y_(y.begin(), y.end()),
          dydt_(size_),
          y_new_(size_),
          dydt_new_(size_),
          y_mid_(size_),
          slope_(implicit ? size_ : 0),
          g_(event_count_),
          g_trial_(event_count_),
          watch_(event_count_),
          recent_restarts_(static_cast<std::size_t>(run.chatter_count),
                           -std::numeric_limits<double>::infinity()) {}

    Cost operator()(std::span<double> y_out) {
        const auto began = Clock::now();
        last_report_ = began;
        begin();
        while (t_ < run_.end && cost_.finish == Finish::reached_end) {
            step();
            if (++since_report_ >= steps_between_clocks) report();
        }
        std::copy(y_.begin(), y_.end(), y_out.begin());
        cost_.end_time = t_;
        cost_.wall_seconds = std::chrono::duration<double>(Clock::now() - began).count();
        return cost_;
    }

  private:
    using Clock = std::chrono::steady_clock;
    static constexpr int steps_between_clocks = 64;

    /// What is known of one event function since the last look.
    struct Watch {
        int side = 0;         ///< its sign at the last look
        bool silent = false;  ///< side is 0 and leaving it is not an event
        bool pending = false;
        double root = 0;
        double last_fired = -std::numeric_limits<double>::infinity();
    };

    void rhs(double t, const State& y, State& dydt) {
        ++cost_.rhs_calls;
        system_.rhs(t, y.data(), dydt.data());
    }
    void events(double t, const State& y, State& g) {
        ++cost_.event_function_calls;
        system_.events(t, y.data(), g.data());
    }

    void begin() {
        t_ = run_.start;
        const auto& knots = run_.knots;
        if (!knots.empty()) {
            const auto above = std::upper_bound(knots.begin(), knots.end(), t_);
            interval_ = static_cast<std::size_t>(above - knots.begin()) - 1;
        }
        system_.enter_interval(interval_);
        look_anew();
        observe_up_to(t_, nullptr);
        renew_derivative();
        wish_ = tolerances_.initial_step > 0 ? tolerances_.initial_step : first_step();
    }

    /// A step over which an Euler step would change no state by more than a hundredth of its
    /// scale (Hairer, Norsett & Wanner I, II.4, the first of their two estimates).
    double first_step() const {
        double rate = 0;
        for (std::size_t i = 0; i < size_; ++i) {
            const double a = tolerances_.absolute_each.empty() ? tolerances_.absolute
                                                               : tolerances_.absolute_each[i];
            if (std::isfinite(a)) {
                rate = std::max(rate, std::abs(dydt_[i]) / std::max(a, std::abs(y_[i])));
            }
        }
        const double span = run_.end - run_.start;
        return std::max(rate > 0 ? std::min(0.01 / rate, span) : span, tolerances_.min_step);
    }

    void renew_derivative() {
        rhs(t_, y_, dydt_);
        require_finite(dydt_, t_);
        stale_ = false;
    }

    double limit() const {
        return interval_ + 1 < run_.knots.size() ? std::min(run_.knots[interval_ + 1], run_.end)
                                                 : run_.end;
    }

    /// One try of a step of size h from t_; h becomes the size of the next.
    bool attempt(double& h) {
        auto call = [this](const State& y, State& dydt, double t) { rhs(t, y, dydt); };
        double t = t_;
        if constexpr (implicit) {
            auto slopes = [this](const State& y, SparseMatrix& a, double now) {
                system_.slopes(now, y.data(), a);
            };
            if (system_.begin_step(t_, h, y_.data(), slope_.data())) stale_ = true;
            if (stale_) {
                renew_derivative();
                stepper_.fresh();
            }
            return stepper_.try_step(std::pair(std::ref(call), std::ref(slopes)), y_, dydt_, t,
                                     y_new_, dydt_new_, h) == boost::numeric::odeint::success;
        } else {
            return stepper_.try_step(std::ref(call), y_, dydt_, t, y_new_, dydt_new_, h) ==
                   boost::numeric::odeint::success;
        }
    }

    void step() {
        if (!implicit && stale_) renew_derivative();
        const double stop = limit();
        const double remaining = stop - t_;
        double h = wish_;
        double longest = tolerances_.max_step > 0 ? tolerances_.max_step : remaining;
        if constexpr (implicit && LimitsSteps<S>)
            longest = std::min(longest, system_.longest_step(y_.data(), slope_.data()));
        h = std::min(h, longest);
        // A step a little longer than wished is tried before two short ones are taken; and two
        // equal ones are better than a long one and a crumb.
        bool lands = h >= 0.9 * remaining && remaining <= longest;
        if (lands) {
            h = remaining;
        } else if (h > 0.5 * remaining) {
            h = 0.5 * remaining;
        }
        double h_next = h;
        if (run_.most_steps > 0 && cost_.steps + cost_.rejected >= run_.most_steps)
            throw_too_many(t_, h, limiting_state(), run_);
        while (!attempt(h_next)) {
            ++cost_.rejected;
            lands = false;
            h = h_next;
            if (h < std::max(tolerances_.min_step,
                             16 * std::numeric_limits<double>::epsilon() * std::abs(t_))) {
                throw_underflow(t_, h);
            }
        }
        // Where a knot cut the step short of what its error allowed, the older wish may still
        // be the better one: the growth in one step is limited.
        wish_ = h_next >= 4 * h ? std::max(wish_, h_next) : h_next;
        t_new_ = lands ? stop : t_ + h;
        count(h);
        if (event_count_ > 0) {
            if (!scan()) return;  // committed at an event inside the step
        }
        observe_up_to(t_new_, &y_new_);
        remember_slope(y_new_, t_new_);
        t_ = t_new_;
        y_.swap(y_new_);
        dydt_.swap(dydt_new_);
        if (implicit) stale_ = true;
        if constexpr (ChangesAfterStep<S>) {
            if (system_.after_step(y_.data())) stale_ = true;
        }
        if (lands) enter_next();
    }

    /// The state that sets the steps: of implicit ones by its error, else by its rate.
    std::size_t limiting_state() const {
        if constexpr (implicit) {
            return stepper_.worst_state();
        } else {
            std::size_t worst = 0;
            double most = 0;
            for (std::size_t i = 0; i < size_; ++i) {
                const double a = tolerances_.absolute_each.empty() ? tolerances_.absolute
                                                                   : tolerances_.absolute_each[i];
                const double rate = std::abs(dydt_[i]) / a;
                if (rate > most) {
                    most = rate;
                    worst = i;
                }
            }
            return worst;
        }
    }

    /// What the state has done on average since the step began.
    void remember_slope(const State& y, double t) {
        if constexpr (implicit)
            for (std::size_t i = 0; i < size_; ++i) slope_[i] = (y[i] - y_[i]) / (t - t_);
    }

    void count(double h) {
        cost_.smallest_step = cost_.steps == 0 ? h : std::min(cost_.smallest_step, h);
        cost_.largest_step = std::max(cost_.largest_step, h);
        ++cost_.steps;
    }

    /// Enters every interval that begins at t_ (none at the end of the run).
    void enter_next() {
        while (cost_.finish == Finish::reached_end && interval_ + 2 < run_.knots.size() &&
               t_ >= run_.knots[interval_ + 1] && t_ < run_.end) {
            if (system_.enter_interval(++interval_) == AtKnot::jump) {
                stale_ = true;
                if (event_count_ > 0) fire_jumped();
            }
        }
    }

    /// State at t in (t_, t_new_], from the interpolant, into y_mid_.
    const State& interpolate(double t) {
        if (t >= t_new_) return y_new_;
        if (t <= t_) return y_;
        stepper_.stepper().calc_state(t, y_mid_, y_, dydt_, t_, y_new_, dydt_new_, t_new_);
        return y_mid_;
    }

    /// Hands out the samples up to and including t; `at_t` is the state at t if it is known.
    void observe_up_to(double t, const State* at_t) {
        const auto& samples = run_.samples;
        while (next_sample_ < samples.size() && samples[next_sample_] <= t) {
            const double s = samples[next_sample_++];
            const State& y = s <= t_ ? y_ : (at_t && s == t ? *at_t : interpolate(s));
            observe_(s, y.data());
        }
    }

    /// Looks for events in (t_, t_new_]. False if one of them ended the step early; the state
    /// is then committed there.
    bool scan() {
        const int looks = std::max(1, run_.looks_per_step);
        double a = t_;
        for (int i = 1; i <= looks; ++i) {
            const double b = i == looks ? t_new_ : t_ + (t_new_ - t_) * i / looks;
            events(b, interpolate(b), g_);
            while (find_first(a, b)) {
                a = first_root_;
                if (!handle_first()) return false;
            }
            a = b;
        }
        return true;
    }

    /// Marks the events in (a, b] as pending; true if there is any.
    bool find_first(double a, double b) {
        first_root_ = std::numeric_limits<double>::infinity();
        for (std::size_t j = 0; j < event_count_; ++j) {
            Watch& w = watch_[j];
            const int s = sign(g_[j]);
            w.pending = false;
            if (s == w.side) continue;
            const bool leaves_zero = w.side == 0;
            const int direction = leaves_zero ? s : -w.side;
            if ((leaves_zero && w.silent) || !passes(system_.event_direction(j), direction)) {
                settle(w, s);
                continue;
            }
            w.root = leaves_zero ? a : locate(j, a, b, w.side);
            if (w.root - w.last_fired <= 2 * tolerances_.event_time) {
                settle(w, s);  // the same crossing once more, seen through rounding
                continue;
            }
            w.pending = true;
            first_root_ = std::min(first_root_, w.root);
        }
        return first_root_ < std::numeric_limits<double>::infinity();
    }

    static void settle(Watch& w, int s) {
        w.side = s;
        w.silent = s == 0;
    }

    /// The far end of a bracket of width `event_time` around the zero of event function j.
    double locate(std::size_t j, double a, double b, int side) {
        if (g_[j] == 0) return b;
        const auto value = [&](double t) {
            events(t, interpolate(t), g_trial_);
            return g_trial_[j];
        };
        const double ga = value(a);
        if (sign(ga) != side) return a;
        std::uintmax_t iterations = 200;
        const auto narrow = [&](double l, double r) { return r - l <= tolerances_.event_time; };
        return boost::math::tools::toms748_solve(value, a, b, ga, g_[j], narrow, iterations).second;
    }

    /// Handles the earliest pending events. False if the step ends there.
    bool handle_first() {
        const double t = first_root_;
        observe_up_to(t, nullptr);
        const State& at_t = interpolate(t);
        if (&at_t != &y_mid_) y_mid_ = at_t;
        EventAction action = EventAction::go_on;
        for (std::size_t j = 0; j < event_count_; ++j) {
            Watch& w = watch_[j];
            if (!w.pending || w.root > t + tolerances_.event_time) continue;
            action = std::max(action, fire(j, t, y_mid_));
            settle(w, sign(g_[j]));
        }
        if (action == EventAction::go_on) return true;
        const bool at_end = t >= t_new_;
        if (t > t_) remember_slope(y_mid_, t);
        t_ = t;
        y_.swap(y_mid_);
        commit_event(action);
        if (at_end && t >= limit()) enter_next();
        return false;
    }

    EventAction fire(std::size_t j, double t, State& y) {
        ++cost_.events;
        watch_[j].last_fired = t;
        return system_.handle(j, t, y.data());
    }

    void commit_event(EventAction action) {
        if (action == EventAction::stop) {
            cost_.finish = Finish::stopped_by_event;
            return;
        }
        stale_ = true;
        ++cost_.restarts;
        double& oldest = recent_restarts_[cost_.restarts % recent_restarts_.size()];
        if (t_ - oldest < run_.chatter_window) throw_chatter(t_, run_);
        oldest = t_;
        shorten_among_crowded();
        look_anew();
    }

    /// Restarts that crowd within a small part of a step come of the step itself: what is held over
    /// it makes a system turn that would go on, and back again. Steps of their own length show
    /// which way it goes.
    void shorten_among_crowded() {
        double& before = crowd_[cost_.restarts % crowd_.size()];
        const double span = t_ - before;
        before = t_;
        if (span < 0.1 * wish_) wish_ = std::max(span, tolerances_.min_step);
    }

    /// After a restart a change of sign is not a crossing: the functions may be other ones now.
    void look_anew() {
        if (event_count_ == 0) return;
        events(t_, y_, g_);
        for (std::size_t j = 0; j < event_count_; ++j) {
            watch_[j].side = sign(g_[j]);
            watch_[j].silent = t_ - watch_[j].last_fired <= tolerances_.event_time;
        }
    }

    /// Inputs that jump at a knot may carry an event function over zero.
    void fire_jumped() {
        events(t_, y_, g_);
        EventAction action = EventAction::go_on;
        for (std::size_t j = 0; j < event_count_; ++j) {
            Watch& w = watch_[j];
            const int s = sign(g_[j]);
            if (s == w.side) continue;
            const int before = w.side;
            settle(w, s);
            if (before != 0 && passes(system_.event_direction(j), -before) &&
                t_ - w.last_fired > 2 * tolerances_.event_time) {
                action = std::max(action, fire(j, t_, y_));
            }
        }
        if (action != EventAction::go_on) commit_event(action);
    }

    void report() {
        since_report_ = 0;
        const auto now = Clock::now();
        if (std::chrono::duration<double>(now - last_report_).count() < run_.progress_interval) {
            return;
        }
        last_report_ = now;
        if (run_.progress) run_.progress((t_ - run_.start) / (run_.end - run_.start));
        if (run_.cancel && run_.cancel->load(std::memory_order_relaxed)) {
            cost_.finish = Finish::cancelled;
        }
    }

    S& system_;
    const IntegrationPlan& run_;
    const Tolerances& tolerances_;
    Observe& observe_;
    std::size_t size_;
    std::size_t event_count_;
    ControlledBy<Stepper> stepper_;
    State y_, dydt_, y_new_, dydt_new_, y_mid_, slope_, g_, g_trial_;
    std::vector<Watch> watch_;
    State recent_restarts_;
    std::array<double, 4> crowd_{-1e300, -1e300, -1e300, -1e300};  ///< s of the last restarts
    Cost cost_;
    double t_ = 0, t_new_ = 0, wish_ = 0, first_root_ = 0;
    std::size_t interval_ = 0, next_sample_ = 0;
    int since_report_ = 0;
    bool stale_ = false;
    Clock::time_point last_report_;
};

}  // namespace lapheat::solve::detail

namespace lapheat::solve {

template <System S, Observer Observe>
Cost integrate(S& system, std::span<double> y, const IntegrationPlan& run,
               const Tolerances& tolerances, Observe&& observe) {
    using Target = std::remove_reference_t<Observe>;
    if (tolerances.method == Method::linearly_implicit) {
        if constexpr (Linearised<S>)
            return detail::Integrator<detail::LinearlyImplicit, S, Target>(system, y, run,
                                                                           tolerances, observe)(y);
        else
            throw std::logic_error("implicit steps of a system without slopes");
    }
    if (tolerances.method == Method::third_order) {
        return detail::Integrator<detail::BogackiShampine, S, Target>(system, y, run, tolerances,
                                                                      observe)(y);
    }
    return detail::Integrator<detail::DormandPrince, S, Target>(system, y, run, tolerances,
                                                                observe)(y);
}

template <System S>
Cost integrate(S& system, std::span<double> y, const IntegrationPlan& run,
               const Tolerances& tolerances) {
    return integrate(system, y, run, tolerances, [](double, const double*) {});
}

}  // namespace lapheat::solve
