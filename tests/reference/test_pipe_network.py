"""`pipe-network` against EPANET 2.2 through wntr 1.5.0, and against wntr's own solver, on six networks.

EPANET writes Hazen-Williams in feet and cubic feet a second, h = 4.727 L Q^1.852 / (C^1.852 d^4.871); `pipe-network` and wntr's
solver write it in metres, h = 10.67 L Q^1.852 / (C^1.852 d^4.8704) and 10.6668 L Q^1.852 / (C^1.852 d^4.871). All three are one law
rounded in different places: over pipes of 16 to 63 mm they are 0.13 to 0.22 % apart. Fittings, 8 k Q² / (pi² g d⁴), differ by the
rounding of g (9.80665, 9.81, and 0.02517 in feet): at most 0.1 %.

Two comparisons:

- **as given**: the same numbers on both sides. Heads may differ by 0.3 % of the head lost between the source and the lowest node;
  flows, which hardly move when all pipes lose alike more, by 0.1 % of what leaves the source.
- **same law**: each pipe's C and k are changed on the way over so that the other law says what ours does; what is left is the solver.
  EPANET answers in single precision, 6e-8 of a head of at most 70 m, which is 4e-6 m, and stops when flows move by less than
  1e-8 of their sum: 2e-5 m and 1e-6 L/s. wntr's own solver adds 1e-5 sqrt(r) Q to r Q^1.852, to have a slope at Q = 0, which is
  some 1e-5 m in each of these pipes, and stops at residuals of 1e-6 m and m³/s: 2e-4 m and 1e-3 L/s.
"""

import math
import random

import numpy as np
import pytest
import wntr

MODEL, EPANET = "pipe-network", "EPANET 2.2 (wntr 1.5.0)"


def node(name, elevation, demand):
    return {"id": name, "elevation_m": elevation, "demand_lps": demand}


def pipe(name, start, end, length, inside, c=150.0, k=0.0):
    return {"id": name, "from": start, "to": end, "length_m": length, "inside_mm": inside, "c": c, "minor_k": k}


def network(head, nodes, pipes):
    return {"source": {"id": "S", "head_m": head}, "nodes": nodes, "pipes": pipes}


def grid(rows, columns, seed):
    """A lattice of pipes with heads here and there, every pipe in an arbitrary direction."""
    draw = random.Random(seed)
    name = lambda i, j: f"n{i}_{j}"
    nodes = [
        node(name(i, j), draw.uniform(0, 5), draw.choice([0, 0, draw.uniform(0.05, 0.2)]))
        for i in range(rows) for j in range(columns)
    ]
    pipes = [pipe("main", "S", name(0, 0), 20, 62.7)]
    for i in range(rows):
        for j in range(columns):
            for a, b in ((i + 1, j), (i, j + 1)):
                if a < rows and b < columns:
                    ends = [name(i, j), name(a, b)]
                    draw.shuffle(ends)
                    pipes.append(pipe(
                        f"p{len(pipes)}", *ends, draw.uniform(2, 40), draw.choice([20.9, 26.6, 35.1, 40.9]),
                        draw.choice([120.0, 140.0, 150.0]), draw.choice([0, 0, 1.5, 5]),
                    ))
    return network(70, nodes, pipes)


NETWORKS = {
    "a branch of four heads": network(
        35,
        [node("a", 0.5, 0), node("b", 0.8, 0.12), node("c", 1.0, 0.12), node("d", 1.2, 0.12), node("e", 1.4, 0.12)],
        [pipe("p1", "S", "a", 18, 26.6, 150, 6), pipe("p2", "a", "b", 6, 20.9), pipe("p3", "b", "c", 9, 20.9),
         pipe("p4", "c", "d", 9, 20.9), pipe("p5", "e", "d", 9, 15.8)],
    ),
    "two pipes side by side": network(
        40, [node("a", 0, 1.0)], [pipe("wide", "S", "a", 30, 35.1), pipe("narrow", "a", "S", 22, 20.9, 140, 4)]
    ),
    "one loop": network(
        40,
        [node("a", 0, 0.2), node("b", 1, 0.3), node("c", 2, 0.25)],
        [pipe("p1", "S", "a", 20, 26.6), pipe("p2", "a", "b", 30, 20.9, 150, 2.5), pipe("p3", "b", "c", 25, 20.9),
         pipe("p4", "a", "c", 40, 26.6, 140)],
    ),
    "two loops": network(
        50,
        [node("n2", 1, 0.10), node("n3", 1.5, 0.15), node("n4", 0.5, 0.3), node("n5", 0, 0.2), node("n6", 2, 0.25), node("n7", 3, 0.2)],
        [pipe("1", "S", "n2", 50, 40.9, 150, 5), pipe("2", "n2", "n3", 30, 26.6), pipe("3", "n2", "n4", 30, 35.1),
         pipe("4", "n4", "n5", 30, 20.9), pipe("5", "n4", "n6", 30, 26.6), pipe("6", "n6", "n7", 30, 20.9),
         pipe("7", "n3", "n5", 30, 20.9, 150, 3), pipe("8", "n5", "n7", 30, 15.8)],
    ),
    "lattice of 35": grid(5, 7, 3),
    "lattice of 100": grid(10, 10, 2),
}

