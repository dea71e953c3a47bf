//! Nuts, inserts, washers and holes by standard.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde::Deserialize;

use super::notes::{note_remarks, priced};
use super::rows::{rows, text};
use crate::certainty::Certainty;
use crate::choice::Choice;
use crate::document::{InsertPart, NutForm, NutPart, Part, PartForm, WasherPart};
use crate::size::Length;
use crate::tolerance::Tolerance;

/// What steel hardware is taken to be made of.
pub(super) const STEEL: &str = "steel, plain carbon";
/// Standards whose nuts grip the screw (prevailing torque): with a plastic insert, all of metal.
const LOCKING: [&str; 4] = ["DIN 985", "ISO 7040", "ISO 10511", "ISO 7719"];
/// Those among them all of metal.
const ALL_METAL: [&str; 1] = ["ISO 7719"];
/// A nut lower than this share of its thread is thin (ISO 898-2 calls m ≥ 0.8 d regular; from memory), with a plastic
/// insert, which takes a third of the height, one not higher than its thread (common practice, no source).
const REGULAR: f64 = 0.8;
const REGULAR_LOCKING: f64 = 1.01;

/// A size between two limits.
pub(super) fn between(least: f64, greatest: f64) -> Length {
    Length::of(0.5 * (least + greatest)).with_tolerance(Tolerance::Between(least, greatest))
}

/// Between limits if both are known; else the greatest, and `note` learns so.
pub(super) fn limited(least: Option<f64>, greatest: f64, what: &str, note: &mut String) -> Length {
    match least {
        Some(least) => between(least, greatest),
        None => {
            note.push_str(&format!("; {what}: the maximum, no minimum known"));
            Length::of(greatest)
        }
    }
}

/// `"ISO 7089 (=DIN 125 A)"` → `("ISO 7089", Some("DIN 125 A"))`; brackets of other content are dropped.
pub(super) fn standard_and_twin(text: &str) -> (&str, Option<&str>) {
    match text.split_once(" (") {
        Some((standard, rest)) => (standard, rest.trim_end_matches(')').strip_prefix('=')),
        None => (text, None),
    }
}

/// The certainties that differ from a row's own, by the names of the sizes.
pub(super) fn certainties(
    of: impl IntoIterator<Item = (&'static str, Option<Certainty>)>,
) -> BTreeMap<String, Certainty> {
    of.into_iter().filter_map(|(size, certainty)| Some((size.to_owned(), certainty?))).collect()
}

#[derive(Deserialize)]
struct NutRow {
    standard: String,
    size: String,
    pitch_mm: f64,
    across_flats_max_mm: f64,
    across_flats_min_mm: f64,
    height_max_mm: f64,
    height_min_mm: Option<f64>,
    form: String,
    flange_mm: Option<f64>,
    length_mm: Option<f64>,
    class: String,
    certainty: Certainty,
    height_certainty: Option<Certainty>,
    note: String,
}

/// `"M6"` → 6.
pub(super) fn diameter(size: &str) -> Option<f64> {
    size.strip_prefix('M')?.parse().ok()
}

/// The kind of nut by which its price is listed.
fn nut_kind(row: &NutRow, form: NutForm, locking: bool, thread: f64) -> &'static str {
    let regular = if locking { REGULAR_LOCKING } else { REGULAR };
    let thin = row.height_max_mm < regular * thread;
    match (form, locking, thin) {
        (NutForm::Slot, ..) => "slot nut",
        (NutForm::Square, ..) => "square nut",
        (NutForm::Flanged, ..) => "flange nut",
        (_, true, _) if ALL_METAL.contains(&row.standard.as_str()) => "metal locking nut",
        (_, true, true) => "thin locking nut",
        (_, true, false) => "locking nut",
        (_, false, true) => "thin nut",
        (_, false, false) => "nut",
    }
}

pub(super) fn nuts() -> Vec<Part> {
    rows::<NutRow>(text::NUTS)
        .into_iter()
        .filter_map(|row| {
            let mut note = format!("{}, {}", row.standard.trim_end_matches(','), row.note);
            let mut form = NutForm::default();
            form.choose(&row.form).then_some(())?;
            note.push_str(&format!(
                "; across flats: the maximum, the minimum is {}",
                row.across_flats_min_mm
            ));
            let height = limited(row.height_min_mm, row.height_max_mm, "height", &mut note);
            note_remarks(&mut note, &row.standard, &row.size);
            let thread = diameter(&row.size)?;
            let locking = LOCKING.contains(&row.standard.as_str());
            let kind = nut_kind(&row, form, locking, thread);
            let nut = PartForm::Nut(NutPart {
                diameter: Length::of(thread),
                pitch: Length::of(row.pitch_mm),
                // The nut must clear with its largest hexagon; its nominal width is the maximum.
                flats: Length::of(row.across_flats_max_mm),
                height,
                form,
                flange: row.flange_mm.map(Length::of),
                length: row.length_mm.map(Length::of),
                class: row.class,
                locking,
            });
            Some(Part {
                material: STEEL.to_owned(),
                certainty: Some(row.certainty),
                certainty_of: certainties([("height", row.height_certainty)]),
                note,
                ..priced(Part::new(format!("{} {}", row.standard, row.size), nut), kind, thread)
            })
        })
        .collect()
}

