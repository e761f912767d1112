#include <fmt/core.h>

#include <algorithm>
#include <iterator>
#include <limits>
#include <optional>
#include <type_traits>

#include "lapheat/results/fields.hpp"
#include "lapheat/results/result_file.hpp"
#include "word_columns.hpp"

namespace lapheat::results {
namespace {

/// Groups of a run that hold no series.
constexpr const char* tables_of_a_run[] = {"events",   "ledger", "verdicts", "limits",  "phases",
                                           "totals",   "cost",   "notes",    "lines",   "pumps",
                                           "scenario", "runs",   "sources",  "assumed", "fan_duty"};

bool holds_series(const std::string& group) {
    return std::none_of(std::begin(tables_of_a_run), std::end(tables_of_a_run),
                        [&](const char* name) { return group == name; });
}

/// Groups in one another, and all of them: more is no file of ours, or one that leads back to
/// itself.
constexpr int deepest = 8, most_groups = 20000;

void read_series(const Hdf5Reader& reader, const std::string& root, const std::string& group,
                 model::Result& out, int depth, int& left) {
    const std::string at = root + "/" + group;
    if (depth > deepest || --left < 0)
        throw Error(fmt::format("'{}' holds groups without end", at),
                    "the groups of a result: 8 in one another at most", {}, at);
    for (const std::string& name : reader.datasets(at)) {
        const std::string path = at + "/" + name;
        if (name == "time" || reader.dimensions(path) != std::vector<std::string>{"time"}) continue;
        model::Series series;
        const std::string stated_group = reader.label(path, "group"),
                          stated_name = reader.label(path, "name");
        series.group = stated_group.empty() ? group : stated_group;
        series.name = stated_name.empty() ? name : stated_name;
        series.units = reader.label(path, "units");
        series.long_name = reader.label(path, "long_name");
        series.values = reader.numbers(path);
        reader.need_rows(series.values.size(), out.time.size(), path);
        out.series.push_back(std::move(series));
    }
    for (const std::string& inner : reader.groups(at))
        read_series(reader, root, group + "/" + inner, out, depth + 1, left);
}

template <class Row, class Value, class Read>
void fill(const Hdf5Reader& reader, std::vector<Row>& rows, Value Row::*member,
          const std::vector<Read>& values, const std::string& path) {
    reader.need_rows(values.size(), rows.size(), path);
    for (std::size_t i = 0; i < rows.size(); ++i) rows[i].*member = static_cast<Value>(values[i]);
}

/// Members that a file has; columns that a newer layout adds or an older one lacks do no harm.
template <class Row>
void read_columns(const Hdf5Reader& reader, const std::string& at, std::vector<Row>& rows) {
    for (const Field<Row>& field : fields<Row>()) {
        const std::string path = at + "/" + field.name;
        if (!reader.has(path)) continue;
        std::visit(
            [&](auto get) {
                using Get = decltype(get);
                if constexpr (std::is_same_v<Get, std::string Row::*>)
                    fill(reader, rows, get, reader.strings(path), path);
                else if constexpr (std::is_same_v<Get, double Row::*>)
                    fill(reader, rows, get, reader.numbers(path), path);
                else if constexpr (std::is_member_pointer_v<Get>)
                    fill(reader, rows, get, reader.integers(path), path);
            },
            field.get);
    }
}

/// As many rows as `axis` is long. Throws Error without it.
template <class Row>
[[nodiscard]] std::vector<Row> read_rows(const Hdf5Reader& reader, const std::string& at,
                                         const std::string& axis) {
    std::vector<Row> rows(reader.shape(at + "/" + axis).at(0));
    read_columns(reader, at, rows);
    return rows;
}

/// A number as a member of a row has it: a count of a file that nobody wrote may be no count.
template <class As>
As number_as(double number, const std::string& path) {
    if constexpr (std::is_integral_v<As> && !std::is_same_v<As, bool>) {
        constexpr double most = 9007199254740992;  // 2^53
        if (!(number >= 0 && number <= most &&
              number <= static_cast<double>(std::numeric_limits<As>::max())))
            throw Error(fmt::format("'{}' is {:g}", path, number), "a count", {}, path);
    }
    return static_cast<As>(number);
}

/// Numbers of one row, each by itself, those that are there; its texts from attributes of `top`.
template <class Row>
void read_members(const Hdf5Reader& reader, const std::string& at, const std::string& top,
                  Row& row) {
    for (const Field<Row>& field : fields<Row>())
        std::visit(
            [&](auto get) {
                using Get = decltype(get);
                if constexpr (std::is_same_v<Get, std::string Row::*>)
                    row.*get = reader.label(top, field.name);
                else if constexpr (std::is_member_pointer_v<Get>) {
                    const std::string path = at + "/" + field.name;
                    if (reader.has(path))
                        row.*get =
                            number_as<std::decay_t<decltype(row.*get)>>(reader.number(path), path);
                }
            },
            field.get);
}

double number_attribute(const Hdf5Reader& reader, const std::string& path, const char* name) {
    const auto value = reader.attribute(path, name);
    const double* number = value ? std::get_if<double>(&*value) : nullptr;
    return number ? *number : 0.0;
}

void read_events(const Hdf5Reader& reader, const std::string& at,
                 std::vector<model::Event>& events) {
    events = read_rows<model::Event>(reader, at, "event");
    const std::vector<std::string> kinds = reader.strings(at + "/kind");
    reader.need_rows(kinds.size(), events.size(), at + "/kind");
    for (std::size_t i = 0; i < events.size(); ++i) {
        const auto kind = model::event_kind(kinds[i]);
        if (!kind)
            throw Error(fmt::format("an event is of the unknown kind '{}'", kinds[i]),
                        "a file of this version", {}, at + "/kind");
        events[i].kind = *kind;
    }
}

void read_ledger(const Hdf5Reader& reader, const std::string& at, model::Ledger& ledger) {
    using Direction = model::LedgerEntry::Direction;
    ledger.entries = read_rows<model::LedgerEntry>(reader, at, "name");
    const std::vector<std::string> directions = reader.strings(at + "/direction");
    reader.need_rows(directions.size(), ledger.entries.size(), at + "/direction");
    for (std::size_t i = 0; i < ledger.entries.size(); ++i)
        for (const Direction d :
             {Direction::in, Direction::out, Direction::stored, Direction::within})
            if (directions[i] == model::direction_name(d)) ledger.entries[i].direction = d;
    ledger.moved = number_attribute(reader, at, "moved");
    ledger.closure = number_attribute(reader, at, "closure");
}

void read_assumed(const Hdf5Reader& reader, const std::string& at,
                  std::vector<model::AssumedNumber>& out) {
    out = read_rows<model::AssumedNumber>(reader, at, "key");
    const std::string path = at + "/quantity";
    const std::string meanings = reader.label(path, "flag_meanings");
    std::vector<std::string> names;
    if (meanings.empty()) {  // files of before hold the words
        names = reader.strings(path);
        for (std::string& name : names) name = flag_meaning(name);
    } else {
        const std::vector<std::string> words = flag_words(meanings);
        for (const std::int64_t flag : reader.integers(path)) {
            if (flag < 0 || static_cast<std::size_t>(flag) >= words.size())
                throw Error(fmt::format("'{}' holds {}, which means nothing there", path, flag),
                            fmt::format("0 to {}", words.size() - 1), {}, path);
            names.push_back(words[static_cast<std::size_t>(flag)]);
        }
    }
    reader.need_rows(names.size(), out.size(), path);
    for (std::size_t i = 0; i < out.size(); ++i)
        for (const units::Quantity q : units::all_quantities())
            if (names[i] == flag_meaning(q)) out[i].quantity = q;
}

/// What each loop is for; in files of before loops go by the name of their role.
void read_roles(const Hdf5Reader& reader, const std::string& at, model::Result& out) {
    const bool said = reader.has(at + "/role");
    const std::vector<std::string> roles =
        said ? reader.strings(at + "/role") : std::vector<std::string>{};
    for (std::size_t i = 0; i < out.verdicts.size(); ++i)
        out.verdicts[i].role =
            model::role_named(said && i < roles.size() ? roles[i] : out.verdicts[i].loop);
}

/// What the core of a fluid stands in; files of before say it by the names of its series alone.
void read_streams(const Hdf5Reader& reader, const std::string& at, model::Result& out) {
    const bool said = reader.has(at + "/cooled_by");
    const std::vector<std::string> streams =
        said ? reader.strings(at + "/cooled_by") : std::vector<std::string>{};
    for (std::size_t i = 0; i < out.verdicts.size(); ++i) {
        model::Verdict& v = out.verdicts[i];
        const auto in_coolant = [&](const model::Series& s) {
            return s.name == "second_mass_flow" && s.group.starts_with("cores/") &&
                   path_word(s.group.substr(6)) == path_word(v.core);
        };
        v.in_coolant =
            said ? i < streams.size() && streams[i] == "coolant"
                 : !v.core.empty() && std::any_of(out.series.begin(), out.series.end(), in_coolant);
    }
}

/// Files of before do not say how much of the text is a key.
void read_assumptions(const Hdf5Reader& reader, const std::string& at,
                      std::vector<model::AssumedText>& out) {
    const std::vector<std::string> told = reader.strings(at + "/assumption");
    const bool keyed = reader.has(at + "/key_length");
    const std::vector<std::int64_t> lengths =
        keyed ? reader.integers(at + "/key_length") : std::vector<std::int64_t>{};
    constexpr std::string_view is = " = ";
    for (std::size_t i = 0; i < told.size(); ++i) {
        std::size_t end = told[i].find(is);
        if (keyed)
            end = i < lengths.size() && lengths[i] > 0 ? static_cast<std::size_t>(lengths[i]) : 0;
        if (end == 0 || end >= told[i].size() || told[i].compare(end, is.size(), is) != 0)
            out.push_back({{}, told[i]});
        else
            out.push_back({told[i].substr(0, end), told[i].substr(end + is.size())});
    }
}

std::optional<units::Quantity> quantity_named(const std::string& name) {
    for (const units::Quantity q : units::all_quantities())
        if (name == units::name(q)) return q;
    return {};
}

/// As they were told; one of a code that this version does not know, and those of files that hold
/// no codes, as they are written.
std::vector<Diagnostic> read_warnings(const Hdf5Reader& reader, const std::string& at) {
    std::vector<Diagnostic> out;
    const std::vector<std::string> sentences = reader.strings(at + "/warning");
    const auto texts = [&](const std::string& path) {
        std::vector<std::string> all = reader.strings(path);
        reader.need_rows(all.size(), sentences.size(), path);
        return all;
    };
    for (const std::string& text : sentences) out.push_back({Code::as_written, {}, {text}});
    if (!reader.has(at + "/code")) return out;
    const std::vector<std::string> codes = texts(at + "/code"), subjects = texts(at + "/subject");
    for (std::size_t i = 0; i < out.size(); ++i)
        if (const auto code = code_named(codes.at(i)); code && *code != Code::as_written)
            out[i] = {*code, subjects.at(i)};
    // Files of before have fewer columns.
    for (std::size_t n = 0; n < most_names && reader.has(at + note_name(n)); ++n) {
        const std::vector<std::string> names = texts(at + note_name(n));
        for (std::size_t i = 0; i < out.size(); ++i)
            if (out[i].code != Code::as_written && !names.at(i).empty())
                out[i].names.push_back(names[i]);
    }
    for (std::size_t n = 0; n < most_values && reader.has(at + note_value(n)); ++n) {
        const std::vector<double> values = reader.numbers(at + note_value(n));
        const std::vector<std::string> quantities = texts(at + note_quantity(n));
        reader.need_rows(values.size(), sentences.size(), at + note_value(n));
        for (std::size_t i = 0; i < out.size(); ++i)
            if (const auto quantity = quantity_named(quantities.at(i)))
                out[i].values.push_back({values.at(i), *quantity});
    }
    return out;
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
    out.time = reader.numbers(root + "/time");
    int left = most_groups;
    for (const std::string& group : reader.groups(top))
        if (holds_series(group)) read_series(reader, root, group, out, 1, left);
    read_events(reader, root + "/events", out.events);
    read_ledger(reader, root + "/ledger", out.ledger);
    if (reader.has(root + "/lines"))
        out.lines = read_rows<model::LineState>(reader, root + "/lines", "line");
    if (reader.has(root + "/pumps"))
        out.pumps = read_rows<model::PumpState>(reader, root + "/pumps", "number");
    if (reader.has(root + "/fan_duty"))
        out.fans = read_rows<model::FanState>(reader, root + "/fan_duty", "fan");
    if (reader.has(root + "/assumed")) read_assumed(reader, root + "/assumed", out.assumed);
    if (reader.has(root + "/sources"))
        out.sources = read_rows<model::HeatSource>(reader, root + "/sources", "entry");
    out.verdicts = read_rows<model::Verdict>(reader, root + "/verdicts", "loop");
    read_roles(reader, root + "/verdicts", out);
    read_streams(reader, root + "/verdicts", out);
    read_members(reader, root + "/totals", top, out);
    read_members(reader, root + "/cost", top, out.cost);
    out.warnings = read_warnings(reader, root + "/notes");
    read_assumptions(reader, root + "/notes", out.assumptions);
    const std::vector<double> starts = reader.numbers(root + "/phases/start");
    const std::vector<std::string> names = reader.strings(root + "/phases/name");
    reader.need_rows(names.size(), starts.size(), root + "/phases/name");
    for (std::size_t i = 0; i < starts.size(); ++i) out.phases.emplace_back(starts[i], names[i]);
    return out;
}

std::vector<LoopLimits> get_limits(const Hdf5Reader& reader, const std::string& root) {
    std::vector<LoopLimits> out;
    const std::string at = root + "/limits";
    if (!reader.has(at)) return out;
    const std::vector<std::string> loops = reader.strings(at + "/loop");
    std::vector<model::Limits> limits(loops.size());
    read_columns(reader, at, limits);
    for (std::size_t i = 0; i < loops.size(); ++i) out.push_back({loops[i], limits[i]});
    return out;
}

std::vector<TextFile> get_texts(const Hdf5Reader& reader) {
    std::vector<TextFile> out;
    if (!reader.has("/scenario/text")) return out;
    const std::vector<std::string> paths = reader.strings("/scenario/file"),
                                   texts = reader.strings("/scenario/text");
    reader.need_rows(texts.size(), paths.size(), "/scenario/text");
    for (std::size_t i = 0; i < paths.size(); ++i) out.push_back({paths[i], texts[i]});
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
