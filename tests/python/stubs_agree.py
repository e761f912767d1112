"""Every public name of the compiled module is in its stub, and the other way round."""

import ast
import inspect
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
        real = inspect.signature(getattr(_native, item.name)).parameters
        stated = {a.arg: bool(d) for a, d in zip(item.args.args[::-1], list(item.args.defaults)[::-1] + [None] * 99)}
        stated.update({a.arg: bool(d) for a, d in zip(item.args.kwonlyargs, item.args.kw_defaults)})
        if item.args.kwarg:
            stated["kwargs"] = False
        if set(stated) != set(real):
            wrong.append(f"{item.name}: {sorted(stated)} in the stub, {sorted(real)} in the module")
        for name, defaulted in stated.items():
            if name in real and defaulted != (real[name].default is not inspect.Parameter.empty):
                wrong.append(f"{item.name}: the stub errs in whether {name} may be left out")
        for name in {a.arg for a in item.args.kwonlyargs} & set(real):
            if real[name].kind is not inspect.Parameter.KEYWORD_ONLY:
                wrong.append(f"{item.name}: {name} may stand without its name")
wrong += [f"lapheat.{n}: in __all__, not there" for n in lapheat.__all__ if not hasattr(lapheat, n)]
for name in lapheat.__all__:
    if not (getattr(lapheat, name).__doc__ or "").strip():
        wrong.append(f"lapheat.{name}: no docstring")

print("\n".join(wrong) or "stubs and module agree")
sys.exit(bool(wrong))
