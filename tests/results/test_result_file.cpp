// A result written to a file and read back is the same result.
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <functional>
#include <lapheat/results/binding.hpp>
#include <lapheat/results/json_rows.hpp>
#include <lapheat/results/report.hpp>
#include <lapheat/results/result_file.hpp>

using namespace lapheat;
namespace fs = std::filesystem;

namespace {

fs::path folder() {
    fs::path out = fs::temp_directory_path() / "lapheat_test_result_file";
    fs::create_directories(out);
    return out;
}

/// Invented numbers with one of everything.
model::Result sample(const std::string& placement = "at the rear",
                     const std::string& cycle = "timed laps") {
    model::Result r;
    r.car = "an invented car";
    r.placement = placement;
    r.summary = "long lines";
    r.cycle = cycle;
    for (int i = 0; i <= 600; ++i) r.time.push_back(i);
    model::Series t{
        "loops/coolant/upper_hose_1_3", "temperature", "K", "upper hose temperature", {}};
    model::Series flow{"loops/coolant", "limit", "K", "coolant temperature limit", {}};
    for (const double x : r.time) {
        t.values.push_back(363.15 + std::sin(x / 60));
        flow.values.push_back(390 + x / 100);
    }
    r.series = {t, flow};
    r.events = {{12.5, model::EventKind::fan_switch_closes, "radiator_left", 366.15},
                {20, model::EventKind::engine_stops, "engine", 0}};
    using Direction = model::LedgerEntry::Direction;
    r.ledger.entries = {{"engine to coolant", Direction::in, 2e6},
                        {"radiator", Direction::out, 1.5e6},
                        {"fluids and metal", Direction::stored, 0.5e6}};
    r.sources = {{"steering", "relief dwell", 3e5}, {"engine", "fuel", 8e7}};
    r.ledger.moved = 2e6;
    r.ledger.closure = 3e-15;
    model::Verdict v;
    v.loop = "coolant";
    v.part = "upper hose";
    v.peak = 364.15;
    v.peak_time = 94;
    v.limit = 391;
    v.margin = 26.85;
    v.flow = 1e-3;
    v.line_loss = 4321;
    v.core = "radiator";
    v.core_heat = 31000;
    v.share_air = 0.7;
    v.share_liquid = 0.3;
    v.note = "boiling less 8 K";
    model::Verdict w;
    w.loop = "steering";
    w.margin = -3.5;
    w.time_over = 75;
    r.verdicts = {v, w};
    model::LineState line{
        .loop = "coolant", .run = "radiator", .part = "upper hose", .kind = "hose"};
    line.inner_diameter = 0.038;
    line.velocity = 1.2;
    line.reynolds = 61234;
    line.share = 0.04;
    model::PumpState pump{.loop = "coolant", .pump = "water pump"};
    pump.suction_margin = -0.5;
    pump.time_cavitating = 12;
    r.lines = {line};
    r.pumps = {pump};
    r.fans = {{"left", 0.5, 0.4, 0.31, 0.36, 180}};
    r.assumed = {{"vehicle.tyre_pressure", units::Quantity::pressure, 2.2e5, 1.4e5, 4e5, "front"}};
    r.fan_energy = 5e5;
    r.distance = 6543;
    r.peak_fan_current = 33;
    r.peak_current = 65;
    r.idle_capacity = 50;
    r.current_shortfall = 15;
    r.battery_charge = 4200;
    r.cost = {.rhs_calls = 1234, .steps = 99, .wall_seconds = 0.01, .simulated_seconds = 600};
    r.warnings = {{Code::core_second_beyond, "radiator"},
                  {Code::part_over_pressure,
                   "coolant",
                   {"upper hose"},
                   {{2.5e5, units::Quantity::pressure}, {2e5, units::Quantity::pressure}}}};
    r.assumptions = {{"material", "aluminium"}, {"sun", "0 W/m2 (shade)"}};
    r.phases = {{0, "grid"}, {120, "lap 1"}};
    return r;
}

void check_same(const model::Result& a, const model::Result& b) {
    CHECK(a.car == b.car);
    CHECK(a.placement == b.placement);
    CHECK(a.summary == b.summary);
    CHECK(a.cycle == b.cycle);
    CHECK(a.time == b.time);
    REQUIRE(a.series.size() == b.series.size());
    for (const model::Series& s : a.series) {
        // A half of the last of 15 bits, or of 13.
        const double most = std::ldexp(1.0, s.units == "K" ? -15 : -13);
        const model::Series* found = b.find(s.group, s.name);
        REQUIRE(found != nullptr);
        REQUIRE(found->values.size() == s.values.size());
        for (std::size_t i = 0; i < s.values.size(); ++i)
            CHECK(std::abs(found->values[i] - s.values[i]) <= most * std::abs(s.values[i]));
        CHECK(found->units == s.units);
        CHECK(found->long_name == s.long_name);
    }
    REQUIRE(a.events.size() == b.events.size());
    for (std::size_t i = 0; i < a.events.size(); ++i) {
        CHECK(a.events[i].time == b.events[i].time);
        CHECK(a.events[i].kind == b.events[i].kind);
        CHECK(a.events[i].subject == b.events[i].subject);
        CHECK(a.events[i].value == b.events[i].value);
    }
    // JSON holds every verdict, the ledger, cost, notes and phases.
    CHECK(results::to_text(results::to_json(a)) == results::to_text(results::to_json(b)));
}

}  // namespace

