"""`toft close` and `toft open` beside numpy: first and last freezes of every past year, counted anew from the weather file.

Both sides read the same file and look for the same thing, so nothing but an error can part them: the tolerance is nought. The points
are numpy's quantile of method “nearest”, which breaks ties towards the even place where Toft goes up: the years asked for have no tie
that this would part. The leap day shifts nothing, because both lay a year on the days ahead day by day.
"""

import datetime as dt
import json
import os
import pathlib
import subprocess

import numpy as np
import pytest

THRESHOLDS = {"freeze": 0.0, "hard_freeze": -2.2}
ONE = dt.timedelta(days=1)


@pytest.fixture(scope="session")
def demo(tmp_path_factory):
    """demo(command, day) gives the answer of a command on the invented yard."""
    program = pathlib.Path(os.environ["TOFT"]).resolve()
    file = tmp_path_factory.mktemp("frost") / "demo.toft"
    subprocess.run([program, "demo", "--write", file], check=True, capture_output=True)

    def run(command, day):
        words = [program, "--yard", file, command, "--on", day.isoformat(), "--json"]
        return json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)

    return run


def freezes(record, start, end, threshold, last):
    """Place of the first (or last) freeze of each past year on the days from start to end; -1 and len where there is none."""
    lows = {dt.date.fromisoformat(row["date"]): row["tmin_c"] for row in record}
    length = (end - start).days + 1
    found = []
    for year in range(min(lows).year, start.year + 1):
        begin = start.replace(year=year)
        days = [begin + n * ONE for n in range(length)]
        # Only what was known on the morning of the day asked for.
        if days[-1] >= start or days[0] not in lows:
            continue
        cold = np.flatnonzero([lows[d] <= threshold for d in days])
        found.append((cold[-1] if last else cold[0]) if cold.size else (-1 if last else length))
    return np.array(found)


@pytest.mark.parametrize("year", [2013, 2015, 2017, 2018])
@pytest.mark.parametrize(("command", "part", "month", "day"), [("close", "closing", 9, 5), ("open", "opening", 2, 10)])
def test_points_limits_and_chances(demo, champion, agree, year, command, part, month, day):
    on = dt.date(year, month, day)
    answer = demo(command, on)[part]
    for name, threshold in THRESHOLDS.items():
        odds = answer[name]
        start, end = dt.date.fromisoformat(odds["from"]), dt.date.fromisoformat(odds["to"])
        assert start == on
        last = command == "open"
        places = freezes(champion, start, end, threshold, last)
        assert len(places) == year - 1982
        at = lambda text: (dt.date.fromisoformat(text) - start).days
        ours = [at(odds["window"][point]) for point in ("early", "likely", "late")]
        theirs = np.quantile(np.maximum(places, 0), [0.1, 0.5, 0.9], method="nearest")
        agree("frost outlook", f"{command}: 10, 50 and 90 % points", "numpy", ours, theirs, 0, "d")
        days = np.arange((end - start).days + 1)
        share = np.array([np.mean(places >= d) if last else np.mean(places <= d) for d in days])
        allowed = days[share <= 0.1 + 1e-12]
        agree("frost outlook", f"{command}: limit", "numpy", [at(odds["limit"])], [allowed[0] if last else allowed[-1]], 0, "d")
        counted = [c["with"] / c["of"] for c in odds["chances"]]
        agree("frost outlook", f"{command}: chances", "numpy", counted, share[[at(c["date"]) for c in odds["chances"]]], 1e-12, "")
