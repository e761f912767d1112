"""Every public name of the compiled module is in its stub, and the other way round."""

import ast
import pathlib
import sys

import lapheat
from lapheat import _native

tree = ast.parse((pathlib.Path(lapheat.__file__).parent / "_native.pyi").read_text())
wrong = []


def members(body):
    names = set()
    for item in body:
        if isinstance(item, (ast.FunctionDef, ast.ClassDef)):
            names.add(item.name)
        elif isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name):
            names.add(item.target.id)
    return names


def public(names):
    return {n for n in names if not n.startswith("_")}


stub, real = public(members(tree.body)), public(dir(_native))
wrong += [f"_native.{n}: only in the stub" for n in stub - real]
wrong += [f"_native.{n}: not in the stub" for n in real - stub]
for item in tree.body:
    if isinstance(item, ast.ClassDef) and not item.name.startswith("_"):
        stub, real = public(members(item.body)), public(dir(getattr(_native, item.name)))
        wrong += [f"{item.name}.{n}: only in the stub" for n in stub - real]
        wrong += [f"{item.name}.{n}: not in the stub" for n in real - stub]
    if isinstance(item, ast.FunctionDef) and not item.name.startswith("_"):
        # pybind11 writes the signature into the first line of the docstring.
        signature = getattr(_native, item.name).__doc__.splitlines()[0]
        for argument in item.args.args + item.args.kwonlyargs:
            if f"{argument.arg}:" not in signature:
                wrong.append(f"{item.name}: no argument {argument.arg} in {signature}")
wrong += [f"lapheat.{n}: in __all__, not there" for n in lapheat.__all__ if not hasattr(lapheat, n)]
for name in lapheat.__all__:
    if not (getattr(lapheat, name).__doc__ or "").strip():
        wrong.append(f"lapheat.{name}: no docstring")

print("\n".join(wrong) or "stubs and module agree")
sys.exit(bool(wrong))