TEST_CASE(
    "A result comes back from its file, its temperatures to 8 mK, other series to one in 8000, the "
    "rest exactly") {
    const fs::path file = folder() / "one.h5";
    const model::Limits limits{
        .caution = 380, .limit = 0, .boiling_reserve = 8, .part = "", .note = "common practice"};
    results::write_result(
        file, sample(),
        {.files = {{"car.toml", "car = \"x\"\n"}}, .limits = {{"coolant", limits}}});
    check_same(sample(), results::read_result(file));
    const results::Hdf5Reader reader(file);
    const auto texts = results::get_texts(reader);
    REQUIRE(texts.size() == 1);
    CHECK(texts[0].path == "car.toml");
    CHECK(texts[0].text == "car = \"x\"\n");
    const auto back = results::get_limits(reader);
    REQUIRE(back.size() == 1);
    CHECK(back[0].limits.caution == 380);
    CHECK(back[0].limits.boiling_reserve == 8);
    CHECK(back[0].limits.note == "common practice");
}

TEST_CASE("A result that is asked for exactly comes back bit for bit") {
    const fs::path file = folder() / "exact.h5";
    results::write_result(file, sample(), {.files = {}, .limits = {}, .exact = true});
    const model::Result back = results::read_result(file);
    check_same(sample(), back);
    for (const model::Series& s : sample().series)
        CHECK(back.find(s.group, s.name)->values == s.values);
}

TEST_CASE("A file of the layout before, in 64 bits, is read as well") {
    const fs::path file = folder() / "before.h5";
    {
        results::Hdf5Writer writer(file);
        results::put_texts(writer, {});
        results::put_result(writer, "", sample(), {}, true);
        writer.attributes("/", {{"layout", std::int64_t{1}}});
        writer.commit();
    }
    check_same(sample(), results::read_result(file));
}

TEST_CASE("A loop keeps its role in a file whatever it is called") {
    const fs::path file = folder() / "role.h5";
    model::Result r = sample();
    r.verdicts[0].role = model::LoopRole::other;  // called coolant, and is not
    r.verdicts[1].loop = "rack and pump";
    r.verdicts[1].role = model::LoopRole::steering;
    results::write_result(file, r);
    const model::Result back = results::read_result(file);
    CHECK(back.verdicts[0].role == model::LoopRole::other);
    CHECK(back.verdicts[1].role == model::LoopRole::steering);
}

