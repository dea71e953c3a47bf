//! Findings that are sure to be there.

use glidewright_motion::Severity;

/// Codes that are counted, each once: of two findings with one code one is surely left where either is.
type Codes = u64;

/// Findings that are sure to be there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub(super) struct Foreseen {
    pub fails: Codes,
    pub marginal: Codes,
}

impl Foreseen {
    /// How many fail at least, and are marginal at least.
    pub const fn counts(self) -> (u32, u32) {
        (self.fails.count_ones(), (self.marginal & !self.fails).count_ones())
    }

    /// Whether the worst there can be of a code is foreseen.
    pub fn has(self, code: usize) -> bool {
        self.fails & 1_u64.checked_shl(code as u32).unwrap_or(0) != 0
    }

    pub fn add(&mut self, severity: Severity, code: usize) {
        let bit = 1_u64.checked_shl(code as u32).unwrap_or(0);
        if severity == Severity::Fails { self.fails |= bit } else { self.marginal |= bit }
    }
}
