// lapheat size: the smallest that holds.
#include "lapheat/study/size.hpp"

#include <fmt/core.h>

#include "commands.hpp"
#include "json_reports.hpp"
#include "runs.hpp"

namespace lapheat::app {
namespace {

study::SizeOptions options_of(const SizeRequest& request, const scenario::Handle& handle) {
    study::SizeOptions o;
    const auto end = [&](const std::string& text, const char* option) {
        return text.empty() ? std::nullopt
                            : std::optional(option_value(text, handle.quantity, option));
    };
    o.low = end(request.from, "--from");
    o.high = end(request.to, "--to");
    take(request, "a size", o);
    return o;
}

}  // namespace

int size(const Common& common, const SizeRequest& request) {
    if (!request.parts.empty()) {
        SearchRequest of_list;
        static_cast<HoldingRequest&>(of_list) = request;
        of_list.files = {request.file};
        of_list.parts = {request.of + "=" + request.parts};
        return search(common, of_list);
    }
    const auto scenarios = read_all(common, {request.file}, request.cycles);
    const scenario::Handle handle = scenario::handle(scenarios.front(), request.of);
    study::SizeOptions options = options_of(request, handle);
    study::Size found;
    {
        Progress progress("sizes", 1000, common.quiet || common.json);
        std::size_t shown = 0;
        options.progress = moves(progress, shown, 0, 1);
        found = study::size(scenarios.front(), handle, options);
    }
    if (common.json) {
        print_size(found);
    } else {
        const results::Style style = style_of(common);
        if (!common.quiet)
            print(results::render(study::size_table(found, common.units), style.table) + "\n");
        for (const std::string& text : study::size_words(found, common.units))
            print_wrapped(text, style);
        if (!common.quiet) print(fmt::format("{} runs in {:.1f} s.\n", found.runs, found.seconds));
    }
    if (found.answer == study::Size::Answer::stopped) return run_failed;
    const bool reached = found.answer != study::Size::Answer::none_holds;
    return request.strict && !reached ? over_limit : all_well;
}

}  // namespace lapheat::app
