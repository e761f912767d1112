// A fit as HDF5.
#include <fmt/format.h>

#include <numeric>
#include <utility>

#include "columns.hpp"
#include "lapheat/results/hdf5_file.hpp"
#include "lapheat/study/fit_report.hpp"

namespace lapheat::study {
namespace {

using results::Attributes;

std::vector<const FittedNumber*> fitted_of(const CarFit& fit) {
    std::vector<const FittedNumber*> out;
    for (const FittedNumber& f : fit.numbers)
        if (f.fitted) out.push_back(&f);
    return out;
}

void write_numbers(results::Hdf5Writer& w, const CarFit& fit) {
    const std::vector<const FittedNumber*> rows = fitted_of(fit);
    const std::vector<std::string> over{"/number"};
    const auto names = column_of(rows, [](const auto* f) { return f->number.name; });
    w.scale("/number", names);
    w.strings("/of", column_of(rows, [](const auto* f) { return f->number.of; }), over);
    w.strings("/log", column_of(rows, [](const auto* f) { return f->log; }), over,
              {{"long_name", "the one log that the number is of; empty: of the car"}});
    const std::pair<const char*, double FittedNumber::*> columns[] = {
        {"/before_5", &FittedNumber::before_5},   {"/before", &FittedNumber::before},
        {"/before_95", &FittedNumber::before_95}, {"/after_5", &FittedNumber::after_5},
        {"/after", &FittedNumber::after},         {"/after_95", &FittedNumber::after_95}};
    for (const auto& [path, member] : columns)
        w.numbers(path, column_of(rows, [&](const auto* f) { return f->*member; }), over,
                  {{"long_name", "share of its draws that lie below, in percent: 50 or as named"}});
    w.numbers("/told", column_of(rows, [](const auto* f) { return f->told; }), over,
              {{"long_name", "share of its variance that the logs took away"}, {"units", "1"}});
    if (rows.empty()) return;
    w.scale("/with", names);
    w.numbers("/correlation", fit.correlation.values(), {"/number", "/with"}, {{"units", "1"}});
    std::vector<std::int64_t> draw(fit.draws.size());
    std::iota(draw.begin(), draw.end(), std::int64_t{0});
    w.scale("/draw", draw);
    std::vector<double> values;
    for (const std::vector<double>& row : fit.draws)
        values.insert(values.end(), row.begin(), row.end());
    w.numbers("/value", values, {"/draw", "/number"},
              {{"long_name", "the joint posterior, SI: each draw is one car"}});
}

void write_scores(results::Hdf5Writer& w, const CarFit& fit) {
    const std::vector<FitScore>& s = fit.scores;
    std::vector<std::int64_t> count(s.size());
    std::iota(count.begin(), count.end(), std::int64_t{0});
    const std::vector<std::string> over{"/score"};
    w.scale("/score", count);
    w.strings("/score_log", column_of(s, [](const auto& x) { return x.log; }), over);
    w.strings("/score_loop", column_of(s, [](const auto& x) { return x.before.loop; }), over);
    w.integers("/held_back",
               column_of(s, [](const auto& x) -> std::int64_t { return x.held_back; }), over,
               {{"long_name", "1: not fitted, a test"}});
    w.integers("/samples",
               column_of(s, [](const auto& x) { return static_cast<std::int64_t>(x.samples); }),
               over);
    struct Column {
        const char* path;
        double FitScore::*value;
        const char* units;
    };
    constexpr Column columns[] = {{"/rms_before", &FitScore::rms_before, "K"},
                                  {"/rms_after", &FitScore::rms_after, "K"},
                                  {"/bias_before", &FitScore::bias_before, "K"},
                                  {"/bias_after", &FitScore::bias_after, "K"},
                                  {"/inside_before", &FitScore::inside_before, "1"},
                                  {"/inside_after", &FitScore::inside_after, "1"},
                                  {"/width_before", &FitScore::width_before, "K"},
                                  {"/width_after", &FitScore::width_after, "K"}};
    for (const Column& c : columns)
        w.numbers(c.path, column_of(s, [&](const FitScore& x) { return x.*c.value; }), over,
                  {{"units", c.units}});
}

void write_traces(results::Hdf5Writer& w, const CarFit& fit) {
    std::size_t log = 0;
    for (std::size_t i = 0; i < fit.scores.size(); ++i) {
        const FitScore& s = fit.scores[i];
        if (i == 0 || s.log != fit.scores[i - 1].log) ++log;
        const std::string group = fmt::format("/log_{}/{}", log, scenario::entry(s.signal).name);
        w.group(group, {{"log", s.log}, {"held_back", std::int64_t{s.held_back}}});
        const std::string time = group + "/time";
        w.scale(time, s.after.time, {{"units", "s"}});
        const auto put = [&](const char* name, const std::vector<double>& values) {
            w.numbers(group + "/" + name, values, {time}, {{"units", "K"}});
        };
        put("logged", s.after.logged), put("before", s.before.model);
        put("after", s.after.model), put("low", s.low), put("high", s.high);
        std::vector<double> residual;
        for (std::size_t k = 0; k < s.after.time.size(); ++k)
            residual.push_back(s.after.model[k] - s.after.logged[k]);
        put("residual", residual);
    }
}

}  // namespace

void write_fit(const std::filesystem::path& target, const CarFit& fit) {
    results::Hdf5Writer w(target);
    w.attributes("/", {{"report", "fit"},
                       {"converged", std::int64_t{fit.converged}},
                       {"near_normal", fit.near_normal},
                       {"tail", fit.tail},
                       {"runs", static_cast<std::int64_t>(fit.runs)},
                       {"notes", fit.notes}});
    write_numbers(w, fit);
    if (const auto untold = untold_numbers(fit); !untold.empty()) w.scale("/untold", untold);
    if (!fit.scores.empty()) write_scores(w, fit);
    write_traces(w, fit);
    w.commit();
}

}  // namespace lapheat::study
