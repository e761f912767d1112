"""What the command answers to what users ask of it: what is written, what is said.

Run by ctest as: python3 command.py LAPHEAT SCENARIOS [instrumented]
"""

import json
import resource
import subprocess
import sys

import h5py
import xarray

from driven import INSTRUMENTED, LAPHEAT, SCENARIOS, SHORT, WORK, files, lapheat, new_car, run_tests, typed

RUN = new_car()


def test_new_runs_at_once():
    before = {p: p.read_bytes() for p in files(WORK / "mycar")}
    lapheat("new", "mycar", code=2)
    assert before == {p: p.read_bytes() for p in files(WORK / "mycar")}
    for placement in sorted((WORK / "mycar/placements").glob("*.toml")):
        lapheat("check", placement)
    assert RUN["ledger"]["closure"] <= 1e-6
    loops = {v["loop"] for v in RUN["verdicts"]}
    assert {"coolant", "transmission", "steering"} <= loops
    # From inside the folder too, where the file that is extended has no folder in its name.
    lapheat("check", "placements/rear.toml", cwd=WORK / "mycar")


ANSWERS = """car = "a roadster"
[engine]
displacement = "2.0 L"
cylinders = 4
peak_power = "140 hp"
[gearbox]
kind = "manual"
gears = 5
"""


def test_new_by_answers():
    answers = WORK / "answers.toml"
    answers.write_text(ANSWERS)
    lapheat("new", "roadster", "--answers", answers)
    text = (WORK / "roadster/car.toml").read_text()
    assert 'displacement = "2.0 L"' in text and 'kind = "manual"' in text
    placements = sorted((WORK / "roadster/placements").glob("*.toml"))
    assert len(placements) == 6 and not any(p.name == "tank.toml" for p in placements)
    for placement in placements:
        lapheat("check", placement)
    lapheat("run", placements[0], "--cycle", SHORT, "--dry", "--json")
    listed = json.loads(lapheat("car", placements[0], "--json").stdout)["numbers"]
    by_path = {n["path"]: n for n in listed}
    assert by_path["engine.displacement"]["origin"] == "yours"
    drag = by_path["vehicle.drag_coefficient"]
    assert drag["origin"] == "derived" and drag["low"] < drag["value"] < drag["high"] and drag["source"]
    assert by_path["vehicle.rolling_resistance"]["origin"] == "assumed"
    shown = lapheat("car", placements[0]).stdout
    assert "derived" in shown and max(map(len, shown.splitlines())) <= 80
    answers.write_text(ANSWERS + 'colour = "red"\n[vehicle]\nmass = "fast"\n')
    done = lapheat("new", "other", "--answers", answers, code=2)
    assert "answers.toml:9" in done.stderr and "answers.toml:11" in done.stderr, done.stderr
    assert not (WORK / "other").exists()


def test_new_by_who_does_not_know():
    answers = WORK / "unknown.toml"
    answers.write_text(ANSWERS.replace("cylinders = 4", 'cylinders = 4\nera = "?"')
                       + '[radiator_fans]\ncount = 1\ndiameter = "16 inch"\nflow = "?"\n')
    lapheat("new", "salvage", "--answers", answers)
    assert "# flow: not known, by its diameter" in (WORK / "salvage/car.toml").read_text()
    placement = WORK / "salvage/placements/front.toml"
    lapheat("check", placement)
    numbers = {n["path"]: n for n in json.loads(lapheat("car", placement, "--json").stdout)["numbers"]}
    flow = numbers["fans.radiator_1.free_flow"]
    # 8.8 m/s through 0.85 of the disc of 16 inch
    assert flow["origin"] == "derived" and abs(flow["value"] - 8.8 * 0.85 * 0.12972) < 1e-3, flow
    answers.write_text(ANSWERS.replace('"2.0 L"', '"?"'))
    assert "nothing else tells this one" in lapheat("new", "vague", "--answers", answers, code=2).stderr


