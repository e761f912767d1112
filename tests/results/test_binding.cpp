// What binds is said by one function, for a run, a comparison and a file.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "lapheat/results/binding.hpp"
#include "lapheat/results/fields.hpp"
#include "lapheat/results/json_rows.hpp"
#include "lapheat/results/report.hpp"
#include "lapheat/results/result_file.hpp"

using namespace lapheat;
using Catch::Matchers::Contains;

namespace {

model::Verdict steering() {
    model::Verdict v;
    v.loop = "steering";
    v.core = "steering core";
    v.limit = 400;
    v.margin = 5;
    v.core_heat = 3000;
    v.air_inlet = 320;
    v.ambient = 308;
    v.air_flow = 0.2;
    v.flow = 1e-4;
    v.share_air = 0.7;
    v.share_liquid = 0.3;
    v.effectiveness = 0.4;
    return v;
}

constexpr auto si = units::System::si;

}  // namespace

TEST_CASE("what binds names the side of the core that resists, warm air, or the missing core") {
    model::Verdict v = steering();
    CHECK_THAT(results::what_binds(v, si), Contains("70 % of its core's resistance is on the air "
                                                    "side") &&
                                               Contains("12 K above ambient"));
    v.ambient = 320;
    CHECK_THAT(results::what_binds(v, si), !Contains("above ambient"));
    v.share_air = 0.2;
    v.share_liquid = 0.8;
    CHECK_THAT(results::what_binds(v, si),
               Contains("80 % of its core's resistance is inside the tubes"));
    v.line_loss = 90e3;
    CHECK_THAT(results::what_binds(v, si), Contains("its lines cost 90 kPa"));
    v.core.clear();
    CHECK_THAT(results::what_binds(v, si), Contains("no core of its own"));
}

TEST_CASE("a core in coolant is bound by the coolant, at the coolant's temperature") {
    model::Verdict v = steering();
    v.in_coolant = true;
    CHECK(std::string(results::cooled_by(v)) == "coolant");
    CHECK_THAT(results::what_binds(v, si), Contains("on the coolant side") &&
                                               Contains("works against is at 47 °C") &&
                                               !Contains("ambient"));
    CHECK_THAT(results::what_binds(v, units::System::us), Contains("116 °F"));
}

TEST_CASE("a core no colder than its fluid takes no heat, whatever it is made of") {
    model::Verdict v = steering();
    v.air_inlet = v.limit - v.margin;
    CHECK_THAT(results::what_binds(v, si), Contains("no cooler than the fluid"));
}

TEST_CASE("the report on a run, the table of several and the file say the same of what binds") {
    model::Result run;
    run.placement = "at the rear";
    run.cycle = "traffic";
    run.time = {0, 1};
    run.verdicts = {steering()};
    const std::string words = results::what_binds(run.verdicts[0], si);
    const results::Style wide{si, {.width = 400}};
    CHECK_THAT(results::verdict_tables(run, wide), Contains(words));
    CHECK_THAT(results::comparison_table(std::vector{run}, wide), Contains("Steering: " + words));
    CHECK(results::to_json(run)["verdicts"][0]["binds"] == words);
    const auto file = std::filesystem::temp_directory_path() / "lapheat_test_binding.h5";
    results::write_result(file, run);
    CHECK(results::what_binds(results::read_result(file).verdicts[0], si) == words);
}

TEST_CASE("a file that does not say what a core stands in tells it by its series") {
    model::Result run;
    run.time = {0, 1};
    run.verdicts = {steering()};
    run.verdicts[0].in_coolant = true;
    run.series = {{"cores/steering core", "second_mass_flow", "kg s-1", "", {0.1, 0.1}}};
    const auto file = std::filesystem::temp_directory_path() / "lapheat_test_stream.h5";
    {
        results::Hdf5Writer writer(file);
        results::put_result(writer, "", run);
        writer.commit();
    }
    CHECK(results::read_result(file).verdicts[0].in_coolant);
    run.verdicts[0].in_coolant = false;
    results::write_result(file, run);
    CHECK_FALSE(results::read_result(file).verdicts[0].in_coolant);
}

TEST_CASE("every member of a row has a name and words of its own, and every number its unit") {
    const auto check = [](const auto& fields) {
        std::vector<std::string> names, words;
        for (const auto& field : fields) {
            names.emplace_back(field.name);
            words.emplace_back(field.help);
            CHECK(words.back() != "");
            const bool number = field.get.index() == 0 || field.get.index() == 5;
            INFO(field.name);
            CHECK((std::string(field.unit.si()) != "") >= number);
        }
        CHECK(names.size() > 1);
        for (auto* all : {&names, &words}) {
            std::sort(all->begin(), all->end());
            const auto twice = std::adjacent_find(all->begin(), all->end());
            INFO((twice == all->end() ? "" : *twice));
            CHECK(twice == all->end());
        }
    };
    check(results::fields<model::Event>());
    check(results::fields<model::LedgerEntry>());
    check(results::fields<model::HeatSource>());
    check(results::fields<model::Verdict>());
    check(results::fields<model::LineState>());
    check(results::fields<model::PumpState>());
    check(results::fields<model::Limits>());
    check(results::fields<model::RunCost>());
    check(results::fields<model::Result>());
    check(results::fields<results::MapPoint>());
    CHECK(results::described(results::fields<model::PumpState>()[2]) ==
          "least suction head available less required; negative: it cavitates, m");
}
