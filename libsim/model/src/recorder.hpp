// Turns evaluations of the dynamics into series, and series into verdicts.
#pragma once

#include <vector>

#include "air_watch.hpp"
#include "channels.hpp"
#include "dynamics.hpp"
#include "lapheat/hydraulics/expansion.hpp"
#include "lapheat/model/result.hpp"
#include "lapheat/model/simulate.hpp"
#include "line_watch.hpp"

namespace lapheat::model {

class Recorder {
  public:
    Recorder(Dynamics& dynamics, Result& result, const Options& options);

    /// Goes on with the same car after a fault: its parts have the same numbers.
    void follow(Dynamics& next);

    /// Records the state at a time; evaluates the right-hand side there.
    void operator()(double t, const double* y);

    /// Fills verdicts, warnings and what sums over the run; drops the series if not kept.
    void finish();

    [[nodiscard]] std::size_t evaluations() const { return evaluations_; }

  private:
    struct Watch {  ///< what is needed of a loop for its verdict, one entry for each sample
        std::vector<double> temperature, limit, flow, line_loss;
        std::vector<CoreOutput> core_state;
        std::vector<double> core_flow, core_capacity;  ///< m³/s and W/K of the fluid at its core
        std::vector<double> vapour, lost;              ///< W, kg
        std::vector<double> boiling, wall;             ///< K, of loops with a boiling point in play
        std::vector<int> cell;
        int core = none;
        double least = 0;  ///< K, least margin so far
    };
    void connect();
    void connect_drive();
    void connect_loop(std::size_t loop);
    void connect_cells();
    void connect_cores();
    void connect_air();
    void connect_thermostats();
    void watch(std::size_t loop);
    double limit_temperature(std::size_t loop);
    double pressure_of(std::size_t loop);
    void judge(std::size_t loop);
    void soak_events(std::size_t loop);
    void lost_events(std::size_t loop);
    void collect_warnings();

    Dynamics* dynamics_;
    Result& result_;
    bool keep_, fluids_only_;
    std::vector<double> scratch_;
    Channels channels_;
    std::vector<Watch> watches_;
    std::vector<LineWatch> lines_;
    std::vector<double> loop_limit_, loop_hottest_, loop_pressure_, loop_boiling_;
    std::vector<bool> running_;
    std::vector<double> ambient_;  ///< K at each sample
    struct Tank {                  ///< the gas over a loop's liquid, and what its cap has done
        hydraulics::ExpansionVolume volume;
        hydraulics::GasContent gas;
        bool begun = false, vented = false, spilt = false;
    };
    std::vector<Tank> tanks_;
    struct KnownLimit {  ///< of one ambient pressure and one cap
        double ambient = -1, cap = 0, limit = 0;
    };
    std::vector<KnownLimit> known_limits_;
    std::vector<Event> cap_events_;
    std::vector<unsigned> core_flags_, fluid_flags_;
    struct Drive {  ///< what the drive and its heat are at the record
        double speed = 0, engine_speed = 0, ambient = 0;  ///< m/s, rad/s, K
        PerStream<double> heat;                           ///< W
    };
    Drive drive_;
    double asked_cold_ = 0, given_cold_ = 0;  ///< W of the condenser, sums over the records
    AirWatch air_watch_;
    std::size_t evaluations_ = 0, failures_ = 0;
};

}  // namespace lapheat::model
