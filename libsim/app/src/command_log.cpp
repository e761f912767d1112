// lapheat log: what a logger's file holds, as this program reads it.
#include <fmt/core.h>

#include <algorithm>
#include <filesystem>

#include "commands.hpp"
#include "console.hpp"
#include "json_reports.hpp"
#include "lapheat/results/text_file.hpp"
#include "lapheat/results/words.hpp"
#include "lapheat/scenario/log.hpp"
#include "log_options.hpp"

namespace lapheat::app {
namespace {

using results::Align;
using scenario::Channel;
using scenario::Log;

std::string value_text(const Channel& c, double si, const results::Style& style) {
    const units::Quantity q = scenario::entry(c.signal).quantity;
    return fmt::format("{:.4g}", units::to_display(si, q, style.units));
}

/// "5 empty, 2 impossible"; empty if nothing is amiss.
std::string amiss(const Channel& c, double duration) {
    std::string out;
    const auto add = [&out](std::size_t count, const char* what) {
        if (count == 0) return;
        out += fmt::format("{}{} {}", out.empty() ? "" : ", ", count, what);
    };
    add(c.unreadable, "unreadable");
    add(c.impossible, "impossible");
    if (c.longest_still > 0.5 * duration && c.longest_still > 60)
        out += fmt::format("{}stands still for {}", out.empty() ? "" : ", ",
                           results::clock(c.longest_still));
    return out;
}

results::TextTable channel_table(const Log& log, const results::Style& style) {
    results::TextTable table;
    table.title = "What it holds";
    table.columns = {{"signal"},
                     {"column", Align::left, true},
                     {"in"},
                     {"least", Align::right},
                     {"mean", Align::right},
                     {"most", Align::right},
                     {"unit"},
                     {"every", Align::right},
                     {"amiss", Align::left, true}};
    for (const Channel& c : log.channels) {
        const auto [low, high] = std::ranges::minmax_element(c.value);
        double area = 0;
        for (std::size_t i = 1; i < c.time.size(); ++i)
            area += 0.5 * (c.value[i] + c.value[i - 1]) * (c.time[i] - c.time[i - 1]);
        const double span = c.time.back() - c.time.front();
        const std::string bad = amiss(c, log.duration);
        table.rows.push_back(
            {{std::string{scenario::entry(c.signal).name}, results::Tone::strong},
             {c.column},
             {c.unit + (c.unit_guessed ? " ?" : ""),
              c.unit_guessed ? results::Tone::warning : results::Tone::plain},
             {value_text(c, *low, style)},
             {value_text(c, span > 0 ? area / span : c.value.front(), style)},
             {value_text(c, *high, style)},
             {units::display_unit(scenario::entry(c.signal).quantity, style.units)},
             {c.interval > 0 ? fmt::format("{:.1f} s", c.interval) : "-"},
             {bad, results::Tone::warning}});
    }
    return table;
}

std::string how_read(const Log& log) {
    std::string out =
        fmt::format("{}: {} rows over {}, {}, fields parted by {}{}, {}, stamps in {}", log.file,
                    log.rows, results::clock(log.duration), log.encoding, log.separator,
                    log.decimal_comma ? ", decimal commas" : "", log.layout, log.stamps);
    out += log.header_line > 0 ? fmt::format("; header in line {}", log.header_line)
                               : std::string{"; no header"};
    if (log.title_lines > 0) out += fmt::format(", {} lines above it", log.title_lines);
    return out + ".\n";
}

std::vector<std::string> remarks(const Log& log) {
    std::vector<std::string> out = log.notes;
    const auto count = [&out](std::size_t rows, const char* what) {
        if (rows > 0) out.push_back(fmt::format("{} row{} {}", rows, rows == 1 ? "" : "s", what));
    };
    count(log.rows_unstamped, "left out: the stamp cannot be read");
    count(log.rows_backwards, "left out: stamped before the row above");
    count(log.rows_odd, "with more or fewer fields than usual, read as far as they go");
    for (const scenario::LogGap& gap : log.gaps)
        out.push_back(
            fmt::format("a gap of {:.0f} s at {}", gap.end - gap.begin, results::clock(gap.begin)));
    if (std::ranges::any_of(log.channels, &Channel::unit_guessed))
        out.emplace_back(
            "units with a question mark are guessed from the values: the file states none");
    return out;
}

/// The drive as a table that a cycle's file reads.
void write_cycle(const std::filesystem::path& target, const drive::Cycle& cycle) {
    std::string text =
        "# a drive as it was logged; invented by nobody, measured by a logger\n"
        "time [s],speed [m/s],grade,altitude [m],ambient [K],engine_on\n";
    for (std::size_t i = 0; i < cycle.size(); ++i)
        text +=
            fmt::format("{},{:.3f},{:.4f},{:.1f},{:.2f},{}\n", cycle.time[i], cycle.speed[i],
                        cycle.grade[i], cycle.altitude[i], cycle.ambient[i], cycle.engine_on[i]);
    results::write_whole(target, text);
}

}  // namespace

int log(const Common& common, const LogRequest& request) {
    scenario::LogOptions options = log_options(request.map);
    options.cancel = &interrupted();
    const Log read = scenario::read_log(request.file, options);
    std::vector<std::string> notes;
    if (!request.write.empty()) {
        scenario::LogCycleOptions driven;
        if (!request.ambient.empty())
            driven.ambient =
                option_value(request.ambient, units::Quantity::temperature, "--ambient");
        write_cycle(request.write, scenario::cycle_of(read, driven, notes));
    }
    if (common.json) {
        print_log(read);
        return all_well;
    }
    const results::Style style = style_of(common);
    print(results::render(channel_table(read, style), style.table));
    if (!common.quiet) {
        print('\n' + how_read(read));
        std::vector<std::string> all = remarks(read);
        all.insert(all.end(), notes.begin(), notes.end());
        print_list(all, style);
        if (!read.left_out.empty()) {
            print(
                "\nNot used (--map SIGNAL=COLUMN overrides; `lapheat help signals` lists them)\n");
            std::vector<std::string> left;
            for (const scenario::LeftOut& l : read.left_out)
                left.push_back(l.column + ": " + l.why);
            print_list(left, style);
        }
        if (!request.write.empty()) print("\nThe drive is written to " + request.write + "\n");
    }
    return all_well;
}

}  // namespace lapheat::app
