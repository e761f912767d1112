// The registry against the readers: what is registered is read, and nothing else is.
#include <lapheat/scenario/registry.hpp>

#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <regex>
#include <set>
#include <sstream>

#include "lapheat/exchangers/geometry_kind.hpp"
#include "lapheat/model/assumptions.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "tables.hpp"

using namespace lapheat::scenario;

namespace {

/// A file that leads the reader to a table: what stands before the table's own keys, and those
/// that decide which others there are. All else may be missing, for every key is asked for.
struct Way {
    std::vector<std::string> tables;  ///< whose keys stand here: a table and its kind
    std::string before;
    std::vector<std::string> body = {};
    std::string after = {};
    bool cycle = false;
};

const std::string water = "[fluids.w]\nkind = \"water\"\n";
const std::string core = water + "[cores.x]\n";
const std::string loop_of_parts = "[loops.l]\n[[loops.l.runs.r.parts]]\n";
const std::string face = "width = \"1 m\"\nheight = \"1 m\"\ndepth = \"1 m\"\n";

/// The same way for every kind that a table has, however many these are.
void add_kinds(std::vector<Way>& ways, const std::string& table, const std::string& before,
               bool cycle = false) {
    for (const Key* key : table_named(table).all()) {
        if (key->kinds == nullptr) continue;
        for (const Table* kind : key->kinds()) {
            const std::string name(kind->name);
            ways.push_back({{table, name}, before, {"kind = \"" + name + "\""}, "", cycle});
        }
    }
}

std::vector<Way> car_ways() {
    std::vector<Way> ways = {
        {{"car"}, ""},
        {{"vehicle"}, "[vehicle]\n"},
        {{"engine"}, "[engine]\n"},
        {{"gearbox"}, "[gearbox]\n"},
        {{"converter"}, "[converter]\n"},
        {{"converter"},
         "[converter]\n",
         {"table = [[\"0\", \"2\", \"9 N m\"], [\"1\", \"1\", \"0 N m\"]]"}},
        {{"clutch"}, "[clutch]\n"},
        {{"shift"}, "[shift]\n"},
        {{"steering"}, "[steering]\n"},
        {{"engine_bay"}, "[engine_bay]\n"},
        {{"air_conditioning"}, "[air_conditioning]\n"},
        {{"alternator"}, "[alternator]\n"},
        {{"brakes"}, "[brakes]\n"},
        {{"driver"}, "[driver]\n"},
        {{"start"}, "[start]\n"},
        {{"links"}, "[[links]]\n"},
        {{"fitted"}, "[fitted]\n"},
        {{"fitted-numbers"}, "[fitted]\n[[fitted.numbers]]\n"},
        {{"radiator"}, "[radiator]\n"},
        {{"radiator-fans"}, "[radiator_fans]\n"},
        {{"cooler"}, "[cooler]\n"},
        {{"fans"}, "[fans.f]\n"},
        {{"fans"}, "[fans.f]\n", {"drive = \"two_stage\""}},
        {{"fans"}, "[fans.f]\n", {"drive = \"pulse_width\""}},
        {{"fans"}, "[fans.f]\n", {"drive = \"viscous_clutch\""}},
        {{"switches"}, "[[fans.f.switches]]\n"},
        {{"air"}, "[air.a]\n"},
        {{"assumptions"}, "[air.a]\nplace = \"front\"\n[air.a.assumptions]\n"},
        {{"stack"}, "[[air.a.stack]]\n", {"core = \"c\""}},
        {{"stack"}, "[[air.a.stack]]\n", {"heat = \"condenser\""}},
        {{"shrouds"}, "[[air.a.shrouds]]\n"},
        {{"loops"}, "[loops.l]\n"},
        {{"limits"}, "[loops.l.limits]\n"},
        {{"runs"}, "[loops.l.runs.r]\n"},
        {{"thermal-bypass"}, "[loops.l.thermal_bypass]\n"},
        {{"circuits"}, core + "kind = \"louvred\"\nfluid = \"w\"\n[cores.x.circuits.c]\n"},
        {{"weight_class-assumptions"},
         core + "kind = \"weight_class\"\nfluid = \"w\"\n[cores.x.assumptions]\n"},
        {{"map-rows"},
         core + "kind = \"map\"\nfluid = \"w\"\nliquid_inlet = \"90 degC\"\nitd = \"9 K\"\n" +
             face + "air_flow = [\"1 kg/s\"]\n[[cores.x.map]]\n"}};
    const auto with = [&](std::vector<std::string> tables, const std::string& before,
                          std::vector<std::string> body) {
        body.insert(body.begin(), "kind = \"" + tables.back() + "\"");
        ways.push_back({std::move(tables), before, std::move(body)});
    };
    add_kinds(ways, "fluids", "[fluids.f]\n");
    add_kinds(ways, "faults", "[[faults]]\n");
    add_kinds(ways, "parts", loop_of_parts);
    for (const char* bore : {"inner_diameter = \"8 mm\"", "dash = 6", "size = \"-6\""})
        for (const char* kind : {"hose", "tube", "fitting", "barb", "adapter", "check_valve"})
            with({"parts", kind}, loop_of_parts, {bore});
    with({"parts", "fitting"}, loop_of_parts, {"dash = 6", "loss_coefficient = 1"});
    with({"parts", "fitting"}, loop_of_parts, {"dash = 6", "fitting = \"elbow_90\""});
    with({"parts", "volume"}, loop_of_parts, {"of_engine = \"jacket\""});
    with({"parts", "volume"}, loop_of_parts, {"wall_heat_capacity = \"1 kJ/K\""});
    with({"parts", "pump"}, loop_of_parts,
         {"points = [[\"0 L/min\", \"9 kPa\"], [\"9 L/min\", \"0 kPa\"]]"});
    with({"parts", "pump"}, loop_of_parts,
         {"electric_speed = \"3000 rev/min\"", "suction_head = \"1 m\""});
    with({"parts", "displacement_pump"}, loop_of_parts,
         {"volumetric_efficiency = 0.9", "suction_head = \"1 m\""});
    with({"parts", "displacement_pump"}, "[steering]\n" + loop_of_parts, {"of = \"steering\""});
    with({"parts", "thermostat"}, loop_of_parts, {"stroke = \"8 mm\""});
    for (const lapheat::exchangers::GeometryKind& kind : lapheat::exchangers::geometry_kinds()) {
        const std::string name(kind.name);
        with({"cores", name}, core, {"fluid = \"w\""});
        std::vector<std::string> strips;
        for (const auto& strip : kind.strips)
            strips.push_back(std::string(strip.name) + "_fins = \"500 1/m\"");
        with({"cores", name}, core, strips);
        if (kind.has_arrangement) with({"cores", name}, core, {"arrangement = \"cross_counter\""});
    }
    for (const char* kind : {"rated", "conductance", "map", "points", "weight_class"}) {
        const std::vector<std::string> air = {"fluid = \"w\"",
                                              "width = \"1 m\"",
                                              "height = \"1 m\"",
                                              "depth = \"1 m\"",
                                              "liquid_inlet = \"90 degC\"",
                                              "liquid_flow = \"1 kg/s\"",
                                              "air_flow = [\"1 kg/s\"]"};
        std::vector<std::string> body = air;
        const bool inlets = std::string(kind) != "points" && std::string(kind) != "weight_class";
        if (!inlets) body.resize(4);
        if (inlets) body.emplace_back("itd = \"9 K\"");
        if (std::string(kind) == "map") body.erase(body.begin() + 5);
        with({"cores", kind}, core, body);
        if (inlets) body.back() = "air_inlet = \"20 degC\"";
        body.emplace_back("arrangement = \"cross_counter\"");
        with({"cores", kind}, core, body);
        if (std::string(kind) == "weight_class") continue;
        std::vector<std::string> liquid = {"fluid = \"w\"", "second_fluid = \"w\""};
        if (inlets)
            liquid.insert(liquid.end(),
                          {"liquid_inlet = \"90 degC\"", "second_inlet = \"20 degC\""});
        if (inlets && std::string(kind) != "map")
            liquid.insert(liquid.end(), {"liquid_flow = \"1 kg/s\"", "second_flow = \"1 kg/s\""});
        with({"cores", kind}, core, liquid);
    }
    return ways;
}

std::vector<Way> cycle_ways() {
    const std::string own = "[[segments]]\nkind = \"laps\"\ncourse = \"own\"\n";
    std::vector<Way> ways = {
        {{"cycle-file"}, "", {}, "", true},
        {{"cycle-file"}, "", {}, own, true},
        {{"cycle-file"},
         "",
         {"course_points = [[\"0 m\", \"0 m\"], [\"9 m\", \"0 m\"]]"},
         own,
         true},
        {{"cycle-file"}, "", {}, own + "[[course]]\nkind = \"straight\"\n", true},
        {{"surroundings"}, "[surroundings]\n", {}, "", true},
        {{"queue"},
         "[[segments]]\nkind = \"laps\"\ncourse = \"cone_course\"\n[segments.queue]\n",
         {"move = \"5 m\""},
         "",
         true},
        {{"queue"},
         "[[segments]]\nkind = \"laps\"\ncourse = \"cone_course\"\n[segments.queue]\n",
         {},
         "",
         true},
        {{"log-columns"},
         "[[segments]]\nkind = \"log\"\nfile = \"drive.csv\"\n[segments.columns]\n",
         {},
         "",
         true},
        {{"expected"},
         "[[segments]]\nkind = \"table\"\n"
         "table = [[\"time [s]\", \"speed [m/s]\"], [0, 0], [9, 9]]\n[segments.expected]\n",
         {},
         "",
         true}};
    add_kinds(ways, "cycles", "[[segments]]\n", true);
    ways.push_back(
        {{"cycles", "table"},
         "[[segments]]\n",
         {"kind = \"table\"", "table = [[\"time [s]\", \"speed [m/s]\"], [0, 0], [9, 9]]"},
         "",
         true});
    add_kinds(ways, "courses", own + "[[course]]\n", true);
    return ways;
}

constexpr std::size_t any_line = 0;

/// What is said of line `line` of the file, or of any, when `text` is read.
std::vector<Problem> problems_at(const std::string& text, bool cycle, std::size_t line) {
    std::vector<Problem> out;
    try {
        if (cycle) {
            const auto path = std::filesystem::temp_directory_path() /
                              ("lapheat_registry_" + std::to_string(getpid()) + ".toml");
            std::ofstream(path) << text;
            (void)read_cycle(path, lapheat::drive::Vehicle{});
        } else {
            (void)read(parse(text, "t.toml"), ".");
        }
    } catch (const Errors& e) {
        for (const Problem& p : e.problems())
            if (line == any_line || p.place.line == line) out.push_back(p);
    }
    return out;
}

/// What is said of the key's own line, or of any, when the file gives it `value`.
std::vector<Problem> with_value(const Way& way, const Key& key, const std::string& value,
                                bool anywhere = false) {
    std::string text = way.before;
    const std::string name(key.name);
    for (const std::string& line : way.body)
        if (!line.starts_with(name + " ")) text += line + "\n";
    const auto line = static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 1;
    text += name + " = " + value + "\n" + way.after;
    return problems_at(text, way.cycle, anywhere ? any_line : line);
}

/// Is the key read there? A date is no value of any key, so a reader that asks for it says so.
bool is_read(const Way& way, const Key& key) {
    for (const Problem& p : with_value(way, key, "1979-05-27"))
        if (p.found.find("1979-05-27") != std::string::npos) return true;
    return false;
}

/// And nothing stands there that says the same?
bool is_read_alone(const Way& way, const Key& key) {
    for (const Problem& p : with_value(way, key, "1979-05-27", true))
        if (p.found.starts_with("given beside") || p.expected.starts_with("either this key"))
            return false;
    return is_read(way, key);
}

/// Each key where some way leads to it, once.
template <class Look>
void each_key(Look look) {
    std::set<const Key*> seen;
    for (const auto& ways : {car_ways(), cycle_ways()})
        for (const Way& way : ways)
            for (const std::string& name : way.tables)
                for (const Key* key : table_named(name).all())
                    if (seen.count(key) == 0 && is_read_alone(way, *key)) {
                        seen.insert(key);
                        INFO(name << "." << key->name);
                        look(way, *key);
                    }
}

/// Is the value refused as out of what the key may be, and not for what stands beside it?
bool refused(const Way& way, const Key& key, const std::string& value) {
    static const std::regex range("^(a whole number from|between|at least|more than|at most|less)");
    for (const Problem& p : with_value(way, key, value))
        if (std::regex_search(p.expected, range)) return true;
    return false;
}

/// A bound as help tells it: its text, and whether it may be had itself.
struct Bound {
    std::string text;
    bool low, allowed;
};

std::vector<Bound> bounds_in(const std::string& words) {
    static const std::regex both("^(?:between|a whole number from) (.+) (?:and|to) (.+)$"),
        one("(at least|more than|at most|less than) ((?:(?! and ).)+)");
    std::smatch m;
    if (std::regex_match(words, m, both)) return {{m[1], true, true}, {m[2], false, true}};
    std::vector<Bound> out;
    for (std::sregex_iterator at(words.begin(), words.end(), one), end; at != end; ++at)
        out.push_back({(*at)[2], (*at)[1] == "at least" || (*at)[1] == "more than",
                       (*at)[1] == "at least" || (*at)[1] == "at most"});
    return out;
}

}  // namespace

