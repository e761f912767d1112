"""Makes the pages of the package: PYTHONPATH=build/release/python /usr/bin/python3 bindings/docs/build.py build/docs

Runs every notebook, hands its pictures to the gallery, builds with Sphinx (a warning or a public name that is
not documented ends it) and follows every link of the pages within them. Nothing is asked of another host.
"""

import html.parser
import os
import pathlib
import shutil
import subprocess
import sys
import urllib.parse

import lapheat

HERE = pathlib.Path(__file__).resolve().parent
TREE = HERE.parent.parent


def gather(folder: pathlib.Path) -> pathlib.Path:
    """The sources as Sphinx wants them: pages, executed notebooks, a picture of each."""
    source = folder / "source"
    shutil.rmtree(source, ignore_errors=True)
    shutil.copytree(HERE, source, ignore=shutil.ignore_patterns("build.py", "__pycache__"))
    ran = folder / "notebooks"
    for notebook in sorted((TREE / "notebooks").glob("*.ipynb")):
        # A notebook runs in its own folder: a path from here leads nowhere there.
        package = pathlib.Path(lapheat.__file__).resolve().parent.parent
        subprocess.run([sys.executable, TREE / "tests/python/run_notebook.py", notebook, ran], check=True,
                       env={**os.environ, "PYTHONPATH": str(package)})  # fmt: skip
    shutil.copytree(ran, source / "notebooks", ignore=shutil.ignore_patterns("*.png"))
    gallery = source / "gallery.md"
    for notebook in sorted((source / "notebooks").glob("*.ipynb")):
        listed = gallery.read_text()
        if f"notebooks/{notebook.stem}\n" not in listed:  # new ones come last
            end = listed.rindex("```")
            gallery.write_text(f"{listed[:end]}   notebooks/{notebook.stem}\n{listed[end:]}")
        shutil.copy2(ran / f"{notebook.stem}_1.png", source / "_static" / f"{notebook.stem}.png")
    return source


class Page(html.parser.HTMLParser):
    """What a page points at, and what in it can be pointed at."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.links: "list[str]" = []
        self.anchors: "set[str]" = {""}
        self.feed(text)

    def handle_starttag(self, tag, attrs) -> None:
        for key, value in attrs:
            if key in ("href", "src") and value:
                self.links.append(value)
            if key in ("id", "name") and value:
                self.anchors.add(value)


def dead_links(folder: pathlib.Path) -> "list[str]":
    pages = {p: Page(p.read_text()) for p in folder.rglob("*.html")}
    dead = []
    for path, page in pages.items():
        for link in page.links:
            to = urllib.parse.urlsplit(link)
            if to.scheme == "data" or to.scheme in ("http", "https", "mailto"):
                if link.endswith(".js"):
                    dead.append(f"{path.name}: {link} is of another host")
                continue
            target = (path.parent / urllib.parse.unquote(to.path)).resolve() if to.path else path.resolve()
            known = next((q for p, q in pages.items() if p.resolve() == target), None)
            if not target.exists():
                dead.append(f"{path.name}: {link}")
            elif known and urllib.parse.unquote(to.fragment) not in known.anchors:
                dead.append(f"{path.name}: {link} has no such place")
    return dead


def main() -> None:
    folder = pathlib.Path(sys.argv[1]).resolve()
    source = gather(folder)
    made = folder / "html"
    shutil.rmtree(made, ignore_errors=True)
    subprocess.run([sys.executable, "-m", "sphinx", "-W", "--keep-going", "-q", "-b", "html", source, made], check=True)
    dead = dead_links(made)
    if dead:
        sys.exit("\n".join(["links that lead nowhere:", *dead]))
    print(f"pages: {made / 'index.html'}")


if __name__ == "__main__":
    main()