# In metres and cubic metres; the second as EPANET has it (the foot cubed is 0.0283168).
FOOT, CUBIC_FOOT = 0.3048, 0.028317


# The factors of Q^1.852 and Q² in each program's law, without C and k, in m and m³/s.
def epanet_law(length, d):
    friction = 4.727 * (length / FOOT) / (d / FOOT) ** 4.871 / CUBIC_FOOT**1.852 * FOOT
    return friction, 0.02517 / (d / FOOT) ** 4 / CUBIC_FOOT**2 * FOOT


def wntr_law(length, d):
    return 10.666829500036352 * length / d**4.871, 8 / (math.pi**2 * 9.81 * d**4)


def our_law(length, d):
    return 10.67 * length / d**4.8704, 8 / (math.pi**2 * 9.80665 * d**4)


def in_law(law, pipe):
    """C and k that make this law's loss of head in the pipe ours, whatever the flow."""
    place = pipe["length_m"], pipe["inside_mm"] / 1000
    (friction, fitting), (our_friction, our_fitting) = law(*place), our_law(*place)
    return pipe["c"] * (friction / our_friction) ** (1 / 1.852), pipe["minor_k"] * our_fitting / fitting


def build(given, law=None):
    """The network for wntr; with a law, each pipe's C and k are changed so that it says what ours does."""
    model = wntr.network.WaterNetworkModel()
    model.options.hydraulic.headloss = "H-W"
    model.options.hydraulic.accuracy = 1e-8
    model.options.hydraulic.trials = 500
    model.options.hydraulic.inpfile_units = "LPS"
    model.options.time.duration = 0
    model.add_reservoir(given["source"]["id"], base_head=given["source"]["head_m"])
    for n in given["nodes"]:
        model.add_junction(n["id"], base_demand=n["demand_lps"] / 1000, elevation=n["elevation_m"])
    for p in given["pipes"]:
        c, k = in_law(law, p) if law else (p["c"], p["minor_k"])
        model.add_pipe(p["id"], p["from"], p["to"], length=p["length_m"], diameter=p["inside_mm"] / 1000, roughness=c, minor_loss=k)
    return model


def solved(simulation, given, **options):
    found = simulation.run_sim(**options)
    heads = np.array([found.node["head"].loc[0, n["id"]] for n in given["nodes"]], float)
    flows = np.array([found.link["flowrate"].loc[0, p["id"]] * 1000 for p in given["pipes"]], float)
    return heads, flows


def ours(calc, given):
    [result] = calc(MODEL, [given])
    assert [n["id"] for n in result["nodes"]] == [n["id"] for n in given["nodes"]]
    assert [p["id"] for p in result["pipes"]] == [p["id"] for p in given["pipes"]]
    heads = np.array([n["head_m"] for n in result["nodes"]])
    pressures = np.array([n["pressure_kpa"] for n in result["nodes"]])
    flows = np.array([p["flow_lps"] for p in result["pipes"]])
    return heads, pressures, flows


@pytest.mark.parametrize("name", NETWORKS)
def test_epanet(calc, agree, tmp_path, name):
    given = NETWORKS[name]
    heads, pressures, flows = ours(calc, given)
    lost = given["source"]["head_m"] - heads.min()
    assert lost > 0.5, "a network that loses no head shows nothing"
    total = sum(n["demand_lps"] for n in given["nodes"])

    simulator = wntr.sim.EpanetSimulator(build(given, epanet_law))
    their_heads, their_flows = solved(simulator, given, file_prefix=str(tmp_path / "same"))
    agree(MODEL, "head_m, same law", EPANET, heads, their_heads, 2e-5, "m")
    agree(MODEL, "flow_lps, same law", EPANET, flows, their_flows, 1e-6, "L/s")
    elevations = np.array([n["elevation_m"] for n in given["nodes"]])
    agree(MODEL, "pressure_kpa, same law", EPANET, pressures, 9.80665 * (their_heads - elevations), 2e-4, "kPa")

    simulator = wntr.sim.EpanetSimulator(build(given))
    their_heads, their_flows = solved(simulator, given, file_prefix=str(tmp_path / "given"))
    agree(MODEL, "head, share of the loss, as given", EPANET, heads / lost, their_heads / lost, 0.003, "")
    agree(MODEL, "flow, share of the whole, as given", EPANET, flows / total, their_flows / total, 0.001, "")


