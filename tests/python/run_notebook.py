"""Runs a notebook from its stored source, as a reader would, and keeps the outcome beside the build.

The stored notebook must hold no output: what is not there cannot be older than the code. Pictures
are written as PNG beside the executed notebook, to be looked at.
"""

import base64
import pathlib
import sys

import nbformat
from nbclient import NotebookClient

source, folder = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
notebook = nbformat.read(source, as_version=4)
stale = [i for i, c in enumerate(notebook.cells) if c.cell_type == "code" and (c.outputs or c.execution_count)]
if stale:
    sys.exit(f"{source.name}: cells {stale} are stored with output; clear them")

NotebookClient(notebook, timeout=240, kernel_name="python3", resources={"metadata": {"path": str(source.parent)}}).execute()

folder.mkdir(parents=True, exist_ok=True)
nbformat.write(notebook, folder / source.name)
pictures = 0
for cell in notebook.cells:
    for output in cell.get("outputs", []):
        image = output.get("data", {}).get("image/png")
        if image:
            pictures += 1
            (folder / f"{source.stem}_{pictures}.png").write_bytes(base64.b64decode(image))
drawn = sum(line.startswith(("lapheat.plot.", "figure, ")) for c in notebook.cells for line in c.source.splitlines())
if not pictures or pictures != drawn:
    sys.exit(f"{source.name}: it shows {pictures} pictures, its source draws {drawn}")
print(f"{source.name}: {pictures} pictures in {folder}")
