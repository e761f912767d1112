// What a loop's lines and pumps do over a run: velocities, losses, pressures, suction. Looks at
// every record, keeps the state at the loop's least margin and the worst values of all.
#pragma once

#include <string>
#include <vector>

#include "dynamics.hpp"
#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/model/result.hpp"

namespace lapheat::model {

class LineWatch {
  public:
    LineWatch(const Dynamics& dynamics, std::size_t loop);

    /// Goes on with the same loop after a fault: its parts have the same numbers.
    void follow(const Dynamics& next) { dynamics_ = &next; }

    /// One record: `pressure` (Pa, absolute) under the cap or in the open reservoir.
    void look(double time, double pressure);
    /// The record just looked at is the loop's worst so far.
    void keep_worst();
    /// Appends lines, pumps, events and warnings.
    void finish(Result& result) const;

    // Of the last record, for series.
    double line_loss = 0;        ///< Pa, lines and fittings of the cooling run
    double return_pressure = 0;  ///< Pa above ambient where the cooling run leaves its heat source
    struct Inlet {
        double pressure = 0;  ///< Pa, absolute
        double margin = 0;    ///< m, net positive suction head available less required
    };
    std::vector<Inlet> inlets;  ///< of each pump of the loop

    [[nodiscard]] double highest_return() const { return highest_return_; }

  private:
    struct Watched {
        LineState now, kept;
        int first = 0, last = 0;  ///< elements of the part, last exclusive
        int run = 0;              ///< of the loop
        double rated_pressure = 0, rated_temperature = 0;
        bool judged = false;  ///< its velocity is judged by `use`
        hydraulics::LineUse use = hydraulics::LineUse::cooler;
    };
    struct Starving {
        PumpState state;
        bool cavitates = false, relieves = false;
        double relief = 0;  ///< Pa; 0: none
    };
    void add_parts();
    void pumps(double time, double since);

    const Dynamics* dynamics_;
    std::size_t loop_;
    std::vector<Watched> parts_;
    std::vector<Starving> pumps_;
    std::vector<Event> events_;
    std::vector<double> losses_;          ///< Pa of each element
    std::vector<double> inlet_pressure_;  ///< Pa, absolute, before each element
    int return_element_ = none;           ///< its inlet is where the heat source's return begins
    double last_time_ = 0;
    bool begun_ = false;
    double pumped_ = 0, highest_return_ = 0;
};

}  // namespace lapheat::model
