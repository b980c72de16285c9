"""`watering-optimum` against scipy: the season as a linear programme, and with a least depth as a mixed-integer programme.

Variables of both: the depth I of each day and the depletion D at its end. Rows: D_t ≥ D_(t−1) − P_t − I_t + E_t, D_(t−1) − P_t − I_t ≤ RAW_t,
0 ≤ D_t, D_last ≤ end, I_t ≤ most; with a least depth a yes-or-no variable z for each day, least z ≤ I ≤ most z. Relaxing the balance to an
inequality changes nothing: a depletion told too great only asks for more water. The least sum of I is compared on days of the
Champion record.

Tolerance: ours works in steps of 1/50 mm (of the root zone's three-thousandth where that is more); rounding moves the end of a season and the
line of stress by a step each, and the two sides' sums by as much: 0.1 mm.
"""

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, linprog, milp
from scipy.sparse import lil_matrix

TOLERANCE = 0.1
AGAINST = "scipy (HiGHS)"

# name, TAW, depletion fraction
SOILS = {"shallow loam": (22.0, 0.45), "deep silt loam": (58.0, 0.5)}
YEARS = (2012, 2014, 2016)


def season(champion, year, first="06-01", last="08-15"):
    return [day for day in champion if f"{year}-{first}" <= day["date"] <= f"{year}-{last}"]


def item(days, taw, p, least, every, end_share=0.4):
    known = []
    for i, day in enumerate(days):
        demand = round(0.9 * day["et0_mm"], 2)
        raw = taw * min(0.8, max(0.1, p + 0.04 * (5 - demand)))
        known.append({
            "demand_mm": demand, "rain_mm": day["precip_mm"], "raw_mm": raw,
            "least_mm": least, "most_mm": 40.0 if i % every == 0 else 0.0,
        })
    return {"taw_mm": taw, "start_mm": 0.0, "end_at_most_mm": end_share * taw, "days": known}


def programme(case, whole):
    """Cost, rows and bounds; the variables are I (n), D (n) and with `whole` z (n)."""
    days, n = case["days"], len(case["days"])
    rows, low = lil_matrix((4 * n, 3 * n)), np.full(4 * n, -np.inf)
    for t, day in enumerate(days):
        # D_t − D_(t−1) + I_t ≥ E_t − P_t
        rows[t, n + t], rows[t, t] = 1, 1
        # −(D_(t−1) − I_t) ≥ −RAW_t − P_t
        rows[n + t, t] = 1
        low[t], low[n + t] = day["demand_mm"] - day["rain_mm"], -day["raw_mm"] - day["rain_mm"]
        if t > 0:
            rows[t, n + t - 1] = rows[n + t, n + t - 1] = -1
        else:
            low[t] += case["start_mm"]
            low[n + t] += case["start_mm"]
        # most z − I ≥ 0, I − least z ≥ 0
        rows[2 * n + t, 2 * n + t], rows[2 * n + t, t], low[2 * n + t] = day["most_mm"], -1, 0
        rows[3 * n + t, t], rows[3 * n + t, 2 * n + t], low[3 * n + t] = 1, -day["least_mm"], 0
    most = np.array([d["most_mm"] for d in days])
    top = np.concatenate([most, np.full(n, np.inf), np.ones(n)])
    top[2 * n - 1] = case["end_at_most_mm"]
    cost = np.concatenate([np.ones(n), np.zeros(2 * n)])
    if not whole:
        rows, low = rows.tocsr()[: 2 * n, : 2 * n], low[: 2 * n]
        return cost[: 2 * n], rows, low, top[: 2 * n]
    return cost, rows.tocsr(), low, top


@pytest.mark.parametrize("soil", SOILS)
@pytest.mark.parametrize("every", (1, 2))
def test_free_depths(calc, agree, champion, soil, every):
    """No least depth: the linear programme. Where the rules leave stress nobody can avoid there is no such programme to solve."""
    cases = [item(season(champion, year), *SOILS[soil], 0.0, every) for year in YEARS]
    results = calc("watering-optimum", cases)
    ours, theirs = [], []
    for case, result in zip(cases, results):
        cost, rows, low, top = programme(case, whole=False)
        best = linprog(cost, A_ub=-rows, b_ub=-low, bounds=list(zip(np.zeros(len(top)), top)), method="highs")
        assert (best.status == 0) == (result["stress_days"] == 0)
        if best.status == 0:
            ours.append(result["total_mm"])
            theirs.append(best.fun)
    if ours:
        agree("watering-optimum", "total_mm, free depths", AGAINST, ours, theirs, TOLERANCE, "mm")
    assert every > 1 or len(ours) == len(YEARS)


@pytest.mark.parametrize("least", (6.0, 11.0))
def test_least_depths(calc, agree, champion, least):
    """A least depth: the mixed-integer programme, over four weeks so that the other side ends soon."""
    cases = [item(season(champion, year, "06-10", "07-07"), *SOILS["deep silt loam"], least, 1) for year in YEARS]
    results = calc("watering-optimum", cases)
    ours, theirs = [], []
    for case, result in zip(cases, results):
        cost, rows, low, top = programme(case, whole=True)
        n = len(case["days"])
        best = milp(
            cost, constraints=LinearConstraint(rows, low, np.inf), bounds=Bounds(0, top),
            integrality=np.concatenate([np.zeros(2 * n), np.ones(n)]), options={"mip_rel_gap": 1e-6},
        )
        assert best.status == 0 and result["stress_days"] == 0
        depths = [day["depth_mm"] for day in result["days"]]
        assert all(depth == 0 or depth >= least - 1e-9 for depth in depths)
        ours.append(result["total_mm"])
        theirs.append(best.fun)
    agree("watering-optimum", "total_mm, least depth", AGAINST, ours, theirs, TOLERANCE, "mm")
