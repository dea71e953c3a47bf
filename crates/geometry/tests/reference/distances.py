"""Distances of tilted convex solids, each with its proof, for tests/golden.rs.

Each distance is the optimum of a convex program (two points, one in each solid, as near as can be), solved with
cvxpy and Clarabel, then sharpened by maximising the width of the slab between the two solids over its direction
(the dual problem) with SciPy. Both bounds are worked out from definitions, not taken from a solver:
  upper = |b - a| with a and b pulled into their solids,
  lower = the slab's width in the best direction, from the solids' support functions.
Rows whose bounds are more than 2e-9 mm apart are thrown away, and counted. python-fcl gives a second opinion for the
shapes it has (its own error is 1e-6 or worse).

Run: python3 distances.py > distances.txt
"""

import sys
import cvxpy as cp
import fcl
import numpy as np
from scipy.optimize import minimize
from scipy.spatial.transform import Rotation
import clarabel
import scipy

rng = np.random.default_rng(20260)


def draw(kind):
    u = lambda lo, hi: float(rng.uniform(lo, hi))
    h = u(0.3, 8.0)
    if kind == "cylinder":
        return [u(0.5, 12.0), h]
    if kind == "frustum":
        return [0.0 if rng.random() < 0.2 else u(0.5, 9.0), u(0.5, 9.0), h]
    if kind == "cuboid":
        return [u(0.5, 9.0), u(0.5, 9.0), h]
    if kind == "sphere":
        return [u(0.5, 9.0)]
    if kind == "hexagon":  # across flats, half height
        return [u(3.0, 13.0), h]
    if kind == "slot":  # half distance of the centres, radius, half height
        return [u(0.5, 6.0), u(0.5, 4.0), h]
    if kind == "dee":  # disc cut off at x = cut
        r = u(2.0, 9.0)
        return [r, u(-0.5, 0.7) * r, h]
    if kind == "tetrahedron":
        return [u(-8.0, 8.0) for _ in range(12)]
    raise ValueError(kind)


KINDS = ["cylinder", "frustum", "cuboid", "sphere", "hexagon", "slot", "dee", "tetrahedron"]


def hexagon(flats):
    r = 0.5 * flats / np.cos(np.pi / 6)
    return np.array([[r * np.cos(k * np.pi / 3), r * np.sin(k * np.pi / 3)] for k in range(6)])


def constraints(kind, s, p):
    """The point p (three affine expressions, the solid's own frame) lies in the solid."""
    flat, z = p[:2], p[2]
    if kind == "sphere":
        return [cp.norm(p) <= s[0]]
    if kind == "tetrahedron":
        w = cp.Variable(4, nonneg=True)
        return [p == np.array(s).reshape(4, 3).T @ w, cp.sum(w) == 1]
    if kind == "cuboid":
        return [cp.abs(p) <= np.array(s)]
    h = s[-1]
    tall = [z <= h, z >= -h]
    if kind == "cylinder":
        return tall + [cp.norm(flat) <= s[0]]
    if kind == "frustum":
        return tall + [cp.norm(flat) <= s[0] + (s[1] - s[0]) * (z + h) / (2 * h)]
    if kind == "hexagon":
        w = cp.Variable(6, nonneg=True)
        return tall + [flat == hexagon(s[0]).T @ w, cp.sum(w) == 1]
    if kind == "slot":
        t = cp.Variable()
        return tall + [cp.abs(t) <= s[0], cp.norm(flat - cp.hstack([t, 0.0])) <= s[1]]
    if kind == "dee":
        return tall + [cp.norm(flat) <= s[0], flat[0] <= s[1]]
    raise ValueError(kind)


def support(kind, s, d):
    """Greatest coordinate along d in the solid's own frame."""
    across = np.hypot(d[0], d[1])
    if kind == "sphere":
        return s[0] * np.linalg.norm(d)
    if kind == "tetrahedron":
        return float(np.max(np.array(s).reshape(4, 3) @ d))
    if kind == "cuboid":
        return float(np.abs(d) @ np.array(s))
    h = s[-1]
    if kind == "cylinder":
        return s[0] * across + h * abs(d[2])
    if kind == "frustum":
        return max(s[0] * across - h * d[2], s[1] * across + h * d[2])
    if kind == "hexagon":
        return float(np.max(hexagon(s[0]) @ d[:2])) + h * abs(d[2])
    if kind == "slot":
        return s[0] * abs(d[0]) + s[1] * across + h * abs(d[2])
    if kind == "dee":
        r, cut = s[0], s[1]
        half = np.sqrt(r * r - cut * cut)
        # The arc runs where the direction's point of the circle is not cut off; else the nearer corner.
        if across > 0 and r * d[0] / across <= cut:
            flat = r * across
        else:
            flat = cut * d[0] + half * abs(d[1])
        return flat + h * abs(d[2])
    raise ValueError(kind)


