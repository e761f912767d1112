// A car in twenty lines: what is derived, what wins over it, and what a number says of itself.
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <regex>
#include <set>

#include "lapheat/model/model.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat::scenario;

namespace {

const std::filesystem::path folder = std::filesystem::path(LAPHEAT_SOURCE_DIR) / "scenarios";

const std::string twenty_lines = R"(car = "c"
engine = { displacement = "3.6 L", cylinders = 6, peak_power = "285 hp" }
gearbox = { gears = 6, kind = "automatic" }
vehicle = { mass = "1900 kg", wheelbase = "117 inch", tyre = "235/70R16" }
radiator = { width = "24 inch", height = "17.5 inch", depth = "32 mm" }
radiator_fans = { count = 1, diameter = "16 inch", flow = "1900 ft3/min" }
cooler = { place = "under_floor", width = "11 inch", height = "7.5 inch", depth = "32 mm" }
)";

Scenario of(const std::string& text) { return read(parse(text, "t.toml"), "."); }

const Number& number(const Scenario& s, const std::string& path) {
    for (const Number& n : s.numbers)
        if (n.path == path) return n;
    FAIL("no number " << path);
    return s.numbers.front();
}

std::string with_line(const std::string& from, const std::string& to) {
    std::string text = twenty_lines;
    const auto at = text.find(from);
    REQUIRE(at != std::string::npos);
    return text.replace(at, from.size(), to);
}

}  // namespace

TEST_CASE("Twenty lines are a whole car, for every place, cooler and gearbox") {
    for (const char* place : {"front", "behind_radiator", "side_duct", "under_floor",
                              "behind_rear_axle", "side_scoop", "tank"})
        for (const char* kind : {"bar_plate", "louvred", "plate_fin"}) {
            INFO(place << " " << kind);
            const Scenario s =
                of(with_line("place = \"under_floor\"",
                             std::string("kind = \"") + kind + "\", place = \"" + place + "\""));
            CHECK(s.car.loops.size() == 4);
            CHECK(s.warnings.size() < 4);
        }
    for (const char* gears : {"2", "3", "4", "5", "7", "8", "9", "10"}) {
        const Scenario s = of(with_line("gears = 6", std::string("gears = ") + gears));
        CHECK(s.car.vehicle.gearbox.ratio.size() == static_cast<std::size_t>(std::stoi(gears)));
    }
    const Scenario manual = of(with_line("\"automatic\"", "\"manual\""));
    CHECK(manual.car.loops.size() == 3);  // its gearbox has no cooler
    CHECK(of(with_line("cylinders = 6", "cylinders = 4")).car.engine.cylinders == 4);
}

TEST_CASE("A car typed as a builder types it is the car in plain units") {
    const Scenario plain = of(twenty_lines + "[loops.coolant]\ncap_pressure = \"16 psi\"\n");
    const Scenario typed = of(R"(car = "c"
engine = { displacement = "219.6855 cid", cylinders = 6, peak_power = "285 HP" }
gearbox = { gears = 6, kind = "automatic" }
vehicle = { mass = "4,188.7830 lbs", wheelbase = "9' 9\"", tyre = "235/70R16" }
radiator = { width = "2 ft", height = "17 1/2\"", depth = "1.2598425197 IN." }
radiator_fans = { count = 1, diameter = "1 ft 4 in", flow = "1,900 CFM" }
cooler = { place = "under_floor", width = "11''", height = "7\u00bd\u2033", depth = "32 MM", line = "AN-6" }
[loops.coolant]
cap_pressure = "16 PSI"
)");
    REQUIRE(typed.numbers.size() == plain.numbers.size());
    for (std::size_t i = 0; i < plain.numbers.size(); ++i) {
        INFO(plain.numbers[i].path);
        CHECK(typed.numbers[i].path == plain.numbers[i].path);
        CHECK(typed.numbers[i].value == Approx(plain.numbers[i].value).epsilon(2e-6).margin(1e-12));
    }
    const std::string view = "[loops.transmission.runs.cooler.parts]\n\"supply hose\" = ";
    const std::string path = "exhaust_view";
    const Scenario share = of(twenty_lines + view + "{ exhaust_view = \"12 %\" }\n");
    const Scenario bare = of(twenty_lines + view + "{ exhaust_view = 0.12 }\n");
    std::size_t seen = 0;
    for (std::size_t i = 0; i < bare.numbers.size(); ++i)
        if (bare.numbers[i].path.ends_with(path) && bare.numbers[i].origin == Origin::yours) {
            ++seen;
            CHECK(share.numbers[i].value == Approx(bare.numbers[i].value));
        }
    CHECK(seen > 0);
    CHECK_THROWS_AS(of(twenty_lines + view + "{ exhaust_view = \"half\" }\n"), Errors);
}