#[derive(Deserialize)]
struct InsertRow {
    name: String,
    size: String,
    pitch_mm: f64,
    outer_mm: f64,
    length_mm: f64,
    hole_mm: f64,
    certainty: Certainty,
    note: String,
}

/// Threaded inserts of brass.
pub(super) fn inserts() -> Vec<Part> {
    rows::<InsertRow>(text::INSERTS)
        .into_iter()
        .filter_map(|row| {
            let thread = diameter(&row.size)?;
            let form = PartForm::Insert(InsertPart {
                diameter: Length::of(thread),
                pitch: Length::of(row.pitch_mm),
                outer: Length::of(row.outer_mm),
                length: Length::of(row.length_mm),
                hole: Length::of(row.hole_mm),
            });
            Some(Part {
                material: "brass C360".to_owned(),
                certainty: Some(row.certainty),
                note: row.note,
                ..priced(Part::new(row.name, form), "insert", thread)
            })
        })
        .collect()
}

#[derive(Deserialize)]
struct WasherRow {
    standard: String,
    size: String,
    hole_mm: f64,
    outer_dia_mm: f64,
    thickness_nominal_mm: f64,
    thickness_max_mm: f64,
    thickness_min_mm: Option<f64>,
    certainty: Certainty,
    note: String,
}

pub(super) fn washers() -> Vec<Part> {
    rows::<WasherRow>(text::WASHERS)
        .into_iter()
        .filter_map(|row| {
            let (standard, twin) = standard_and_twin(&row.standard);
            let mut note = format!("{}, {}", row.standard, row.note);
            note_remarks(&mut note, standard, &row.size);
            // The limits lie evenly about the nominal; a missing lower one is its mirror image.
            let least = row.thickness_min_mm.unwrap_or_else(|| {
                note.push_str("; thickness: minimum taken as far below the nominal as the maximum is above");
                2.0 * row.thickness_nominal_mm - row.thickness_max_mm
            });
            let form = PartForm::Washer(WasherPart {
                hole: Length::of(row.hole_mm),
                outer: Length::of(row.outer_dia_mm),
                thickness: between(least, row.thickness_max_mm),
            });
            let kind = if standard.starts_with("ISO 7093") { "large washer" } else { "washer" };
            let thread = diameter(&row.size)?;
            Some(Part {
                also: twin.map(|twin| format!("{twin} {}", row.size)).into_iter().collect(),
                material: STEEL.to_owned(),
                certainty: Some(row.certainty),
                note,
                ..priced(Part::new(format!("{standard} {}", row.size), form), kind, thread)
            })
        })
        .collect()
}

/// Clearance holes for one thread (mm), ISO 273.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClearanceHole {
    /// Thread diameter.
    pub thread: f64,
    /// Fine series.
    pub close: f64,
    /// Medium series.
    pub normal: f64,
    /// Coarse series.
    pub loose: f64,
}

/// Threads whose diameters differ by less are the same (mm): inches are written with few digits.
pub(super) const SAME_THREAD: f64 = 1e-3;

/// Clearance holes for a thread of this diameter (mm); `None` beside the table.
pub fn clearance_hole(thread: f64) -> Option<ClearanceHole> {
    static TABLE: OnceLock<Vec<ClearanceHole>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            rows::<(String, f64, f64, f64, Certainty)>(text::CLEARANCE_HOLES)
                .into_iter()
                .filter_map(|(size, close, normal, loose, _)| {
                    Some(ClearanceHole { thread: diameter(&size)?, close, normal, loose })
                })
                .collect()
        })
        .iter()
        .find(|hole| (hole.thread - thread).abs() < SAME_THREAD)
        .copied()
}

/// Diameter of the drill for a tapped hole (mm): d − P, up to the next tenth: 2.5, 3.3, 4.2, 5 and 6.8 for M3 to M8
/// (ISO 2306, from memory).
pub fn tap_drill(thread: f64, pitch: f64) -> f64 {
    /// This little above a tenth is that tenth (mm).
    const ROUNDING: f64 = 1e-3;
    let drill = (10.0 * (thread - pitch - ROUNDING)).ceil() / 10.0;
    drill.max(0.5 * thread).min(thread)
}
