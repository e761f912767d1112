#!/usr/bin/env python3
"""Makes validation/README.md of the lines of JSON that the checks wrote.

    report.py CHECKS_DIR --write             writes validation/README.md
    report.py CHECKS_DIR --output FILE       writes FILE and compares its rows with the
                                             committed README: a row too many or missing fails

Only topic, quantity and source of each row are compared: last digits may differ between machines.
"""
import argparse
import json
import pathlib
import re
import sys

COMMITTED = pathlib.Path(__file__).resolve().parent / "README.md"
LONG = 40  # rows of a topic above which its table is folded

INTRO = """\
# Checks against the world

Every row is one check: a number that somebody else published or that another library computes in
the same run, beside ours, with the difference that is allowed. The source stands in the row; a value
written without the page open is marked *from memory*. A check that disagrees is not tuned: the
difference is allowed only as far as the source itself scatters, and the note says so.

`./run.sh test` builds and runs all checks. This file is made of their output by
`validation/report.py`; a test compares its rows with what the run gave. Make it anew with

    ./run.sh test
    /usr/bin/python3 validation/report.py build/release/checks --write
"""


def read(folder):
    """All checks, each once, in an order that does not depend on the run."""
    found = {}
    for path in sorted(folder.glob("*.jsonl")):
        for line in path.read_text(encoding="utf-8").splitlines():
            check = json.loads(line)
            found[check["topic"], check["quantity"], check["source"]] = check
    return [found[key] for key in sorted(found, key=lambda k: tuple(natural(text) for text in k))]


def natural(text):
    """Sorts "8 m" ahead of "12 m"."""
    parts = re.split(r"(\d+)", text.casefold())
    return [(0, int(p), "") if p.isdigit() else (1, 0, p) for p in parts] + [(2, 0, text)]


def number(value, digits=5):
    return "-" if value is None else f"{value:.{digits}g}"


def difference(check):
    """Two digits; what is only rounding is called that, so that the table stays the same."""
    if check["ours"] is None or check["published"] is None:
        return "-"
    value = check["ours"] - check["published"]
    if abs(value) <= max(1e-12 * abs(check["published"]), 1e-6 * check["allowed"]):
        return "rounding"
    return f"{value:+.2g}"


def used(check):
    """Difference over what is allowed."""
    if check["ours"] is None or check["published"] is None:
        return float("inf")
    value = abs(check["ours"] - check["published"])
    if value == 0:
        return 0.0
    return value / check["allowed"] if check["allowed"] > 0 else float("inf")


def cell(text):
    return " ".join(str(text).replace("|", "\\|").split())


def anchor(topic):
    return re.sub(r"[^\w\- ]", "", topic.casefold()).replace(" ", "-")


def table(checks):
    lines = ["| quantity | source | published | ours | difference | allowed | note |",
             "|---|---|---:|---:|---:|---:|---|"]
    for c in checks:
        unit = "" if c["unit"] in ("", "-") else " " + c["unit"]
        source = cell(c["source"]) + (" *(from memory)*" if c["from_memory"] else "")
        passed = "" if c["pass"] else "**FAILED** "
        lines.append(f"| {cell(c['quantity'])} | {source} | {number(c['published'])}{unit} | {number(c['ours'])}{unit}"
                     f" | {passed}{difference(c)} | {number(c['allowed'], 2)} | {cell(c['note'])} |")
    return lines


def report(checks):
    topics = {}
    for c in checks:
        topics.setdefault(c["topic"], []).append(c)
    failed = sum(not c["pass"] for c in checks)
    lines = [INTRO, f"{len(checks)} checks in {len(topics)} topics, {failed} failed.\n", "## Summary\n",
             "| topic | checks | passed | from memory | worst difference over allowed |",
             "|---|---:|---:|---:|---:|"]
    for topic, rows in topics.items():
        lines.append(f"| [{cell(topic)}](#{anchor(topic)}) | {len(rows)} | {sum(c['pass'] for c in rows)}"
                     f" | {sum(c['from_memory'] for c in rows)} | {max(map(used, rows)):.2f} |")
    for topic, rows in topics.items():
        lines += ["", f"## {cell(topic)}", ""]
        if len(rows) > LONG:
            lines += ["<details>", f"<summary>{len(rows)} checks</summary>", "", *table(rows), "", "</details>"]
        else:
            lines += table(rows)
    return "\n".join(lines) + "\n"


def rows_of(text):
    """Topic, quantity and source of each row of a report."""
    rows, topic = set(), ""
    for line in text.splitlines():
        if line.startswith("## "):
            topic = line[3:]
        elif line.startswith("| ") and topic not in ("", "Summary") and not line.startswith("| quantity |"):
            quantity, source = re.split(r"(?<!\\)\|", line)[1:3]
            rows.add((topic, quantity.strip(), source.strip()))
    return rows


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("checks", type=pathlib.Path, help="folder with the lines of JSON of a run")
    parser.add_argument("--write", action="store_true", help="write the committed report")
    parser.add_argument("--output", type=pathlib.Path, help="write here, and compare with the committed report")
    options = parser.parse_args()

    checks = read(options.checks)
    if not checks:
        sys.exit(f"no checks in {options.checks}: run them first, ctest -R '^check_'")
    text = report(checks)
    if options.write:
        COMMITTED.write_text(text, encoding="utf-8")
        print(f"{COMMITTED}: {len(checks)} checks")
    if not options.output:
        return
    options.output.write_text(text, encoding="utf-8")
    committed = COMMITTED.read_text(encoding="utf-8") if COMMITTED.exists() else ""
    ours, theirs = rows_of(text), rows_of(committed)
    for title, rows in (("not in validation/README.md", ours - theirs), ("only in validation/README.md", theirs - ours)):
        for row in sorted(rows):
            print(f"{title}: {' | '.join(row)}")
    if ours != theirs:
        sys.exit(f"make it anew: /usr/bin/python3 {pathlib.Path(__file__).resolve()} {options.checks} --write")
    print(f"{len(ours)} rows, the same as in validation/README.md")


if __name__ == "__main__":
    main()
