"""Builds the compiled half with CMake, and packs with it the command, the example scenarios and the licence.

The source tree is the folder above this one; in a source distribution it is beside this file, in "tree".
"""

import atexit
import os
import pathlib
import re
import shutil
import subprocess
import sys

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext
from setuptools.command.sdist import sdist

HERE = pathlib.Path(__file__).resolve().parent
TREE = HERE / "tree" if (HERE / "tree").is_dir() else HERE.parent
VERSION = re.search(r"project\(lapheat VERSION ([0-9.]+)", (TREE / "CMakeLists.txt").read_text())[1]
#: What a build without tests needs of the tree.
NEEDED = ("CMakeLists.txt", "LICENSE", "README.md", "libsim", "bindings", "scenarios")
LEAVE = shutil.ignore_patterns("build", "dist", "*.egg-info", "__pycache__", "tree", "*.h5", "lapheat-*", "LICENSE")


def names_of(place: str) -> "list[str]":
    """A place as the loader says it and as the package lists it: /lib is /usr/lib since the merge, and what stands
    behind an alternative (LAPACK's) is owned where it really is."""
    return [p for q in (place, os.path.realpath(place)) for p in (q, q.removeprefix("/usr"), "/usr" + q)] if place else []


def libraries(*files: pathlib.Path) -> str:
    """Shared libraries that these ask for, one a line, with the Debian package that has it where dpkg knows."""
    wanted = {}
    for file in files:
        told = subprocess.run(["readelf", "-d", file], capture_output=True, text=True, check=True).stdout
        found = subprocess.run(["ldd", file], capture_output=True, text=True, check=True).stdout
        places = dict(re.findall(r"(\S+) => (\S+)", found))
        for name in re.findall(r"Shared library: \[(.+?)\]", told):
            wanted[name] = places.get(name, "")
    owners = {}
    if shutil.which("dpkg"):
        asked = [p for place in wanted.values() for p in names_of(place)]
        for line in subprocess.run(["dpkg", "-S", *asked], capture_output=True, text=True).stdout.splitlines():
            package, _, place = line.partition(": ")
            owners[place.strip()] = package.split(":")[0]
    lines = []
    for name, place in sorted(wanted.items()):
        package = next((owners[p] for p in names_of(place) if p in owners), "")
        lines.append(f"{name} {package}".rstrip())
    return "\n".join(lines) + "\n"


class ByCMake(build_ext):
    def build_extension(self, ext):
        built = os.environ.get("LAPHEAT_BUILT")
        build = pathlib.Path(built).resolve() if built else TREE / "build" / "pip"
        if not built:
            subprocess.run(
                ["cmake", "-S", TREE, "-B", build, "-DCMAKE_BUILD_TYPE=Release", "-DLAPHEAT_TESTS=OFF",
                 "-DLAPHEAT_BENCH=OFF", "-DLAPHEAT_WERROR=OFF", f"-DPYTHON_EXECUTABLE={sys.executable}"],
                check=True)  # fmt: skip
            subprocess.run(
                ["cmake", "--build", build, "--parallel", str(os.cpu_count() or 1), "--target", "lapheat_python", "lapheat"],
                check=True)  # fmt: skip
        target = pathlib.Path(self.get_ext_fullpath(ext.name))
        folder = target.parent
        folder.mkdir(parents=True, exist_ok=True)
        made = next((build / "python" / "lapheat").glob("_native*.so"))
        shutil.copy2(made, target)
        (folder / "bin").mkdir(exist_ok=True)
        shutil.copy2(build / "lapheat", folder / "bin" / "lapheat")
        for file in (target, folder / "bin" / "lapheat"):
            if shutil.which("strip"):
                subprocess.run(["strip", "--strip-unneeded", file], check=True)
        (folder / "SHARED_LIBRARIES.txt").write_text(libraries(target, folder / "bin" / "lapheat"))
        shutil.copytree(TREE / "scenarios", folder / "scenarios", dirs_exist_ok=True, ignore=LEAVE)


class WithTree(sdist):
    """This folder, with what CMake needs of the tree beside it."""

    def make_release_tree(self, base_dir, files):
        super().make_release_tree(base_dir, files)
        for name in NEEDED:
            source, target = TREE / name, pathlib.Path(base_dir) / "tree" / name
            if source.is_dir():
                shutil.copytree(source, target, ignore=LEAVE)
            else:
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy2(source, target)


# The licence stands at the top of the tree; a wheel takes it from here.
if not (HERE / "LICENSE").exists():
    shutil.copy2(TREE / "LICENSE", HERE / "LICENSE")
    atexit.register((HERE / "LICENSE").unlink)
setup(
    version=VERSION,
    long_description=(TREE / "README.md").read_text(),
    long_description_content_type="text/markdown",
    ext_modules=[Extension("lapheat._native", sources=[])],
    cmdclass={"build_ext": ByCMake, "sdist": WithTree},
)
