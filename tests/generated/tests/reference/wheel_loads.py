"""Reference solution of the loads on the wheels and shoes of generated riders.

Run: python3 wheel_loads.py   (reads wheel_load_cases.txt beside it and writes wheel_loads.txt)
Made with Python 3.11, numpy 2.4.6, scipy 1.17.1; the header of wheel_loads.txt says which.

wheel_load_cases.txt holds riders of the generator as plain numbers: where each contact is, its normal and closure, form
and materials, what it turns about, and the load. `GLIDEWRIGHT_REFERENCE=write cargo test -p glidewright-generated --test
second_solver` writes it anew.

The program minimises the potential energy over the rider's motions, Newton step by Newton step on straight springs. Here
the complementary energy is minimised over the contact forces instead (Engesser's theorem): sum of the integrals of the
approach over the force, less closure times force, plus the energy in the axles, under equilibrium and with forces that
push only. scipy.optimize.minimize (SLSQP) comes near; then the approaches of the contacts that bear, the axles and the
equilibrium are solved as one system of equations with scipy.optimize.root, until no force pulls and no idle contact is
closed. The problem is convex: what meets these conditions (Karush, Kuhn and Tucker) is the solution.

The approaches are worked out here from form and materials. Line: K. L. Johnson, Contact Mechanics, 1985, section 5.6,
cylinder and half-space, the rail counting as still 10 mm below its face. Point: section 4.2 with scipy's complete
elliptic integrals. Strip: an even foundation. Face: strain through the depth. Below 1 N a contact is as stiff as there.
"""

import platform
from pathlib import Path

import numpy as np
import scipy
from scipy.optimize import brentq, minimize, nnls, root
from scipy.special import ellipe, ellipkm1

HERE = Path(__file__).parent
LEAST = 1.0  # N
DATUM = 10.0  # mm
# Gauss and Legendre's rule for the integrals of the approach.
NODES, WEIGHTS = np.polynomial.legendre.leggauss(40)


def compliance(youngs, poisson):
    return (1 - poisson**2) / youngs


def line(length, radius, e1, nu1, e2, nu2):
    """Approach of a wheel's line of contact as a function of its force."""
    c1, c2 = compliance(e1, nu1), compliance(e2, nu2)

    def approach(force):
        w = force / length
        b = np.sqrt(4 * w * radius * (c1 + c2) / np.pi)
        wheel = w * c1 / np.pi * (2 * np.log(4 * radius / b) - 1)
        rail = w * c2 / np.pi * (2 * np.log(2 * DATUM / b) - nu2 / (1 - nu2))
        return wheel + rail

    return approach


def point(r1, r2, e1, nu1, e2, nu2):
    """Approach at a point of contact, the relative radii being those along and across the rail."""
    modulus = 1 / (compliance(e1, nu1) + compliance(e2, nu2))
    low, high = 0.5 / max(r1, r2), 0.5 / min(r1, r2)

    def integrals(ratio):
        # K and E of the modulus e, e^2 = 1 - ratio^2.
        return ellipkm1(ratio**2), ellipe(1 - ratio**2)

    def miss(log_ratio):
        ratio = np.exp(log_ratio)
        k, e = integrals(ratio)
        return ((e / ratio**2 - k) / (k - e)) - high / low

    if high / low < 1 + 1e-9:
        ratio, (k, e) = 1.0, integrals(1.0)
        shape = np.pi / 4
    else:
        ratio = np.exp(brentq(miss, np.log(1e-6), -1e-9, xtol=1e-15, rtol=1e-15, maxiter=500))
        k, e = integrals(ratio)
        shape = (k - e) / (1 - ratio**2)

    def approach(force):
        long = np.cbrt(3 * force * shape / (2 * np.pi * modulus * low))
        return 3 * force * k / (2 * np.pi * modulus * long)

    return approach


def strip(length, foundation):
    return lambda force: force / (foundation * length)


def face(area, depth, youngs):
    return lambda force: force / area * depth / youngs


def given(stiffness):
    return lambda force: force / stiffness


LAWS = {"line": line, "point": point, "strip": strip, "face": face, "given": given}


class Law:
    """Approach and its integral over the force, straight up to the least load."""

    def __init__(self, words):
        self.is_straight = words[0] not in ("line", "point")
        self.own = LAWS[words[0]](*map(float, words[1:]))
        self.first = self.own(LEAST) / LEAST

    def approach(self, force):
        return self.own(force) if force > LEAST and not self.is_straight else self.first * force

    def energy(self, force):
        if force <= LEAST or self.is_straight:
            return 0.5 * self.first * force**2
        middle, half = 0.5 * (force + LEAST), 0.5 * (force - LEAST)
        return 0.5 * self.first * LEAST**2 + half * sum(
            w * self.own(middle + half * x) for x, w in zip(NODES, WEIGHTS)
        )


