//! Remarks and guide prices for parts by standard.

use std::sync::OnceLock;

use serde::Deserialize;

use super::rows::{rows, text};
use super::standards::SAME_THREAD;
use crate::document::Part;

/// What is worth knowing about a standard, or one size of it: what it is easily taken for, what is uncertain.
fn remarks(standard: &str, size: &str) -> Vec<&'static str> {
    static TABLE: OnceLock<Vec<(String, String, String)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(text::REMARKS));
    let about = table.iter().filter(|(of, at, _)| of == standard && (at.is_empty() || at == size));
    about.map(|(_, _, remark)| remark.as_str()).collect()
}

/// Adds to a note what is worth knowing about a standard, or one size of it.
pub(super) fn note_remarks(note: &mut String, standard: &str, size: &str) {
    for remark in remarks(standard, size) {
        note.push_str("; ");
        note.push_str(remark);
    }
}

#[derive(Deserialize)]
struct PriceRow {
    kind: String,
    size_mm: f64,
    cost: f64,
    cost_per_mm: Option<f64>,
    pack: Option<u32>,
}

/// A part with the invented guide price of hardware of a kind and size (bore or thread, mm), as far as there is one.
pub(super) fn priced(part: Part, kind: &str, size: f64) -> Part {
    static TABLE: OnceLock<Vec<PriceRow>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(text::GUIDE_PRICES));
    match table.iter().find(|row| row.kind == kind && (row.size_mm - size).abs() < SAME_THREAD) {
        Some(row) => Part { cost: Some(row.cost), cost_per_mm: row.cost_per_mm, pack: row.pack, ..part },
        None => part,
    }
}
