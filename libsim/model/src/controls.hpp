// Thermostats and fan switches: discrete modes that change at moments the integrator locates, and
// the lagging sensors they go by.
#pragma once

#include <vector>

#include "instant.hpp"
#include "lapheat/solve/integrate.hpp"
#include "slopes.hpp"

namespace lapheat::model {

/// The play of a wax thermostat: its stem follows the wax when it warms, rests over the width of
/// the hysteresis, and follows again when it cools.
enum class Play { warming, resting, cooling };

class Controls {
  public:
    /// How switches and thermostats stand.
    struct Modes {
        std::vector<bool> switch_on;
        std::vector<Play> play;
        std::vector<double> rest;  ///< K, where a resting stem stands
    };

    explicit Controls(const Model& model);

    /// Switches as their sensors stand at the start.
    void start(const double* y);
    /// Goes on as another model's controls stood.
    void take_over(const Modes& before) { modes_ = before; }
    [[nodiscard]] const Modes& modes() const { return modes_; }

    // What solve::System asks for: one event for each switch, then four for each thermostat.
    [[nodiscard]] std::size_t event_count() const;
    void events(const double* y, double* g) const;
    [[nodiscard]] solve::Crossing event_direction(std::size_t i) const;
    /// Changes the mode of the i-th event; what a person cares about is appended to `happened`.
    void handle(std::size_t i, double t, const double* y, std::vector<Event>& happened);

    /// Thermostats' lifts.
    void lifts(const Instant& now) const;
    /// What the running car asks of a fan, 0–1 of its full speed.
    [[nodiscard]] double command(std::size_t fan, const Instant& now) const;
    /// Sensors and waxes follow their fluids.
    void follow(const Instant& now) const;
    void slopes(Slopes& slopes) const;
    /// s in which no stem moves by more than `reach` times a share of its travel, if waxes go on as
    /// they did.
    [[nodiscard]] double longest_step(const double* y, const double* slope, double reach) const;

  private:
    /// What may happen to a thermostat, in the order of its four events.
    enum class Turn { up, down, opens, full, count };
    static constexpr auto turns = static_cast<std::size_t>(Turn::count);

    void thermostat_events(std::size_t thermostat, const double* y, double* g) const;
    [[nodiscard]] double stem(std::size_t thermostat, double wax) const;

    const Model& model_;
    Modes modes_;
};

}  // namespace lapheat::model
