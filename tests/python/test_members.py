"""Every public name says what it is: docstrings with units, signatures, completion; wrong units are questioned."""

import ast
import dataclasses
import inspect
import os
import pathlib
import re
import textwrap
import unittest

import numpy as np

import lapheat
from common import car, result, short

#: What a docstring of a number must name: its unit in SI, or what it is a share or count of.
MEASURED = re.compile(
    r"(^|[\s(:,/])(K|s|m|m²|m³|m3 s-1|kg|W|A|J|Pa|1|rad|K/m|m/s²?|kg/s|kg/m³|m³/s|W/K|W/m²|W/\(m K\)|J/K|J/kg|"
    r"J/\(kg K\)|m²/s|1/m|rad/s|SI|0 to 1|0–1|0 or 1)($|[\s),;:.\]])|"
    r"\b(share|fraction|ratio|factor|relative|how many|degC|unit|money|price)\b|"
    r"[\[(](K|s|m|kg|W|A|J|Pa|A s|1)[\])]"
)


def stub():
    return ast.parse((pathlib.Path(lapheat.__file__).parent / "_native.pyi").read_text())


def classes():
    return {name: getattr(lapheat, name) for name in lapheat.__all__ if isinstance(getattr(lapheat, name), type)}


def members(kind):
    return [n for n in vars(kind) if not n.startswith("_")]


class Documented(unittest.TestCase):
    maxDiff = None

    def test_every_public_name_has_a_docstring(self):
        missing = [n for n in lapheat.__all__ if not (inspect.getdoc(getattr(lapheat, n)) or "").strip()]
        self.assertEqual(missing, [])

    def test_every_member_of_every_class_has_one(self):
        missing = []
        for name, kind in classes().items():
            documented = set(getattr(kind, "_documented", ()))
            for member in members(kind):
                text = inspect.getdoc(inspect.getattr_static(kind, member)) or ""
                if not text.strip() and member not in documented:
                    missing.append(f"{name}.{member}")
        self.assertEqual(missing, [])

    def test_every_field_of_a_dataclass_has_one_in_its_source(self):
        missing = []
        for name, kind in classes().items():
            if not dataclasses.is_dataclass(kind):
                continue
            body = ast.parse(textwrap.dedent(inspect.getsource(kind))).body[0].body
            for item, after in zip(body, body[1:] + [None]):
                if isinstance(item, ast.AnnAssign):
                    if not (isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant)):
                        missing.append(f"{name}.{item.target.id}")
        self.assertEqual(missing, [])

    def test_every_public_name_is_in_the_reference(self):
        tree = pathlib.Path(os.environ["LAPHEAT_SCENARIOS"]).resolve().parent
        told = (tree / "bindings" / "docs" / "reference.rst").read_text().split()
        names = [n for n in lapheat.__all__ if n != "plot"]
        self.assertEqual([n for n in names if f"lapheat.{n}" not in told], [])
        self.assertEqual([n for n in lapheat.plot.__all__ if not any(t.rstrip(",") == n for t in told)], [])

    def test_every_number_names_its_unit(self):
        missing = []
        for item in stub().body:
            if not isinstance(item, ast.ClassDef) or not hasattr(lapheat, item.name):
                continue
            for member in item.body:
                if not isinstance(member, ast.FunctionDef) or member.name.startswith("_"):
                    continue
                gives = ast.unparse(member.returns)
                if gives in ("float", "Floats", "Optional[float]"):
                    text = inspect.getdoc(inspect.getattr_static(getattr(lapheat, item.name), member.name)) or ""
                    if not MEASURED.search(text):
                        missing.append(f"{item.name}.{member.name}: {text}")
        self.assertEqual(missing, [])

    def test_every_function_has_a_signature_and_speaks_of_its_arguments(self):
        missing = []
        for name in lapheat.__all__:
            thing = getattr(lapheat, name)
            if isinstance(thing, type) or not callable(thing):
                continue
            text = inspect.getdoc(thing) or ""
            for argument in inspect.signature(thing).parameters.values():
                plain = argument.name.replace("_", " ")
                if not re.search(rf"\b({argument.name}|{plain})\b", text) and argument.name not in ("text", "scenario"):
                    missing.append(f"{name}({argument.name})")
        self.assertEqual(missing, [])

    def test_methods_have_signatures(self):
        for name, kind in classes().items():
            for member in members(kind):
                method = getattr(kind, member)
                if callable(method) and not isinstance(method, type):
                    names = list(inspect.signature(method).parameters)
                    self.assertFalse([n for n in names if n.startswith("arg")], f"{name}.{member}{names}")
        self.assertEqual(list(inspect.signature(lapheat.run).parameters)[:2], ["scenario", "cycle"])
        self.assertEqual(inspect.signature(lapheat.run).parameters["sample_interval"].default, 1.0)


