#!/usr/bin/env python3
"""Is the certainty itself true? Holds the 90 % bands of the relations against what they did not see.

    calibration.py CHECKS_DIR             prints the table that validation/README.md shows
    calibration.py CHECKS_DIR --picture   draws validation/reliability.png as well

One row of a relation (a surface, a source; of the logged drives one drive) is left out, bias and spread are
worked out of the others exactly as for the library (scatter.py), and the points of the row left out are held
against that band. Every row weighs the same, for points of one surface are no independent witnesses.
"""
import argparse
import math
import pathlib
import statistics
import sys

import scatter

HERE = pathlib.Path(__file__).resolve().parent
PICTURE = HERE / "reliability.png"
NORMAL = statistics.NormalDist()
LEVELS = [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99]
GROUPS = {  # what a reader knows them by
    "strip fins": ("strip_film", "strip_friction"),
    "round fins": ("round_fin_film", "round_fin_friction"),
    "engine": ("engine_wall_heat", "engine_friction", "engine_fuel"),
    "warm-up, nine drives": ("warm_up",),
    "fluids": ("glycol_density", "glycol_specific_heat", "glycol_conductivity", "glycol_viscosity", "glycol_boiling"),
}


def shares_held(misses, level, weigh=None):
    """Mean over rows of the share of each row's points inside the band of a level. `misses` are, of each row,
    the points' distances from what was foretold in its spreads."""
    z = NORMAL.inv_cdf(0.5 + level / 2)
    return statistics.mean(sum(abs(m) <= z * (weigh or 1) for m in row) / len(row) for row in misses)


def relations(checks):
    """Name, rows and misses of each relation with two rows or more, before anything is widened."""
    for name, (basis, found) in scatter.rows_of(checks).items():
        misses = scatter.left_out(found)
        if misses:
            yield name, basis, misses


def table(checks):
    lines = ["| relation | rests on | rows | points | 90 % band holds, of points it did not see | 50 % band holds | what follows |",
             "|---|---|---:|---:|---:|---:|---|"]
    names = dict(scatter.relation_names())
    everything = []
    for name, basis, misses in sorted(relations(checks), key=lambda r: -len(r[2])):
        held, half = shares_held(misses, 0.9), shares_held(misses, 0.5)
        factor = scatter.widening(misses)
        words = f"over-confident: **widened {factor:.2f} times**" if factor > 1 else \
            "wider than it need be" if held > 0.97 else "holds"
        if len(misses) < 4 and factor == 1:
            words += f", but {len(misses)} rows hardly tell"
        lines.append(f"| {names[name]} (`{name}`) | {scatter.BASIS_WORDS[basis]} | {len(misses)} | {sum(map(len, misses))} | {100 * held:.0f} %"
                     f" | {100 * half:.0f} % | {words} |")
        everything.append(misses)
    rows = [row for misses in everything for row in misses]
    if not rows:
        return lines  # no relation has two rows
    lines.append(f"| **all together, each row alike** | | {len(rows)} | {sum(map(len, rows))} | **{100 * shares_held(rows, 0.9):.0f} %**"
                 f" | {100 * shares_held(rows, 0.5):.0f} % | |")
    return lines


def outside(checks):
    """Of measured rows outside the range of their relation: how many of their points the library's band holds,
    had a builder believed it there."""
    found = scatter.scatter(checks)
    lines = []
    for words, kind, name in (("coarse louvred fins, film", "Colburn", "louvred_film"),
                              ("coarse louvred fins, friction", "Fanning", "louvred_friction")):
        rows = [c for c in checks if c["kind"] == "measured" and c.get("out_of_range") and c["topic"].startswith("Louvred")
                and c["quantity"].startswith(kind)]
        if rows and name in found:
            f = found[name]
            misses = [[(d - f["bias"]) / f["spread"] for d in scatter.deviations(c)] for c in rows]
            lines.append(f"{words}: {100 * shares_held(misses, 0.9):.0f} % of {sum(map(len, misses))} points of {len(rows)} surfaces")
    return lines


def picture(checks, path):
    import matplotlib
    matplotlib.use("Agg")
    from matplotlib import pyplot
    found = {name: misses for name, _, misses in relations(checks)}
    figure, axes = pyplot.subplots(figsize=(6.4, 5.6), layout="constrained")
    percent = [100 * level for level in LEVELS]
    axes.fill_between([0, 100], [0, 100], [100, 100], color="0.93", lw=0)
    axes.plot([0, 100], [0, 100], color="0.4", lw=1)
    axes.text(4, 93, "bands wider than they need be", color="0.4")
    axes.text(54, 12, "bands too narrow:\nover-confident", color="0.4")
    axes.vlines(90, 80, 97, color="0.4", lw=5, alpha=0.5)
    axes.text(91, 76, "wanted here:\n80 to 97 %", color="0.3", ha="center", va="top", fontsize=8)
    styles = [("#0072B2", "o", "-"), ("#D55E00", "s", "--"), ("#009E73", "^", "-."), ("#CC79A7", "D", ":"), ("#E69F00", "v", "-")]
    for (words, names), (colour, mark, line) in zip(GROUPS.items(), styles):
        rows = [row for name in names for row in found.get(name, [])]
        if not rows:
            continue
        held = [100 * shares_held(rows, level) for level in LEVELS]
        axes.plot(percent, held, color=colour, marker=mark, ms=4, ls=line, lw=1.2, label=f"{words} ({len(rows)} rows)")
    rows = [row for misses in found.values() for row in misses]
    axes.plot(percent, [100 * shares_held(rows, level) for level in LEVELS], color="black", lw=2.4, label=f"all ({len(rows)} rows)")
    axes.set(xlim=(0, 100), ylim=(0, 102), xlabel="band said to hold, % of cases", ylabel="held, % of points left out",
             title="Certainty against what it had not seen")
    axes.legend(loc="lower right", bbox_to_anchor=(1, 0.2), frameon=False, fontsize=8)
    figure.savefig(path, dpi=110, metadata={"Software": None})


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("checks", type=pathlib.Path, help="folder with the lines of JSON of a run")
    parser.add_argument("--picture", action="store_true", help="draw validation/reliability.png")
    options = parser.parse_args()
    from report import read
    checks = read(options.checks)
    if not checks:
        sys.exit(f"no checks in {options.checks}")
    print("\n".join(table(checks)))
    print("\n".join(outside(checks)))
    if options.picture:
        picture(checks, PICTURE)


if __name__ == "__main__":
    main()
