"""Reference solutions for bounded linear least squares.

Run: python3 fits.py   (writes fits.txt beside it)
Made with Python 3.11, numpy 2.4.6, scipy 1.17.1; the second line of fits.txt says which.

Each case is a table of pulls: a column per coefficient with the sizes that pulls have (newtons per unit of the
coefficient), a right side that scatters, bounds of which some bind. Solved by scipy.optimize.lsq_linear (method
'bvls', P. B. Stark and R. L. Parker, Comput. Stat. 10 (1995) 129). Standard errors are those of ordinary linear
regression on the values inside their bounds, from the inverse of the normal matrix.
"""

import platform

import numpy as np
import scipy
from scipy.optimize import lsq_linear

RNG = np.random.default_rng(20250117)


def numbers(values):
    return " ".join(repr(float(v)) for v in values)


with open("fits.txt", "w", encoding="utf-8") as out:
    out.write("# case unknowns equations | column … | right … | low … | high … | value … | at bound 0/1 … | error … | squares\n")
    out.write(f"# Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}\n")
    count = binding = 0
    while count < 120:
        unknowns = int(RNG.integers(1, 5))
        equations = unknowns + int(RNG.integers(1, 12))
        scales = 10.0 ** RNG.uniform(-1.5, 1.5, unknowns)
        a = RNG.uniform(0.05, 1.0, (equations, unknowns)) * scales
        true = RNG.uniform(-0.3, 1.0, unknowns) / scales
        b = a @ true + RNG.normal(0.0, 0.03, equations)
        low = np.where(RNG.uniform(size=unknowns) < 0.8, 0.0, -2.0 / scales)
        high = np.where(RNG.uniform(size=unknowns) < 0.5, np.inf, RNG.uniform(0.4, 1.5, unknowns) / scales)
        fit = lsq_linear(a, b, bounds=(low, high), method="bvls", tol=1e-15, max_iter=1000)
        at = fit.active_mask != 0
        # Let no case hang on which side of a bound rounding puts it.
        slack = np.minimum(fit.x - low, high - fit.x) * scales
        if not fit.success or np.any(~at & (slack < 1e-6)) or np.all(at):
            continue
        free = a[:, ~at]
        if np.linalg.cond(free) > 1e6:
            continue
        # Once more without bounds on the free ones, held to the last digits.
        x = np.where(fit.active_mask < 0, low, np.where(fit.active_mask > 0, high, 0.0))
        x[~at] = np.linalg.lstsq(free, b - a[:, at] @ x[at], rcond=None)[0]
        squares = float(np.sum((a @ x - b) ** 2))
        variance = squares / (equations - free.shape[1])
        error = np.zeros(unknowns)
        error[~at] = np.sqrt(variance * np.diag(np.linalg.inv(free.T @ free)))
        out.write(f"case {unknowns} {equations}\n")
        for column in a.T:
            out.write(f"column {numbers(column)}\n")
        out.write(f"right {numbers(b)}\nlow {numbers(low)}\nhigh {numbers(high)}\n")
        out.write(f"value {numbers(x)}\nbound {numbers(at)}\nerror {numbers(error)}\nsquares {squares!r}\n")
        count += 1
        binding += bool(at.any())
    assert binding > 30, binding
