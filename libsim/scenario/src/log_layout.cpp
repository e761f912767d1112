#include "log_layout.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "lapheat/scenario/problems.hpp"
#include "lapheat/units/error.hpp"
#include "lapheat/units/text.hpp"
#include "log_fields.hpp"
#include "log_names.hpp"

namespace lapheat::scenario {
namespace {

using Layout = LogShape::Layout;

std::vector<std::string> column_of(const LogShape& shape, std::size_t c) {
    std::vector<std::string> out;
    for (const auto& row : shape.sample)
        if (c < row.size()) out.push_back(row[c]);
    return out;
}

/// Do these look like stamps: readable, seldom falling, rising on the whole?
bool rises(const std::vector<std::string>& fields, bool decimal_comma) {
    std::size_t held = 0, read = 0, fell = 0, rose = 0;
    double last = 0;
    for (const std::string& field : fields) {
        if (is_nothing(field)) continue;
        ++held;
        const auto stamp = log_stamp(field, decimal_comma);
        if (!stamp) continue;
        if (read > 0) {
            rose += stamp->seconds > last ? 1 : 0;
            // Past midnight a clock falls once.
            fell += stamp->seconds < last ? 1 : 0;
        }
        last = stamp->seconds;
        ++read;
    }
    return read >= 2 && read * 5 >= held * 4 && rose > 0 && fell * 20 <= read && rose > fell;
}

/// What one unit of a plain number is, from the header's unit or the numbers' size.
StampColumn stamp_column(const LogShape& shape, std::size_t c, std::vector<std::string>& notes) {
    StampColumn out;
    out.column = c;
    std::vector<double> plain;
    for (const std::string& field : column_of(shape, c)) {
        const auto stamp = log_stamp(field, shape.decimal_comma);
        if (!stamp) continue;
        if (stamp->kind != LogStamp::Kind::number) {
            out.words = stamp->kind == LogStamp::Kind::date ? "dates with times" : "times of day";
            return out;
        }
        plain.push_back(stamp->seconds);
    }
    const std::string unit = log_unit(shape.units[c]);
    if (const auto si = to_si_of(unit, units::Quantity::time); si && !unit.empty()) {
        out.scale = si->factor;
        out.words = unit == "s" ? "seconds" : unit == "ms" ? "milliseconds" : unit;
        return out;
    }
    const std::string& name = shape.columns[c];
    const auto says = [&name](std::string_view word) {
        // Not that of std::ranges, which clang 14 cannot compile.
        const auto same = [](char a, char b) { return units::lower(a) == b; };
        return std::search(name.begin(), name.end(), word.begin(), word.end(), same) != name.end();
    };
    std::vector<double> steps;
    bool whole = true;
    for (std::size_t i = 0; i < plain.size(); ++i) {
        whole = whole && plain[i] == std::floor(plain[i]);
        if (i > 0 && plain[i] > plain[i - 1]) steps.push_back(plain[i] - plain[i - 1]);
    }
    std::ranges::sort(steps);
    const double step = steps.empty() ? 0 : steps[steps.size() / 2];
    const double size = plain.empty() ? 0 : plain.front();
    if (size > 1e14) {
        out.scale = 1e-6, out.words = "microseconds since 1970";
    } else if (size > 1e11) {
        out.scale = 1e-3, out.words = "milliseconds since 1970";
    } else if (size > 8e8 && step < 1e4) {
        out.words = "seconds since 1970";
    } else if (says("milli") || says("msec") || name == "ms") {
        out.scale = 1e-3, out.words = "milliseconds";
    } else if (says("sec")) {
        out.words = "seconds";
    } else if (whole && step >= 10) {
        out.scale = 1e-3, out.words = "milliseconds";
        notes.push_back(fmt::format(
            "the stamps in \"{}\" have no unit: whole numbers {} apart are taken as milliseconds",
            name, step));
    } else {
        out.words = "seconds";
        notes.push_back(fmt::format("the stamps in \"{}\" have no unit: taken as seconds", name));
    }
    return out;
}

struct Words {
    std::size_t column = 0, distinct = 0;
};

/// A column of names that come again and again, as the long form has; none if there is no such.
std::optional<std::size_t> names_column(const LogShape& shape) {
    std::optional<Words> best;
    for (std::size_t c = 0; c < shape.fields; ++c) {
        std::set<std::string> distinct;
        std::size_t words = 0, all = 0;
        for (const std::string& field : column_of(shape, c)) {
            if (is_nothing(field)) continue;
            ++all;
            if (log_number(field, shape.decimal_comma) || log_stamp(field, shape.decimal_comma))
                continue;
            ++words;
            distinct.insert(field);
        }
        if (all < 4 || words * 10 < all * 9 || distinct.size() < 2 || distinct.size() * 2 > all)
            continue;
        // Units come again as well; names are what signals are matched by.
        std::size_t units = 0, known = 0;
        for (const std::string& word : distinct) {
            units += is_unit(word) ? 1 : 0;
            known += matches(word).empty() ? 0 : 1;
        }
        if (units * 2 > distinct.size() || known == 0) continue;
        if (!best || distinct.size() > best->distinct) best = Words{c, distinct.size()};
    }
    if (!best) return {};
    return best->column;
}

bool find_long_form(const LogShape& shape, const std::vector<std::size_t>& risers, LogLayout& out) {
    if (risers.empty()) return false;
    const auto names = names_column(shape);
    if (!names) return false;
    // The value: numbers, behind the names if there is a choice.
    std::optional<std::size_t> value;
    for (std::size_t k = 1; k < shape.fields && !value; ++k) {
        const std::size_t c = (*names + k) % shape.fields;
        if (std::ranges::find(risers, c) != risers.end()) continue;
        std::size_t read = 0, held = 0;
        for (const std::string& field : column_of(shape, c)) {
            held += is_nothing(field) ? 0 : 1;
            read += log_number(field, shape.decimal_comma) ? 1 : 0;
        }
        if (held > 0 && read * 10 >= held * 8) value = c;
    }
    if (!value) return false;
    out.layout = Layout::long_form;
    out.name = *names, out.value = *value;
    for (std::size_t k = 1; k < shape.fields; ++k) {
        const std::size_t c = (*value + k) % shape.fields;
        if (c == *names || std::ranges::find(risers, c) != risers.end()) continue;
        const auto fields = column_of(shape, c);
        const auto units = static_cast<std::size_t>(std::ranges::count_if(
            fields, [](const std::string& f) { return !f.empty() && is_unit(f); }));
        if (units * 2 > fields.size()) {
            out.unit = c;
            break;
        }
    }
    return true;
}

/// The best column of stamps: told so by its name, else the first that rises.
std::size_t best_stamps(const LogShape& shape, const std::vector<std::size_t>& risers) {
    for (const std::size_t c : risers)
        if (tells_time(shape.columns[c]) ||
            to_si_of(log_unit(shape.units[c]), units::Quantity::time))
            return c;
    return risers.front();
}

/// True if a map's column is this one: its name alone, or the whole heading, "ECT [°C]".
bool names_column(const std::string& asked, const std::string& name, const std::string& unit) {
    if (asked == name) return true;
    const NameAndUnit both = parted(asked);
    return !both.unit.empty() && both.name == name && both.unit == unit;
}

bool has_column(const LogShape& shape, const std::string& asked) {
    for (std::size_t c = 0; c < shape.columns.size(); ++c)
        if (names_column(asked, shape.columns[c], shape.units[c])) return true;
    return false;
}

void check_map(const LogShape& shape, const LogOptions& options, const std::string& file,
               bool columns) {
    for (const auto& [signal, column] : options.map) {
        std::vector<std::string> known;
        for (const SignalEntry& e : signals()) known.emplace_back(e.name);
        if (std::ranges::find(known, signal) == known.end())
            throw Error(fmt::format("no signal is called \"{}\"", signal), suggest(signal, known),
                        {}, "map");
        if (columns && !column.empty() && !has_column(shape, column))
            throw Error(fmt::format("has no column \"{}\" for {}", column, signal),
                        suggest(column, shape.columns), {file, shape.names_line}, "map");
    }
}

/// Of two that tell the same signal the better match stays.
class Chosen {
  public:
    explicit Chosen(LogLayout& out) : out_(out) {}
    void offer(const Matched& found, const std::string& name) {
        if (!found.as) {
            out_.left_out.push_back({name, found.why});
            return;
        }
        const auto same = std::ranges::find(out_.signals, found.as->signal, &SignalColumn::signal);
        if (same == out_.signals.end()) {
            out_.signals.push_back(*found.as);
            scores_.push_back(found.score);
            return;
        }
        const auto i = static_cast<std::size_t>(same - out_.signals.begin());
        const bool better = found.score > scores_[i];
        out_.left_out.push_back({better ? same->name : name,
                                 fmt::format("\"{}\" tells {} already", better ? name : same->name,
                                             entry(found.as->signal).name)});
        if (better) *same = *found.as, scores_[i] = found.score;
    }

