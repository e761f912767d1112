#include <lapheat/results/json_rows.hpp>
#include <lapheat/results/table.hpp>

#include <catch2/catch.hpp>
#include <limits>
#include <sstream>
#include <stdexcept>

using namespace lapheat::results;

namespace {

TextTable placements() {
    return {{{"placement"}, {"peak", Align::right}, {"what binds", Align::left, true}},
            {{{"front stack"}, {"112.4 °C"}, {"transmission fluid in the second session of laps"}},
             {{"under floor"}, {"98.1 °C", Tone::good}, {"nothing"}}}};
}

std::vector<std::string> lines_of(const std::string& text) {
    std::istringstream in(text);
    std::vector<std::string> out;
    for (std::string line; std::getline(in, line);) out.push_back(line);
    return out;
}

}  // namespace

TEST_CASE("Numbers stand right-aligned under their heading, whatever their bytes") {
    CHECK(render(placements()) ==
          "placement        peak  what binds\n"
          "───────────────────────────────────────────────────────────────────────\n"
          "front stack  112.4 °C  transmission fluid in the second session of laps\n"
          "under floor   98.1 °C  nothing\n");
}

TEST_CASE("A table wider than the terminal wraps its text and keeps its numbers whole") {
    for (const std::size_t width : {40U, 45U, 50U, 60U, 72U}) {
        const std::string text = render(placements(), {.width = width});
        for (const std::string& line : lines_of(text)) CHECK(display_width(line) <= width);
        CHECK(text.find("112.4 °C") != std::string::npos);
    }
    CHECK(render(placements(), {.width = 45, .ascii = true}) ==
          "placement        peak  what binds\n"
          "---------------------------------------------\n"
          "front stack  112.4 °C  transmission fluid in\n"
          "                       the second session of\n"
          "                       laps\n"
          "under floor   98.1 °C  nothing\n");
}

TEST_CASE("A table that is still too wide folds into blocks that repeat what names its rows") {
    TextTable table;
    table.title = "Runs";
    table.columns = {{"placement", Align::left, true}, {"cycle", Align::left, true}};
    for (const char* name : {"coolant", "transmission", "steering", "engine oil", "fans"})
        table.columns.push_back({name, Align::right});
    table.rows = {{{"at the rear"},
                   {"traffic"},
                   {"204.0 / +45.4"},
                   {"176.5 / +98.5"},
                   {"119.1 / +110.9"},
                   {"209.2 / +83.8"},
                   {"22"}},
                  {{"under the floor"}, {"laps"}, {"1"}, {"2"}, {"3"}, {"4"}, {"5"}}};
    const std::string text = render(table, {.width = 60, .ascii = true});
    std::size_t names = 0;
    for (const std::string& line : lines_of(text)) {
        CHECK(display_width(line) <= 60);
        names += line.find("at the rear") != std::string::npos ? 1 : 0;
    }
    CHECK(names >= 2);
    for (const char* cell :
         {"204.0 / +45.4", "176.5 / +98.5", "119.1 / +110.9", "209.2 / +83.8", "22"})
        CHECK(text.find(cell) != std::string::npos);
    // Wide enough, it is one; a little too narrow, its headings wrap first.
    CHECK(lines_of(render(table, {.width = 200})).size() == 5);
    CHECK(lines_of(render(table, {.width = 92, .ascii = true})).size() >= 5);
}

TEST_CASE("No escape code appears unless colour was asked for") {
    CHECK(render(placements()).find('\x1b') == std::string::npos);
    const std::string coloured = render(placements(), {.colour = true});
    CHECK(coloured.find("\x1b[34m98.1 °C\x1b[0m") != std::string::npos);
}

TEST_CASE("An empty row is a rule, a short row is filled, a long one refused") {
    TextTable table{{{"a"}, {"b", Align::right}}, {{{"x"}}, {}, {{"y"}, {"2"}}}};
    CHECK(render(table, {.ascii = true}) == "a  b\n----\nx\n----\ny  2\n");
    table.rows.push_back({{"1"}, {"2"}, {"3"}});
    CHECK_THROWS_AS(render(table), std::invalid_argument);
}

TEST_CASE("Accents, degrees and wide characters take the columns a terminal gives them") {
    CHECK(display_width("90 °C") == 5);
    CHECK(display_width("e\u0301") == 1);
    CHECK(display_width("\u6c34") == 2);
    CHECK(display_width("\xff\xfe") == 2);
    CHECK(display_width("") == 0);
}

TEST_CASE("Text wraps at spaces and never inside a word") {
    CHECK(wrapped("the line to the rear", 8) ==
          std::vector<std::string>{"the line", "to the", "rear"});
    CHECK(wrapped("transmission", 5) == std::vector<std::string>{"transmission"});
    CHECK(wrapped("", 5) == std::vector<std::string>{""});
}

TEST_CASE("JSON keeps the order of keys and every digit, and has null for what is no number") {
    const Json report = {{"z", 0.1},
                         {"a", {1, true, "x\"y", Json()}},
                         {"n", std::numeric_limits<double>::quiet_NaN()}};
    CHECK(to_text(report, -1) == R"({"z":0.1,"a":[1,true,"x\"y",null],"n":null})");
    CHECK(to_text(Json(1.0 / 3.0), -1) == "0.3333333333333333");
    CHECK(to_text(Json("\xff"), -1) == "\"\xEF\xBF\xBD\"");
    CHECK(to_text(Json::object(), -1) == "{}");
}
