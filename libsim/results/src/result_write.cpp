#include <hdf5.h>

#include <cctype>
#include <numeric>
#include <set>

#include "lapheat/results/result_file.hpp"
#include "verdict_fields.hpp"

namespace lapheat::results {
namespace {

constexpr std::size_t longest_word = 80;

const char* word(model::LedgerEntry::Direction direction) {
    return model::direction_name(direction);
}

std::vector<std::int64_t> counted(std::size_t n) {
    std::vector<std::int64_t> out(n);
    std::iota(out.begin(), out.end(), std::int64_t{1});
    return out;
}

template <class T, class F>
auto column(const std::vector<T>& rows, F&& get) {
    std::vector<std::decay_t<decltype(get(rows.front()))>> out;
    out.reserve(rows.size());
    for (const T& row : rows) out.push_back(get(row));
    return out;
}

/// A path of parts named by people: each word of it fit for HDF5 and for no name that has a
/// meaning of its own there.
std::string group_path(const std::string& text) {
    std::string out;
    for (std::size_t start = 0; start <= text.size();) {
        const std::size_t slash = std::min(text.find('/', start), text.size());
        std::string w = path_word(std::string_view(text).substr(start, slash - start));
        if (w == "time" || w == "." || w == "..") w += '_';
        out += (out.empty() ? "" : "/") + w;
        start = slash + 1;
    }
    return out;
}

void put_series(Hdf5Writer& w, const std::string& root, const model::Result& result) {
    w.scale(root + "/time", result.time,
            {{"units", "s"}, {"long_name", "time since the start of the cycle"}});
    // A part may have been given the name of a series; the series then steps aside.
    std::set<std::string> taken;
    for (const model::Series& s : result.series)
        for (std::string group = group_path(s.group);; group.resize(group.rfind('/'))) {
            taken.insert(group);
            if (group.find('/') == std::string::npos) break;
        }
    for (const model::Series& s : result.series) {
        if (s.values.size() != result.time.size()) continue;  // a run without series keeps none
        std::string path = group_path(s.group) + "/" + s.name;
        while (!taken.insert(path).second) path += '_';
        w.numbers(
            root + "/" + path, s.values, {root + "/time"},
            {{"units", s.units}, {"long_name", s.long_name}, {"group", s.group}, {"name", s.name}});
    }
}

void put_events(Hdf5Writer& w, const std::string& at, const std::vector<model::Event>& events) {
    w.scale(at + "/event", counted(events.size()));
    const std::vector<std::string> axis = {at + "/event"};
    w.numbers(at + "/time", column(events, [](const auto& e) { return e.time; }), axis,
              {{"units", "s"}, {"long_name", "when it happened"}});
    w.strings(at + "/kind", column(events, [](const auto& e) { return e.kind; }), axis);
    w.strings(at + "/subject", column(events, [](const auto& e) { return e.subject; }), axis);
    w.numbers(at + "/value", column(events, [](const auto& e) { return e.value; }), axis,
              {{"units", "K"}, {"long_name", "temperature concerned"}});
}

void put_ledger(Hdf5Writer& w, const std::string& at, const model::Ledger& ledger) {
    w.group(at, {{"moved", ledger.moved}, {"closure", ledger.closure}});
    w.scale(at + "/name", column(ledger.entries, [](const auto& e) { return e.name; }));
    w.strings(at + "/direction",
              column(ledger.entries, [](const auto& e) { return std::string(word(e.direction)); }),
              {at + "/name"});
    w.numbers(at + "/joules", column(ledger.entries, [](const auto& e) { return e.joules; }),
              {at + "/name"}, {{"units", "J"}, {"long_name", "energy over the run"}});
}

void put_sources(Hdf5Writer& w, const std::string& at,
                 const std::vector<model::HeatSource>& sources) {
    w.scale(at + "/entry", counted(sources.size()));
    const std::vector<std::string> axis = {at + "/entry"};
    w.strings(at + "/source", column(sources, [](const auto& s) { return s.source; }), axis);
    w.strings(at + "/path", column(sources, [](const auto& s) { return s.path; }), axis);
    w.numbers(at + "/joules", column(sources, [](const auto& s) { return s.joules; }), axis,
              {{"units", "J"}, {"long_name", "heat made over the run"}});
}

void put_verdicts(Hdf5Writer& w, const std::string& at,
                  const std::vector<model::Verdict>& verdicts) {
    const std::vector<std::string> axis = {at + "/loop"};
    w.scale(axis[0], column(verdicts, [](const auto& v) { return v.loop; }));
    for (const VerdictNumber& number : verdict_numbers)
        w.numbers(at + "/" + number.name,
                  column(verdicts, [&](const auto& v) { return v.*number.member; }), axis,
                  {{"units", number.units}, {"long_name", number.long_name}});
    w.strings(at + "/part", column(verdicts, [](const auto& v) { return v.part; }), axis);
    w.strings(at + "/core", column(verdicts, [](const auto& v) { return v.core; }), axis);
    w.strings(at + "/note", column(verdicts, [](const auto& v) { return v.note; }), axis);
}

void put_lines(Hdf5Writer& w, const std::string& at, const std::vector<model::LineState>& lines) {
    if (lines.empty()) return;
    w.scale(at + "/line", counted(lines.size()));
    const std::vector<std::string> axis = {at + "/line"};
    w.strings(at + "/loop", column(lines, [](const auto& l) { return l.loop; }), axis);
    w.strings(at + "/run", column(lines, [](const auto& l) { return l.run; }), axis);
    w.strings(at + "/part", column(lines, [](const auto& l) { return l.part; }), axis);
    w.strings(at + "/kind", column(lines, [](const auto& l) { return l.kind; }), axis);
    for (const auto& n : line_numbers)
        w.numbers(at + "/" + n.name, column(lines, [&](const auto& l) { return l.*n.member; }),
                  axis, {{"units", n.units}, {"long_name", n.long_name}});
}

void put_pumps(Hdf5Writer& w, const std::string& at, const std::vector<model::PumpState>& pumps) {
    if (pumps.empty()) return;
    w.scale(at + "/number", counted(pumps.size()));
    const std::vector<std::string> axis = {at + "/number"};
    w.strings(at + "/loop", column(pumps, [](const auto& p) { return p.loop; }), axis);
    w.strings(at + "/pump", column(pumps, [](const auto& p) { return p.pump; }), axis);
    for (const auto& n : pump_numbers)
        w.numbers(at + "/" + n.name, column(pumps, [&](const auto& p) { return p.*n.member; }),
                  axis, {{"units", n.units}, {"long_name", n.long_name}});
}

void put_limits(Hdf5Writer& w, const std::string& at, const std::vector<LoopLimits>& limits) {
    if (limits.empty()) return;
    const std::vector<std::string> axis = {at + "/loop"};
    const Attributes kelvin = {{"units", "K"}};
    w.scale(axis[0], column(limits, [](const auto& l) { return l.loop; }));
    w.numbers(at + "/caution", column(limits, [](const auto& l) { return l.limits.caution; }), axis,
              kelvin);
    w.numbers(at + "/limit", column(limits, [](const auto& l) { return l.limits.limit; }), axis,
              kelvin);
    w.numbers(at + "/boiling_reserve",
              column(limits, [](const auto& l) { return l.limits.boiling_reserve; }), axis, kelvin);
    w.strings(at + "/part", column(limits, [](const auto& l) { return l.limits.part; }), axis);
    w.strings(at + "/note", column(limits, [](const auto& l) { return l.limits.note; }), axis);
}

void put_totals(Hdf5Writer& w, const std::string& root, const model::Result& result) {
    const double duration = result.time.empty() ? 0.0 : result.time.back() - result.time.front();
    w.number(root + "/totals/distance", result.distance, {{"units", "m"}});
    w.number(root + "/totals/duration", duration, {{"units", "s"}});
    w.number(root + "/totals/fan_energy", result.fan_energy,
             {{"units", "J"}, {"long_name", "electrical energy of all fans"}});
    w.number(root + "/totals/peak_fan_current", result.peak_fan_current, {{"units", "A"}});
    for (const CurrentNumber& c : current_numbers)
        w.number(root + "/totals/" + c.name, result.*c.member,
                 {{"units", c.units}, {"long_name", c.long_name}});
    for (const CostCount& c : cost_counts)
        w.number(root + "/cost/" + c.name, static_cast<double>(result.cost.*c.member),
                 {{"units", "1"}});
    for (const CostNumber& c : cost_numbers)
        w.number(root + "/cost/" + c.name, result.cost.*c.member, {{"units", c.units}});
}

void put_notes(Hdf5Writer& w, const std::string& root, const model::Result& result) {
    w.scale(root + "/phases/phase", counted(result.phases.size()));
    w.numbers(root + "/phases/start", column(result.phases, [](const auto& p) { return p.first; }),
              {root + "/phases/phase"}, {{"units", "s"}});
    w.strings(root + "/phases/name", column(result.phases, [](const auto& p) { return p.second; }),
              {root + "/phases/phase"});
    w.scale(root + "/notes/warning", result.warnings);
    w.scale(root + "/notes/assumption", result.assumptions);
}

}  // namespace

std::string path_word(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool kept =
            byte >= 0x80 || std::isalnum(byte) != 0 || c == '-' || c == '.' || c == '+';
        if (kept)
            out += static_cast<char>(byte < 0x80 ? std::tolower(byte) : byte);
        else if (!out.empty() && out.back() != '_')
            out += '_';
    }
    while (!out.empty() && out.back() == '_') out.pop_back();
    if (out.size() > longest_word) {
        std::size_t end = longest_word;
        while (end > 0 && (static_cast<unsigned char>(out[end]) & 0xC0U) == 0x80U)
            --end;  // whole characters
        out.resize(end);
    }
    return out.empty() ? "unnamed" : out;
}