TEST_CASE("Every series carries its unit, its long name and the time axis") {
    const fs::path file = folder() / "axes.h5";
    results::write_result(file, sample());
    const results::Hdf5Reader reader(file);
    const std::string path = "/loops/coolant/upper_hose_1_3/temperature";
    CHECK(reader.label(path, "units") == "K");
    CHECK(reader.label(path, "long_name") == "upper hose temperature");
    CHECK(reader.dimensions(path) == std::vector<std::string>{"time"});
    CHECK(reader.has("/loops/coolant/upper_hose_1_3/time"));
    CHECK(reader.label("/verdicts/peak", "units") == "K");
    // Ten kelvins of margin are not ten kelvins above absolute zero.
    CHECK(reader.label("/verdicts/margin", "units_metadata") == "temperature: difference");
    CHECK(reader.label("/verdicts/peak", "units_metadata") == "temperature: on_scale");
    CHECK(reader.label(path, "units_metadata") == "temperature: on_scale");
    CHECK(reader.label("/", "Conventions") == "CF-1.11");
    CHECK(reader.dimensions("/verdicts/peak") == std::vector<std::string>{"loop"});
    CHECK(reader.label("/", "lapheat") == results::version());
}

TEST_CASE("A run without series, events or notes is still a run") {
    model::Result r = sample();
    r.series.clear();
    r.events.clear();
    r.warnings.clear();
    r.assumptions.clear();
    r.phases.clear();
    const fs::path file = folder() / "bare.h5";
    results::write_result(file, r);
    check_same(r, results::read_result(file));
}

TEST_CASE("Parts named like a series, like the time or like a path do not spoil the file") {
    model::Result r = sample();
    const std::vector<double> values(r.time.size(), 300.0);
    r.series.push_back({"loops/coolant/limit", "temperature", "K", "part named limit", values});
    r.series.push_back({"loops/coolant/time", "temperature", "K", "part named time", values});
    r.series.push_back({"loops/..", "temperature", "K", "part named ..", values});
    r.series.push_back({"cores/Kühler \"groß\"", "heat", "W", "named in another alphabet", values});
    const fs::path file = folder() / "names.h5";
    results::write_result(file, r);
    check_same(r, results::read_result(file));
}

TEST_CASE("Several runs share one file, each under its placement and cycle") {
    const fs::path file = folder() / "many.h5";
    {
        results::Hdf5Writer writer(file);
        results::put_texts(writer, {});
        for (const char* placement : {"at the rear", "ahead"})
            for (const char* cycle : {"traffic", "timed laps"}) {
                const model::Result r = sample(placement, cycle);
                results::put_result(writer, results::run_path(r), r);
            }
        writer.commit();
    }
    const results::Hdf5Reader reader(file);
    const auto roots = results::run_roots(reader);
    REQUIRE(roots == std::vector<std::string>{"/runs/at_the_rear/traffic",
                                              "/runs/at_the_rear/timed_laps", "/runs/ahead/traffic",
                                              "/runs/ahead/timed_laps"});
    check_same(sample("ahead", "traffic"), results::get_result(reader, roots[2]));
}

TEST_CASE("Columns of unequal length, and groups without end, are errors that name the path") {
    const fs::path file = folder() / "odd.h5";
    const auto key_of = [&](const std::function<void(results::Hdf5Writer&)>& spoil) {
        {
            results::Hdf5Writer writer(file);
            results::put_texts(writer, {});
            results::put_result(writer, "", sample());
            spoil(writer);
            writer.commit();
        }
        try {
            (void)results::read_result(file);
        } catch (const Error& e) {
            return e.key();
        }
        return std::string("read");
    };
    CHECK(key_of([](results::Hdf5Writer&) {}) == "read");
    CHECK(key_of([](results::Hdf5Writer& w) {
              const std::vector<double> three{1, 2, 3};
              w.scale("/odd/time", three);
              w.numbers("/odd/temperature", three, {"/odd/time"}, {{"units", "K"}});
          }) == "/odd/temperature");
    CHECK(key_of([](results::Hdf5Writer& w) {
              std::string path;
              for (int i = 0; i < 20; ++i) path += "/deeper";
              w.group(path);
          }).starts_with("/deeper/deeper"));
}

TEST_CASE("A number that is no count of anything is refused where a count stands") {
    const fs::path file = folder() / "counts.h5";
    model::Result r = sample();
    r.cost.steps = std::size_t{1} << 60;  // as a file may say that nobody's run wrote
    results::write_result(file, r);
    CHECK_THROWS_WITH(results::read_result(file), Catch::Contains("cost/steps"));
}

