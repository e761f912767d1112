"""Plots are looked at by people; here it is held that they show the data and say what it is."""

import unittest

import matplotlib

matplotlib.use("Agg")
import numpy as np
from matplotlib import colors, pyplot

import lapheat
from common import car, result
from lapheat import _style


class Plots(unittest.TestCase):
    def tearDown(self):
        pyplot.close("all")

    def lines(self, figure):
        return [line for ax in figure.axes for line in ax.lines]

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
        for figure in figures:
            self.assertRegex(figure.axes[0].get_ylabel(), r"\[.+\]")

    def test_labels_at_the_edge_do_not_overlap(self):
        figure = lapheat.plot.temperatures(result())
        figure.canvas.draw()
        boxes = [t.get_window_extent() for t in figure.axes[0].texts if t.get_text().strip()]
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
        figure = lapheat.plot.margins([result()])
        marks = [x for line in self.lines(figure) if line.get_marker() in "os^D" for x in line.get_xdata()]
        for v in result().verdicts:
            self.assertIn(v.margin, marks)


if __name__ == "__main__":
    unittest.main()