def test_new_without_a_condenser():
    answers = WORK / "no_condenser.toml"
    answers.write_text(ANSWERS + "[radiator]\ncondenser = false\n")
    lapheat("new", "plain", "--answers", answers)
    assert "condenser = false" in (WORK / "plain/car.toml").read_text()
    # Nothing that was written turns the air conditioning on, which such a car does not have.
    for written in sorted((WORK / "plain").rglob("*.toml")):
        assert "air_conditioning" not in written.read_text(), written
    placements = sorted((WORK / "plain/placements").glob("*.toml"))
    for placement in placements:
        lapheat("check", placement)
    (run,) = json.loads(lapheat("run", placements[0], "--cycle", WORK / "plain/cycles/traffic.toml",
                                "--dry", "--json").stdout)["runs"]  # fmt: skip
    assert not [s for s in run["sources"] if "air conditioning" in str(s)], run["sources"]


def test_what_is_assumed_is_listed_once_and_can_be_written():
    placement = SCENARIOS / "short/placements/pickup_front.toml"
    for system in ("si", "us"):
        listed = lapheat("check", "--all", placement, "--units", system).stdout
        table, words = listed.split("Besides, in words\n")
        keys = {(section, line.split()[0]) for section, line in sections(table)}
        for line in words.splitlines():
            if line.startswith("  - ") and " = " in line:
                section, _, key = line[4:].split(" = ")[0].rpartition(".")
                assert (section, key) not in keys, line
        assert "parts[" not in listed and "[1]" not in listed.replace("segments[1]", "")
        assert not any(line.endswith("=") for line in words.splitlines())
    count = int(listed.split(" numbers assumed")[0].split()[-1])
    assert f"not say: {count} numbers" in listed
    assert f"{count} numbers were assumed" in lapheat("run", placement, "--cycle", SHORT, "--dry").stdout
    for system in ("si", "us"):
        mine = WORK / f"mine_{system}.toml"
        said = lapheat("car", placement, "--write", mine, "--units", system).stdout
        assert f"{count} assumed numbers are in" in said and mine.name in said
        assert "pickup_front.toml" in mine.read_text().splitlines()[0]
        # All of them are now numbers of the file, and the car is the same.
        assert lapheat("check", mine).stdout.count(" 0 numbers assumed") == 1
        before, after = (json.loads(lapheat("run", f, "--cycle", SHORT, "--dry", "--json").stdout)["runs"][0]
                         for f in (placement, mine))  # fmt: skip
        for a, b in zip(before["verdicts"], after["verdicts"]):
            assert abs(a["margin"] - b["margin"]) < 0.02, (a, b)
    lapheat("car", placement, "--write", WORK / "missing folder/mine.toml", code=2)


def sections(table):
    """Each line of a table of what is assumed, with the last [heading] above it."""
    section = ""
    for line in table.splitlines():
        if line.startswith("[") and line.rstrip().endswith("]"):
            section = line.strip()[1:-1]
        elif line and not line.startswith(" "):
            yield section, line


def test_a_car_is_told_number_by_number():
    placement = SCENARIOS / "short/placements/pickup_front.toml"
    us = lapheat("car", placement, "--units", "us").stdout
    assert "219.7 in³" in us and '[loops.coolant.runs.engine.parts."water pump"]' in us
    assert "delta_degF" not in us and "parts[" not in us
    numbers = {n["path"]: n for n in json.loads(lapheat("car", placement, "--json").stdout)["numbers"]}
    # What goes with a derived part is none of the builder's numbers.
    for path in ("cores.cooler.circuits.transmission.share", "shift.lockup_gear", "cores.radiator.rows"):
        assert numbers[path]["origin"] == "derived", path
    assert numbers["cores.radiator.width"]["origin"] == "yours"
    short = (SCENARIOS / "short/pickup.toml").read_text()
    keys = {path.rsplit(".", 1)[-1] for path, n in numbers.items() if n["origin"] == "yours"}
    # Two by other names: the claimed flow, and the bore of the lines as sold.
    assert keys - {"free_flow", "inner_diameter"} <= set(short.replace(",", " ").split()), keys


