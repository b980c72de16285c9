"""Times Toft beside other programs: 100,000 days of reference evapotranspiration, a looped network of 200 pipes, a lawn's coverage.

Not a test. From the repository's root, with the packages of requirements.txt:

    cargo build --release -p toft && cargo build --release -p calc --example side_by_side
    TOFT=target/release/toft SIDE_BY_SIDE=target/release/examples/side_by_side python tests/reference/bench.py

All in one run, so that a busy machine is busy for all; each figure is the best of several rounds. "In memory" is the computation alone,
numbers in and out in memory. "JSON" is text in, text out: within the process (`side_by_side`) or of the whole `toft calc`, start and pipes
included. Toft's JSON carries the working of every item; the Python loop (pyfao56) and the vectorised library (refet) give the depth alone,
without working or checks, which favours them. EPANET's solve is `ENinitH` from fresh flows and `ENrunH`, its file read before; the whole
simulation through wntr writes and reads files.
"""

import json
import math
import os
import pathlib
import platform
import random
import subprocess
import tempfile
import time

import numpy as np
import pyfao56.refet
import refet
import wntr
from wntr.epanet.toolkit import ENepanet

COUNT = 100_000
ROUNDS = 5
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


def network():
    """Ten by eleven places in a lattice and a main: 200 pipes, 90 loops."""
    draw = random.Random(2)
    columns, rows = 10, 11
    name = lambda i, j: f"n{i}_{j}"
    nodes = [
        {"id": name(i, j), "elevation_m": round(draw.uniform(0, 5), 2), "demand_lps": round(draw.choice([0, draw.uniform(0.02, 0.1)]), 3)}
        for i in range(rows) for j in range(columns)
    ]
    pipes = [{"id": "main", "from": "S", "to": name(0, 0), "length_m": 20, "inside_mm": 102.3, "c": 150}]
    for i in range(rows):
        for j in range(columns):
            for a, b in ((i + 1, j), (i, j + 1)):
                if a < rows and b < columns:
                    pipes.append({
                        "id": f"p{len(pipes)}", "from": name(i, j), "to": name(a, b), "length_m": round(draw.uniform(5, 40), 1),
                        "inside_mm": draw.choice([26.6, 35.1, 40.9, 52.5]), "c": draw.choice([140, 150]),
                    })
    assert len(pipes) == 200
    return {"source": {"id": "S", "head_m": 70}, "nodes": nodes, "pipes": pipes}


def epanet_model(item):
    model = wntr.network.WaterNetworkModel()
    model.options.hydraulic.headloss = "H-W"
    model.options.hydraulic.accuracy = 1e-8
    model.options.time.duration = 0
    model.add_reservoir("S", base_head=item["source"]["head_m"])
    for node in item["nodes"]:
        model.add_junction(node["id"], base_demand=node["demand_lps"] / 1000, elevation=node["elevation_m"])
    for pipe in item["pipes"]:
        model.add_pipe(pipe["id"], pipe["from"], pipe["to"], pipe["length_m"], pipe["inside_mm"] / 1000, pipe["c"])
    return model


def ground():
    """50 by 40 m in cells of 0.1 m under 40 heads, which throw 7.5 m full circle, half along the sides and a quarter in the corners."""
    heads = []
    for i in range(8):
        for j in range(5):
            x, y = i * 50 / 7, j * 10
            west, east, south, north = i == 0, i == 7, j == 0, j == 4
            start, arc = {
                (0, 0, 0, 0): (0, 360), (1, 0, 0, 0): (0, 180), (0, 1, 0, 0): (180, 180), (0, 0, 1, 0): (270, 180), (0, 0, 0, 1): (90, 180),
                (1, 0, 1, 0): (0, 90), (1, 0, 0, 1): (90, 90), (0, 1, 0, 1): (180, 90), (0, 1, 1, 0): (270, 90),
            }[(west, east, south, north)]
            heads.append({"x_m": x, "y_m": y, "radius_m": 7.5, "arc_from_deg": start, "arc_deg": arc, "flow_lpm": arc / 36})
    return {"area": [[0, 0], [50, 0], [50, 40], [0, 40]], "cell_m": 0.1, "heads": heads}


def best(work, rounds=ROUNDS):
    shortest = math.inf
    for _ in range(rounds):
        start = time.perf_counter()
        found = work()
        shortest = min(shortest, time.perf_counter() - start)
    return shortest, found


def toft(model, text):
    """The whole of `toft calc`, and its answer."""
    program = pathlib.Path(os.environ["TOFT"]).resolve()
    return subprocess.run([program, "calc", model], input=text, stdout=subprocess.PIPE, check=True).stdout


