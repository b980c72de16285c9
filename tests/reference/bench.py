"""Times 100,000 days of reference evapotranspiration side by side: `toft calc et0`, a scalar Python loop, a vectorised library.

Not a test. From the repository's root, with the packages of requirements.txt: `TOFT=target/release/toft python tests/reference/bench.py`.

`toft calc et0` reads and writes JSON and gives the working of every day; its time is that of the whole process with its input in memory
and its output drained. The Python loop (pyfao56) is timed with its numbers in memory and with JSON in and out, the vectorised library
(refet) with its numbers in memory. Both give the depth alone, without working or checks, which favours them. Each is the best of three.
"""

import json
import math
import os
import pathlib
import platform
import random
import subprocess
import time

import numpy as np
import pyfao56.refet
import refet

COUNT = 100_000
ROUNDS = 3
LATITUDE, ELEVATION, WIND_HEIGHT = 36.1, 273.0, 10.0


def days():
    """Days that hang together: sun below the clear sky's, dew point below the lowest temperature."""
    draw = random.Random(1)
    for i in range(COUNT):
        doy = i % 365 + 1
        warmth = 15 - 12 * math.cos(2 * math.pi * doy / 365)
        low = warmth - draw.uniform(3, 8)
        clear = 20 - 9 * math.cos(2 * math.pi * (doy + 10) / 365)
        yield {
            "latitude_deg": LATITUDE, "elevation_m": ELEVATION, "day_of_year": doy, "tmin_c": round(low, 1),
            "tmax_c": round(warmth + draw.uniform(3, 8), 1), "wind_ms": round(draw.uniform(0.5, 6), 1), "wind_height_m": WIND_HEIGHT,
            "dewpoint_c": round(low - draw.uniform(0, 4), 1), "solar_mj_m2": round(clear * draw.uniform(0.35, 0.95), 2),
        }


def best(work):
    shortest = math.inf
    for _ in range(ROUNDS):
        start = time.perf_counter()
        found = work()
        shortest = min(shortest, time.perf_counter() - start)
    return shortest, found


def main():
    program = pathlib.Path(os.environ["TOFT"]).resolve()
    items = list(days())
    text = json.dumps(items).encode()
    columns = {name: np.array([item[name] for item in items]) for name in items[0]}

    def through_toft():
        return subprocess.run([program, "calc", "et0"], input=text, stdout=subprocess.PIPE, check=True).stdout

    def one_by_one():
        return [
            pyfao56.refet.ascedaily(
                "S", ELEVATION, LATITUDE, item["day_of_year"], item["solar_mj_m2"], item["tmax_c"], item["tmin_c"],
                tdew=item["dewpoint_c"], wndsp=item["wind_ms"], wndht=WIND_HEIGHT,
            )
            for item in items
        ]

    def one_by_one_in_json():
        read = json.loads(text)
        found = [
            pyfao56.refet.ascedaily(
                "S", item["elevation_m"], item["latitude_deg"], item["day_of_year"], item["solar_mj_m2"], item["tmax_c"], item["tmin_c"],
                tdew=item["dewpoint_c"], wndsp=item["wind_ms"], wndht=item["wind_height_m"],
            )
            for item in read
        ]
        json.dumps([{"result": {"et0_mm": depth}} for depth in found]).encode()
        return found

    def vectorised():
        return refet.Daily(
            columns["tmin_c"], columns["tmax_c"], columns["solar_mj_m2"], columns["wind_ms"], WIND_HEIGHT, ELEVATION, LATITUDE,
            columns["day_of_year"], tdew=columns["dewpoint_c"], method="asce",
        ).eto()

    toft_s, answer = best(through_toft)
    loop_s, loop = best(one_by_one)
    json_s, _ = best(one_by_one_in_json)
    vector_s, vector = best(vectorised)
    ours = np.array([day["result"]["et0_mm"] for day in json.loads(answer)])
    sizes = f"{len(text) / 1e6:.0f} MB in, {len(answer) / 1e6:.0f} MB out"
    print(f"{COUNT:,} days of ET0, best of {ROUNDS}; {platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}")
    print(f"{'what':<52}{'seconds':>9}{'days a second':>16}{'largest difference':>20}")
    for what, seconds, theirs in (
        (f"toft calc et0, JSON and working ({sizes})", toft_s, None),
        ("pyfao56, one day after the other, ET0 alone", loop_s, loop),
        ("the same, JSON in and out, still ET0 alone", json_s, loop),
        ("refet, vectorised, ET0 alone", vector_s, vector),
    ):
        apart = "" if theirs is None else f"{np.abs(ours - np.asarray(theirs)).max():.4f} mm"
        print(f"{what:<52}{seconds:>9.3f}{COUNT / seconds:>16,.0f}{apart:>20}")


if __name__ == "__main__":
    main()
