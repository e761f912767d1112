"""What the command does when the machine fails it: disk, memory, clock, power.

Run by ctest as: python3 faults.py LAPHEAT SCENARIOS INTERPOSER, a few of each sort, and by
`./run.sh faults` with --all: every call of every sort, 2000 allocations, 1000 kills.

Held, whatever fails: the old result is there as it was or the new one whole, nothing else lies
beside it (after a kill: nothing after the next writer), the exit code is 0 with the new result or
1 or 2 with the reason, and nothing crashes. One exception: a library in C that is refused memory
may crash by itself; files are held to the same then.
"""

import argparse
import collections
import errno
import os
import pathlib
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time

parser = argparse.ArgumentParser()
parser.add_argument("lapheat", type=pathlib.Path)
parser.add_argument("scenarios", type=pathlib.Path)
parser.add_argument("interposer", type=pathlib.Path)
parser.add_argument("--all", action="store_true")
parser.add_argument("--kills", type=int, help="at random moments")
parser.add_argument("--memory", type=int, help="allocations that fail, evenly over the run, in each of four ways")
asked = parser.parse_args()
KILLS = asked.kills or (1000 if asked.all else 30)
ALLOCATIONS = asked.memory or (2000 if asked.all else 40)

WORK = pathlib.Path(tempfile.mkdtemp(prefix="lapheat-faults-"))
os.chmod(WORK, 0o755)
CYCLE = WORK / "short.toml"
CYCLE.write_text('name = "short"\n[[segments]]\nkind = "idle"\nduration = "2 s"\n')
OUT = WORK / "out"
COUNTS = WORK / "counts"
RUN = [asked.lapheat, "run", asked.scenarios / "short/placements/car_tank.toml", "--cycle", CYCLE, "--out", OUT,
       "--quiet"]
COMPARE = [asked.lapheat, "compare", *sorted((asked.scenarios / "short/placements").glob("car_[ft]*.toml")), "--cycle",
           CYCLE, "--out", OUT, "--draws", "0", "--page", OUT / "page.html", "--quiet", "--threads", "1"]
done = collections.Counter()
broken = []


def environment(fault=None, **more):
    env = {**os.environ, "LD_PRELOAD": str(asked.interposer), **more}
    if fault:
        env["LAPHEAT_FAULT"] = fault
    return env


def run(command, fault=None, **more):
    return subprocess.run([*map(str, command)], capture_output=True, cwd=WORK, timeout=300, env=environment(fault, **more))


def whole(data):
    """A result as it was sealed: FNV-1a over all before the last 16 bytes."""
    if len(data) < 64 or data[-16:-8] != b"\x89sealed\n":
        return False
    digest = 0xCBF29CE484222325
    for byte in data[:-16]:
        digest = (digest ^ byte) * 0x100000001B3 & 0xFFFFFFFFFFFFFFFF
    return digest.to_bytes(8, "little") == data[-8:]


def good(path, data):
    return whole(data) if path.suffix == ".h5" else data.endswith(b"</html>\n")


def files():
    return {p: p.read_bytes() for p in sorted(OUT.iterdir())} if OUT.exists() else {}


def put_back(old):
    shutil.rmtree(OUT, ignore_errors=True)
    OUT.mkdir()
    for path, data in old.items():
        path.write_bytes(data)


def hold(old, ended, what, killed=False, library=False):
    """The promise, after a run that ended somehow. What breaks it is told at the end."""
    try:
        return held(old, ended, what, killed, library)
    except AssertionError as error:
        print("BROKEN", *error.args, flush=True)
        broken.append(what)
        return []


def held(old, ended, what, killed, library):
    now = files()
    story = (what, ended.returncode, ended.stderr[-600:], [p.name for p in now])
    leftovers = [p for p in now if p not in old]
    assert killed or not leftovers, story
    for path, data in old.items():
        assert path in now, story
        assert now[path] == data or good(path, now[path]), story
    if killed:
        assert ended.returncode == -signal.SIGKILL, story
    elif library and ended.returncode in (-signal.SIGSEGV, -signal.SIGABRT, 255):
        done["of these died within a C library, files as they were"] += 1
    elif ended.returncode == 0:
        assert all(now[p] != old[p] for p in old if p.suffix == ".h5"), story
    else:
        assert ended.returncode in (1, 2) and ended.stderr.strip(), story
    return leftovers


def counted(command):
    ended = run(command, LAPHEAT_FAULT_COUNT=str(COUNTS))
    assert ended.returncode == 0, ended
    return {name: int(n) for name, n in (line.split() for line in COUNTS.read_text().splitlines())}


def steps(count, most):
    """1 to count, so many of them at most, the first and last few among them."""
    if count <= most:
        return list(range(1, count + 1))
    middle = {1 + round(i * (count - 1) / (most - 1)) for i in range(most)}
    return sorted(middle | {1, 2, count - 1, count})


