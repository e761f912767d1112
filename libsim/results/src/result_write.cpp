#include <fmt/core.h>
#include <hdf5.h>

#include <algorithm>
#include <cctype>
#include <set>
#include <type_traits>

#include "hdf5_rows.hpp"
#include "lapheat/model/description.hpp"
#include "lapheat/results/result_file.hpp"
#include "lapheat/units/text.hpp"
#include "word_columns.hpp"

namespace lapheat::results {
namespace {

constexpr std::size_t longest_path_word = 80;

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

/// Of the mantissa of a temperature: 8 mK from -17 to 238 degC, a sixth of what runs are held to.
/// Of anything else one part in 8000, for what it comes from is known to a hundredth at best.
constexpr int kept_bits = 14, kept_bits_of_others = 12;

void put_series(Hdf5Writer& w, const std::string& root, const model::Result& result, bool exact) {
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
        const std::string group = group_path(s.group);
        std::string path = group + "/" + s.name;
        while (!taken.insert(path).second) path += '_';
        Attributes about = {{"units", s.units}, {"long_name", s.long_name}};
        // Said only where the path does not say it.
        if (s.group != group) about.emplace_back("group", s.group);
        if (path.size() != group.size() + 1 + s.name.size()) about.emplace_back("name", s.name);
        const bool temperature = s.units == "K";
        if (temperature) about.emplace_back("units_metadata", "temperature: on_scale");
        if (exact)
            w.numbers(root + "/" + path, s.values, {root + "/time"}, about);
        else
            w.rounded(root + "/" + path, s.values, temperature ? kept_bits : kept_bits_of_others,
                      {root + "/time"}, about);
    }
}

void put_limits(Hdf5Writer& w, const std::string& at, const std::vector<LoopLimits>& limits) {
    if (limits.empty()) return;
    w.scale(at + "/loop", column(limits, [](const auto& l) { return l.loop; }));
    put_columns(w, at, "loop", column(limits, [](const auto& l) { return l.limits; }));
}

/// What a number measures is one of few words: a flag as the CF conventions have it (3.5).
void put_assumed(Hdf5Writer& w, const std::string& at,
                 const std::vector<model::AssumedNumber>& assumed) {
    put_rows(w, at, "key", assumed, "quantity");
    std::string meanings;
    std::vector<std::int64_t> values;
    for (const units::Quantity q : units::all_quantities()) {
        values.push_back(static_cast<std::int64_t>(values.size()));
        meanings += (meanings.empty() ? "" : " ") + flag_meaning(q);
    }
    const auto place = [](const model::AssumedNumber& a) {
        const auto all = units::all_quantities();
        return static_cast<std::int64_t>(std::find(all.begin(), all.end(), a.quantity) -
                                         all.begin());
    };
    w.integers(
        at + "/quantity", column(assumed, place), {at + "/key"},
        {{"long_name", "what it measures"}, {"flag_values", values}, {"flag_meanings", meanings}});
}

/// The numbers of one row, each by itself.
template <class Row>
void put_numbers(Hdf5Writer& w, const std::string& at, const Row& row) {
    for (const Field<Row>& field : fields<Row>())
        with_value(field, row, [&](const auto& x) {
            if constexpr (std::is_arithmetic_v<std::decay_t<decltype(x)>>)
                w.number(at + "/" + field.name, static_cast<double>(x), attributes_of(field));
        });
}

/// Its texts, as attributes.
template <class Row>
Attributes texts_of(const Row& row) {
    Attributes out;
    for (const Field<Row>& field : fields<Row>())
        with_value(field, row, [&](const auto& x) {
            if constexpr (std::is_same_v<std::decay_t<decltype(x)>, std::string>)
                out.emplace_back(field.name, x);
        });
    return out;
}

/// The sentences, and what they are made of: with it they are said again in other units.
void put_warnings(Hdf5Writer& w, const std::string& at, const std::vector<Diagnostic>& warnings) {
    const std::vector<std::string> axis = {at + "/warning"};
    w.scale(axis[0],
            column(warnings, [](const Diagnostic& d) { return words(d, units::System::si); }));
    if (warnings.empty()) return;
    w.strings(at + "/code",
              column(warnings, [](const Diagnostic& d) { return std::string(name(d.code)); }),
              axis);
    w.strings(at + "/subject", column(warnings, [](const Diagnostic& d) { return d.subject; }),
              axis);
    std::size_t names = 0, values = 0;  // columns beyond these would hold nothing
    for (const Diagnostic& d : warnings) {
        names = std::max(names, std::min(d.names.size(), most_names));
        values = std::max(values, std::min(d.values.size(), most_values));
    }
    for (std::size_t i = 0; i < names; ++i)
        w.strings(at + note_name(i),
                  column(warnings,
                         [&](const Diagnostic& d) {
                             return i < d.names.size() ? d.names[i] : std::string();
                         }),
                  axis);
    for (std::size_t i = 0; i < values; ++i) {
        w.numbers(
            at + note_value(i),
            column(warnings,
                   [&](const Diagnostic& d) { return i < d.values.size() ? d.values[i].si : 0.0; }),
            axis, {{"long_name", "in the SI unit of " + note_quantity(i).substr(1)}});
        w.strings(at + note_quantity(i),
                  column(warnings,
                         [&](const Diagnostic& d) {
                             return i < d.values.size()
                                        ? std::string(units::name(d.values[i].quantity))
                                        : std::string();
                         }),
                  axis);
    }
}

void put_notes(Hdf5Writer& w, const std::string& root, const model::Result& result) {
    w.scale(root + "/phases/phase", counted(result.phases.size()));
    w.numbers(root + "/phases/start", column(result.phases, [](const auto& p) { return p.first; }),
              {root + "/phases/phase"}, {{"units", "s"}});
    w.strings(root + "/phases/name", column(result.phases, [](const auto& p) { return p.second; }),
              {root + "/phases/phase"});
    put_warnings(w, root + "/notes", result.warnings);
    const auto told = column(result.assumptions, [](const auto& a) { return a.words(); });
    w.scale(root + "/notes/assumption", std::span<const std::string>(told));
    // How much of each is its key: once more as text would be a twentieth of the file.
    w.integers(root + "/notes/key_length",
               column(result.assumptions,
                      [](const auto& a) { return static_cast<std::int64_t>(a.key.size()); }),
               {root + "/notes/assumption"},
               {{"long_name", "bytes of each that are the key of a file; 0: none"}});
}

}  // namespace

