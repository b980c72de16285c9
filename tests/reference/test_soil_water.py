"""`soil-water` against two independent programs of Saxton & Rawls (2006): saxton2006 1.1.0 and ptfkit 0.4.0.

Soils: sand and clay in steps of 5 % and organic matter 0.5 to 8 %, within the range the paper gives (clay at most 60 %, organic
matter at most 8 %). The three programs write the same regressions in double precision, so rounding alone is left: 1e-9 m³/m³. For the
conductivity, a power of the difference between saturation and field capacity, 1e-6 mm/h of at most some 150 mm/h: where that
difference is only 0.001, its rounding (1e-16) counts for 1e-13 of the figure.

Corners of the range where the regressions leave less than 0.001 m³/m³ of pores above field capacity by saxton2006's own figures are
left out: there is no soil to compare.
"""

import numpy as np
from ptfkit.saxton2006 import calc_ptf_saxton2006
from saxton2006.table1 import theta_33, theta_1500, theta_sat, water_conductance_sat

MODEL = "soil-water"
SOILS = [
    (float(sand), float(clay), matter)
    for sand in range(0, 96, 5)
    for clay in range(5, 61, 5)
    for matter in (0.5, 1.0, 2.5, 4.0, 6.0, 8.0)
    if sand + clay <= 100
]


def test_two_programs(calc, agree):
    theirs = np.array([
        [f(clay / 100, sand / 100, matter / 100) for f in (theta_1500, theta_33, theta_sat)] for sand, clay, matter in SOILS
    ])
    pores = theirs[:, 2] - theirs[:, 1] > 0.001
    soils = np.array(SOILS)[pores]
    theirs = theirs[pores]
    assert len(soils) > 1000
    results = calc(MODEL, [dict(zip(("sand_pct", "clay_pct", "organic_matter_pct"), soil)) for soil in soils.tolist()])
    ours = {name: np.array([result[name] for result in results]) for name in results[0]}
    others = calc_ptf_saxton2006(sand=soils[:, 0] / 100, clay=soils[:, 1] / 100, organic_matter=soils[:, 2])
    conductivity = [water_conductance_sat(saturation, field, wilting) for wilting, field, saturation in theirs]
    for against, wilting, field, saturation, ksat in (
        ("saxton2006 1.1.0", *theirs.T, conductivity),
        ("ptfkit 0.4.0", others.theta_1500, others.theta_33, others.theta_s, others.saturated_conductivity),
    ):
        agree(MODEL, "wilting_point", against, ours["wilting_point"], wilting, 1e-9, "m³/m³")
        agree(MODEL, "field_capacity", against, ours["field_capacity"], field, 1e-9, "m³/m³")
        agree(MODEL, "saturation", against, ours["saturation"], saturation, 1e-9, "m³/m³")
        agree(MODEL, "available_mm_m", against, ours["available_mm_m"], 1000 * (field - wilting), 1e-6, "mm/m")
        agree(MODEL, "ksat_mm_h", against, ours["ksat_mm_h"], ksat, 1e-6, "mm/h")
