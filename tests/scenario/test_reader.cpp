#include <lapheat/scenario/reader.hpp>

#include <catch2/catch.hpp>
#include <cmath>

#include "lapheat/units/spellings.hpp"

#include "car.hpp"

using namespace lapheat::scenario;

namespace {

constexpr Column speed_columns[] = {{"speed", Quantity::angular_speed}};

/// A document with a reader over it.
struct Text {
    Problems problems;
    Document document;
    Reader reader;
    explicit Text(const std::string& toml)
        : document(parse(toml, "t.toml", problems)), reader(document, problems) {}
    std::string only() {
        const auto all = problems.sorted();
        return all.size() == 1 ? to_string(all.front()) : std::to_string(all.size()) + " problems";
    }
};

}  // namespace

TEST_CASE("A car comes out in SI units, its parts in the order of the file") {
    Problems problems;
    const Document document = parse(car::text, "car.toml", problems);
    const car::Car c = car::read(document, problems);
    REQUIRE(problems.errors() == 0);
    CHECK(c.name == "invented coupe");
    CHECK(c.mass == Approx(2600 * 0.45359237).epsilon(1e-12));
    REQUIRE(c.cores.size() == 2);
    CHECK(c.cores[0].name == "radiator");
    CHECK(c.cores[0].kind == car::Kind::rating);
    CHECK(c.cores[0].width == Approx(0.6).epsilon(1e-12));
    CHECK(c.cores[0].tubes == 42);
    CHECK(c.cores[1].width == Approx(0.2794).epsilon(1e-12));
    CHECK(c.cores[1].points["flow"][1] == Approx(10e-3 / 60).epsilon(1e-12));
    CHECK(c.cores[1].points["heat"][1] == Approx(6500.0).epsilon(1e-12));
    REQUIRE(c.lines.size() == 2);
    CHECK(c.lines[0].insulated);
    CHECK_FALSE(c.lines[1].insulated);
    CHECK(c.lines[1].bores == std::vector<double>{0.010});
}

// The list that `lapheat help units` shows; tests/units/test_spellings.cpp holds the values by
// hand.
TEST_CASE(
    "A file takes every spelling of the list, and refuses what could mean two things with what to "
    "write") {
    for (const lapheat::units::Spelling& s : lapheat::units::spellings()) {
        std::string quoted;
        for (const char c : s.written) quoted += (c == '"' ? "\\\"" : std::string(1, c));
        Text t("a = \"" + quoted + "\"\n");
        const bool share = s.quantity == Quantity::ratio;
        const Key key = share ? key::number("a") : key::quantity("a", s.quantity);
        const double value = share ? t.reader.number(key) : t.reader.quantity(key);
        INFO(s.written << ": " << t.only());
        if (s.means.empty()) {
            REQUIRE(t.problems.errors() == 1);
            const Problem problem = t.problems.sorted().front();
            CHECK(problem.place.line == 1);
            // What is shown in quotes as expected may be written in its place; of a comma nothing
            // is.
            if (s.written.find(',') != std::string_view::npos) continue;
            const auto open = problem.expected.find('"'),
                       close = problem.expected.find('"', open + 1);
            REQUIRE(close < problem.expected.size());
            Text better("a = " + problem.expected.substr(open, close + 1 - open) + "\n");
            (void)(share ? better.reader.number(key) : better.reader.quantity(key));
            CHECK(better.problems.errors() == 0);
        } else {
            CHECK(t.problems.errors() == 0);
            CHECK(value == Approx(lapheat::units::parse(s.means, s.quantity)).epsilon(1e-12));
        }
    }
}

