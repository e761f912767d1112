"""Water and dry air by the library iapws (Debian package python3-iapws), as JSON."""

import json
import time

import iapws
from iapws import IAPWS95, IAPWS97
from iapws.humidAir import Air

water = []
for celsius in (1, 20, 40, 60, 80, 90, 100, 110, 120, 130, 150, 175):
    kelvin = celsius + 273.15
    # The table of ours lies 0.1 MPa above saturation.
    pressure = IAPWS97(T=kelvin, x=0).P + 0.1
    state = IAPWS95(T=kelvin, P=pressure)
    water.append({"kelvin": kelvin, "density": state.rho, "specific_heat": 1e3 * state.cp,
                  "conductivity": state.k, "viscosity": state.mu})

boiling = [{"pressure": p, "kelvin": IAPWS97(P=p * 1e-6, x=0).T}
           for p in (5e4, 101325.0, 150e3, 211641.0, 300e3, 1e6)]

air = []
for kelvin in (243.15, 273.15, 300.0, 323.15, 350.0, 400.0, 450.0):
    state = Air(T=kelvin, P=0.101325)
    air.append({"kelvin": kelvin, "density": state.rho, "specific_heat": 1e3 * state.cp,
                "conductivity": state.k, "viscosity": state.mu})

start = time.perf_counter()
for i in range(200):
    IAPWS97(T=300 + 0.3 * i, P=0.2)
seconds = (time.perf_counter() - start) / 200

print(json.dumps({"version": iapws.__version__, "water": water, "boiling": boiling, "air": air,
                  "seconds_per_state": seconds}))
