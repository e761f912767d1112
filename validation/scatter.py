"""Bias and spread of each relation, from the rows of the checks: the table that the library reads
(solve/relation_scatter.hpp) and the README shows. One place, so that report.py and calibration.py
mean the same by them."""
import collections
import math
import pathlib
import re

HERE = pathlib.Path(__file__).resolve().parent
NAMES = HERE.parent / "libsim/solve/include/lapheat/solve/relation.hpp"

MARKS = {"from_memory": "from memory", "common_practice": "common practice", "own_data": "the fit's own data"}

# What a relation rests on, best first: the first that has rows counts, the others do not.
BASES = {"outside": lambda c: c["kind"] in ("measured", "published") and not marks(c),
         "own_data": lambda c: c["kind"] in ("measured", "published") and c["own_data"],
         "from_memory": lambda c: c["kind"] in ("measured", "published") and not c["common_practice"],
         "library": lambda c: c["kind"] == "library",
         "closed_form": lambda c: c["kind"] == "closed form"}

BASIS_WORDS = {"outside": "rows without a mark", "from_memory": "*from memory*", "own_data": "*the fit's own data*",
               "library": "another library", "closed_form": "mathematics"}
PRIOR = 4  # what the sources' own claim of scatter weighs, in rows

# Relations that nothing outside measures: (standard deviation, why). Judgement, nothing more.
JUDGED = {
    "bend_loss": (0.20, "handbooks differ by a fifth for the same bend"),
    "pump_affinity": (0.05, "affinity laws lose some per cent over a range of 3 to 1 in speed"),
    "engine_exhaust": (0.10, "the unburned part and the sensible part each missed a table by a tenth of the fuel"),
    "fluid_life": (0.50, "halving for each 11 K is a rule of thumb: a factor of 1.6 either way"),
    "fan_affinity": (0.03, "fan laws at one Reynolds number"),
    "air_path_balance": (0.05, "entrances and exits lumped into one loss each"),
}


def marks(check):
    return [words for key, words in MARKS.items() if check.get(key)]


def is_kelvin(check):
    return check["unit"] in ("K", "degC")


def deviations(check):
    """ln(ours/outside) of each point, or kelvins of difference for temperatures; a row in octaves is of
    ratios already."""
    pairs = [(o, u) for o, u in check["points"] if o is not None and u is not None]
    if is_kelvin(check):
        return [u - o for o, u in pairs]
    if check["unit"] == "octaves":
        return [(u - o) * math.log(2) for o, u in pairs]
    return [math.log(u / o) for o, u in pairs if o > 0 and u > 0]


def condense(values):
    mean = sum(values) / len(values)
    return mean, math.sqrt(sum((v - mean) ** 2 for v in values) / max(1, len(values) - 1))


def told(check):
    """Variance among rows that a row's source claims: a quarter of its squared band, two standard
    deviations, less what its own points differ by. A row that fails refutes the claim: then so much at
    least that its mean lies at two standard deviations."""
    values = deviations(check)
    mean, within = condense(values)
    allowed = check["allowed"]
    if check["unit"] == "octaves":
        allowed *= math.log(2)
    elif not is_kelvin(check):
        allowed = abs(allowed / check["outside"]) if check["outside"] else 0.0
    refuted = 0.0 if check["pass"] else mean**2 / 4
    return max(allowed**2 / 4 - within**2, refuted, 0.0)


def student(dof):
    """Student's t over the normal's quantile at 95 %: what few rows add to a 90 % band. (Cornish-Fisher,
    Abramowitz & Stegun 26.7.5; 1 % low at 4 degrees of freedom.)"""
    z = 1.6448536
    return 1 + (z**2 + 1) / (4 * dof) + (5 * z**4 + 16 * z**2 + 3) / (96 * dof**2)


def predict(checks):
    """(bias, spread) for the next core, fluid or part.

    Each row (one surface, one source) weighs the same. The spread joins what points of one row differ by,
    what rows differ by (of which the sources' claim is told as PRIOR rows, since two or three rows do not
    know it), the doubt of the mean, and what a printed relation scatters about its own data."""
    rows = [condense(deviations(c)) for c in checks]
    n = len(rows)
    within = sum(spread**2 for _, spread in rows) / n
    bias, between = condense([mean for mean, _ in rows])
    dof = PRIOR + n - 1
    between = (PRIOR * sum(told(c) for c in checks) / n + (n - 1) * between**2) / dof
    own = max(c.get("source_scatter", 0) for c in checks) ** 2
    return bias, math.sqrt(student(dof) ** 2 * between * (1 + 1 / n) + within + own)


def drives_apart(checks):
    """Rows whose points are drives of cars, a row for each drive: they are the witnesses."""
    apart = []
    for c in checks:
        if c["unit"] != "octaves":
            apart.append(c)
            continue
        apart += [c | {"points": [pair]} for pair in c["points"]]
    return apart