TEST_CASE("What a file says wins over what would be derived, and keeps its origin") {
    const Scenario s = of(twenty_lines +
                          "[loops.coolant]\ncap_pressure = \"20 psi\"\n"
                          "[loops.coolant.runs.engine.parts]\n"
                          "\"water pump\" = { free_flow = \"300 L/min\" }\n");
    const Number& cap = number(s, "loops.coolant.cap_pressure");
    CHECK(cap.origin == Origin::yours);
    CHECK(cap.value == Approx(20 * 6894.757));
    CHECK(number(s, "loops.coolant.runs.engine.parts[1].free_flow").origin == Origin::yours);
    const Number& drag = number(s, "vehicle.drag_coefficient");
    CHECK(drag.origin == Origin::derived);
    REQUIRE(drag.relation != nullptr);
    CHECK(drag.half == Approx(0.15 * drag.value));
    CHECK(number(s, "vehicle.rolling_resistance").origin == Origin::assumed);
    CHECK(number(s, "cores.radiator.width").origin == Origin::yours);
    CHECK(number(s, "cores.radiator.width").place.line == 5);
}

TEST_CASE("A speed of peak power or a redline that a file gives leads what is derived beside it") {
    const auto engine = [](const std::string& more) {
        return of(with_line("peak_power = \"285 hp\"", "peak_power = \"285 hp\", " + more));
    };
    constexpr double rounding = 5e-4;  // derived numbers are written with four digits
    const Scenario plain = of(twenty_lines);
    const double derived = number(plain, "engine.peak_power_speed").value;
    const Scenario fast = engine("peak_power_speed = \"8000 rev/min\"");
    const double speed = number(fast, "engine.peak_power_speed").value;
    REQUIRE(speed > 1.1 * derived);  // faster than the redline that goes with the derived one
    CHECK(number(fast, "engine.peak_power_speed").origin == Origin::yours);
    CHECK(number(fast, "engine.redline").value == Approx(1.1 * speed));
    CHECK(number(fast, "engine.peak_torque_speed").value == Approx(0.72 * speed));
    CHECK(number(fast, "engine.peak_torque").value * speed ==
          Approx(number(plain, "engine.peak_torque").value * derived).epsilon(rounding));
    CHECK(number(fast, "shift.full_load_speed").value == Approx(0.93 * speed));
    // A redline bounds it, and one that lies above changes nothing.
    const Scenario slow = engine("redline = \"4000 rev/min\"");
    CHECK(1.1 * number(slow, "engine.peak_power_speed").value ==
          Approx(number(slow, "engine.redline").value).epsilon(rounding));
    CHECK(number(engine("redline = \"9000 rev/min\""), "engine.peak_power_speed").value ==
          Approx(derived));
}

TEST_CASE("Each relation is used by some short car, and has a spread and a source") {
    std::set<std::string_view> used;
    for (const char* place : {"under_floor", "front", "tank"})
        for (const char* kind : {"bar_plate", "plate_fin", "louvred"})
            for (const Number& n :
                 of(with_line("place = \"under_floor\"",
                              std::string("kind = \"") + kind + "\", place = \"" + place + "\""))
                     .numbers)
                if (n.relation != nullptr) {
                    used.insert(n.relation->name);
                    INFO(n.path);
                    // What goes with a derived part has no relation of its own and no doubt.
                    CHECK((n.half > 0) == (n.relation->name != "as built"));
                    CHECK(n.origin == Origin::derived);
                }
    for (const Derivation& r : relations()) {
        INFO(r.name);
        CHECK(used.count(r.name) == 1);
        CHECK(r.spread > 0);
        // A work with its year, or said to be none.
        CHECK(std::regex_search(std::string(r.source),
                                std::regex("(19|20)[0-9]{2}|no source|from memory")));
    }
}

