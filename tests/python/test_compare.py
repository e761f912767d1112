import threading
import os
import signal
import unittest

import lapheat
from common import LAPS, SCENARIOS


def placements():
    names = ("ahead_of_radiator", "under_floor")
    return [lapheat.read(SCENARIOS / "placements" / f"{n}.toml", cycles=[LAPS]) for n in names]


class Comparing(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.cars = placements()
        cls.found = lapheat.compare(cls.cars)

    def test_the_ranking_is_of_all_placements_from_the_best_margin_down(self):
        self.assertEqual({r.placement for r in self.found.ranking}, {c.placement for c in self.cars})
        first, last = self.found.ranking[0], self.found.ranking[-1]
        self.assertTrue(first.holds or not last.holds)
        if first.holds == last.holds:
            self.assertGreaterEqual(first.worst_margin, last.worst_margin - self.found.doubt)
        self.assertIn("judged by", self.found.rule)
        # it may begin the sentence
        self.assertIn(first.placement, self.found.verdict[0].lower() + self.found.verdict[1:])

    def test_an_outcome_is_the_run_of_its_scenario(self):
        for c in self.cars:
            alone = lapheat.run(c)
            outcome = self.found[c.placement, "timed laps"]
            self.assertEqual([v.margin for v in outcome.result.verdicts], [v.margin for v in alone.verdicts])
            ranked = [v.margin for v in alone.verdicts if v.loop not in self.found.left_out]
            self.assertEqual(outcome.worst_margin, min(ranked))

    def test_series_outlive_the_comparison(self):
        series = lapheat.compare(self.cars[:1]).outcomes[0].result["car/speed"]
        self.assertEqual(series[0], self.found.outcomes[0].result["car/speed"][0])
        self.assertGreater(series.max(), 5.0)

    def test_ctrl_c_stops_a_comparison(self):
        threading.Timer(0.3, os.kill, (os.getpid(), signal.SIGINT)).start()
        with self.assertRaises(KeyboardInterrupt):
            lapheat.compare(self.cars * 20, keep_series=False)

    def test_a_comparison_shows_its_verdict(self):
        self.assertIn(self.found.verdict, repr(self.found))
        self.assertIn("<table>", self.found._repr_html_())
        self.assertIn("<html", self.found.page())


if __name__ == "__main__":
    unittest.main()
