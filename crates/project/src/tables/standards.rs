//! Screws, nuts, washers, bearings, holes and materials by standard.

use std::sync::OnceLock;

use serde::Deserialize;

use super::notes::{guide_price, remarks};
use super::rows::{rows, text};
use crate::document::{BearingPart, HeadForm, Material, NutPart, Part, PartForm, ScrewPart, WasherPart};
use crate::size::{Density, Length, Number, Pressure};
use crate::tolerance::Tolerance;

/// What steel hardware is taken to be made of.
const STEEL: &str = "steel, plain carbon";
/// Standards whose nuts grip the screw (prevailing torque, plastic insert).
const LOCKING: [&str; 3] = ["DIN 985", "ISO 7040", "ISO 10511"];

/// A size between two limits.
fn between(least: f64, greatest: f64) -> Length {
    Length::of(0.5 * (least + greatest)).with_tolerance(Tolerance::Between(least, greatest))
}

/// Between limits if both are known; else the greatest, and `note` learns so.
fn limited(least: Option<f64>, greatest: f64, what: &str, note: &mut String) -> Length {
    match least {
        Some(least) => between(least, greatest),
        None => {
            note.push_str(&format!("; {what}: the maximum, no minimum known"));
            Length::of(greatest)
        }
    }
}

/// `"ISO 7089 (=DIN 125 A)"` → `("ISO 7089", Some("DIN 125 A"))`; brackets of other content are dropped.
fn standard_and_twin(text: &str) -> (&str, Option<&str>) {
    match text.split_once(" (") {
        Some((standard, rest)) => (standard, rest.trim_end_matches(')').strip_prefix('=')),
        None => (text, None),
    }
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
    confidence: String,
}

/// `"M6"` → 6.
pub(super) fn diameter(size: &str) -> Option<f64> {
    size.strip_prefix('M')?.parse().ok()
}

pub(super) fn nuts() -> Vec<Part> {
    rows::<NutRow>(text::NUTS)
        .into_iter()
        .filter_map(|row| {
            let mut note = format!(
                "{}, {}; across flats: the maximum, the minimum is {}",
                row.standard, row.confidence, row.across_flats_min_mm
            );
            let height = limited(row.height_min_mm, row.height_max_mm, "height", &mut note);
            note_remarks(&mut note, &row.standard, &row.size);
            let thread = diameter(&row.size)?;
            let locking = LOCKING.contains(&row.standard.as_str());
            let form = PartForm::Nut(NutPart {
                diameter: Length::of(thread),
                pitch: Length::of(row.pitch_mm),
                // The nut must clear with its largest hexagon; its nominal width is the maximum.
                flats: Length::of(row.across_flats_max_mm),
                height,
                locking,
            });
            let cost = guide_price(if locking { "locking nut" } else { "nut" }, thread);
            Some(part(format!("{} {}", row.standard, row.size), Vec::new(), form, cost, note))
        })
        .collect()
}

fn part(name: String, also: Vec<String>, form: PartForm, cost: Option<f64>, note: String) -> Part {
    Part { name, also, form, material: STEEL.to_owned(), mass: None, cost, note }
}

fn note_remarks(note: &mut String, standard: &str, size: &str) {
    for remark in remarks(standard, size) {
        note.push_str("; ");
        note.push_str(remark);
    }
}

#[derive(Deserialize)]
struct LengthsRow {
    standard: String,
    nominal_lengths_mm: String,
}

#[derive(Deserialize)]
struct ScrewRow {
    standard: String,
    size: String,
    pitch_mm: f64,
    head_dia_or_flats_max_mm: f64,
    head_dia_or_flats_min_mm: Option<f64>,
    plain_head_dia_nominal_mm: Option<f64>,
    head_height_max_mm: f64,
    head_height_min_mm: Option<f64>,
    shortest_mm: Option<f64>,
    longest_mm: Option<f64>,
    confidence: String,
    thread_length_mm: Option<f64>,
    threaded_to_head_mm: Option<f64>,
    thread_confidence: String,
}

/// Form of the head by standard, and the standard whose list of lengths applies.
const SCREW_STANDARDS: [(&str, HeadForm, &str); 6] = [
    ("ISO 4762", HeadForm::Socket, "ISO 4762"),
    ("ISO 7380-1", HeadForm::Button, "ISO 7380-1"),
    ("ISO 10642", HeadForm::Countersunk, "ISO 10642"),
    ("DIN 7991", HeadForm::Countersunk, "ISO 10642"),
    ("ISO 4014", HeadForm::Hexagon, "ISO 4014"),
    ("ISO 4017", HeadForm::Hexagon, "ISO 4017"),
];