TEST_CASE("Every key that is registered is read in some file, and none is read that is not") {
    std::map<const Table*, std::set<const Key*>> unread;
    for (const Table* table : all_tables())
        for (const Key* key : table->all())
            if (key->name != "extends") unread[table].insert(key);  // read before all others
    for (const auto& ways : {car_ways(), cycle_ways()})
        for (const Way& way : ways)
            for (const std::string& name : way.tables) {
                const Table& table = table_named(name);
                for (const Key* key : table.all()) {
                    if (unread[&table].count(key) == 0) continue;
                    // A key that is not registered throws std::logic_error here.
                    if (is_read(way, *key)) unread[&table].erase(key);
                }
            }
    for (const auto& [table, keys] : unread)
        for (const Key* key : keys)
            FAIL_CHECK(table->name << ": " << key->name << " is never read");
}

TEST_CASE("What help says a number may be the reader takes, and nothing beyond it") {
    using lapheat::units::System;
    std::size_t held = 0;
    each_key([&](const Way& way, const Key& key) {
        const bool whole = key.type == Key::Type::integer,
                   quantity = key.type == Key::Type::quantity;
        if (!whole && !quantity && key.type != Key::Type::number) return;
        for (const System system : {System::si, System::us}) {
            const std::string words = whole ? described(key) : range_words(key, system);
            for (const Bound& bound : bounds_in(words)) {
                INFO(words << ", " << bound.text);
                const double at = quantity && bound.text != "0"
                                      ? lapheat::units::parse(bound.text, key.quantity)
                                      : std::stod(bound.text);
                const auto written = [&](double x) {
                    if (whole) return std::to_string(static_cast<long long>(x));
                    const std::string si = lapheat::units::si_unit(key.quantity);
                    std::ostringstream text;
                    text.precision(12);
                    text << x;
                    return quantity ? "\"" + text.str() + " " + (si == "1" ? "" : si) + "\""
                                    : text.str();
                };
                const double step = whole ? 1 : at == 0 ? 1e-6 : 0.01 * std::abs(at);
                const double out = bound.low ? at - step : at + step;
                const bool cold = key.quantity == Quantity::temperature && out < 0;
                const std::string itself =
                    quantity && bound.text != "0" ? "\"" + bound.text + "\"" : written(at);
                CHECK(refused(way, key, itself) == !bound.allowed);
                if (!cold) CHECK(refused(way, key, written(out)));
                ++held;
            }
        }
    });
    CHECK(held > 500);
}

