// What the air side and the wiring went through in a run: air that turned back, fans beyond their
// curves, loads that outran the alternator.
#pragma once

#include <vector>

#include "dynamics.hpp"
#include "lapheat/model/result.hpp"

namespace lapheat::model {

class AirWatch {
  public:
    explicit AirWatch(const Dynamics& dynamics);

    /// Goes on with the same car after a fault: its parts have the same numbers.
    void follow(const Dynamics& next) { dynamics_ = &next; }

    /// Looks at the dynamics as evaluated at time t, s; times do not fall.
    void look(double t);

    /// Fills the currents of the result and adds its notes.
    void tell(Result& result) const;

  private:
    struct PathTime {  ///< s of each
        double backwards = 0, outside_fit = 0, two_points = 0, shares_limited = 0;
    };
    struct FanTime {  ///< s of each
        double stalled = 0, reversed = 0, overblown = 0, windmilling = 0, running = 0;
        double air = 0;     ///< m³ while it ran
        double energy = 0;  ///< J while it ran
        double peak = 0;    ///< m³/s, most at any time
    };
    const Dynamics* dynamics_;
    airflow::AlternatorCurve alternator_;
    std::vector<PathTime> paths_;
    std::vector<FanTime> fans_;
    double driven_ = 0, last_ = 0, fan_current_ = 0, current_ = 0, shortfall_ = 0, charge_ = 0;
    bool started_ = false;
};

}  // namespace lapheat::model
