"""Opens results with h5py, xarray (h5netcdf) and h5dump, as a user would: no special reader.

Run by ctest as: python3 open_with_python.py SAMPLE STREAMED, files that test_results has written.
"""

import subprocess
import sys

import h5py
import numpy as np
import xarray

SAMPLE, STREAMED = sys.argv[1:3]


def expected():
    return 363.15 + 8.0 * np.sin(np.arange(3600) / 300.0)


with h5py.File(SAMPLE, "r") as f:
    assert f.attrs["format"] == "lapheat result"
    assert f.attrs["layout"] == 2
    assert f.attrs["title"] == "a sample"
    assert list(f.attrs["versions"]) == ["a 1", "b 2"]
    inlet = f["coolant/radiator/inlet_temperature"]
    assert inlet.attrs["units"] == "K"
    assert inlet.dims[0][0] == f["time"]
    assert inlet.dims[0].keys() == ["time"]
    assert inlet.compression == "gzip" and inlet.shuffle
    np.testing.assert_allclose(inlet[:], expected(), rtol=1e-15)
    assert [x.decode() for x in f["events/what"][:]] == ["fan on", "over limit: 120 °C"]
    assert f["scenario/text"][()].decode().startswith("# Überprüft")
    # Stored once: the time beside the series is a link to the one at the root.
    assert f["coolant/radiator/time"] == f["time"]

with xarray.open_dataset(SAMPLE, engine="h5netcdf") as root:
    assert root.attrs["mass"] == 1234.5
    assert float(root["closure"]) == 1.5e-9
    assert root["time"].dims == ("time",)

with xarray.open_dataset(SAMPLE, group="coolant/radiator", engine="h5netcdf",
                         decode_times=False) as radiator:
    inlet = radiator["inlet_temperature"]
    assert inlet.dims == ("time",)
    assert inlet.attrs["units"] == "K"
    assert "long_name" in inlet.attrs
    assert abs(float(inlet.sel(time=10.0)) - expected()[10]) < 1e-12
    walls = radiator["wall_temperature"]
    assert walls.dims == ("time", "cell")
    assert walls.shape == (3600, 3)
    assert float(walls.sel(time=100.0, cell=3)) == expected()[100] - 2

with xarray.open_dataset(SAMPLE, group="events", engine="h5netcdf") as events:
    assert events["what"].dims == ("event",)
    assert list(events["what"].values) == ["fan on", "over limit: 120 °C"]
    assert list(events["step"].values) == [17, 905]

with xarray.open_dataset(STREAMED, group="peaks", engine="h5netcdf") as peaks:
    assert peaks["coolant"].dims == ("run",)
    np.testing.assert_array_equal(peaks["coolant"].values, np.arange(20000) * 0.5)

header = subprocess.run(["h5dump", "-H", SAMPLE], check=True, capture_output=True, text=True)
assert 'DATASET "inlet_temperature"' in header.stdout
assert 'ATTRIBUTE "DIMENSION_LIST"' in header.stdout

print("opened with h5py", h5py.__version__, "and xarray", xarray.__version__)
