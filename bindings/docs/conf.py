"""Settings of Sphinx for the pages of the package; built by ``./run.sh docs`` into build/docs/html."""

import inspect
import pathlib

import lapheat
from sphinx.errors import ExtensionError

HERE = pathlib.Path(__file__).parent

project = "lapheat"
author = "the developers of lapheat"
version = release = lapheat.__version__
extensions = ["sphinx.ext.autodoc", "sphinx.ext.mathjax", "nbsphinx", "myst_parser"]
source_suffix = {".md": "markdown", ".rst": "restructuredtext"}
html_theme = "alabaster"
html_theme_options = {
    "description": "Will coolant, transmission and steering fluid stay inside their limits?",
    "page_width": "1080px",
    "sidebar_width": "230px",
    "fixed_sidebar": True,
}
html_show_copyright = False
html_static_path = ["_static"]
html_css_files = ["gallery.css"]
html_show_sourcelink = False
html_copy_source = False
# No page has a formula, and none may ask another host for a script.
mathjax_path = "no-formulas.js"
nbsphinx_execute = "never"  # build.py has executed them
nbsphinx_thumbnails = {f"notebooks/{p.stem}": f"_static/{p.stem}.png" for p in (HERE / "notebooks").glob("*.ipynb")}
nbsphinx_requirejs_path = ""
exclude_patterns = ["**.ipynb_checkpoints"]
autodoc_member_order = "bysource"
autodoc_typehints = "none"
autodoc_default_options = {"members": True, "undoc-members": True}
add_module_names = False
suppress_warnings = ["nbsphinx.gallery"]


def public():
    """Every public name: lapheat.run, lapheat.Result.time, lapheat.plot.energy …"""
    names = []
    for name in lapheat.__all__:
        thing = getattr(lapheat, name)
        if name == "plot":
            names += [f"lapheat.plot.{n}" for n in thing.__all__]
            continue
        names.append(f"lapheat.{name}")
        if isinstance(thing, type):
            fields = list(getattr(thing, "__dataclass_fields__", {}))
            members = [m for m in vars(thing) if not m.startswith("_")] + fields
            names += [f"lapheat.{name}.{m}" for m in dict.fromkeys(members)]
    return names


def all_are_documented(app, failure):
    if failure is not None or app.builder.format != "html":
        return
    there = {entry[0] for entry in app.env.get_domain("py").get_objects()}
    missing = [n for n in public() if n not in there]
    if missing:
        raise ExtensionError(f"{len(missing)} public names are not in the pages: " + ", ".join(missing))
    print(f"{len(public())} public names are documented")


def plain(app, what, name, obj, options, lines):
    """Docstrings are written for a terminal: what looks like markup of Sphinx's in them is none."""
    lines[:] = [line.replace("*", "\\*").replace("|", "\\|").replace("_ ", "\\_ ") if "``" not in line else line for line in lines]
    text = inspect.cleandoc("\n".join(lines)).splitlines()
    lines[:] = text


def setup(app):
    app.connect("build-finished", all_are_documented)
    app.connect("autodoc-process-docstring", plain)