def left_out(checks):
    """Of each row of a relation, how far its points lie from what the others foretell, in spreads. Nothing if
    there are no two rows, or if rows agree to rounding."""
    rows = drives_apart(checks)
    if len(rows) < 2:
        return []
    misses = []
    for i, row in enumerate(rows):
        bias, spread = predict(rows[:i] + rows[i + 1:])
        misses.append([(d - bias) / spread for d in deviations(row)] if spread > 1e-4 else [])
    return misses if all(misses) else []


def widening(misses):
    """1, or by how much a relation's spread must grow if its 90 % band holds less than 80 % of what it did not
    see: so that it would have held 90 % (each row weighs the same)."""
    held = sum(sum(abs(m) <= 1.6448536 for m in row) / len(row) for row in misses) / len(misses)
    if held >= 0.80:
        return 1.0
    weighed = sorted((abs(m), 1 / len(row)) for row in misses for m in row)
    total, reached = sum(w for _, w in weighed), 0.0
    for miss, weight in weighed:
        reached += weight
        if reached >= 0.9 * total:
            return miss / 1.6448536
    return weighed[-1][0] / 1.6448536


def rows_of(checks):
    """The rows that count for each relation, and what they rest on."""
    all_rows = collections.defaultdict(list)
    for c in checks:
        if c.get("relation") and deviations(c):
            all_rows[c["relation"]].append(c)
    result = {}
    for name, some in all_rows.items():
        for basis, fits in BASES.items():
            found = [c for c in some if fits(c)]
            if found:
                result[name] = basis, found
                break
    return result


def scatter(checks):
    """Of each relation: bias, spread, rows, points, whether in kelvins, and what they rest on."""
    result = {}
    for name, (basis, found) in rows_of(checks).items():
        if len({is_kelvin(c) for c in found}) > 1:
            raise SystemExit(f"relation {name}: some rows are temperatures and others are not")
        bias, spread = predict(drives_apart(found))
        spread *= widening(left_out(found) or [[0.0]])
        result[name] = {"bias": bias, "spread": spread, "rows": len(drives_apart(found)),
                        "points": sum(len(deviations(c)) for c in found), "basis": basis,
                        "measured": sum(c["kind"] == "measured" for c in found), "kelvin": is_kelvin(found[0])}
        judged = JUDGED.get(name)
        if judged and basis not in ("outside", "own_data") and spread < judged[0]:
            # A library or a closed form says that the formula is worked out well, not that cars obey it.
            result[name] |= {"basis": "judged", "bias": 0.0, "spread": judged[0]}
    for name, (spread, _) in JUDGED.items():
        result.setdefault(name, {"bias": 0.0, "spread": spread, "rows": 0, "points": 0, "basis": "judged",
                                 "measured": 0, "kelvin": False})
    return result


def relation_names():
    """Name and words of each relation, in the order of the library's enumeration."""
    text = NAMES.read_text(encoding="utf-8")
    return re.findall(r'\{Relation::\w+,\s*"(\w+)",\s*"([^"]*)"\}', text)


HEADER_TOP = """\
// Bias and spread of the library's relations, as the checks against the world found them: made by
// validation/report.py of the rows in validation/README.md, never by hand. The only place in the
// project that states them.
#pragma once

#include "lapheat/solve/relation.hpp"

namespace lapheat::solve {

/// What bias and spread of a relation rest on.
enum class Basis {
    none,         ///< no figure: not one place in the library, or not in use
    outside,      ///< measured or published rows
    own_data,     ///< only what the relation was fitted to or weighed from: the spread flatters
    from_memory,  ///< published rows written without a page open
    library,      ///< another library computes the same formula or table
    closed_form,  ///< mathematics
    judged,       ///< nothing outside measures it as cars obey it: a judged spread, no bias
};

/// bias: mean of ln(ours / outside), of temperatures (in_kelvin) ours - outside, K. spread: the
/// standard deviation to expect of the next core, fluid or part, not of the rows at hand: few rows
/// and a single source make it wide (how: validation/scatter.py; whether its bands hold:
/// validation/README.md, Calibration). What is true is then ours * exp(-bias - spread * z), or
/// ours - bias - spread * z, with z standard normal.
struct Scatter {
    Basis basis = Basis::none;
    double bias = 0;
    double spread = 0;
    int rows = 0;  ///< checks the points come from; 0: nothing outside measures it
    int points = 0;
    bool in_kelvin = false;
};

struct ScatterOf {
    Relation relation;
    Scatter scatter;
};
inline constexpr ScatterOf scatters[] = {
"""
HEADER_END = """
};

/// Of a relation that is not among them: none.
[[nodiscard]] constexpr Scatter scatter(Relation relation) noexcept {
    for (const ScatterOf& known : scatters)
        if (known.relation == relation) return known.scatter;
    return {};
}

}  // namespace lapheat::solve
"""


def header(found):
    rows = []
    for name, _ in relation_names():
        if name in found:
            f = found[name]
            kelvin = ", true" if f["kelvin"] else ""
            rows.append(f"    {{Relation::{name}, {{Basis::{f['basis']}, {f['bias']:.3g}, {f['spread']:.3g}, "
                        f"{f['rows']}, {f['points']}{kelvin}}}}},")
    return HEADER_TOP + "\n".join(rows) + HEADER_END
