"""What help says, held against what readers take and reports have.

Run by ctest as: python3 what_help_says.py LAPHEAT SCENARIOS [instrumented]
"""

import functools
import json
import re
import subprocess

from driven import LAPHEAT, SCENARIOS, WORK, lapheat, new_car, run_tests

RUN = new_car()


@functools.lru_cache(maxsize=None)
def help_topics():
    return lapheat("--help").stdout.split("tells of:")[1].replace("\n", " ").strip(" .").split(", ")


def help_entries(topic, *options):
    """Each key on the page of a table, with all that stands beside it."""
    found = {}
    for line in lapheat("help", topic, *options, env={"COLUMNS": "10000"}).stdout.splitlines():
        if line.startswith("Kinds;"):
            break
        if name := re.match(r"  (\w+)(?: +(.*))?$", line):
            key, found[name[1]] = name[1], [name[2] or ""]
        elif line.startswith("    ") and found:
            found[key].append(line.strip())
    return {key: " ".join(lines).strip() for key, lines in found.items()}


@functools.lru_cache(maxsize=None)
def plain_tables():
    """Tables that stand in a car's file by their own name."""
    return [topic for topic in help_entries("car") if topic in help_topics()
            and lapheat("help", topic).stdout.startswith(f"[{topic}]\n")]  # fmt: skip


def complaints(name, text):
    """What `check` says of a file that lays `text` over the car at the rear."""
    file = WORK / f"{name}.toml"
    file.write_text(f'extends = "{SCENARIOS / "placements/rear.toml"}"\nplacement = "{name}"\ncycles = []\n{text}')
    done = subprocess.run([LAPHEAT, "check", file], capture_output=True, text=True, cwd=WORK)
    assert done.returncode in (0, 2), done
    return file, done.stderr.splitlines()


def test_help_and_usage():
    assert "Examples" in lapheat("--help").stdout
    project = (SCENARIOS.parent / "CMakeLists.txt").read_text()
    assert re.search(r"project\(lapheat VERSION ([0-9.]+)", project)[1] in lapheat("--version").stdout.split()
    for verb in ("check", "run", "compare", "plumb", "show", "rate", "fluid", "new"):
        assert "Example" in lapheat(verb, "--help").stdout, verb
    topics = help_topics()
    assert {"units", "vehicle", "engine", "gearbox", "converter", "clutch", "shift", "steering", "fans",
            "alternator", "air", "shrouds", "cores", "fluids", "parts", "loops", "limits", "cycles", "courses",
            "faults", "car", "cycle-file", "places", "json"} <= set(topics)
    texts = {topic: lapheat("help", topic).stdout for topic in topics}
    assert len(set(texts.values())) == len(topics)
    # A key of each kind of value, with its unit, range, default and what it is for.
    assert "of the car over the road" in lapheat("help", "vehicle").stdout
    assert "0.52 m (height of the centre of mass)" in lapheat("help", "vehicle").stdout
    assert "louvre_pitch" in lapheat("help", "louvred").stdout
    assert "did you mean 'louvred'" in lapheat("help", "luovred", code=64).stderr
    script = lapheat("completion", "bash").stdout
    for word in ("shrouds", "louvred", "check_valve", "coolant_low", "pull_away"):
        assert f" {word}" in script, word
    lapheat(code=64)
    lapheat("drive", code=64)
    lapheat("run", code=64)
    lapheat("help", "unts", code=64)


def test_help_lists_the_keys_that_the_reader_knows():
    seen = 0
    for topic in plain_tables():
        _, lines = complaints("unknown", f"[{topic}]\nzzzz = 1\n")
        known = [re.search(r"known: (.*)", line)[1].split(", ") for line in lines if f"{topic}.zzzz: unknown key" in line]
        if not known:  # [clutch] and the short tables, which this car has not
            assert topic in ("clutch", "fitted", "radiator", "cooler"), (topic, lines)
            continue
        assert set(help_entries(topic)) == set(known[0]), topic
        seen += 1
    assert seen > 10, seen


def written(text, rule, by=0.0):
    """A bound of help as a file has it, or `by` of it beyond."""
    example = re.search(r'such as "[^ "]+ ?([^"]*)"', rule)
    number, _, unit = text.partition(" ")
    value = float(number)
    if by:
        value += by * abs(value) if value else by * 1e-3
        if "whole number" in rule:
            value = round(float(number) + (1 if by > 0 else -1))
    shown = number if not by else repr(value)
    return f'"{shown} {unit or example[1]}"' if example else shown


