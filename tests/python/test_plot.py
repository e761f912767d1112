"""Plots are looked at by people; here it is held that they show the data and say what it is."""

import unittest

import matplotlib

matplotlib.use("Agg")
import numpy as np
from matplotlib import colors, pyplot

import lapheat
from common import car, result, short
from lapheat import _style


class Plots(unittest.TestCase):
    def tearDown(self):
        pyplot.close("all")

    def lines(self, axes):
        return list(axes.lines)

    def test_every_temperature_and_every_limit_is_drawn_from_its_data(self):
        r = result()
        drawn = [np.asarray(line.get_ydata()) for line in self.lines(lapheat.plot.temperatures(r))]
        for v in r.verdicts:
            for name in ("watched_temperature", "limit"):
                want = r[f"loops/{v.loop}/{name}"] - 273.15
                self.assertTrue(any(d.shape == want.shape and np.array_equal(d, want) for d in drawn), name)

    def test_axes_say_their_quantity_and_unit(self):
        r = result()
        core = lapheat.core(car(), "cooler.transmission")
        figures = (
            lapheat.plot.temperatures(r),
            lapheat.plot.loop(r, "steering"),
            lapheat.plot.core_map(core, first_flow=[0.05, 0.1, 0.2], second_flow=[0.1, 0.2, 0.4],
                                  first_inlet=390.0, second_inlet=310.0),
        )  # fmt: skip
        for axes in figures:
            self.assertRegex(axes.get_ylabel(), r"\[.+\]")

    def test_labels_at_the_edge_do_not_overlap(self):
        axes = lapheat.plot.temperatures(result())
        axes.figure.canvas.draw()
        boxes = [t.get_window_extent() for t in axes.texts if t.get_text().strip()]
        for i, a in enumerate(boxes):
            for b in boxes[i + 1 :]:
                self.assertLess(min(a.y1, b.y1) - max(a.y0, b.y0), 4.0)

    def test_fluids_differ_in_grey_or_in_their_dashes(self):
        looks = list(_style.FLUIDS.values())
        for i, a in enumerate(looks):
            for b in looks[i + 1 :]:
                grey = [np.dot(colors.to_rgb(c.colour), (0.299, 0.587, 0.114)) for c in (a, b)]
                self.assertTrue(abs(grey[0] - grey[1]) > 0.12 or a.dashes != b.dashes)
                self.assertNotEqual(a.marker, b.marker)

    def test_a_loop_looks_as_its_role_says_whatever_it_is_called(self):
        roles = {"rack": "steering", "steering": "other"}
        self.assertEqual(_style.look("rack", roles=roles), _style.FLUIDS["steering"])
        self.assertIn(_style.look("steering", list(roles), roles), _style.OTHERS)
        self.assertEqual({v.loop: v.role for v in result().verdicts}["transmission"], "transmission")

    def test_the_energy_drawn_is_the_energy_of_the_ledger(self):
        from lapheat import _draw_energy

        r = result()
        left, right = _draw_energy._sides(r, 0.01)
        self.assertAlmostEqual(sum(f[1] for f in left) / sum(f[1] for f in right), 1.0, delta=1e-6)
        lapheat.plot.energy(r)

    def test_spreading_labels_moves_none_that_has_room(self):
        self.assertEqual(_style.spread([0.0, 10.0, 5.0], 2.0), [0.0, 10.0, 5.0])
        moved = sorted(_style.spread([1.0, 1.0, 1.1], 1.0))
        np.testing.assert_allclose(np.diff(moved), 1.0)

    def test_a_course_needs_a_phase_that_is_there(self):
        with self.assertRaises(KeyError):
            lapheat.plot.course(result(), lapheat.cone_course(), phase="run 99")

    def test_margins_mark_every_fluid_of_every_placement(self):
        axes = lapheat.plot.margins([result()])
        marks = [x for line in self.lines(axes) if line.get_marker() in "os^D" for x in line.get_xdata()]
        for v in result().verdicts:
            self.assertIn(v.margin, marks)