TEST_CASE(
    "Lines of a stated length take the steering's with them, for they go to the same cooler") {
    const auto length = [](const Scenario& s, const std::string& loop, const std::string& hose) {
        for (const lapheat::model::Loop& l : s.car.loops)
            for (const lapheat::model::Run& run : l.runs)
                for (const lapheat::model::Part& part : run.parts)
                    if (l.name == loop && part.name == hose)
                        return std::get<lapheat::model::Line>(part.body).length;
        FAIL("no " << hose);
        return 0.0;
    };
    const Scenario derived = of(twenty_lines);
    const double own = 2 * length(derived, "transmission", "supply hose");
    const Scenario stated =
        of(with_line("place = ", "line_length = \"" + std::to_string(own) + " m\", place = "));
    CHECK(length(stated, "transmission", "supply hose") == Approx(own).epsilon(1e-4));
    for (const char* hose : {"return to cooler", "return from cooler"})
        CHECK(length(stated, "steering", hose) ==
              Approx(2 * length(derived, "steering", hose)).epsilon(1e-3));
    // The pressure hose goes from pump to gear, wherever the cooler is.
    CHECK(length(stated, "steering", "pressure hose") ==
          length(derived, "steering", "pressure hose"));
}

TEST_CASE("A car says in which units its reports are, and a placement may say others") {
    const auto file = std::filesystem::temp_directory_path() / "lapheat_units.toml";
    const auto says = [&](const std::string& text) {
        std::ofstream(file) << text;
        return system_of(file);
    };
    using lapheat::units::System;
    CHECK(says(twenty_lines) == std::nullopt);
    CHECK(says("units = \"us\"\n" + twenty_lines) == System::us);
    CHECK(says("units = \"furlongs\"\n" + twenty_lines) == std::nullopt);
    CHECK(system_of(std::vector<SourceFile>{{"p.toml", "extends = \"car.toml\"\nunits = \"si\"\n"},
                                            {"car.toml", "units = \"us\"\n"}}) == System::si);
    CHECK(of("units = \"us\"\n" + twenty_lines).warnings.empty());
    try {
        (void)of("units = \"furlongs\"\n" + twenty_lines);
        FAIL("nothing was thrown");
    } catch (const Errors& e) {
        REQUIRE(e.problems().size() == 1);
        CHECK(e.problems()[0].key == "units");
        CHECK(e.problems()[0].place.line == 1);
    }
    std::filesystem::remove(file);
}

TEST_CASE("A number that follows from nothing is one of those that its relation names") {
    const Scenario s = of(twenty_lines);
    std::size_t held = 0;
    for (const Number& n : s.numbers) {
        if (n.relation == nullptr || n.relation->from != "nothing") continue;
        if (n.relation->name == "as built") continue;  // goes with a derived part
        std::string words(n.relation->words);
        if (words == "half glycol") words = "0.5 glycol";
        words = std::regex_replace(words, std::regex(" to the inch"), " 1/inch");
        INFO(n.path << " = " << n.value << ": " << words);
        // "60 kPa at 0.095 of ...": each number with the word behind it, and by itself.
        static const std::regex told("([0-9]+(?:\\.[0-9]+)?)(?: ([A-Za-z1][A-Za-z0-9/]*))?");
        bool found = false;
        for (std::sregex_iterator at(words.begin(), words.end(), told), end; at != end; ++at)
            for (const std::string& text : {(*at)[1].str() + " " + (*at)[2].str(), (*at)[1].str()})
                try {
                    const double named = lapheat::units::parse(text, n.quantity);
                    found = found || std::abs(named - n.value) <= 5e-4 * std::abs(n.value);
                } catch (const lapheat::Error&) {
                }
        CHECK(found);
        held += found ? 1 : 0;
    }
    CHECK(held > 30);
}

TEST_CASE("A mistake in a short file is told at its line, and a full file is no short one") {
    try {
        (void)of(with_line("count = 1", "count = 9, colour = \"red\""));
        FAIL("nothing was thrown");
    } catch (const Errors& e) {
        REQUIRE(e.problems().size() == 2);
        CHECK(e.problems()[0].key == "radiator_fans.count");
        CHECK(e.problems()[1].key == "radiator_fans.colour");
        CHECK(e.problems()[0].place.line == 6);
    }
    for (const Number& n : read(folder / "placements/under_floor.toml").numbers) {
        INFO(n.path);
        CHECK(n.relation == nullptr);
    }
}