def test_what_help_says_a_key_may_be_is_what_the_reader_takes():
    number = r"(-?\d+(?:\.\d+)?(?: [^.,]+?)?)"
    refused = r"\.{}: found .*expected (a whole number|between|at least|more than)"
    held = 0
    for topic in plain_tables():
        for system in ("si", "us"):
            lows, highs, strict = {}, {}, set()
            for key, rule in help_entries(topic, "--units", system).items():
                if "array" in rule or "degC" in rule or "degF" in rule or "Belongs" in rule:
                    continue
                if both := re.search(rf"(?:between|whole number from) {number} (?:and|to) {number}\. [RLB]", rule):
                    lows[key], highs[key] = (both[1], rule), (both[2], rule)
                elif one := re.search(rf", (at least|more than) {number}\. [RLB]", rule):
                    lows[key] = (one[2], rule)
                    if one[1] == "more than":
                        strict.add(key)
            for bounds, by in ((lows, -0.02), (highs, 0.02)):
                if not bounds:
                    continue
                at = "".join(f"{key} = {written(*bound)}\n" for key, bound in bounds.items())
                beyond = "".join(f"{key} = {written(*bound, by)}\n" for key, bound in bounds.items())
                _, inside = complaints("inside", f"[{topic}]\n{at}")
                _, outside = complaints("outside", f"[{topic}]\n{beyond}")
                if not any(f"{topic}." in line for line in outside):
                    assert topic in ("clutch", "fitted", "radiator", "cooler"), (topic, outside)
                    continue
                for key, (text, _) in bounds.items():
                    told = [line for line in inside if re.search(topic + refused.format(key), line)]
                    assert bool(told) == (key in strict), (topic, key, text, system, told)
                    assert any(re.search(topic + refused.format(key), line) for line in outside), (topic, key, text, system)
                    held += 1
    assert held > 150, held


def test_what_help_says_is_taken_for_what_is_left_out_is_taken():
    def numbers(file):
        return {n["path"]: n for n in json.loads(lapheat("car", file, "--json").stdout)["numbers"]}

    left_out = numbers(SCENARIOS / "placements/rear.toml")
    text, keys = "", []
    for topic in plain_tables():
        lines = ""
        for key, rule in help_entries(topic).items():
            default = re.search(r"Left out: (-?\d+(?:\.\d+)?(?: [^.(]*?)?)(?: \(.*?\))?\.( |$)", rule)
            if default and left_out.get(f"{topic}.{key}", {}).get("origin") == "assumed":
                quoted = 'such as "' in rule
                lines += f"{key} = " + (f'"{default[1]}"' if quoted else default[1]) + "\n"
                keys.append(f"{topic}.{key}")
        text += f"[{topic}]\n{lines}" if lines else ""
    file, lines = complaints("stated", text)
    assert not [line for line in lines if "stated.toml:" in line and "warning" not in line], lines
    stated = numbers(file)
    for path in keys:
        assert stated[path]["origin"] == "yours", path
        assert abs(stated[path]["value"] - left_out[path]["value"]) <= 1e-9 * abs(left_out[path]["value"]), path
    assert len(keys) > 30, keys


def test_pages_that_answer_questions_name_what_there_is():
    listed = lapheat("--help").stdout
    verbs = [v for v in re.findall(r"^  ([a-z]+)  ", listed, re.MULTILINE) if v != "help"]
    assert {"run", "compare", "size", "search", "sweep", "plumb", "check", "car"} <= set(verbs), verbs
    options = set().union(*(re.findall(r"--[a-z-]+", lapheat(verb, "--help").stdout) for verb in verbs))
    seen = 0
    for page in ("short", "switch-temperature", "fans-one-or-two", "fan-dies", "hose-size", "size", "verdict", "buy",
                 "sweep", "where"):
        text = lapheat("help", page).stdout
        for verb in re.findall(r"(?<![/\w.])lapheat ([a-z]+)", text):
            assert verb in verbs + ["help"], (page, verb)
        for topic in re.findall(r"lapheat help ([a-z_-]+)", text):
            assert topic == "limits" or lapheat("help", topic).stdout, (page, topic)
        for option in re.findall(r"--[a-z]+(?:-[a-z]+)*", text):
            assert option in options, (page, option)
        # [table]  key = value  key = value
        for table, keys in re.findall(r"^ *\[([a-z_]+)\] +(.*=.*)$", text, re.MULTILINE):
            known = help_entries(table.replace("_", "-") if table.startswith("radiator") else table)
            for key in re.findall(r"(\w+) = ", keys):
                assert key in known, (page, table, key)
                seen += 1
    assert seen > 6, seen


def test_the_page_of_json_names_every_key_of_a_report():
    told = set(re.findall(r"[a-z_0-9]+", lapheat("help", "json").stdout))

    def keys(part):
        if isinstance(part, dict):
            return set(part).union(*map(keys, part.values()))
        return set().union(*map(keys, part)) if isinstance(part, list) else set()

    # What a run cost is told as one thing.
    report = {key: value for key, value in RUN.items() if key != "cost"}
    assert len(keys(report)) > 80
    assert not keys(report) - told, keys(report) - told


run_tests(globals())
print("help says what is so")