TEST_CASE("What help says a word may be the reader takes, and no other") {
    std::size_t held = 0;
    each_key([&](const Way& way, const Key& key) {
        if (key.type != Key::Type::choice) return;
        const auto unknown = [&](const std::string& word) {
            // Of a known word something else may be wrong: an automatic without its converter.
            for (const Problem& p : with_value(way, key, '"' + word + '"'))
                if (p.found == "found \"" + word + "\"" && p.expected == described(key))
                    return true;
            return false;
        };
        // "rear", "front" or "both"
        const std::string words = described(key);
        static const std::regex quoted("\"([^\"]*)\"");
        for (std::sregex_iterator at(words.begin(), words.end(), quoted), end; at != end; ++at) {
            INFO(words << ", " << (*at)[1]);
            CHECK_FALSE(unknown((*at)[1]));
            ++held;
        }
        CHECK(unknown("gremlin"));
    });
    CHECK(held > 40);
}

TEST_CASE("A default as help tells it may be written, and is the number that is taken without it") {
    using lapheat::units::System;
    std::size_t held = 0;
    each_key([&](const Way& way, const Key& key) {
        if (key.absent != Key::Absent::assumed && key.absent != Key::Absent::usual) return;
        const bool quantity = key.type == Key::Type::quantity;
        for (const System system : {System::si, System::us}) {
            const std::string told = default_words(key, system);
            INFO(told);
            const bool bare = key.type == Key::Type::number || key.type == Key::Type::integer ||
                              key.type == Key::Type::boolean;
            if (!quantity && !bare && key.type != Key::Type::choice) continue;
            for (const Problem& p : with_value(way, key, bare ? told : '"' + told + '"')) {
                INFO(to_string(p));
                CHECK(p.found.find(told) == std::string::npos);
            }
            ++held;
            if (!quantity) continue;
            // Rounded to the digits that are shown.
            const double usual = lapheat::units::parse(default_words(key), key.quantity);
            CHECK(lapheat::units::parse(told, key.quantity) ==
                  Approx(usual).epsilon(1e-3).margin(1e-12));
        }
    });
    CHECK(held > 200);
}

