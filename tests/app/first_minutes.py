"""The first ten minutes with the command: answers as people give them, and what they are told.

Run by ctest as: python3 first_minutes.py LAPHEAT SCENARIOS [instrumented]
"""

import json
import re
import signal
import tomllib

from driven import INSTRUMENTED, SCENARIOS, SHORT, WORK, lapheat, run_tests, typed


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


def test_a_phrase_answers_several_keys():
    """What builders type, with what each gives; what is not certain is asked, not guessed."""
    said = typed("typed", "5.7 L V8, 300 hp @ 5,200, redline 5000", "5.7 L V8, 300 hp @ 5,200, redline 5600, 1990")
    assert "below the speed of peak power" in said and "modern: 1990, between" in said, said
    text = (WORK / "typed/car.toml").read_text()
    assert 'redline = "5600 rpm"' in text and "# rows: not known, 2 from" in text and "# fins: not known, 13" in text
    asked = set(re.findall(r"(\d+)/10 ", said))
    assert asked == {str(n) for n in range(1, 11)}, asked
    readme = (SCENARIOS.parent / "README.md").read_text()
    assert "asks ten things" in readme and "Ten questions" in said
    said = typed("metric", "2.8 litre straight six, 125 kW at 5600 rpm", "5-speed manual", "1320", "1320 kg", "2620",
                 "205/60R15", "620 x 410 x 40", "1 x 400 mm, 2800 m3/h", "no", "280 by 200 by 40", "35")
    assert "in lb or kg?" in said and "620 mm, 410 mm, 40 mm" in said and "taken as 2620 mm" in said, said
    car = tomllib.loads((WORK / "metric/car.toml").read_text())
    assert car["engine"]["cylinders"] == 6 and car["gearbox"] == {"kind": "manual", "gears": 5}
    assert car["radiator"]["width"] == "620 mm" and car["cooler"]["depth"] == "40 mm" and car["units"] == "si"
    assert car["radiator_fans"] == {"count": 1, "diameter": "400 mm", "flow": "2800 m3/h"}
    traffic = tomllib.loads((WORK / "metric/cycles/traffic.toml").read_text())
    assert traffic["surroundings"]["ambient"] == "35 degC"
    said = typed("inches", "350 V-8 1969 270hp", "3 speed auto", "3,500 lbs", "110", "215/70R15", "28 x 17.5 x 2.25",
                 "single 18 in, no idea", "single 18 in", "yes", "11 x 8 x 1.5", "100F",
                 "rows 3, cooler stacked plates, lines -8, colour red")
    assert "taken as 28 inch, 17.5 inch, 2.25 inch" in said and "taken as 11 inch, 8 inch" in said, said
    assert "'no' is not understood here" in said and "'colour red' begins with none" in said, said
    text = (WORK / "inches/car.toml").read_text()
    car = tomllib.loads(text)
    assert car["engine"]["displacement"] == "350 cid" and car["engine"]["era"] == "classic" and car["units"] == "us"
    assert car["radiator"]["rows"] == 3 and car["cooler"]["kind"] == "louvred" and car["cooler"]["line"] == "-8"
    assert "# flow: not known" in text
    said = typed("casual", "4.8L V8 295hp 2006", "4 speed auto with overdrive", "1500 kg", '102"', "P205/70R14",
                 '22"x16"x1.5"', '2 fans, 11" 900cfm', "none", "12x6x3/4 in", "105 degrees", "lines 3/8 hose", "lines 3/8 in")
    assert "taken as 105 degF" in said and "lines 3/8 hose: " in said, said
    car = tomllib.loads((WORK / "casual/car.toml").read_text())
    assert car["radiator"]["condenser"] is False and car["cooler"]["line"] == "3/8 in" and car["radiator_fans"]["count"] == 2
    typed("blown", "2.0 turbo 4 cyl 200hp", "6 speed auto")
    car = tomllib.loads((WORK / "blown/car.toml").read_text())
    assert car["engine"]["boosted"] is True and car["engine"]["cylinders"] == 4, car
    assert car["engine"]["displacement"] == "2.0 L" and car["engine"]["era"] == "modern", car
    # What is said of one key in the words of several is told apart in a file of answers too.
    car, _ = answered("litres", '[engine]\ndisplacement = "5.3 litre V8"\npeak_power = "260 kW"\nredline = "6000"\n')
    assert car["engine"]["displacement"] == "5.3 litre" and car["engine"]["redline"] == "6000 rpm"
    sheet = WORK / "uncertain.toml"
    for key, wrong, told in (("vehicle.mass", "3300", "in lb or kg?"), ("engine.peak_power", "300", "in hp or kW?"),
                             ("engine.displacement", "1998 V4", "'V4'"), ("radiator_fans.flow", "1250", "in cfm"),
                             ("vehicle.tyre", "205 sixty 15", "225/50R16"), ("engine.displacement", "5.3 V8 m", "'V8 m'")):
        table, name = key.split(".")
        sheet.write_text(f'[{table}]\n{name} = "{wrong}"\n')
        error = lapheat("new", "uncertain", "--answers", sheet, code=2).stderr
        assert ":2:" in error and told in error, (wrong, error)


