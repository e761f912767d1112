#include "lapheat/study/draw_file.hpp"

#include <fmt/core.h>

#include <algorithm>
#include <charconv>
#include <numeric>

#include "columns.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/units/error.hpp"

namespace lapheat::study {
namespace {

using results::Attributes;

/// The float columns of an outcome.
struct Column {
    const char* path;
    float FluidOutcome::*value;
    results::Unit unit;
    const char* words;
};
constexpr units::Quantity on_scale = units::Quantity::temperature,
                          difference = units::Quantity::temperature_difference;
constexpr Column columns[] = {
    {"/margin", &FluidOutcome::margin, difference, "least margin to the limit"},
    {"/peak", &FluidOutcome::peak, on_scale, "highest temperature"},
    {"/air_rise", &FluidOutcome::air_rise, difference,
     "air at the core above ambient, at that margin"},
    {"/air_flow", &FluidOutcome::air_flow, "kg s-1", "air through the core then"},
    {"/flow", &FluidOutcome::flow, "m3 s-1", "flow through the core, time mean"}};

std::vector<std::int64_t> counted(std::size_t n) {
    std::vector<std::int64_t> out(n);
    std::iota(out.begin(), out.end(), 0);
    return out;
}

void write_numbers(results::Hdf5Writer& w, const DrawTable& t) {
    const std::vector<std::string> over{"/number"};
    w.scale("/number", column_of(t.numbers, [](const auto& n) { return n.name; }));
    w.strings("/of", column_of(t.numbers, [](const auto& n) { return n.of; }), over);
    w.strings("/origin",
              column_of(t.numbers, [](const auto& n) { return std::string(name(n.origin)); }),
              over);
    w.strings("/why", column_of(t.numbers, [](const auto& n) { return n.why; }), over);
    w.strings("/source", column_of(t.numbers, [](const auto& n) { return n.source; }), over);
    w.numbers("/stated", column_of(t.numbers, [](const auto& n) { return n.value; }), over);
    w.numbers("/low", column_of(t.numbers, [](const auto& n) { return n.low; }), over);
    w.numbers("/high", column_of(t.numbers, [](const auto& n) { return n.high; }), over);
    std::vector<std::int64_t> in;
    for (const DoubtedNumber& n : t.numbers)
        for (std::size_t p = 0; p < t.placements.size(); ++p) in.push_back(n.stands_in(p) ? 1 : 0);
    w.scale("/place", counted(t.placements.size()));
    w.integers("/in", in, {"/number", "/place"},
               {{"long_name", "whether the placement's car has that number"}});
    std::vector<double> value, share;
    for (std::size_t n = 0; n < t.draws; ++n)
        for (std::size_t k = 0; k < t.numbers.size(); ++k) {
            value.push_back(t.value(k, n));
            share.push_back(t.drawn[k][n]);
        }
    w.numbers("/value", value, {"/draw", "/number"}, {{"long_name", "what was drawn, SI"}});
    w.numbers("/share", share, {"/draw", "/number"},
              {{"long_name", "share of all cases below it"}, {"units", "1"}});
}

void write_outcomes(results::Hdf5Writer& w, const DrawTable& t) {
    const std::size_t width = t.placements.size() * t.cycles.size() * t.loops.size();
    w.scale("/outcome", counted(width));
    std::vector<std::string> placement, cycle, loop;
    for (const std::string& p : t.placements)
        for (const std::string& c : t.cycles)
            for (const std::string& l : t.loops) {
                placement.push_back(p);
                cycle.push_back(c);
                loop.push_back(l);
            }
    w.strings("/placement", placement, {"/outcome"});
    w.strings("/cycle", cycle, {"/outcome"});
    w.strings("/loop", loop, {"/outcome"});
    for (const Column& column : columns)
        w.numbers(
            column.path,
            column_of(t.outcomes, [&](const FluidOutcome& o) -> double { return o.*column.value; }),
            {"/draw", "/outcome"}, results::described(column.unit, column.words));
    w.integers("/holds",
               column_of(t.outcomes,
                         [](const FluidOutcome& o) -> std::int64_t { return o.holds ? 1 : 0; }),
               {"/draw", "/outcome"}, {{"long_name", "below its limit, and does not boil"}});
    std::vector<double> duration;
    for (std::size_t i = 0; i < width; ++i)
        duration.push_back(t.durations.at(i / t.loops.size() % t.cycles.size()));
    w.numbers("/duration", duration, {"/outcome"}, {{"units", "s"}});
    w.scale("/course_number", counted(t.courses.size() / band_steps));
    w.scale("/step", counted(band_steps));
    w.numbers("/course", std::vector<double>(t.courses.begin(), t.courses.end()),
              {"/course_number", "/step"}, results::described(on_scale, "watched temperature"));
}

std::vector<std::string> list(const results::Hdf5Reader& r, const char* name) {
    const auto value = r.attribute("/", name);
    if (value)
        if (const auto* texts = std::get_if<std::vector<std::string>>(&*value)) return *texts;
    throw Error("the file holds no draws", "one written by compare --draws");
}

std::uint64_t number(const results::Hdf5Reader& r, const char* name) {
    const std::string text = r.label("/", name);
    std::uint64_t out = 0;
    std::from_chars(text.data(), text.data() + text.size(), out, 16);
    return out;
}

}  // namespace

void write_draws(const std::filesystem::path& target, const DrawTable& t) {
    results::Hdf5Writer w(target);
    w.attributes("/", results::origin_attributes());
    w.attributes("/", {{"title", std::string("drawn cars: margins and peaks")},
                       {"content", std::string("draws")},
                       {"series", fmt::format("{:x}", t.series)},
                       {"fingerprint", fmt::format("{:x}", t.fingerprint)},
                       {"placements", t.placements},
                       {"cycles", t.cycles},
                       {"loops", t.loops}});
    w.scale("/draw", counted(t.draws));
    write_numbers(w, t);
    write_outcomes(w, t);
    w.scale("/failure", counted(t.failed.size()));
    w.integers("/failed_draw",
               column_of(t.failed, [](const auto& f) { return static_cast<std::int64_t>(f.draw); }),
               {"/failure"});
    w.strings("/failed_placement", column_of(t.failed, [](const auto& f) { return f.placement; }),
              {"/failure"});
    w.strings("/failed_cycle", column_of(t.failed, [](const auto& f) { return f.cycle; }),
              {"/failure"});
    w.strings("/failed_what", column_of(t.failed, [](const auto& f) { return f.what; }),
              {"/failure"});
    w.commit();
}

DrawTable read_draws(const std::filesystem::path& file) {
    const results::Hdf5Reader r(file);
    if (r.label("/", "content") != "draws")
        throw Error("'" + file.string() + "' holds no draws", "one written by compare --draws");
    DrawTable t;
    t.series = number(r, "series");
    t.fingerprint = number(r, "fingerprint");
    t.placements = list(r, "placements");
    t.cycles = list(r, "cycles");
    t.loops = list(r, "loops");
    t.draws = r.integers("/draw").size();
    const auto names = r.strings("/number"), of = r.strings("/of"), origin = r.strings("/origin");
    const auto value = r.numbers("/stated"), low = r.numbers("/low"), high = r.numbers("/high");
    r.need_rows(of.size(), names.size(), "/of");
    r.need_rows(origin.size(), names.size(), "/origin");
    r.need_rows(value.size(), names.size(), "/stated");
    r.need_rows(low.size(), names.size(), "/low");
    r.need_rows(high.size(), names.size(), "/high");
    for (std::size_t k = 0; k < names.size(); ++k) {
        DoubtedNumber n;
        n.name = names[k];
        n.of = of[k];
        for (const auto known :
             {scenario::Origin::yours, scenario::Origin::derived, scenario::Origin::assumed})
            if (origin[k] == name(known)) n.origin = known;
        n.value = value[k];
        n.low = low[k];
        n.high = high[k];
        t.numbers.push_back(std::move(n));
    }
    if (r.has("/in")) {  // files of before have none
        const auto in = r.integers("/in");
        r.need_rows(in.size(), names.size() * t.placements.size(), "/in");
        for (std::size_t i = 0; i < in.size(); ++i)
            t.numbers[i / t.placements.size()].in.push_back(in[i] != 0);
    }
    const auto share = r.numbers("/share");
    r.need_rows(share.size(), t.draws * names.size(), "/share");
    t.drawn.assign(names.size(), std::vector<double>(t.draws));
    for (std::size_t n = 0; n < t.draws; ++n)
        for (std::size_t k = 0; k < names.size(); ++k) t.drawn[k][n] = share[n * names.size() + k];
    t.outcomes.resize(t.index(t.draws, 0, 0, 0));
    for (const Column& column : columns) {
        const auto values = r.numbers(column.path);
        r.need_rows(values.size(), t.outcomes.size(), column.path);
        for (std::size_t i = 0; i < t.outcomes.size(); ++i)
            t.outcomes[i].*column.value = static_cast<float>(values[i]);
    }
    const auto holds = r.integers("/holds");
    r.need_rows(holds.size(), t.outcomes.size(), "/holds");
    for (std::size_t i = 0; i < t.outcomes.size(); ++i) t.outcomes[i].holds = holds[i] != 0;
    for (const double x : r.numbers("/course")) t.courses.push_back(static_cast<float>(x));
    r.need_rows(t.courses.size(), t.index(std::min(t.draws, band_draws), 0, 0, 0) * band_steps,
                "/course");
    const auto duration = r.numbers("/duration");
    r.need_rows(duration.size(), t.index(1, 0, 0, 0), "/duration");
    for (std::size_t c = 0; c < t.cycles.size(); ++c)
        t.durations.push_back(duration[c * t.loops.size()]);
    const auto draw = r.integers("/failed_draw");
    const auto placement = r.strings("/failed_placement"), cycle = r.strings("/failed_cycle"),
               what = r.strings("/failed_what");
    r.need_rows(placement.size(), draw.size(), "/failed_placement");
    r.need_rows(cycle.size(), draw.size(), "/failed_cycle");
    r.need_rows(what.size(), draw.size(), "/failed_what");
    for (const std::int64_t n : draw)
        if (n < 0 || static_cast<std::size_t>(n) >= t.draws)
            throw Error(fmt::format("'/failed_draw' holds {}", n),
                        fmt::format("0 to {}", t.draws - 1), {file.string(), 0, 0}, "/failed_draw");
    for (std::size_t i = 0; i < draw.size(); ++i)
        t.failed.push_back({static_cast<std::size_t>(draw[i]), placement[i], cycle[i], what[i]});
    return t;
}

}  // namespace lapheat::study
