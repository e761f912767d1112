// The importer over the dialects that loggers write: each is one small file written here, with the
// same drive inside, so that what comes out is known to the digit.
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <filesystem>
#include <fstream>
#include <string>

#include "lapheat/drive/vehicle.hpp"
#include "lapheat/scenario/log.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/units/error.hpp"

namespace {

using namespace lapheat;
using namespace lapheat::scenario;

class TextFile {
  public:
    explicit TextFile(const std::string& bytes)
        : path_(std::filesystem::temp_directory_path() /
                ("lapheat_log_" + std::to_string(count++) + "_" + std::to_string(::getpid()) +
                 ".csv")) {
        std::ofstream(path_, std::ios::binary) << bytes;
    }
    ~TextFile() { std::filesystem::remove(path_); }
    TextFile(const TextFile&) = delete;
    TextFile& operator=(const TextFile&) = delete;
    [[nodiscard]] const std::filesystem::path& path() const { return path_; }

  private:
    static inline int count = 0;
    std::filesystem::path path_;
};

/// 60 s at one row a second: coolant 20 degC rising 1 K in 4 s, speed 3 km/h a second to 60, engine
/// 800 rev/min and 40 for each km/h.
constexpr int seconds = 60;
int coolant(int t) { return 20 + t / 4; }
int speed(int t) { return std::min(3 * t, 60); }
int engine(int t) { return 800 + 40 * speed(t); }

Log read(const std::string& bytes, const LogOptions& options = {}) {
    const TextFile file(bytes);
    return read_log(file.path(), options);
}

std::string message(const std::string& bytes, const LogOptions& options = {}) {
    try {
        (void)read(bytes, options);
    } catch (const Error& e) {
        return std::string{e.what()} + " | " + e.expected();
    }
    return "no error";
}

/// Every dialect tells this drive.
void holds_the_drive(const Log& log, double latest = seconds - 1) {
    for (const Signal s : {Signal::coolant, Signal::speed, Signal::engine_speed}) {
        INFO(entry(s).name);
        REQUIRE(log.find(s) != nullptr);
    }
    CHECK(log.duration == Approx(latest).margin(0.5));
    std::vector<double> times{4, 10, 16, 19, 40};
    const auto c = sampled(log.at(Signal::coolant), times);
    const auto v = sampled(log.at(Signal::speed), times);
    const auto n = sampled(log.at(Signal::engine_speed), times);
    for (std::size_t i = 0; i < times.size(); ++i) {
        INFO("at " << times[i] << " s");
        const int t = static_cast<int>(times[i]);
        // A logger of one signal a row is late by up to a row.
        CHECK(c[i] == Approx(273.15 + coolant(t)).margin(0.3));
        CHECK(v[i] == Approx(speed(t) / 3.6).margin(0.5));
        CHECK(n[i] == Approx(engine(t) * 3.14159265 / 30).margin(8));
    }
}

std::string two(int x) { return (x < 10 ? "0" : "") + std::to_string(x); }
std::string utf16(const std::string& ascii) {
    std::string out = "\xFF\xFE";
    for (const char c : ascii) out += c, out += '\0';
    return out;
}

}  // namespace

TEST_CASE("log: time of day over midnight, units in brackets, one signal refreshed a row") {
    std::string text =
        "Time,Engine Coolant Temperature [\xC3\x82\xC2\xB0"
        "C],Vehicle Speed Sensor [km/h],Engine RPM "
        "[RPM],Brake Light []\n";
    for (int t = 0; t < seconds; ++t) {
        const int s = 86400 - 30 + t;
        const std::string stamp = two(s / 3600 % 24) + ":" + two(s / 60 % 60) + ":" + two(s % 60);
        text += stamp + ".000," + std::to_string(coolant(t)) + ",,,\n";
        text += stamp + ".090,," + std::to_string(speed(t)) + ",,\n";
        text += stamp + ".180,,," + std::to_string(engine(t)) + ",\n";
    }
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.stamps == "times of day");
    CHECK(log.at(Signal::coolant).unit == "degC");
    CHECK(log.at(Signal::coolant).step == Approx(1));
    CHECK(log.at(Signal::coolant).empty == 2 * seconds);
    REQUIRE(log.left_out.size() == 1);
    CHECK(log.left_out[0].column == "Brake Light");
}

