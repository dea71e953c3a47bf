//! Remarks and guide prices for parts by standard.

use std::sync::OnceLock;

use super::rows::{rows, text};

/// What is worth knowing about a standard, or one size of it: what it is easily taken for, what is uncertain.
pub(super) fn remarks(standard: &str, size: &str) -> Vec<&'static str> {
    static TABLE: OnceLock<Vec<(String, String, String)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(text::REMARKS));
    let about = table.iter().filter(|(of, at, _)| of == standard && (at.is_empty() || at == size));
    about.map(|(_, _, remark)| remark.as_str()).collect()
}

/// An invented guide price for hardware of a kind and size (bore or thread, mm).
pub(super) fn guide_price(kind: &str, size: f64) -> Option<f64> {
    static TABLE: OnceLock<Vec<(String, f64, f64)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(text::GUIDE_PRICES));
    table.iter().find(|(of, at, _)| of == kind && *at == size).map(|(_, _, cost)| *cost)
}