  private:
    LogLayout& out_;
    std::vector<int> scores_;
};

/// Signals of the names that the beginning of the long form has.
void match_names(const LogShape& shape, const LogOptions& options, LogLayout& out) {
    struct Samples {
        std::string unit;
        std::vector<std::string> values;
    };
    std::map<std::string, Samples> by_name;
    std::vector<std::string> order;
    for (const auto& row : shape.sample) {
        if (std::max(out.name, out.value) >= row.size()) continue;
        Samples& s = by_name[row[out.name]];
        if (s.values.empty()) order.push_back(row[out.name]);
        s.values.push_back(row[out.value]);
        if (s.unit.empty() && out.unit && *out.unit < row.size()) s.unit = row[*out.unit];
    }
    Chosen chosen(out);
    for (const std::string& name : order) {
        const Samples& s = by_name.at(name);
        // A unit may stand in the name as well, "Speed [km/h]".
        const NameAndUnit both = parted(name);
        Matched found = match(name, s.unit.empty() ? both.unit : s.unit, s.values,
                              shape.decimal_comma, options);
        if (found.as) found.as->name = name, found.as->column = out.value;
        chosen.offer(found, name);
    }
}

/// Signals of the columns that are no stamps.
void match_columns(const LogShape& shape, const LogOptions& options,
                   const std::vector<std::size_t>& stamps, LogLayout& out) {
    Chosen chosen(out);
    for (std::size_t c = 0; c < shape.fields; ++c) {
        if (std::ranges::find(stamps, c) != stamps.end()) continue;
        const std::string& name = shape.columns[c];
        const auto values = column_of(shape, c);
        if (std::ranges::all_of(values, is_nothing) && name == fmt::format("column {}", c + 1))
            continue;  // what a separator at the end of each row makes
        Matched found = match(name, shape.units[c], values, shape.decimal_comma, options);
        if (found.as) {
            found.as->name = name, found.as->column = c;
            for (std::size_t s = 0; s < out.stamps.size(); ++s)
                if (out.stamps[s].column < c) found.as->stamps = s;
        }
        chosen.offer(found, name);
    }
}

}  // namespace

std::optional<ToSi> to_si_of(std::string_view unit, units::Quantity quantity) {
    try {
        const double zero = units::to_si(0, unit, quantity);
        return ToSi{zero, units::to_si(1, unit, quantity) - zero};
    } catch (const Error&) {
        return {};
    }
}

Matched match(const std::string& name, const std::string& unit,
              const std::vector<std::string>& values, bool decimal_comma,
              const LogOptions& options) {
    Matched out;
    std::vector<NameMatch> found;
    bool mapped = false;
    for (const auto& [signal, column] : options.map)
        if (names_column(column, name, unit)) {
            const auto at = std::ranges::find(signals(), signal, &SignalEntry::name);
            if (at != signals().end()) found.push_back({at->signal, 100}), mapped = true;
        }
    if (!mapped) {
        found = matches(name);
        // A signal that the user gave to another column, or to none, is taken.
        std::erase_if(found, [&](const NameMatch& m) {
            return options.map.contains(std::string{entry(m.signal).name});
        });
    }
    out.why = "its name tells of no signal that is used";
    std::vector<double> numbers;
    std::string glued;
    for (const std::string& field : values)
        if (const auto number = log_number(field, decimal_comma)) {
            numbers.push_back(number->value);
            if (glued.empty()) glued = number->unit;
        }
    const std::string stated = log_unit(unit.empty() ? glued : unit);
    const auto possible = [&](const SignalEntry& e, const ToSi& si) {
        const auto fit = std::ranges::count_if(
            numbers, [&](double x) { return e.possible.holds(si.offset + si.factor * x); });
        return static_cast<double>(fit) >= 0.8 * static_cast<double>(numbers.size());
    };
    for (const NameMatch& m : found) {
        const SignalEntry& e = entry(m.signal);
        SignalColumn as;
        as.signal = m.signal, as.mapped = mapped;
        const auto stated_si =
            stated.empty() ? std::optional<ToSi>{} : to_si_of(stated, e.quantity);
        if (stated_si) {
            as.unit = stated, as.to_si = *stated_si;
        } else if (!stated.empty() && !units::describe(stated).empty()) {
            out.why = fmt::format("in {}, which is no unit of {}", stated, e.name);
            continue;
        } else {
            bool fits = e.units.empty();
            std::string_view rest = e.units;
            while (!rest.empty() && !fits) {
                const std::size_t at = rest.find(' ');
                as.unit = rest.substr(0, at);
                rest = at == std::string_view::npos ? std::string_view{} : rest.substr(at + 1);
                as.to_si = to_si_of(as.unit, e.quantity).value_or(ToSi{});
                fits = possible(e, as.to_si);
            }
            as.unit_guessed = !e.units.empty();
            if (!fits) as.unit.clear();
        }
        if ((as.unit.empty() && !e.units.empty()) || !possible(e, as.to_si)) {
            out.why = fmt::format("its values are none that {} can have", e.name);
            if (!mapped) continue;
        }
        out.as = as;
        out.score = m.score;
        return out;
    }
    return out;
}

LogLayout layout_of(const LogShape& shape, const LogOptions& options, const std::string& file) {
    LogLayout out;
    std::vector<std::size_t> risers;
    for (std::size_t c = 0; c < shape.fields; ++c)
        if (rises(column_of(shape, c), shape.decimal_comma)) risers.push_back(c);
    if (risers.empty())
        throw Error("has no column of stamps that rise from row to row",
                    "a column of seconds, times of day or dates", {file, shape.names_line});
    std::vector<std::size_t> named;
    for (const std::size_t c : risers)
        if (tells_time(shape.columns[c])) named.push_back(c);
    const std::size_t best = best_stamps(shape, risers);
    if (find_long_form(shape, {best}, out)) {
        check_map(shape, options, file, false);
        out.stamps.push_back(stamp_column(shape, best, out.notes));
        match_names(shape, options, out);
        return out;
    }
    check_map(shape, options, file, true);
    // A stamp for each signal: as many columns of stamps as of others, each with one behind it.
    std::vector<std::size_t> stamps{best};
    if (named.size() >= 2 && named.size() * 2 + 1 >= shape.fields &&
        std::ranges::adjacent_find(named, [](auto a, auto b) { return b == a + 1; }) ==
            named.end()) {
        stamps = named;
        out.layout = Layout::stamp_each;
    }
    for (const std::size_t c : stamps) out.stamps.push_back(stamp_column(shape, c, out.notes));
    std::vector<std::size_t> all_stamps = stamps;
    for (std::size_t c = 0; c < shape.fields; ++c)
        if (std::ranges::find(stamps, c) == stamps.end() && tells_time(shape.columns[c]) &&
            matches(shape.columns[c]).empty()) {
            all_stamps.push_back(c);
            out.left_out.push_back({shape.columns[c], "other stamps are used"});
        }
    match_columns(shape, options, all_stamps, out);
    return out;
}

}  // namespace lapheat::scenario
