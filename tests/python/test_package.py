"""The package as it is given away: a wheel that works anywhere, a source distribution that configures."""

import os
import pathlib
import re
import shutil
import subprocess
import sys
import tarfile
import tempfile
import unittest
import zipfile

import lapheat

BUILT = pathlib.Path(lapheat.__file__).resolve().parents[2]
TREE = pathlib.Path(os.environ["LAPHEAT_SCENARIOS"]).resolve().parent
VERSION = re.search(r"project\(lapheat VERSION ([0-9.]+)", (TREE / "CMakeLists.txt").read_text())[1]


def setup(folder, *words):
    environment = {**os.environ, "LAPHEAT_BUILT": str(BUILT), "PYTHONDONTWRITEBYTECODE": "1"}
    environment.pop("PYTHONPATH")
    command = [sys.executable, "setup.py", "-q", "egg_info", "-e", folder, *words]
    done = subprocess.run(command, cwd=TREE / "bindings", env=environment, capture_output=True, text=True)
    if done.returncode:
        raise AssertionError(done.stdout + done.stderr)


@unittest.skipUnless((BUILT / "lapheat").is_file(), "the command is not built")
class Wheel(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.holder = tempfile.TemporaryDirectory(prefix="lapheat-wheel-")
        folder = cls.holder.name
        setup(folder, "build", "-b", folder + "/build", "bdist_wheel", "-d", folder + "/dist", "-b", folder + "/bdist")
        (cls.wheel,) = pathlib.Path(folder, "dist").glob("*.whl")
        cls.installed = pathlib.Path(folder, "installed")
        with zipfile.ZipFile(cls.wheel) as archive:
            cls.names = archive.namelist()
            archive.extractall(cls.installed)
        (cls.installed / "lapheat" / "bin" / "lapheat").chmod(0o755)

    @classmethod
    def tearDownClass(cls):
        cls.holder.cleanup()

    def python(self, code):
        environment = {**os.environ, "PYTHONPATH": str(self.installed)}
        done = subprocess.run([sys.executable, "-c", code], env=environment, cwd=self.holder.name,
                              capture_output=True, text=True)  # fmt: skip
        self.assertEqual(done.returncode, 0, done.stderr)
        return done.stdout.strip()

    def test_it_has_one_version_and_says_what_it_is(self):
        self.assertIn(f"lapheat-{VERSION}-cp", self.wheel.name)
        self.assertEqual(lapheat.__version__, VERSION)
        (metadata,) = self.installed.glob("*.dist-info/METADATA")
        told = metadata.read_text()
        for words in (f"Version: {VERSION}", "License: MIT", "Author: ", "Keywords: ", "# lapheat", "Cautions"):
            self.assertIn(words, told)
        self.assertTrue(any(n.endswith("dist-info/LICENSE") for n in self.names))
        self.assertIn("lapheat = lapheat._command:main", next(self.installed.glob("*/entry_points.txt")).read_text())

    def test_it_runs_a_car_from_within_with_nothing_of_the_tree(self):
        told = self.python(
            "import lapheat, pathlib; e = lapheat.examples(); print(e); "
            "car = lapheat.read(e / 'placements/under_floor.toml'); "
            "print(len(lapheat.run(car, lapheat.cycle('x', [0, 10], [0, 0])).verdicts), lapheat.__file__)"
        )
        self.assertEqual(told.count(str(self.installed)), 2)
        self.assertIn("\n4 ", told)

    def test_its_command_is_the_command(self):
        self.assertIn(VERSION, self.python("import sys; sys.argv = ['lapheat', '--version']; "
                                           "from lapheat._command import main; main()"))  # fmt: skip

    def test_its_shared_libraries_are_named_and_a_missing_one_is_told(self):
        listed = (self.installed / "lapheat" / "SHARED_LIBRARIES.txt").read_text()
        told = subprocess.run(["readelf", "-d", next((self.installed / "lapheat").glob("_native*.so"))],
                              capture_output=True, text=True, check=True).stdout  # fmt: skip
        for name in re.findall(r"Shared library: \[(.+?)\]", told):
            self.assertIn(name, listed)
        self.assertRegex(listed, r"libhdf5\S* \S+")
        words = self.python(
            "import lapheat._missing as m\n"
            "try:\n"
            "    with m.told_by_name():\n"
            "        raise ImportError('libudunits2.so.0: cannot open shared object file')\n"
            "except ImportError as e: print(e)"
        )
        self.assertIn("apt install libudunits2", words)


class Source(unittest.TestCase):
    def test_a_source_distribution_configures_from_itself(self):
        with tempfile.TemporaryDirectory(prefix="lapheat-sdist-") as folder:
            setup(folder, "sdist", "-d", folder)
            (archive,) = pathlib.Path(folder).glob("*.tar.gz")
            with tarfile.open(archive) as tar:
                names = tar.getnames()
                tar.extractall(folder)
            root = pathlib.Path(folder, f"lapheat-{VERSION}")
            self.assertTrue((root / "LICENSE").is_file())
            self.assertFalse([n for n in names if "/build/" in n or n.endswith(".h5") or "__pycache__" in n])
            if (TREE / ".git").exists() and shutil.which("git"):
                listed = ["CMakeLists.txt", "LICENSE", "README.md", "libsim", "bindings", "scenarios"]
                kept = subprocess.run(["git", "-c", "safe.directory=*", "ls-files", *listed], cwd=TREE, capture_output=True,
                                      text=True, check=True)  # fmt: skip
                tree = root / "tree"
                packed = {str(p.relative_to(tree)) for p in tree.rglob("*") if p.is_file()}
                self.assertEqual(set(kept.stdout.splitlines()) - packed, set())
                self.assertFalse([p for p in packed if "lapheat-" in p])
            command = ["cmake", "-S", root / "tree", "-B", root / "made", "-DLAPHEAT_TESTS=OFF", "-G", "Ninja"]
            done = subprocess.run(command, capture_output=True, text=True)
            self.assertEqual(done.returncode, 0, done.stderr)
            self.assertNotIn("-Werror", (root / "made" / "build.ninja").read_text())
            version = subprocess.run([sys.executable, "setup.py", "--version"], cwd=root, capture_output=True, text=True)
            self.assertEqual(version.stdout.strip().splitlines()[-1], VERSION)


if __name__ == "__main__":
    unittest.main()
