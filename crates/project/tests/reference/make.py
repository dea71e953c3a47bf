"""Makes the reference data beside this script: formulas.csv, student.csv, readings.csv.

Formulas are random trees. Their value is worked out on the tree by Python's float arithmetic and Pint's
units, their text is written from the same tree by rules of its own, so that neither the reader nor the
evaluator of the program takes part.

    pip install -r requirements.txt && python make.py
"""

import csv
import math
import random

import pint
from scipy import stats

units = pint.UnitRegistry()
rng = random.Random(20240607)

LENGTHS = {"mm": "mm", "cm": "cm", "m": "m", "in": "inch", "ft": "foot", "um": "micrometer", "dm": "dm"}
MASSES = {"g": "g", "kg": "kg", "mg": "mg", "lb": "pound", "oz": "ounce"}
ANGLES = {"deg": "degree", "rad": "radian", "mrad": "milliradian"}
TARGET = {"length": "mm", "mass": "g", "angle": "degree", "number": ""}


class Unfit(Exception):
    """The tree has no value fit for comparison."""


class Tree:
    """Text, value, how tightly the text binds (3 atom, 2 power, 1 product, 0 sum), largest size met."""

    def __init__(self, text, value, binds, size):
        if not math.isfinite(value.magnitude) or abs(value.magnitude) > 1e12:
            raise Unfit
        self.text, self.value, self.binds = text, value, binds
        self.size = max(size, abs(value.to_base_units().magnitude))

    def within(self, binds):
        return self.text if self.binds >= binds else f"({self.text})"


def number_text():
    kind = rng.randrange(4)
    if kind == 0:
        return str(rng.randint(1, 99))
    if kind == 1:
        return f"{rng.uniform(0.01, 50):.{rng.randint(1, 4)}f}"
    if kind == 2:
        return f"{rng.randint(1, 9)}e{rng.randint(-2, 2)}"
    return f"{rng.uniform(0.1, 9):.2f}"


def measure(table):
    text, symbol = number_text(), rng.choice(list(table))
    if float(text) == 0:
        raise Unfit
    return Tree(f"{text} {symbol}", float(text) * units(table[symbol]), 1, 0.0)


def plain():
    if rng.randrange(12) == 0:
        return Tree("pi", units.Quantity(math.pi), 3, 0.0)
    text = number_text()
    return Tree(text, units.Quantity(float(text)), 3, 0.0)


def sign(spaced):
    return f" {spaced} " if rng.random() < 0.7 else spaced


def total(kind, depth):
    a, b = tree(kind, depth), tree(kind, depth)
    minus = rng.random() < 0.5
    value = a.value - b.value if minus else a.value + b.value
    # The right side of a difference needs brackets round a sum.
    right = b.within(1 if minus else 0) if not b.text.startswith("-") else f"({b.text})"
    if not minus and b.binds == 0:
        right = f"({b.text})"
    return Tree(f"{a.within(0)}{sign('-' if minus else '+')}{right}", value, 0, max(a.size, b.size))


def product(a, b, over):
    value = a.value / b.value if over else a.value * b.value
    right = b.within(2) if not b.text.startswith("-") else f"({b.text})"
    left = a.within(1)
    # A number over a number with a unit would read as a fraction of that unit.
    if over and " " in right and not right.startswith("("):
        right = f"({right})"
    return Tree(f"{left}{sign('/' if over else '*')}{right}", value, 1, max(a.size, b.size))


def nonzero(t):
    if abs(t.value.to_base_units().magnitude) < 1e-6 * max(t.size, 1e-9):
        raise Unfit
    return t


def call(name, arguments, value):
    separator = rng.choice([", ", ","])
    size = max(a.size for a in arguments)
    return Tree(f"{name}({separator.join(a.text for a in arguments)})", value, 3, size)


def extreme(kind, depth):
    values = [tree(kind, depth) for _ in range(rng.randint(1, 3))]
    name = rng.choice(["min", "max"])
    pick = min if name == "min" else max
    return call(name, values, pick((v.value for v in values)))


def clamp(kind, depth):
    values = [tree(kind, depth) for _ in range(3)]
    low, high = sorted(values[1:], key=lambda v: v.value.to_base_units().magnitude)
    value = min(max(values[0].value, low.value), high.value)
    return call("clamp", [values[0], low, high], value)


def step(kind, depth):
    value, to = nonzero(tree(kind, depth)), nonzero(tree(kind, depth))
    if to.value.magnitude < 0:
        raise Unfit
    steps = (value.value / to.value).to("").magnitude
    if abs(steps) > 1e6 or abs(steps * 2 - round(steps * 2)) < 1e-5:
        raise Unfit
    name, rounding = rng.choice([("round", round), ("floor", math.floor), ("ceil", math.ceil)])
    return call(name, [value, to], rounding(steps) * to.value)


def negative(kind, depth):
    inner = tree(kind, depth)
    return Tree(f"-{inner.within(2)}", -inner.value, 1, inner.size)


def same_kind(kind, depth):
    maker = rng.randrange(10)
    if maker < 4:
        return total(kind, depth)
    if maker < 6:
        a, b = tree(kind, depth), nonzero(tree("number", depth))
        return product(a, b, rng.random() < 0.5)
    if maker == 6:
        return extreme(kind, depth)
    if maker == 7:
        return clamp(kind, depth)
    if maker == 8:
        return step(kind, depth)
    return negative(kind, depth)