TEST_CASE("log: a field more in the rows than in the header, stamps that come twice, CRLF") {
    std::string text = "Time [],Engine RPM [],Vehicle Speed [],Coolant Temp []\r\n";
    for (int t = 0; t < seconds; ++t)
        for (int twice = 0; twice < 2; ++twice)
            text += std::to_string(t) + "," + std::to_string(engine(t)) + "," +
                    std::to_string(speed(t)) + "," + std::to_string(coolant(t)) + ",\r\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.rows == 2 * seconds);
    CHECK(log.rows_backwards == 0);
    CHECK(log.at(Signal::coolant).unit_guessed);
}

TEST_CASE("log: long form, quoted, semicolons, miles an hour and Fahrenheit") {
    std::string text = "\"SECONDS\";\"PID\";\"VALUE\";\"UNITS\"\n";
    for (int t = 0; t < seconds; ++t) {
        const std::string at = "\"" + std::to_string(100 + t) + ".5\";";
        text += at + "\"Engine coolant temperature\";\"" + std::to_string(32 + 1.8 * coolant(t)) +
                "\";\"\xE2\x84\x89\"\n";
        text += at + "\"Vehicle speed\";\"" + std::to_string(speed(t) / 1.609344) + "\";\"mph\"\n";
        text += at + "\"Engine RPM\";\"" + std::to_string(engine(t)) + "\";\"rpm\"\n";
        text += at + "\"Fuel rail pressure\";\"3\";\"bar\"\n";
    }
    // A lesser match that comes first does not take the signal.
    text.insert(text.find('\n') + 1,
                "\"100.5\";\"Coolant in the heater\";\"20\";\"\xE2\x84\x83\"\n");
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.layout == "one value a row");
    CHECK(log.at(Signal::coolant).column == "Engine coolant temperature");
    REQUIRE(log.left_out.size() == 2);
    CHECK(log.left_out[0].column == "Coolant in the heater");
    CHECK(log.left_out[1].column == "Fuel rail pressure");
}

TEST_CASE("log: long form with a separator at the end and names in another alphabet") {
    std::string text = "SECONDS;PID;VALUE;UNITS;\n";
    for (int t = 0; t < seconds; ++t) {
        const std::string at = std::to_string(t) + ";";
        text += at + "Температура охлаждающей жидкости;" + std::to_string(coolant(t)) + ";°C;\n";
        text += at + "Скорость автомобиля;" + std::to_string(speed(t)) + ";км/ч;\n";
        text += at + "Обороты двигателя;" + std::to_string(engine(t)) + ";об/мин;\n";
    }
    holds_the_drive(read(text));
}

TEST_CASE("log: units glued to values, decimal commas, a ruined stamp beside a good one") {
    std::string text = "Date,Elapsed time,Coolant temperature,Vehicle speed,Engine RPM,Load\n";
    for (int t = 0; t < seconds; ++t)
        text += "########,\"00:" + two(t / 60) + ":" + two(t % 60) + "\"," +
                std::to_string(coolant(t)) + "C,\"" + std::to_string(speed(t)) + ",0km/h\"," +
                std::to_string(engine(t)) + "rpm,\"74,50%\"\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.decimal_comma);
    CHECK(log.at(Signal::load).value.front() == Approx(0.745));
}

TEST_CASE("log: semicolons, decimal commas, whole milliseconds") {
    std::string text = "time;coolant;speed;rpm\n";
    for (int t = 0; t < seconds; ++t)
        text += std::to_string(1000 * t) + ";" + std::to_string(coolant(t)) + ",0;" +
                std::to_string(speed(t)) + ",00;" + std::to_string(engine(t)) + ",5\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.stamps == "milliseconds");
    REQUIRE(log.notes.size() == 1);
    CHECK_THAT(log.notes[0], Catch::Contains("whole numbers 1000 apart are taken as milliseconds"));
}

TEST_CASE("log: UTF-16 with a mark, titles above the header, units in round brackets") {
    std::string text = "Logger file\r\nrecorded on a warm day\r\n";
    text += "Time (s)\tCoolant Temperature (degF)\tVehicle Speed (mph)\tEngine Speed (rpm)\r\n";
    for (int t = 0; t < seconds; ++t)
        text += std::to_string(t) + "\t" + std::to_string(32 + 1.8 * coolant(t)) + "\t" +
                std::to_string(speed(t) / 1.609344) + "\t" + std::to_string(engine(t)) + "\r\n";
    const Log log = read(utf16(text));
    holds_the_drive(log);
    CHECK(log.encoding == "UTF-16LE");
    CHECK(log.separator == "tabs");
    CHECK(log.title_lines == 2);
}

