"""The command, run as a user runs it, in a folder of its own.

For the tests beside it, which ctest runs as: python3 TEST LAPHEAT SCENARIOS [instrumented]
"""

import atexit
import json
import os
import pathlib
import pty
import re
import shutil
import signal
import subprocess
import sys
import tempfile

LAPHEAT, SCENARIOS = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
INSTRUMENTED = "instrumented" in sys.argv[3:]  # by sanitizers, slow by nature
WORK = pathlib.Path(tempfile.mkdtemp(prefix="lapheat-command-"))
atexit.register(shutil.rmtree, WORK, ignore_errors=True)
SHORT = WORK / "short.toml"
SHORT.write_text(
    'name = "short"\n[surroundings]\nambient = "35 degC"\n'
    '[[segments]]\nkind = "idle"\nduration = "60 s"\n'
)


def lapheat(*arguments, code=0, cwd=WORK, env=None):
    done = subprocess.run([LAPHEAT, *map(str, arguments)], cwd=cwd, capture_output=True, text=True,
                          env={**os.environ, **(env or {})}, timeout=300)
    assert done.returncode == code, (arguments, done.returncode, done.stdout[-2000:], done.stderr[-2000:])
    return done


def files(folder):
    return sorted(p for p in folder.rglob("*") if p.is_file()) if folder.exists() else []


def new_car():
    """The car that `new` writes, in WORK/mycar, run once; gives back what the run reports."""
    assert "compare" in lapheat("new", "mycar").stdout
    report = json.loads(lapheat("run", "mycar/placements/rear.toml", "--cycle", SHORT, "--json").stdout)
    (run,) = report["runs"]
    return run


def typed(name, *lines, options=("--ask-only",), stop_at=None, keys=b"\n" * 40, code=0):
    """What is said on a terminal to those who type these lines and then `keys`; Ctrl-C once
    `stop_at` has been said."""
    child, terminal = pty.fork()
    if child == 0:
        os.chdir(WORK)
        os.execv(LAPHEAT, [str(LAPHEAT), "new", name, *options])
    os.write(terminal, "\n".join(lines).encode() + keys)
    said = b""
    while True:
        try:
            chunk = os.read(terminal, 4096)
        except OSError:
            break
        if not chunk:
            break
        said += chunk
        if stop_at is not None and re.search(stop_at, said.decode(errors="ignore")):
            os.kill(child, signal.SIGINT)
            stop_at = None
    _, status = os.waitpid(child, 0)
    assert os.waitstatus_to_exitcode(status) == code, said
    return said.decode()


def run_tests(module):
    """All functions of a module that are called test_..., in the order in which they stand."""
    for name, test in list(module.items()):
        if name.startswith("test_"):
            test()
