// Cores from their dimensions: keys and reading follow from what each kind says of itself.
#include <cmath>
#include <deque>
#include <limits>
#include <stdexcept>
#include <string>

#include "lapheat/exchangers/geometry_kind.hpp"
#include "read_core_kinds.hpp"

namespace lapheat::scenario {
namespace {

using Q = Quantity;
using exchangers::Core;
using exchangers::Dimension;
using exchangers::GeometryKind;
using exchangers::Medium;
using exchangers::StripDimension;
using exchangers::StripFill;

// A measured surface of the air side, in place of the kind's relation.
constexpr Column surface_columns[] = {
    {.name = "reynolds",
     .quantity = Q::ratio,
     .range = positive,
     .increasing = true,
     .help = "on 4 times the free area times the depth over the heat area"},
    {.name = "j", .quantity = Q::ratio, .range = positive, .help = "Colburn factor"},
    {.name = "f", .quantity = Q::ratio, .range = positive, .help = "Fanning friction factor"}};
constexpr Key surface_keys[] = {
    key::columns("surface", surface_columns,
                 "measured on such fins, in the file or as CSV: replaces the kind's relation", 4)
        .nothing("the kind's relation")};
constexpr Table surface_table{"", "", "", surface_keys};

std::vector<exchangers::SurfacePoint> read_surface(Reader& r) {
    const Key& key = surface_table["surface"];
    std::vector<exchangers::SurfacePoint> points;
    if (!r.has(key)) {
        r.ignore(key);
        return points;
    }
    const Columns t = r.columns(key);
    for (std::size_t i = 0; i < t.rows(); ++i)
        points.push_back({t["reynolds"][i], t["j"][i], t["f"][i]});
    return points;
}

/// What cars have: others are questioned.
Key questioned(Key key) {
    if (key.name == "width") return key.usually(0.05, 1.3);
    if (key.name == "height") return key.usually(0.03, 1.0);
    if (key.name == "depth") return key.usually(0.008, 0.15);
    if (key.name == "fins" && key.quantity == Q::per_length) return key.usually(150, 1200);
    return key;
}

Key key_of(const Dimension& d) {
    switch (d.what) {
        case Dimension::What::length:
            return key::quantity(d.name, Q::length, positive, d.help);
        case Dimension::What::per_length:
            return key::quantity(d.name, Q::per_length, positive, d.help);
        case Dimension::What::angle:
            return key::quantity(d.name, Q::angle, positive, d.help);
        case Dimension::What::count:
            return key::integer(d.name, 1, 10000, d.help);
        case Dimension::What::yes_no:
            return key::boolean(d.name, d.help);
        case Dimension::What::choice:
            return key::choice(d.name, std::span<const Word>{}, d.help);
    }
    throw std::logic_error("a dimension without a type");
}

/// A kind with its table. It stays where it is made, for keys are known by their address.
class GeometryTable {
  public:
    explicit GeometryTable(const GeometryKind& kind) : kind_(kind) {
        keys_.reserve(kind.dimensions.size() + 3 * kind.strips.size());
        for (const Dimension& d : kind.dimensions)
            keys_.push_back(with_default(questioned(key_of(d)), d));
        for (const StripDimension& s : kind.strips) add_strip(s);
        table_ = Table{kind.name, "", kind.help, keys_};
        std::size_t shared = 0;
        if (kind.has_arrangement) table_.with.at(shared++) = &arrangement_table;
        table_.with.at(shared++) = &condition_table;
        table_.with.at(shared++) = &measured_table;
        if (kind.has_surface) table_.with.at(shared++) = &surface_table;
    }
    GeometryTable(const GeometryTable&) = delete;
    GeometryTable& operator=(const GeometryTable&) = delete;

    [[nodiscard]] const Table& table() const { return table_; }
    [[nodiscard]] bool in_tank() const { return kind_.in_tank; }

