"""The command in trouble: bad input, words that are near, disks that are full, interrupts, kills.

Run by ctest as: python3 trouble.py LAPHEAT SCENARIOS [instrumented]
"""

import json
import os
import resource
import signal
import subprocess
import time

import h5py
import xarray

from driven import LAPHEAT, SCENARIOS, SHORT, WORK, files, lapheat, new_car, run_tests

RUN = new_car()


def test_bad_input_touches_nothing():
    placement = WORK / "mycar/placements/bad.toml"
    placement.write_text('extends = "../car.toml"\nplacement = "bad"\n[engine]\npeak_torqe = "520 N m"\n'
                         'redline = "6200 kg"\n')
    out = WORK / "untouched"
    for verb in ("run", "compare"):
        done = lapheat(verb, placement, "--cycle", SHORT, "--out", out, code=2)
        lines = done.stderr.strip().splitlines()
        assert len(lines) >= 2, lines
        assert any("bad.toml:5:" in line and "redline" in line for line in lines), lines
        assert any("bad.toml:4:" in line and "peak_torque" in line for line in lines), lines
        assert not out.exists()
    report = json.loads(lapheat("check", placement, "--json", code=2).stdout)
    assert not report["files"][0]["good"] and report["files"][0]["problems"][0]["line"] > 0
    lapheat("run", WORK / "missing.toml", "--out", out, code=2)
    lapheat("fluid", "watr", code=2)
    lapheat("fluid", "water", "--at", "90 kg", code=2)
    assert not out.exists()
    # An old result stays as it was when the new input is bad.
    old = WORK / "lapheat-results"
    before = {p: p.read_bytes() for p in files(old)}
    lapheat("run", placement, "--cycle", SHORT, code=2)
    assert before and before == {p: p.read_bytes() for p in files(old)}
    placement.unlink()


def test_words_near_to_what_was_meant():
    assert "did you mean 'run'?" in lapheat("rnu", code=64).stderr
    assert "did you mean 'compare'?" in lapheat("compar", "x", code=64).stderr
    assert "did you mean '--units'?" in lapheat("run", "x", "--unit", "us", code=64).stderr
    assert "there is no verb 'xylophone'" in lapheat("xylophone", code=64).stderr
    for called in ("atf", "ATF", "transmission-fluid"):
        assert lapheat("fluid", called).stdout == lapheat("fluid", "transmission_fluid").stdout
    assert "generic steering fluid" in lapheat("fluid", "psf").stdout
    assert "did you mean" not in lapheat("fluid", "lemonade", code=2).stderr


def test_first_line_is_the_cause():
    def first(text, name="cause.toml"):
        (WORK / name).write_bytes(text)
        return lapheat("check", name, code=2).stderr.splitlines()

    assert first(b'car = "x"\nengine = {\n')[0].startswith("cause.toml:2:")
    lines = first("car = \"x\"\n".encode("utf-16"))
    assert "UTF-16" in lines[0] and len(lines) == 1, lines
    lines = lapheat("check", "nowhere.toml", code=2).stderr.splitlines()
    assert "cannot read" in lines[0] and len(lines) == 1, lines
    # A placement that makes something wrong is named, not the car that it extends.
    base = SCENARIOS / "placements" / "rear.toml"
    lines = first(f'extends = "{base}"\nplacement = "x"\n[cores.cooler]\nkind = "louvred"\n'.encode())
    assert lines[0].startswith("cause.toml:4:"), lines


def test_an_answer_that_cannot_be_written_is_a_failed_run():
    # A shell, so that standard output is what a person would have put there.
    run = f"{LAPHEAT} run mycar/placements/rear.toml --cycle {SHORT} --dry"
    for command in (run, run + " --json", f"{LAPHEAT} help units", f"{LAPHEAT} --help", f"{LAPHEAT} help"):
        for where, word in ((">/dev/full", "No space left"), (">&-", "Bad file descriptor")):
            done = subprocess.run(f"{command} {where}", shell=True, cwd=WORK, capture_output=True, text=True)
            assert done.returncode == 1 and word in done.stderr, (command, where, done)
        # A reader who has seen enough is no error.
        done = subprocess.run(f"set -o pipefail; {command} | head -c 1 >/dev/null", shell=True, cwd=WORK,
                              executable="/bin/bash", capture_output=True, text=True)
        assert done.returncode in (0, 141) and not done.stderr, (command, done)


def test_files_that_cannot_be_written_are_told_and_nothing_is_left():
    folder = WORK / "narrow"
    folder.mkdir()
    page = folder / "page.html"
    page.write_text("old")
    compare = f"{LAPHEAT} compare mycar/placements/rear.toml --cycle {SHORT} --dry --quiet --page"
    done = subprocess.run(f"ulimit -f 8; {compare} {page}", shell=True, cwd=WORK, executable="/bin/bash",
                          capture_output=True, text=True)
    assert done.returncode == 1 and "File too large" in done.stderr, done
    assert page.read_text() == "old" and files(folder) == [page]
    done = subprocess.run(f"ulimit -f 8; {LAPHEAT} run mycar/placements/rear.toml --cycle {SHORT} --out {folder}",
                          shell=True, cwd=WORK, executable="/bin/bash", capture_output=True, text=True)
    assert done.returncode == 1 and "File too large" in done.stderr, done
    assert files(folder) == [page]
    # What is no file is refused before the runs, not after them.
    begun = time.monotonic()
    os.mkfifo(folder / "pipe")
    for target in ("/dev/full", folder / "pipe", folder, folder / "none" / "page.html"):
        done = lapheat("compare", "mycar/placements/rear.toml", "--dry", "--page", target, code=2)
        assert "cannot write" in done.stderr, done.stderr
    assert time.monotonic() - begun < 60
    assert (folder / "pipe").is_fifo()


