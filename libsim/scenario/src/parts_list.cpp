#include "lapheat/scenario/parts_list.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>

#include "lapheat/hydraulics/parts.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/units/text.hpp"
#include "log_text.hpp"

namespace lapheat::scenario {
namespace {

using Names = std::vector<std::string>;
using units::trimmed;

/// A row of a table with where it stands.
struct SheetRow {
    std::size_t line = 0;
    Names fields;
};

/// The whole text, its rows by libcsv, and where each field begins.
struct Sheet {
    std::string text;
    char separator = ',';
    std::vector<SheetRow> rows;

    [[nodiscard]] FilePlace place(const std::string& file, std::size_t row,
                                  std::size_t field) const {
        std::size_t at = 0;
        for (std::size_t line = 1; line < rows[row].line; ++line) {
            at = text.find('\n', at);
            if (at == std::string::npos) return {file, rows[row].line, 1};
            ++at;
        }
        std::size_t column = 1, left = field;
        bool quoted = false;
        for (; at < text.size() && text[at] != '\n' && left > 0; ++at) {
            quoted = quoted != (text[at] == '"');
            left -= !quoted && text[at] == separator ? 1 : 0;
            column += (static_cast<unsigned char>(text[at]) & 0xC0U) != 0x80U ? 1 : 0;
        }
        for (; at < text.size() && text[at] == ' '; ++at) ++column;
        return {file, rows[row].line, column};
    }
};

Sheet read_sheet(const std::filesystem::path& file) {
    Sheet out;
    LogText text(file);
    for (std::string_view part = text.next(); !part.empty(); part = text.next()) out.text += part;
    const std::string head = out.text.substr(0, out.text.find('\n'));
    for (const char c : {';', '\t'})
        if (std::count(head.begin(), head.end(), c) >
            std::count(head.begin(), head.end(), out.separator))
            out.separator = c;
    LogRows rows(out.separator, [&](Names& fields, std::size_t line) {
        SheetRow& row = out.rows.emplace_back(SheetRow{line, {}});
        for (const std::string& field : fields) row.fields.emplace_back(trimmed(field));
        if (std::all_of(row.fields.begin(), row.fields.end(),
                        [](const std::string& f) { return f.empty(); }) ||
            row.fields.front().starts_with('#'))
            out.rows.pop_back();
    });
    rows.feed(out.text);
    rows.finish();
    return out;
}

/// Bare numbers; with semicolons between cells the point may be a comma.
std::optional<double> number_of(std::string text, bool comma) {
    if (comma && std::count(text.begin(), text.end(), ',') == 1)
        std::replace(text.begin(), text.end(), ',', '.');
    double out = 0;
    const auto [end, failed] = std::from_chars(text.data(), text.data() + text.size(), out);
    if (failed != std::errc{} || end != text.data() + text.size()) return std::nullopt;
    return out;
}

struct SheetColumn {
    enum class Is { what, price, claim, notes, size, overall, number, unknown };
    Is is = Is::unknown;
    std::string key, unit;
    std::size_t side = 0;            ///< of overall
    const Number* number = nullptr;  ///< of the car, for quantity and range
};

constexpr const char* sides[] = {"overall_width", "overall_height", "overall_depth"};

/// Names that sellers use.
std::string key_named(const std::string& name) {
    if (name == "flow") return "free_flow";
    if (name == "pressure") return "shut_off_pressure";
    if (name == "bore") return "inner_diameter";
    return name;
}

class ListReader {
  public:
    ListReader(const std::filesystem::path& file, const Scenario& car, Problems& problems,
               PartsList& out)
        : file_(file.string()),
          sheet_(read_sheet(file)),
          car_(car),
          problems_(problems),
          tables_(tables_of_part(car, out.part)),
          out_(out) {
        out.source = {file_, sheet_.text};
    }

    void read() {
        if (sheet_.rows.empty())
            return problems_.error({file_, 1, 1}, {}, "an empty list",
                                   "a first row such as what, width [mm], price [EUR], notes");
        const std::size_t before = problems_.errors();
        headings();
        if (problems_.errors() > before) return;
        for (std::size_t r = 1; r < sheet_.rows.size(); ++r) row(r);
        if (sheet_.rows.size() == 1)
            problems_.error({file_, sheet_.rows[0].line, 1}, {}, "a list with no rows",
                            "a row for each thing on offer");
    }

  private:
    void error(std::size_t row, std::size_t field, const std::string& key, std::string found,
               std::string expected, std::string hint = {}) {
        problems_.error(sheet_.place(file_, row, field), key, std::move(found), std::move(expected),
                        std::move(hint));
    }

    /// The key in the part's table, or nothing that a car's file has.
    SheetColumn number_column(const std::string& name) {
        SheetColumn out;
        std::string key = key_named(name);
        for (const std::string& table : tables_) {
            if (out.number == nullptr) out.number = number_at(car_, table + "." + key);
            if (out.number == nullptr) out.number = number_at(car_, table + "." + name);
        }
        if (out.number != nullptr) {
            out.is = SheetColumn::Is::number;
            out.key = out.number->path.substr(out.number->path.rfind('.') + 1);
        }
        return out;
    }