    std::optional<Core> read(Reader& r, const Medium& first, const Medium& second) const {
        exchangers::GivenDimensions given;
        std::size_t next = 0;
        for (const Dimension& d : kind_.dimensions) given.values.push_back(value(r, d, next++));
        for (std::size_t i = 0; i < kind_.strips.size(); ++i, next += 3)
            given.strips.push_back(read_strip(r, &keys_[next]));
        if (kind_.has_arrangement) given.arrangement = read_arrangement(r);
        if (kind_.has_surface) given.surface = read_surface(r);
        given.condition = read_condition(r);
        return fitted_to_measured(r, r.attempt([&] { return kind_.make(given); }), first, second);
    }

  private:
    Key with_default(Key key, const Dimension& d) {
        if (d.what == Dimension::What::choice) {
            std::vector<Word>& words = words_.emplace_back();
            for (std::size_t i = 0; i < d.words.size(); ++i)
                words.emplace_back(d.words[i].name, i, d.words[i].help);
            key.words = words;
            if (d.absent == Dimension::Absent::assumed || d.absent == Dimension::Absent::usual)
                key.fallback = d.words.at(static_cast<std::size_t>(d.usual)).name;
        }
        key.value = d.usual;
        switch (d.absent) {
            case Dimension::Absent::refused:
                return key;
            case Dimension::Absent::usual:
                key.absent = Key::Absent::usual;
                return key;
            case Dimension::Absent::assumed:
                key.absent = Key::Absent::assumed;
                return key;
            case Dimension::Absent::open:
                return key.optional(d.open);
        }
        return key;
    }

    void add_strip(const StripDimension& s) {
        const auto name = [&](const char* end) -> std::string_view {
            return texts_.emplace_back(std::string(s.name) + end);
        };
        const std::string_view fins = name("_fins");
        const std::string_view with = texts_.emplace_back("with `" + std::string(fins) + "`");
        const StripFill usual;
        keys_.push_back(key::quantity(fins, Q::per_length, positive, s.help).optional(s.open));
        keys_.push_back(key::quantity(name("_fin_thickness"), Q::length, positive, "of their sheet")
                            .usual(usual.fin_thickness)
                            .only(with));
        keys_.push_back(
            key::quantity(name("_strip_length"), Q::length, positive, "of one strip along the flow")
                .usual(usual.strip_length)
                .only(with));
    }

    [[nodiscard]] double value(Reader& r, const Dimension& d, std::size_t i) const {
        const Key& key = keys_[i];
        if (d.absent == Dimension::Absent::open && !r.has(key)) {
            r.ignore(key);
            return std::numeric_limits<double>::quiet_NaN();
        }
        switch (d.what) {
            case Dimension::What::count:
                return static_cast<double>(r.integer(key));
            case Dimension::What::yes_no:
                return r.boolean(key) ? 1 : 0;
            case Dimension::What::choice:
                return r.choice<int>(key);
            case Dimension::What::length:
            case Dimension::What::per_length:
            case Dimension::What::angle:
                return r.quantity(key);
        }
        throw std::logic_error("no such sort of dimension");
    }

    static std::optional<StripFill> read_strip(Reader& r, const Key* keys) {
        if (!r.has(keys[0])) {
            r.ignore(keys[0]);
            return std::nullopt;
        }
        return StripFill{r.quantity(keys[0]), r.quantity(keys[1]), r.quantity(keys[2])};
    }

    const GeometryKind& kind_;
    std::vector<Key> keys_;
    std::deque<std::vector<Word>> words_;
    std::deque<std::string> texts_;
    Table table_;
};

}  // namespace

std::span<const CoreKind> geometry_kinds() {
    static const std::deque<GeometryTable> tables = [] {
        std::deque<GeometryTable> all;
        for (const GeometryKind& kind : exchangers::geometry_kinds()) all.emplace_back(kind);
        return all;
    }();
    static const std::vector<CoreKind> kinds = [] {
        std::vector<CoreKind> all;
        for (const GeometryTable& one : tables)
            all.push_back({&one.table(),
                           [&one](Reader& r, const Medium& first, const Medium& second) {
                               return one.read(r, first, second);
                           },
                           one.in_tank()});
        return all;
    }();
    return kinds;
}

}  // namespace lapheat::scenario
