// lapheat car: every number of a car with where it comes from.
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>
#include <map>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/units/restate.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

using scenario::Number;
using scenario::Origin;

/// "cores.radiator" of "cores.radiator.fins"; a table's name alone of "engine.redline".
std::string group_of(const std::string& path) {
    const std::size_t last = path.rfind('.');
    return last == std::string::npos ? std::string() : path.substr(0, last);
}

std::string shown(const Number& n, units::System system) {
    using units::Quantity;
    constexpr double cubic_inch = 1.6387064e-5;  // m3, in which the trade gives displacement
    std::string out = n.path == "engine.displacement" && system == units::System::us
                          ? fmt::format("{:.4g} in³", n.value / cubic_inch)
                          : results::figure(n.value, n.quantity, system, 4);
    if (n.half > 0) {
        const bool kelvin = n.quantity == Quantity::temperature;
        out +=
            " +- " + (kelvin ? results::figure(n.half, Quantity::temperature_difference, system, 2)
                      : n.value != 0 ? fmt::format("{:.2g} %", 100 * n.half / std::abs(n.value))
                                     : results::figure(n.half, n.quantity, system, 2));
    }
    return out;
}

std::string reason(const Number& n) {
    if (n.relation != nullptr)
        return n.relation->from == "nothing"
                   ? std::string(n.relation->words)
                   : fmt::format("{}; from {}", n.relation->words, n.relation->from);
    return n.origin == Origin::assumed ? n.why : "";
}

}  // namespace

namespace {

/// A file that extends this one and says all that it leaves out.
void write_assumed(const std::string& target, const std::string& file, const scenario::Scenario& s,
                   units::System system) {
    namespace fs = std::filesystem;
    const fs::path folder = fs::absolute(target).parent_path();
    fs::path base = fs::relative(fs::absolute(file), folder);
    if (base.empty()) base = fs::absolute(file);
    results::write_whole(
        target,
        fmt::format(
            "# What {} leaves out, as it was taken: change what you know, delete the rest.\n"
            "# A number that stands in a file counts as yours, without a range but where "
            "it has one.\nextends = \"{}\"\n\n{}",
            fs::path(file).filename().string(), base.generic_string(),
            results::assumed_lines(s.car.assumed, system)));
}

}  // namespace

int car(const Common& common, const CarRequest& request) {
    require_target(request.write, "--write");
    const scenario::Scenario s = scenario::read(request.file);
    if (!request.write.empty()) {
        write_assumed(request.write, request.file, s, common.units);
        if (!common.quiet && !common.json)
            print(fmt::format("{} assumed numbers are in {}, which extends {}.\n",
                              s.car.assumed.size(), request.write, request.file));
        return all_well;
    }
    if (common.json) {
        print_car(s);
        return all_well;
    }
    results::TableStyle style = style_of(common).table;
    style.width = std::min<std::size_t>(style.width, 80);
    std::map<Origin, std::size_t> count;
    std::vector<std::string> groups;
    for (const Number& n : s.numbers) {
        ++count[n.origin];
        const std::string group = group_of(n.path);
        if (std::find(groups.begin(), groups.end(), group) == groups.end()) groups.push_back(group);
    }
    print(fmt::format("{}, {}\n{} numbers: {} yours, {} derived, {} assumed\n", s.car.name,
                      s.car.placement, s.numbers.size(), count[Origin::yours],
                      count[Origin::derived], count[Origin::assumed]));
    if (s.car.assumed.size() > count[Origin::assumed])
        print(fmt::format("and {} factors on relations, which `lapheat check --all` lists\n",
                          s.car.assumed.size() - count[Origin::assumed]));
    for (const std::string& group : groups) {
        results::TextTable table;
        table.columns = {{"number"}, {"value"}, {"is"}, {"by", results::Align::left, true}};
        for (const Number& n : s.numbers)
            if (group_of(n.path) == group && (n.origin != Origin::assumed || !request.stated)) {
                table.title =
                    group.empty()
                        ? "the file"
                        : '[' + results::key_over(group_of(scenario::path_by_name(n))) + ']';
                table.rows.push_back(
                    {{n.path.substr(group.empty() ? 0 : group.size() + 1)},
                     {shown(n, common.units)},
                     {scenario::name(n.origin),
                      n.origin == Origin::yours ? results::Tone::strong : results::Tone::plain},
                     {units::restated(reason(n), common.units)}});
            }
        if (!table.rows.empty()) print("\n" + results::render(table, style));
    }
    if (count[Origin::derived] > 0)
        print(
            "\nEach derived number gives way to its own key in the file. Its range is what 95\n"
            "of 100 cars have; where nothing else is said: common practice, no source.\n");
    return all_well;
}

}  // namespace lapheat::app
