#!/usr/bin/env python3
"""Makes validation/README.md of the lines of JSON that the checks wrote.

    report.py CHECKS_DIR --write             writes validation/README.md and the header of biases
                                             and spreads that the library reads
    report.py CHECKS_DIR --output FILE       writes FILE and holds the committed README and header
                                             against this run: a row too many or missing fails, and
                                             so does a figure that has moved by more than a tenth
                                             of what is allowed
"""
import argparse
import collections
import json
import math
import pathlib
import re
import sys

import calibration
from scatter import BASIS_WORDS, JUDGED, MARKS, condense, deviations, header, marks, relation_names, scatter

HERE = pathlib.Path(__file__).resolve().parent
COMMITTED = HERE / "README.md"
NOTICED = HERE / "sensitivity.json"  # what sensitivity.py found, when it was last asked
HEADER = HERE.parent / "libsim/solve/include/lapheat/solve/relation_scatter.hpp"
LONG = 40  # rows of a topic above which its table is folded

KINDS = {
    "measured": ("Measured", "somebody's instrument: points, tables and charts of tests"),
    "published": ("Published", "a value or relation in print: handbook, standard, correlation, worked example"),
    "library": ("Another library", "computes the same in the same run"),
    "closed form": ("Closed form", "mathematics"),
    "unsorted": ("Not yet sorted", "older rows whose kind is not yet stated"),
}

INTRO = """\
# Checks against the world

Every row is one check: a value from outside this project beside ours, with the difference that is
allowed and where that allowance comes from. The kinds stand apart, measured first. What has no
source (*common practice*), was written without a page open (*from memory*) or is what our relation
was fitted to (*the fit's own data*) is marked so and counted in a column of its own. What compares us
with ourselves is not here but in `tests/`.

Where a number was read elsewhere than on the source's own page, the row says so ("read in"). Numbers of
equations, tables and pages of rows marked *from memory*, and of the books named beside closed forms and in
comments, are from memory too.

A check that disagrees is not tuned: it stays as failed, with what we found about who is wrong.

`./run.sh test` builds and runs all checks. This file is made of their output by
`validation/report.py`; a test holds its rows and figures against the run. Make it anew with

    ./run.sh test
    /usr/bin/python3 validation/report.py build/release/checks --write

`validation/sensitivity.py` multiplies each relation of the library by a few per cent and lists the
rows that notice.
"""


def read(folder):
    """All checks, each once, in an order that does not depend on the run."""
    found = {}
    for path in sorted(folder.glob("*.jsonl")):
        for line in path.read_text(encoding="utf-8").splitlines():
            check = json.loads(line)
            key = (check["kind"], check["topic"], check["quantity"], check["source"])
            if key in found and check["kind"] != "unsorted":
                sys.exit(f"two rows are the same: {' | '.join(key)}")
            found[key] = check
    return [found[key] for key in sorted(found, key=lambda k: (list(KINDS).index(k[0]), *map(natural, k[1:])))]