TEST_CASE("A variant has its numbers and is else the car that was read") {
    for (const char* file : {"placements/under_floor.toml", "short/car.toml"}) {
        const Scenario s = read(folder / file);
        const lapheat::model::Car same = car_with(s, {});
        CHECK(same.vehicle.mass == s.car.vehicle.mass);
        CHECK(same.cores.size() == s.car.cores.size());
        const std::pair<std::string, double> changes[] = {{"vehicle.mass", 1700.0},
                                                          {"cores.radiator.fins", 400.0}};
        const lapheat::model::Car other = car_with(s, changes);
        CHECK(other.vehicle.mass == 1700);
        CHECK(other.cores.front().core.heat_capacity != s.car.cores.front().core.heat_capacity);
        const std::pair<std::string, double> unknown[] = {{"vehicle.colour", 1.0}};
        CHECK_THROWS_AS(car_with(s, unknown), std::logic_error);
        const std::pair<std::string, double> refused[] = {{"vehicle.mass", -1.0}};
        CHECK_THROWS_AS(car_with(s, refused), Errors);
    }
}

TEST_CASE("Values far from any car's are questioned once, with what is usual") {
    const Scenario s = of(with_line("width = \"24 inch\"", "width = \"26 m\""));
    REQUIRE(!s.warnings.empty());
    std::size_t asked = 0;
    for (const Problem& p : s.warnings)
        if (p.hint.find("usual is") != std::string::npos) {
            ++asked;
            CHECK(p.place.line == 5);
        }
    CHECK(asked == 1);
    for (const char* file : {"placements/rear.toml", "placements/tank_only.toml", "short/car.toml",
                             "short/pickup.toml"})
        for (const Problem& p : read(folder / file).warnings) {
            INFO(file << ": " << to_string(p));
            CHECK(p.hint.find("usual is") == std::string::npos);
        }
}

TEST_CASE("An odd value is questioned once, an impossible one is an error") {
    const auto about = [](const std::string& text) {
        std::pair<std::size_t, std::size_t> out{0, 0};  // errors, warnings
        try {
            out.second = of(text).warnings.size();
        } catch (const Errors& e) {
            for (const Problem& p : e.problems())
                ++(p.severity == Severity::error ? out.first : out.second);
        }
        return out;
    };
    const std::size_t usual = of(twenty_lines).warnings.size();
    using Count = std::pair<std::size_t, std::size_t>;
    // Beyond what its diameter gives, and beyond any car's: one line all the same.
    CHECK(about(with_line("\"1900 ft3/min\"", "\"9000 ft3/min\"")) == Count{0, usual + 1});
    // Supply and return have the same length of the same line.
    CHECK(about(with_line("place = ", "line_length = \"1 km\", place = ")) == Count{0, usual + 1});
    CHECK(about(with_line("\"1900 ft3/min\"", "\"1e9 ft3/min\"")).first == 1);
    CHECK(about("name = \"c\"\n[[segments]]\nkind = \"idle\"\n") == Count{1, 0});  // a cycle
    CHECK(about("# nothing\n") == Count{1, 0});
    try {
        (void)of(with_line("\"285 hp\"", "\"28500 hp\""));
        FAIL("nothing was thrown");
    } catch (const Errors& e) {
        CHECK(e.problems()[0].found.starts_with("full load pressure is"));
    }
}

TEST_CASE(
    "A claim that no fan of that diameter reaches is questioned, and a fan that never stops") {
    const auto says = [](const Scenario& s, const std::string& words) {
        for (const Problem& p : s.warnings)
            if (to_string(p).find(words) != std::string::npos) return true;
        return false;
    };
    const Scenario honest = of(twenty_lines);
    CHECK(!says(honest, "blades of that diameter"));
    CHECK(!says(honest, "never lets the fan stop"));
    CHECK(says(of(with_line("\"16 inch\", flow = \"1900", "\"12 inch\", flow = \"3000")),
               "blades of that diameter"));
    const std::string head =
        "[[fans.radiator_1.switches]]\nloop = \"coolant\"\npart = \"jacket\"\n";
    CHECK(says(of(twenty_lines + head + "on = \"80 degC\"\noff = \"75 degC\"\n"),
               "never lets the fan stop"));
    CHECK(!says(of(twenty_lines + head + "on = \"98 degC\"\noff = \"92 degC\"\n"),
                "never lets the fan stop"));
}

TEST_CASE("A variant costs little", "[.][cost]") {
    const Scenario s = read(folder / "placements/under_floor.toml");
    const std::pair<std::string, double> change[] = {{"vehicle.mass", 1700.0}};
    const auto begin = std::chrono::steady_clock::now();
    constexpr int times = 50;
    double sum = 0;
    for (int i = 0; i < times; ++i) sum += car_with(s, change).vehicle.mass;
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - begin;
    WARN("car_with: " << took.count() / times << " ms each" << (sum > 0 ? "" : "?"));
}
