"""Calls `toft calc` as any program would, and keeps the largest difference of each comparison for the table at the end.

The program under test is named by the environment variable TOFT. Nothing but the documented contract is used: `toft calc --list`,
`toft calc NAME` with a JSON array on standard input, and the fields of the answers.
"""

import csv
import json
import os
import pathlib
import subprocess
from dataclasses import dataclass

import numpy as np
import pytest

HERE = pathlib.Path(__file__).resolve().parent
REPOSITORY = HERE.parent.parent


@dataclass(frozen=True)
class Row:
    """One comparison as it stands in the table."""

    model: str
    figure: str
    against: str
    count: int
    largest: float
    tolerance: float
    unit: str


ROWS: list[Row] = []


def pytest_configure(config):
    if not os.environ.get("TOFT"):
        raise pytest.UsageError("set TOFT to the program under test, as in TOFT=target/release/toft")


@pytest.fixture(scope="session")
def calc():
    """calc(model, items) gives the `result` of each item, in order."""
    program = pathlib.Path(os.environ["TOFT"]).resolve()
    def run(model, items):
        answer = subprocess.run([program, "calc", model], input=json.dumps(items), capture_output=True, text=True)
        assert answer.returncode in (0, 2), f"toft calc {model}: {answer.stderr}"
        answers = json.loads(answer.stdout)
        assert len(answers) == len(items)
        refused = [(item, answer["error"]) for item, answer in zip(items, answers) if "error" in answer]
        assert not refused, f"toft calc {model} refused {len(refused)} items; the first: {str(refused[0])[:800]}"
        return [answer["result"] for answer in answers]

    return run


@pytest.fixture
def agree():
    """agree(model, figure, against, ours, theirs, tolerance, unit) records the largest difference and asserts it."""

    def check(model, figure, against, ours, theirs, tolerance, unit):
        ours, theirs = np.asarray(ours, float), np.asarray(theirs, float)
        assert ours.shape == theirs.shape and ours.size > 0
        assert np.isfinite(ours).all() and np.isfinite(theirs).all()
        difference = np.abs(ours - theirs)
        worst = int(difference.argmax())
        largest = float(difference.flat[worst])
        ROWS.append(Row(model, figure, against, ours.size, largest, tolerance, unit))
        print(f"{model} {figure} against {against}: largest difference {largest:.3g} {unit} of {ours.size} values")
        assert largest <= tolerance, (
            f"{model} {figure} against {against}: value {worst} is {ours.flat[worst]!r} here and {theirs.flat[worst]!r} there, "
            f"{largest:.3g} {unit} apart; {tolerance:g} is allowed"
        )

    return check


def read(path):
    """The rows of a data file, numbers as numbers."""
    with path.open(newline="") as file:
        rows = list(csv.DictReader(file))
    return [{k: v if k == "date" else float(v) for k, v in row.items()} for row in rows]


@pytest.fixture(scope="session")
def greensboro():
    """A typical year with every input (36.1° N, 273 m, wind at 10 m)."""
    return read(HERE / "data" / "greensboro-nc-tmy3-daily.csv")


@pytest.fixture(scope="session")
def champion():
    """37 years of temperatures and rain (40.40° N, 1,029 m)."""
    return read(REPOSITORY / "demo" / "champion-ne-daily.csv")


def pytest_terminal_summary(terminalreporter):
    if not ROWS:
        return
    merged: dict[tuple, Row] = {}
    for row in ROWS:
        key = (row.model, row.figure, row.against, row.tolerance, row.unit)
        before = merged.get(key)
        if before is not None:
            row = Row(row.model, row.figure, row.against, before.count + row.count, max(before.largest, row.largest), *key[3:])
        merged[key] = row
    table = [("model", "figure", "against", "values", "largest", "allowed", "unit")]
    table += [
        (r.model, r.figure, r.against, str(r.count), f"{r.largest:.2g}", f"{r.tolerance:g}", r.unit)
        for r in sorted(merged.values(), key=lambda r: (r.model, r.against, r.figure))
    ]
    widths = [max(len(row[column]) for row in table) for column in range(7)]
    right = {3, 4, 5}
    terminalreporter.section("largest differences")
    for row in table:
        cells = (c.rjust(w) if i in right else c.ljust(w) for i, (c, w) in enumerate(zip(row, widths)))
        terminalreporter.write_line("  ".join(cells).rstrip())