TEST_CASE("A default that was used is an assumption with its reason; one that was not is none") {
    Text t("a = \"3 bar\"\n[tank]\nb = 2\n");
    CHECK(
        t.reader.quantity(key::quantity("a", Quantity::pressure, positive).otherwise("1.1 bar")) ==
        Approx(3e5));
    Reader tank = t.reader.table(key::table("tank", nullptr));
    CHECK(tank.quantity(
              key::quantity("cap", Quantity::pressure).otherwise("1.1 bar", "a common cap")) ==
          Approx(1.1e5));
    CHECK(tank.number(key::number("c").otherwise(0.25)) == 0.25);
    CHECK(tank.integer(key::integer("d", 0, 9).otherwise(4)) == 4);
    CHECK(tank.boolean(key::boolean("e").otherwise(true)));
    CHECK(tank.text(key::text("f").otherwise("none")) == "none");
    enum class Way { up, down };
    const Word ways[] = {{"up", Way::up}, {"down", Way::down}};
    CHECK(tank.choice<Way>(key::choice("g", ways).otherwise("down")) == Way::down);
    CHECK(tank.number(key::number("b").otherwise(7.0)) == 2.0);
    const auto& list = t.reader.assumptions();
    REQUIRE(list.size() == 6);
    CHECK(list[0].key == "tank.cap");
    CHECK(list[0].value == "1.1 bar");
    CHECK(list[0].why == "a common cap");
    CHECK(list[0].place.line == 2);
    CHECK(list[1].value == "0.25");
    CHECK(list[4].value == "none");
    t.reader.finish();
    CHECK(t.problems.errors() == 0);
}

TEST_CASE("What is optional and absent makes no assumption and no problem") {
    Text t("there = \"5 mm\"\n");
    CHECK(t.reader.optional_quantity(key::quantity("there", Quantity::length)).value() ==
          Approx(0.005));
    CHECK_FALSE(t.reader.optional_quantity(key::quantity("width", Quantity::length)).has_value());
    CHECK_FALSE(t.reader.optional_text(key::text("s")).has_value());
    CHECK_FALSE(t.reader.optional_reference(key::reference("r"), {"a"}).has_value());
    CHECK(t.reader.named(key::named("parts", nullptr)).empty());
    CHECK(t.reader.tables(key::tables("lines", nullptr)).empty());
    CHECK(t.reader.assumptions().empty());
    t.reader.finish();
    CHECK(t.problems.errors() == 0);
}

TEST_CASE("A missing table is one problem, not one for each of its keys") {
    Text t("x = 1\n");
    t.reader.ignore(key::text("x"));
    Reader engine = t.reader.table(key::table("engine", nullptr));
    CHECK(std::isnan(engine.quantity(key::quantity("power", Quantity::power))));
    CHECK(engine.text(key::text("name")).empty());
    engine.table(key::table("pump", nullptr)).number(key::number("speed"));
    engine.columns(key::columns("map", speed_columns));
    CHECK_FALSE(engine.sound());
    t.reader.finish();
    CHECK(t.only() == "t.toml:1:1: engine: missing, expected a table [engine]");
}

TEST_CASE("A table that may be absent reads as empty, required keys and all") {
    Text t("x = 1\n");
    t.reader.ignore(key::text("x"));
    Reader sun = t.reader.table(key::table("sun", nullptr).optional());
    CHECK(sun.number(key::number("height").otherwise(45.0)) == 45.0);
    sun.number(key::number("power"));
    t.reader.finish();
    CHECK(t.only() == "t.toml:1:1: sun.power: missing, expected a number");
}

TEST_CASE("A named part set to false is left out") {
    Text t("[cores]\na = { w = 1 }\nb = false\nc = { w = 2 }\n");
    std::vector<std::string> names;
    for (Reader& core : t.reader.named(key::named("cores", nullptr))) {
        names.push_back(core.name() + " " + core.path());
        core.number(key::number("w"));
    }
    t.reader.finish();
    CHECK(names == std::vector<std::string>{"a cores.a", "c cores.c"});
    CHECK(t.problems.errors() == 0);
}

TEST_CASE("Of keys that exclude each other exactly one is wanted") {
    const Key rating = key::text("rating"), points = key::text("points");
    Text one("points = 1\n");
    CHECK(one.reader.one_of({&rating, &points}) == "points");
    Text both("points = 1\nrating = 2\n");
    CHECK(both.reader.one_of({&rating, &points}).empty());
    both.reader.finish();
    CHECK(both.only() ==
          "t.toml:1:1: points: given beside 'rating', expected only one of \"rating\" or "
          "\"points\"");
    Text none("[core]\nother = 1\n");
    CHECK(none.reader.table(key::table("core", nullptr)).one_of({&rating, &points}).empty());
    none.reader.finish();
    CHECK(none.only() == "t.toml:1:1: core: one key is missing, expected \"rating\" or \"points\"");
}

