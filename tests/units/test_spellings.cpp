// How builders write quantities.
#include <array>
#include <catch2/catch.hpp>
#include <cctype>
#include <map>
#include <random>
#include <string>

#include "lapheat/units/doubt.hpp"
#include "lapheat/units/spellings.hpp"

using namespace lapheat;
using units::Quantity;

namespace {

std::optional<double> read(const std::string& text, Quantity q) {
    try {
        return units::parse(text, q);
    } catch (const Error&) {
        return std::nullopt;
    }
}

std::string complaint(const std::string& text, Quantity q) {
    try {
        (void)units::parse(text, q);
    } catch (const Error& e) {
        return std::string(e.what()) + " | " + e.expected();
    }
    return "accepted";
}

/// SI, worked out by hand from NIST SP 811, appendix B (a metric horsepower is 75 kgf m/s).
const std::map<std::string_view, double> by_hand = {{"5'", 1.524},
                                                    {"5' 3\"", 1.6002},
                                                    {"3 ft 6 in", 1.0668},
                                                    {"3ft 6 1/2in", 1.0795},
                                                    {"1/2\"", 0.0127},
                                                    {"1 1/4 in", 0.03175},
                                                    {"1\u00bd\u2033", 0.0381},
                                                    {"24''", 0.6096},
                                                    {"32 MM", 0.032},
                                                    {"60 thou", 0.001524},
                                                    {"450 sq. in.", 0.290322},
                                                    {"22 sq ft", 2.04386688},
                                                    {"350 cid", 5.7354724e-3},
                                                    {"350 cu. in.", 5.7354724e-3},
                                                    {"1998 cc", 1.998e-3},
                                                    {"5.7 Liter", 5.7e-3},
                                                    {"1 1/2 gal", 5.678117676e-3},
                                                    {"10 US qts", 9.46352946e-3},
                                                    {"8 fl. oz", 2.365882365e-4},
                                                    {"3 imp gal", 0.01363827},
                                                    {"3,300 lbs", 1496.854821},
                                                    {"12 lb 8 oz", 5.669904625},
                                                    {"1450 Kg", 1450},
                                                    {"400 lbs", 1779.2886460},
                                                    {"1 hr 20 mins", 4800},
                                                    {"65 MPH", 29.0576},
                                                    {"100 kmh", 27.777777777777779},
                                                    {"1.1 g", 10.787315},
                                                    {"5,500 RPM", 575.95865315812881},
                                                    {"5500 1/min", 575.95865315812881},
                                                    {"1,050 cfm", 0.49554481536},
                                                    {"2800 CFM", 1.32145284096},
                                                    {"1500 m\u00b3/h", 0.41666666666666667},
                                                    {"2.5 GPM", 1.5772549100e-4},
                                                    {"255 LPH", 7.0833333333e-5},
                                                    {"16 PSI", 110316.11669},
                                                    {"16 lbs/sq in", 110316.11669},
                                                    {"110 KPA", 110000},
                                                    {"0.5 in. H2O", 124.544455},
                                                    {"1.1 kg/cm2", 107873.15},
                                                    {"300 HP", 223709.96147},
                                                    {"285 bhp", 212524.46340},
                                                    {"204 PS", 150041.745},
                                                    {"150 KW", 150000},
                                                    {"40,000 BTU/hr", 11722.842807},
                                                    {"400 Nm", 400},
                                                    {"330 ft-lbs", 447.41992295},
                                                    {"330 lb.ft.", 447.41992295},
                                                    {"120 in-lbs", 13.558179483},
                                                    {"212F", 373.15},
                                                    {"100 deg C", 373.15},
                                                    {"195\u00baF", 363.70555555555555},
                                                    {"10 F", 5.5555555555555556},
                                                    {"14 fpi", 551.18110236},
                                                    {"14 fins per inch", 551.18110236},
                                                    {"56 percent", 0.56},
                                                    {"30 Amps", 30},
                                                    {"13.8 VDC", 13.8},
                                                    {"9.6 cc/rev", 1.5278874537e-6},
                                                    {"0.4 W/mK", 0.4}};

}  // namespace

