"""`humid-hours` beside numpy's own count of the sine, and beside an hourly record; the indices that lean on it beside numpy.

Sine: 20,000 moments of each day's sine are counted, so a day is off by at most a few moments: 0.01 h.

Record: Newark airport 2013, May to September, days with 20 hours or more. From a day's extremes and mean dew point the hours at or over
90 % are told to within 2 h on average; with the dew point taken as the day's minimum (what is done where no humidity was measured) they
are several hours too many. Both means are asserted, so that neither is forgotten.

Means: `humidity-mean` beside numpy's mean of the same sine, to 0.1 point, and beside the record, where it is a point low and the
humidity at the mean temperature nearly two. From it the brown patch index of a day with no measured mean finds fewer warnings than the
record's own mean does: at the authors' line of 6 five of nine, at the Kentucky line of 5 eight of nine with eight too many. Both are
asserted: the watch takes the second.

Bands: `humid-hours-between` beside numpy's count, 0.01 h.

`brown-patch-index` and `anthracnose-index`: numpy's polynomials of the coefficients their abstracts print; 1e-9.
"""

import csv
from collections import defaultdict

import numpy as np

from conftest import HERE

AGAINST = "numpy"


def saturation(t):
    return 0.6108 * np.exp(17.27 * t / (t + 237.3))


def days():
    by_day = defaultdict(list)
    with (HERE / "data" / "newark-nj-2013-summer-hourly.csv").open(newline="") as file:
        for row in csv.DictReader(file):
            by_day[row["time_est"][:10]].append([float(row[k]) for k in ("temp_c", "tdew_c", "rh_pct")])
    return [np.array(hours) for hours in by_day.values() if len(hours) >= 20]


def items(hourly, dew):
    return [
        {"tmin_c": d[:, 0].min(), "tmax_c": d[:, 0].max(), "dewpoint_c": dew(d), "threshold_pct": 90} for d in hourly
    ]


def mean_dew(d):
    return float(d[:, 1].mean())


def test_the_sine(calc, agree):
    asked = items(days(), mean_dew)
    ours = [r["hours"] for r in calc("humid-hours", asked)]
    phase = np.sin(2 * np.pi * (np.arange(20_000) + 0.5) / 20_000)
    theirs = []
    for d in asked:
        t = (d["tmin_c"] + d["tmax_c"]) / 2 + (d["tmax_c"] - d["tmin_c"]) / 2 * phase
        theirs.append(24 * np.mean(saturation(d["dewpoint_c"]) / saturation(t) >= 0.9))
    agree("humid-hours", "a day's sine", AGAINST, ours, theirs, 0.01, "h")


def test_an_hourly_record(calc):
    hourly = days()
    real = np.array([24 * np.mean(d[:, 2] >= 90) for d in hourly])
    told = np.array([r["hours"] for r in calc("humid-hours", items(hourly, mean_dew))])
    guessed = np.array([r["hours"] for r in calc("humid-hours", items(hourly, lambda d: float(d[:, 0].min())))])
    print(f"{len(real)} days: mean error {np.mean(told - real):+.2f} h, mean size {np.mean(np.abs(told - real)):.2f} h; "
          f"dew point guessed {np.mean(guessed - real):+.2f} h, {np.mean(np.abs(guessed - real)):.2f} h")
    assert len(real) == 153
    assert np.mean(np.abs(told - real)) < 2 and abs(np.mean(told - real)) < 1
    assert np.mean(guessed - real) > 3


def test_the_mean(calc, agree):
    hourly = days()
    asked = [{"tmin_c": d[:, 0].min(), "tmax_c": d[:, 0].max(), "dewpoint_c": mean_dew(d)} for d in hourly]
    ours = np.array([r["rhmean_pct"] for r in calc("humidity-mean", asked)])
    phase = np.sin(2 * np.pi * (np.arange(20_000) + 0.5) / 20_000)
    theirs = []
    for d in asked:
        t = (d["tmin_c"] + d["tmax_c"]) / 2 + (d["tmax_c"] - d["tmin_c"]) / 2 * phase
        theirs.append(100 * np.minimum(1, saturation(d["dewpoint_c"]) / saturation(t)).mean())
    agree("humidity-mean", "a day's mean", AGAINST, ours, theirs, 0.1, "%")
    real = np.array([d[:, 2].mean() for d in hourly])
    middle = np.array([min(100, 100 * saturation(d["dewpoint_c"]) / saturation((d["tmin_c"] + d["tmax_c"]) / 2)) for d in asked])
    print(f"mean humidity: sine {np.mean(ours - real):+.2f} points, at the mean temperature {np.mean(middle - real):+.2f}")
    assert abs(np.mean(ours - real)) < 1 and np.mean(middle - real) < -1.5
    low = [d["tmin_c"] for d in asked]
    warned = lambda rh, line: np.array([r["index"] for r in calc("brown-patch-index", [
        {"rh_mean_pct": float(a), "tmin_c": b} for a, b in zip(rh, low)])]) >= line
    true = warned(real, 6)
    found = {line: (int((warned(ours, line) & true).sum()), int((warned(ours, line) & ~true).sum())) for line in (6, 5)}
    print(f"brown patch: {int(true.sum())} warnings; found and false by line: {found}")
    assert int(true.sum()) == 9 and found == {6: (5, 0), 5: (8, 8)}


def test_bands(calc, agree):
    hourly = days()
    asked = [item | {"coolest_c": 20, "warmest_c": 32} for item in items(hourly, mean_dew)]
    ours = [r["hours"] for r in calc("humid-hours-between", asked)]
    phase = np.sin(2 * np.pi * (np.arange(20_000) + 0.5) / 20_000)
    theirs = []
    for d in asked:
        t = (d["tmin_c"] + d["tmax_c"]) / 2 + (d["tmax_c"] - d["tmin_c"]) / 2 * phase
        theirs.append(24 * np.mean((saturation(d["dewpoint_c"]) / saturation(t) >= 0.9) & (t >= 20) & (t <= 32)))
    agree("humid-hours-between", "a band of a day's sine", AGAINST, ours, theirs, 0.01, "h")


def test_the_indices(calc, agree):
    rng = np.random.default_rng(20_130_701)
    rh, t, w = rng.uniform(0, 100, 1000), rng.uniform(-10, 35, 1000), rng.uniform(0, 24, 1000)
    brown = calc("brown-patch-index", [{"rh_mean_pct": a, "tmin_c": b} for a, b in zip(rh, t)])
    theirs = 0.15 * rh + np.polynomial.polynomial.polyval(t, [-21.5, 1.4, -0.033])
    agree("brown-patch-index", "index", AGAINST, [r["index"] for r in brown], theirs, 1e-9, "")
    leaf = calc("anthracnose-index", [{"leaf_wetness_h": a, "air_mean_c": b} for a, b in zip(w, t)])
    theirs = np.polynomial.polynomial.polyval2d(w, t, [[4.0233, -0.5308, 0.0197], [-0.2283, 0.0155, 0], [-0.0013, 0, 0]])
    agree("anthracnose-index", "index", AGAINST, [r["index"] for r in leaf], theirs, 1e-9, "")
