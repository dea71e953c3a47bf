//! The seeded stream all choices come from.

/// A stream of pseudo-random numbers (SplitMix64, Steele, Lea & Flood 2014): the same for a seed on every machine.
pub struct Random(u64);

impl Random {
    /// The stream of a seed.
    pub const fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x5851_f42d_4c95_7f2d)
    }

    /// Another stream from here on, which takes nothing from this one: what is chosen from it leaves all else as it was.
    pub const fn aside(&self) -> Self {
        Self(self.0 ^ 0x2545_f491_4f6c_dd1d)
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let x = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let x = (x ^ (x >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        x ^ (x >> 31)
    }

    /// A number in [0, 1).
    pub fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A whole number below `count`.
    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count.saturating_sub(1))
    }

    /// A whole number from `least` to `most`, both included.
    pub fn count(&mut self, least: usize, most: usize) -> usize {
        least + self.below(most + 1 - least)
    }

    /// True with this probability.
    pub fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// One of a list, which must not be empty.
    pub fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }

    /// A number in [`from`, `to`), with all its digits.
    pub fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.unit()
    }

    /// A size as people write it: mostly in steps of a half or a tenth, at times with all its digits, at times a few
    /// units in the last place beside such a step.
    pub fn size(&mut self, from: f64, to: f64) -> f64 {
        let raw = self.between(from, to);
        match self.below(20) {
            0..=9 => (raw * 2.0).round() / 2.0,
            10..=15 => (raw * 10.0).round() / 10.0,
            16 | 17 => self.nudged((raw * 2.0).round() / 2.0),
            _ => raw,
        }
    }

    /// A number a few units in the last place beside another.
    pub fn nudged(&mut self, value: f64) -> f64 {
        let steps = self.count(1, 4);
        let up = self.chance(0.5);
        (0..steps).fold(value, |x, _| if up { x.next_up() } else { x.next_down() })
    }
}