TEST_CASE("A default is a value that the key could have") {
    for (const Table* table : all_tables())
        for (const Key* key : table->all()) {
            INFO(table->name << "." << key->name << " = " << default_words(*key));
            // A line of its own, not the key's name again.
            std::string spoken(key->name);
            std::replace(spoken.begin(), spoken.end(), '_', ' ');
            CHECK(!key->help.empty());
            CHECK(key->help != spoken);
            if (key->absent != Key::Absent::assumed && key->absent != Key::Absent::usual) continue;
            if (key->type == Key::Type::choice) {
                bool found = false;
                for (const Word& word : words_of(*key)) found = found || word.name == key->fallback;
                CHECK(found);
            } else if (key->type == Key::Type::quantity && !key->fallback.empty()) {
                CHECK(key->range.holds(lapheat::units::parse(key->fallback, key->quantity)));
            } else if (key->type != Key::Type::text && key->type != Key::Type::boolean) {
                CHECK(key->range.holds(key->computed != nullptr ? key->computed() : key->value));
            }
        }
}

TEST_CASE("A name means one thing in a table and its kind, and one topic of help") {
    std::set<std::string_view> topics;
    for (const Table* table : all_tables()) {
        INFO(table->name);
        CHECK(topics.insert(table->name).second);
        CHECK(!table->help.empty());
        std::vector<const Table*> wholes = {table};
        for (const Key* key : table->all())
            if (key->kinds != nullptr)
                for (const Table* kind : key->kinds()) wholes.push_back(kind);
        for (const Table* whole : wholes) {
            std::set<std::string_view> names;
            for (const Key* key : table->all()) names.insert(key->name);
            if (whole == table) {
                CHECK(names.size() == table->all().size());
                continue;
            }
            for (const Key* key : whole->all()) {
                INFO(whole->name << "." << key->name);
                CHECK(names.insert(key->name).second);
            }
        }
    }
}

