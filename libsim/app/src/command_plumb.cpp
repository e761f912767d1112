// lapheat plumb: what to buy.
#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/scenario/scenario.hpp"
#include "lapheat/study/report.hpp"

namespace lapheat::app {

int plumb(const Common& common, const PlumbRequest& request) {
    const scenario::Scenario s = scenario::read(request.file);
    const results::Style style = style_of(common);
    const units::System system = common.json ? units::System::si : style.units;
    const std::vector<study::PlumbingItem> items = study::plumbing(s.car, 0.05, system);
    if (common.json) {
        print_plumb(s.car.placement, items);
        return all_well;
    }
    const auto shown = [&](const std::vector<study::PlumbingItem>& rows, bool totals) {
        return results::render(study::plumbing_table(rows, system, totals), style.table);
    };
    if (!request.totals) print(shown(items, false) + "\n");
    print(shown(study::plumbing_totals(items), true));
    if (!common.quiet)
        print(
            "Measure on the car before you cut. Use hose and fittings rated for the fluid,\n"
            "its temperature and its pressure; lapheat run --all tells what they see.\n");
    return all_well;
}

}  // namespace lapheat::app