TEST_CASE("A table of numbers reads the same in each of its forms") {
    const Column asked[] = {{"flow", Quantity::volume_flow, not_negative, true, true},
                            {"rise", Quantity::pressure}};
    for (const char* form :
         {"points = [[\"flow [L/min]\", \"rise [kPa]\"], [0, 30], [20, 25.5]]",
          "points = [[\"rise [kPa]\", \"flow [L/min]\"], [30, 0], [25.5, 20]]",
          "points = [[\"0 L/min\", \"30 kPa\"], [\"20 L/min\", \"0.255 bar\"]]",
          "points = { flow = [\"0 L/min\", \"20 L/min\"], rise = [\"30 kPa\", \"25.5 kPa\"] }",
          "points = { \"flow [L/min]\" = [0, 20], \"rise [kPa]\" = [30, 25.5] }"}) {
        INFO(form);
        Text t(form);
        const Columns points = t.reader.columns(key::columns("points", asked));
        t.reader.finish();
        CHECK(t.problems.errors() == 0);
        REQUIRE(points.rows() == 2);
        CHECK(points["flow"][0] == 0.0);
        CHECK(points["flow"][1] == Approx(20e-3 / 60).epsilon(1e-12));
        CHECK(points["rise"][0] == Approx(30e3).epsilon(1e-12));
        CHECK(points["rise"][1] == Approx(25.5e3).epsilon(1e-12));
    }
}

TEST_CASE("A table of numbers in no known form is refused where it goes wrong") {
    const Column asked[] = {{"flow", Quantity::volume_flow}, {"rise", Quantity::pressure}};
    for (const char* form : {"points = 3", "points = [3]", "points = [[]]", "points = [[[1]], 2]",
                             "points = { flow = 3 }", "points = {}", "points = []",
                             "points = { flow = [\"1 L/min\"], rise = [] }",
                             "points = [[true, false], [1, 2]]", "points = \"none.csv\""}) {
        INFO(form);
        Text t(form);
        CHECK(t.reader.columns(key::columns("points", asked)).rows() == 0);
        CHECK(t.problems.errors() >= 1);
        CHECK_FALSE(t.reader.sound());
        t.reader.finish();
        for (const Problem& p : t.problems.sorted()) {
            CHECK(p.place.line == 1);
            CHECK(p.key == "points");
        }
    }
}

TEST_CASE("A check that only the caller can make lands at its key") {
    Text t("[core]\nrows = 3\ndepth = \"20 mm\"\n");
    Reader core = t.reader.table(key::table("core", nullptr));
    core.integer(key::integer("rows", 1, 9));
    core.quantity(key::quantity("depth", Quantity::length));
    core.warn(key::text("depth"), "at least 8 mm for each row");
    CHECK(t.problems.errors() == 0);
    CHECK(t.only() ==
          "t.toml:3:9: warning: core.depth: found \"20 mm\", expected at least 8 mm for each row");
    CHECK(core.sound());
    core.error(key::text("rows"), "an even number");
    CHECK_FALSE(core.sound());
    CHECK_FALSE(t.reader.sound());
    CHECK(t.problems.errors() == 1);
    CHECK_THROWS_AS(t.problems.throw_if_any(), Errors);
}

TEST_CASE("An error thrown by a deeper room becomes a problem at this table, once") {
    Text t("[core]\nwidth = \"1 m\"\n[other]\nx = \"1 K\"\n");
    Reader core = t.reader.table(key::table("core", nullptr));
    const double width = core.quantity(key::quantity("width", Quantity::length));
    CHECK(core.attempt([&] { return width * 2.0; }).value() == 2.0);
    const auto refused = core.attempt([]() -> int {
        throw lapheat::Error("too wide for its tubes", "less than 0.9 m", {}, "width");
    });
    CHECK_FALSE(refused.has_value());
    CHECK(t.only() == "t.toml:2:9: core.width: too wide for its tubes, expected less than 0.9 m");

    Reader other = t.reader.table(key::table("other", nullptr));
    CHECK(std::isnan(other.quantity(key::quantity("x", Quantity::length))));
    bool ran = false;
    other.attempt([&] { return ran = true; });
    CHECK_FALSE(ran);
}