    Names known_columns() const {
        Names out = {"what", "price", "claim", "notes", sides[0], sides[1], sides[2]};
        for (const Number& n : car_.numbers)
            for (const std::string& table : tables_)
                if (n.path.starts_with(table + ".") &&
                    n.path.find('.', table.size() + 1) == std::string::npos) {
                    const std::string key = n.path.substr(table.size() + 1);
                    if (std::find(out.begin(), out.end(), key) == out.end()) out.push_back(key);
                }
        return out;
    }

    void headings() {
        const SheetRow& head = sheet_.rows[0];
        for (std::size_t f = 0; f < head.fields.size(); ++f) {
            const Heading heading = parse_heading(head.fields[f]);
            std::string name = units::lowered(heading.name);
            std::replace(name.begin(), name.end(), ' ', '_');
            SheetColumn c;
            using Is = SheetColumn::Is;
            if (name == "what" || name == "notes")
                c.is = name == "what" ? Is::what : Is::notes;
            else if (name == "price")
                c.is = Is::price, price_unit(f, heading.unit);
            else if (name == "claim")
                c = claim_column();
            else if (name == "size")
                c.is = Is::size, c.key = "inner_diameter";
            else if (const auto side = std::find(std::begin(sides), std::end(sides), name);
                     side != std::end(sides))
                c.is = Is::overall, c.side = static_cast<std::size_t>(side - std::begin(sides));
            else
                c = number_column(name);
            c.unit = heading.unit;
            if (c.is == Is::unknown)
                error(0, f, {}, "unknown column '" + heading.name + "'", {},
                      suggest(name, known_columns()));
            for (const SheetColumn& other : columns_)
                if (other.is == c.is && other.key == c.key && other.side == c.side &&
                    c.is != Is::unknown)
                    error(0, f, {}, "the column '" + heading.name + "' a second time",
                          "one of each");
            if (!c.unit.empty() && c.is != Is::price && c.is != Is::unknown) check_unit(f, c);
            columns_.push_back(std::move(c));
        }
        for (const auto& [is, name] :
             {std::pair{SheetColumn::Is::what, "what"}, {SheetColumn::Is::price, "price"}})
            if (std::none_of(columns_.begin(), columns_.end(),
                             [&, want = is](const SheetColumn& c) { return c.is == want; }))
                problems_.error({file_, head.line, 1}, {}, fmt::format("no column '{}'", name),
                                "a first row such as what, width [mm], price [EUR], notes");
    }

    /// What is claimed is a number of the car: a fan's flow, a rated core's heat.
    SheetColumn claim_column() {
        SheetColumn out;
        for (const char* key : {"free_flow", "heat"})
            if (out = number_column(key); out.is == SheetColumn::Is::number) break;
        out.is = SheetColumn::Is::claim;
        return out;
    }

    [[nodiscard]] static Quantity quantity_of(const SheetColumn& c) {
        if (c.is == SheetColumn::Is::overall || c.is == SheetColumn::Is::size)
            return Quantity::length;
        if (c.is == SheetColumn::Is::claim && c.number == nullptr) return Quantity::power;
        return c.number != nullptr ? c.number->quantity : Quantity::ratio;
    }

    void check_unit(std::size_t field, const SheetColumn& c) {
        try {
            (void)units::to_si(1, c.unit, quantity_of(c));
        } catch (const Error& e) {
            error(0, field, {}, e.what(), e.expected());
        }
    }

    void price_unit(std::size_t field, const std::string& unit) {
        const std::size_t slash = unit.find('/');
        out_.currency = trimmed(unit.substr(0, slash));
        if (slash == std::string::npos) return;
        try {
            metres_ = units::to_si(1, trimmed(unit.substr(slash + 1)), Quantity::length);
            out_.per_metre = true;
        } catch (const Error& e) {
            error(0, field, {}, e.what(), "a price of one, [EUR], or of a length, [EUR/m]");
        }
    }

    void row(std::size_t r) {
        const SheetRow& row = sheet_.rows[r];
        const std::size_t before = problems_.errors();
        OfferedPart offer;
        offer.place = {file_, row.line, 1};
        if (row.fields.size() > columns_.size())
            error(r, columns_.size(), {}, fmt::format("{} fields", row.fields.size()),
                  fmt::format("{}, as the first row has", columns_.size()));
        for (std::size_t f = 0; f < columns_.size(); ++f)
            cell(r, f, f < row.fields.size() ? row.fields[f] : std::string(), offer);
        if (problems_.errors() == before) out_.offers.push_back(std::move(offer));
    }

    void cell(std::size_t r, std::size_t f, const std::string& text, OfferedPart& offer) {
        using Is = SheetColumn::Is;
        const SheetColumn& c = columns_[f];
        const auto at = std::min(f, sheet_.rows[r].fields.size() - 1);
        if (c.is == Is::notes) {
            offer.notes = text;
        } else if (c.is == Is::what) {
            offer.what = text;
            if (text.empty()) error(r, at, "what", "nothing", "a name to buy it by");
        } else if (c.is == Is::price) {
            price(r, at, text, offer);
        } else if (!text.empty()) {  // an empty cell leaves the car's own number
            if (const auto value = quantity(r, f, text)) keep(c, *value, offer);
        }
    }

