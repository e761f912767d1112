// The placements that come with the project: complete, runnable, and honest about what they assume.
#include <catch2/catch.hpp>
#include <fstream>
#include <regex>
#include <set>

#include "demo.hpp"

using namespace lapheat;
using namespace lapheat::model;

namespace {

std::vector<std::filesystem::path> library() {
    std::vector<std::filesystem::path> files;
    for (const auto& entry : std::filesystem::directory_iterator(scenarios / "placements"))
        if (entry.path().extension() == ".toml") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

Car read_car(const std::filesystem::path& file) {
    return scenario::read(file, {scenarios / "cycles" / "traffic.toml"}).car;
}

struct Stated {
    std::string name;
    double value, low, high;
};

/// Comment lines such as "#   ram recovery 0.8 (0.55 to 0.95)".
std::vector<Stated> stated(const std::filesystem::path& file) {
    const std::regex form(R"(^#   (.+) (-?[0-9.]+) \((-?[0-9.]+) to (-?[0-9.]+)\)$)");
    std::vector<Stated> out;
    std::ifstream text(file);
    for (std::string line; std::getline(text, line);) {
        std::smatch m;
        if (std::regex_match(line, m, form))
            out.push_back({m[1], std::stod(m[2]), std::stod(m[3]), std::stod(m[4])});
    }
    return out;
}

}  // namespace

TEST_CASE("the library has every place where a cooler can sit") {
    std::set<airflow::Place> places;
    for (const auto& file : library()) {
        const Car car = read_car(file);
        for (const AirPath& path : car.air) places.insert(path.assumptions.place);
        for (const CoreEntry& core : car.cores)
            if (core.name == "tank_cooler") places.insert(airflow::Place::in_tank);
    }
    CHECK(library().size() >= 8);
    CHECK(places.size() == airflow::all_places().size());
}

TEST_CASE("a placement states the assumptions of its place as the run uses them") {
    for (const auto& file : library()) {
        const Car car = read_car(file);
        const std::vector<Stated> lines = stated(file);
        INFO(file.filename().string());
        CHECK((lines.size() >= 2 || file.stem() == "tank_only"));
        // The path of the file's own cooler is the last one it names.
        airflow::PlaceDefaults place = car.air.back().assumptions;
        for (const Stated& s : lines) {
            INFO(s.name);
            bool found = false;
            for (const airflow::NamedAssumption& a : airflow::assumptions(place)) {
                if (a.name != s.name) continue;
                found = true;
                CHECK(a.number->value == Approx(s.value));
                CHECK(a.number->low == Approx(s.low));
                CHECK(a.number->high == Approx(s.high));
            }
            CHECK(found);
        }
    }
}

TEST_CASE("every placement comes through traffic with finite temperatures and a closed ledger") {
    for (const auto& file : library()) {
        const Car car = read_car(file);
        const Result result = run(car, drive::stop_and_go(300, 7, {}, hot_day));
        INFO(file.filename().string());
        CHECK(result.ledger.closure < 1e-6);
        CHECK(result.cost.network_failures == 0);
        for (const Verdict& v : result.verdicts) CHECK(std::isfinite(v.margin));
    }
}

TEST_CASE("behind the radiator a cooler breathes hotter air than ahead of it") {
    const auto inlet = [](const char* placement) {
        const Car car = demo_car(placement);
        return verdict(run(car, drive::climb(28, 600, 0.05, 0, hot_day)), "transmission").air_inlet;
    };
    CHECK(inlet("behind_radiator") > inlet("ahead_of_radiator") + 10);
}

TEST_CASE("a cooler ahead of the condenser breathes ambient air, behind it the condenser's") {
    const auto inlet = [](const char* placement) {
        const Car car = demo_car(placement);
        drive::Cycle jam = drive::idle(900, drive::Selector::drive, hot_day);
        jam.ac_demand.assign(jam.size(), 0.6);
        return series(run(car, jam), "cores/cooler.transmission", "air_inlet_temperature").back();
    };
    const double ahead = inlet("ahead_of_condenser"), behind = inlet("ahead_of_radiator");
    CHECK(behind > ahead + 5);
    CHECK(ahead > hot_day.ambient);
}
