"""After the car runs, as a user does it: read a log, retrace it, fit it, decide again.

Run by ctest as: python3 after_the_car_runs.py LAPHEAT SCENARIOS [instrumented]
"""

import json

from driven import INSTRUMENTED, SCENARIOS, SHORT, WORK, lapheat, run_tests

LOGS = SCENARIOS / "logs"
CAR = SCENARIOS / "placements/under_floor.toml"
FITTED = WORK / "fitted.toml"


def test_a_log_is_read_in_units_that_people_use():
    shown = lapheat("log", LOGS / "sunday.csv").stdout
    altitude = [line for line in shown.splitlines() if line.startswith("altitude")][0]
    assert " m " in altitude + " " and "mm" not in altitude, altitude
    in_us = lapheat("log", LOGS / "sunday.csv", "--units", "us").stdout
    assert " ft" in [line for line in in_us.splitlines() if line.startswith("altitude")][0]


def test_a_drive_is_retraced_with_bands_and_a_page():
    page = WORK / "drive.html"
    shown = lapheat("retrace", CAR, "--log", LOGS / "sunday.csv", "--page", page).stdout
    assert "of 100 readings lie in the band" in shown
    assert "in band" in shown
    text = page.read_text()
    assert text.startswith("<!DOCTYPE html>") and "sunday.csv" in text and 'class="nine"' in text
    report = json.loads(lapheat("retrace", CAR, "--log", LOGS / "sunday.csv", "--json").stdout)
    assert report["drawn"] == 32
    for fluid in report["fluids"]:
        assert len(fluid["low"]) == len(fluid["time"])
        assert 0 < fluid["inside"] <= 1
    bare = json.loads(lapheat("retrace", CAR, "--log", LOGS / "sunday.csv", "--draws", "0", "--json").stdout)
    assert bare["drawn"] == 0 and bare["fluids"][0]["inside"] is None
    assert bare["fluids"][0]["model"] == report["fluids"][0]["model"]


def test_what_cannot_be_asked_of_a_drive_is_told_before_it_is_driven():
    log = ("--log", LOGS / "sunday.csv")
    assert "no end that is enough" in lapheat("retrace", CAR, *log, "--draws", "enough", code=2).stderr
    assert "--draws" in lapheat("retrace", CAR, *log, "--draws", "few", code=2).stderr
    assert "--page" in lapheat("retrace", CAR, *log, "--page", WORK, code=2).stderr
    assert "no such" in lapheat("retrace", CAR, "--log", WORK / "none.csv", code=2).stderr.lower()


def test_a_fitted_car_is_decided_upon_again():
    shown = lapheat("fit", CAR, "--log", LOGS / "sunday.csv", "--free", "heat to coolant and oil (engine)",
                    "--write", FITTED).stdout  # fmt: skip
    assert "That is no test" in shown
    assert "[fitted]" in FITTED.read_text()
    places = [SCENARIOS / "placements/under_floor.toml", SCENARIOS / "placements/rear.toml"]
    again = ("compare", *places, "--cycle", SHORT, "--fitted", FITTED, "--draws", "20", "--dry")
    said = lapheat(*again).stdout
    assert "Before the logs and after" in said
    # Of twenty cars shares are told of twenty, not of a hundred.
    said_as_one = " ".join(said.split())
    assert "in all 20 cars like yours where it was all 20" in said_as_one, said_as_one
    # A verdict told twice: of the car as it stood, and as fitted.
    report = json.loads(lapheat(*again, "--json").stdout)
    assert report["certainty"]["draws"] == 20
    lapheat("compare", *places, "--cycle", SHORT, "--fitted", places[0], "--dry", code=2)


if __name__ == "__main__":
    if not INSTRUMENTED:
        run_tests(globals())