std::string path_word(std::string_view text) {
    std::string out;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        const bool kept =
            byte >= 0x80 || std::isalnum(byte) != 0 || c == '-' || c == '.' || c == '+';
        if (kept)
            out += units::lower(c);
        else if (!out.empty() && out.back() != '_')
            out += '_';
    }
    while (!out.empty() && out.back() == '_') out.pop_back();
    if (out.size() > longest_path_word) {
        std::size_t end = longest_path_word;
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
                const std::vector<LoopLimits>& limits, bool exact) {
    if (!root.empty()) writer.group(root);
    writer.attributes(root.empty() ? "/" : root, texts_of(result));
    writer.attributes(
        root.empty() ? "/" : root,
        {{"title", result.cycle + (result.placement.empty() ? "" : ", ") + result.placement}});
    put_series(writer, root, result, exact);
    put_rows(writer, root + "/events", "event", result.events);
    writer.group(root + "/ledger",
                 {{"moved", result.ledger.moved}, {"closure", result.ledger.closure}});
    put_rows(writer, root + "/ledger", "name", result.ledger.entries);
    put_rows(writer, root + "/sources", "entry", result.sources);
    put_rows(writer, root + "/verdicts", "loop", result.verdicts);
    if (!result.lines.empty()) put_rows(writer, root + "/lines", "line", result.lines);
    if (!result.pumps.empty()) put_rows(writer, root + "/pumps", "number", result.pumps);
    if (!result.fans.empty()) put_rows(writer, root + "/fan_duty", "fan", result.fans);
    if (!result.assumed.empty()) put_assumed(writer, root + "/assumed", result.assumed);
    put_limits(writer, root + "/limits", limits);
    put_numbers(writer, root + "/totals", result);
    put_numbers(writer, root + "/cost", result.cost);
    put_notes(writer, root, result);
}

Attributes described(Unit unit, const std::string& words) {
    Attributes about;
    if (const std::string text = unit.si(); !text.empty()) about.emplace_back("units", text);
    if (const std::string meta = unit.metadata(); !meta.empty())
        about.emplace_back("units_metadata", meta);
    about.emplace_back("long_name", words);
    return about;
}

Attributes origin_attributes() {
    unsigned major = 0, minor = 0, release = 0;
    H5get_libversion(&major, &minor, &release);
    // No time of writing: the same content gives the same bytes.
    return {{"Conventions", "CF-1.11"},
            {"source",
             "lapheat " + std::string(version()) + ", a model of a car's cooling: an estimate"},
            {"history", "written by lapheat " + std::string(version())},
            {"lapheat", std::string(version())},
            {"hdf5", fmt::format("{}.{}.{}", major, minor, release)}};
}

void put_texts(Hdf5Writer& writer, std::span<const TextFile> files) {
    writer.attributes("/", origin_attributes());
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
                  const Provenance& origin) {
    Hdf5Writer writer(target);
    put_texts(writer, origin.files);
    put_result(writer, "", result, origin.limits, origin.exact);
    writer.commit();
}

void write_results(const std::filesystem::path& target, std::span<const model::Result> results,
                   std::span<const std::vector<LoopLimits>> limits,
                   std::span<const TextFile> files) {
    Hdf5Writer writer(target);
    put_texts(writer, files);
    std::set<std::string> taken;
    for (std::size_t i = 0; i < results.size(); ++i) {
        const std::string path = run_path(results[i]);
        std::string own = path;
        for (int n = 2; !taken.insert(own).second; ++n) own = fmt::format("{}-{}", path, n);
        put_result(writer, own, results[i], limits[i]);
    }
    writer.commit();
}

}  // namespace lapheat::results