TEST_CASE("log: sparse rows, names like paths, empty cells") {
    std::string text = "timestamp,engine/rpm,engine/coolant_temp,vehicle/speed\n";
    for (int i = 0; i < 50 * seconds; ++i) {
        const int t = i / 50;
        text += std::to_string(i * 0.02) + "," + (i % 3 == 0 ? std::to_string(engine(t)) : "") +
                "," + (i % 50 == 7 ? std::to_string(coolant(t)) : "") + "," +
                (i % 5 == 1 ? std::to_string(speed(t)) : "") + "\n";
    }
    const Log log = read(text);
    REQUIRE(log.find(Signal::coolant) != nullptr);
    CHECK(log.duration == Approx(seconds).margin(0.5));
    CHECK(sampled(log.at(Signal::coolant), {40.5}).front() == Approx(273.15 + 30).margin(0.3));
    CHECK(log.at(Signal::engine_speed).time.size() < 400);  // repeated values are held thinly
}

TEST_CASE("log: Latin-1, lines of header, a column of stamps for each signal") {
    std::string text;
    for (int i = 0; i < 7; ++i)
        text += "# Kopf " + std::to_string(i) +
                " \xFC"
                "ber alles\r\n";
    text +=
        "time;K\xFChlmitteltemperatur [\xB0"
        "C];time;Geschwindigkeit [km/h];time;Motordrehzahl [1/min]\r\n";
    for (int t = 0; t < seconds; ++t)
        text += std::to_string(t) + ".0;" + std::to_string(coolant(t)) + ";" + std::to_string(t) +
                ".2;" + std::to_string(speed(t)) + ";" + std::to_string(t) + ".4;" +
                std::to_string(engine(t)) + "\r\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.encoding == "WINDOWS-1252");
    CHECK(log.layout == "a column of stamps for each signal");
    CHECK(log.at(Signal::engine_speed).time.front() == Approx(0.4));
}

TEST_CASE("log: three rows of header, seconds since 1970") {
    std::string text =
        "Time,CoolantTemp,VehicleSpeed,EngineSpeed\ns,degC,km/h,1/min\nclock,engine,car,engine\n";
    for (int t = 0; t < seconds; ++t)
        text += std::to_string(1600000000 + t) + ".25," + std::to_string(coolant(t)) + "," +
                std::to_string(speed(t)) + "," + std::to_string(engine(t)) + "\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK_FALSE(log.at(Signal::speed).unit_guessed);
}

TEST_CASE("log: a title with tabs above a quoted header") {
    std::string text =
        "my drive\tv1\tcold\n\"Time (sec)\",\"Coolant (\xC2\xB0"
        "C)\",\"Speed (km/h)\",\"RPM\"\n";
    for (int t = 0; t < seconds; ++t)
        text += "\"" + std::to_string(t) + "\",\"" + std::to_string(coolant(t)) + "\",\"" +
                std::to_string(speed(t)) + "\",\"" + std::to_string(engine(t)) + "\"\n";
    const Log log = read(text);
    holds_the_drive(log);
    CHECK(log.title_lines == 1);
    CHECK(log.header_line == 2);
}

TEST_CASE(
    "log: impossible, unreadable and stuck values and gaps are counted, not dropped in silence") {
    std::string text = "time [s],coolant [degC],speed [km/h]\n";
    for (int t = 0; t < 100; ++t) {
        if (t >= 40 && t < 70) continue;
        const std::string c = t == 5   ? "-273"
                              : t == 6 ? "65535"
                              : t == 7 ? "bad"
                                       : std::to_string(80 + t % 3);
        text += std::to_string(t) + "," + c + "," + (t > 70 ? "50" : std::to_string(t)) + "\n";
    }
    text += "oops,80,50\n98,80,50\n";
    const Log log = read(text);
    const Channel& c = log.at(Signal::coolant);
    CHECK(c.impossible == 2);
    CHECK(c.unreadable == 1);
    CHECK(log.rows_unstamped == 1);
    CHECK(log.rows_backwards == 1);
    REQUIRE(log.gaps.size() == 1);
    CHECK(log.gaps[0].begin == 39);
    CHECK(log.gaps[0].end == 70);
    CHECK(log.at(Signal::speed).longest_still == Approx(28).margin(1.1));
    CHECK(std::isnan(sampled(c, {55}, 5).front()));
}

