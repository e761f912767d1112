"""Every output in one system of units: nothing of SI where US units were asked for, nothing of US
units in SI, in every verb, on the page and in help; and no line of a report beyond 80 columns.

Run by ctest as: python3 units.py LAPHEAT SCENARIOS
"""

import html.parser
import os
import pathlib
import re
import subprocess
import sys
import tempfile

LAPHEAT, SCENARIOS = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
WORK = pathlib.Path(tempfile.mkdtemp(prefix="lapheat-units-"))

# Units that stand behind a number, or alone in a heading behind a comma or in brackets.
SI = r"""mm cm m km mm2 cm2 m2 mm² cm² m² cm3 m3 cm³ m³ L mL L/min L/h L/s m3/h m³/h m3/s m³/s kg g kg/s kg/m3 kg/m³
m/s m/s2 km/h N kN Nm Pa kPa MPa bar mbar W kW J kJ MJ degC °C K kelvin mK W/K kW/K K/W W/m2 W/m² kJ/K MJ/K J/K
kJ/kg MJ/kg kJ/(kg\ K) J/(kg\ K) W/(m\ K) W/(m2\ K) W/(m²\ K) N\ m cm3/rev L/kWh g/kWh 1/m 1/K metres metre
millimetre millimetres litre litres kilogram kilograms kilometres"""
US = r"""inch inches in² in2 inch2 ft ft² ft2 ft3 ft³ feet foot ft/s ft/s2 ft/min mile miles mph gal gal/min gpm qt
lb lbs lbf lb/min lb/ft3 psi inH2O inHg hp Btu Btu/h kBtu Btu/lb Btu/min degF delta_degF °F cfm ft3/min ft³/min
lbf\ ft in3/rev 1/inch gallon gallons pound pounds"""


def pattern(words):
    units = "|".join(sorted((re.escape(w.replace("\\ ", " ")) for w in
                             re.findall(r"(?:\\ |\S)+", words)), key=len, reverse=True))
    number = r"(?<![\w.])[-+−]?\d[\d.,]*(?:e-?\d+)?"
    return re.compile(rf"(?:{number}\s?(?:to\s{number}\s?)?|,\s|\(|\ba\s)({units})(?![\w/²³(])")


FOREIGN = {"us": pattern(SI), "si": pattern(US)}


def strays(text, system):
    out = []
    # The invented cars' names, a journal's, and what bare numbers of a file are in, whoever reads.
    for words in ("6.0 L V8", "3.6 L V6", "J. Phys.", "kg m2", "kg/s for each m/s"):
        text = text.replace(words, "")
    for line in text.splitlines():
        for match in FOREIGN[system].finditer(line):
            if match.group(1) in ("in", "m", "a") and match.group(0)[0] in ",(a":
                continue  # a word of a sentence
            out.append(f"{match.group(0)!r} in: {line.strip()[:150]}")
    return out


def lapheat(*arguments, columns="80"):
    done = subprocess.run([LAPHEAT, *map(str, arguments)], cwd=WORK, capture_output=True, text=True,
                          env={**os.environ, "COLUMNS": columns}, timeout=600)
    assert done.returncode in (0, 3), (arguments, done.returncode, done.stderr[-2000:])
    return done.stdout + done.stderr


class PageText(html.parser.HTMLParser):
    """What a reader of one system sees: not what is marked as for the other's."""

    def __init__(self, system):
        super().__init__()
        self.hidden, self.depth, self.text = {"us": "in-si", "si": "in-us"}[system], 0, []

    def handle_starttag(self, tag, attributes):
        if tag in ("br", "img", "input", "meta", "link", "hr"):
            return
        classes = (dict(attributes).get("class") or "").split()
        if self.depth or self.hidden in classes or tag in ("style", "script"):
            self.depth += 1

    def handle_endtag(self, tag):
        self.depth = max(0, self.depth - 1)

    def handle_data(self, data):
        if not self.depth:
            self.text.append(data)


def page_text(path, system):
    reader = PageText(system)
    reader.feed(path.read_text())
    return "\n".join(reader.text)