def test_size():
    placement = SCENARIOS / "placements/under_floor.toml"
    common = (placement, "--cycle", SHORT, "--fluid", "transmission")
    report = json.loads(lapheat("size", *common, "--of", "core width", "--json").stdout)
    assert report["answer"] == "all_hold" and report["numbers"][0]["path"] == "cores.cooler.width"
    assert [t["value"] for t in report["tried"]] == sorted(t["value"] for t in report["tried"])
    done = lapheat("size", *common, "--of", "fan flow", "--margin", "300 K", "--strict", code=3)
    assert "comes closest" in done.stdout and "An estimate" in " ".join(done.stdout.split())
    assert "cores.cooler.width" in lapheat("size", *common, "--of", "cores.cooler.widht", code=2).stderr
    assert "range" in lapheat("size", *common, "--of", "core width", "--from", "2 m", "--to", "1 m", code=2).stderr
    lapheat("size", *common, "--of", "core width", "--from", "2 kg", code=2)


def test_new_on_a_terminal():
    said = typed("asked", "a fast one", "5.0 L V8, 300 hp")
    assert said.count("Engine (") == 2 and "'fast' is not understood here" in said, said
    text = (WORK / "asked/car.toml").read_text()
    assert 'displacement = "5.0 L"' in text and 'car = "asked"' in text
    lapheat("check", WORK / "asked/placements/under_floor.toml")


def test_questions_completion_and_manual():
    assert "outlet tank" in lapheat("help", "which switch temperature?").stdout
    assert "fan_dead" in lapheat("help", "what if a fan dies").stdout
    assert "cooler.place" in lapheat("help", "short").stdout
    for shell, word in (("bash", "complete -o filenames"), ("zsh", "compdef _lapheat"), ("fish", "-l units")):
        assert word in lapheat("completion", shell).stdout
    page = lapheat("manual").stdout
    assert page.startswith(".TH LAPHEAT 1") and ".SS compare" in page and "\\-\\-draws" in page


def test_result_opens_in_python():
    path = WORK / RUN["file"]
    with h5py.File(path) as f:
        assert f.attrs["format"] == "lapheat result" and f.attrs["cycle"] == "short"
        count = 0

        def visit(name, item):
            nonlocal count
            if isinstance(item, h5py.Dataset) and item.shape and item.dims[0].keys() == ["time"]:
                assert item.attrs["units"] and item.attrs["long_name"], name
                count += 1

        f.visititems(visit)
        assert count > 20, count
        assert any(b"car.toml" in name for name in f["scenario/file"][:])
    with xarray.open_dataset(path, group="loops/transmission", engine="h5netcdf") as loop:
        assert loop["watched_temperature"].dims == ("time",)
        assert 300 < float(loop["watched_temperature"][-1]) < 500
    with xarray.open_dataset(path, group="verdicts", engine="h5netcdf") as verdicts:
        peak = float(verdicts["peak"].sel(loop="transmission"))
    shown = json.loads(lapheat("show", path, "--json").stdout)["runs"][0]
    (verdict,) = [v for v in shown["verdicts"] if v["loop"] == "transmission"]
    assert verdict["peak"] == peak
    text = lapheat("show", path)
    assert "ledger closes" in text.stdout and "estimate" in text.stdout
    assert "\x1b[" not in text.stdout
    assert 'extends = "../car.toml"' in lapheat("show", path, "--texts").stdout
    assert "°F" in lapheat("show", path, "--units", "us").stdout


def test_everything_that_ships_is_checked():
    shipped = sorted(SCENARIOS.rglob("*.toml"))
    assert len(shipped) > 30
    done = lapheat("check", *shipped)
    assert len(done.stdout.splitlines()) == len(shipped)


