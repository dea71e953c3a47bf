"""Reference posteriors of coefficients that pulls are linear in, by integration on a grid.

Run: python3 posteriors.py   (writes posteriors.txt beside it)
Made with numpy and scipy; the second line of posteriors.txt says which.

Readings y = A x + noise; the logarithms of the coefficients x and of the standard deviation of the noise are normal
beforehand, with given medians, and factors within which they lie with 95 %. Coefficients may have an upper bound.
Method, unlike that of the program: the posterior density is summed over a grid that is as fine as it must be,
with the noise integrated out on a grid of its own for every point. Where the pulls tell much, the grid is laid over the
part of space that matters, found by a first, coarse pass.
"""

import platform

import numpy as np
import scipy
from scipy.stats import norm

RNG = np.random.default_rng(20250609)
TWO = norm.ppf(0.975)


def numbers(values):
    return " ".join(repr(float(v)) for v in np.ravel(values))


def log_density(grids, a, y, median, factor, most, noise, known):
    """Log posterior on the product of one-dimensional grids of the logarithms, noise summed out."""
    mesh = np.meshgrid(*grids, indexing="ij")
    shape = mesh[0].shape
    phi = np.stack([m.ravel() for m in mesh])
    x = np.exp(phi)
    tau = np.log(factor) / TWO
    log = -0.5 * np.sum(((phi - np.log(median)[:, None]) / tau[:, None]) ** 2, axis=0)
    squares = np.sum((y[:, None] - a @ x) ** 2, axis=0)
    if known:
        log += -0.5 * squares / known**2
    else:
        t = np.log(noise[1]) / TWO
        lam = np.log(noise[0]) + t * np.linspace(-8.0, 8.0, 641)
        base = -0.5 * ((lam - np.log(noise[0])) / t) ** 2 - len(y) * lam
        # Log-sum over the noise for a table of squares, interpolated.
        table = np.linspace(np.log(max(squares.min(), 1e-14)) - 1e-9, np.log(squares.max()) + 1e-9, 4000)
        inner = base[None, :] - 0.5 * np.exp(table)[:, None] * np.exp(-2.0 * lam)[None, :]
        top = inner.max(axis=1)
        summed = top + np.log(np.exp(inner - top[:, None]).sum(axis=1))
        log += np.interp(np.log(np.maximum(squares, 1e-14)), table, summed)
    log = np.where(np.all(x <= most[:, None], axis=0), log, -np.inf)
    return log.reshape(shape)


def marginals(grids, log):
    p = np.exp(log - log.max())
    for i in range(len(grids)):
        m = p.sum(axis=tuple(j for j in range(len(grids)) if j != i))
        yield m / m.sum()


def quantile(grid, m, share):
    edges = np.concatenate([[0.0], np.cumsum(m)])
    middle = np.concatenate([[grid[0] - 0.5 * (grid[1] - grid[0])], grid + 0.5 * (grid[1] - grid[0])])
    return np.exp(np.interp(share, edges, middle))


def solve(a, y, median, factor, most, noise, known, points):
    tau = np.log(factor) / TWO
    low, high = np.log(median) - 6.5 * tau, np.log(median) + 6.5 * tau
    for _ in range(6):
        grids = [np.linspace(l, h, points) for l, h in zip(low, high)]
        log = log_density(grids, a, y, median, factor, most, noise, known)
        new_low, new_high = low.copy(), high.copy()
        for i, (g, m) in enumerate(zip(grids, marginals(grids, log))):
            inside = np.flatnonzero(m > 1e-9 * m.max())
            step = g[1] - g[0]
            new_low[i], new_high[i] = g[inside[0]] - 2 * step, g[inside[-1]] + 2 * step
        shrunk = np.all((new_high - new_low) > 0.9 * (high - low))
        low, high = np.maximum(low, new_low), np.minimum(high, new_high)
        if shrunk:
            break
    grids = [np.linspace(l, h, points) for l, h in zip(low, high)]
    log = log_density(grids, a, y, median, factor, most, noise, known)
    result = []
    for g, m in zip(grids, marginals(grids, log)):
        mean = float(np.sum(m * np.exp(g)))
        var = float(np.sum(m * np.exp(g) ** 2) - mean**2)
        result.append((quantile(g, m, 0.025), quantile(g, m, 0.5), quantile(g, m, 0.975), mean, np.sqrt(var)))
    return np.array(result), grids


with open("posteriors.txt", "w", encoding="utf-8") as out:
    out.write("# case unknowns pulls | column … | value … | median … | factor … | most … | noise median, factor | known deviation or 0 |"
              " 2.5 % … | 50 % … | 97.5 % … | mean … | deviation …\n")
    out.write(f"# Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}\n")
    count = 0
    while count < 40:
        unknowns = int(RNG.integers(1, 4))
        pulls = int(RNG.integers(1, 9))
        median = np.array([0.2, 0.4, 0.1])[:unknowns]
        factor = np.array([2.5, 5.0, 4.0])[:unknowns]
        most = np.array([np.inf, np.inf, 1.0])[:unknowns]
        noise = (float(RNG.uniform(0.03, 0.1)), 5.0)
        tau = np.log(factor) / TWO
        true = median * np.exp(tau * RNG.normal(size=unknowns))
        if np.any(true > most):
            continue
        loads = RNG.choice([1.3, 1.8, 3.3, 9.3], pulls)
        a = np.stack([2.0 * loads, np.full(pulls, 0.73), 0.6 * loads**1.4], axis=1)[:, :unknowns]
        sigma = noise[0] * np.exp(np.log(noise[1]) / TWO * RNG.normal())
        known = float(sigma) if RNG.uniform() < 0.4 else 0.0
        y = a @ true + sigma * RNG.normal(size=pulls)
        points = {1: 4001, 2: 901, 3: 171}[unknowns]
        coarse, _ = solve(a, y, median, factor, most, noise, known, (2 * points) // 3)
        fine, grids = solve(a, y, median, factor, most, noise, known, points)
        # Keep what the grid resolves.
        if np.any(np.abs(coarse / fine - 1.0) > 5e-3):
            continue
        out.write(f"case {unknowns} {pulls}\n")
        for column in a.T:
            out.write(f"column {numbers(column)}\n")
        out.write(f"value {numbers(y)}\nmedian {numbers(median)}\nfactor {numbers(factor)}\nmost {numbers(most)}\n")
        out.write(f"noise {numbers(noise)}\nknown {known!r}\n")
        for name, column in zip(("low", "middle", "high", "mean", "deviation"), fine.T):
            out.write(f"{name} {numbers(column)}\n")
        count += 1
