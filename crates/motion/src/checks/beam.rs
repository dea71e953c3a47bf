//! A straight beam on supports: how far it bends and how hard it is bent.

use std::f64::consts::PI;

use nalgebra::{DMatrix, DVector};

/// Bending stress of a round bar (MPa): 32 M/(π d³).
pub(super) fn round_bar(moment: f64, diameter: f64) -> f64 {
    32.0 * moment / (PI * diameter.powi(3))
}

/// A straight beam of constant section under point loads and its own weight, all across it one way.
///
/// On two supports or more it lies freely on each, continuous over those between; on a single one it is clamped there.
/// Deflection by Macaulay's brackets (textbook): EI y = EI (y₀ + θ₀ x) + C⟨x − a⟩²/2 + Σ R⟨x − a⟩³/6 − Σ P⟨x − b⟩³/6 − w x⁴/24,
/// its unknowns from the supports' places and the balance of forces and moments.
#[derive(Clone, Debug)]
pub(super) struct Beam<'a> {
    /// Length (mm).
    pub(super) length: f64,
    /// Bending stiffness EI (N·mm²).
    pub(super) bending: f64,
    /// Places of its supports (mm).
    pub(super) supports: &'a [f64],
    /// Its own weight across (N/mm), positive as the loads.
    pub(super) weight: f64,
    /// Loads: place (mm) and force (N).
    pub(super) loads: &'a [(f64, f64)],
}

/// What a [`Beam`] comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Bent {
    bending: f64,
    weight: f64,
    loads: Vec<(f64, f64)>,
    supports: Vec<(f64, f64)>,
    /// Moment of the clamp at the only support (N·mm).
    clamp: f64,
    /// EI y₀ and EI θ₀.
    start: [f64; 2],
}

/// ⟨x⟩ⁿ
fn bracket(x: f64, power: i32) -> f64 {
    if x > 0.0 { x.powi(power) } else { 0.0 }
}

impl Beam<'_> {
    /// Solves it; `None` without supports or where no finite figure comes of it.
    pub(super) fn bent(&self) -> Option<Bent> {
        let mut places: Vec<f64> = self.supports.to_vec();
        places.sort_by(f64::total_cmp);
        places.dedup();
        let clamped = places.len() == 1;
        let reactions = places.len();
        // Unknown: a reaction each, the clamp's moment, EI y₀, EI θ₀.
        let size = reactions + usize::from(clamped) + 2;
        let (clamp, y0) = (reactions, size - 2);
        let mut matrix = DMatrix::<f64>::zeros(size, size);
        let mut right = DVector::<f64>::zeros(size);
        let driven = |x: f64, power: i32, over: f64| {
            let point: f64 = self.loads.iter().map(|(b, p)| p * bracket(x - b, power)).sum();
            point / over + self.weight * x.powi(power + 1) / (over * f64::from(power + 1))
        };
        for (row, a) in places.iter().enumerate() {
            for (column, other) in places.iter().enumerate() {
                matrix[(row, column)] = bracket(a - other, 3) / 6.0;
            }
            matrix[(row, y0)] = 1.0;
            matrix[(row, y0 + 1)] = *a;
            right[row] = driven(*a, 3, 6.0);
        }
        let mut row = reactions;
        if clamped {
            matrix[(row, y0 + 1)] = 1.0;
            right[row] = driven(*places.first()?, 2, 2.0);
            row += 1;
        }
        let (mut force, mut moment) =
            (self.weight * self.length, 0.5 * self.weight * self.length * self.length);
        for (b, p) in self.loads {
            force += p;
            moment += p * b;
        }
        for (column, a) in places.iter().enumerate() {
            matrix[(row, column)] = 1.0;
            matrix[(row + 1, column)] = *a;
        }
        if clamped {
            matrix[(row + 1, clamp)] = -1.0;
        }
        right[row] = force;
        right[row + 1] = moment;
        let found = matrix.full_piv_lu().solve(&right)?;
        if places.is_empty() || !found.iter().all(|value| value.is_finite()) || !(self.bending > 0.0) {
            return None;
        }
        Some(Bent {
            bending: self.bending,
            weight: self.weight,
            loads: self.loads.to_vec(),
            supports: places.into_iter().enumerate().map(|(number, a)| (a, found[number])).collect(),
            clamp: if clamped { found[clamp] } else { 0.0 },
            start: [found[y0], found[y0 + 1]],
        })
    }
}

impl Bent {
    fn at(&self) -> f64 {
        self.supports.first().map_or(0.0, |support| support.0)
    }