def test_plumbing_and_what_lines_cost():
    placement = "mycar/placements/rear.toml"
    listed = json.loads(lapheat("plumb", placement, "--json").stdout)
    hoses = [item for item in listed["plumbing"] if item["what"] == "hose"]
    assert sum(h["length"] for h in hoses) > 10
    assert any(item["what"] == "clamp" and item["count"] > 2 for item in listed["to_buy"])
    text = lapheat("plumb", placement, "--units", "us").stdout
    assert "supply hose" in text and "-6" in text and "ft" in text
    lapheat("plumb", "nothing.toml", code=2)
    report = json.loads(lapheat("run", placement, "--cycle", SHORT, "--lines", "--dry", "--json").stdout)
    costs = {c["part"]: c for c in report["runs"][0]["line_costs"]}
    # A thermal bypass meters the transmission's flow: a longer line costs margin there, and flow where
    # nothing but lines and pump set it.
    assert costs["supply hose"]["margin_per_metre"] > 0 and costs["supply hose"]["margin_per_bend"] > 0
    assert costs["return to cooler"]["flow_per_metre"] > 0 and costs["return to cooler"]["flow_per_bend"] > 0
    assert report["plumbing"] and report["runs"][0]["lines"] and report["runs"][0]["pumps"]
    assert "elbow" in lapheat("run", placement, "--cycle", SHORT, "--lines", "--dry").stdout


def test_rate_takes_a_short_description():
    short = SCENARIOS / "short/pickup.toml"
    maps = {m["core"]: m for m in json.loads(lapheat("rate", short, "--json").stdout)["maps"]}
    assert {"radiator", "cooler.transmission", "cooler.steering"} <= set(maps), maps.keys()
    assert abs(maps["radiator"]["face_area"] - 24 * 17.5 * 0.0254**2) < 1e-6


def test_rate_and_fluid():
    csv, h5 = WORK / "map.csv", WORK / "map.h5"
    placement = SCENARIOS / "placements/rear.toml"
    done = lapheat("rate", placement, "--core", "cooler.transmission", "--inlet", "110 degC", "--csv", csv, "--h5", h5)
    assert "kW" in done.stdout
    rows = csv.read_text().splitlines()
    assert len(rows) == 1 + 4 * 4 and rows[0].startswith("core,first_flow [kg s-1]")
    with h5py.File(h5) as f:
        core = f["cores/cooler.transmission"]
        assert core["heat"].shape == (16,) and core["flags"].shape == (16,)
        # Strip fins in oil: the correlation rests on air, so the band is wide and is told.
        assert core.attrs["uncertainty"] == 0.25
    assert "±25 %" in done.stdout
    column = rows[0].split(",").index("heat_uncertainty [W]")
    first = rows[1].split(",")
    assert abs(float(first[column]) - 0.25 * float(first[5])) < 1e-3
    assert json.loads(lapheat("rate", placement, "--json").stdout)["maps"]
    lapheat("rate", placement, "--core", "no such core", code=2)
    water = json.loads(lapheat("fluid", "water", "--at", "20 degC", "--json").stdout)
    # IAPWS R7-97 at 20 degC and 0.1 MPa: 998.2 kg/m3 (from memory).
    assert abs(water["points"][0]["density"] - 998.2) < 0.2
    assert "Hotter" in lapheat("fluid", "ethylene_glycol", "--at", "170 degC").stdout
    sheet = WORK / "fluids.toml"
    sheet.write_text('[fluids.atf]\nkind = "transmission_fluid"\nviscosity_40 = "28 mm2/s"\nviscosity_100 = "5.9 mm2/s"\n')
    atf = json.loads(lapheat("fluid", "atf", "--file", sheet, "--at", "40 degC", "--json").stdout)
    point = atf["points"][0]
    assert abs(point["viscosity"] / point["density"] - 28e-6) < 1e-8
    assert "data sheet of 'atf'" in atf["sources"]["viscosity"]["source"]
    assert "did you mean 'atf'" in lapheat("fluid", "aft", "--file", sheet, code=2).stderr
    # A fluid hotter than its sheet knows is told in the run's report.
    hot = WORK / "hot.toml"
    hot.write_text(f'extends = "{SCENARIOS / "placements/rear.toml"}"\n[fluids.atf]\nmaximum_temperature = "60 degC"\n')
    assert "Hotter than the sources" in lapheat("run", hot, "--cycle", SHORT, "--dry").stdout
    assert "weight_class" in lapheat("help", "cores").stdout
    assert "data_sheet" in lapheat("help", "fluids").stdout


