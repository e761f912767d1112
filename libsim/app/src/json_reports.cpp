#include "json_reports.hpp"

#include "console.hpp"
#include "lapheat/results/json_rows.hpp"
#include "lapheat/study/report.hpp"

namespace lapheat::app {
namespace {

using results::Json;

void print_json(const Json& json) { print(results::to_text(json) + "\n"); }

Json text_or_null(const std::string& text) { return text.empty() ? Json() : Json(text); }

/// What every report begins with.
Json begun(const char* report) { return {{"report", report}, {"lapheat", results::version()}}; }

Json points_json(const std::vector<FluidPoint>& points) {
    Json out = Json::array();
    for (const FluidPoint& p : points)
        out.push_back({{"temperature", p.temperature},
                       {"density", p.properties.density},
                       {"specific_heat", p.properties.specific_heat},
                       {"conductivity", p.properties.conductivity},
                       {"viscosity", p.properties.viscosity},
                       {"prandtl", p.properties.prandtl()},
                       {"flags", p.flags}});
    return out;
}

Json problem_json(const scenario::Problem& p) {
    return {{"file", p.place.file},
            {"line", p.place.line},
            {"column", p.place.column},
            {"key", p.key},
            {"found", p.found},
            {"expected", p.expected},
            {"hint", p.hint},
            {"severity", p.severity == scenario::Severity::error ? "error" : "warning"}};
}

}  // namespace

void print_check(const std::vector<CheckedFile>& files) {
    Json listed = Json::array();
    for (const CheckedFile& f : files) {
        Json problems = Json::array();
        for (const scenario::Problem& p : f.problems) problems.push_back(problem_json(p));
        listed.push_back({{"file", f.file},
                          {"good", f.good},
                          {"cycles", f.cycles},
                          {"assumptions", f.assumptions},
                          {"assumed", results::json_rows(f.assumed)},
                          {"besides", f.besides},
                          {"problems", std::move(problems)}});
    }
    print_json(Json{{"report", "check"}, {"files", std::move(listed)}});
}

void print_car(const scenario::Scenario& s) {
    Json numbers = Json::array();
    for (const scenario::Number& n : s.numbers) {
        Json one = {{"path", n.path},           {"quantity", units::name(n.quantity)},
                    {"value", n.value},         {"low", n.value - n.half},
                    {"high", n.value + n.half}, {"origin", scenario::name(n.origin)},
                    {"relation", Json()},       {"from", Json()},
                    {"source", Json()},         {"why", text_or_null(n.why)},
                    {"file", n.place.file},     {"line", n.place.line}};
        if (n.relation != nullptr) {
            one["relation"] = std::string(n.relation->words);
            one["from"] = std::string(n.relation->from);
            one["source"] = std::string(n.relation->source);
        }
        numbers.push_back(std::move(one));
    }
    Json report = begun("car");
    report["car"] = s.car.name;
    report["placement"] = s.car.placement;
    report["numbers"] = std::move(numbers);
    print_json(report);
}

void print_run(const std::vector<DrivenCycle>& runs, const model::Car& car,
               const study::Certainty* sure) {
    Json listed = Json::array();
    for (const DrivenCycle& driven : runs) {
        Json run = results::to_json(*driven.result);
        if (driven.line_costs) run["line_costs"] = study::line_costs_json(*driven.line_costs);
        run["file"] = text_or_null(driven.file);
        listed.push_back(std::move(run));
    }
    Json out = begun("run");
    out["runs"] = std::move(listed);
    out["plumbing"] = study::plumbing_json(study::plumbing(car));
    out["wiring"] = study::wiring_json(car);
    out["certainty"] = sure ? study::certainty_json(*sure) : Json();
    print_json(out);
}

void print_compare(const study::Comparison& comparison, const std::vector<std::string>& files,
                   const std::string& page, const study::Comparison* before) {
    Json out = begun("compare");
    out.update(study::to_json(comparison));
    if (before != nullptr) out["before_the_logs"] = study::to_json(*before);
    for (std::size_t i = 0; i < out["runs"].size(); ++i)
        out["runs"][i]["file"] = i < files.size() ? Json(files[i]) : Json();
    out["page"] = text_or_null(page);
    print_json(out);
}

void print_plumb(const std::string& placement, const std::vector<study::PlumbingItem>& items) {
    Json out = begun("plumb");
    out["placement"] = placement;
    out["plumbing"] = study::plumbing_json(items);
    out["to_buy"] = study::plumbing_json(study::plumbing_totals(items));
    print_json(out);
}

void print_show(const std::string& version, const std::vector<model::Result>& runs) {
    Json listed = Json::array();
    for (const model::Result& run : runs) listed.push_back(results::to_json(run));
    print_json(Json{{"report", "show"}, {"lapheat", version}, {"runs", std::move(listed)}});
}

void print_rate(const std::vector<results::CoreMap>& maps) {
    Json out = begun("rate");
    out["maps"] = Json::array();
    for (const results::CoreMap& map : maps) out["maps"].push_back(results::to_json(map));
    print_json(out);
}

void print_air(const std::vector<FluidPoint>& points) {
    print_json(Json{{"report", "fluid"}, {"name", "dry air"}, {"points", points_json(points)}});
}

void print_fluid(const fluids::Liquid& liquid, double pressure,
                 const std::vector<FluidPoint>& points) {
    Json sources = Json::object();
    for (const auto& [property, info] : sources_of(liquid.info()))
        sources[property] = {{"source", info->source},
                             {"minimum", info->minimum},
                             {"maximum", info->maximum},
                             {"uncertainty", info->uncertainty},
                             {"note", info->note}};
    print_json(Json{{"report", "fluid"},
                    {"name", liquid.info().name},
                    {"freezing", liquid.freezing_temperature()},
                    {"boiling", liquid.boiling_temperature(pressure)},
                    {"pressure", pressure},
                    {"points", points_json(points)},
                    {"sources", std::move(sources)}});
}

void print_size(const study::Size& size) {
    Json report = begun("size");
    report.update(study::size_json(size));
    print_json(report);
}

void print_search(const study::Search& search, const std::string& page) {
    Json report = begun("search");
    report.update(study::search_json(search));
    report["page"] = text_or_null(page);
    print_json(report);
}

void print_sweep(const study::SweepDone& done, const std::vector<study::SweepAxis>& axes,
                 const std::string& file) {
    Json vary = Json::array();
    for (const study::SweepAxis& axis : axes)
        vary.push_back({{"name", axis.name},
                        {"unit", units::si_unit(axis.quantity)},
                        {"values", axis.values}});
    Json report = begun("sweep");
    report.update(Json{{"file", done.cancelled ? Json() : Json(file)},
                       {"vary", std::move(vary)},
                       {"points", done.points},
                       {"before", done.before},
                       {"done", done.done},
                       {"failed", done.failed},
                       {"first_failure", text_or_null(done.first_failure)},
                       {"runs", done.runs},
                       {"interrupted", done.cancelled},
                       {"seconds", done.seconds}});
    print_json(report);
}

void print_log(const scenario::Log& log) {
    Json channels = Json::array(), left = Json::array(), gaps = Json::array();
    for (const scenario::Channel& c : log.channels)
        channels.push_back({{"signal", scenario::entry(c.signal).name},
                            {"column", c.column},
                            {"unit", c.unit},
                            {"unit_guessed", c.unit_guessed},
                            {"mapped", c.mapped},
                            {"si_unit", units::si_unit(scenario::entry(c.signal).quantity)},
                            {"samples", c.samples},
                            {"held", c.time.size()},
                            {"empty", c.empty},
                            {"unreadable", c.unreadable},
                            {"impossible", c.impossible},
                            {"minimum", *std::ranges::min_element(c.value)},
                            {"maximum", *std::ranges::max_element(c.value)},
                            {"step", c.step},
                            {"interval", c.interval},
                            {"longest_still", c.longest_still}});
    for (const scenario::LeftOut& l : log.left_out)
        left.push_back({{"column", l.column}, {"why", l.why}});
    for (const scenario::LogGap& gap : log.gaps)
        gaps.push_back({{"begin", gap.begin}, {"end", gap.end}});
    print_json(Json{{"report", "log"},
                    {"file", log.file},
                    {"encoding", log.encoding},
                    {"separator", log.separator},
                    {"decimal_comma", log.decimal_comma},
                    {"layout", log.layout},
                    {"stamps", log.stamps},
                    {"header_line", log.header_line},
                    {"title_lines", log.title_lines},
                    {"rows", log.rows},
                    {"rows_unstamped", log.rows_unstamped},
                    {"rows_backwards", log.rows_backwards},
                    {"rows_odd", log.rows_odd},
                    {"duration", log.duration},
                    {"channels", std::move(channels)},
                    {"left_out", std::move(left)},
                    {"gaps", std::move(gaps)},
                    {"notes", log.notes}});
}

namespace {

Json trace_json(const study::TracedFluid& f) {
    return {{"signal", scenario::entry(f.signal).name},
            {"loop", f.loop},
            {"column", f.column},
            {"samples", f.samples},
            {"bias", f.bias},
            {"rms", f.rms},
            {"worst", f.worst},
            {"worst_time", f.worst_time},
            {"regulated_logged", f.regulated_logged},
            {"regulated_model", f.regulated_model},
            {"warm_logged", f.warm_logged},
            {"warm_model", f.warm_model},
            {"time", f.time},
            {"logged", f.logged},
            {"model", f.model},
            {"low", f.low},
            {"high", f.high},
            {"inside", f.low.empty() ? Json(nullptr) : Json(f.inside)}};
}

}  // namespace

void print_retrace(const study::Retrace& traced) {
    Json fluids = Json::array();
    for (const study::TracedFluid& f : traced.fluids) fluids.push_back(trace_json(f));
    print_json(Json{{"report", "retrace"},
                    {"log", traced.log},
                    {"car", traced.result.car},
                    {"placement", traced.result.placement},
                    {"drawn", traced.drawn},
                    {"fluids", std::move(fluids)},
                    {"looks", traced.looks},
                    {"notes", traced.notes}});
}

void print_fit(const study::CarFit& fit) {
    Json numbers = Json::array(), scores = Json::array(), correlation = Json::array();
    for (const study::FittedNumber& f : fit.numbers)
        numbers.push_back({{"of", f.number.of},
                           {"name", f.number.name},
                           {"fitted", f.fitted},
                           {"log", f.log.empty() ? Json(nullptr) : Json(f.log)},
                           {"told", f.told},
                           {"before", {f.before_5, f.before, f.before_95}},
                           {"after", {f.after_5, f.after, f.after_95}}});
    for (const study::FitScore& s : fit.scores)
        scores.push_back({{"log", s.log},
                          {"signal", scenario::entry(s.signal).name},
                          {"held_back", s.held_back},
                          {"samples", s.samples},
                          {"rms", {s.rms_before, s.rms_after}},
                          {"bias", {s.bias_before, s.bias_after}},
                          {"inside", {s.inside_before, s.inside_after}},
                          {"width", {s.width_before, s.width_after}},
                          {"time", s.after.time},
                          {"logged", s.after.logged},
                          {"before", s.before.model},
                          {"after", s.after.model},
                          {"low", s.low},
                          {"high", s.high}});
    for (std::size_t i = 0; i < fit.correlation.rows(); ++i) {
        Json row = Json::array();
        for (std::size_t j = 0; j < fit.correlation.columns(); ++j)
            row.push_back(fit.correlation(i, j));
        correlation.push_back(std::move(row));
    }
    Json signals = Json::array();
    for (const study::FittedSignal& s : fit.signals)
        signals.push_back({{"signal", scenario::entry(s.signal).name},
                           {"offset", s.offset},
                           {"offset_deviation", s.offset_deviation},
                           {"deviation", s.deviation},
                           {"memory", s.memory}});
    print_json(Json{{"report", "fit"},
                    {"numbers", std::move(numbers)},
                    {"correlation", std::move(correlation)},
                    {"signals", std::move(signals)},
                    {"converged", fit.converged},
                    {"near_normal", fit.near_normal},
                    {"tail", fit.tail},
                    {"bend", fit.bend},
                    {"runs", fit.runs},
                    {"scores", std::move(scores)},
                    {"notes", fit.notes}});
}

}  // namespace lapheat::app