    /// How far it has gone along the loads at a place (mm).
    pub(super) fn sag(&self, x: f64) -> f64 {
        let up: f64 = self.supports.iter().map(|(a, r)| r * bracket(x - a, 3) / 6.0).sum();
        let down: f64 = self.loads.iter().map(|(b, p)| p * bracket(x - b, 3) / 6.0).sum();
        let rigid = self.start[0] + self.start[1] * x + 0.5 * self.clamp * bracket(x - self.at(), 2);
        (down + self.weight * x.powi(4) / 24.0 - up - rigid) / self.bending
    }

    /// The bending moment at a place (N·mm), positive where its loaded side is pressed.
    pub(super) fn moment(&self, x: f64) -> f64 {
        let up: f64 = self.supports.iter().map(|(a, r)| r * bracket(x - a, 1)).sum();
        let down: f64 = self.loads.iter().map(|(b, p)| p * bracket(x - b, 1)).sum();
        let clamp = if x >= self.at() { self.clamp } else { 0.0 };
        up + clamp - down - 0.5 * self.weight * x * x
    }

    /// The greatest bending moment in amount (N·mm), at a support or load or where the weight alone makes it.
    pub(super) fn greatest_moment(&self, length: f64) -> f64 {
        /// Places between, for what the weight makes.
        const STEPS: u32 = 40;
        let between = (0..=STEPS).map(|step| length * f64::from(step) / f64::from(STEPS));
        let places = self.supports.iter().chain(&self.loads).map(|(at, _)| *at);
        places
            .chain(between)
            // A clamp's moment begins there; a hair before it is that of the free side.
            .map(|x| self.moment(x).abs())
            .fold(0.0, f64::max)
    }
}

#[cfg(test)]
mod tests {
    use super::Beam;

    fn near(got: f64, expected: f64) {
        assert!((got - expected).abs() < 1e-9 * expected.abs().max(1.0), "{got}, expected {expected}");
    }

    /// Beams of any handbook: on two supports P L³/48EI and P L/4, 5 w L⁴/384EI; a cantilever P L³/3EI, P L and
    /// w L⁴/8EI.
    #[test]
    fn handbook_beams() {
        let (length, bending) = (600.0, 7e8);
        let ends = [0.0, length];
        let middle = Beam { length, bending, supports: &ends, weight: 0.0, loads: &[(300.0, 40.0)] };
        let bent = middle.bent().unwrap();
        near(bent.sag(300.0), 40.0 * length.powi(3) / (48.0 * bending));
        near(bent.greatest_moment(length), 40.0 * length / 4.0);
        let even = Beam { weight: 0.01, loads: &[], ..middle };
        let bent = even.bent().unwrap();
        near(bent.sag(300.0), 5.0 * 0.01 * length.powi(4) / (384.0 * bending));
        near(bent.greatest_moment(length), 0.01 * length * length / 8.0);
        let tip = Beam { supports: &[0.0], weight: 0.0, loads: &[(600.0, 40.0)], ..even };
        let bent = tip.bent().unwrap();
        near(bent.sag(600.0), 40.0 * length.powi(3) / (3.0 * bending));
        near(bent.greatest_moment(length), 40.0 * length);
        let hung = Beam { weight: 0.01, loads: &[], ..tip };
        near(hung.bent().unwrap().sag(600.0), 0.01 * length.powi(4) / (8.0 * bending));
    }

    /// Three supports, evenly loaded: the middle one carries 10/8 of a span's load, the ends 3/8 (theorem of three
    /// moments; any handbook).
    #[test]
    fn over_three_supports() {
        let supports = [0.0, 300.0, 600.0];
        let beam = Beam { length: 600.0, bending: 7e8, supports: &supports, weight: 0.02, loads: &[] };
        let bent = beam.bent().unwrap();
        near(bent.supports[0].1, 3.0 / 8.0 * 6.0);
        near(bent.supports[1].1, 10.0 / 8.0 * 6.0);
        near(bent.moment(300.0), -0.02 * 300.0 * 300.0 / 8.0);
    }

    /// An overhang beyond the last support goes down by P c²(L + c)/3EI (any handbook).
    #[test]
    fn an_overhang() {
        let (span, beyond, bending) = (400.0, 150.0, 7e8);
        let supports = [0.0, span];
        let loads = [(span + beyond, 30.0)];
        let beam = Beam { length: span + beyond, bending, supports: &supports, weight: 0.0, loads: &loads };
        near(beam.bent().unwrap().sag(550.0), 30.0 * beyond * beyond * (span + beyond) / (3.0 * bending));
    }
}