def length(depth):
    maker = rng.randrange(8)
    if maker == 0:
        a, b = tree("length", depth), tree("length", depth)
        value = units.Quantity(math.hypot(a.value.to("mm").magnitude, b.value.to("mm").magnitude), "mm")
        return call("hypot", [a, b], value)
    if maker == 1:
        a, b, c = tree("length", depth), tree("length", depth), nonzero(tree("length", depth))
        return product(product(a, b, False), c, True)
    if maker == 2:
        inner = tree("length", depth)
        return call("abs", [inner], abs(inner.value))
    if maker == 3:
        a = tree("length", depth)
        power = Tree(f"({a.text})^2", a.value**2, 2, a.size**2)
        return call("sqrt", [power], abs(a.value))
    return same_kind("length", depth)


def angle(depth):
    maker = rng.randrange(6)
    if maker == 0:
        a, b = nonzero(tree("length", depth)), nonzero(tree("length", depth))
        turn = math.atan2(a.value.to("mm").magnitude, b.value.to("mm").magnitude)
        return call("atan2", [a, b], units.Quantity(turn, "radian"))
    if maker == 1:
        text = f"{rng.uniform(-0.99, 0.99):.3f}"
        name, function = rng.choice([("asin", math.asin), ("acos", math.acos), ("atan", math.atan)])
        inner = Tree(text, units.Quantity(float(text)), 1, 0.0)
        return call(name, [inner], units.Quantity(function(float(text)), "radian"))
    return same_kind("angle", depth)


def number(depth):
    maker = rng.randrange(10)
    if maker == 0:
        a, b = tree("length", depth), nonzero(tree("length", depth))
        ratio = product(a, b, True)
        return Tree(ratio.text, ratio.value.to(""), ratio.binds, ratio.size)
    if maker == 1:
        turn = tree("angle", depth)
        radians = turn.value.to("radian").magnitude
        if abs(radians) > 50:
            raise Unfit
        name, function = rng.choice([("sin", math.sin), ("cos", math.cos), ("tan", math.tan)])
        if name == "tan" and abs(math.cos(radians)) < 0.05:
            raise Unfit
        return call(name, [turn], units.Quantity(function(radians)))
    if maker == 2:
        base, exponent = nonzero(tree("number", depth)), rng.randint(-3, 4)
        return Tree(f"{base.within(3)}^{exponent}", base.value**exponent, 2, base.size)
    if maker == 3:
        base = tree("number", depth)
        if base.value.magnitude <= 0:
            raise Unfit
        name = rng.choice(["sqrt", "ln"])
        function = math.sqrt if name == "sqrt" else math.log
        return call(name, [base], units.Quantity(function(base.value.magnitude)))
    if maker == 4:
        base = tree("number", depth)
        if abs(base.value.magnitude) > 20:
            raise Unfit
        return call("exp", [base], units.Quantity(math.exp(base.value.magnitude)))
    return same_kind("number", depth)


def tree(kind, depth):
    if depth == 0 or rng.random() < 0.15:
        leaf = {"length": LENGTHS, "mass": MASSES, "angle": ANGLES}.get(kind)
        return measure(leaf) if leaf else plain()
    maker = {"length": length, "angle": angle, "number": number}.get(kind)
    return maker(depth - 1) if maker else same_kind(kind, depth - 1)


def formulas(count):
    rows, seen = [], set()
    while len(rows) < count:
        kind = rng.choice(["length", "length", "number", "number", "angle", "mass"])
        try:
            made = tree(kind, rng.randint(1, 4))
            value = made.value.to(TARGET[kind]).magnitude
            base = abs(made.value.to_base_units().magnitude)
        except (Unfit, ZeroDivisionError, OverflowError):
            continue
        # Where terms cancel, the order of rounding shows; such trees prove nothing.
        if made.size > 1e4 * max(base, 1e-12) or len(made.text) > 120 or made.text in seen:
            continue
        seen.add(made.text)
        rows.append((kind, made.text, repr(float(value))))
    return rows


def student():
    for level in (0.5, 0.9, 0.95, 0.99, 0.999):
        for degrees in [*range(1, 41), 50, 60, 99, 100, 120, 500, 1000]:
            yield level, degrees, repr(float(stats.t.ppf(0.5 + level / 2, degrees)))


def readings():
    for _ in range(300):
        count = rng.randint(1, 12)
        values = [round(rng.gauss(rng.uniform(1, 40), 0.05), 2) for _ in range(count)]
        centre = rng.uniform(1, 40)
        values = [round(centre + rng.gauss(0, 0.05), 2) for _ in range(count)]
        resolution = rng.choice([0.0, 0.01, 0.02, 0.05])
        mean = sum(values) / count
        if count > 1:
            deviation = float(stats.tstd(values))
            # Rounding to the instrument's step spreads readings by no less (JCGM 100:2008, F.2.2.1).
            counted = max(deviation, resolution / math.sqrt(12))
            scatter = float(stats.t.ppf(0.975, count - 1)) * counted * math.sqrt(1 + 1 / count)
        else:
            deviation = scatter = 0.0
        yield " ".join(map(str, values)), resolution, mean, deviation, math.hypot(scatter, resolution / 2)


def write(name, heading, rows):
    with open(name, "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(heading)
        writer.writerows(rows)


write("formulas.csv", ["kind", "formula", "value"], formulas(10_500))
write("student.csv", ["level", "degrees", "quantile"], student())
write("readings.csv", ["readings", "resolution", "mean", "deviation", "half_width"], readings())
