"""The table of checks gates what it shows: rows, figures and the header of biases and spreads."""
import pathlib
import sys
import unittest

sys.path.insert(0, str(pathlib.Path(sys.argv.pop(1)) / "validation"))
import report  # noqa: E402


def row(**changes):
    made = {"kind": "measured", "topic": "Fins", "quantity": "film", "source": "a laboratory", "read": "",
            "from_memory": False, "common_practice": False, "own_data": False, "relation": "louvred_film",
            "outside": 100.0, "ours": 104.0, "unit": "-", "allowed": 10.0, "band": "±10 %", "pass": True,
            "points": [[100.0, 104.0], [50.0, 51.0]], "at": ["Re 500", "Re 900"], "worst": "Re 500",
            "note": "", "story": "", "out_of_range": False}
    made.update(changes)
    return made


class Gates(unittest.TestCase):
    def moved(self, ours):
        before = report.rows_of(report.report([row()])[0])
        after = report.rows_of(report.report([row(ours=ours)])[0])
        return report.moved(after, before)

    def test_a_figure_that_moves_by_more_than_a_tenth_of_its_allowance_is_named(self):
        self.assertEqual(self.moved(104.9), [])
        self.assertEqual(len(self.moved(105.2)), 1)
        self.assertEqual(len(self.moved(102.8)), 1)

    def test_a_row_too_many_is_seen(self):
        one = report.rows_of(report.report([row()])[0])
        two = report.rows_of(report.report([row(), row(quantity="friction")])[0])
        self.assertEqual(len(two.keys() - one.keys()), 1)

    def test_marks_never_enter_a_total(self):
        lines = report.counts([row(), row(quantity="b", from_memory=True), row(quantity="c", own_data=True)])
        self.assertIn("| 1 | 1 | 0 | 1 | 0 | 1 |", lines[2])

    def test_a_failed_row_is_told_with_its_story(self):
        text, _ = report.report([row(**{"pass": False, "ours": 130.0, "story": "Ours is high."})])
        self.assertIn("Ours is high.", text)
        self.assertIn("**FAILED**", text)

    def test_bias_and_spread_come_of_unmarked_rows_while_there_are_any(self):
        rows = [row(points=[[100.0, 110.0], [100.0, 110.0]], at=["", ""]),
                row(quantity="b", from_memory=True, points=[[100.0, 300.0]], at=[""])]
        found = report.scatter(rows)["louvred_film"]
        self.assertAlmostEqual(found["bias"], 0.0953, places=4)
        # One row of one source: its own claim of ±10 % keeps the next one in doubt, by more than half of it.
        self.assertGreater(found["spread"], 0.05)
        self.assertLess(found["spread"], 0.15)
        self.assertEqual((found["basis"], found["rows"], found["points"]), ("outside", 1, 2))
        only = report.scatter(rows[1:])["louvred_film"]
        self.assertEqual(only["basis"], "from_memory")

    def test_common_practice_says_nothing_of_scatter_and_libraries_come_last(self):
        self.assertNotIn("louvred_film", report.scatter([row(common_practice=True)]))
        both = report.scatter([row(), row(quantity="b", kind="library", points=[[100.0, 300.0]], at=[""])])
        self.assertEqual(both["louvred_film"]["basis"], "outside")
        alone = report.scatter([row(quantity="b", kind="library")])
        self.assertEqual(alone["louvred_film"]["basis"], "library")

    def test_what_nothing_measures_is_judged_and_says_so(self):
        self.assertEqual(report.scatter([])["fan_affinity"]["basis"], "judged")

    def test_the_header_must_hold_the_same_figures(self):
        _, a = report.report([row()])
        _, b = report.report([row(points=[[100.0, 120.0], [50.0, 51.0]])])
        self.assertTrue(report.headers_agree(a, a))
        self.assertFalse(report.headers_agree(a, b))


if __name__ == "__main__":
    unittest.main()