class Axes(unittest.TestCase):
    """Taken, given back, and left as they look."""

    def tearDown(self):
        pyplot.close("all")

    def each(self):
        """(name, a call that draws on ax) of every plot of one pair of axes."""
        r = result()
        core = lapheat.core(car(), "cooler.transmission")
        session = lapheat.run(car(), lapheat.lap_session(car(), lapheat.cone_course(), wait=10))
        flows = dict(first_flow=[0.05, 0.1, 0.2], second_flow=[0.1, 0.2, 0.4], first_inlet=390.0, second_inlet=310.0)
        yield "temperatures", lambda ax: lapheat.plot.temperatures(r, ax=ax)
        yield "margins", lambda ax: lapheat.plot.margins([r], ax=ax)
        yield "energy", lambda ax: lapheat.plot.energy(r, ax=ax)
        yield "loop", lambda ax: lapheat.plot.loop(r, "coolant", car(), ax=ax)
        yield "core_map", lambda ax: lapheat.plot.core_map(core, **flows, ax=ax)
        yield "course", lambda ax: lapheat.plot.course(session, lapheat.cone_course(), phase="run 1", ax=ax)

    def test_axes_that_are_given_come_back_with_their_own_look(self):
        for name, draw in self.each():
            with pyplot.rc_context({"axes.facecolor": "#203040", "axes.spines.top": True, "font.family": "serif"}):
                figure, ax = pyplot.subplots()
            self.assertIs(draw(ax), ax, name)
            self.assertEqual(colors.to_hex(ax.get_facecolor()), "#203040", name)
            self.assertTrue(ax.spines["top"].get_visible(), name)

    def test_nothing_of_matplotlibs_settings_is_touched(self):
        seen = []
        before = dict(matplotlib.rcParams)

        class Watched(type(matplotlib.rcParams)):
            def __setitem__(self, key, value):
                seen.append(key)
                super().__setitem__(key, value)

        kept = matplotlib.rcParams.__class__
        matplotlib.rcParams.__class__ = Watched
        try:
            for name, draw in self.each():
                draw(None)
        finally:
            matplotlib.rcParams.__class__ = kept
        self.assertEqual(seen, [])
        self.assertEqual(dict(matplotlib.rcParams), before)

    def test_a_dark_ground_gets_light_ink(self):
        def contrast(colour, ground):
            def luminance(c):
                rgb = [x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in colors.to_rgb(c)]
                return float(np.dot(rgb, (0.2126, 0.7152, 0.0722)))

            a, b = sorted((luminance(colour), luminance(ground)))
            return (b + 0.05) / (a + 0.05)

        for ground in ("white", "black"):
            for name, draw in self.each():
                with pyplot.rc_context({"axes.facecolor": ground, "figure.facecolor": ground}):
                    ax = draw(None)
                    for text in [t for t in ax.texts if t.get_text().strip()] + [ax.title, ax.xaxis.label, ax.yaxis.label]:
                        if text.get_text() and text.get_bbox_patch() is None:
                            self.assertGreater(contrast(text.get_color(), ground), 3.0, (name, ground, text.get_text()))
            for style in _style.FLUIDS.values():
                shown = style.colour if ground == "white" else _style._ON_DARK[style.colour]
                self.assertGreater(contrast(shown, ground), 3.0)

    def test_threads_draw_at_once_what_one_draws(self):
        import io
        from concurrent.futures import ThreadPoolExecutor

        def picture(_):
            out = io.BytesIO()
            lapheat.plot.temperatures(result()).figure.savefig(out, format="png", dpi=60)
            return out.getvalue()

        with ThreadPoolExecutor(4) as pool:
            drawn = list(pool.map(picture, range(8)))
        self.assertEqual(len(set(drawn)), 1)
        self.assertEqual(drawn[0], picture(0))
        self.assertEqual(len(pyplot.get_fignums()), 1)  # the last alone: pyplot never saw the threads'

    def test_the_styles_are_settings_that_matplotlib_takes(self):
        for style in (lapheat.plot.STYLE, lapheat.plot.DARK_STYLE):
            with pyplot.rc_context(style):
                pyplot.figure()