class Completed(unittest.TestCase):
    def test_paths_complete(self):
        self.assertEqual(result()._ipython_key_completions_(), list(result()))
        compared = lapheat.compare([car()], keep_series=False)
        self.assertEqual(compared._ipython_key_completions_(), [(car().placement, "timed laps")])

    def test_ipython_completes_them(self):
        try:
            from IPython.core.interactiveshell import InteractiveShell
        except ImportError:
            self.skipTest("IPython is not here")
        shell = InteractiveShell.instance()
        shell.user_ns.update(result=result(), lapheat=lapheat)
        shell.Completer.use_jedi = False
        _, found = shell.complete("", 'result["loops/coolant/ja', len('result["loops/coolant/ja'))
        self.assertTrue(any("loops/coolant/jacket/temperature" in f for f in found), found)
        _, names = shell.complete("", "lapheat.", len("lapheat."))
        self.assertIn("lapheat.plot", names)
        self.assertIn("lapheat.run", names)

    def test_the_package_lists_its_public_names(self):
        self.assertEqual(set(dir(lapheat)) & {"plot", "run", "np", "annotations"}, {"plot", "run"})


class Questioned(unittest.TestCase):
    def asked(self, call, *words):
        with self.assertRaises(lapheat.Error) as caught:
            call()
        for word in words:
            self.assertIn(word, str(caught.exception))

    def test_a_core_at_110_kelvin_is_no_core(self):
        core = lapheat.core(car(), "cooler.transmission")
        at = dict(first_flow=0.1, first_inlet=390.0, second_flow=0.3, second_inlet=310.0)
        self.asked(lambda: lapheat.rate(core, **{**at, "first_inlet": 110}), "first_inlet", "383.15", "110")
        self.asked(lambda: lapheat.rate(core, **{**at, "second_inlet": [310, 35]}), "second_inlet", "308.15")
        self.asked(lambda: lapheat.rate(core, **at, pressure=1.013), "pressure", "101300")
        self.asked(lambda: lapheat.rate(core, **{**at, "first_flow": 6.0e2}), "first_flow", "kg/s")
        self.asked(lambda: lapheat.fit_core(core, **{**at, "first_inlet": 110}, heat=4e3), "383.15")
        self.assertGreater(lapheat.rate(core, **at).heat, 0)

    def test_weather_and_fluids_in_degrees_are_questioned(self):
        self.asked(lambda: lapheat.cycle("hot", [0, 10], [0, 0], ambient=35), "ambient")
        self.asked(lambda: short().replace(ambient=35), "ambient")
        self.asked(lambda: lapheat.lap(car(), lapheat.cone_course(), ambient=35), "ambient", "308.15")
        self.asked(lambda: lapheat.lap_session(car(), lapheat.cone_course(), ambient=35), "ambient")
        water = lapheat.fluid("water")
        self.asked(lambda: water.density(90), "temperature", "363.15")
        self.asked(lambda: water.viscosity(np.array([300.0, 90.0])), "temperature", "363.15")
        self.asked(lambda: water.boiling_temperature(1.013), "pressure", "101300")

    def test_kilometres_an_hour_are_questioned(self):
        self.asked(lambda: lapheat.cycle("fast", [0, 10], [0, 130]), "speed", "m/s")


if __name__ == "__main__":
    unittest.main()
