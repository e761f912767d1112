"""The first ten minutes with the command: answers as people give them, and what they are told.

Run by ctest as: python3 first_minutes.py LAPHEAT SCENARIOS [instrumented]
"""

import json
import re
import tomllib

from driven import SCENARIOS, SHORT, WORK, lapheat, run_tests, typed


def answered(name, answers):
    """The car, as read from its file, and its text, that `new` writes to these answers."""
    sheet = WORK / f"{name}_answers.toml"
    sheet.write_text(answers)
    lapheat("new", name, "--answers", sheet)
    text = (WORK / name / "car.toml").read_text()
    return tomllib.loads(text), text


def numbers(file):
    return {n["path"]: n for n in json.loads(lapheat("car", file, "--json").stdout)["numbers"]}


def test_answers_in_the_words_of_the_questions():
    car, text = answered("worded", '[engine]\ncylinders = "V6"\npeak_power = "125 kW at 6000 rev/min"\nera = 2012\n'
                         '[gearbox]\nkind = "auto"\ngears = "five"\n[radiator]\ncondenser = "no"\n'
                         '[radiator_fans]\ncount = "two"\n[cooler]\nkind = "Stacked plates"\n')  # fmt: skip
    assert car["engine"]["cylinders"] == 6 and car["engine"]["era"] == "modern" and "# 2012" in text
    assert car["engine"]["peak_power"] == "125 kW" and car["engine"]["peak_power_speed"] == "6000 rev/min"
    assert car["gearbox"] == {"kind": "automatic", "gears": 5}
    assert car["radiator"]["condenser"] is False and car["radiator_fans"]["count"] == 2
    assert car["cooler"]["kind"] == "louvred"
    placement = WORK / "worded/placements/under_floor.toml"
    lapheat("check", placement)
    # What hangs on the speed of peak power follows the one that was given.
    found = numbers(placement)
    assert abs(found["engine.redline"]["value"] / found["engine.peak_power_speed"]["value"] - 1.1) < 1e-3
    assert found["engine.peak_power_speed"]["origin"] == "yours"
    kinds = {"bar and plate": "bar_plate", "plates and bars": "bar_plate", "a tube": "plate_fin",
             "stacked plate": "louvred", "plate-fin": "plate_fin"}  # fmt: skip
    for i, (said, means) in enumerate(kinds.items()):
        assert answered(f"kind{i}", f'[cooler]\nkind = "{said}"\n')[0]["cooler"]["kind"] == means, said
    for said, means in ((1965, "classic"), (1980, "classic"), (1987, "classic"), (1988, "modern"), (1995, "modern")):
        car, text = answered(f"era{said}", f"[engine]\nera = {said}\n")
        assert car["engine"]["era"] == means, said
        assert ("the nearer" in text) == (1980 < said < 1995), text
    sheet = WORK / "no_answer.toml"
    none = ('[radiator]\ncondenser = "perhaps"', '[cooler]\nkind = "plate"', '[engine]\nera = "1885"',
            '[gearbox]\ngears = "two or three"', '[engine]\npeak_power = "300 hp at the wheels"',
            '[engine]\npeak_power = "300 hp @ 5500"\nredline = "5000 rpm"')  # fmt: skip
    for i, wrong in enumerate(none):
        sheet.write_text(wrong + "\n")
        said = lapheat("new", f"none{i}", "--answers", sheet, code=2).stderr
        assert f"no_answer.toml:{len(wrong.splitlines())}:" in said, (wrong, said)
        assert not (WORK / f"none{i}").exists()


def test_what_is_not_known_is_derived_and_said_so():
    said = typed("typed", "", "", "", "300 hp @ 5,200", "5000 rpm", "5600 rpm", "1990")
    assert "below the speed of peak power" in said and "taken as modern: 1990, between" in said, said
    assert said.count("enter if you do not know") >= 3, said
    text = (WORK / "typed/car.toml").read_text()
    assert 'redline = "5600 rpm"' in text and "# rows: not known, 2 from" in text and "# fins: not known, 13" in text
    questions = len(re.findall(r"\[[^\]\n]+\]: ", said)) - 1  # one was asked twice
    readme = (SCENARIOS.parent / "README.md").read_text()
    assert f"`new` asks {questions} things" in readme, questions
    # A redline alone bounds the speed of peak power that is derived: a low one is no error.
    answered("low", '[engine]\nredline = "4000 rpm"\n')
    found = numbers(WORK / "low/placements/front.toml")
    assert found["engine.redline"]["value"] > 1.09 * found["engine.peak_power_speed"]["value"]
    _, text = answered("unsaid", '[engine]\nredline = "?"\n')
    assert "# redline: not known, 1.1 times the speed of peak power" in text


