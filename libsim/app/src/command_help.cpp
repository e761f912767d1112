// lapheat help TOPIC.
#include <utility>

#include "commands.hpp"
#include "console.hpp"
#include "lapheat/scenario/problems.hpp"

namespace lapheat::app {
namespace {

constexpr const char* files_text = R"(Files

A car is one file in TOML. A placement is a file that begins with
  extends = "../car.toml"
  placement = "at the rear"
and holds only what differs: tables are merged key by key, other values replaced; a table with
`replace = true` replaces the whole; `cores.cooler = false` leaves a part out. `cycles` lists the
cycle files that are driven. `lapheat new DIR` writes commented files that run at once.

A cycle file has [surroundings] (ambient, humidity, sun, wind, altitude) and [[segments]], which
are generated (steady, climb, traffic, idle, soak, laps, ...) or read from a table.

A result is an HDF5 file for each placement and cycle, in the folder of --out
(lapheat-results): every temperature, flow and heat against time, with units, events, the energy
ledger, verdicts, and the text of the files it came from. It opens in h5py, in xarray (engine
h5netcdf) and in h5dump. A file is written beside its place and renamed: there is no half a file.
)";

constexpr const char* codes_text = R"(Exit codes

   0  done
   1  a run could not be finished, or was cancelled (Ctrl-C)
   2  bad input: every mistake is listed with file, line and column; nothing was written
   3  with --strict: a fluid went over its limit (compare: in the winner)
  64  the command line itself is wrong
)";

constexpr const char* json_text = R"(Reports for machines: --json

One JSON object on standard output; messages go to standard error. All numbers are SI (K, s, Pa,
W, J, m, kg/s, m3/s, A); what is not finite is null. Keys may be added, not changed.

  report       "run", "compare", "show", "check", "rate" or "fluid"
  lapheat      version
  runs[]       car, placement, summary, cycle, duration, distance, fan_energy,
               peak_fan_current, tightest_loop, least_margin, file
    verdicts[] loop, part, core, note, binds, cooled_by, peak, peak_time, start, end, mean, limit, margin,
               margin_time, time_over, time_over_caution, flow, line_loss, line_loss_peak,
               core_heat, air_flow, air_inlet, share_air, share_wall, share_liquid,
               effectiveness, fluid_life_used
    events[]   time, kind, subject, value
    ledger     moved, closure, entries[] (name, direction, joules)
    phases[], cost, warnings[], assumptions[]
  ranking[]    compare: placement, holds, worst_margin, worst_cycle, worst_loop, time_over,
               fan_energy, line_length, reason; best first
  verdict      compare: why the winner wins; with cautions[], page
  files[]      check: file, good, cycles, assumptions, problems[] (file, line, column, key, found,
               expected, hint, severity)
  maps[]       rate: core, points[]
)";

std::string units_text() {
    std::string out =
        "Units\n\nA quantity is text with its unit, \"8 mm\" or \"2.5 gal/min\", in SI or US "
        "units: any\n"
        "unit that UDUNITS-2 knows, and gal (US), mph, rev, gpm, cfm, lpm, qt, cP, Wh, Ah, inH2O,\n"
        "lb-ft. --units us shows results in US units; result files and --json are always SI.\n\n";
    results::TextTable table;
    table.columns = {
        {"quantity"}, {"for example"}, {"shown, si"}, {"shown, us"}, {"in result files"}};
    for (const units::Quantity q : units::all_quantities())
        table.rows.push_back({{units::name(q)},
                              {units::example(q)},
                              {units::display_unit(q, units::System::si)},
                              {units::display_unit(q, units::System::us)},
                              {units::si_unit(q)}});
    return out + results::render(table, style_of(Common{}).table);
}

}  // namespace

const std::vector<std::string>& help_topics() {
    static const std::vector<std::string> topics = {"units", "files", "exit-codes", "json"};
    return topics;
}

int help_topic(const std::string& topic) {
    if (topic == "units") return print(units_text()), all_well;
    if (topic == "files") return print(files_text), all_well;
    if (topic == "exit-codes") return print(codes_text), all_well;
    if (topic == "json") return print(json_text), all_well;
    complain("lapheat: no topic '" + topic + "'; " + scenario::suggest(topic, help_topics()) +
             "\n");
    return bad_usage;
}

}  // namespace lapheat::app