def test_log():
    folder = WORK / "logs"
    folder.mkdir()
    drive = folder / "sunday.csv"
    rows = ["Time (s);Coolant (degC);Vehicle Speed (km/h);RPM;Odd thing"]
    rows += [f"{t},5;{80 + t // 30};{min(2 * t, 60)};1500;x" for t in range(200)]
    drive.write_text("\n".join(rows) + "\n")
    shown = lapheat("log", drive)
    assert "coolant" in shown.stdout and "Odd thing" in shown.stdout and "decimal commas" in shown.stdout
    told = json.loads(lapheat("log", drive, "--json").stdout)
    assert {c["signal"] for c in told["channels"]} == {"coolant", "speed", "engine_speed"}, told
    assert told["rows"] == 200 and told["decimal_comma"] is True
    # No ambient and no intake air: the drive cannot be made, and the reason is told.
    table = folder / "drive.csv"
    refused = lapheat("log", drive, "--write", table, code=2)
    assert "ambient" in refused.stderr and not table.exists(), refused.stderr
    lapheat("log", drive, "--ambient", "24 degC", "--write", table)
    cycle = folder / "drive.toml"
    cycle.write_text('name = "sunday"\n[[segments]]\nkind = "table"\ntable = "drive.csv"\n')
    lapheat("check", cycle)
    lapheat("log", drive, "--map", "coolnt=Coolant", code=2)
    assert "engine_speed" in lapheat("help", "signals").stdout
    assert "scalds" in lapheat("help", "sensors").stdout


def test_compare():
    page = WORK / "page.html"
    placements = [SCENARIOS / "placements" / f"{name}.toml" for name in ("rear", "under_floor")]
    report = json.loads(lapheat("compare", *placements, "--cycle", SHORT, "--page", page, "--draws", 0, "--json").stdout)
    assert len(report["runs"]) == 2 and len(report["ranking"]) == 2 and report["verdict"]
    assert all((WORK / run["file"]).exists() for run in report["runs"])
    assert page.read_text().lstrip().lower().startswith("<!doctype html>")
    together = WORK / "together.h5"
    one = json.loads(lapheat("compare", *placements, "--cycle", SHORT, "--one-file", together, "--draws", 0, "--json").stdout)
    assert {run["file"] for run in one["runs"]} == {str(together)} and one["ranking"] == report["ranking"]
    assert len(json.loads(lapheat("show", together, "--json").stdout)["runs"]) == 2
    assert report["certainty"] is None
    # By itself it draws; 20 are the fewest, and a run again goes on from them to the same answer.
    sure = WORK / "sure"
    plain = lapheat("compare", *placements, "--cycle", SHORT, "--draws", 20, "--out", sure)
    # The ranking and its verdict are short and last; every table is there for who asks.
    assert len(plain.stdout.splitlines()) < 60 and plain.stdout.index("Cautions") < plain.stdout.index("Ranking")
    assert "What binds" not in plain.stdout and "compare --all" in plain.stdout
    full = lapheat("compare", *placements, "--cycle", SHORT, "--draws", 20, "--out", sure, "--all").stdout
    for table in ("What binds", "Lines: mean flow", "Rule: ", "What each place costs", "cycle by cycle",
                  "What to measure next", "What your gauges should show", "Wiring, as guidance"):
        assert table in full, table
    assert full.index("What binds") < full.index("best first: 20 cars like yours"), full
    assert "Ranking" in plain.stdout and "20 cars like yours" in plain.stdout and (sure / "draws.h5").exists()
    # A page may go into the folder of results, which is made on the way.
    new = WORK / "new"
    lapheat("compare", *placements, "--cycle", SHORT, "--draws", 0, "--out", new, "--page", new / "page.html")
    assert (new / "page.html").exists() and len(files(new)) == 3
    drawn = json.loads(lapheat("compare", *placements, "--cycle", SHORT, "--out", sure, "--draws", 24, "--json").stdout)
    assert drawn["certainty"]["draws"] == 24 and drawn["certainty"]["runs"] == 48
    anew = json.loads(lapheat("compare", *placements, "--cycle", SHORT, "--draws", 24, "--threads", 1, "--dry",
                              "--out", WORK / "none", "--json").stdout)
    assert anew["certainty"] == drawn["certainty"] and not (WORK / "none").exists()
    again = lapheat("compare", *placements, "--cycle", SHORT, "--dry", "--help").stdout
    assert "(64)" in again
    for bad in ("19", "many", "-3"):
        assert "--draws" in lapheat("compare", *placements, f"--draws={bad}", code=2).stderr
    with xarray.open_dataset(sure / "draws.h5", engine="h5netcdf") as table:
        assert table.sizes["draw"] == 24 and len(table.attrs["placements"]) == 2 and "margin" in table, table


