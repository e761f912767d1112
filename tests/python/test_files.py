"""Result files as others open them: h5py, xarray, pandas, h5dump and the tools of netCDF; and how large they are."""

import functools
import pathlib
import shutil
import subprocess
import tempfile
import unittest

import h5py
import numpy as np
import pandas
import xarray

import lapheat
from common import LAPS, UNDER_FLOOR, car, result

FOLDER = tempfile.TemporaryDirectory(prefix="lapheat-files-")


@functools.lru_cache(maxsize=None)
def laps():
    """(result, file) of the timed laps, 24 minutes."""
    path = pathlib.Path(FOLDER.name) / "laps.h5"
    scenario = lapheat.read(UNDER_FLOOR, cycles=[LAPS])
    driven = lapheat.run(scenario)
    lapheat.write(driven, path, scenario)
    return driven, path


def datasets(file):
    found = {}
    file.visititems(lambda name, item: found.update({name: item}) if isinstance(item, h5py.Dataset) else None)
    return found


class Size(unittest.TestCase):
    def test_twenty_four_minutes_take_less_than_four_hundred_kilobytes(self):
        driven, path = laps()
        self.assertGreater(driven.duration, 23.5 * 60)
        self.assertLess(path.stat().st_size, 400_000)

    def test_no_bytes_go_to_indices_of_small_sets_and_no_text_is_filtered(self):
        with h5py.File(laps()[1]) as file:
            for name, item in datasets(file).items():
                if item.dtype == object:
                    self.assertIsNone(item.compression, name)
                if item.nbytes <= 1024:
                    self.assertIsNone(item.chunks, name)
        told = subprocess.run(["h5stat", laps()[1]], capture_output=True, text=True, check=True).stdout
        indices = [line for line in told.splitlines() if "Index:" in line or "B-tree/List:" in line]
        self.assertGreaterEqual(len(indices), 3)
        for line in indices:
            self.assertEqual(int(line.split(":")[1]), 0, line)

    def test_temperatures_are_kept_to_eight_millikelvin(self):
        driven, path = laps()
        (back,) = lapheat.load(path)
        self.assertEqual(set(back), set(driven))
        for name, series in driven.series.items():
            off = np.abs(back[name] - series.values)
            if series.units == "K":
                normal = (series.values >= 256) & (series.values < 512)
                self.assertLessEqual(off[normal].max(initial=0), 0.0079, name)
                self.assertLessEqual((off / np.abs(series.values).clip(1e-9)).max(), 2.0**-15 + 2.0**-24, name)
            else:
                # Below what 32 bits can be nothing is left.
                self.assertLessEqual((off / np.abs(series.values).clip(1e-30)).max(), 2.0**-13 + 2.0**-24, name)


class Readers(unittest.TestCase):
    def test_h5py_shows_text_as_text_and_units_at_every_number(self):
        with h5py.File(laps()[1]) as file:
            for key, value in {"Conventions": "CF-1.11", "title": "timed laps, under the floor"}.items():
                self.assertEqual(file.attrs[key], value)
            for key in ("source", "history"):
                self.assertIn("lapheat", file.attrs[key])
            self.assertIn("coolant", file["verdicts/loop"].asstr()[:])
            series = [i for n, i in datasets(file).items() if i.dtype == "f4"]
            self.assertEqual(len(series), len(laps()[0]))
            for item in series:
                self.assertTrue(item.attrs["units"] and item.attrs["long_name"], item.name)
                self.assertEqual(item.dims[0].keys(), ["time"])

    def test_what_a_number_measures_is_a_flag_that_tells_its_meaning(self):
        with h5py.File(laps()[1]) as file:
            quantity = file["assumed/quantity"]
            words = quantity.attrs["flag_meanings"].split()
            self.assertEqual(len(words), len(quantity.attrs["flag_values"]))
            told = [words[i] for i in quantity[:]]
        self.assertEqual(told, [a.quantity.replace(" ", "_") for a in laps()[0].assumed])
        (back,) = lapheat.load(laps()[1])
        self.assertEqual([a.quantity for a in back.assumed], [a.quantity for a in laps()[0].assumed])

    def test_xarray_opens_the_root_and_each_group_and_pandas_takes_them(self):
        driven, path = laps()
        with xarray.open_dataset(path, engine="h5netcdf", decode_times=False) as root:
            self.assertEqual(root.attrs["Conventions"], "CF-1.11")
            np.testing.assert_array_equal(root["time"], driven.time)
        with xarray.open_dataset(path, group="loops/coolant/jacket", engine="h5netcdf", decode_times=False) as jacket:
            frame = jacket.to_dataframe()
        self.assertIsInstance(frame, pandas.DataFrame)
        self.assertEqual(frame.index.name, "time")
        np.testing.assert_allclose(frame["temperature"], driven["loops/coolant/jacket/temperature"], atol=0.008)
        with xarray.open_dataset(path, group="verdicts", engine="h5netcdf") as verdicts:
            self.assertEqual(float(verdicts["margin"].sel(loop="coolant")),
                             next(v.margin for v in driven.verdicts if v.loop == "coolant"))  # fmt: skip

    def test_h5dump_and_the_tools_of_netcdf_read_all_of_it(self):
        path = laps()[1]
        told = subprocess.run(["h5dump", "-d", "/verdicts/margin", path], capture_output=True, text=True, check=True)
        self.assertIn("temperature: difference", told.stdout)
        if shutil.which("nccopy") is None:
            self.skipTest("netcdf-bin is not here")
        told = subprocess.run(["ncdump", "-v", "Conventions", "-h", path], capture_output=True, text=True)
        whole = subprocess.run(["ncdump", path], capture_output=True, text=True, check=True)
        self.assertIn("cooler.transmission", whole.stdout)
        copy = path.with_suffix(".nc")
        subprocess.run(["nccopy", path, copy], check=True)
        with h5py.File(path) as a, h5py.File(copy) as b:
            for name, item in datasets(a).items():
                np.testing.assert_array_equal(b[name][()], item[()], name)


