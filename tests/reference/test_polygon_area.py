"""`polygon-area`: geodesic areas against geographiclib 2.1, plane ones against shapely 2.2.0.

Geodesic: gardens, fields and estates of 10 m to 20 km across from 80° S to 80° N, across the antimeridian too, some with a hole.
Both sides follow Karney (2013), who puts the rounding of an area near 1e-16 of the square of the Earth's radius a corner: 4e-3 m² at
the worst, and some 1e-5 m² for the short sides of a garden. 1e-4 m² is asserted below 1 ha, and 1e-9 of the area from there on. Lengths
are good to 15 nm a side: 1e-6 m, and 1e-9 of the length.

As a check that shares no formula for areas, gardens and fields up to 1 km across are also compared with the plane ring that they were laid
out from by bearing and distance about their middle. Such a layout stretches the ground by (d / R)² / 6, 1e-9 at 500 m: 1e-4 m² below
1 ha, 2e-9 of the area above.

Plane: both sum the same cross products in double precision: 1e-9 of the area.
"""

import math
import random

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic
from shapely.geometry import Polygon

MODEL = "polygon-area"


def star(draw, corners, radius):
    """A ring that turns once about its middle, bays and noses allowed, anticlockwise or clockwise."""
    angles = sorted((i + draw.uniform(0.1, 0.9)) * 2 * math.pi / corners for i in range(corners))
    ring = [(r * math.cos(a), r * math.sin(a)) for a in angles for r in [radius * draw.uniform(0.6, 1)]]
    return ring if draw.random() < 0.5 else ring[::-1]


def shapes():
    draw = random.Random(20)
    for size in (10, 30, 100, 1_000, 20_000):
        for corners in (3, 4, 7, 20):
            outer = star(draw, corners, size / 2)
            # A triangle's middle is nearer to its sides: a hole only where it fits.
            hole = star(draw, 5, size / 12) if corners > 3 and draw.random() < 0.5 else None
            yield size, outer, hole


def on_the_globe(latitude, longitude, ring):
    """The ring laid out about a place by geodesics."""
    laid = []
    for x, y in ring:
        point = Geodesic.WGS84.Direct(latitude, longitude, math.degrees(math.atan2(x, y)), math.hypot(x, y))
        laid.append([point["lon2"], point["lat2"]])
    return laid


def globe(ring):
    polygon = Geodesic.WGS84.Polygon()
    for longitude, latitude in ring:
        polygon.AddPoint(latitude, longitude)
    _, perimeter, area = polygon.Compute()
    return abs(area), perimeter


def test_geodesic(calc, agree):
    items, areas, perimeters, plane = [], [], [], []
    for size, outer, hole in shapes():
        for latitude, longitude in ((0, 10), (35.9, -79.05), (-33.9, 151.2), (60.1, 24.9), (80, -20), (-80, 100), (51.5, 0), (-17, 180)):
            ring = on_the_globe(latitude, longitude, outer)
            item, (area, perimeter) = {"lonlat": ring}, globe(ring)
            if hole:
                item["holes"] = [on_the_globe(latitude, longitude, hole)]
                area -= globe(item["holes"][0])[0]
            items.append(item)
            areas.append(area)
            perimeters.append(perimeter)
            plane.append(Polygon(outer, [hole] if hole else None).area if size <= 1_000 else math.nan)
    results = calc(MODEL, items)
    ours = np.array([result["area_m2"] for result in results])
    lengths = np.array([result["perimeter_m"] for result in results])
    areas, perimeters, plane = np.array(areas), np.array(perimeters), np.array(plane)
    gardens = areas < 1e4
    one = np.ones((~gardens).sum())
    agree(MODEL, "area_m2 below 1 ha", "geographiclib 2.1", ours[gardens], areas[gardens], 1e-4, "m²")
    agree(MODEL, "perimeter_m below 1 ha", "geographiclib 2.1", lengths[gardens], perimeters[gardens], 1e-6, "m")
    agree(MODEL, "area from 1 ha, share", "geographiclib 2.1", ours[~gardens] / areas[~gardens], one, 1e-9, "")
    agree(MODEL, "perimeter from 1 ha, share", "geographiclib 2.1", lengths[~gardens] / perimeters[~gardens], one, 1e-9, "")
    fields = ~gardens & np.isfinite(plane)
    agree(MODEL, "area_m2 below 1 ha", "plane layout", ours[gardens], plane[gardens], 1e-4, "m²")
    agree(MODEL, "area from 1 ha, share", "plane layout", ours[fields] / plane[fields], np.ones(fields.sum()), 2e-9, "")


@pytest.mark.parametrize("shift", [0.0, 1_000.0])
def test_plane(calc, agree, shift):
    items, areas, perimeters = [], [], []
    for _, outer, hole in shapes():
        moved = lambda ring: [[x + shift, y - shift] for x, y in ring]
        item = {"ring": moved(outer), **({"holes": [moved(hole)]} if hole else {})}
        polygon = Polygon(item["ring"], item.get("holes"))
        assert polygon.is_valid
        items.append(item)
        areas.append(polygon.area)
        perimeters.append(polygon.exterior.length)
    results = calc(MODEL, items)
    one = np.ones(len(items))
    agree(MODEL, "plane area, share", "shapely 2.2.0", [r["area_m2"] / a for r, a in zip(results, areas)], one, 1e-9, "")
    agree(MODEL, "plane perimeter, share", "shapely 2.2.0", [r["perimeter_m"] / p for r, p in zip(results, perimeters)], one, 1e-9, "")