def test_what_new_writes_says_what_is_in_it():
    answered("hot", '[radiator]\ncondenser = false\n[surroundings]\nambient = "43 degC"\n')
    answered("cool", "[radiator]\ncondenser = true\n")
    for cycle in ("highway_grade", "traffic", "lap_session"):
        for name, ambient in (("hot", "43 degC"), ("cool", "38 degC")):
            text = (WORK / name / f"cycles/{cycle}.toml").read_text()
            assert tomllib.loads(text)["surroundings"]["ambient"] == ambient, text
            comments = "\n".join(line for line in text.splitlines() if line.startswith("#"))
            kinds = {segment["kind"] for segment in tomllib.loads(text)["segments"]}
            assert ("air conditioning" in comments) == ("air_conditioning" in text), text
            assert ("soak" in comments) == ("soak" in kinds), text
    assert "condenser" not in (WORK / "hot/placements/front.toml").read_text()
    assert "behind the condenser. " in (WORK / "cool/placements/front.toml").read_text()
    for written in sorted((WORK / "hot/placements").glob("*.toml")):
        lapheat("check", written)


def test_a_question_is_answered_by_its_page_or_by_none():
    pages = {"is the small cooler enough?": "How small a core", "do all fluids hold?": "Do all fluids hold",
             "One big fan or two small ones?": "One big fan", "where should the cooler go?": "Where do I put",
             "what should I buy": "What should I buy", "which hose size?": "Which hose size",
             "how big must the radiator be?": "How small a core", "is my result safe?": "Do all fluids hold",
             "what if a fan fails?": "What if a fan dies"}  # fmt: skip
    for asked, page in pages.items():
        assert lapheat("help", asked).stdout.startswith(page), asked
    for asked in ("is the moon made of cheese?", "how do I paint the small cooler green?", "what is it?"):
        said = lapheat("help", asked, code=64)
        assert not said.stdout and "no page answers that" in said.stderr, asked
        assert said.stderr.count("lapheat help ") > 9, said.stderr
    nearest = lapheat("help", "how do I paint the small cooler green?", code=64).stderr.splitlines()[1]
    assert "lapheat help size" in nearest, nearest
    assert "fans run" in " ".join(lapheat("help", "where").stdout.split())


def test_an_open_course_is_not_lapped():
    answered("open", "")
    cycle = WORK / "open/cycles/lap_session.toml"
    whole = cycle.read_text()
    placements = sorted((WORK / "open/placements").glob("*.toml"))
    for key, written in (("laps_for", 'laps_for = "20 min"'), ("laps", "laps = 3"),
                         ("cool_lap_speed", 'runs = 2\ncool_lap_speed = "60 km/h"')):  # fmt: skip
        cycle.write_text(whole.replace("runs = 8", written))
        for verb in ("check", "compare"):
            lines = [line for line in lapheat(verb, *placements, code=2).stderr.splitlines() if "cone course" in line]
            assert len(lines) == 1 and f"segments[1].{key}" in lines[0], lines
            assert "runs = " in lines[0] and "wait = " in lines[0] and '"road_circuit"' in lines[0], lines
    every = lapheat("check", *placements, code=2).stderr
    assert every.count("bad: as told above") == len(placements) - 1, every
    report = json.loads(lapheat("check", *placements, "--json", code=2).stdout)
    assert all(not file["good"] and file["problems"] for file in report["files"])
    cycle.write_text(whole.replace("runs = 8", 'laps_for = "5 min"').replace("cone_course", "road_circuit"))
    lapheat("check", placements[0])
    told = {line.split()[0]: line for line in lapheat("help", "laps").stdout.splitlines() if line.strip()}
    assert " open" in told["cone_course"] and " closed" in told["road_circuit"]
    metres = {name: float(told[name].replace(",", "").split()[1]) for name in ("cone_course", "road_circuit")}
    # As course.cpp and course.hpp say: about 820 m between cones, a circuit of some 3 km.
    assert 750 < metres["cone_course"] < 900 and 2500 < metres["road_circuit"] < 3500, metres


def test_help_and_the_car_count_the_same_fins():
    answered("bare", "")
    fins = numbers(WORK / "bare/placements/front.toml")["cores.radiator.fins"]
    inch = re.search(r"(\d+) to the inch", " ".join(lapheat("help", "radiator").stdout.split()))
    assert fins["origin"] == "derived" and round(fins["value"] * 0.0254) == int(inch[1]), (fins, inch)


run_tests(globals())
print("the first minutes go as they should")
