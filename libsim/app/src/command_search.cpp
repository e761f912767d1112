// lapheat search: what to buy, of lists of parts. And size with a list of one part.
#include "lapheat/study/search.hpp"

#include <fmt/core.h>

#include <charconv>

#include "commands.hpp"
#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/scenario/handle.hpp"
#include "lapheat/study/search_page.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

/// "cooler=coolers.csv" of a list, read for the first placement that has such a part.
scenario::PartsList list_of(const std::string& asked,
                            const std::vector<scenario::Scenario>& placements,
                            scenario::Problems& problems) {
    const std::size_t equals = asked.find('=');
    if (equals == std::string::npos || equals == 0)
        throw Error("'" + asked + "' names no part", "PART=FILE, such as cooler=coolers.csv", {},
                    "--parts");
    const std::string part = asked.substr(0, equals), file = asked.substr(equals + 1);
    for (const scenario::Scenario& s : placements) {
        try {
            (void)scenario::tables_of_part(s, part);
        } catch (const Error&) {
            if (&s == &placements.back()) throw;
            continue;
        }
        return scenario::read_parts_list(file, part, s, problems);
    }
    return {};
}

double amount_of(const std::string& text, const char* option) {
    double out = 0;
    const std::string number = text.substr(0, text.find(' '));
    const auto [end, failed] = std::from_chars(number.data(), number.data() + number.size(), out);
    if (failed != std::errc{} || end != number.data() + number.size() || !(out >= 0))
        throw Error("'" + text + "' is no sum", "a number such as 300, in the lists' currency", {},
                    option);
    return out;
}

/// "300 mm x 220 mm x 60 mm", or of one placement "at the rear = 300 mm x …".
study::Room room_of(const std::string& text) {
    study::Room out;
    const std::size_t equals = text.find('=');
    std::string sizes = text;
    if (equals != std::string::npos) {
        out.placement = text.substr(0, text.find_last_not_of(' ', equals - 1) + 1);
        sizes = text.substr(equals + 1);
    }
    std::size_t at = 0;
    for (std::size_t side = 0; side < 3; ++side) {
        const std::size_t x = sizes.find('x', at);
        if ((x == std::string::npos) != (side == 2))
            throw Error("'" + text + "' is no space", "\"300 mm x 220 mm x 60 mm\"", {}, "--space");
        std::string one = sizes.substr(at, x - at);
        one.erase(0, one.find_first_not_of(' '));
        one.erase(one.find_last_not_of(' ') + 1);
        out.size[side] = option_value(one, units::Quantity::length, "--space");
        at = x + 1;
    }
    return out;
}

}  // namespace

int search(const Common& common, const SearchRequest& request) {
    const auto placements = read_all(common, request.files, request.cycles);
    require_target(request.page, "--page");
    study::SearchOptions o;
    o.system = common.units;
    scenario::Problems problems;
    for (const std::string& asked : request.parts)
        o.lists.push_back(list_of(asked, placements, problems));
    problems.throw_if_any();
    if (!request.budget.empty()) o.budget = amount_of(request.budget, "--budget");
    if (!request.current.empty())
        o.current = option_value(request.current, units::Quantity::electric_current, "--current");
    for (const std::string& text : request.spaces) o.rooms.push_back(room_of(text));
    take(request, "a search", o);
    study::Search found;
    {
        Progress progress("choices", 1000, common.quiet || common.json);
        std::size_t shown = 0;
        o.progress = moves(progress, shown, 0, 1);
        found = study::search(placements, o);
    }
    if (!request.page.empty())
        results::write_whole(request.page, study::search_page(found, common.units));
    if (common.json) {
        print_search(found, request.page);
    } else {
        const results::Style style = style_of(common);
        const auto show = [&](const results::TextTable& table) {
            print(results::render(table, style.table) + "\n");
        };
        if (!common.quiet) show(study::front_table(found, common.units));
        for (const std::string& text : study::search_words(found, common.units))
            print_wrapped(text, style);
        if (!common.quiet) {
            print("\n");
            show(study::shopping_table(found, common.units));
            std::string about;
            for (const study::Caution& caution : found.cautions) {
                if (caution.about != about)
                    print((about.empty() ? "" : "\n") + caution.about + "\n");
                about = caution.about;
                print_list({caution.text}, style);
            }
            print(fmt::format("\n{} runs in {:.1f} s.\n", found.runs, found.seconds));
            if (!request.page.empty())
                print(fmt::format("The answer as a page is in {}.\n", request.page));
        }
    }
    if (found.cancelled) return run_failed;
    return request.strict && !found.answer ? over_limit : all_well;
}

}  // namespace lapheat::app
