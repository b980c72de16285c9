"""`extraterrestrial-radiation` against pyet 1.5.0 (the same equations) and pvlib 0.16.1 (other ones).

pyet, every third degree from pole to pole and every day of a leap year: FAO-56 eq. 21 to 25 and 34, the same formulas: 1e-6 MJ/m² and
1e-6 h.

pvlib, latitudes 60° S to 60° N, with a solar constant of 1366.67 W/m² (FAO-56 has 0.0820 MJ/m² a minute), summed over the day minute
by minute instead of by the closed form:

- with Spencer's Fourier series (1971) for the distance and the one-term declination of Cooper (1969), 23.45° sin(2 pi (284 + J) / 365).
  FAO-56 rounds that to 0.409 rad and a phase of 1.39 rad: within 0.12° of it. Near the equinoxes at 60° the day's radiation changes by
  24 x 60 / pi x 0.0820 x pi/2 x sin 60° = 0.9 MJ/m² a degree and day length by 0.23 h a degree. With 0.25 % of 42 MJ/m² for the
  distance, one cosine for a series of four terms: 0.22 MJ/m² and 0.03 h, plus half a minute at each end of the day: 0.05 h.
- with Spencer's series for the declination too. It follows the year better than one sine, up to 1.6° in October: 1.6 MJ/m² and 0.4 h.
  This is what FAO-56's simplicity costs, and no more than that.
"""

import numpy as np
import pandas as pd
import pytest
from pvlib.irradiance import get_extra_radiation
from pvlib.solarposition import declination_cooper69, declination_spencer71
from pyet.meteo_utils import daylight_hours, extraterrestrial_r

MODEL, PYET, PVLIB = "extraterrestrial-radiation", "pyet 1.5.0", "pvlib 0.16.1"


def ours(calc, latitudes, days):
    items = [{"latitude_deg": float(latitude), "day_of_year": int(day)} for latitude in latitudes for day in days]
    results = calc(MODEL, items)
    shape = (len(latitudes), len(days))
    return (np.array([result[name] for result in results]).reshape(shape) for name in ("ra_mj_m2", "daylight_h"))


def test_the_same_equations(calc, agree):
    latitudes, days = range(-90, 91, 3), range(1, 367)
    radiation, daylight = ours(calc, latitudes, days)
    index = pd.date_range("2000-01-01", periods=366)
    for row, latitude in enumerate(latitudes):
        lat = np.radians(latitude)
        agree(MODEL, "ra_mj_m2", PYET, radiation[row], np.maximum(extraterrestrial_r(index, lat), 0), 1e-6, "MJ/m²")
        agree(MODEL, "daylight_h", PYET, daylight[row], daylight_hours(index, lat), 1e-6, "h")


@pytest.mark.parametrize(
    "name, declination, radiation_tolerance, daylight_tolerance",
    [("Cooper", declination_cooper69, 0.22, 0.05), ("Spencer", declination_spencer71, 1.6, 0.4)],
)
def test_other_equations(calc, agree, name, declination, radiation_tolerance, daylight_tolerance):
    latitudes, days = np.arange(-60, 61, 5), np.arange(1, 366)
    radiation, daylight = ours(calc, latitudes, days)
    beam = np.asarray(get_extra_radiation(days, solar_constant=1366.67, method="spencer"))
    declination = declination(days)
    # The middle of each minute, as an angle from noon.
    angle = ((np.arange(1440) + 0.5) / 1440 - 0.5) * 2 * np.pi
    against = f"{PVLIB}, {name}"
    for row, latitude in enumerate(np.radians(latitudes)):
        height = np.sin(latitude) * np.sin(declination) + np.outer(np.cos(angle), np.cos(latitude) * np.cos(declination))
        theirs = beam * np.maximum(height, 0).sum(axis=0) * 60 / 1e6
        agree(MODEL, "ra_mj_m2", against, radiation[row], theirs, radiation_tolerance, "MJ/m²")
        agree(MODEL, "daylight_h", against, daylight[row], (height > 0).sum(axis=0) / 60, daylight_tolerance, "h")