pub(super) fn screws() -> Vec<Part> {
    let lengths: Vec<(String, Vec<f64>)> = rows::<LengthsRow>(text::SCREW_LENGTHS)
        .into_iter()
        .map(|row| {
            let lengths = row.nominal_lengths_mm.split(',').filter_map(|l| l.trim().parse().ok()).collect();
            (row.standard, lengths)
        })
        .collect();
    rows::<ScrewRow>(text::SCREWS)
        .into_iter()
        .filter_map(|row| {
            let (standard, _) = standard_and_twin(&row.standard);
            let &(_, head, lengths_of) = SCREW_STANDARDS.iter().find(|s| s.0 == standard)?;
            let mut note = format!("{}, {}; head size: the maximum", row.standard, row.confidence);
            if let Some(least) = row.head_dia_or_flats_min_mm {
                note.push_str(&format!(", the minimum is {least}"));
            }
            if let Some(plain) = row.plain_head_dia_nominal_mm {
                note.push_str(&format!("; a plain head has {plain} mm"));
            }
            note.push_str(&format!("; {}", row.thread_confidence));
            note_remarks(&mut note, standard, &row.size);
            let head_height =
                limited(row.head_height_min_mm, row.head_height_max_mm, "head height", &mut note);
            if row.head_dia_or_flats_min_mm.is_none() {
                note.push_str("; head size without a minimum");
            }
            if lengths_of != standard {
                note.push_str(&format!("; lengths as listed for {lengths_of}"));
            }
            let shortest = row.shortest_mm.unwrap_or(0.0);
            let longest = row.longest_mm.unwrap_or(f64::INFINITY);
            let lengths = lengths
                .iter()
                .find(|(s, _)| s == lengths_of)
                .map(|(_, lengths)| {
                    lengths.iter().copied().filter(|l| (shortest..=longest).contains(l)).collect()
                })
                .unwrap_or_default();
            let thread = diameter(&row.size)?;
            let form = PartForm::Screw(ScrewPart {
                diameter: Length::of(thread),
                pitch: Length::of(row.pitch_mm),
                head,
                head_size: Length::of(row.head_dia_or_flats_max_mm),
                head_height,
                thread_length: row.thread_length_mm.map(Length::of),
                threaded_to_head: row.threaded_to_head_mm.map(Length::of),
                lengths,
            });
            let cost = guide_price("screw", thread);
            Some(part(format!("{standard} {}", row.size), Vec::new(), form, cost, note))
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
    confidence: String,
}

pub(super) fn washers() -> Vec<Part> {
    rows::<WasherRow>(text::WASHERS)
        .into_iter()
        .map(|row| {
            let (standard, twin) = standard_and_twin(&row.standard);
            let mut note = format!("{}, {}", row.standard, row.confidence);
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
            let also = twin.map(|twin| format!("{twin} {}", row.size)).into_iter().collect();
            let cost = diameter(&row.size).and_then(|thread| guide_price("washer", thread));
            part(format!("{standard} {}", row.size), also, form, cost, note)
        })
        .collect()
}

#[derive(Deserialize)]
struct BearingRow {
    designation: String,
    bore_mm: f64,
    outer_mm: f64,
    width_mm: f64,
    confidence: String,
}

pub(super) fn bearings() -> Vec<Part> {
    let mut rows_read = rows::<BearingRow>(text::BEARINGS);
    rows_read.extend(rows::<BearingRow>(text::MORE_BEARINGS));
    let mut found: Vec<Part> = Vec::new();
    for row in rows_read {
        let (name, twin) = standard_and_twin(&row.designation);
        // The same bearing may stand in the table under two designations.
        if found.iter().any(|part| part.name == name) {
            continue;
        }
        let form = PartForm::Bearing(BearingPart {
            bore: Length::of(row.bore_mm),
            outer: Length::of(row.outer_mm),
            width: Length::of(row.width_mm),
            no_load_torque: None,
        });
        let also = twin.map(str::to_owned).into_iter().collect();
        let cost = guide_price("bearing", row.bore_mm);
        found.push(part(name.to_owned(), also, form, cost, row.confidence));
    }
    found
}

#[derive(Deserialize)]
struct MaterialRow {
    material: String,
    density_kg_m3: f64,
    #[serde(rename = "E_GPa")]
    e_gpa: String,
    poisson: String,
    confidence: String,
    strength_mpa: Option<f64>,
    expansion_per_million_k: Option<f64>,
    more_confidence: String,
}

/// The middle of `"66-70"`, the number of `"16 (memory)"`.
fn middle(text: &str) -> Option<f64> {
    let text = text.split(" (").next().unwrap_or(text).trim();
    match text.split_once('-') {
        Some((least, greatest)) => {
            Some(0.5 * (least.trim().parse::<f64>().ok()? + greatest.trim().parse::<f64>().ok()?))
        }
        None => text.parse().ok(),
    }
}

pub(super) fn materials() -> Vec<Material> {
    rows::<MaterialRow>(text::MATERIALS)
        .into_iter()
        .map(|row| {
            let mut note = row.confidence;
            if !row.more_confidence.is_empty() {
                note.push_str(&format!("; strength and expansion: {}", row.more_confidence));
            }
            for (what, text) in [("E", &row.e_gpa), ("Poisson's ratio", &row.poisson)] {
                if text.contains('-') {
                    note.push_str(&format!("; {what}: middle of {text}"));
                } else if text.is_empty() {
                    note.push_str(&format!("; {what} not known"));
                }
            }
            Material {
                name: row.material,
                density: Density::of(row.density_kg_m3),
                // 0 stands for "not known": the engine gives no contact figures then.
                youngs: Pressure::of(middle(&row.e_gpa).map_or(0.0, |gpa| gpa * 1000.0)),
                poisson: Number::of(middle(&row.poisson).unwrap_or(0.0)),
                allowable_pressure: None,
                strength: row.strength_mpa.map(Pressure::of),
                expansion: row.expansion_per_million_k.map(Number::of),
                note,
            }
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
            rows::<(String, f64, f64, f64)>(text::CLEARANCE_HOLES)
                .into_iter()
                .filter_map(|(size, close, normal, loose)| {
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