def natural(text):
    """Sorts "8 m" ahead of "12 m"."""
    parts = re.split(r"(\d+)", text.casefold())
    return [(0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts] + [(2, 0, text)]


def number(value, digits=5):
    return "-" if value is None else f"{value:.{digits}g}"


def difference(check):
    """Three digits; what is only rounding is called that, so that the table stays the same."""
    if check["ours"] is None or check["outside"] is None:
        return "-"
    value = check["ours"] - check["outside"]
    if abs(value) <= max(1e-12 * abs(check["outside"]), 1e-6 * check["allowed"]):
        return "rounding"
    return f"{value:+.3g}"


def cell(text):
    return " ".join(str(text).replace("|", "\\|").split())


def anchor(title):
    return re.sub(r"[^\w\- ]", "", title.casefold()).replace(" ", "-")


RELATIONS = """\
`solve/relation_scatter.hpp` holds these figures for the library: the study of certainty draws from them
and from nothing else. Deviations are ln(ours/outside), of temperatures kelvins, of rows that measure one
relation alone. Rows without a mark count; where there are none, the measured points that the relation was
fitted to, then rows from memory, then another library, then mathematics.

The spread is what to expect of the *next* core, fluid or part (`validation/scatter.py`): each row (one
surface, one source) weighs the same; to what points of a row and rows among themselves differ by come the
doubt of the mean, the scatter that a printed relation has about its own data, and, since two or three rows
do not know how far rows lie apart, the sources' own claim (half the band) with the weight of four rows. A
single point so never says that nothing is in doubt. A row that fails refutes its source's claim: half of its
mean deviation stands in its place. Where nothing outside tells how cars obey a relation, the spread is a
judgement, said as such. The last column tells whether any row would notice if the relation were wrong by
3 % (`validation/sensitivity.py`).
"""

CALIBRATION = """\
Is the certainty itself true? One row of a relation (a surface, a source; of the logged drives one drive) is
left out, bias and spread are worked out of the others just as for the table above, and the left-out points are
held against the band (`validation/calibration.py`). A 90 % band should hold 80 to 97 % of them. Where it held
less, the spread in the table above is widened to what would have held 90 %, and nothing independent is left to
say whether that is enough; where it held more it is not narrowed. Relations with a single row, with judged
spreads and with bands of rounding alone cannot be tried so. The rule was written down before it was tried and
not changed after.
"""

OUTSIDE = """\
Outside their range bands are worth less. Had a builder taken the relation's band there:
"""

CORES = """\
## What measures each kind of core

| kind | film and friction | a whole core |
|---|---|---|
| louvred | **no measured row inside its relation's range**: a fit of 45 measured cores and three of others (published); 20 old, coarse measured surfaces outside it | none |
| plate_fin, plain | film: two points read off a chart (from memory), another laboratory's relation (from memory); friction: the latter alone | none |
| plate_fin, wavy | **none measured**: another laboratory's relation, from memory | none |
| bar_plate (and the air side of stacked plates) | ten measured strip-fin surfaces, the fit's own data; **none in oil** | none |
| finned_tube | four measured round-fin surfaces, their tubes thinner than the relation's | a textbook's example, from memory |
| flat_tube (flat tubes through continuous fins) | three measured surfaces are its tables; one of them rated from another | none |
| tank_plate, tank_tube | **none**: strip fins in oil rest on air | none |
| any kind with a `surface` of its own | the builder's table | - |
| rated, points, map, conductance, weight_class | **none**: what the seller or the builder says, carried to other flows by exponents that no row measures | - |

The liquid side of all: one measured tube (`ST-1`, air) and a tested radiator's overall coefficient by a
textbook, read in a public copy.

## Looked for and not found

- *Fans.* Points of electric radiator fans at several pressures, six of them: in open repositories, theses,
  certified catalogues and shops. What turned up were centrifugal blowers of buildings (another curve), pictures
  of curves without numbers, and free flow alone. One measured axial fan (36 in) stands in the table.
- *Louvred cores of today* with their angle, length and depth, j and f as measured: only relations fitted to
  them, and typings of those.
- *Hoses with couplings as measured*: both charts that can be read (published rows) are computed.
- *Capacity of a car's own converter*: one printed table of a work machine's.
- *A pump at several speeds as measured*: a reference library's affinity laws stand in for it.
- *Pages* of the pipe networks manual, the road load equation and the strip fins' scatter: the first was read in
  an open rewriting of its program, the other two are from memory. The steering example was read on
  a copy of its page.
- *A second typing* of the wavy fins' relation (an open Python library, after Shah & Sekulić) agrees with ours
  but for one exponent, of the number of rows with large tubes: -0.134 there, -0.143 here; some 3 % of j at four rows.
  Which is the book's was not seen.
"""


# The tables --------------------------------------------------------------------------------------

def percent(value, kelvin=False):
    return f"{value:+.2g} K" if kelvin else f"{100 * math.expm1(value):+.1f} %"


def points_cell(check):
    values = deviations(check)
    if len(check["points"]) < 2:
        return ""
    kelvin = check["unit"] in ("K", "degC")
    if len(values) < 2:
        return str(len(check["points"]))
    mean, spread = condense(values)
    return f"{len(values)}: {percent(mean, kelvin)} ± {number(spread if kelvin else 100 * spread, 2)} {'K' if kelvin else '%'}"


def table(checks):
    lines = ["| quantity | source | outside | ours | difference | allowed | band from | points | remarks |",
             "|---|---|---:|---:|---:|---:|---|---|---|"]
    for c in checks:
        unit = "" if c["unit"] in ("", "-") else " " + c["unit"]
        source = cell(c["source"]) + (f"; read in {cell(c['read'])}" if c.get("read") else "")
        passed = "" if c["pass"] else "**FAILED** "
        remarks = [f"*{m}*" for m in marks(c)] + (["*outside the relation's range*"] if c["out_of_range"] else [])
        if len(c["points"]) > 1 and c["worst"]:
            remarks.append(f"shown: the worst, {cell(c['worst'])}")
        remarks += [cell(c["note"])] if c["note"] else []
        lines.append(f"| {cell(c['quantity'])} | {source} | {number(c['outside'])}{unit} | {number(c['ours'])}{unit}"
                     f" | {passed}{difference(c)} | {number(c['allowed'], 2)} | {cell(c['band'])}"
                     f" | {points_cell(c)} | {'; '.join(remarks)} |")
    return lines


def of_kind(checks, kind):
    return [c for c in checks if c["kind"] == kind]


def counts(checks):
    """The leading table: rows of each kind; what is marked is in its own column, not in the first."""
    lines = ["| kind | rows | in their band | failed, with a story | besides: from memory | common practice | the fit's own data |",
             "|---|---:|---:|---:|---:|---:|---:|"]
    for kind, (title, words) in KINDS.items():
        rows = of_kind(checks, kind)
        if not rows:
            continue
        plain = [c for c in rows if not marks(c)]

        def marked(key):
            some = [c for c in rows if c.get(key)]
            bad = sum(not c["pass"] for c in some)
            return f"{len(some)}" + (f" ({bad} failed)" if bad else "")
        lines.append(f"| [{title}](#{anchor(title)}): {words} | {len(plain)} | {sum(c['pass'] for c in plain)}"
                     f" | {sum(not c['pass'] for c in plain)} | {marked('from_memory')} | {marked('common_practice')}"
                     f" | {marked('own_data')} |")
    return lines


def measured_summary(checks):
    """Of each measured topic, our deviation against the source's scatter."""
    lines = ["| measured | rows | points | our deviation, mean ± standard deviation | allowed by the source | failed |",
             "|---|---:|---:|---:|---:|---:|"]
    topics = collections.defaultdict(list)
    for c in of_kind(checks, "measured"):
        if not marks(c):
            topics[c["topic"] + (", outside its range" if c["out_of_range"] else ""), c["relation"], c["unit"]].append(c)
    for (topic, relation, _), rows in topics.items():
        values = [d for c in rows for d in deviations(c)]
        if not values:
            continue
        kelvin = rows[0]["unit"] in ("K", "degC")
        mean, spread = condense(values)
        share = [c["allowed"] if kelvin else 100 * c["allowed"] / abs(c["outside"]) for c in rows if c["outside"]]
        unit = "K" if kelvin else "%"
        if not share:  # rows of differences, whose outside value is 0
            share, unit = [c["allowed"] for c in rows], rows[0]["unit"]
        low, high = number(min(share), 2), number(max(share), 2)
        words = topic + (f" ({relation.replace('_', ' ')})" if relation else "")
        lines.append(f"| {cell(words)} | {len(rows)} | {len(values)} | {percent(mean, kelvin)} ± "
                     f"{number(spread if kelvin else 100 * spread, 2)} {'K' if kelvin else '%'} | "
                     f"{low if low == high else low + ' to ' + high} {unit} | {sum(not c['pass'] for c in rows)} |")
    return lines


def family(check):
    """Who measured: one book counts as one source, however many of its surfaces are compared."""
    source = check["source"]
    for name in ("Kays & London", "M. Weber", "US Department of Energy", "Fox & McDonald", "Ng, Watkins"):
        if source.startswith(name):
            return name + (", one book of one laboratory" if name == "Kays & London" else "")
    return "open logs and abstracts of single cars"


def by_source(checks):
    """Of each source of measurements, rows inside the range that our relation claims and outside it."""
    rows = collections.defaultdict(lambda: {False: [], True: []})
    for c in of_kind(checks, "measured"):
        if not marks(c):
            rows[family(c)][c["out_of_range"]].append(c)
    lines = ["| who measured | rows inside the relation's range | in their band | rows outside it | in their band |",
             "|---|---:|---:|---:|---:|"]
    total = {False: [0, 0], True: [0, 0]}
    for name, found in sorted(rows.items(), key=lambda item: -sum(map(len, item[1].values()))):
        cells = []
        for outside in (False, True):
            count, good = len(found[outside]), sum(c["pass"] for c in found[outside])
            total[outside][0] += count
            total[outside][1] += good
            cells += [str(count), str(good)]
        lines.append(f"| {cell(name)} | " + " | ".join(cells) + " |")
    lines.append(f"| together | {total[False][0]} | {total[False][1]} | {total[True][0]} | {total[True][1]} |")
    own = [c for c in of_kind(checks, "measured") if c["own_data"]]
    lines += ["", f"Besides stand {len(own)} measured rows that the relation was fitted to, {sum(c['pass'] for c in own)} in their band: "
              "they say how well the fit was done, not how well it foretells."]
    return lines


def by_reynolds(checks):
    """Of each fin kind's measured surfaces, bias and spread by decade of the Reynolds number."""
    cells = collections.defaultdict(lambda: collections.defaultdict(list))
    edges = [(0, 600), (600, 1500), (1500, 4000), (4000, math.inf)]
    for c in of_kind(checks, "measured"):
        for (outside, ours), at in zip(c["points"], c["at"]):
            found = re.match(r"Re ([\d.e+]+)$", at)
            if not found or not c["quantity"].startswith(("Colburn", "Fanning")):
                continue
            re_here = float(found.group(1))
            edge = next(e for e in edges if e[0] <= re_here < e[1])
            cells[c["topic"], c["quantity"].split(",")[0]][edge].append(math.log(ours / outside))
    lines = ["| measured surfaces | " + " | ".join(
        f"Re {'below' if a == 0 else 'from'} {b if a == 0 else a}{'' if a == 0 or b == math.inf else f' to {b}'}" for a, b in edges) + " |",
             "|---|---:|---:|---:|---:|"]
    for (topic, what), found in cells.items():
        row = []
        for edge in edges:
            values = found.get(edge, [])
            if not values:
                row.append("-")
                continue
            mean, spread = condense(values)
            row.append(f"{percent(mean)} ± {number(100 * spread, 2)} % ({len(values)})")
        lines.append(f"| {cell(topic)}, {what} | " + " | ".join(row) + " |")
    return lines


def failures(checks):
    lines = []
    for c in checks:
        if not c["pass"]:
            unit = "" if c["unit"] in ("", "-") else " " + c["unit"]
            lines.append(f"- **{c['topic']}: {c['quantity']}** ({c['kind']}; {c['source']}): outside {number(c['outside'])}{unit}, "
                         f"ours {number(c['ours'])}{unit}, allowed {number(c['allowed'], 2)}. {c['story'] or 'No story is written.'}")
    return lines or ["None."]


def rests_on(name, f):
    return f"**judgement**: {JUDGED[name][1]}" if f["basis"] == "judged" else BASIS_WORDS[f["basis"]]


def relations(found):
    noticed = json.loads(NOTICED.read_text(encoding="utf-8")) if NOTICED.exists() else {}
    lines = ["| relation | bias | spread | rows (measured) | points | rests on | rows that notice 3 % of it, by kind |", "|---|---:|---:|---:|---:|---|---|"]
    for name, words in relation_names():
        f = found.get(name)
        seen = noticed.get("noticed", {}).get(name)
        who = ", ".join(f"{n} {kind}" for kind, n in seen["by_kind"].items()) if seen else "not asked"
        if seen and not seen["by_kind"]:
            who = "**none: unchecked**" if seen["hooked"] else "not one place in the library"
        if f:
            spread = f"{f['spread']:.2g} K" if f["kelvin"] else f"{100 * f['spread']:.1f} %"
            lines.append(f"| {words} (`{name}`) | {percent(f['bias'], f['kelvin'])} | {spread} | {f['rows']} ({f['measured']}) | {f['points']} | {rests_on(name, f)} | {who} |")
        else:
            lines.append(f"| {words} (`{name}`) | - | - | 0 | 0 | - | {who} |")
    return lines


def report(checks):
    found = scatter(checks)
    lines = [INTRO, "## Counts\n", *counts(checks), "", *by_source(checks), "", *measured_summary(checks), "",
             "Film and friction of the measured surfaces by Reynolds number on the hydraulic diameter (points):", "",
             *by_reynolds(checks), "",
             CORES, "## Failed, and who is wrong\n", *failures(checks), "",
             "## Bias and spread of each relation\n",
             RELATIONS, *relations(found), "",
             "## Calibration\n", CALIBRATION, *calibration.table(checks), "",
             "![how often bands held what they had not seen](reliability.png)\n",
             OUTSIDE, *[f"- {line}" for line in calibration.outside(checks)]]
    for kind, (title, words) in KINDS.items():
        rows = of_kind(checks, kind)
        if not rows:
            continue
        lines += ["", f"## {title}", "", words[0].upper() + words[1:] + "."]
        topics = {}
        for c in rows:
            topics.setdefault(c["topic"], []).append(c)
        for topic, some in topics.items():
            lines += ["", f"### {cell(topic)}", ""]
            if len(some) > LONG:
                lines += ["<details>", f"<summary>{len(some)} checks</summary>", "", *table(some), "", "</details>"]
            else:
                lines += table(some)
    return "\n".join(lines) + "\n", header(found)


# Holding the committed table against a run ---------------------------------------------------------

def rows_of(text):
    """Of each row of a report: kind, topic, quantity, source -> difference as printed, allowed."""
    rows, kind, topic = {}, "", ""
    for line in text.splitlines():
        if line.startswith("## "):
            kind, topic = line[3:], ""
        elif line.startswith("### "):
            topic = line[4:]
        elif topic and line.startswith("| ") and not line.startswith("| quantity |"):
            cells = [c.strip() for c in re.split(r"(?<!\\)\|", line)]
            rows[kind, topic, cells[1], cells[2]] = cells[5], cells[6]
    return rows


def figure(text):
    text = text.replace("**FAILED**", "").strip()
    return 0.0 if text == "rounding" else float(text)


def moved(ours, theirs):
    """Rows whose figure differs by more than a tenth of what is allowed."""
    found = []
    for key in sorted(ours.keys() & theirs.keys()):
        (now, allowed), (then, _) = ours[key], theirs[key]
        if "-" in (now, then):
            continue
        a, b = figure(now), figure(then)
        if abs(a - b) > 0.1 * float(allowed) + 0.006 * max(abs(a), abs(b)) + 1e-300:
            found.append((*key, f"was {then}, is {now}, allowed {allowed}"))
    return found


def compare(text, made_header):
    """Complaints about the committed files."""
    committed = COMMITTED.read_text(encoding="utf-8") if COMMITTED.exists() else ""
    ours, theirs = rows_of(text), rows_of(committed)
    complaints = []
    for title, keys in (("not in validation/README.md", ours.keys() - theirs.keys()),
                        ("only in validation/README.md", theirs.keys() - ours.keys())):
        complaints += [f"{title}: {' | '.join(key)}" for key in sorted(keys)]
    complaints += [f"moved: {' | '.join(row)}" for row in moved(ours, theirs)]
    there = HEADER.read_text(encoding="utf-8") if HEADER.exists() else ""
    if not headers_agree(made_header, there):
        complaints.append(f"{HEADER.name} is not what the rows give")
    return complaints, len(ours)


def headers_agree(a, b):
    """The same but for the last digit of a figure."""
    figures = re.compile(r"-?\d+\.?\d*(?:e-?\d+)?")
    x, y = figures.findall(a), figures.findall(b)
    return (figures.sub("#", a) == figures.sub("#", b) and len(x) == len(y)
            and all(abs(float(p) - float(q)) <= 0.02 * max(abs(float(p)), abs(float(q)), 1e-4) for p, q in zip(x, y)))


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("checks", type=pathlib.Path, help="folder with the lines of JSON of a run")
    parser.add_argument("--write", action="store_true", help="write the committed report and header")
    parser.add_argument("--output", type=pathlib.Path, help="write here, and compare with what is committed")
    options = parser.parse_args()

    checks = read(options.checks)
    if not checks:
        sys.exit(f"no checks in {options.checks}: run them first, ctest -R '^check_'")
    text, made_header = report(checks)
    if options.write:
        COMMITTED.write_text(text, encoding="utf-8")
        if not (HEADER.exists() and headers_agree(made_header, HEADER.read_text(encoding="utf-8"))):
            HEADER.write_text(made_header, encoding="utf-8")
        print(f"{COMMITTED}: {len(checks)} checks")
    if not options.output:
        return
    options.output.write_text(text, encoding="utf-8")
    complaints, count = compare(text, made_header)
    print("\n".join(complaints))
    if complaints:
        sys.exit(f"make it anew: /usr/bin/python3 {pathlib.Path(__file__).resolve()} {options.checks} --write")
    print(f"{count} rows, the same as in validation/README.md")


if __name__ == "__main__":
    main()
