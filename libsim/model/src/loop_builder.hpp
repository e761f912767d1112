// Makes one loop flat: cells (what holds heat) and hydraulic elements (what costs pressure) of
// every part of every run, in the order that water takes.
#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "compile.hpp"
#include "lapheat/hydraulics/network_error.hpp"

namespace lapheat::model {

inline constexpr double reference_temperature = 353.15;  // K, where masses are taken: a warm loop

class LoopBuilder {
  public:
    LoopBuilder(Model& model, const Loop& loop) : model_(model), loop_(loop) {}

    /// Adds the loop's cells, walls, runs, heats and losses to the model. Throws Error with the
    /// place of the part that cannot be.
    FlatLoop build();

  private:
    using Kind = FlatLoop::Control::Kind;

    /// Where the part at hand stands.
    struct At {
        const Part& part;
        int run = 0, index = 0;
        hydraulics::Branch& branch;
    };
    struct Pending {  ///< a control whose element number is not known yet
        std::string branch, element;
        Kind kind;
        double value;
    };
    struct PendingPump {
        std::string branch, element;
        double efficiency;  ///< 0: its work is counted elsewhere
        hydraulics::SuctionNeed need;
        double bore;
    };

    // One for each kind of part: loop_parts.cpp.
    void add(const At& at, const Line& line);
    void add(const At& at, const Fitting& fitting);
    void add(const At& at, const Restriction& restriction);
    void add(const At& at, const Volume& volume);
    void add(const At& at, const CorePass& pass);
    void add(const At& at, const Pump& pump);
    void add(const At& at, const FlowSource& source);
    void add(const At& at, const CoolerFeed& feed);
    void add(const At& at, const Thermostat& thermostat);
    void add(const At& at, const Valve& valve);
    void add(const At& at, const CheckValve& valve);

    int add_cell(double volume, double metal, const At& at, std::string name);
    void surface_loss(int cell, Zone where, double at_rest, double gain);
    void control(const At& at, Kind kind, double value, const char* suffix = "");
    int node(const std::string& name);

    void add_run(const Run& run);
    void assign_element_cells();
    void settle_pumps();
    void check_shut_valves();
    void check_wax();
    void check_pressures();
    [[nodiscard]] Diagnostic of_this_loop(Diagnostic said) const;
    /// Where the file states the run or part that is wrong.
    [[nodiscard]] FilePlace place_of(const hydraulics::NetworkError& e) const;

    Model& model_;
    const Loop& loop_;
    FlatLoop flat_;
    std::map<std::string, int> nodes_;
    hydraulics::NetworkDescription network_;
    std::vector<std::size_t> elements_;  ///< of each run
    std::vector<Pending> pending_;
    std::vector<PendingPump> pumps_;
};

}  // namespace lapheat::model