def test_strict():
    hot = WORK / "mycar/placements/strict.toml"
    hot.write_text('extends = "rear.toml"\nplacement = "strict"\n[loops.transmission.limits]\nlimit = "60 degC"\n'
                   'caution = "50 degC"\n')
    lapheat("run", hot, "--cycle", SHORT, "--dry")
    lapheat("run", hot, "--cycle", SHORT, "--dry", "--strict", code=3)
    hot.unlink()


def test_search():
    """A page and the JSON say the same; a list with a mistake is one error with its place, and no page is left."""
    offers, page = WORK / "offers.csv", WORK / "buy.html"
    offers.write_text("what, width [mm], price [EUR]\nnarrow, 200, 60\nwide, 340, 128\n")
    search = ["search", SCENARIOS / "placements/under_floor.toml", "--parts", f"cooler={offers}", "--cycle", SHORT,
              "--page", page, "--json"]
    found = json.loads(lapheat(*search).stdout)
    assert found["page"] == str(page) and found["choices"] == 2
    assert found["front"][found["answer"]]["choice"] in page.read_text()
    page.unlink()
    for wrong, says in (("what, width [mm], price [EUR]\nnarrow, 200,\n", ":2:"),
                        ("what, width [kg], price [EUR]\nnarrow, 200, 60\n", ":1:"),
                        ("what, price [EUR]\n", "offer")):
        offers.write_text(wrong)
        error = lapheat(*search, code=2).stderr
        assert str(offers) in error and says in error, error
        assert not page.exists()


def test_completion():
    script = WORK / "completion.bash"
    script.write_text(lapheat("completion", "bash").stdout)
    ask = f"source {script}; COMP_WORDS=(lapheat c); COMP_CWORD=1; _lapheat; echo ${{COMPREPLY[@]}}"
    words = subprocess.run(["bash", "-c", ask], capture_output=True, text=True, check=True).stdout.split()
    assert {"check", "compare", "car", "completion"} == set(words), words


def test_start_up():
    """A few bare starts of Python, its peer in the same run, at most: nothing is made that is not asked for."""
    if INSTRUMENTED:
        return

    def processor_time(*command):
        least = 1e9
        for _ in range(10):
            before = resource.getrusage(resource.RUSAGE_CHILDREN)
            subprocess.run([*map(str, command)], capture_output=True, check=True)
            after = resource.getrusage(resource.RUSAGE_CHILDREN)
            least = min(least, after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        return least

    ours = processor_time(LAPHEAT, "fluid", "water", "--at", "90 degC", "--quiet")
    peer = processor_time(sys.executable, "-c", "pass")
    print(f"start-up: {1e3 * ours:.1f} ms of processor time, {ours / peer:.2f} of a bare start of Python")
    assert ours < 3 * peer, (ours, peer)


run_tests(globals())
print("the command does as it says")
