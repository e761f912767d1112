#include <lapheat/scenario/columns.hpp>

#include <catch2/catch.hpp>
#include <stdexcept>

using namespace lapheat::scenario;
using lapheat::units::Quantity;

namespace {

const std::vector<Column> cycle_columns = {
    {"time", Quantity::time, not_negative, true, true},
    {"speed", Quantity::speed, not_negative},
    {"grade", Quantity::ratio, any_value, false},
};

std::vector<std::string> csv_problems(const std::string& csv) {
    Problems problems;
    const Columns columns = parse_csv(csv, "c.csv", cycle_columns, problems, 2);
    CHECK((problems.errors() == 0) == (columns.rows() > 0));
    std::vector<std::string> out;
    for (const Problem& p : problems.sorted()) out.push_back(to_string(p));
    return out;
}

}  // namespace

TEST_CASE("A cycle is read in SI units whatever its columns' units and order") {
    Problems problems;
    const Columns c = parse_csv(
        "# an invented cycle\n\n grade [%] , \"time [min]\",speed [km/h] # as driven\r\n"
        "0,0,36\r\n\n  5 , 1.5 ,\"7.2e1\"\n-2,2,0",
        "c.csv", cycle_columns, problems, 2);
    for (const Problem& p : problems.sorted()) UNSCOPED_INFO(to_string(p));
    REQUIRE(problems.errors() == 0);
    REQUIRE(c.rows() == 3);
    CHECK(c["time"] == std::vector<double>{0.0, 90.0, 120.0});
    CHECK(c["speed"][1] == Approx(20.0).epsilon(1e-12));
    CHECK(c["grade"][2] == Approx(-0.02).epsilon(1e-12));
    CHECK(c.has("grade"));
    CHECK_THROWS_AS(c["height"], std::out_of_range);
}

TEST_CASE("A column that is not required may be absent") {
    Problems problems;
    const Columns c =
        parse_csv("time [s],speed [mph]\n0,0\n1,60\n", "c.csv", cycle_columns, problems);
    REQUIRE(problems.errors() == 0);
    CHECK_FALSE(c.has("grade"));
    CHECK(c["grade"].empty());
    CHECK(c["speed"][1] == Approx(26.8224).epsilon(1e-12));
}

TEST_CASE("A file may begin with a byte order mark, and quotes may hold commas and quotes") {
    Problems problems;
    const std::vector<Column> odd = {{"a,\"b\"", Quantity::ratio}};
    const Columns c = parse_csv("\xEF\xBB\xBF\"a,\"\"b\"\"\"\n1\n2\n", "c.csv", odd, problems);
    REQUIRE(problems.errors() == 0);
    CHECK(c["a,\"b\""] == std::vector<double>{1.0, 2.0});
}

TEST_CASE("A wrong table names the line, the column and the field") {
    using Lines = std::vector<std::string>;
    CHECK(csv_problems("") ==
          Lines{"c.csv:1:1: an empty table, expected a header such as time [s], speed [km/h], "
                "grade"});
    CHECK(csv_problems("# nothing\n\n").size() == 1);
    CHECK(csv_problems("time [s],sped [km/h]\n0,0\n1,1\n") ==
          Lines{"c.csv:1:10: unknown column \"sped\"; did you mean 'speed'?"});
    CHECK(csv_problems("time,speed [K]\n0,0\n1,1\n").size() == 2);
    CHECK(csv_problems("time [s]\n0\n1\n") ==
          Lines{"c.csv:1:1: no column 'speed', expected speed [km/h]"});
    CHECK(csv_problems("time [s],speed [m/s],time [s]\n") ==
          Lines{"c.csv:1:22: column 'time' a second time, expected one of each"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n1,fast\n") ==
          Lines{"c.csv:3:3: \"fast\" in column 'speed', expected a number in m/s"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n1,\n") ==
          Lines{"c.csv:3:3: nothing in column 'speed', expected a number in m/s"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n1,1,2\n2\n") ==
          Lines{"c.csv:3:5: a row of 3, expected 2 values",
                "c.csv:4:1: a row of 1, expected 2 "
                "values"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n0,-1\n") ==
          Lines{"c.csv:3:1: \"0\" in column 'time', expected more than in the row before",
                "c.csv:3:3: \"-1\" in column 'speed', expected at least 0"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n1,nan\n2,1e999\n3,inf\n").size() == 3);
    CHECK(csv_problems("time [s],speed [m/s]\n0,0\n") ==
          Lines{"c.csv:1:1: a table of 1 rows, expected at least 2"});
    CHECK(csv_problems("time [s],speed [m/s]\n0,\"0\n1,1\n").front() ==
          "c.csv:2:3: a quote that is never closed, expected \" at the end of the field");
}

TEST_CASE("A long table with a slip in every row stops after fifty problems") {
    std::string csv = "time [s],speed [m/s]\n";
    for (int i = 0; i < 10000; ++i) csv += std::to_string(i) + ",x\n";
    const auto told = csv_problems(csv);
    CHECK(told.size() == 50);
    CHECK(told.front() == "c.csv:2:3: \"x\" in column 'speed', expected a number in m/s");
}

TEST_CASE("A heading is a name and a unit in brackets") {
    CHECK(parse_heading(" speed [km/h] ").name == "speed");
    CHECK(parse_heading("speed[km/h]").unit == "km/h");
    CHECK(parse_heading("speed").unit.empty());
    CHECK(parse_heading("speed [km/h").name == "speed [km/h");
    CHECK(parse_heading("").name.empty());
}