const char* version() noexcept { return LAPHEAT_VERSION; }

std::vector<LoopLimits> limits_of(const model::Car& car) {
    return column(car.loops, [](const model::Loop& loop) {
        return LoopLimits{loop.name, loop.limits};
    });
}

std::string run_path(const model::Result& result) {
    return "/runs/" + path_word(result.placement) + "/" + path_word(result.cycle);
}

void put_result(Hdf5Writer& writer, const std::string& root, const model::Result& result,
                const std::vector<LoopLimits>& limits) {
    if (!root.empty()) writer.group(root);
    writer.attributes(root.empty() ? "/" : root, {{"car", result.car},
                                                  {"placement", result.placement},
                                                  {"summary", result.summary},
                                                  {"cycle", result.cycle}});
    put_series(writer, root, result);
    put_events(writer, root + "/events", result.events);
    put_ledger(writer, root + "/ledger", result.ledger);
    put_sources(writer, root + "/sources", result.sources);
    put_verdicts(writer, root + "/verdicts", result.verdicts);
    put_lines(writer, root + "/lines", result.lines);
    put_pumps(writer, root + "/pumps", result.pumps);
    put_limits(writer, root + "/limits", limits);
    put_totals(writer, root, result);
    put_notes(writer, root, result);
}

void put_texts(Hdf5Writer& writer, std::span<const TextFile> files) {
    unsigned major = 0, minor = 0, release = 0;
    H5get_libversion(&major, &minor, &release);
    writer.attributes("/", {{"lapheat", std::string(version())},
                            {"hdf5", std::to_string(major) + "." + std::to_string(minor) + "." +
                                         std::to_string(release)}});
    std::vector<std::string> paths, texts;
    std::set<std::string> seen;  // cars that extend one file name it once each
    for (const TextFile& file : files) {
        if (!seen.insert(file.path + '\n' + file.text).second) continue;
        paths.push_back(file.path);
        texts.push_back(file.text);
    }
    writer.scale("/scenario/file", paths);
    writer.strings("/scenario/text", texts, {"/scenario/file"});
}

void write_result(const std::filesystem::path& target, const model::Result& result,
                  const Origin& origin) {
    Hdf5Writer writer(target);
    put_texts(writer, origin.files);
    put_result(writer, "", result, origin.limits);
    writer.commit();
}

}  // namespace lapheat::results
