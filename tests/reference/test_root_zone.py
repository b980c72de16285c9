"""`root-zone-balance` against pyfao56 1.4.3, day by day over whole seasons of the Champion record.

pyfao56 is an independent program of the same paper (FAO-56, chapter 8) in its dual form, ETa = (Ks Kcb + Ke) ET0. Its
evaporation Ke is made nil by its own parameters: the layer that dries by evaporation is 1 mm deep, so that the water in it (TEW)
is less than the depth that evaporates first (REW, 8 mm), and eq. 74 gives Kr = 0 on every day. What is left is the single form
with Kc = Kcb. Kcb is set day by day through its `Update` table, ET0 through its weather table, irrigation through its irrigation
table.

Tolerance: both sides work the same equations in double precision on 214 days in a row, so only rounding is left: about 1e-14 mm
is found and 1e-9 mm asserted (0.01 mm is what the model is asked for).

One difference by design: where the day would end below the wilting point, pyfao56 cuts the depletion (eq. 86) but not the ETa,
and so counts water that is not there; `root-zone-balance` cuts both. It can only happen where a day's demand is above
(1 − p) TAW, and then the two ETa differ by what was cut; the last test shows just that.
"""

import datetime
import math
import random

import numpy as np
import pyfao56
import pytest

TOLERANCE = 1e-9
AGAINST = "pyfao56 1.4.3"

# name, field capacity, wilting point, root depth m, depletion fraction
SOILS = {
    "sandy loam, lawn": (0.18, 0.08, 0.25, 0.40),
    "loam, lawn": (0.28, 0.14, 0.20, 0.40),
    "silt loam, warm-season lawn": (0.31, 0.11, 0.30, 0.50),
    "clay, bed": (0.42, 0.30, 0.45, 0.50),
    "sand, trees": (0.10, 0.05, 1.00, 0.55),
}
# a drought and a wet year of the record
YEARS = (2012, 1993)
SCHEDULES = ("rain alone", "every third day", "when it looks dry")


def season(champion, year):
    days = [day for day in champion if f"{year}-04-01" <= day["date"] <= f"{year}-10-31"]
    assert len(days) == 214
    return days


def kc_of(index):
    """A coefficient that moves through the season, as a lawn's does."""
    return round(0.80 + 0.15 * math.sin(math.pi * index / 213), 4)


def irrigation_of(schedule, days, seed):
    draw = random.Random(seed)
    if schedule == "every third day":
        return [9.0 if i % 3 == 0 else 0.0 for i in range(len(days))]
    if schedule == "when it looks dry":
        return [round(draw.uniform(2, 30), 1) if draw.random() < 0.15 else 0.0 for _ in days]
    return [0.0] * len(days)


def reference(days, kc, irrigation, soil, start_share, adjust, roff=False):
    """The season by pyfao56; `start_share` is the share of TAW missing before the first day."""
    fc, wp, depth, p = soil
    parameters = pyfao56.Parameters(
        # Growth never begins, so that height and roots stay; Kcb comes from the update table.
        Kcbini=0.0, Kcbmid=1.0, Kcbend=1.0, Lini=1000, Ldev=1, Lmid=1, Lend=1, hini=0.1, hmax=0.1,
        thetaFC=fc, thetaWP=wp, theta0=fc - start_share * (fc - wp), Zrini=depth, Zrmax=depth, pbase=p, Ze=0.001, REW=8.0,
        CN2=75,
    )
    weather, water, update = pyfao56.Weather(), pyfao56.Irrigation(), pyfao56.Update()
    weather.rfcrp, weather.wndht = "S", 2.0
    keys = [datetime.date.fromisoformat(day["date"]).strftime("%Y-%j") for day in days]
    for key, day, k, depth_mm in zip(keys, days, kc, irrigation):
        nan = math.nan
        weather.wdata.loc[key] = [nan, day["tmax_c"], day["tmin_c"], nan, nan, nan, 45.0, 2.0, day["precip_mm"], day["et0_mm"], "M"]
        update.udata.loc[key] = [k, nan, nan]
        if depth_mm > 0:
            water.addevent(int(key[:4]), int(key[5:]), depth_mm, 1.0)
    model = pyfao56.Model(keys[0], keys[-1], parameters, weather, irr=water, upd=update, cons_p=not adjust, roff=roff)
    model.run()
    found = {name: model.odata[name].to_numpy(float) for name in ("Ke", "TAW", "RAW", "ETc", "Ks", "ETa", "DP", "Dr", "Runoff")}
    assert (found["Ke"] == 0).all(), "evaporation must be nil for the two to be comparable"
    return found


