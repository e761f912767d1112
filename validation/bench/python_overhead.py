"""What calling from Python adds to a run, and how long the import takes.

PYTHONPATH=build/release/python /usr/bin/python3 validation/bench/python_overhead.py

The peer is in the same call: Result.cost.wall_seconds is what C++ took inside it. Best of several.
"""

import pathlib
import subprocess
import sys
import time

import lapheat

scenarios = pathlib.Path(__file__).parent.parent.parent / "scenarios"
car = lapheat.read(scenarios / "placements" / "under_floor.toml")
for name in ("highway with a grade", "traffic", "timed laps"):
    shares = []
    for _ in range(7):
        began = time.perf_counter()
        result = lapheat.run(car, name)
        whole = time.perf_counter() - began
        shares.append(whole / result.cost.wall_seconds - 1)
    print(f"{name}: {1e3 * result.cost.wall_seconds:.1f} ms in C++, the call adds {100 * min(shares):.2f} %")

for module in ("numpy", "lapheat", "lapheat.plot"):
    times = []
    for _ in range(5):
        began = time.perf_counter()
        subprocess.run([sys.executable, "-c", f"import {module}"], check=True)
        times.append(time.perf_counter() - began)
    print(f"import {module}: {1e3 * min(times):.0f} ms with the interpreter's start")
