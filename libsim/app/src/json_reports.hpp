// What each verb prints for machines. Here alone the command makes JSON.
#pragma once

#include <string>
#include <vector>

#include "lapheat/exchangers/map.hpp"
#include "lapheat/fluids/liquid.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/scenario/log.hpp"
#include "lapheat/scenario/problems.hpp"
#include "lapheat/study/car_fit.hpp"
#include "lapheat/study/compare.hpp"
#include "lapheat/study/line_cost.hpp"
#include "lapheat/study/plumbing.hpp"
#include "lapheat/study/search.hpp"
#include "lapheat/study/size.hpp"
#include "lapheat/study/sweep.hpp"

namespace lapheat::app {

/// What `check` found in one file.
struct CheckedFile {
    std::string file;
    bool good = true;
    std::size_t cycles = 0, assumptions = 0;
    std::vector<scenario::Problem> problems;
    std::vector<model::AssumedNumber> assumed;
    std::vector<std::string> besides;  ///< what is assumed and is no number
};
/// Every number of a car.
void print_car(const scenario::Scenario& scenario);

void print_check(const std::vector<CheckedFile>& files);

/// One cycle that was driven; `file` is empty if none was written.
struct DrivenCycle {
    const model::Result* result = nullptr;
    const std::vector<study::LineCost>* line_costs = nullptr;  ///< nullptr: not asked for
    std::string file;
};
/// `sure`: nullptr without draws.
void print_run(const std::vector<DrivenCycle>& runs, const model::Car& car,
               const study::Certainty* sure);

/// `files` in the order of the outcomes, empty if none were written; `page` empty without one.
/// `before`: the same without what logs told of the car; nullptr: no logs.
void print_compare(const study::Comparison& comparison, const std::vector<std::string>& files,
                   const std::string& page, const study::Comparison* before);

void print_size(const study::Size& size);
void print_search(const study::Search& search, const std::string& page);
void print_sweep(const study::SweepDone& done, const std::vector<study::SweepAxis>& axes,
                 const std::string& file);

void print_plumb(const std::string& placement, const std::vector<study::PlumbingItem>& items);

void print_show(const std::string& version, const std::vector<model::Result>& runs);

/// What a logger's file holds: without the samples.
void print_log(const scenario::Log& log);

/// With the traces; what is not finite is null.
void print_retrace(const study::Retrace& traced);
void print_fit(const study::CarFit& fit);

void print_rate(const std::vector<results::CoreMap>& maps);

/// A fluid at one temperature.
struct FluidPoint {
    double temperature = 0;  ///< K
    fluids::Properties properties;
    std::string flags;
};
void print_air(const std::vector<FluidPoint>& points);
/// `pressure` in Pa, absolute, of the boiling point.
void print_fluid(const fluids::Liquid& liquid, double pressure,
                 const std::vector<FluidPoint>& points);

/// Name and source of each property that a fluid has, in the order of reports.
struct NamedSource {
    const char* property;
    const fluids::PropertyInfo* info;
};
[[nodiscard]] std::vector<NamedSource> sources_of(const fluids::Info& info);

}  // namespace lapheat::app