    void price(std::size_t r, std::size_t f, std::string text, OfferedPart& offer) {
        if (text.empty())
            return error(r, f, "price", "no price of '" + sheet_.rows[r].fields.front() + "'",
                         "what it costs, 0 for what is there already");
        std::string currency;
        auto value = number_of(text, comma());
        if (const std::size_t gap = text.find(' '); !value && gap != std::string::npos) {
            value = number_of(text.substr(0, gap), comma());
            currency = trimmed(text.substr(gap));
        }
        if (!value || !std::isfinite(*value) || *value < 0)
            return error(r, f, "price", "'" + text + "'", "a number that is not negative");
        if (!currency.empty()) {
            if (!out_.currency.empty() && out_.currency != currency)
                return error(r, f, "price", "a price in " + currency, "one in " + out_.currency);
            out_.currency = currency;
        }
        offer.price = out_.per_metre ? *value / metres_ : *value;
    }

    std::optional<double> quantity(std::size_t r, std::size_t f, const std::string& text) {
        const SheetColumn& c = columns_[f];
        const std::string key = c.key.empty() ? sheet_.rows[0].fields[f] : c.key;
        try {
            double value = 0;
            const auto bare = number_of(text, comma());
            if (c.is == SheetColumn::Is::size && bare && *bare < 0 && c.unit.empty())
                value = hydraulics::dash_diameter(static_cast<int>(-*bare));
            else if (bare && !c.unit.empty())
                value = units::to_si(*bare, c.unit, quantity_of(c));
            else
                value = units::parse(text, quantity_of(c));
            if (c.number != nullptr && !c.number->range.holds(value)) {
                error(r, f, key, "'" + text + "'", "what the key `" + c.key + "` allows",
                      "see `lapheat help`");
                return std::nullopt;
            }
            return value;
        } catch (const Error& e) {
            error(r, f, key, e.what(), e.expected());
            return std::nullopt;
        }
    }

    static void keep(const SheetColumn& c, double value, OfferedPart& offer) {
        if (c.is == SheetColumn::Is::overall) {
            offer.overall[c.side] = value;
            return;
        }
        if (c.is == SheetColumn::Is::claim) offer.claim = value;
        if (!c.key.empty()) offer.numbers.emplace_back(c.key, value);
    }

    [[nodiscard]] bool comma() const { return sheet_.separator != ','; }

    std::string file_;
    Sheet sheet_;
    const Scenario& car_;
    Problems& problems_;
    Names tables_;
    PartsList& out_;
    std::vector<SheetColumn> columns_;
    double metres_ = 1;
};

/// Tables of the part in this car; none if it has no such part.
Names tables_in(const Scenario& car, const PartsList& list) {
    try {
        return tables_of_part(car, list.part);
    } catch (const Error&) {
        return {};
    }
}

}  // namespace

PartsList read_parts_list(const std::filesystem::path& file, const std::string& part,
                          const Scenario& car, Problems& problems) {
    PartsList out;
    out.part = part;
    try {
        ListReader(file, car, problems, out).read();
    } catch (const Error& e) {
        problems.error(e.place().file.empty() ? FilePlace{file.string()} : e.place(), {}, e.what(),
                       e.expected());
    }
    return out;
}

std::vector<std::pair<std::string, double>> fitted(const Scenario& car, const PartsList& list,
                                                   const OfferedPart& offer) {
    std::vector<std::pair<std::string, double>> out;
    const auto set = [&](const std::string& path, double value) {
        for (auto& [known, old] : out)
            if (known == path) return void(old = value);
        out.emplace_back(path, value);
    };
    for (const std::string& table : tables_in(car, list)) {
        for (const auto& [key, value] : offer.numbers)
            if (number_at(car, table + "." + key) != nullptr)
                for (const auto& [path, follows] : handle_within(car, table, key).at(value))
                    set(path, follows);
        for (const auto& [key, value] : offer.numbers)  // what it says itself, above what follows
            if (number_at(car, table + "." + key) != nullptr) set(table + "." + key, value);
    }
    return out;
}

double amount_needed(const Scenario& car, const PartsList& list) {
    const Names tables = tables_in(car, list);
    if (!list.per_metre) {
        // A switch of a fan is one, whatever it feels.
        Names owners;
        for (const std::string& table : tables) {
            const std::string owner = table.substr(0, table.find(".switches["));
            if (std::find(owners.begin(), owners.end(), owner) == owners.end())
                owners.push_back(owner);
        }
        return static_cast<double>(owners.size());
    }
    double metres = 0;
    for (const std::string& table : tables)
        if (const Number* n = number_at(car, table + ".length")) metres += n->value;
    return metres;
}

}  // namespace lapheat::scenario
