#!/usr/bin/env python3
"""Takes the whole car through the first seconds of a cycle with SciPy, at tolerances of 1e-12.

    reference.py LIBRARY PLACEMENT CYCLE SECONDS WARM OUTPUT

Writes the states at every knot as doubles: one row of (time, state …) each. Prints SciPy's version,
the number of events that were handled and the number of calls of the right-hand side. Events are
located by SciPy (Brent's method on the dense output of the eighth-order pair), not by us.
"""
import ctypes
import sys

import numpy
import scipy
from scipy.integrate import solve_ivp

# Asked for 1e-10 it is itself up to 4e-6 K off in the smallest, stiffest volume (a bypass hose),
# against runs of either integrator at smaller tolerances.
TOLERANCE = 1e-12
SAME_MOMENT = 1e-9  # K; two fans on equal switches act together, SciPy names one of them
PAST_EVENT = 1e-6  # s without event functions after an event: the one that fired still stands at zero


class Car:
    def __init__(self, library, placement, cycle, seconds, warm):
        self.c = ctypes.CDLL(library)
        vector = numpy.ctypeslib.ndpointer(dtype=float, flags="C_CONTIGUOUS")
        pointer, real, integer = ctypes.c_void_p, ctypes.c_double, ctypes.c_int
        for name, result, arguments in (
                ("create", pointer, (ctypes.c_char_p, ctypes.c_char_p, real, integer)),
                ("free", None, (pointer,)), ("size", integer, (pointer,)), ("events", integer, (pointer,)),
                ("knots", integer, (pointer,)), ("knot", real, (pointer, integer)),
                ("slack", None, (pointer, vector)),
                ("start", None, (pointer, vector)), ("enter", None, (pointer, integer)),
                ("rhs", None, (pointer, real, vector, vector)),
                ("event_values", None, (pointer, real, vector, vector)),
                ("event_direction", integer, (pointer, integer)),
                ("handle", None, (pointer, integer, real, vector))):
            function = getattr(self.c, "lapheat_" + name)
            function.restype, function.argtypes = result, arguments
        self.p = self.c.lapheat_create(placement.encode(), cycle.encode(), seconds, warm)
        if not self.p:
            sys.exit(1)
        self.calls = 0
        self.size = self.c.lapheat_size(self.p)
        self.g = numpy.empty(self.c.lapheat_events(self.p))
        self.events = [self.event(i) for i in range(len(self.g))]

    def rhs(self, t, y):
        self.calls += 1
        dydt = numpy.empty(self.size)
        self.c.lapheat_rhs(self.p, t, numpy.ascontiguousarray(y), dydt)
        return dydt

    def event(self, i):
        def value(t, y):
            self.c.lapheat_event_values(self.p, t, numpy.ascontiguousarray(y), self.g)
            return self.g[i]
        value.terminal = True
        value.direction = self.c.lapheat_event_direction(self.p, i)
        return value


def stretch(car, begin, end, y, events, **way):
    way = {"method": "DOP853", "rtol": TOLERANCE, "atol": TOLERANCE} | way
    s = solve_ivp(car.rhs, (begin, end), y, events=events, **way)
    if s.status < 0:
        sys.exit(f"{s.message} at {s.t[-1]} s")
    return s


def drive(car, **way):
    """Rows of (time, state …) at the knots, and the number of events; `way` as solve_ivp takes it."""
    y = numpy.empty(car.size)
    car.c.lapheat_start(car.p, y)
    rows, handled = [], 0
    knots = [car.c.lapheat_knot(car.p, k) for k in range(car.c.lapheat_knots(car.p))]
    for k, (begin, end) in enumerate(zip(knots, knots[1:])):
        rows.append([begin, *y])
        car.c.lapheat_enter(car.p, k)
        t = begin
        while t < end:
            s = stretch(car, t, end, y, car.events, **way)
            t, y = s.t[-1], numpy.ascontiguousarray(s.y[:, -1])
            if s.status == 0:
                break
            car.events[0](t, y)  # fills car.g
            together = [i for i, times in enumerate(s.t_events) if len(times) or abs(car.g[i]) < SAME_MOMENT]
            for i in together:
                car.c.lapheat_handle(car.p, i, t, y)
            handled += len(together)
            past = min(t + PAST_EVENT, end)
            if past > t:
                s = stretch(car, t, past, y, None, **way)
                t, y = past, numpy.ascontiguousarray(s.y[:, -1])
    rows.append([knots[-1], *y])
    return numpy.array(rows), handled


def main():
    library, placement, cycle, seconds, warm, output = sys.argv[1:]
    car = Car(library, placement, cycle, float(seconds), int(warm))
    rows, handled = drive(car)
    rows.tofile(output)
    car.c.lapheat_free(car.p)
    print(scipy.__version__, handled, car.calls)


if __name__ == "__main__":
    main()
