"""`cut-fill` against solids with a formula, and against volumes between triangulations by scipy 1.17.1.

Solids (box, wedge, pyramid, basin): what is on the page is exact, so only rounding is left: 1e-6 m³ of at most some 70 m³.

Random ground: `scipy.spatial.Delaunay` (Qhull) triangulates both sets of points, which lie in general position, so that there is
one Delaunay triangulation. Every pair of triangles is clipped against each other, against the boundary and against the line where the two
planes meet, and the difference of the planes is integrated over what is left; all exact but for rounding: 1e-6 m³ of some 100 m³.
"""

import random

import numpy as np
from scipy.spatial import Delaunay

MODEL = "cut-fill"


def agree_all(agree, results, theirs, against):
    for figure, unit in (("cut_m3", "m³"), ("fill_m3", "m³"), ("net_m3", "m³"), ("area_m2", "m²")):
        agree(MODEL, figure, against, [r[figure] for r in results], [t[figure] for t in theirs], 1e-6, unit)


def volumes(cut, fill, area):
    return {"cut_m3": cut, "fill_m3": fill, "net_m3": fill - cut, "area_m2": area}


def square(side, z):
    return [[x, y, z(x, y)] for x, y in ((0, 0), (side, 0), (side, side), (0, side))]


def test_solids(calc, agree):
    flat = lambda x, y: 0.0
    cases = [
        # A box dug 0.3 m deep.
        ({"existing": square(10, flat), "proposed": square(10, lambda x, y: -0.3)}, volumes(30, 0, 100)),
        # A slope of 10 % about the middle line: two wedges of 10 x 5 x 0.5 / 2.
        ({"existing": square(10, flat), "proposed": square(10, lambda x, y: 0.1 * (x - 5))}, volumes(12.5, 12.5, 100)),
        # A pyramid 2 m high.
        ({"existing": square(10, flat), "proposed": square(10, flat) + [[5, 5, 2]]}, volumes(0, 200 / 3, 100)),
        # A basin: the pyramid upside down, in ground that slopes.
        (
            {
                "existing": square(10, lambda x, y: 0.05 * x + 0.02 * y),
                "proposed": square(10, lambda x, y: 0.05 * x + 0.02 * y) + [[5, 5, 0.35 - 1.5]],
            },
            volumes(50, 0, 100),
        ),
        # The slope again, the boundary a strip 2 m wide on its high side: mean rise of 0.1 x (9 - 5).
        (
            {
                "existing": square(10, flat), "proposed": square(10, lambda x, y: 0.1 * (x - 5)),
                "boundary": [[8, 0], [10, 0], [10, 10], [8, 10]],
            },
            volumes(0, 8, 20),
        ),
    ]
    agree_all(agree, calc(MODEL, [item for item, _ in cases]), [known for _, known in cases], "solids")


def clip(polygon, a, b, c):
    """What of the polygon has a + b x + c y >= 0 (Sutherland and Hodgman)."""
    kept = []
    for (x0, y0), (x1, y1) in zip(polygon, polygon[1:] + polygon[:1]):
        d0, d1 = a + b * x0 + c * y0, a + b * x1 + c * y1
        if d0 >= 0:
            kept.append((x0, y0))
        if (d0 >= 0) != (d1 >= 0):
            t = d0 / (d0 - d1)
            kept.append((x0 + t * (x1 - x0), y0 + t * (y1 - y0)))
    return kept


def clip_to_triangle(polygon, triangle):
    (x0, y0), (x1, y1), (x2, y2) = triangle
    if (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0) < 0:
        triangle = triangle[::-1]
    for (xa, ya), (xb, yb) in zip(triangle, triangle[1:] + triangle[:1]):
        if not polygon:
            break
        # Left of the side a to b.
        polygon = clip(polygon, -(xb - xa) * ya + (yb - ya) * xa, -(yb - ya), xb - xa)
    return polygon


def integral(polygon, a, b, c):
    """Area, and the integral of a + b x + c y, over an anticlockwise polygon."""
    area = first_x = first_y = 0.0
    if len(polygon) >= 3:
        ox, oy = polygon[0]
        for (x0, y0), (x1, y1) in zip(polygon[1:], polygon[2:]):
            cross = (x0 - ox) * (y1 - oy) - (x1 - ox) * (y0 - oy)
            area += cross / 2
            first_x += cross / 6 * (ox + x0 + x1)
            first_y += cross / 6 * (oy + y0 + y1)
    return area, a * area + b * first_x + c * first_y


def planes(points):
    """Each Delaunay triangle with the plane z = a + b x + c y through its corners."""
    points = np.array(points)
    for corners in Delaunay(points[:, :2]).simplices:
        three = points[corners]
        plane = np.linalg.solve(np.column_stack([np.ones(3), three[:, :2]]), three[:, 2])
        yield [tuple(p) for p in three[:, :2].tolist()], plane


def between(existing, proposed, boundary):
    cut = fill = area = 0.0
    after = list(planes(proposed))
    for triangle, plane in planes(existing):
        part = clip_to_triangle(boundary, triangle)
        if not part:
            continue
        for other, other_plane in after:
            piece = clip_to_triangle(part, other)
            if not piece:
                continue
            rise = other_plane - plane
            area += integral(piece, *rise)[0]
            fill += integral(clip(piece, *rise), *rise)[1]
            cut -= integral(clip(piece, *-rise), *rise)[1]
    return volumes(cut, fill, area)


def test_random_ground(calc, agree):
    draw = random.Random(11)
    ground = lambda x, y: 100 + 0.05 * x - 0.03 * y + 0.4 * np.sin(x / 3) * np.cos(y / 4)
    whole = [(0.0, 0.0), (20.0, 0.0), (20.0, 15.0), (0.0, 15.0)]
    bay = [(3.0, 2.0), (18.0, 3.0), (16.0, 13.0), (9.0, 6.5), (4.0, 12.0)]

    def surface(count, shape):
        points = [(x, y) for x, y in whole] + [(draw.uniform(0.1, 19.9), draw.uniform(0.1, 14.9)) for _ in range(count)]
        return [[x, y, float(shape(x, y))] for x, y in points]

    items, theirs = [], []
    for count in (5, 20, 45):
        existing = surface(count, lambda x, y: ground(x, y) + draw.uniform(-0.2, 0.2))
        proposed = surface(count // 2, lambda x, y: 100.1 + 0.02 * x + draw.uniform(-0.1, 0.1))
        for boundary in (None, bay):
            item = {"existing": existing, "proposed": proposed}
            if boundary:
                item["boundary"] = [list(corner) for corner in boundary]
            items.append(item)
            theirs.append(between(existing, proposed, boundary or whole))
    assert all(known["cut_m3"] > 1 and known["fill_m3"] > 1 for known in theirs)
    agree_all(agree, calc(MODEL, items), theirs, "scipy 1.17.1")