def within(model, text):
    """Toft's seconds without a process of its own round each answer."""
    program = pathlib.Path(os.environ["SIDE_BY_SIDE"]).resolve()
    return json.loads(subprocess.run([program, model], input=text, stdout=subprocess.PIPE, check=True).stdout)


def told(title, rows, fastest):
    """Each row's seconds, and how many times as long as Toft in memory it takes."""
    print(f"\n{title:<66}{'ms':>10}{'times Toft':>12}{'largest difference':>22}")
    for what, seconds, apart in rows:
        print(f"{what:<66}{1000 * seconds:>10.3f}{seconds / fastest:>12.1f}{apart:>22}")


def evapotranspiration():
    items = list(days())
    text = json.dumps(items).encode()
    columns = {name: np.array([item[name] for item in items]) for name in items[0]}

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

    whole_s, answer = best(lambda: toft("et0", text))
    ours = np.array([day["result"]["et0_mm"] for day in json.loads(answer)])
    sizes = f"{len(text) / 1e6:.0f} MB in, {len(answer) / 1e6:.0f} MB out"
    inside = within("et0", text)
    loop_s, loop = best(one_by_one)
    json_s, _ = best(one_by_one_in_json)
    vector_s, vector = best(vectorised, 50)
    apart = lambda theirs: f"{np.abs(ours - np.asarray(theirs)).max():.4f} mm"
    told(f"{COUNT:,} days of ET0", [
        ("in memory: pyfao56, one day after the other", loop_s, apart(loop)),
        ("in memory: refet, vectorised", vector_s, apart(vector)),
        ("in memory: Toft, one day after the other", inside["one_by_one"], ""),
        ("in memory: Toft, batch on one core", inside["batch_on_one_core"], ""),
        (f"in memory: Toft, batch on {inside['cores']} cores", inside["batch"], ""),
        ("JSON: pyfao56, ET0 alone", json_s, ""),
        (f"JSON: Toft within the process, working told ({sizes})", inside["json"], ""),
        ("JSON: the whole of toft calc, the same", whole_s, ""),
    ], inside["batch"])


def pipes():
    item = network()
    text = json.dumps(item).encode()
    model = epanet_model(item)
    whole_s, answer = best(lambda: toft("pipe-network", text), 20)
    inside = within("pipe-network", text)
    with tempfile.TemporaryDirectory() as room:
        room = pathlib.Path(room)
        simulate_s, found = best(lambda: wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(room / "whole")), 10)
        wntr.network.io.write_inpfile(model, str(room / "net.inp"), units="LPS")

        def from_file():
            engine = ENepanet()
            engine.ENopen(str(room / "net.inp"), str(room / "net.rpt"), str(room / "net.bin"))
            engine.ENopenH()
            engine.ENinitH(10)
            engine.ENrunH()
            engine.ENcloseH()
            engine.ENclose()

        file_s, _ = best(from_file, 50)
        engine = ENepanet()
        engine.ENopen(str(room / "net.inp"), str(room / "net.rpt"), str(room / "net.bin"))
        engine.ENopenH()

        def solve():
            # 10: start from fresh flows, keep no results.
            engine.ENinitH(10)
            engine.ENrunH()

        solve_s, _ = best(solve, 500)
        engine.ENcloseH()
        engine.ENclose()
    heads = found.node["head"].iloc[0]
    apart = max(abs(node["head_m"] - heads[node["id"]]) for node in json.loads(answer)["result"]["nodes"])
    told(f"A network of {len(item['pipes'])} pipes and {len(item['nodes'])} nodes", [
        ("in memory: EPANET, solve alone", solve_s, f"{apart:.4f} m"),
        ("in memory: Toft, checks and solve", inside["in_memory"], ""),
        ("file: EPANET, reading its file and solving", file_s, ""),
        ("files and tables: EPANET through wntr", simulate_s, ""),
        ("JSON: Toft within the process, working told", inside["json"], ""),
        ("JSON: the whole of toft calc, the same", whole_s, ""),
    ], inside["in_memory"])


def lawn():
    text = json.dumps(ground()).encode()
    inside = within("coverage", text)
    whole_s, _ = best(lambda: toft("coverage", text), 20)
    told("Coverage of 2,000 m² in cells of 0.1 m, 40 heads, one core", [
        ("in memory: Toft", inside["in_memory"], ""),
        ("JSON: Toft within the process", inside["json"], ""),
        ("JSON: the whole of toft calc", whole_s, ""),
    ], inside["in_memory"])


def main():
    print(f"{platform.machine()}, {os.cpu_count()} cores, Python {platform.python_version()}; best of several rounds")
    evapotranspiration()
    pipes()
    lawn()


if __name__ == "__main__":
    main()
