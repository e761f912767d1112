// What a file leaves out: derived, assumed, or told in words.
#include <lapheat/scenario/registry.hpp>

#include <algorithm>
#include <catch2/catch.hpp>
#include <set>
#include <string>

#include "lapheat/model/assumptions.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "tables.hpp"

using namespace lapheat::scenario;

namespace {

bool is_number(const Key& key) {
    return key.type == Key::Type::quantity || key.type == Key::Type::number;
}

}  // namespace

TEST_CASE("A number that may be left out is derived or has words for what holds then") {
    // Of a fit's table alone: no correlation is stated there.
    const std::set<std::string_view> no_effect = {"correlation"};
    std::size_t seen = 0;
    for (const Table* table : all_tables())
        for (const Key* key : table->all()) {
            const bool numbers =
                key->type == Key::Type::quantities || key->type == Key::Type::numbers;
            if (key->absent != Key::Absent::none || !(is_number(*key) || numbers)) continue;
            ++seen;
            INFO(table->name << "." << key->name << ": " << key->fallback);
            CHECK(!key->fallback.empty());
            if (no_effect.count(key->name) == 0) CHECK(key->fallback != "none");
        }
    CHECK(seen > 20);
}

TEST_CASE("A default of a number is never taken in silence: it stands among what is assumed") {
    namespace fs = std::filesystem;
    const fs::path shipped = fs::path(LAPHEAT_SOURCE_DIR) / "scenarios";
    std::vector<fs::path> files = {shipped / "short/car.toml", shipped / "short/pickup.toml"};
    for (const auto& entry : fs::directory_iterator(shipped / "placements"))
        files.push_back(entry.path());
    // By the word that a path ends in: every number of these cars, said, derived or assumed.
    std::set<std::string> known;
    for (const fs::path& file : files) {
        const Scenario s = read(file);
        for (const Number& n : s.numbers) known.insert(n.path.substr(n.path.rfind('.') + 1));
        // A key that a file leaves out and a number of the car's: one and the same list; besides
        // what relations leave in doubt, each by the key that would state it.
        std::set<std::string> listed;
        for (const lapheat::model::AssumedNumber& a : s.car.assumed) {
            INFO(file << ": " << a.key);
            CHECK(a.key.find(": ") == std::string::npos);
            CHECK(listed.insert(a.key).second);
        }
        std::size_t from_keys = 0;
        for (const Number& n : s.numbers) from_keys += n.origin == Origin::assumed ? 1 : 0;
        lapheat::model::Car copy = s.car;
        std::set<std::string> names;
        for (const lapheat::model::CarAssumption& a : lapheat::model::assumptions(copy))
            if (a.number->high > a.number->low && !a.number->given)
                names.insert(a.of + ": " + a.name);
        CHECK(s.car.assumed.size() >= from_keys + names.size());
        for (const std::string& name : names) {
            INFO(file << ": " << name);
            CHECK(std::any_of(s.car.assumed.begin(), s.car.assumed.end(),
                              [&](const auto& a) { return a.why.starts_with(name + "; "); }));
        }
    }
    // The tables that these cars are made of.
    for (const char* name : {"vehicle", "engine", "gearbox", "steering", "hose", "loops", "stack",
                             "air", "alternator", "engine_bay", "brakes"})
        for (const Key* key : table_named(name).all()) {
            const bool has_default =
                key->absent == Key::Absent::usual || key->absent == Key::Absent::assumed;
            if (!has_default || !is_number(*key) || !key->when.empty()) continue;
            INFO(name << "." << key->name);
            CHECK(known.count(std::string(key->name)) == 1);
        }
}

// Walks the registry: what of the tables of a short car its file leaves out is a number with its
// origin, a number with a range, an assumption in words, or a key that says it has no effect then.
TEST_CASE("Every key of a short car is yours, derived, assumed, or has nothing to tell") {
    namespace fs = std::filesystem;
    const fs::path shipped = fs::path(LAPHEAT_SOURCE_DIR) / "scenarios";
    std::set<std::string> told;
    const auto tell = [&](const std::string& path) {
        told.insert(path.substr(path.rfind('.') + 1));
    };
    std::vector<fs::path> files;
    for (const auto& entry : fs::directory_iterator(shipped / "short/placements"))
        files.push_back(entry.path());
    REQUIRE(files.size() > 5);
    for (const fs::path& file : files) {
        const Scenario s = read(file);
        for (const Number& n : s.numbers) tell(n.path);
        for (const Assumption& a : s.assumptions) tell(a.key);
        for (const lapheat::model::AssumedNumber& a : s.car.assumed) tell(a.key);
    }
    // Words that the short description says itself.
    for (const char* said : {"kind", "lockup", "sensor"}) told.insert(said);
    std::size_t seen = 0, silent = 0;
    for (const char* name : {"vehicle",
                             "gearbox",
                             "converter",
                             "shift",
                             "engine",
                             "steering",
                             "engine_bay",
                             "air_conditioning",
                             "alternator",
                             "brakes",
                             "driver",
                             "start",
                             "fans",
                             "switches",
                             "air",
                             "stack",
                             "shrouds",
                             "loops",
                             "limits",
                             "hose",
                             "volume",
                             "pump",
                             "displacement_pump",
                             "thermostat",
                             "louvred",
                             "cores"})
        for (const Key* key : table_named(name).all()) {
            if (key->absent == Key::Absent::refused || !key->when.empty()) continue;
            const auto type = key->type;
            if (type == Key::Type::named || type == Key::Type::tables) continue;
            ++seen;
            silent += key->untold ? 1 : 0;
            if (key->untold) continue;
            INFO(name << "." << key->name << ": " << key->fallback);
            CHECK(told.count(std::string(key->name)) == 1);
        }
    CHECK(seen > 150);
    CHECK(silent < seen / 3);
}
