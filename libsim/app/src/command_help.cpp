// lapheat help TOPIC.
#include <fmt/core.h>

#include <utility>

#include "commands.hpp"
#include "console.hpp"
#include "help_log.hpp"
#include "help_questions.hpp"
#include "help_tables.hpp"
#include "lapheat/airflow/place.hpp"
#include "lapheat/drive/course.hpp"
#include "lapheat/scenario/problems.hpp"
#include "lapheat/units/restate.hpp"
#include "lapheat/units/spellings.hpp"

namespace lapheat::app {
namespace {

constexpr const char* files_text = R"(Files

A car is one file in TOML. A placement is a file that begins with
  extends = "../car.toml"
  placement = "at the rear"
and holds only what differs: tables are merged key by key, other values replaced; a table with
`replace = true` replaces the whole; `cores.cooler = false` leaves a part out. A table laid over a
list changes its items by name: [loops.steering.runs.circuit.parts] with "return hose" = { length =
"3 m" }, or = false, or a new one with after = "steering gear"; items without names by their
number: [fans.left.switches.1]. `lapheat car FILE --write mine.toml` makes a file that says all
that FILE leaves out. `cycles` lists the cycle files that are driven. `lapheat new DIR` writes commented files that run at once.

A cycle file has [surroundings] (ambient, humidity, sun, wind, altitude) and [[segments]], which
are generated (steady, climb, traffic, idle, soak, laps, ...) or read from a table. Every key of
every table has its line in `lapheat help TABLE`: `lapheat help car` lists the tables of a car's
file, `lapheat help cycle-file` those of a cycle's.

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

