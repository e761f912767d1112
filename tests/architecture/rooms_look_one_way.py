#!/usr/bin/env python3
"""Rooms include only rooms above them.

    rooms_look_one_way.py SOURCE_DIR COMPILER

Reads which room may use which from libsim/CMakeLists.txt. First every include of every room is held
against that; then it is proved with the compiler: a file that is given the include folders of a
room finds the headers of each room above, and of no room below.
"""
import pathlib
import re
import subprocess
import sys
import tempfile


def rooms_of(cmake):
    """Room → rooms it may use, itself and those its neighbours bring along."""
    allowed = {}
    for name, body in re.findall(r"^lapheat_room\((\w+)([^)]*)\)", cmake, re.MULTILINE):
        deps = re.search(r"DEPS ([\w ]+?)(?: LINK| PRECOMPILE|$)", " ".join(body.split()))
        direct = deps.group(1).split() if deps else []
        assert all(d in allowed for d in direct), f"{name} uses a room that comes after it: {direct}"
        allowed[name] = {name}.union(*(allowed[d] for d in direct))
    return allowed


def wrong_includes(root, allowed):
    for room in allowed:
        for path in sorted((root / room).rglob("*.?pp")):
            for other in re.findall(r'#include [<"]lapheat/(\w+)/', path.read_text(encoding="utf-8")):
                if other not in allowed[room]:
                    yield f"{path}: includes the room '{other}', which '{room}' may not use"


def compile_text(compiler, folders, text, mode):
    with tempfile.NamedTemporaryFile("w", suffix=".cpp") as source:
        source.write(text)
        source.flush()
        return subprocess.run([compiler, "-std=c++20", *mode, *(f"-I{f}" for f in folders), source.name],
                              capture_output=True, text=True)


def found(compiler, folders, headers):
    """The rooms whose header the compiler finds in these folders."""
    text = "".join(f"#if __has_include(<{header}>)\nroom {room}\n#endif\n" for room, header in headers.items())
    run = compile_text(compiler, folders, text, ["-E", "-P"])
    return set(re.findall(r"room (\w+)", run.stdout))


def main():
    root, compiler = pathlib.Path(sys.argv[1]) / "libsim", sys.argv[2]
    allowed = rooms_of((root / "CMakeLists.txt").read_text(encoding="utf-8"))
    assert len(allowed) >= 12, f"only {len(allowed)} rooms found"
    wrong = list(wrong_includes(root, allowed))
    headers = {}
    for room in allowed:
        base = root / room / "include"
        headers[room] = sorted(base.rglob("*.hpp"))[0].relative_to(base)
    for room in allowed:
        folders = [root / other / "include" for other in allowed[room]]
        for other in sorted(found(compiler, folders, headers) ^ allowed[room]):
            wrong.append(f"{room} {'does not find' if other in allowed[room] else 'finds'} <{headers[other]}>")
    # And once with a real include: fluids may use units, never model.
    folders = [root / other / "include" for other in allowed["fluids"]]
    for header, may in (("lapheat/units/units.hpp", True), ("lapheat/model/model.hpp", False)):
        if (compile_text(compiler, folders, f"#include <{header}>\n", ["-fsyntax-only"]).returncode == 0) != may:
            wrong.append(f"fluids including <{header}> {'does not compile' if may else 'compiles'}")
    print(f"{len(allowed)} rooms, each held against all others")
    if wrong:
        sys.exit("\n".join(wrong))


if __name__ == "__main__":
    main()
