//! One-dimensional searches on convex functions given by value and slope.

/// The least value found by [`least`].
#[derive(Clone, Copy, Debug)]
pub(crate) struct Least {
    /// Start of the range of minimisers.
    pub from: f64,
    /// End of the range of minimisers.
    pub to: f64,
    /// The least value found, an upper bound of the truth.
    pub value: f64,
    /// A lower bound of the truth (from the tangents).
    pub lower: f64,
}

/// The least value of a convex function between `a` and `b`. `eval` gives the value and one slope (any
/// subgradient). Each step tries where the tangents at the two ends of the bracket meet, which ends exactly on
/// piecewise straight functions, or the middle when that gains too little. Ends when the tangents prove the
/// value to `tolerance`, or to be no less than `enough`.
pub(crate) fn least(
    mut eval: impl FnMut(f64) -> (f64, f64),
    (a, b): (f64, f64),
    tolerance: f64,
    enough: f64,
) -> Least {
    let (mut a, mut b) = (a.min(b), a.max(b));
    let (mut fa, mut ga) = eval(a);
    if ga >= 0.0 || a == b {
        return Least {
            from: a,
            to: if ga == 0.0 { flat_end(&mut eval, a, b, fa) } else { a },
            value: fa,
            lower: fa,
        };
    }
    let (mut fb, mut gb) = eval(b);
    if gb <= 0.0 {
        let from = if gb == 0.0 { flat_end(&mut eval, b, a, fb) } else { b };
        return Least { from, to: b, value: fb, lower: fb };
    }
    let (mut best, mut best_at) = if fa < fb { (fa, a) } else { (fb, b) };
    let mut lower = f64::NEG_INFINITY;
    let mut width = b - a;
    for step in 0..200 {
        // Where the tangents meet, and how high.
        let t = (fb - fa + ga * a - gb * b) / (ga - gb);
        lower = lower.max(fa + ga * (t - a));
        if !(best - lower > tolerance) || lower >= enough {
            break;
        }
        // Every third step halves if the bracket has not halved by itself.
        let mut next = t;
        if step % 3 == 2 {
            if b - a > 0.5 * width {
                next = 0.5 * (a + b);
            }
            width = b - a;
        }
        if !(next > a && next < b) {
            next = 0.5 * (a + b);
            if !(next > a && next < b) {
                break;
            }
        }
        let (f, g) = eval(next);
        if f < best || (f == best && g == 0.0) {
            (best, best_at) = (f, next);
        }
        if g == 0.0 {
            let from = flat_end(&mut eval, next, a, f);
            let to = flat_end(&mut eval, next, b, f);
            return Least { from, to, value: f, lower: f };
        }
        if g < 0.0 {
            (a, fa, ga) = (next, f, g);
        } else {
            (b, fb, gb) = (next, f, g);
        }
    }
    Least { from: best_at, to: best_at, value: best, lower: lower.min(best) }
}

/// How far from `inside` towards `outside` the function keeps the value `flat`: Newton's method from outside,
/// which never passes the end.
fn flat_end(eval: &mut impl FnMut(f64) -> (f64, f64), inside: f64, outside: f64, flat: f64) -> f64 {
    // Rounding of values of this size must not count as rising.
    let level = flat + 1e-14 * (1.0 + flat.abs());
    let sense = if outside < inside { -1.0 } else { 1.0 };
    let mut t = outside;
    for _ in 0..100 {
        let (f, g) = eval(t);
        let slope = g * sense;
        if f <= level || !(slope > 0.0) {
            return t;
        }
        let next = t - sense * (f - flat) / slope;
        if (next - inside) * sense <= 0.0 {
            return inside;
        }
        if next == t {
            return t;
        }
        t = next;
    }
    inside
}

/// What is known of a convex function at a place, for where it crosses a level.
pub(crate) enum Side {
    /// Its value and slope.
    Known(f64, f64),
    /// It is no more than the level.
    Below,
}

impl From<(f64, f64)> for Side {
    fn from((value, slope): (f64, f64)) -> Self {
        Self::Known(value, slope)
    }
}

/// A value this near the level (mm, and as a share of the level) has reached it for rounding.
pub(crate) const ROUNDING: f64 = 1e-12;