SHORT = WORK / "short.toml"
SHORT.write_text('name = "short"\n[surroundings]\nambient = "95 degF"\n'
                 '[[segments]]\nkind = "idle"\nduration = "120 s"\n'
                 '[[segments]]\nkind = "steady"\nspeed = "65 mph"\nduration = "60 s"\n')
PLACES = [SCENARIOS / "placements" / f"{name}.toml" for name in ("rear", "under_floor", "tank_only")]
SHORTS = [SCENARIOS / "short" / "placements" / f"pickup_{name}.toml" for name in ("front", "tank")]
COOLERS = WORK / "coolers.csv"
COOLERS.write_text("what, width, height, depth, price\nsmall, 200 mm, 150 mm, 32 mm, 60\nlarge, 14 inch, 9 inch, 1.5 inch, 150\n")
FAULTS = sorted((SCENARIOS / "faults").glob("*.toml"))


def outputs(system):
    u = ("--units", system)
    yield "check", lapheat("check", "--all", *u, PLACES[0], SHORTS[0])
    yield "run", lapheat("run", PLACES[0], "--cycle", SHORT, "--out", f"out-{system}", "--lines", *u)
    yield "run short", lapheat("run", SHORTS[0], "--cycle", SHORT, "--dry", *u)
    for fault in FAULTS:
        yield "run " + fault.stem, lapheat("run", fault, "--cycle", SHORT, "--dry", *u)
    yield "compare", lapheat("compare", *PLACES, "--all", "--cycle", SHORT, "--dry", "--hottest", "--lines", "--page",
                             f"page-{system}.html", *u)
    yield "compare draws", lapheat("compare", *PLACES[:2], "--all", "--cycle", SHORT, "--out", f"draws-{system}",
                                   "--draws", "20", "--page", f"draws-{system}.html", *u)
    yield "compare short", lapheat("compare", *SHORTS, "--cycle", SHORT, "--dry", *u)
    yield "page", page_text(WORK / f"page-{system}.html", system)
    yield "page draws", page_text(WORK / f"draws-{system}.html", system)
    for result in sorted((WORK / f"out-{system}").glob("*.h5")):
        yield "show", lapheat("show", result, *u)
    yield "plumb", lapheat("plumb", PLACES[0], *u)
    yield "plumb totals", lapheat("plumb", SHORTS[0], "--totals", *u)
    yield "rate", lapheat("rate", PLACES[0], *u)
    yield "rate tank", lapheat("rate", PLACES[2], *u)
    for fluid in ("water", "atf", "psf", "oil", "antifreeze", "air"):
        yield "fluid " + fluid, lapheat("fluid", fluid, *u)
    yield "size", lapheat("size", PLACES[1], "--cycle", SHORT, "--of", "core width", "--from", "100 mm", *u)
    yield "size draws", lapheat("size", SHORTS[0], "--cycle", SHORT, "--of", "radiator fan flow", "--draws", "20", *u)
    yield "search", lapheat("search", *PLACES[:2], SHORTS[0], "--cycle", SHORT, "--parts", f"cooler={COOLERS}", *u)
    yield "car", lapheat("car", SHORTS[0], *u)
    yield "car full", lapheat("car", PLACES[0], *u)
    topics = lapheat("--help").split("tells of:")[1].replace("\n", " ").strip(" .").split(", ")
    for topic in topics:
        if topic not in ("units", "json", "signals"):  # lists of what people may write, and SI files
            yield "help " + topic, lapheat("help", topic, *u)


if __name__ == "__main__":
    bad = 0
    for system in ("us", "si"):
        for name, text in outputs(system):
            found = strays(text, system)
            # Paths are as long as they are; what `check` says of a file is one line of it.
            wide = [] if name.startswith(("page", "help")) else [
                line for line in text.splitlines() if len(line) > 80 and "/" not in line.split()[0]
                and not line.startswith("Written to")]
            bad += len(found) + len(wide)
            if found or wide:
                print(f"== {name}, {system}: {len(found)} of the other system, {len(wide)} wide")
                for line in found[:12]:
                    print("   ", line)
                for line in wide[:6]:
                    print("    wide:", line[:140])
    assert bad == 0, bad
    print("one system of units at a time")