def item(days, kc, irrigation, soil, start_share, adjust, runoff=None):
    fc, wp, depth, p = soil
    return {
        "available_mm_m": 1000 * (fc - wp),
        "root_depth_m": depth,
        "depletion_fraction": p,
        "adjust_fraction": adjust,
        "initial_depletion_mm": start_share * 1000 * (fc - wp) * depth,
        "days": [
            {"et0_mm": d["et0_mm"], "kc": k, "rain_mm": d["precip_mm"], "irrigation_mm": i, "runoff_mm": 0.0 if runoff is None else r}
            for d, k, i, r in zip(days, kc, irrigation, runoff if runoff is not None else [0.0] * len(days))
        ],
    }


def compare(agree, result, found):
    ours = {name: np.array([day[name] for day in result["days"]]) for name in result["days"][0]}
    agree("root-zone-balance", "TAW", AGAINST, [result["taw_mm"]], [found["TAW"][0]], TOLERANCE, "mm")
    for name, theirs, unit in (
        ("etc_mm", "ETc", "mm"), ("raw_mm", "RAW", "mm"), ("ks", "Ks", ""), ("eta_mm", "ETa", "mm"),
        ("drainage_mm", "DP", "mm"), ("depletion_mm", "Dr", "mm"),
    ):
        agree("root-zone-balance", name, AGAINST, ours[name], found[theirs], TOLERANCE, unit)
    return ours


@pytest.mark.parametrize("soil", SOILS)
def test_seasons(calc, agree, champion, soil):
    cases = []
    for year in YEARS:
        days = season(champion, year)
        kc = [kc_of(i) for i in range(len(days))]
        for number, schedule in enumerate(SCHEDULES):
            # Every soil sees both rules for p, and every schedule does over the soils and years.
            adjust = (number + year + list(SOILS).index(soil)) % 2 == 0
            irrigation = irrigation_of(schedule, days, year)
            start_share = (0.0, 0.3, 0.9)[number]
            cases.append((days, kc, irrigation, SOILS[soil], start_share, adjust))
    results = calc("root-zone-balance", [item(*case) for case in cases])
    stressed = drained = 0
    for case, result in zip(cases, results):
        ours = compare(agree, result, reference(*case))
        stressed += int((ours["ks"] < 1).sum())
        drained += int((ours["drainage_mm"] > 0).sum())
    # The comparison means little unless both sides of it were met.
    assert stressed > 50 and drained > 10, (stressed, drained)


def test_rain_that_runs_off(calc, agree, champion):
    """pyfao56 works out the runoff of a wet year; the same depths are handed over as `runoff_mm`."""
    days = season(champion, 1993)
    kc = [0.9] * len(days)
    irrigation = [0.0] * len(days)
    case = (days, kc, irrigation, SOILS["silt loam, warm-season lawn"], 0.2, True)
    found = reference(*case, roff=True)
    assert found["Runoff"].sum() > 1
    [result] = calc("root-zone-balance", [item(*case, runoff=found["Runoff"].tolist())])
    compare(agree, result, found)


def test_no_water_is_invented(calc, agree, champion):
    """A bucket so small that one hot day empties it: depletion agrees, ETa differs by what eq. 86 cuts, ours balances."""
    days = season(champion, 2012)
    kc = [kc_of(i) for i in range(len(days))]
    irrigation = irrigation_of("when it looks dry", days, 7)
    soil = (0.10, 0.05, 0.10, 0.5)
    case = (days, kc, irrigation, soil, 0.5, False)
    found = reference(*case)
    [result] = calc("root-zone-balance", [item(*case)])
    ours = {name: np.array([day[name] for day in result["days"]]) for name in result["days"][0]}
    taw = result["taw_mm"]
    before = np.concatenate([[0.5 * taw], found["Dr"][:-1]])
    inflow = np.array([d["precip_mm"] for d in days]) + np.array(irrigation)
    cut = np.maximum(before - inflow + found["ETa"] + found["DP"] - taw, 0)
    assert (cut > 0.5).sum() > 5
    for name, theirs in (("ks", "Ks"), ("drainage_mm", "DP"), ("depletion_mm", "Dr")):
        agree("root-zone-balance", name, AGAINST, ours[name], found[theirs], TOLERANCE, "" if name == "ks" else "mm")
    agree("root-zone-balance", "eta_mm", AGAINST + " less what it cuts", ours["eta_mm"], found["ETa"] - cut, TOLERANCE, "mm")
    change = ours["depletion_mm"] - np.concatenate([[0.5 * taw], ours["depletion_mm"][:-1]])
    balance = inflow - ours["eta_mm"] - ours["drainage_mm"] + change
    agree("root-zone-balance", "water in less water out", "nothing", balance, np.zeros_like(balance), 1e-9, "mm")
