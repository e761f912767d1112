#!/usr/bin/env python3
"""Multiplies each relation of the library by a factor and lists the rows that notice.

    sensitivity.py [--factor 1.03] [--only NAME ...] [--rooms ROOM ...] [--everywhere] [--write]

Builds the check programs once more, with LAPHEAT_PERTURB, into build/perturb; there the environment
variable of the same name puts a factor on one relation. A row notices when it fails although it
passed, or when its figure moves by more than a tenth of what is allowed: then the test of the table
fails. --write keeps the counts in validation/sensitivity.json, which report.py shows. It takes
minutes, so it is run on request and not with the tests. Exit code 1: a relation that no outside row
notices.
"""
import argparse
import collections
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parent
BUILD = ROOT / "build" / "perturb"
NAMES = ROOT / "libsim/solve/include/lapheat/solve/relation.hpp"
ROOMS = ["fluids", "exchangers", "hydraulics", "airflow", "drive", "heat"]  # model: whole cars, slow
OUTSIDE = ("measured", "published", "library", "closed form")


def relations():
    return re.findall(r'\{Relation::\w+,\s*"(\w+)",', NAMES.read_text(encoding="utf-8"))


def build(rooms):
    targets = [f"check_{room}" for room in rooms]
    cache = [f"-DCMAKE_{lang}_COMPILER_LAUNCHER=ccache" for lang in ("C", "CXX")] if shutil.which("ccache") else []
    for command in (["cmake", "-S", ROOT, "-B", BUILD, "-G", "Ninja", "-DCMAKE_BUILD_TYPE=Release",
                     "-DLAPHEAT_PERTURB=ON", "-DLAPHEAT_PYTHON=OFF", "-DLAPHEAT_BENCH=OFF", *cache],
                    ["cmake", "--build", BUILD, "--target", *targets]):
        if subprocess.run(command, stdout=subprocess.DEVNULL, check=False).returncode:
            sys.exit(f"failed: {' '.join(map(str, command))}")


def hooked():
    """Of each relation that the library hands through perturbed(), the rooms where it does."""
    found = collections.defaultdict(set)
    for path in (ROOT / "libsim").rglob("*.[ch]pp"):
        if path.parent.name != "solve":
            for name in re.findall(r"Relation::(\w+)", path.read_text(encoding="utf-8")):
                found[name].add(path.relative_to(ROOT / "libsim").parts[0])
    return found


def run(rooms, perturb=None):
    """Rows of one run, by their titles."""
    rows = {}
    with tempfile.TemporaryDirectory() as folder:
        for room in rooms:
            lines = pathlib.Path(folder) / f"{room}.jsonl"
            environment = dict(os.environ, LAPHEAT_CHECKS=str(lines))
            environment.pop("LAPHEAT_PERTURB", None)
            if perturb:
                environment["LAPHEAT_PERTURB"] = perturb
            subprocess.run([BUILD / "validation" / f"check_{room}"], env=environment, check=False,
                           stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            if lines.exists():
                for line in lines.read_text(encoding="utf-8").splitlines():
                    check = json.loads(line)
                    check["room"] = room
                    rows[check["kind"], check["topic"], check["quantity"], check["source"]] = check
    return rows


def difference(check):
    if check["ours"] is None or check["outside"] is None:
        return float("nan")
    return check["ours"] - check["outside"]


def noticing(base, changed):
    """Rows that notice: those that now fail first."""
    failing, moving = [], []
    for key, before in base.items():
        after = changed.get(key)
        if after is None or (before["pass"] and not after["pass"]):
            failing.append(key)
        elif not abs(difference(after) - difference(before)) <= 0.1 * before["allowed"]:
            moving.append(key)
    return failing, moving


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--factor", type=float, default=1.03)
    parser.add_argument("--only", nargs="*", help="relations, by name")
    parser.add_argument("--rooms", nargs="*", default=ROOMS)
    parser.add_argument("--everywhere", action="store_true",
                        help="run every room's rows for each relation, not only those of its own room")
    parser.add_argument("--write", action="store_true", help="keep the counts for the report")
    options = parser.parse_args()

    build(options.rooms)
    base = run(options.rooms)
    if not base:
        sys.exit("no rows: the check programs did not run")
    again = noticing(base, run(options.rooms))
    if any(again):
        sys.exit(f"rows differ from run to run without any change: {again}")
    in_library = hooked()
    result, unchecked = {}, []
    for name in options.only or relations():
        if name not in in_library:
            print(f"{name}: not handed through perturbed() in the library")
            result[name] = {"by_kind": {}, "failing": 0, "hooked": False}
            continue
        rooms = [r for r in options.rooms if options.everywhere or r in in_library[name]]
        changed = run(rooms, f"{name}:{options.factor}")
        failing, moving = noticing({key: row for key, row in base.items() if row["room"] in rooms}, changed)
        kinds = collections.Counter(key[0] for key in failing + moving if key[0] in OUTSIDE)
        result[name] = {"by_kind": dict(sorted(kinds.items())), "failing": len(failing), "hooked": True}
        words = ", ".join(f"{n} {kind}" for kind, n in sorted(kinds.items())) or "no row"
        print(f"{name} x {options.factor}: noticed by {words}; {len(failing)} of them fail")
        for key in failing + moving:
            print(f"    {'fails' if key in failing else 'moves'}: {key[1]}: {key[2]} ({key[0]})")
        if not kinds:
            unchecked.append(name)
        sys.stdout.flush()
    print(f"{len(result)} relations; noticed by no outside row: {', '.join(unchecked) or 'none'}")
    if options.write:
        kept = HERE / "sensitivity.json"
        if options.only and kept.exists():
            result = json.loads(kept.read_text(encoding="utf-8"))["noticed"] | result
        kept.write_text(
            json.dumps({"factor": options.factor, "noticed": result}, indent=1) + "\n",
            encoding="utf-8")
    sys.exit(1 if unchecked else 0)


if __name__ == "__main__":
    main()
