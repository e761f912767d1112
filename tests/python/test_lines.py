"""Lines, pumps and the shopping list from Python."""

import os
import unittest

import lapheat


class Lines(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        scenarios = os.environ["LAPHEAT_SCENARIOS"]
        cls.rear = lapheat.read(scenarios + "/placements/rear.toml")
        cls.result = lapheat.run(cls.rear, "traffic")

    def test_a_result_tells_of_lines_and_pumps(self):
        hose = next(line for line in self.result.lines if line.part == "supply hose")
        self.assertAlmostEqual(hose.length, 3.2)
        oil = lapheat.core(self.rear, "cooler.transmission").first
        nu = oil.kinematic_viscosity(float(self.result["loops/transmission/supply_hose_1_6/temperature"][-1]))
        self.assertAlmostEqual(hose.reynolds / (hose.velocity * hose.inner_diameter / nu), 1.0, delta=0.02)
        self.assertGreaterEqual(hose.pressure_loss_peak, hose.pressure_loss)
        self.assertTrue(all(p.suction_margin > 0 for p in self.result.pumps))
        self.assertIn("supply hose", repr(hose))

    def test_a_metre_of_hose_costs_flow(self):
        costs = {c["part"]: c for c in lapheat.line_costs(self.rear, "traffic")}
        self.assertGreater(costs["supply hose"]["flow_per_metre"], 0)
        self.assertGreater(costs["supply hose"]["flow_per_bend"], 0)
        with self.assertRaises(lapheat.Error):
            lapheat.line_costs(self.rear, "traffic", metres=0)

    def test_the_list_cuts_hoses_with_the_allowance_asked_for(self):
        def hose(allowance):
            return sum(i["length"] for i in lapheat.plumbing(self.rear, allowance=allowance) if i["what"] == "hose")

        self.assertAlmostEqual(hose(0.1), 1.1 * hose(0))


if __name__ == "__main__":
    unittest.main()
