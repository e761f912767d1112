#include "lapheat/study/margin.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "internal.hpp"
#include "lapheat/results/binding.hpp"
#include "lapheat/solve/roots.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

constexpr double coldest_air = 233.15, hottest_air = 332.95;  // K; cycles may have 223 to 333

/// Margin against shift of the ambient, each run made once.
struct MarginOf {
    const model::Model& model;
    const drive::Cycle& cycle;
    model::Options options;
    const std::vector<std::string>& left_out;
    std::map<double, double> known = {};
    std::map<double, std::string> loop = {};
    std::size_t runs = 0;

    double operator()(double shift) {
        const auto it = known.find(shift);
        if (it != known.end()) return it->second;
        const model::Result result = model::simulate(model, shifted(cycle, shift), options);
        ++runs;
        const model::Verdict* v = results::tightest(result, left_out);
        if (!v) throw Error("no fluid with a limit to search for");
        loop[shift] = v->loop;
        return known[shift] = v->margin;
    }
};

}  // namespace

drive::Cycle shifted(const drive::Cycle& cycle, double shift) {
    drive::Cycle out = cycle;
    for (double& t : out.ambient) t += shift;
    return out;
}

HottestAmbient hottest_ambient(const model::Model& model, const drive::Cycle& cycle,
                               const model::Options& options,
                               const std::vector<std::string>& left_out, double known_margin,
                               const HottestSearch& search) {
    const auto range = std::minmax_element(cycle.ambient.begin(), cycle.ambient.end());
    const double least = *range.first, most = *range.second;
    const double low = std::min(0.0, std::max(search.coolest, coldest_air - least));
    const double high = std::max(0.0, std::min(search.hottest, hottest_air - most));
    MarginOf margin{model, cycle, options, left_out};
    margin.options.keep_series = false;
    // How far the search is nobody knows; a caller that listens (for Ctrl-C) still hears each run.
    if (options.progress)
        margin.options.progress = [&options](double part) { options.progress(0.5 * part); };
    if (std::isfinite(known_margin)) margin.known[0.0] = known_margin;

    HottestAmbient out;
    const auto found = [&](double shift, bool beyond) {
        out.shift = shift;
        out.ambient = most + shift;
        out.beyond_range = beyond;
        out.runs = margin.runs;
        auto it = margin.loop.begin();  // the run nearest the answer names the fluid
        for (auto k = margin.loop.begin(); k != margin.loop.end(); ++k)
            if (std::abs(k->first - shift) < std::abs(it->first - shift)) it = k;
        if (it != margin.loop.end()) out.loop = it->second;
        return out;
    };
    // Steps as long as the margin that is left, with a tenth and a kelvin more, until it changes
    // sign: fluid temperatures follow the air's almost one to one.
    double here = 0, value = margin(0.0);
    while (true) {
        const double next = std::clamp(here + 1.1 * value + (value >= 0 ? 1.0 : -1.0), low, high);
        if (next == here) return found(here, true);
        const double there = margin(next);
        if ((there < 0) != (value < 0)) {
            const solve::Root root = solve::bracketed_root(margin, std::min(here, next),
                                                           std::max(here, next), search.accuracy);
            return found(root.x, false);
        }
        here = next;
        value = there;
    }
}

}  // namespace lapheat::study