def test_the_readme_is_answered_as_it_says():
    """Its lines are typed where it has them, and none of them is asked back."""
    text = (SCENARIOS.parent / "README.md").read_text()
    shown = {int(n): said for n, said in re.findall(r"^    (\d+)/10 [^:\n]+: (.+)$", text, re.M)}
    assert len(shown) >= 3, shown
    said = typed("shown", *(shown.get(n, "") for n in range(1, 11)))
    assert all(said.count(f"{n}/10 ") == 1 for n in range(1, 11)), said
    before_the_ranking = text[: text.index("Ranking, the best first")]
    assert len(before_the_ranking.split()) <= 350


def test_what_nobody_said_is_marked_so():
    said = typed("half", "5.3 litre V8", "", "?", "auto", "4")
    assert "  peak power [300 hp]: " in said and "  forward gears [4]: " in said and "Nothing else tells it" in said
    lines = (WORK / "half/car.toml").read_text().splitlines()
    marked = {line.split(" = ")[0]: "not said" in line for line in lines if " = " in line}
    assert not marked["displacement"] and not marked["cylinders"] and not marked["gears"] and not marked["car"]
    assert marked["peak_power"] and marked["mass"] and marked["width"] and "not said" not in lines[0]


def test_a_folder_may_be_called_anything():
    for name in ('24" wheels', "back\\slash", "two\nlines"):
        typed(name)
        car = tomllib.loads((WORK / name / "car.toml").read_text())
        assert car["car"] == name.replace("\n", "?"), car["car"]
        lapheat("check", WORK / name / "placements/front.toml")


def test_ctrl_c_at_a_question_writes_nothing():
    said = typed("left", keys=b"", stop_at="1/10", code=-signal.SIGINT)
    assert "2/10" not in said and not (WORK / "left").exists(), said


def test_new_drives_the_car_and_ends_with_the_verdict():
    """Ctrl-C in the middle of it gives the answer so far."""
    if INSTRUMENTED:
        return
    said = typed("driven", options=(), stop_at=r"\] +([6-9]|\d\d) %")
    assert "the best first" in said and said.index("Cautions") < said.index("the best first"), said[-3000:]
    assert "none of 0" not in said and "nan" not in said.split("the best first")[1], said[-3000:]
    assert (WORK / "driven/comparison.html").exists() and any((WORK / "driven/results").glob("*.h5"))


def test_reports_are_in_the_units_of_the_answers():
    answered("pounds", '[vehicle]\nmass = "3450 lbs"\nwheelbase = "106 inch"\n')
    placement = WORK / "pounds/placements/front.toml"
    ours, other = (lapheat("run", placement, "--cycle", SHORT, "--out", "pounds/out", *more).stdout
                   for more in ((), ("--units", "si")))  # fmt: skip
    assert "°F" in ours and "°C" not in ours and "°C" in other and "°F" not in other
    (result,) = (WORK / "pounds/out").glob("*.h5")
    assert "°F" in lapheat("show", result).stdout and "°C" in lapheat("show", result, "--units", "si").stdout
    for verb in ("car", "plumb", "rate"):
        shown = lapheat(verb, placement).stdout
        assert shown == lapheat(verb, placement, "--units", "us").stdout != lapheat(verb, placement, "--units", "si").stdout
    wrong = WORK / "pounds/placements/wrong.toml"
    wrong.write_text('extends = "front.toml"\nunits = "imperial"\n')
    assert "wrong.toml:2" in lapheat("check", wrong, code=2).stderr


def test_what_is_not_known_is_derived_and_said_so():
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