class Case:
    def __init__(self, head):
        self.head = head
        self.supports, self.laws, rows, self.closures, self.carried = [], [], [], [], []
        self.rows = rows

    def read(self, words):
        numbers = words[1:]
        if words[0] == "wrench":
            self.wrench = np.array(numbers, float)
        elif words[0] == "support":
            k11, k12, k22 = map(float, numbers)
            self.supports.append(np.linalg.inv([[k11, k12], [k12, k22]]))
        else:
            p, n = np.array(numbers[0:3], float), np.array(numbers[3:6], float)
            arm = np.cross(p, n)
            self.rows.append([n[1], n[2], *arm])
            self.closures.append(float(numbers[6]))
            self.carried.append((int(numbers[7]), float(numbers[8]), float(numbers[9])))
            self.laws.append(Law(numbers[10:]))

    def solved(self):
        """The force of every contact (N)."""
        rows, closures = np.array(self.rows), np.array(self.closures)
        reach = max(1.0, np.abs(rows).max())
        scale = np.array([1.0, 1.0, 1 / reach, 1 / reach, 1 / reach])
        equilibrium = (rows * scale).T
        load = -self.wrench[1:6] * scale
        count = len(closures)
        # What the axles give at each contact for a force at each other.
        axles = np.zeros((count, count))
        for number, give in enumerate(self.supports):
            per = np.array([[a, b] if s == number else [0.0, 0.0] for s, a, b in self.carried])
            axles += per @ give @ per.T
        start, left = nnls(equilibrium, load)
        assert left < 1e-6 * (1 + np.abs(load).max()), f"{self.head}: nothing balances it, {left}"

        def approaches(force):
            return np.array([law.approach(f) for law, f in zip(self.laws, force)])

        def energy(force):
            stored = sum(law.energy(f) for law, f in zip(self.laws, force))
            return stored + 0.5 * force @ axles @ force - closures @ force

        def slope(force):
            return approaches(force) + axles @ force - closures

        unit = max(1.0, np.abs(load).max())
        size = max(abs(energy(start + unit)), 1e-6)
        near = minimize(
            lambda x: energy(unit * x) / size,
            start / unit,
            jac=lambda x: unit * slope(unit * x) / size,
            method="SLSQP",
            bounds=[(0, None)] * count,
            constraints={"type": "eq", "fun": lambda x: equilibrium @ x - load / unit, "jac": lambda x: equilibrium},
            options={"ftol": 1e-14, "maxiter": 2000},
        )
        force = unit * np.maximum(near.x, 0.0)
        bears = force > 1e-6 * max(1.0, force.max())
        motion = np.linalg.lstsq(equilibrium[:, bears].T, -slope(force)[bears], rcond=None)[0]
        for _ in range(100):
            on = np.flatnonzero(bears)

            def miss(x):
                full = np.zeros(count)
                full[on] = x[: len(on)] * unit
                closing = slope(full)[on] + equilibrium[:, on].T @ x[len(on) :]
                return np.concatenate([closing, (equilibrium @ full - load) / unit])

            found = root(miss, np.concatenate([force[on] / unit, motion]), method="lm", options={"xtol": 1e-15, "ftol": 1e-15})
            if not bears.any() or np.abs(found.x).max() > 1e9:
                break
            force = np.zeros(count)
            force[on] = found.x[: len(on)] * unit
            motion = found.x[len(on) :]
            closed = -(slope(force) + equilibrium.T @ motion)
            pulls = force < -1e-10 * unit
            pressed = ~bears & (closed > 1e-12)
            if not pulls.any() and not pressed.any():
                break
            # One at a time, so that it does not go round in a ring.
            if pulls.any():
                bears[np.argmin(force)] = False
            else:
                bears[np.argmax(np.where(pressed, closed, -np.inf))] = True
        else:
            raise AssertionError(f"{self.head}: no end")
        miss_left = np.abs(found.fun).max()
        assert miss_left < 1e-9, f"{self.head}: {miss_left}"
        return np.maximum(force, 0.0)


def cases(path):
    found = []
    for text in path.read_text(encoding="utf-8").splitlines():
        words = text.split()
        if words[0] == "case":
            found.append(Case(words[1:]))
        elif words[0] != "#":
            found[-1].read(words)
    return found


def main():
    with open(HERE / "wheel_loads.txt", "w", encoding="utf-8") as out:
        out.write("# case seed rider travel | forces of its contacts (N)\n")
        out.write(f"# Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}\n")
        for case in cases(HERE / "wheel_load_cases.txt"):
            out.write(f"case {' '.join(case.head)}\nforces {' '.join(f'{f:.9g}' for f in case.solved())}\n")


main()