/// From `outside`, where a convex function exceeds `level`, to the nearest place towards `inside` (where it does
/// not) where it equals it: Newton's method, which does not pass the root of a convex function, kept between bounds in
/// case a slope is spoilt by rounding. A value this near to the level as `reached` has reached it; what is left of a gap
/// as small as rounding has a slope without meaning.
pub(crate) fn crossing(
    mut eval: impl FnMut(f64) -> Side,
    (outside, inside): (f64, f64),
    level: f64,
    reached: f64,
) -> f64 {
    let sense = if outside < inside { -1.0 } else { 1.0 };
    let (mut t, mut inner) = (outside, inside);
    let Side::Known(mut f, mut g) = eval(t) else { return t };
    for _ in 0..200 {
        if f <= level + reached {
            return t;
        }
        let slope = g * sense;
        let mut next = t - sense * (f - level) / slope;
        if !(slope > 0.0) || (next - inner) * sense <= 0.0 {
            next = 0.5 * (t + inner);
        }
        if next == t || !((next - inner) * sense > 0.0) {
            return t;
        }
        match eval(next) {
            Side::Known(value, turn) if value > level => (t, f, g) = (next, value, turn),
            Side::Known(value, _) if value >= level - reached => return next,
            // As near as the level is reached.
            Side::Below if (t - next).abs() <= reached => return t,
            _ => inner = next,
        }
    }
    t
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn finds_least_values() {
        type F = fn(f64) -> (f64, f64);
        let cases: [(F, f64, f64, f64); 6] = [
            (|x| ((x - 3.0) * (x - 3.0), 2.0 * (x - 3.0)), 3.0, 3.0, 0.0),
            (|x| ((x - 3.0).abs(), (x - 3.0).signum()), 3.0, 3.0, 0.0),
            (|x| ((x.abs() - 1.0).max(0.5), if x.abs() <= 1.5 { 0.0 } else { x.signum() }), -1.5, 1.5, 0.5),
            (|x| (x, 1.0), -10.0, -10.0, -10.0),
            (|x| (-x, -1.0), 20.0, 20.0, -20.0),
            (|x: f64| (x.hypot(2.0) - 1.0, x / x.hypot(2.0)), 0.0, 0.0, 1.0),
        ];
        for (f, from, to, value) in cases {
            let found = least(f, (-10.0, 20.0), 1e-13, f64::INFINITY);
            assert!((found.value - value).abs() < 1e-12, "{found:?} for {value}");
            assert!(found.lower <= found.value && found.value - found.lower < 1e-12);
            assert!((found.from - from).abs() < 1e-5 && (found.to - to).abs() < 1e-5, "{found:?}");
            // Sooner where it is enough to know that it is no less.
            let enough = least(f, (-10.0, 20.0), 1e-13, value - 1.0);
            assert!(enough.lower >= value - 1.0 && enough.value >= value - 1e-12, "{enough:?}");
        }
    }

    #[test]
    fn finds_crossings() {
        let f = |x: f64| Side::Known(x * x - 2.0, 2.0 * x);
        assert!((crossing(f, (100.0, 0.0), 0.0, 1e-12) - 2f64.sqrt()).abs() < 1e-15);
        assert!((crossing(f, (-100.0, 0.0), 0.0, 1e-12) + 2f64.sqrt()).abs() < 1e-15);
        let flat =
            |x: f64| Side::Known((x.abs() - 1.0).max(0.0), if x.abs() <= 1.0 { 0.0 } else { x.signum() });
        assert!((crossing(flat, (100.0, 0.0), 0.0, 1e-12) - 1.0).abs() < 1e-12);
        // Of what lies below nothing is known but that.
        let above =
            |x: f64| if x > 3.0 { Side::Known((x - 3.0) * (x + 1.0), 2.0 * x - 2.0) } else { Side::Below };
        assert!((crossing(above, (50.0, 0.0), 0.0, 1e-9) - 3.0).abs() < 1e-8);
        let cliff = |x: f64| if x > 3.0 { Side::Known(x, 1.0) } else { Side::Below };
        assert!((crossing(cliff, (50.0, 0.0), 0.0, 1e-9) - 3.0).abs() < 1e-8);
    }

    #[test]
    fn nonsense_ends() {
        let _ = least(|_| (f64::NAN, f64::NAN), (0.0, 1.0), 1e-9, f64::INFINITY);
        let _ = least(|x| (x, 1.0), (f64::NAN, 1.0), 1e-9, f64::INFINITY);
        let _ = least(|x| (x, -1.0), (f64::NEG_INFINITY, f64::INFINITY), 1e-9, f64::INFINITY);
        let _ = crossing(|_| Side::Known(f64::NAN, f64::NAN), (0.0, 1.0), 0.0, 1e-12);
    }
}