  report       "run", "compare", "size", "search", "sweep", "plumb", "show", "check", "rate", "fluid", "car"
               or "log"
  lapheat      version
  runs[]       car, placement, summary, cycle, duration, distance, fan_energy,
               peak_fan_current, peak_current, idle_capacity, current_shortfall,
               battery_charge (A s), tightest_loop, least_margin, file
    verdicts[] loop, role, part, core, note, binds, cooled_by, peak, peak_time, start, end, mean, limit, margin,
               margin_time, time_over, first_over, boils, ruined (negative: never), liquid_lost,
               lost_share, time_over_caution,
               end_rate (K/s, 0: not rising), heading (0: none), flow,
               line_loss, line_loss_peak, return_pressure,
               core_heat, air_flow, air_inlet, ambient, share_air, share_wall, share_liquid,
               effectiveness, core_inlet, core_flow, core_capacity, core_resistance,
               fluid_life_used, seal_life_used, stands_peak
    lines[]    loop, run, part, kind, inner_diameter, length, bends, flow, velocity, reynolds,
               pressure_loss, share (of the pump's pressure), velocity_peak,
               pressure_loss_peak, pressure_peak, temperature_peak
    pumps[]    loop, pump, suction_margin, suction_available, suction_required (m), time,
               inlet_pressure (absolute), pressure_rise_peak, time_cavitating, time_relieving
    line_costs[] with --lines: loop, part, cycle, length, inner_diameter, peak_per_metre,
               margin_per_metre, flow_per_metre, peak_per_bend, margin_per_bend, flow_per_bend
    events[]   time, kind, subject, value
    sources[]  source, path, joules: where heat was made
    ledger     moved, closure, entries[] (name, direction, joules)
    phases[], cost, warnings[], assumptions[]
    fans[]     fan, claim, duty, flow, flow_peak (m3/s), power
    assumed[]  key, quantity, value, low, high (SI; all one: no range known), why; check too
  ranking[]    compare: placement, holds, worst_margin, worst_cycle, worst_loop, time_over,
               fan_energy, line_length, lines (m by loop), coolant_lost, peak_fan_current,
               peak_current, idle_capacity, current_shortfall, margins and effects (K by loop),
               harmed, over_anyway, hot_line, exposed, reason; best first
  rule, margins, served[]  compare: the rule of the ranking, the law of the margin, loops judged
  certainty    --draws, else null: draws, runs, series, interrupted, regret (K, of the best choice),
               explained, about (the placement that drivers and measure are about), and
    placements[] holds (a share), best, regret, margin, margin_5, margin_50, margin_95, bound_by,
               bound_share, failed; shares and regret also _low and _high of their interval
    cycles[]   placement, cycle, holds, margin_5 …, hottest_5 … with --hottest
    better[][] share in which the row's placement has more margin than the column's
    drivers[]  number, origin, source, value, low, high, share (of the variance; 0.05 to 0.95 of
               the margins), worth (K), margin_low, margin_high (that number alone at 5, 95 of 100)
    measure[]  what, how, how_well, worth (K), settles (share of the variance)
    numbers[]  everything drawn: number, origin, value, low, high, distribution, source
    failed[], not_drawn[]
  tried[]      size: value, margin, margin_low, margin_high, holds, loop, cycle, failed, unfinished;
               with of, numbers[], answer ("found", "all_hold", "none_holds", "stopped"), least
               (the smallest that holds, else the largest), value, value_low, value_high,
               next_as_sold, margin, monotone, against (K), holds[] (from, to), runs, seconds
  front[]      search: placement, offers[] (row of each list, from 0; null: no such part), choice,
               price, margin, margin_low, margin_high, holds, current, loop, cycle, failed; with
               answer (of the front, else null), choices, over_budget, too_large, over_current,
               unbuildable, dominated, runs, runs_of_all, shopping[] (part, what, price, amount,
               per_metre, sum, notes), cautions[]
  vary[]       sweep: name, unit, values[]; with file, points, before, done, failed, runs, seconds
  plumbing[]   run, plumb: what, loop, part, size, pressure, temperature, standard, length,
               count, note; compare: placement, items[];
               plumb also has to_buy[]
  verdict      compare: why the winner wins; with cautions[] (about, text), queue[]
               (cycle, placement, way, as_driven, margin), page
  files[]      check: file, good, cycles, assumptions, assumed[], problems[] (file, line, column, key, found,
               expected, hint, severity)
  channels[]   log: signal, column, unit, unit_guessed, mapped, si_unit, samples, held, empty,
               unreadable, impossible, minimum, maximum, step, interval, longest_still (s);
               with encoding, separator, layout, stamps, rows, left_out[], gaps[], notes[]
  numbers[]    car: path, quantity, value, low, high (95 of 100), origin, relation, from, source, why,
               file, line
  maps[]       rate: core, points[], uncertainty, face_area, heat_capacity, liquid_volume,
               assumptions[]
)";

std::string units_text() {
    std::string out =
        "Units\n\nA quantity is text with its unit, \"8 mm\" or \"2.5 gal/min\", in SI or US "
        "units: any\n"
        "unit that UDUNITS-2 knows, and as builders write them (listed below). gal, qt and fl oz\n"
        "are US ones; lb is a mass or a force by what the key asks for; commas stand between\n"
        "thousands only. What could mean two things is refused, with what to write. --units us\n"
        "shows results in US units; result files and --json are always SI.\n\n";
    results::TextTable table;
    table.columns = {
        {"quantity"}, {"for example"}, {"shown, si"}, {"shown, us"}, {"in result files"}};
    for (const units::Quantity q : units::all_quantities())
        table.rows.push_back({{units::name(q)},
                              {units::example(q)},
                              {units::display_unit(q, units::System::si)},
                              {units::display_unit(q, units::System::us)},
                              {units::si_unit(q)}});
    out += results::render(table, style_of(Common{}).table);
    results::TextTable read;
    read.title = "As builders write them";
    read.columns = {
        {"written"}, {"where asked for"}, {"read as", results::Align::left, true}, {"in SI"}};
    for (const units::Spelling& s : units::spellings()) {
        std::string gives, si;
        try {
            const double value = units::parse(s.written, s.quantity);
            si = units::format(value, s.quantity, units::System::si);
            gives = s.means;
        } catch (const Error& e) {
            gives = std::string("refused: ") + e.what();
        }
        read.rows.push_back({{std::string(s.written)}, {units::name(s.quantity)}, {gives}, {si}});
    }
    return out + '\n' + results::render(read, style_of(Common{}).table);
}

/// The places that have air are words of a key; their numbers are keys of a table.
std::string places_text(units::System system) {
    std::string out =
        "Places\n\nWhat each place of a cooler assumes, as a share of the air it breathes, a "
        "pressure\ncoefficient, a view factor, or m/s. Override a number under "
        "[air.<name>.assumptions] as\nkey = \"10 %\" or key = [\"10 %\", \"5 %\", \"20 %\"] "
        "(value, low, high). compare --draws\ndraws them over their ranges.\n";
    const auto shown = [](double x) { return fmt::format("{:.3g}", x); };
    const std::vector<const scenario::Key*> keys = table_of_topic("assumptions")->all();
    for (const airflow::Place place : airflow::all_places()) {
        airflow::PlaceDefaults defaults = airflow::defaults(place);
        const std::vector<airflow::NamedAssumption> numbers = airflow::assumptions(defaults);
        results::TextTable table;
        table.title = std::string(defaults.word) + ": " + defaults.name;
        using results::Align;
        table.columns = {{"key"},
                         {"value", Align::right},
                         {"range", Align::right},
                         {"source", Align::left, true}};
        for (std::size_t i = 0; i < numbers.size(); ++i)
            if (const airflow::Assumed& a = *numbers[i].number; a.high > a.low)
                table.rows.push_back({{std::string(keys[i]->name)},
                                      {shown(a.value)},
                                      {shown(a.low) + " to " + shown(a.high)},
                                      {units::restated(a.source, system)}});
        if (!defaults.has_air) {
            table.columns = {{"no air of its own"}};
            table.rows.clear();
        }
        out += '\n' + results::render(table, style_of(Common{}).table);
    }
    return out;
}

/// Our courses, of which only the closed ones can be lapped.
std::string courses_text(const Common& common) {
    results::TextTable table;
    table.title = "Courses of ours, invented; `lapheat help cycle-file` tells of one of your own";
    table.columns = {
        {"course"}, {"length", results::Align::right}, {"", results::Align::left, true}};
    for (const drive::NamedCourse& ours : drive::our_courses()) {
        const drive::Course course = ours.make();
        table.rows.push_back(
            {{std::string(ours.word)},
             {units::format(course.length(), units::Quantity::distance, common.units)},
             {course.closed ? "closed: any number of laps in a run, laps_for, a cool-down lap"
                            : "open: one lap in each run, from a standing start to a stop"}});
    }
    return '\n' + results::render(table, style_of(common).table);
}

}  // namespace

const std::vector<std::string>& help_topics() {
    static const std::vector<std::string> topics = [] {
        std::vector<std::string> out = {"units", "files",   "places", "exit-codes",
                                        "json",  "signals", "sensors"};
        for (const QuestionPage& page : question_pages()) out.emplace_back(page.topic);
        for (const scenario::Table* table : scenario::all_tables())
            if (!table->heading.empty()) out.emplace_back(table->name);
        return out;
    }();
    return topics;
}

const std::vector<std::string>& help_words() {
    static const std::vector<std::string> words = [] {
        std::vector<std::string> out = help_topics();
        for (const scenario::Table* table : scenario::all_tables())
            if (table->heading.empty()) out.emplace_back(table->name);
        return out;
    }();
    return words;
}

int help_topic(const std::string& topic, const Common& common) {
    if (topic == "units") return print(units_text()), all_well;
    if (topic == "files") return print(units::restated(files_text, common.units)), all_well;
    if (topic == "places") return print(places_text(common.units)), all_well;
    if (topic == "exit-codes") return print(codes_text), all_well;
    if (topic == "json") return print(json_text), all_well;
    if (topic == "signals") return print(signals_text()), all_well;
    if (topic == "sensors") return print(units::restated(sensors_text(), common.units)), all_well;
    if (const scenario::Table* table = table_of_topic(topic)) {
        print(table_text(*table, style_of(common).table.width, common.units));
        if (topic == "laps") print(courses_text(common));
        return all_well;
    }
    if (const QuestionPage* page = page_for(topic)) {
        print(std::string(page->question) + "\n\n" + units::restated(page->text, common.units));
        return all_well;
    }
    if (is_question(topic)) {
        std::string questions =
            "lapheat: no page answers that. Those that there are, nearest first:\n";
        for (const QuestionPage* page : nearest_pages(topic))
            questions += fmt::format("  lapheat help {:<20}{}\n", page->topic, page->question);
        complain(questions + "Tables of a file have a topic each: `lapheat help` lists them.\n");
        return bad_usage;
    }
    complain("lapheat: no topic '" + topic + "'; " + scenario::suggest(topic, help_words()) + "\n");
    return bad_usage;
}

}  // namespace lapheat::app
