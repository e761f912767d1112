#include "help_log.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "lapheat/scenario/log.hpp"
#include "lapheat/units/units.hpp"

namespace lapheat::app {
namespace {

constexpr const char* sensors =
    R"(Where to put a thermometer so that it tells something

Common practice, no source, unless a line says otherwise. Everything here is an estimate.

What to log, the most useful first
  1 coolant at the engine's outlet, before the thermostat: most engines' own sensor; its reading
    is on the diagnostic plug, often in whole kelvins
  2 transmission fluid in the pan or the line to the cooler, not in the line back: the hot side
    is what ages; the line to the cooler reads the converter's outlet and swings with every launch
  3 air just ahead of the face of the core you doubt, in its shade, free of metal: the one number
    that tells a bad place from a small core
  4 fluid out of the same core, with 2 and a flow it gives the core's heat
  5 steering fluid in the reservoir or at the return
  6 ambient away from the engine, ahead of the grille and behind no exhaust; a parked car's own
    ambient sensor reads high for minutes after a stop
  with them, always: speed and engine speed, once a second at least

What a sensor adds to the reading
  in the flow (tee, banjo)  follows within seconds; right to its class, 1 to 2 K for a usual
                            thermistor, 2.2 K or 0.75 % for a type K thermocouple of standard
                            class (IEC 60584-1 class 2: 2.5 K; from memory)
  clamped to a metal line   reads low: of the difference between fluid and air 3 to 10 % with foam
                            over it and grease under it, 15 to 40 % bare; slow, 20 to 60 s
  clamped to rubber hose    reads 20 to 50 % of that difference low: say nothing by it
  in the pan's drain plug   good for oil when it stands in the flow, low when in a corner
  infrared at bare metal    reads low by tens of kelvin unless painted or taped dull
  a gauge                   many are flat from 80 to 105 degC on purpose: no use for a fit

A fit is told the sensor's lag, its step and its error; what it cannot part from the model it
says so. Two sensors that disagree at rest, cold, in the morning are found out for nothing: log
five minutes before the first start.

Cautions
  Never open a hot cooling system: coolant under pressure scalds. Fit tees cold, with hoses and
  clamps rated for the pressure, and check for leaks on the first warm-up. Transmission and
  steering fluid burns: keep lines and wires away from the exhaust. Fuse every wire at its
  source. Keep wires clear of belts and fans that start by themselves. Never work under a car
  that stands on a jack alone. Nobody reads a laptop while driving: let it log.
  Local codes and licensed practice go before anything said here.
)";

}  // namespace

const char* sensors_text() noexcept { return sensors; }

std::string signals_text() {
    std::string out = "Signals that a logger's file may carry\n\n";
    for (const scenario::SignalEntry& e : scenario::signals()) {
        out += fmt::format("  {:<18} {}", e.name, e.help);
        if (!e.units.empty()) {
            std::string tried{e.units};
            std::ranges::replace(tried, ' ', ',');
            out += fmt::format("; without a unit tried as {}", tried);
        }
        out += '\n';
    }
    out +=
        "\nA column is matched by the words of its name, in several languages, by its unit and by\n"
        "whether its values can be what the name says. `lapheat log FILE` shows the match, and\n"
        "--map SIGNAL=COLUMN overrides it.\n";
    return out;
}

}  // namespace lapheat::app