TEST_CASE("A file that holds no run, and one cut short, are errors that name the file") {
    const fs::path empty = folder() / "empty.h5", cut = folder() / "cut.h5";
    {
        results::Hdf5Writer writer(empty);
        writer.number("/something", 1);
        writer.commit();
    }
    try {
        (void)results::read_result(empty);
        FAIL("an error was expected");
    } catch (const Error& e) {
        CHECK(std::string(e.what()) == "the file holds no run");
        CHECK(e.place().file == empty.string());
    }
    results::write_result(cut, sample());
    fs::resize_file(cut, fs::file_size(cut) / 2);
    CHECK_THROWS_AS(results::read_result(cut), Error);
}

TEST_CASE("A margin below zero, and what binds, can be read in the report without colour") {
    const results::Style style;
    const std::string text = results::verdict_tables(sample(), style);
    CHECK(text.find("-3.5") != std::string::npos);
    CHECK(text.find("1:15") != std::string::npos);
    CHECK(text.find("70 % of its core's resistance is on the air side") != std::string::npos);
    CHECK(text.find("no core of its own") != std::string::npos);
    CHECK(text.find("\x1b[") == std::string::npos);
    REQUIRE(results::tightest(sample()) != nullptr);
    CHECK(results::tightest(sample())->loop == "steering");
}

TEST_CASE("Temperatures and margins are shown in degrees Fahrenheit on demand") {
    results::Style us;
    us.units = units::System::us;
    CHECK(results::shown(373.15, units::Quantity::temperature, us, 1) == "212.0 °F");
    CHECK(results::shown(10, units::Quantity::temperature_difference, us, 1) == "18.0 °F");
    CHECK(results::shown(373.15, units::Quantity::temperature, {}, 1) == "100.0 °C");
}

TEST_CASE("A clock shows minutes, and hours when there are any") {
    CHECK(results::clock(0) == "0:00");
    CHECK(results::clock(187) == "3:07");
    CHECK(results::clock(59.7) == "1:00");
    CHECK(results::clock(3750) == "1:02:30");
}

TEST_CASE("A word for a path holds no blank, slash or half a character") {
    CHECK(results::path_word("the rear, long lines") == "the_rear_long_lines");
    CHECK(results::path_word("../../etc") == ".._.._etc");
    CHECK(results::path_word("") == "unnamed");
    CHECK(results::path_word(" / ") == "unnamed");
    const std::string longest = results::path_word(std::string(79, 'a') + "öööö");
    CHECK(longest == std::string(79, 'a'));
}

TEST_CASE("The time to a limit is counted from the fault before it, else from the start") {
    model::Result r = sample();
    r.verdicts[1].first_over = 400;
    CHECK_THAT(results::fault_lines(r, {}),
               Catch::Contains("Time to the limit: steering after 6:40"));
    r.events.push_back({300, model::EventKind::fault_begins, "the fan left is dead", 0});
    const std::string lines = results::fault_lines(r, {});
    CHECK_THAT(lines, Catch::Contains("Fault from 5:00, the fan left is dead"));
    CHECK_THAT(lines, Catch::Contains("from the fault: steering after 1:40"));
    CHECK_THAT(results::time_to_limit_table(std::vector{r}, {}), Catch::Contains("1:40"));
    r.verdicts[1].first_over = -1;
    CHECK_THAT(results::fault_lines(r, {}), Catch::Contains("No fluid reaches its limit"));
    CHECK(results::time_to_limit_table(std::vector{r}, {}).empty());
}

TEST_CASE("The sources of heat are shown with the share of each of their ways") {
    model::Result r = sample();
    r.sources = {{"engine", "fuel", 100e6},
                 {"engine", "to coolant", 30e6},
                 {"steering", "relief dwell", 1e6},
                 {"steering", "line loss", 3e6}};
    const std::string table = results::source_table(r, {});
    CHECK_THAT(table, Catch::Contains("100.00"));
    CHECK_THAT(table, Catch::Contains("to coolant 30 %"));
    CHECK_THAT(table, Catch::Contains("relief dwell 25 %, line loss 75 %"));
}