TEST_CASE("The nearest key is found through swaps, case, hyphens and missing ends") {
    const std::vector<std::string> keys = {"inner_diameter", "length", "insulation", "from", "to"};
    CHECK(nearest("inner_diamter", keys) == "inner_diameter");
    CHECK(nearest("inenr_diameter", keys) == "inner_diameter");
    CHECK(nearest("Inner-Diameter", keys) == "inner_diameter");
    CHECK(nearest("lenght", keys) == "length");
    CHECK(nearest("insul", keys) == "insulation");
    CHECK(nearest("diameter", keys) == "inner_diameter");
    CHECK(nearest("form", keys) == "from");
    CHECK(nearest("colour", keys).empty());
    CHECK(nearest("", keys).empty());
    CHECK(nearest("x", {}).empty());
    CHECK(suggest("colour", keys) == "known: inner_diameter, length, insulation, from, to");
    CHECK(nearest(std::string(100000, 'a'), keys).empty());
}

TEST_CASE("Problems are sorted by place, told once, and thrown together") {
    Problems problems;
    problems.error({"b.toml", 1, 1}, "k", "late");
    problems.error({"a.toml", 9, 1}, "k", "second");
    problems.error({"a.toml", 2, 5}, "k", "first", "better");
    problems.error({"a.toml", 9, 1}, "k", "second");
    problems.warning({"a.toml", 1, 1}, "k", "mild");
    try {
        problems.throw_if_any();
        FAIL("nothing was thrown");
    } catch (const lapheat::Error& e) {
        CHECK(std::string(e.what()) ==
              "a.toml:1:1: warning: k: mild\na.toml:2:5: k: first, expected better\n"
              "a.toml:9:1: k: second\nb.toml:1:1: k: late");
        CHECK(e.place().line == 2);
        CHECK(e.expected() == "better");
    }
    Problems mild;
    mild.warning({"a.toml", 1, 1}, "k", "mild");
    CHECK_NOTHROW(mild.throw_if_any());
}

TEST_CASE("A number that states its doubt is read as its value, and the doubt is listed") {
    Text t(
        "a = \"28 mm +- 1 mm\"\nb = \"0.42 +- 10 %\"\n[tank]\nc = [\"1 bar\", \"2 bar +- 5 %\"]\n");
    CHECK(t.reader.quantity(key::quantity("a", Quantity::length)) == Approx(0.028));
    CHECK(t.reader.number(key::number("b")) == Approx(0.42));
    Reader tank = t.reader.table(key::table("tank", nullptr));
    CHECK(tank.quantities(key::quantities("c", Quantity::pressure)).size() == 2);
    CHECK(t.problems.errors() == 0);
    REQUIRE(t.reader.doubts().size() == 3);
    CHECK(t.reader.doubts()[0].path == "a");
    CHECK(t.reader.doubts()[0].half == Approx(0.001));
    CHECK(t.reader.doubts()[1].half == Approx(0.042));
    CHECK(t.reader.doubts()[2].path == "tank.c[2]");
    CHECK(t.reader.doubts()[2].place.line == 4);
    CHECK(t.reader.take_doubt(key::quantity("a", Quantity::length)) == Approx(0.001));
    CHECK(t.reader.doubts().size() == 2);
}

TEST_CASE("A doubt that cannot be is an error at its line") {
    Text t("a = \"28 mm +- 1 bar\"\n");
    CHECK(std::isnan(t.reader.quantity(key::quantity("a", Quantity::length))));
    CHECK_THAT(t.only(), Catch::Contains("t.toml:1:") && Catch::Contains("'1 bar' is a pressure"));
}