TEST_CASE("every spelling is worth what was worked out by hand, and what its plain form is worth") {
    std::size_t read_ones = 0;
    for (const units::Spelling& s : units::spellings()) {
        INFO(s.written);
        if (s.means.empty()) {
            const std::string told = complaint(std::string(s.written), s.quantity);
            CHECK(told != "accepted");
            // What to write, in quotes behind what was expected, can be read; of a number with a
            // comma its two meanings are told without a unit (below).
            if (s.written.find(',') != std::string_view::npos) continue;
            const auto open = told.find('"', told.find(" | ")), close = told.find('"', open + 1);
            REQUIRE(close < told.size());
            CHECK(read(told.substr(open + 1, close - open - 1), s.quantity).has_value());
            continue;
        }
        ++read_ones;
        const double value = units::parse(s.written, s.quantity);
        CHECK(value == Approx(units::parse(s.means, s.quantity)).epsilon(1e-12));
        REQUIRE(by_hand.count(s.written) == 1);
        CHECK(value == Approx(by_hand.at(s.written)).epsilon(1e-6));
    }
    CHECK(read_ones == by_hand.size());
    CHECK(read_ones >= 40);
}

TEST_CASE("every spelling carries a doubt") {
    for (const units::Spelling& s : units::spellings()) {
        if (s.means.empty() || s.quantity == Quantity::ratio) continue;
        INFO(s.written);
        const bool temperature = s.quantity == Quantity::temperature;
        const std::string text =
            std::string(s.written) + (temperature ? " +- 9 F" : " \u00b1 10 %");
        const units::Doubted d = units::parse_doubted(text, s.quantity);
        const double value = units::parse(s.means, s.quantity);
        CHECK(d.value == Approx(value).epsilon(1e-12));
        CHECK(d.half == Approx(temperature ? 5 : 0.1 * value).epsilon(1e-9));
    }
    CHECK(units::parse_doubted("1,050 +- 50 CFM", Quantity::volume_flow).half ==
          Approx(0.023597372));
    CHECK(units::parse_doubted("3 ft 6 in +- 1/2\"", Quantity::length).half == Approx(0.0127));
    CHECK(units::parse_doubted("6 +- 1/2 in", Quantity::length).value == Approx(0.1524));
    CHECK(units::parse_doubted("30 percent +- 5 %", Quantity::ratio).half == Approx(0.05));
}

TEST_CASE("in another case a unit is the same, is refused, or is a unit of UDUNITS' own") {
    // UDUNITS' own, by their prefixes, where both are used.
    const std::map<std::string, std::string> own = {
        {"MW", "mW"}, {"mW", "MW"}, {"MPa", "mPa"}, {"mPa", "MPa"}, {"MPa s", "mPa s"}};
    const auto varied = [](std::string text, int how) {
        for (std::size_t i = 0; i < text.size(); ++i) {
            const auto c = static_cast<unsigned char>(text[i]);
            const bool upper = how == 0 || (how == 1 && i == 0);
            text[i] = static_cast<char>(upper ? std::toupper(c) : std::tolower(c));
        }
        return text;
    };
    std::size_t same = 0;
    for (const Quantity q : units::all_quantities()) {
        std::vector<std::string> plain = {units::si_unit(q),
                                          units::display_unit(q, units::System::si),
                                          units::display_unit(q, units::System::us)};
        for (const char* u :
             {"mm", "cm", "m",  "km", "mL", "mbar", "MPa", "mPa",  "mW",  "MW", "g",
              "kg", "ms", "mA", "MJ", "mK", "kPa",  "kJ",  "degC", "gal", "qt", "psi"})
            if (read(std::string("1 ") + u, q)) plain.emplace_back(u);
        for (const std::string& unit : plain) {
            const auto value = read("3 " + unit, q);
            if (!value) continue;  // "1" of a ratio
            for (int how = 0; how < 3; ++how) {
                const std::string other = varied(unit, how);
                if (other == unit || (own.count(other) == 1 && own.at(other) == unit)) continue;
                INFO(units::name(q) << ": " << unit << " and " << other);
                const auto got = read("3 " + other, q);
                CHECK((!got || *got == Approx(*value).epsilon(1e-12)));
                same += got.has_value() ? 1 : 0;
            }
        }
    }
    CHECK(same > 40);
}

