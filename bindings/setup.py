"""Builds the compiled half with the CMake of the source tree this folder is in."""

import pathlib
import re
import shutil
import subprocess
import sys

from setuptools import Extension, setup
from setuptools.command.build_ext import build_ext

TREE = pathlib.Path(__file__).resolve().parent.parent
VERSION = re.search(r"project\(lapheat VERSION ([0-9.]+)", (TREE / "CMakeLists.txt").read_text())[1]


class ByCMake(build_ext):
    def build_extension(self, ext):
        build = TREE / "build" / "pip"
        subprocess.run(
            ["cmake", "-S", TREE, "-B", build, "-DCMAKE_BUILD_TYPE=Release", "-DLAPHEAT_TESTS=OFF",
             "-DLAPHEAT_BENCH=OFF", f"-DPYTHON_EXECUTABLE={sys.executable}"],
            check=True)  # fmt: skip
        subprocess.run(["cmake", "--build", build, "--parallel", "--target", "lapheat_python"], check=True)
        made = next((build / "python" / "lapheat").glob("_native*.so"))
        target = pathlib.Path(self.get_ext_fullpath(ext.name))
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy2(made, target)


setup(version=VERSION, ext_modules=[Extension("lapheat._native", sources=[])], cmdclass={"build_ext": ByCMake})