def pull_in(kind, s, p):
    """A point of the solid at or very near p."""
    p = np.array(p, float)
    if kind == "sphere":
        n = np.linalg.norm(p)
        return p if n <= s[0] else p * (s[0] / n)
    if kind == "cuboid":
        return np.clip(p, -np.array(s), np.array(s))
    if kind == "tetrahedron":
        c = np.array(s).reshape(4, 3)
        w = np.linalg.solve(np.vstack([c.T, np.ones(4)]), np.append(p, 1.0))
        w = np.clip(w, 0.0, None)
        return c.T @ (w / w.sum())
    h = s[-1]
    z = min(max(p[2], -h), h)
    f = p[:2]
    n = np.hypot(*f)
    if kind == "cylinder":
        f = f if n <= s[0] else f * (s[0] / n)
    elif kind == "frustum":
        r = s[0] + (s[1] - s[0]) * (z + h) / (2 * h)
        f = f if n <= r else f * (r / n)
    elif kind == "hexagon":
        r = 0.5 * s[0]
        for k in range(6):
            a = np.pi / 6 + k * np.pi / 3
            m = np.array([np.cos(a), np.sin(a)])
            f = f - max(0.0, f @ m - r) * m
    elif kind == "slot":
        t = np.array([min(max(f[0], -s[0]), s[0]), 0.0])
        o = f - t
        n = np.hypot(*o)
        f = f if n <= s[1] else t + o * (s[1] / n)
    elif kind == "dee":
        f = np.array([min(f[0], s[1]), f[1]])
        n = np.hypot(*f)
        f = f if n <= s[0] else f * (s[0] / n)
        f = np.array([min(f[0], s[1]), f[1]])
    return np.array([f[0], f[1], z])


def program(ka, sa, ra, ta, kb, sb, rb, tb):
    a, b = cp.Variable(3), cp.Variable(3)
    within = constraints(ka, sa, ra.T @ (a - ta)) + constraints(kb, sb, rb.T @ (b - tb))
    p = cp.Problem(cp.Minimize(cp.norm(a - b)), within)
    p.solve(solver=cp.CLARABEL, tol_gap_abs=1e-12, tol_gap_rel=1e-12, tol_feas=1e-12)
    return a.value, b.value


def bounds(ka, sa, ra, ta, kb, sb, rb, tb):
    a, b = program(ka, sa, ra, ta, kb, sb, rb, tb)
    a = ra @ pull_in(ka, sa, ra.T @ (a - ta)) + ta
    b = rb @ pull_in(kb, sb, rb.T @ (b - tb)) + tb
    upper = np.linalg.norm(b - a)
    if not upper > 1e-4:
        return None

    def slab(n):
        n = n / np.linalg.norm(n)
        far_a = support(ka, sa, ra.T @ n) + ta @ n
        far_b = support(kb, sb, rb.T @ -n) - tb @ n
        return -far_b - far_a

    n = (b - a) / upper
    # The slab's width is concave in the direction's neighbourhood; polish the direction in its tangent plane.
    for size in [1e-4, 1e-6, 1e-8]:
        u = np.cross(n, np.eye(3)[np.argmin(np.abs(n))])
        u /= np.linalg.norm(u)
        v = np.cross(n, u)
        f = lambda x: -slab(n + size * (x[0] * u + x[1] * v))
        r = minimize(f, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-7, "fatol": 1e-15, "maxiter": 800})
        if -r.fun > slab(n):
            n = n + size * (r.x[0] * u + r.x[1] * v)
            n /= np.linalg.norm(n)
    return upper, slab(n)


def second_opinion(kind, s):
    if kind == "cylinder":
        return fcl.Cylinder(s[0], 2 * s[1])
    if kind == "cuboid":
        return fcl.Box(*(2 * np.array(s)))
    if kind == "sphere":
        return fcl.Sphere(s[0])
    return None


def main(count):
    rows, dropped, off = 0, 0, []
    print("# Distances (mm) of convex solids in any pose with proved bounds; made by distances.py.")
    print(f"# numpy {np.__version__}, scipy {scipy.__version__}, cvxpy {cp.__version__}, "
          f"clarabel {clarabel.__version__}, python-fcl {fcl.__version__}")
    print("# kind sizes... | turn by columns (9) shift (3) | kind sizes... | turn shift | upper lower")
    while rows < count:
        ka, kb = KINDS[rows % 8], KINDS[(rows // 8) % 8]
        sa, sb = draw(ka), draw(kb)
        if rows % 3 == 0:  # nearly parallel: both upright but for a small lean
            lean = lambda: Rotation.from_rotvec(rng.normal(size=3) * 10.0 ** rng.uniform(-4, -1))
            ra, rb = lean().as_matrix(), lean().as_matrix()
        else:
            ra, rb = (Rotation.random(random_state=rng).as_matrix() for _ in range(2))
        ta, tb = rng.uniform(-3, 3, 3), rng.normal(size=3) * 12.0
        try:
            found = bounds(ka, sa, ra, ta, kb, sb, rb, tb)
        except cp.error.SolverError:
            continue
        if found is None:
            continue
        upper, lower = found
        if upper - lower > 2e-9:
            dropped += 1
            continue
        fa, fb = second_opinion(ka, sa), second_opinion(kb, sb)
        if fa is not None and fb is not None:
            d = fcl.distance(fcl.CollisionObject(fa, fcl.Transform(ra, ta)),
                             fcl.CollisionObject(fb, fcl.Transform(rb, tb)), fcl.DistanceRequest(), fcl.DistanceResult())
            off.append(abs(d - upper))
        numbers = lambda xs: " ".join(repr(float(x)) for x in xs)
        pose = lambda r, t: numbers(list(r.T.reshape(9)) + list(t))
        print(f"{ka} {numbers(sa)} | {pose(ra, ta)} | {kb} {numbers(sb)} | {pose(rb, tb)} | {numbers([upper, lower])}")
        rows += 1
    print(f"# {rows} rows; {dropped} thrown away because their bounds did not meet; "
          f"python-fcl differs by {np.median(off):.1e} (median) to {max(off):.1e} mm on {len(off)} of them")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 512)