def test_terminal_and_targets():
    base = SCENARIOS / "placements" / "rear.toml"
    wild = WORK / "wild.toml"
    wild.write_text(f'extends = "{base}"\nplacement = "a\\u001b]0;x\\u0007b"\n')
    said = lapheat("run", wild, "--cycle", SHORT, "--dry")
    assert "\x1b" not in said.stdout + said.stderr and "\x07" not in said.stdout + said.stderr
    wild.write_text(f'extends = "{base}"\nplacement = "a\\u001b[8mhidden\\u001b[31mred"\n')
    said = lapheat("run", wild, "--cycle", SHORT, "--dry")
    assert "hidden" in said.stdout and "\x1b" not in said.stdout + said.stderr
    # Names that file names do not tell apart keep a file each, and a rerun takes its own.
    for name in ("a b", "a_b", "a b"):
        wild.write_text(f'extends = "{base}"\nplacement = "{name}"\n')
        lapheat("run", wild, "--cycle", SHORT, "--out", "both", "--quiet")
    assert [p.name for p in files(WORK / "both")] == ["a_b-short-2.h5", "a_b-short.h5"]
    # A target that cannot be written is told before anything is driven: the command has hardly worked.
    begun = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
    for target in ("nowhere/page.html", "both"):
        assert "--page" in lapheat("compare", base, "--page", target, "--dry", code=2).stderr
    assert resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - begun < 1
    # Whoever waits for a pipe can be interrupted.
    os.mkfifo(WORK / "pipe.toml")
    waiting = subprocess.Popen([LAPHEAT, "check", "pipe.toml"], cwd=WORK, stderr=subprocess.PIPE)
    time.sleep(0.5)
    waiting.send_signal(signal.SIGINT)
    assert waiting.wait(timeout=5) != 0
    # What comes through a pipe can be read once, and is.
    cycle = (SCENARIOS / "cycles" / "traffic.toml").read_bytes()
    for text, said in ((cycle, b"good: cycle 'traffic'"), (b'name = "cut"\n[[segm', b"not TOML")):
        done = subprocess.run([LAPHEAT, "check", "/dev/stdin"], input=text, capture_output=True, timeout=60)
        assert said in done.stdout + done.stderr, done


def test_show_refuses_other_files():
    good = WORK / RUN["file"]
    cut, foreign, other = WORK / "cut.h5", WORK / "foreign.h5", WORK / "other.h5"
    cut.write_bytes(good.read_bytes()[: good.stat().st_size // 2])
    foreign.write_text("not HDF5 at all\n")
    with h5py.File(other, "w") as f:
        f["x"] = 1
    for path in (cut, foreign, other, WORK / "missing.h5", WORK):
        done = lapheat("show", path, code=2)
        assert path.name in done.stderr and len(done.stderr.splitlines()) == 1, done.stderr


def test_interrupt():
    long = WORK / "long.toml"
    long.write_text('name = "long"\n[[segments]]\nkind = "traffic"\nduration = "100 h"\ntop_speed = "45 km/h"\n')
    out = WORK / "interrupted"
    with subprocess.Popen([LAPHEAT, "run", SCENARIOS / "placements/rear.toml", "--cycle", long, "--out", out],
                          stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as run:
        time.sleep(3)
        run.send_signal(signal.SIGINT)
        _, error = run.communicate(timeout=60)
    assert run.returncode == 1, (run.returncode, error)
    assert "cancelled" in error and not files(out)


def test_a_killed_sweep_goes_on():
    """A sweep that is killed outright leaves what it did; the same command ends it, with the same bits."""
    car, vary = SCENARIOS / "placements/under_floor.toml", "core width = 200 mm to 400 mm in 120"
    sweep = ["sweep", car, "--vary", vary, "--cycle", SHORT, "--threads", 1, "--json", "--to"]
    killed, whole = WORK / "killed.h5", WORK / "whole.h5"
    going = WORK / "killed.h5.going"
    run = subprocess.Popen([LAPHEAT, *map(str, sweep), killed], cwd=WORK, stdout=subprocess.PIPE)
    begin = time.monotonic()
    while not (going.exists() and going.stat().st_size > 4000) and time.monotonic() - begin < 120:
        assert run.poll() is None, "it ended before it could be killed"
        time.sleep(0.002)
    run.kill()
    run.communicate()
    assert run.returncode == -signal.SIGKILL, run.returncode
    assert not killed.exists() and going.exists()
    # Whoever holds the file is gone with it, and another sweep's points are not taken up.
    other = sweep[:3] + ["core width = 210 mm to 400 mm in 120"] + sweep[4:]
    assert "another car" in lapheat(*other, killed, code=2).stderr
    rest = json.loads(lapheat(*sweep, killed).stdout)
    assert 0 < rest["before"] < 120 and rest["before"] + rest["done"] == 120, rest
    assert not going.exists()
    lapheat(*sweep, whole)
    with xarray.open_dataset(killed, engine="h5netcdf") as a, xarray.open_dataset(whole, engine="h5netcdf") as b:
        xarray.testing.assert_identical(a.load(), b.load())


run_tests(globals())
print("in trouble the command says so and leaves nothing behind")