class Many(unittest.TestCase):
    def test_a_file_of_a_comparison_holds_every_run_and_opens_run_by_run(self):
        compared = lapheat.compare([car(), car().with_value("vehicle.mass", "1800 kg")], labels=["as it is", "elsewhere"])
        path = pathlib.Path(FOLDER.name) / "many.h5"
        compared.write(path)
        back = lapheat.load(path)
        self.assertEqual([(r.placement, r.cycle) for r in back],
                         [(o.placement, o.cycle) for o in compared.outcomes])  # fmt: skip
        for run, outcome in zip(back, compared.outcomes):
            self.assertEqual([v.margin for v in run.verdicts], [v.margin for v in outcome.result.verdicts])
        with xarray.open_dataset(path, group="runs/elsewhere/timed_laps/loops/coolant/jacket",
                                 engine="h5netcdf", decode_times=False) as jacket:  # fmt: skip
            self.assertEqual(jacket["temperature"].dims, ("time",))
        with h5py.File(path) as file:
            self.assertGreater(len(file["scenario/file"]), 2)


class Before(unittest.TestCase):
    def test_a_file_as_it_was_written_before_is_read(self):
        """Layout 2 in the format of HDF5 1.8: words for flags, names at every series, all sets chunked."""
        new, old = laps()[1], pathlib.Path(FOLDER.name) / "old.h5"
        with h5py.File(new) as a, h5py.File(old, "w", libver=("v108", "v108"), track_order=True) as b:
            words = a["assumed/quantity"].attrs["flag_meanings"].split()
            b.attrs.update(a.attrs)
            b["time"] = a["time"][:]
            b["time"].make_scale("time")
            for name, item in datasets(a).items():
                if item == a["time"] or name in ("notes/value_4", "notes/quantity_4"):
                    continue  # links of the time; warnings had three values
                values, kind = item[()], item.dtype
                if name == "assumed/quantity":
                    values, kind = [words[i].replace("_", " ") for i in values], h5py.string_dtype()
                chunked = {"chunks": True, "compression": "gzip"} if item.ndim else {}
                made = b.create_dataset(name, data=values, dtype=kind, **chunked)
                for key in item.attrs:
                    if key not in ("DIMENSION_LIST", "CLASS", "NAME", "REFERENCE_LIST", "flag_values", "flag_meanings"):
                        made.attrs[key] = item.attrs[key]
                if item.dtype == "f4":
                    group, _, last = name.rpartition("/")
                    made.attrs["group"] = item.attrs.get("group", group)
                    made.attrs["name"] = item.attrs.get("name", last)
                    made.dims[0].attach_scale(b["time"])
            for name in ("moved", "closure"):
                b["ledger"].attrs[name] = a["ledger"].attrs[name]
        (before,), (after,) = lapheat.load(old), lapheat.load(new)
        self.assertEqual(before, after)


if __name__ == "__main__":
    unittest.main()
