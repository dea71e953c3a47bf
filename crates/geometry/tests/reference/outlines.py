"""Random outlines of lines and arcs, sound ones and broken ones, with the verdict of a geometry library, for
tests/outline_faults.rs.

A ring is a list of corners x y b: the edge that begins there runs to the next corner, straight for b = 0, else along an
arc through the angle 4·atan(b), counter-clockwise for b > 0. Arcs are sampled finely for Shapely, whose
`is_valid` says whether rings cross themselves or each other. Cases that come nearer to a fault than the sampling can
tell are thrown away, and counted.

Run: python3 outlines.py > outlines.txt
"""

import math
import sys

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

rng = np.random.default_rng(20261)
CHORDS = 400  # of each arc
NEAR = 2e-3  # mm


def u(low, high):
    return float(rng.uniform(low, high))


def star(n, low, high, x=0.0, y=0.0):
    step = 2 * math.pi / n
    angles = [step * (k + u(-0.35, 0.35)) for k in range(n)]
    return [(x + (r := u(low, high)) * math.cos(a), y + r * math.sin(a)) for a in angles]


def with_bulges(corners, share, most):
    return [(x, y, u(-most, most) if rng.random() < share else 0.0) for x, y in corners]


def draw(kind):
    n = int(rng.integers(3, 12))
    if kind == "star":
        return [with_bulges(star(n, 3, 10), 0.0, 0.0)]
    if kind == "arcs":
        return [with_bulges(star(n, 4, 10), 0.6, 0.8)]
    if kind == "any order":
        return [with_bulges([(u(-10, 10), u(-10, 10)) for _ in range(int(rng.integers(4, 8)))], 0.3, 0.6)]
    if kind == "spike":  # there and back along an edge
        corners = star(n, 3, 10)
        (x0, y0), (x1, y1) = corners[0], corners[1]
        back = u(0.2, 0.8)
        corners[2:2] = [(x1 + back * (x0 - x1), y1 + back * (y0 - y1))]
        return [with_bulges(corners, 0.0, 0.0)]
    if kind == "holes":
        rings = [with_bulges(star(n + 3, 8, 12), 0.3, 0.3)]
        for _ in range(int(rng.integers(1, 4))):
            x, y = u(-7, 7), u(-7, 7)
            rings.append(with_bulges(star(int(rng.integers(3, 7)), 0.5, 3, x, y), 0.4, 0.6))
        return rings
    if kind == "round holes":
        rings = [with_bulges([(-10, -8), (10, -8), (10, 8), (-10, 8)], 0.5, 0.4)]
        for _ in range(int(rng.integers(1, 5))):
            x, y, r = u(-10, 10), u(-8, 8), u(0.5, 4)
            rings.append([(x + r, y, 1.0), (x - r, y, 1.0)])
        return rings
    raise ValueError(kind)


KINDS = ["star", "arcs", "any order", "spike", "holes", "round holes"]


def sampled(ring):
    """Each edge as a list of points."""
    edges = []
    for (x0, y0, b), (x1, y1, _) in zip(ring, ring[1:] + ring[:1]):
        if b == 0:
            edges.append([(x0, y0), (x1, y1)])
            continue
        sweep = 4 * math.atan(b)
        dx, dy = x1 - x0, y1 - y0
        # The centre lies across the middle of the chord, at half the chord over the tangent of half the sweep.
        off = 0.5 / math.tan(0.5 * sweep)
        cx, cy = 0.5 * (x0 + x1) - off * dy, 0.5 * (y0 + y1) + off * dx
        r, a = math.hypot(x0 - cx, y0 - cy), math.atan2(y0 - cy, x0 - cx)
        turn = [a + sweep * k / CHORDS for k in range(CHORDS + 1)]
        points = [(cx + r * math.cos(t), cy + r * math.sin(t)) for t in turn]
        points[0], points[-1] = (x0, y0), (x1, y1)
        edges.append(points)
    return edges


def is_near(rings):
    """Some edges that are no neighbours come so near, or cross so shallowly, that sampling cannot tell."""
    lines = [(i, k, len(ring), LineString(edge)) for i, ring in enumerate(rings) for k, edge in enumerate(ring)]
    for p in range(len(lines)):
        for q in range(p + 1, len(lines)):
            (i, k, n, a), (j, m, _, b) = lines[p], lines[q]
            neighbours = i == j and (m - k) % n in (1, n - 1)
            if neighbours:
                # A second meeting away from the corner, or edges that leave it side by side.
                ends = shapely.MultiPoint([a.coords[0], a.coords[-1]]).buffer(0.05)
                rest = a.difference(ends)
                if not rest.is_empty and 0 < rest.distance(b.difference(ends)) < NEAR:
                    return True
            elif a.intersects(b):
                if not a.crosses(b):
                    return True
                inside = a.intersection(b.buffer(NEAR))
                if inside.length > 0.2:
                    return True
            elif a.distance(b) < NEAR:
                return True
    return False


def main():
    print("# Outlines of lines and arcs with Shapely's verdict; made by outlines.py.")
    print(f"# numpy {np.__version__}, shapely {shapely.__version__}, GEOS {shapely.geos_version_string}")
    print("# verdict | area (of a sound one) | ring; ring: x y bulge, ...")
    thrown = 0
    for kind in KINDS:
        made = 0
        while made < 90:
            rings = [[tuple(round(v, 4) for v in corner) for corner in ring] for ring in draw(kind)]
            edges = [sampled(ring) for ring in rings]
            outlines = [[p for edge in ring for p in edge[:-1]] for ring in edges]
            if any(Polygon(o).is_valid and not shapely.is_ccw(shapely.LinearRing(o)) for o in outlines):
                continue
            # A spike is told by its corner alone.
            if kind != "spike" and is_near(edges):
                thrown += 1
                continue
            shape = Polygon(outlines[0], outlines[1:])
            verdict = "sound" if shape.is_valid else "broken"
            text = "; ".join(", ".join(f"{x!r} {y!r} {b!r}" for x, y, b in ring) for ring in rings)
            print(f"{verdict} | {shape.area if shape.is_valid else 0.0!r} | {text}")
            made += 1
    print(f"thrown away: {thrown}", file=sys.stderr)


main()
