"""Reference solutions for the loads on a rider and for its play.

Run: python3 generate.py   (writes rests.txt and plays.txt beside it)
Made with Python 3.11, numpy 2.4.6, scipy 1.17.1; the numbers below the header of each file say which.

rests.txt: a rigid body on springs that can only push. The program minimises the energy over the body's five
motions. Here the forces N are found instead, from the dual: minimise sum N^2/2k - c.N with N >= 0 and equilibrium
R'N = -w, by turning it into a least distance problem and that into non-negative least squares
(C. L. Lawson and R. J. Hanson, Solving Least Squares Problems, 1974, chapter 23) for scipy.optimize.nnls.

plays.txt: the furthest a point can move when no contact may be pressed, by scipy.optimize.linprog (HiGHS).
"""

import platform

import numpy as np
import scipy
from scipy.linalg import null_space
from scipy.optimize import linprog, nnls

RNG = np.random.default_rng(20240611)


def row(point, normal):
    arm = np.cross(point, normal)
    return np.array([normal[1], normal[2], arm[0], arm[1], arm[2]])


def rows(contacts):
    return np.array([row(p, n) for p, n, _, _ in contacts])


def rest(contacts, wrench):
    """Forces and motion, or None when no pushing forces balance the load."""
    reach = max(np.linalg.norm(p) for p, *_ in contacts)
    scale = np.array([1.0, 1.0, 1 / reach, 1 / reach, 1 / reach])
    r = rows(contacts) * scale
    k = np.array([c[3] for c in contacts])
    closure = np.array([c[2] for c in contacts])
    w = np.array([wrench[1], wrench[2], wrench[3], wrench[4], wrench[5]]) * scale
    root = np.sqrt(k)
    # m = N/root - root*closure; equilibrium: (r*root[:,None])' m = -w - r' (k*closure)
    a = (r * root[:, None]).T
    b = -w - r.T @ (k * closure)
    m0 = np.linalg.lstsq(a, b, rcond=None)[0]
    if np.linalg.norm(a @ m0 - b) > 1e-9 * (1 + np.linalg.norm(b)):
        return None
    z = null_space(a)
    g, h = z, -(m0 + root * closure)
    unit = max(1.0, np.abs(h).max())
    e = np.vstack([g.T, h[None, :] / unit])
    f = np.zeros(e.shape[0])
    f[-1] = 1.0
    u, _ = nnls(e, f, maxiter=10000)
    res = e @ u - f
    if abs(res[-1]) < 1e-9:
        return None
    y = -res[:-1] / res[-1] * unit
    force = np.maximum(root * (m0 + z @ y + root * closure), 0.0)
    on = force > 1e-7 * (1 + force.max())
    force[~on] = 0.0
    # The active set is known: solve it once more exactly.
    kk = (r[on] * k[on, None]).T @ r[on]
    rhs = (r[on] * k[on, None]).T @ closure[on] + w
    if np.linalg.cond(kk) > 1e10:
        return "loose"
    xi = np.linalg.solve(kk, rhs)
    force = np.maximum(k * (closure - r @ xi), 0.0)
    left = w + r.T @ force
    assert np.linalg.norm(left) < 1e-9 * (1 + np.linalg.norm(w) + force.max()), np.linalg.norm(left)
    return force, xi * scale


def vee_rider(closures):
    contacts = []
    half, base, phi = RNG.uniform(10, 40), RNG.uniform(20, 80), np.radians(RNG.uniform(30, 60))
    level = RNG.uniform(-20, 20)
    for x in [-base, base]:
        for side in [-1.0, 1.0]:
            for flank in [-1.0, 1.0]:
                n = np.array([0.0, side * np.sin(phi), flank * np.cos(phi)])
                p = np.array([x, side * half, level - flank * RNG.uniform(2, 4)])
                contacts.append((p, n, closures(), RNG.uniform(500, 8000)))
    return contacts


def loose_rider(closures):
    contacts = []
    for _ in range(RNG.integers(6, 15)):
        angle = RNG.uniform(0, 2 * np.pi)
        n = np.array([0.0, np.cos(angle), np.sin(angle)])
        p = RNG.uniform(-60, 60, 3)
        contacts.append((p, n, closures(), RNG.uniform(100, 5000)))
    return contacts


def numbers(values):
    return " ".join(repr(float(v)) for v in values)


def header(out, what):
    out.write(f"# {what}\n# Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}\n")


def rests():
    with open("rests.txt", "w", encoding="utf-8") as out:
        header(out, "case HELD | wrench fx fy fz mx my mz | contact px py pz nx ny nz closure stiffness force | motion y z tx ty tz")
        held = unheld = 0
        while held < 80 or unheld < 15:
            kind = RNG.integers(0, 4)
            closures = [
                lambda: RNG.uniform(0.0, 0.03),
                lambda: 0.0,
                lambda: RNG.uniform(-0.05, 0.0),
                lambda: RNG.uniform(-0.04, 0.04),
            ][kind]
            contacts = (vee_rider if RNG.uniform() < 0.7 else loose_rider)(closures)
            force = RNG.uniform(-30, 30, 3)
            wrench = np.concatenate([force, np.cross(RNG.uniform(-90, 90, 3), force)])
            found = rest(contacts, wrench)
            if isinstance(found, str) or (found is None and unheld >= 15) or (found is not None and held >= 80):
                continue
            out.write(f"case {0 if found is None else 1}\nwrench {numbers(wrench)}\n")
            for i, (p, n, c, k) in enumerate(contacts):
                out.write(f"contact {numbers([*p, *n, c, k, 0.0 if found is None else found[0][i]])}\n")
            if found is None:
                unheld += 1
            else:
                held += 1
                out.write(f"motion {numbers(found[1])}\n")


def plays():
    with open("plays.txt", "w", encoding="utf-8") as out:
        header(out, "case | contact px py pz nx ny nz closure | most px py pz dx dy dz value")
        count = 0
        while count < 60:
            contacts = (vee_rider if RNG.uniform() < 0.6 else loose_rider)(lambda: RNG.uniform(-0.2, -0.001))
            a, b = -rows(contacts), np.array([-c[2] for c in contacts])
            bounds = [(None, None)] * 5
            axes = [linprog(-s * np.eye(5)[i], A_ub=a, b_ub=b, bounds=bounds) for i in range(5) for s in (1, -1)]
            if any(lp.status != 0 for lp in axes):
                continue
            out.write("case\n")
            for p, n, c, _ in contacts:
                out.write(f"contact {numbers([*p, *n, c])}\n")
            for _ in range(4):
                p, d = RNG.uniform(-100, 100, 3), RNG.normal(size=3)
                d /= np.linalg.norm(d)
                lp = linprog(-row(p, d), A_ub=a, b_ub=b, bounds=bounds)
                assert lp.status == 0
                out.write(f"most {numbers([*p, *d, -lp.fun])}\n")
            count += 1


rests()
plays()
