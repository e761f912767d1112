#include "help_questions.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <string>
#include <vector>

#include "plain_words.hpp"

namespace lapheat::app {
namespace {

constexpr QuestionPage pages[] = {
    {"short", "How do I describe my car in twenty lines?",
     "describe car short file few lines begin start",
     R"([engine]         displacement, cylinders, peak_power; era = "classic" until about 1980
[gearbox]        gears, kind = "automatic" or "manual"
[vehicle]        mass, wheelbase, tyre = "225/50R16"
[radiator]       width, height, depth of the finned face; rows, fins, condenser if you know
[radiator_fans]  count, diameter; flow if a seller claims one; on, off of the switch
[cooler]         place, width, height, depth, kind, line = "-6"; line_length if you measured

A file with any of the last three tables is a short one. All else is derived, each number by one
relation with a range, and gives way to its own full key in the same file: cap_pressure under
[loops.coolant], drag_coefficient under [vehicle] ... `lapheat car FILE` lists every number of the
car: yours, derived (from what, how far it may be off) or assumed. A placement that says
  extends = "../car.toml"
  cooler.place = "under_floor"
is the same car with the cooler elsewhere: its lines, its air and its fan follow.
`lapheat help radiator`, `radiator-fans` and `cooler` have every key.
)"},
    {"switch-temperature", "Which switch temperature should my fans have?",
     "fan switch thermostat sensor degrees",
     R"(Where the switch sits matters more than its number. In the outlet tank it feels what the fans do
and the air has left; in the head or the upper hose it feels the engine. Rules that hold for both:

 - A switch in the head must go on above the temperature at which the thermostat is fully open,
   else the fans run whenever the engine is warm; a switch in the outlet tank may sit lower.
 - It must go on some 10 K below the limit you hold the coolant to, for the fans take time.
 - on minus off of 5 to 8 K: less makes them hunt, more lets the temperature swing.

Try it: copy the placement, set
  [radiator_fans]  on = "88 degC"  off = "82 degC"       in a short file, or
  [[fans.NAME.switches]]                                 in a full one,
then  lapheat compare first.toml second.toml --cycle cycles/traffic.toml
and read the coolant's margin beside the fan energy. Events of `run --all` count the switching.
Common practice, no source, where no relation is named.
)"},
    {"fans-one-or-two", "One big fan or two small ones?", "single twin double dual",
     R"(What counts is how much of the core is swept, and what is left when one dies. Two fans on one
shroud cover a wide core; one big fan covers a square one. Two of them can be staged, and one that
dies leaves about half the air less what the dead one lets back.

Try it: two files that differ in
  [radiator_fans]  count = 1  diameter = "16 inch"  flow = "2000 ft3/min"
  [radiator_fans]  count = 2  diameter = "11 inch"  flow = "1050 ft3/min"
then compare both in traffic, and both with a dead fan (lapheat help fan-dies). The report tells the
air that passes beside the claim: a claim is made against no resistance at all. Look at the current
too: the report says where the alternator at idle does not keep up. Fuse each fan at its source.
)"},
    {"fan-dies", "What if a fan dies?", "fan fails failure broken dead stops working",
     R"([[faults]]
kind = "fan_dead"
fan = "radiator_1"        # as `lapheat car FILE` names it
begins = "5 min"

in a file that extends your placement; or set one of the two aside for good with dead = true under
[fans.radiator_1]. `lapheat run` then tells how long each fluid takes to its limit: that is the time
you have to see a gauge and to switch the air conditioning off. `lapheat help faults` lists what else
can break: belt, cap, thermostat, hose, leaking coolant, a blocked core.
)"},
    {"hose-size", "Which hose size?", "hose line bore diameter dash size length",
     R"(lapheat run FILE --lines  shows what every hose and elbow costs: pressure, its share of what the
pump can give, speed of the fluid, and what more length or a bend more does to the peak temperature.

 - A transmission's cooler flow is given by the gearbox until the lines take more pressure than it
   has; past that each foot costs flow. Warnings name a line that does so, cold mornings included.
 - A steering return hose on clamps bears 690 kPa, on crimped or screwed ends 1720 kPa (SAE J189);
   `return_limit` under [loops.steering] says which is yours. Hot, it stands under 10 to 200 kPa,
   the most with a cooler at the rear; in a cold start under several times as much, which a warning
   tells: hold the engine low until the oil has warmed, or take a wider return.
 - Bends cost as much as feet do: a tight elbow is worth some 0.3 m of -6 hose.

Try  line = "-8"  under [cooler] (short) or size = "-8" at a hose (full) and compare. `lapheat plumb
FILE` lists what to buy. Fuel-rated or coolant hose is not oil hose: take hose rated for the fluid, its
pressure and its temperature; `plumb` says which standard.
)"},
    {"size", "How small a core, fan, line or switch still holds?",
     "cooler radiator core fan big large small enough need",
     R"(lapheat size FILE --of "core width" --fluid transmission  moves one thing until the least margin
over all cycles is the one asked for (--margin "5 K"; 0 K without), and says the size, what binds
there, how far it is in doubt, and the next as sold. What can be sized:

  core width, height, depth, fins      of the cooler; radiator width ..., or a core's own name
  fan flow, pressure, current          of the cooler's own fan, else the radiator's; radiator fan flow
  line bore, line length               to and from the cooler; transmission line bore
  upper hose bore, return hose length  of a part by its name
  thermostat, switch temperature, cap  what goes with it follows: fully open, off
  any number by its path               as `lapheat car FILE` lists them

--from and --to say what is looked at. Where a margin rises and falls again, all that holds is listed.
With --draws 100 it is what holds in nine of ten cars like yours. Only the one number moves: a bigger
fan that also draws more current is another part; put such parts into a list (lapheat help buy).
)"},
    {"verdict", "Do all fluids hold, and how sure is that?",
     "verdict result report answer mean fluid hold limit margin caution hot boil pass fail safe "
     "trust",
     R"(lapheat run FILE  has one line for each fluid: the hottest it got at its hottest part, its limit, and
the margin between the two where that is least. A fluid holds if its margin is not below zero in any
cycle; all hold if each does. Beside it:

 - over and caution: how long it was above its limit, and above the lower mark that asks for a look.
 - in: which part it is. Fluid in a sump and fluid that has just left the converter are not the same.
 - "Still rising at the end": the cycle ended before the fluid had settled. The margin then tells of
   this cycle and not of a longer one; where it heads is told if it can be.
 - What binds: the core, and whether its air side, its liquid side or its flow is in the way.

Limits are your loops' own: `lapheat help limits`. The margin is that of one car, with every doubtful
number at its middle. How sure it is:  lapheat run FILE --draws 100  or  compare  says in how many of
100 cars like yours each fluid holds, and what measurement would settle most. A small margin that
holds in 60 of 100 is no yes. --strict makes exit code 3 of a limit passed, for scripts.
If something does not hold: `lapheat help size`, and `compare`, which says what would make it hold.
)"},
    {"buy", "What should I buy for my budget?",
     "buy spend money price budget cheapest parts offers",
     R"(Put what is on offer into a table of your own, one for each part, saved as CSV:

  what, width [mm], height [mm], depth [mm], passages, price [EUR], notes
  plate cooler 280, 280, 210, 38, 20, 96, two weeks

what and price are needed; notes are for the shopping list; claim is what the seller promises (a
fan's flow, a rated core's heat). Other columns are keys of the part (lapheat help fans, parts ...),
with units in the heading or in each cell; of fans also flow and pressure, of lines size or bore,
and a price [EUR/m]. overall_width, overall_height, overall_depth count tanks and brackets.

  lapheat size FILE --of cooler --parts coolers.csv --draws 100
the cheapest that holds in nine of ten;

  lapheat search placements/*.toml --parts cooler=coolers.csv --parts fan=fans.csv
      --budget 300 --space "300 mm x 220 mm x 60 mm" --current "35 A" --draws 100
every placement with every offer: the front of price against margin, cautions, a shopping list;
--page FILE makes a web page of it.
Parts: cooler, radiator, fan (the cooler's own, else the radiator's), radiator fan, line, switch,
thermostat, cap, or the name of a core, fan or part. What cannot reach the front is given up early;
the answer is that of running all of them. Prices are yours, margins are estimates.
)"},
    {"sweep", "How does it change with size, weather or height?",
     "vary sweep altitude ambient temperature hot weather map",
     R"(lapheat sweep FILE --vary "core width = 240 mm to 400 mm in 5" --vary "ambient = 20 degC to 45
degC in 6"  drives every combination through every cycle into sweep.h5 (--to FILE). What can be
varied: what `lapheat help size` lists, any number by its path, and of each cycle "ambient" (its
highest air), "altitude" (where it begins), "grade" (its steepest, the others in proportion; a level
cycle has it all along) and "idle time" (behind it, engine running, in drive). --points 1000 spreads
so many points evenly in place of the grid. --hottest also finds the hottest air that each cycle
could be at: lapheat.plot.hottest(data) in Python draws it as a map or a line.

Ctrl-C stops; the same command goes on, also after a crash: what is done is in sweep.h5.going. In
Python:  xarray.open_dataset("sweep.h5", engine="h5netcdf").margin.sel(loop="transmission")
or  lapheat.sweep(car, {"core width": [0.24, 0.32]}), on a cluster with client=.
)"},
    {"where", "Where do I put the cooler?",
     "cooler go best place mount position location placement",
     R"(lapheat compare placements/*.toml  ranks the places by the worst margin of the loops the cooler
serves, and says why; --draws 200 says in how many of 100 cars like yours each one holds, and what
measurement would settle most. `lapheat help places` lists what is assumed of each place.

In short: ahead of the radiator has the best air and costs the radiator some of it, but in traffic it
has air only while the radiator's fans run, and some of that has been through the cores before; behind
the radiator breathes hot air; under the floor has short lines, needs a fan and sees the exhaust; at the
rear has room and long lines; in the tank never cools below the coolant. Whether the air conditioning
stands ahead of it in traffic decides more often than the size of the core.
)"}};

/// Words that any question may have, whatever it is about.
constexpr std::string_view common[] = {
    "a",   "an",  "and",  "are",  "at",     "be",   "can",   "do",    "does", "for", "have",
    "how", "i",   "if",   "in",   "is",     "it",   "me",    "much",  "must", "my",  "of",
    "on",  "one", "or",   "out",  "should", "so",   "still", "sure",  "that", "the", "this",
    "to",  "use", "what", "when", "which",  "will", "with",  "would", "you",  "all"};

/// The words that matter, each in the singular, once.
std::set<std::string> words_of(std::string_view text) {
    std::set<std::string> out;
    for (const std::string& word : plain_words(text))
        if (std::find(std::begin(common), std::end(common), word) == std::end(common))
            out.insert(singular(word));
    return out;
}

/// How much of what is asked a page is about, from 0 to 1. A word counts by how few pages have it
/// (log((1 + pages) / (1 + pages that have it)); K. Sparck Jones, J. Documentation 28 (1972) 11).
std::vector<double> shares(std::string_view asked) {
    constexpr std::size_t count = std::size(pages);
    std::vector<std::set<std::string>> known;
    for (const QuestionPage& page : pages)
        known.push_back(words_of(std::string(page.topic) + " " + std::string(page.question) + " " +
                                 std::string(page.asks)));
    std::vector<double> out(count, 0);
    double whole = 0;
    for (const std::string& word : words_of(asked)) {
        const auto have = std::count_if(known.begin(), known.end(),
                                        [&](const auto& words) { return words.contains(word); });
        const double weight = std::log((1.0 + count) / (1.0 + static_cast<double>(have)));
        whole += weight;
        for (std::size_t p = 0; p < count; ++p)
            if (known[p].contains(word)) out[p] += weight;
    }
    for (double& share : out) share = whole > 0 ? share / whole : 0;
    return out;
}

}  // namespace

std::span<const QuestionPage> question_pages() { return pages; }

std::vector<const QuestionPage*> nearest_pages(std::string_view asked) {
    const std::vector<double> share = shares(asked);
    std::vector<const QuestionPage*> out;
    for (const QuestionPage& page : pages) out.push_back(&page);
    std::stable_sort(out.begin(), out.end(), [&](const QuestionPage* a, const QuestionPage* b) {
        return share[static_cast<std::size_t>(a - pages)] >
               share[static_cast<std::size_t>(b - pages)];
    });
    return out;
}

bool is_question(std::string_view asked) {
    return asked.find(' ') != std::string_view::npos || asked.find('?') != std::string_view::npos;
}

const QuestionPage* page_for(std::string_view asked) {
    for (const QuestionPage& page : pages)
        if (page.topic == asked) return &page;
    if (!is_question(asked)) return nullptr;
    // Two thirds: one word of three may be about something that no page tells of.
    constexpr double enough = 0.66;
    const std::vector<double> share = shares(asked);
    const auto best = std::max_element(share.begin(), share.end());
    return *best >= enough ? &pages[best - share.begin()] : nullptr;
}

}  // namespace lapheat::app
