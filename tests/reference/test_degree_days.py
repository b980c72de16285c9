"""`degree-days` by the single-sine method against the sine itself, integrated by scipy 1.17.1.

The temperature of a day is taken as M + A sin(2 pi t), t from 0 to 1, through the two extremes. What a horizontal upper threshold U
and a base B make of it is the integral of min(T, U) - B where that is above 0. `scipy.integrate.quad` integrates the curve between
the points where it crosses a threshold, found by `scipy.optimize.brentq`: no closed form is used.

Tolerance: quad is asked for 1e-11 on each of at most nine pieces, and a crossing found to 1e-14 day is off by less than 1e-12 °C d:
1e-9 °C d.
"""

import math

from scipy.integrate import quad
from scipy.optimize import brentq

AGAINST = "scipy 1.17.1"


def integral(low, high, base, upper):
    mean, swing = (low + high) / 2, (high - low) / 2
    temperature = lambda t: mean + swing * math.sin(2 * math.pi * t)
    counted = lambda t: max(min(temperature(t), upper) - base, 0)
    edges = {0.0, 0.25, 0.75, 1.0}
    for threshold in (base, upper):
        for start, end in ((0, 0.25), (0.25, 0.75), (0.75, 1)):
            over = lambda t: temperature(t) - threshold
            if math.isfinite(threshold) and over(start) * over(end) < 0:
                edges.add(brentq(over, start, end, xtol=1e-14))
    edges = sorted(edges)
    return sum(quad(counted, a, b, epsabs=1e-11, epsrel=1e-11)[0] for a, b in zip(edges, edges[1:]))


def test_single_sine(calc, agree, champion):
    # Every day of two years, a mild and a hot one.
    days = [day for day in champion if day["date"][:4] in ("1993", "2012")]
    for base, upper in ((10.0, None), (10.0, 30.0), (0.0, 20.0), (18.3, 25.0)):
        item = {"method": "single-sine", "base_c": base, "days": [{k: day[k] for k in ("tmin_c", "tmax_c")} for day in days]}
        if upper is not None:
            item["upper_c"] = upper
        [result] = calc("degree-days", [item])
        theirs = [integral(day["tmin_c"], day["tmax_c"], base, math.inf if upper is None else upper) for day in days]
        agree("degree-days", "daily, single sine", AGAINST, result["daily"], theirs, 1e-9, "°C d")
        agree("degree-days", "total, single sine", AGAINST, [result["total"]], [math.fsum(theirs)], 1e-6, "°C d")
