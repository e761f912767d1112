// The air's part of the right-hand side: paths, cores in their columns, fans.
//
// A path with its cores' films is held until its air or its cores' liquids have drifted, or while a
// fan is on its way to a new speed (see dynamics.hpp).
#pragma once

#include <vector>

#include "controls.hpp"
#include "instant.hpp"
#include "liquid_side.hpp"

namespace lapheat::model {

inline constexpr double air_lag = 1.0;  ///< s, a core's air is renewed in less
/// kg/s of a passage below which both its ends breathe.
inline constexpr double creeping_air = 2e-3;

inline double supply_voltage(const ForcingRow& row) { return supply_voltage(row.engine_on); }

class AirSide {
  public:
    /// hold: as of LiquidSide. `first`: the air at the start.
    AirSide(const Model& model, double hold, const ForcingRow& first, Outputs& out,
            bool by_step = false);

    void enter_interval(const ForcingRow& row);
    void stale();
    /// Ages the paths whose air or cores have drifted; true if any.
    bool age(const double* y, const Outputs& out);

    // The steps of one evaluation, in their order.
    /// Paths that are due, with their cores' films, and all fans' drives.
    /// True if any path was solved.
    bool flows(const Instant& now, const Controls& controls, const LiquidSide& liquid);
    void cores(const Instant& now);  ///< heat into the air
    void fans(const Instant& now);   ///< towards their targets
    /// Fans' speeds in `ahead` s, put into a state.
    void predict(double ahead, double* y) const;
    /// Sends fans where a new interval or mode wants them, at the air that they last had.
    void drive(const Instant& now, const Controls& controls);
    /// s in which no fan changes its speed by more than `reach` times a share of full speed.
    [[nodiscard]] double longest_step(const double* y, double reach) const;
    /// Slopes of the columns' heat and air, and of the fans, after these.
    void slopes(const Instant& now, const LiquidSide& liquid, Slopes& slopes) const;

  private:
    /// One core's column: heat = working·(liquid in − air in) + standing·(cell − air in).
    struct Column {
        double air = 0, capacity = 0;      ///< kg/s, W/K
        double working = 0, standing = 0;  ///< W/K
        double mixing = 0;                 ///< 0 air that stands – 1 air that flows
        double heat = 0;                   ///< W that is not a fluid's
        double outlet = 0;                 ///< K of the air behind, for which the path was solved
    };
    /// A core's liquid, for which its path was solved.
    struct Liquid {
        double temperature = 0, flow = 0;  ///< K, kg/s
    };

    void solve_path(std::size_t path, const Instant& now, const Controls& controls,
                    const LiquidSide& liquid);
    void begin_cores(const FlatPath& path, Outputs& out);
    void hold_column(std::size_t passage, const Instant& now, const LiquidSide& liquid);
    void work_column(std::size_t passage, double temperature_in, const Instant& now);
    void column_slopes(std::size_t passage, const Instant& now, const LiquidSide& liquid,
                       Slopes& slopes) const;
    /// The air that lies at a passage's ends, as states.
    [[nodiscard]] int state_before(const FlatPassage& passage) const;
    [[nodiscard]] int state_behind(const FlatPassage& passage) const;
    /// Calls `use(state, share)` for the air that a passage's inlet is a mixture of.
    template <class Use>
    void sources_of_air(std::size_t passage, const Instant& now, Use&& use) const;
    template <class Use>
    void sources_of_moving_air(std::size_t passage, const Instant& now, Use&& use) const;
    void drive_fan(std::size_t fan, const Instant& now, const Controls& controls);
    [[nodiscard]] double fan_speed(std::size_t fan, const double* y) const;
    [[nodiscard]] bool spinning(const double* y, std::size_t path) const;
    [[nodiscard]] bool drifted(const double* y, std::size_t path, const Outputs& out) const;

    const Model& model_;
    const double hold_;
    const bool by_step_;
    const int bay_, fan_energy_;  ///< states
    const double bay_capacity_;   ///< J/K
    std::vector<airflow::PathInputs> inputs_;
    std::vector<std::vector<double>> passage_inlet_;  ///< K, of each path's passages

    // Held.
    std::vector<char> stale_;         ///< of each path
    std::vector<Column> columns_;     ///< of each passage
    std::vector<Liquid> liquid_;      ///< of each core
    std::vector<double> inlet_;       ///< K of each path, for which it was solved
    std::vector<double> fan_target_;  ///< speed fractions that the drives go for
};

}  // namespace lapheat::model