TEST_CASE("An unknown key is answered with the near one and with all that are known") {
    try {
        (void)read(parse("[shift]\nlockup_gaer = 3\n", "t.toml"), ".");
        FAIL("nothing was thrown");
    } catch (const Errors& e) {
        for (const Problem& p : e.problems()) {
            if (p.key != "shift.lockup_gaer") continue;
            CHECK(p.hint ==
                  "did you mean 'lockup_gear'? known: light_load_speed, full_load_speed, lockup, "
                  "lockup_gear, lockup_speed, lockup_load, hysteresis, shift_time");
            return;
        }
        FAIL("the key was not reported");
    }
}

TEST_CASE("A key that means nothing beside the others is told with what it belongs to") {
    try {
        (void)read(parse("[converter]\npump_speed = \"2000 rev/min\"\n", "t.toml"), ".");
        FAIL("nothing was thrown");
    } catch (const Errors& e) {
        for (const Problem& p : e.problems()) {
            if (p.key != "converter.pump_speed") continue;
            CHECK(p.found == "not used here");
            CHECK(p.hint == "it belongs with `table`");
            return;
        }
        FAIL("the key was not reported");
    }
}

TEST_CASE("A reader asked for a key that its table has not is a mistake of ours") {
    static constexpr Key keys[] = {key::number("a", any_value, "a number")};
    static constexpr Table table{"t", "[t]", "A table.", keys};
    Problems problems;
    const Document document = parse("a = 1\nb = 2\n", "t.toml", problems);
    Reader reader(document, problems, &table);
    CHECK(reader.number(table["a"]) == 1);
    CHECK_THROWS_AS(reader.number(key::number("b")), std::logic_error);
}