class Meaning(unittest.TestCase):
    def tearDown(self):
        pyplot.close("all")

    def test_the_least_margin_is_ringed_and_told(self):
        r = result()
        ax = lapheat.plot.temperatures(r)
        words = [t.get_text() for t in ax.texts]
        rings = [(float(line.get_xdata()[0]), float(line.get_ydata()[0])) for line in ax.lines if line.get_marker() == "o"]
        for v in r.verdicts:
            self.assertIn(f"{v.loop.replace('_', ' ')}, least margin {v.margin:.0f} K", words)
            gap = r[f"loops/{v.loop}/limit"] - r[f"loops/{v.loop}/watched_temperature"]
            at = int(np.argmin(gap))
            self.assertIn((float(r.time[at] / 60), float(r[f"loops/{v.loop}/watched_temperature"][at] - 273.15)), rings)

    def test_long_cycles_are_told_in_hours(self):
        long = lapheat.run(car(), lapheat.cycle("idle all day", [0, 3 * 3600], [0, 0], ambient=290), sample_interval=60)
        ax = lapheat.plot.temperatures(long)
        self.assertEqual(ax.get_xlabel(), "time [h]")
        self.assertAlmostEqual(ax.get_xlim()[1], 3.0)
        self.assertEqual(lapheat.plot.temperatures(result()).get_xlabel(), "time [min]")

    def test_parallel_branches_share_their_stretch_of_the_loop(self):
        from lapheat import _draw_loop

        r = result()
        known = {p.split("/")[2] for p in r if p.startswith("loops/coolant/") and p.endswith("/temperature")}
        known = list(dict.fromkeys(_draw_loop.re.sub(r"_\d+_\d+$", "", k) for k in known))
        ways = {w.name: w for w in _draw_loop._ways(car(), "coolant", known)}
        self.assertEqual(ways["radiator"].level, ways["bypass"].level)
        self.assertNotEqual(ways["engine"].level, ways["radiator"].level)
        self.assertEqual(sorted(p for w in ways.values() for p in w.parts), sorted(known))
        ax = lapheat.plot.loop(r, "coolant", car())
        told = " ".join(t.get_text() for t in ax.texts)
        self.assertIn("bypass", told)
        self.assertIn("kg/s", told)

    def test_a_limit_is_drawn_at_the_part_that_is_watched_and_nowhere_else(self):
        r = result()
        ax = lapheat.plot.loop(r, "transmission", car())
        limits = [t for t in ax.texts if t.get_text().startswith("limit")]
        self.assertEqual(len(limits), 1)
        watched = next(v.part for v in r.verdicts if v.loop == "transmission")
        near = [t.get_text().replace("\n", " ") for t, x in zip(ax.get_xticklabels(), ax.get_xticks())
                if abs(x - limits[0].get_position()[0]) < 0.01]  # fmt: skip
        self.assertEqual(near, [watched])

    def test_the_map_of_a_core_shades_nothing(self):
        core = lapheat.core(car(), "cooler.transmission")
        ax = lapheat.plot.core_map(core, first_flow=np.linspace(0.02, 0.25, 20), second_flow=np.linspace(0.05, 0.6, 20),
                                   first_inlet=393.15, second_inlet=313.15)  # fmt: skip
        from matplotlib.collections import PathCollection, PolyCollection

        filled = [c for c in ax.collections if isinstance(c, (PolyCollection, PathCollection)) and len(c.get_facecolor())]
        self.assertEqual(filled, [])


class Buying(unittest.TestCase):
    def tearDown(self):
        pyplot.close("all")

    def test_the_map_of_hottest_days_is_of_the_worst_cycle_and_says_its_axes(self):
        tight = car().with_value("loops.transmission.limits.limit", "90 degC")
        data = lapheat.sweep(tight, {"altitude": [0.0, 1500.0], "grade": [0.0, 0.03, 0.06]}, [short()], hottest=True)
        self.assertTrue((data.hottest.diff("grade") <= 0).all(), data.hottest.values)
        self.assertTrue((data.hottest.isel(grade=2) < data.hottest.isel(grade=0)).all(), data.hottest.values)
        ax = lapheat.plot.hottest(data)
        self.assertIn("[m]", ax.get_xlabel())
        self.assertRegex(ax.get_ylabel(), r"grade.*\[%\]")
        self.assertEqual(ax.get_ylim(), (0.0, 6.0))
        line = lapheat.plot.hottest(data.sel(altitude=0.0)).lines[0]
        np.testing.assert_array_equal(line.get_ydata(), data.hottest.sel(altitude=0.0).values[:, 0] - 273.15)
        with self.assertRaises(ValueError):
            lapheat.plot.hottest(data, cycle="no such")
        with self.assertRaises(ValueError):
            lapheat.plot.hottest(lapheat.sweep(car(), {"altitude": [0.0, 1500.0]}, [short()]))

    def test_the_front_has_a_point_for_each_choice_and_the_chosen_one_filled(self):
        choices = [{"choice": f"cooler {i}", "price": 50.0 * i, "margin": 4.0 * i - 6, "margin_low": 4.0 * i - 8,
                    "margin_high": 4.0 * i - 5} for i in range(1, 5)]  # fmt: skip
        found = lapheat.Search(front=choices, answer=1, shopping=[], currency="EUR", choices=9, runs=1, runs_of_all=2,
                               cautions=[], words=[])  # fmt: skip
        ax = lapheat.plot.front(found)
        points = next(line for line in ax.lines if line.get_marker() == "o" and len(line.get_xdata()) == 4)
        np.testing.assert_array_equal(points.get_xdata(), [50, 100, 150, 200])
        np.testing.assert_array_equal(points.get_ydata(), [-2, 2, 6, 10])
        self.assertTrue(any(list(line.get_xdata()) == [100.0] for line in ax.lines))
        self.assertIn("[EUR]", ax.get_xlabel())


if __name__ == "__main__":
    unittest.main()