TEST_CASE("log: the user's word is over any guess") {
    std::string text = "time,A,B,speed\n";
    for (int t = 0; t < seconds; ++t)
        text += std::to_string(t) + "," + std::to_string(coolant(t)) + ",7," +
                std::to_string(speed(t)) + "\n";
    CHECK(read(text).find(Signal::coolant) == nullptr);
    const Log log = read(text, {.map = {{"coolant", "A"}, {"speed", ""}}});
    CHECK(log.at(Signal::coolant).mapped);
    CHECK(log.find(Signal::speed) == nullptr);
    // The whole heading is a name too, and tells one of two columns that differ in their unit.
    const std::string both = "time [s],T [bar],T [°C]\n0,1.2,80\n1,1.2,81\n2,1.3,82\n3,1.3,83\n";
    CHECK(read(both, {.map = {{"coolant", "T [°C]"}}}).at(Signal::coolant).value.back() ==
          Approx(356.15));
    CHECK_THAT(message(text, {.map = {{"coolant", "C"}}}), Catch::Contains("no column \"C\""));
    CHECK_THAT(message(text, {.map = {{"coolnt", "A"}}}),
               Catch::Contains("did you mean 'coolant'"));
}

TEST_CASE("log: files that are none say so") {
    CHECK_THAT(message(""), Catch::Contains("is empty"));
    CHECK_THAT(message("\x1F\x8B\x08\x00 and more"), Catch::Contains("compressed"));
    CHECK_THAT(message("Dear diary,\nit was hot today.\n"), Catch::Contains("no rows of numbers"));
    CHECK_THAT(message("a,b\n3,1\n2,1\n5,3\n1,7\n4,1\n"), Catch::Contains("stamps"));
    CHECK_THAT(message(std::string("\x7F"
                                   "ELF\0\x01\x02 binary",
                                   14)),
               Catch::Contains("no text"));
    std::string unknown = "time,humidity index\n";
    for (int t = 0; t < 9; ++t) unknown += std::to_string(t) + ",4\n";
    CHECK_THAT(message(unknown), Catch::Contains("no column that tells of a signal"));
    CHECK_THROWS_AS(read_log("/nowhere/at/all.csv"), Error);
}

TEST_CASE("log: a cycle from a log keeps the way, the ambient and when the engine stands") {
    std::string text = "time [s],speed [km/h],rpm,ambient [degC],altitude [m]\n";
    double way = 0;
    for (int t = 0; t < 200; ++t) {
        const bool on = t > 20;
        const int v = t < 30 ? 0 : std::min(2 * (t - 30), 50);
        way += v / 3.6;
        text += std::to_string(t) + "," + std::to_string(v) + "," + (on ? "900" : "0") + ",11," +
                std::to_string(100 + 0.05 * way) + "\n";
    }
    std::vector<std::string> notes;
    const drive::Cycle cycle = cycle_of(read(text), {}, notes);
    CHECK(drive::totals(cycle).distance == Approx(way).epsilon(0.01));
    CHECK(cycle.ambient.front() == Approx(284.15));
    CHECK(cycle.engine_on[10] == 0);
    CHECK(cycle.engine_on[30] == 1);
    CHECK(cycle.grade[150] == Approx(0.05).margin(0.005));
    CHECK(notes.empty());
    const drive::Cycle warm = cycle_of(read(text), {.ambient = 303.15}, notes);
    CHECK(warm.ambient.front() == 303.15);
}

TEST_CASE("log: a cycle's file drives a log, and says what it assumed") {
    const TextFile logged([] {
        std::string text = "time [s],speed [km/h],rpm,intake air [degC]\n";
        for (int t = 0; t < 90; ++t)
            text += std::to_string(t) + "," + std::to_string(std::min(t, 50)) + ",1500,21\n";
        return text;
    }());
    const TextFile cycle("name = \"as driven\"\n[[segments]]\nkind = \"log\"\nfile = \"" +
                         logged.path().filename().string() + "\"\n");
    const drive::Cycle driven = read_cycle(cycle.path(), drive::Vehicle{});
    CHECK(driven.time.back() == Approx(89));
    CHECK(driven.speed[70] == Approx(50 / 3.6).epsilon(1e-6));
    CHECK(driven.ambient.front() == Approx(294.15));
    const TextFile missing(
        "name = \"as driven\"\n[[segments]]\nkind = \"log\"\nfile = \"no_such.csv\"\n");
    CHECK_THROWS_AS(read_cycle(missing.path(), drive::Vehicle{}), Error);
}