@pytest.mark.parametrize("name", NETWORKS)
def test_another_solver(calc, agree, name):
    given = NETWORKS[name]
    heads, _, flows = ours(calc, given)
    their_heads, their_flows = solved(wntr.sim.WNTRSimulator(build(given, wntr_law)), given)
    agree(MODEL, "head_m, same law", "wntr 1.5.0", heads, their_heads, 2e-4, "m")
    agree(MODEL, "flow_lps, same law", "wntr 1.5.0", flows, their_flows, 1e-3, "L/s")


# A zone of heads whose flow goes with the square root of their pressure: EPANET's emitters.

ZONE = "zone-pressure"


def run(name, start, length, inside, rise=0.0, head=None, c=150.0):
    given = {"id": name, "length_m": length, "inside_mm": inside, "rise_m": rise, "c": c}
    if start:
        given["from"] = start
    if head:
        given["head_lpm"] = head
    return given


def line_of_heads(count, step, inside, flow):
    runs = [run("main", None, 25, 26.24)]
    for i in range(count):
        runs.append(run(f"h{i}", runs[-1]["id"], step, inside, 0.15 * i, flow))
    return {"static_kpa": 380, "design_kpa": 207, "runs": runs}


def branches(seed):
    draw = random.Random(seed)
    runs = [run("main", None, 20, 34.65, 0.5)]
    for i in range(30):
        runs.append(run(
            f"r{i}", draw.choice(runs)["id"], draw.uniform(1, 9), draw.choice([15.44, 20.57, 26.24]), draw.uniform(-3, 3),
            draw.choice([None, draw.uniform(2, 14)]), draw.choice([140.0, 150.0]),
        ))
    return {"static_kpa": 450, "design_kpa": 207, "runs": runs}


ZONES = {
    "eight sprays on 3/4 in": line_of_heads(8, 4.6, 20.57, 7.0),
    "fourteen sprays on 3/4 in": line_of_heads(14, 4.6, 20.57, 7.0),
    "six rotors on 1 in": line_of_heads(6, 9.1, 26.24, 11.4),
    "thirty branches": branches(5),
}


@pytest.mark.parametrize("name", ZONES)
def test_heads_are_emitters(calc, agree, tmp_path, name):
    given = ZONES[name]
    [result] = calc(ZONE, [given])
    model = wntr.network.WaterNetworkModel()
    model.options.hydraulic.headloss = "H-W"
    model.options.hydraulic.accuracy = 1e-8
    model.options.hydraulic.trials = 500
    model.options.hydraulic.inpfile_units = "LPS"
    model.options.time.duration = 0
    model.add_reservoir("street", base_head=given["static_kpa"] / 9.80665)
    for r in given["runs"]:
        model.add_junction(r["id"], base_demand=0, elevation=r["rise_m"])
        if r.get("head_lpm"):
            # q = C sqrt(p), p in metres of water.
            design_m = given["design_kpa"] / 9.80665
            model.get_node(r["id"]).emitter_coefficient = r["head_lpm"] / 60_000 / math.sqrt(design_m)
        c, _ = in_law(epanet_law, {**r, "minor_k": 0.0})
        model.add_pipe(f"p-{r['id']}", r.get("from", "street"), r["id"], length=r["length_m"], diameter=r["inside_mm"] / 1000, roughness=c)
    found = wntr.sim.EpanetSimulator(model).run_sim(file_prefix=str(tmp_path / "zone"))
    theirs = np.array([found.node["pressure"].loc[0, r["id"]] * 9.80665 for r in given["runs"]], float)
    pressures = np.array([r["pressure_kpa"] for r in result["runs"]])
    flows = np.array([r["flow_lpm"] for r in result["runs"]])
    their_flows = np.array([found.link["flowrate"].loc[0, f"p-{r['id']}"] * 60_000 for r in given["runs"]], float)
    assert pressures.max() - pressures.min() > 10, "a zone that loses no pressure shows nothing"
    # Single precision of 46 m of head, and flows that settle to 1e-8 of their sum.
    agree(ZONE, "pressure_kpa, same law", EPANET, pressures, theirs, 5e-3, "kPa")
    agree(ZONE, "flow_lpm, same law", EPANET, flows, their_flows, 5e-3, "L/min")