TEST_CASE("commas between thousands change no number, and any other comma is refused") {
    std::mt19937 random(7);
    std::uniform_int_distribution<long> whole(1000, 99999999);
    for (int i = 0; i < 200; ++i) {
        const long n = whole(random);
        const std::string digits = std::to_string(n), decimals = i % 2 == 0 ? "" : ".25";
        std::string grouped;
        for (std::size_t k = 0; k < digits.size(); ++k) {
            if (k > 0 && (digits.size() - k) % 3 == 0) grouped += ',';
            grouped += digits[k];
        }
        CHECK(units::parse(grouped + decimals + " kg", Quantity::mass) ==
              units::parse(digits + decimals + " kg", Quantity::mass));
    }
    for (const char* text :
         {"1,5 kg", "1,05 kg", "1,0500 kg", "0,750 kg", "1050,5 kg", "1.050,5 kg", "12,34,567 kg",
          "1,050,5 kg", ",5 kg", "1, 050 kg", "1000,000 kg"}) {
        INFO(text);
        CHECK_FALSE(read(text, Quantity::mass).has_value());
    }
    CHECK(complaint("1,5 mm", Quantity::length).find("1.5") != std::string::npos);
}

TEST_CASE("feet and inches add up only where each part is less than one of the part before") {
    std::mt19937 random(11);
    std::uniform_int_distribution<int> feet(0, 99), sixteenths(0, 191);
    for (int i = 0; i < 200; ++i) {
        const int f = feet(random), s = sixteenths(random);
        const std::string inches =
            s % 16 == 0 ? std::to_string(s / 16)
            : s < 16    ? std::to_string(s) + "/16"
                        : std::to_string(s / 16) + " " + std::to_string(s % 16) + "/16";
        const double metres = f * 0.3048 + s * 0.0254 / 16;
        for (const char* form : {" ft ", "' ", "'-", "'", "ft"}) {
            const std::string text = std::to_string(f) + form + inches + "\"";
            INFO(text);
            CHECK(units::parse(text, Quantity::length) ==
                  Approx(metres).epsilon(1e-12).margin(1e-15));
        }
    }
    for (const char* text : {"3 ft 12 in", "3 in 2 ft", "3.5 ft 2 in", "-3 ft 6 in", "3 ft -6 in x",
                             "3 ft 6", "3 ft 6 kg", "3 ft 6 in 2 in", "3 ft 6 ft"}) {
        INFO(text);
        CHECK_FALSE(read(text, Quantity::length).has_value());
    }
    CHECK(read("1 h 20 min 30 s", Quantity::time) == Approx(4830));
    CHECK_FALSE(read("1 h 80 min", Quantity::time).has_value());
}

TEST_CASE("the sizes that lines are sold by are read however they are written") {
    for (const char* text : {"-6", "AN-6", "-6AN", "AN6", "an 6", "6AN", "-6 AN", "#6", "-06",
                             "JIC-6", "6 JIC", "dash 6"}) {
        INFO(text);
        CHECK(units::dash_size(text) == 6);
    }
    CHECK(units::dash_size("AN-16") == 16);
    for (const char* text :
         {"6", "-", "AN", "-0", "-65", "-6 mm", "6 mm", "AN-6 x", "", "-600", "--6"}) {
        INFO(text);
        CHECK_FALSE(units::dash_size(text).has_value());
    }
}

TEST_CASE("what is refused says what to write") {
    CHECK(complaint("16 psig", Quantity::pressure).find("write psi") != std::string::npos);
    CHECK(complaint("16 lb", Quantity::pressure).find("write psi") != std::string::npos);
    CHECK(complaint("1.5 tons", Quantity::mass).find("t for 1000 kg") != std::string::npos);
    CHECK(complaint("90 deg", Quantity::temperature).find("degC or degF") != std::string::npos);
    CHECK(complaint("AN-6", Quantity::length).find("`size`") != std::string::npos);
    CHECK(complaint("5'6", Quantity::length).find("3 ft 6 in") != std::string::npos);
    // And what is known but measures something else is called by what it is.
    CHECK(complaint("204 PS", Quantity::torque).find("is a power") != std::string::npos);
    CHECK(complaint("4 K/W", Quantity::thermal_conductance).find("resistance") !=
          std::string::npos);
    CHECK(complaint("24\"", Quantity::volume).find("is a length") != std::string::npos);
}
