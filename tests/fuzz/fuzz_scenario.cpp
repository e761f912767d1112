// Text laid over the demonstration car with its cooler under the floor, or, behind a '!', over the
// car without a cooler, up to a car that was checked and compiled. A line "path := value" is a
// change made by hand; the others are a file's.
#include "harness.hpp"
#include "lapheat/scenario/scenario.hpp"

using namespace lapheat;

namespace {

struct Change {
    std::string path, value;
};

/// Takes the lines with " := " out of the text.
std::vector<Change> changes_in(std::string& text) {
    std::vector<Change> out;
    std::string rest;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = std::min(text.find('\n', at), text.size());
        const std::string line = text.substr(at, end - at);
        const std::size_t sign = line.find(" := ");
        if (sign == std::string::npos)
            rest += line + '\n';
        else
            out.push_back({line.substr(0, sign), line.substr(sign + 4)});
        at = end + 1;
    }
    text = rest;
    return out;
}

void hold_good(const scenario::Scenario& scenario) {
    fuzz::hold(std::isfinite(scenario.car.vehicle.mass) && scenario.car.vehicle.mass > 0,
               "a checked car without mass");
    for (const scenario::Number& n : scenario.numbers) {
        fuzz::hold(!n.path.empty(), "a number without a path");
        fuzz::hold(std::isfinite(n.value), "a checked number that is none: " + n.path);
        fuzz::hold(n.range.holds(n.value), "a checked number outside its range: " + n.path);
    }
}

}  // namespace

int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > 4096) return 0;
    std::string text(fuzz::text(data, size));
    // What a fuzzed file extends would be read from this disk.
    if (text.find("extends") != std::string::npos) return 0;
    const std::vector<Change> changes = changes_in(text);
    const bool bare = text.starts_with('!');
    const std::string base = bare ? "car.toml" : "placements/under_floor.toml";
    text = "extends = \"" LAPHEAT_SOURCE_DIR "/scenarios/" + base + "\"\ncycles = []\n" +
           text.substr(bare ? 1 : 0);
    (void)fuzz::refused([&] {
        scenario::Problems problems;
        scenario::Document document = scenario::parse(text, "fuzz.toml", problems);
        problems.throw_if_any();
        for (const Change& change : changes) document = document.with(change.path, change.value);
        hold_good(scenario::read(document, "/nonexistent"));
    });
    return 0;
}
