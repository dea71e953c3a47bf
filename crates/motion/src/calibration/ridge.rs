//! One factor of a posterior density along one unknown, and draws from it.

/// −½·d·(e^φ − c)² − ½·((φ − μ)/τ)² as a function of φ: the logarithm of a log-normal density of e^φ times a normal
/// likelihood that asks for e^φ = c.
#[derive(Clone, Copy, Debug)]
pub(super) struct Ridge {
    /// d: one over the variance of the likelihood; 0 where it tells nothing.
    pub precision: f64,
    /// c.
    pub centre: f64,
    /// μ.
    pub log_median: f64,
    /// τ, above 0.
    pub log_deviation: f64,
}

/// Two half-logistic densities that meet at a mode.
///
/// With a scale of 0.6 standard deviations a logistic density is nowhere less than 0.89 of a normal one, so that
/// weights against it stay bounded.
#[derive(Clone, Copy, Debug)]
pub(super) struct TwoPiece {
    mode: f64,
    /// Scales below and above the mode.
    below: f64,
    above: f64,
}

impl Ridge {
    fn log_density(&self, phi: f64) -> f64 {
        let off = (phi - self.log_median) / self.log_deviation;
        let miss = phi.exp() - self.centre;
        -0.5 * (self.precision * miss * miss + off * off)
    }

    /// First derivative and the negative of the second.
    fn slope(&self, phi: f64) -> (f64, f64) {
        let prior = 1.0 / (self.log_deviation * self.log_deviation);
        let x = phi.exp();
        (
            -self.precision * (x - self.centre) * x - (phi - self.log_median) * prior,
            self.precision * (2.0 * x - self.centre) * x + prior,
        )
    }

    /// Where the density is greatest: Newton's method within a bracket.
    fn mode(&self) -> f64 {
        const ROUNDS: usize = 60;
        /// A share of the local deviation that does not matter for draws.
        const NEAR: f64 = 1e-3;
        let wanted = if self.centre > 0.0 { self.centre.ln() } else { f64::NEG_INFINITY };
        let (mut low, mut high) = (self.log_median.min(wanted), self.log_median.max(wanted));
        if low == f64::NEG_INFINITY {
            let mut step = self.log_deviation;
            low = self.log_median - step;
            while self.slope(low).0 < 0.0 && step < 1e3 {
                step *= 2.0;
                low = self.log_median - step;
            }
        }
        let strong = self.precision * (self.centre * self.log_deviation).powi(2) > 1.0;
        let mut phi = if strong { wanted.max(low) } else { self.log_median }.clamp(low, high);
        for _ in 0..ROUNDS {
            let (slope, curvature) = self.slope(phi);
            if slope > 0.0 {
                low = phi;
            } else {
                high = phi;
            }
            let newton = phi + slope / curvature;
            let next =
                if curvature > 0.0 && newton > low && newton < high { newton } else { 0.5 * (low + high) };
            let found = (next - phi).abs() <= NEAR / curvature.abs().max(f64::MIN_POSITIVE).sqrt();
            phi = next;
            if found {
                break;
            }
        }
        phi
    }

    /// A density to draw from that is near this one.
    pub fn proposal(&self) -> TwoPiece {
        if !(self.precision > 0.0) {
            // The prior alone.
            let scale = TwoPiece::SCALE * self.log_deviation;
            return TwoPiece { mode: self.log_median, below: scale, above: scale };
        }
        let mode = self.mode();
        let curvature = self.slope(mode).1;
        let start = if curvature > 0.0 { 1.0 / curvature.sqrt() } else { self.log_deviation };
        TwoPiece::about(mode, start, |phi| self.log_density(phi))
    }
}

impl TwoPiece {
    /// Share of the deviation that is the logistic scale.
    const SCALE: f64 = 0.6;

    /// About the mode of a log-density, with scales from where it has dropped by 2, as a normal one has at two deviations.
    pub fn about(mode: f64, start: f64, log_density: impl Fn(f64) -> f64) -> Self {
        let top = log_density(mode);
        let deviation = |way: f64| {
            let mut reach = 2.0 * start;
            for _ in 0..8 {
                let drop = top - log_density(mode + way * reach);
                if (1.4..=2.8).contains(&drop) {
                    break;
                }
                reach *= if drop > 0.0 { (2.0 / drop).sqrt().clamp(0.2, 4.0) } else { 4.0 };
            }
            0.5 * reach
        };
        Self { mode, below: Self::SCALE * deviation(-1.0), above: Self::SCALE * deviation(1.0) }
    }

    /// The same, wider.
    pub fn widened(self, by: f64) -> Self {
        Self { below: self.below * by, above: self.above * by, ..self }
    }

    /// The draw that belongs to `unit` (above 0, below 1), and the logarithm of the density there.
    pub fn draw(&self, unit: f64) -> (f64, f64) {
        let whole = self.below + self.above;
        let share = self.below / whole;
        let (part, scale) = if unit < share {
            (0.5 * unit / share, self.below)
        } else {
            (0.5 + 0.5 * (unit - share) / (1.0 - share), self.above)
        };
        let part = part.clamp(1e-12, 1.0 - 1e-12);
        let at = self.mode + scale * (part / (1.0 - part)).ln();
        (at, (2.0 * part * (1.0 - part) / whole).ln())
    }
}
