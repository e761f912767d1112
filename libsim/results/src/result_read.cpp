#include <algorithm>
#include <iterator>

#include "lapheat/results/result_file.hpp"
#include "verdict_fields.hpp"

namespace lapheat::results {
namespace {

bool holds_series(const std::string& group) {
    return std::none_of(std::begin(tables_of_a_run), std::end(tables_of_a_run),
                        [&](const char* name) { return group == name; });
}

void read_series(const Hdf5Reader& reader, const std::string& root, const std::string& group,
                 model::Result& out) {
    const std::string at = root + "/" + group;
    for (const std::string& name : reader.datasets(at)) {
        const std::string path = at + "/" + name;
        if (name == "time" || reader.dimensions(path) != std::vector<std::string>{"time"}) continue;
        model::Series series;
        series.group = reader.label(path, "group");
        series.name = reader.label(path, "name");
        series.units = reader.label(path, "units");
        series.long_name = reader.label(path, "long_name");
        series.values = reader.numbers(path);
        out.series.push_back(std::move(series));
    }
    for (const std::string& inner : reader.groups(at))
        read_series(reader, root, group + "/" + inner, out);
}

/// A column of numbers or text for each member of a row.
template <class T, class Member, class Value>
void fill(std::vector<T>& rows, Member T::*member, const std::vector<Value>& values) {
    for (std::size_t i = 0; i < std::min(rows.size(), values.size()); ++i)
        rows[i].*member = values[i];
}

void read_events(const Hdf5Reader& reader, const std::string& at,
                 std::vector<model::Event>& events) {
    const std::vector<double> times = reader.numbers(at + "/time");
    events.resize(times.size());
    fill(events, &model::Event::time, times);
    fill(events, &model::Event::kind, reader.strings(at + "/kind"));
    fill(events, &model::Event::subject, reader.strings(at + "/subject"));
    fill(events, &model::Event::value, reader.numbers(at + "/value"));
}

double number_attribute(const Hdf5Reader& reader, const std::string& path, const char* name) {
    const auto value = reader.attribute(path, name);
    const double* number = value ? std::get_if<double>(&*value) : nullptr;
    return number ? *number : 0.0;
}

void read_ledger(const Hdf5Reader& reader, const std::string& at, model::Ledger& ledger) {
    using Direction = model::LedgerEntry::Direction;
    const std::vector<std::string> names = reader.strings(at + "/name");
    const std::vector<std::string> directions = reader.strings(at + "/direction");
    ledger.entries.resize(names.size());
    fill(ledger.entries, &model::LedgerEntry::name, names);
    fill(ledger.entries, &model::LedgerEntry::joules, reader.numbers(at + "/joules"));
    for (std::size_t i = 0; i < std::min(names.size(), directions.size()); ++i)
        for (const Direction d :
             {Direction::in, Direction::out, Direction::stored, Direction::within})
            if (directions[i] == model::direction_name(d)) ledger.entries[i].direction = d;
    ledger.moved = number_attribute(reader, at, "moved");
    ledger.closure = number_attribute(reader, at, "closure");
}

void read_sources(const Hdf5Reader& reader, const std::string& at,
                  std::vector<model::HeatSource>& sources) {
    if (!reader.has(at + "/source")) return;  // files of before
    const std::vector<std::string> names = reader.strings(at + "/source");
    sources.resize(names.size());
    fill(sources, &model::HeatSource::source, names);
    fill(sources, &model::HeatSource::path, reader.strings(at + "/path"));
    fill(sources, &model::HeatSource::joules, reader.numbers(at + "/joules"));
}

void read_verdicts(const Hdf5Reader& reader, const std::string& at,
                   std::vector<model::Verdict>& verdicts) {
    const std::vector<std::string> loops = reader.strings(at + "/loop");
    verdicts.resize(loops.size());
    fill(verdicts, &model::Verdict::loop, loops);
    for (const VerdictNumber& number : verdict_numbers)
        if (reader.has(at + "/" + number.name))
            fill(verdicts, number.member, reader.numbers(at + "/" + number.name));
    fill(verdicts, &model::Verdict::part, reader.strings(at + "/part"));
    fill(verdicts, &model::Verdict::core, reader.strings(at + "/core"));
    fill(verdicts, &model::Verdict::note, reader.strings(at + "/note"));
}

void read_lines(const Hdf5Reader& reader, const std::string& at,
                std::vector<model::LineState>& lines) {
    if (!reader.has(at)) return;
    const std::vector<std::string> parts = reader.strings(at + "/part");
    lines.resize(parts.size());
    fill(lines, &model::LineState::part, parts);
    fill(lines, &model::LineState::loop, reader.strings(at + "/loop"));
    fill(lines, &model::LineState::run, reader.strings(at + "/run"));
    fill(lines, &model::LineState::kind, reader.strings(at + "/kind"));
    for (const auto& n : line_numbers)
        if (reader.has(at + "/" + n.name)) fill(lines, n.member, reader.numbers(at + "/" + n.name));
}

void read_pumps(const Hdf5Reader& reader, const std::string& at,
                std::vector<model::PumpState>& pumps) {
    if (!reader.has(at)) return;
    const std::vector<std::string> names = reader.strings(at + "/pump");
    pumps.resize(names.size());
    fill(pumps, &model::PumpState::pump, names);
    fill(pumps, &model::PumpState::loop, reader.strings(at + "/loop"));
    for (const auto& n : pump_numbers)
        if (reader.has(at + "/" + n.name)) fill(pumps, n.member, reader.numbers(at + "/" + n.name));
}

}  // namespace

std::vector<std::string> run_roots(const Hdf5Reader& reader) {
    std::vector<std::string> roots;
    if (reader.has("/verdicts") && reader.has("/time")) roots.emplace_back();
    if (reader.has("/runs"))
        for (const std::string& placement : reader.groups("/runs"))
            for (const std::string& cycle : reader.groups("/runs/" + placement))
                roots.push_back("/runs/" + placement + "/" + cycle);
    if (roots.empty())
        throw Error("the file holds no run", "a file that 'lapheat run' or 'compare' wrote");
    return roots;
}

model::Result get_result(const Hdf5Reader& reader, const std::string& root) {
    model::Result out;
    const std::string top = root.empty() ? "/" : root;
    out.car = reader.label(top, "car");
    out.placement = reader.label(top, "placement");
    out.summary = reader.label(top, "summary");
    out.cycle = reader.label(top, "cycle");
    out.time = reader.numbers(root + "/time");
    for (const std::string& group : reader.groups(top))
        if (holds_series(group)) read_series(reader, root, group, out);
    read_events(reader, root + "/events", out.events);
    read_ledger(reader, root + "/ledger", out.ledger);
    read_lines(reader, root + "/lines", out.lines);
    read_pumps(reader, root + "/pumps", out.pumps);
    read_sources(reader, root + "/sources", out.sources);
    read_verdicts(reader, root + "/verdicts", out.verdicts);
    out.distance = reader.number(root + "/totals/distance");
    out.fan_energy = reader.number(root + "/totals/fan_energy");
    out.peak_fan_current = reader.number(root + "/totals/peak_fan_current");
    for (const CurrentNumber& c : current_numbers)
        if (reader.has(root + "/totals/" + c.name))
            out.*c.member = reader.number(root + "/totals/" + c.name);
    for (const CostCount& c : cost_counts)
        out.cost.*c.member = static_cast<std::size_t>(reader.number(root + "/cost/" + c.name));
    for (const CostNumber& c : cost_numbers)
        out.cost.*c.member = reader.number(root + "/cost/" + c.name);
    out.warnings = reader.strings(root + "/notes/warning");
    out.assumptions = reader.strings(root + "/notes/assumption");
    const std::vector<double> starts = reader.numbers(root + "/phases/start");
    const std::vector<std::string> names = reader.strings(root + "/phases/name");
    for (std::size_t i = 0; i < std::min(starts.size(), names.size()); ++i)
        out.phases.emplace_back(starts[i], names[i]);
    return out;
}

std::vector<LoopLimits> get_limits(const Hdf5Reader& reader, const std::string& root) {
    std::vector<LoopLimits> out;
    const std::string at = root + "/limits";
    if (!reader.has(at)) return out;
    std::vector<model::Limits> limits;
    const std::vector<std::string> loops = reader.strings(at + "/loop");
    limits.resize(loops.size());
    fill(limits, &model::Limits::caution, reader.numbers(at + "/caution"));
    fill(limits, &model::Limits::limit, reader.numbers(at + "/limit"));
    fill(limits, &model::Limits::boiling_reserve, reader.numbers(at + "/boiling_reserve"));
    fill(limits, &model::Limits::part, reader.strings(at + "/part"));
    fill(limits, &model::Limits::note, reader.strings(at + "/note"));
    for (std::size_t i = 0; i < loops.size(); ++i) out.push_back({loops[i], limits[i]});
    return out;
}

std::vector<TextFile> get_texts(const Hdf5Reader& reader) {
    std::vector<TextFile> out;
    if (!reader.has("/scenario/text")) return out;
    const std::vector<std::string> paths = reader.strings("/scenario/file"),
                                   texts = reader.strings("/scenario/text");
    for (std::size_t i = 0; i < std::min(paths.size(), texts.size()); ++i)
        out.push_back({paths[i], texts[i]});
    return out;
}

model::Result read_result(const std::filesystem::path& file) {
    const Hdf5Reader reader(file);
    try {
        return get_result(reader, run_roots(reader).front());
    } catch (const Error& e) {
        if (!e.place().file.empty()) throw;
        throw Error(e.what(), e.expected(), {file.string(), 0, 0}, e.key());
    }
}

}  // namespace lapheat::results