def test_each_call_that_fails(name, command, most):
    """Every write, sync, rename, opening, lock and change of rights, in every way."""
    put_back({})
    counts = counted(command)
    old = files()
    for call in ("write", "sync", "rename", "open", "lock", "rights"):
        ways = [("once", errno.EIO), ("on", errno.ENOSPC), ("once", errno.EINTR), ("kill", 0)]
        if call == "write":
            ways.append(("short", 0))
        for way, number in ways:
            for n in steps(counts[call], most):
                fault = f"{call}:{n}:{way}:{number}"
                ended = run(command, fault)
                left = hold(old, ended, (name, fault), killed=way == "kill")
                done[f"{name}: {call} {way}"] += 1
                if left:
                    assert run(command).returncode == 0 and set(files()) == set(old), fault
                put_back(old)


def test_memory_that_runs_out(name, command, most):
    put_back({})
    count = counted(command)["memory"]
    old = files()
    libraries = "libhdf5,libudunits2,libexpat,libz"
    for way, spared in (("once", libraries), ("on", libraries), ("once", ""), ("on", "")):
        for n in steps(count, most):
            fault = f"memory:{n}:{way}:{errno.ENOMEM}"
            ended = run(command, fault, **({"LAPHEAT_FAULT_SPARE": spared} if spared else {}))
            hold(old, ended, (name, fault, spared), library=not spared)
            done[f"{name}: memory {way}{', C libraries spared' if spared else ''} (of {count})"] += 1
            put_back(old)


def test_kills(kills):
    put_back({})
    begun = time.monotonic()
    assert run(RUN).returncode == 0
    takes = time.monotonic() - begun
    old, chance = files(), random.Random(1)
    for n in range(kills):
        with subprocess.Popen([*map(str, RUN)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, cwd=WORK) as running:
            time.sleep(chance.uniform(0, takes))
            running.kill()
            ended = subprocess.CompletedProcess(RUN, running.wait(), b"", running.stderr.read())
        if ended.returncode == -signal.SIGKILL:
            hold(old, ended, ("kill", n), killed=True)
            done["killed at a random moment"] += 1
        else:
            done["ended before the kill"] += 1
    assert run(RUN).returncode == 0 and set(files()) == set(old)


def test_folders():
    # A folder that nobody may write to (the superuser may; then as nobody).
    put_back({})
    assert run(RUN).returncode == 0
    old = files()
    os.chmod(OUT, 0o555)
    as_nobody = {"user": 65534, "group": 65534} if os.geteuid() == 0 else {}
    ended = subprocess.run([*map(str, RUN)], capture_output=True, cwd="/", **as_nobody)
    assert ended.returncode == 2 and b"cannot write" in ended.stderr, ended
    os.chmod(OUT, 0o755)
    assert files() == old
    # One that vanishes while the car drives.
    long = WORK / "long.toml"
    long.write_text('name = "short"\n[[segments]]\nkind = "traffic"\nduration = "20 h"\ntop_speed = "45 km/h"\n')
    command = [long if part is CYCLE else part for part in RUN]
    with subprocess.Popen([*map(str, command)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE) as running:
        time.sleep(0.7)
        assert running.poll() is None
        shutil.rmtree(OUT)
        said = running.stderr.read()
    assert running.returncode in (1, 2) and b"No such file" in said, (running.returncode, said)
    assert not OUT.exists()
    done["folders read-only and vanished"] += 2


def test_writers_at_once(count):
    put_back({})
    assert run(RUN).returncode == 0
    (target,) = files()
    writers = [subprocess.Popen([*map(str, RUN)], stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, cwd=WORK)
               for _ in range(count)]
    for writer in writers:
        _, said = writer.communicate(timeout=300)
        assert writer.returncode == 0, said
    assert set(files()) == {target} and whole(files()[target])
    done["writers at once"] += count


def test_clock_that_jumps():
    put_back({})
    ended = run(RUN, LAPHEAT_FAULT_CLOCK="1")
    assert ended.returncode == 0, ended
    (target,) = files()
    assert whole(target.read_bytes())
    done["clock that jumps"] += 1


begun = time.monotonic()
many = 10**9 if asked.all else 4
test_each_call_that_fails("run", RUN, many)
test_each_call_that_fails("compare", COMPARE, many if asked.all else 2)
test_memory_that_runs_out("run", RUN, ALLOCATIONS)
test_kills(KILLS)
test_folders()
test_writers_at_once(4 if not asked.all else 40)
test_clock_that_jumps()
shutil.rmtree(WORK)
for what, count in sorted(done.items()):
    print(f"{count:6d}  {what}")
assert not broken, f"{len(broken)} promises broken"
print(f"{sum(done.values())} faults survived in {time.monotonic() - begun:.0f} s")
