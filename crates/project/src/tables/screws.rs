//! Screws by standard.

use glidewright_motion::Measure;
use serde::Deserialize;

use super::notes::{note_remarks, priced};
use super::rows::{rows, text};
use super::standards::{STEEL, certainties, diameter, limited, standard_and_twin};
use crate::certainty::Certainty;
use crate::choice::Choice;
use crate::document::{HeadForm, Part, PartForm, ScrewPart};
use crate::size::{Length, Torque};
use crate::tolerance::Tolerance;

#[derive(Deserialize)]
struct LengthsRow {
    standard: String,
    nominal_lengths_mm: String,
    certainty: Certainty,
}

#[derive(Deserialize)]
struct ScrewRow {
    standard: String,
    size: String,
    head: String,
    pitch_mm: f64,
    head_dia_or_flats_max_mm: Option<f64>,
    head_dia_or_flats_min_mm: Option<f64>,
    plain_head_dia_nominal_mm: Option<f64>,
    head_height_max_mm: f64,
    head_height_min_mm: Option<f64>,
    shoulder_mm: Option<f64>,
    shortest_mm: f64,
    longest_mm: f64,
    lengths_certainty: Option<Certainty>,
    thread_length_mm: Option<f64>,
    threaded_to_head_mm: Option<f64>,
    thread_certainty: Option<Certainty>,
    key_mm: Option<f64>,
    key_depth_mm: Option<f64>,
    key_certainty: Option<Certainty>,
    class: String,
    torque_nm: Option<f64>,
    torque_certainty: Option<Certainty>,
    certainty: Certainty,
    note: String,
    thread_note: String,
}

/// The kind of screw by which its price is listed.
fn kind(standard: &str, head: HeadForm, has_shoulder: bool) -> &'static str {
    match head {
        HeadForm::Socket if has_shoulder => "shoulder screw",
        HeadForm::Socket if standard == "DIN 7984" => "low head screw",
        HeadForm::Socket => "socket head screw",
        HeadForm::Button => "button head screw",
        HeadForm::Flanged => "flanged button screw",
        HeadForm::Hexagon => "hexagon screw",
        HeadForm::Countersunk => "countersunk screw",
        HeadForm::None => "set screw",
    }
}

pub(super) fn screws() -> Vec<Part> {
    let lengths: Vec<(String, Vec<f64>, Certainty)> = rows::<LengthsRow>(text::SCREW_LENGTHS)
        .into_iter()
        .map(|row| {
            let lengths = row.nominal_lengths_mm.split(',').filter_map(|l| l.trim().parse().ok()).collect();
            (row.standard, lengths, row.certainty)
        })
        .collect();
    rows::<ScrewRow>(text::SCREWS).into_iter().filter_map(|row| screw(row, &lengths)).collect()
}

fn screw(row: ScrewRow, listed: &[(String, Vec<f64>, Certainty)]) -> Option<Part> {
    let (standard, _) = standard_and_twin(&row.standard);
    let mut head = HeadForm::Socket;
    head.choose(&row.head).then_some(())?;
    let thread = diameter(&row.size)?;
    let mut note = format!("{}, {}", row.standard, row.note);
    if row.head_dia_or_flats_max_mm.is_some() {
        note.push_str("; head size: the maximum");
        match row.head_dia_or_flats_min_mm {
            Some(least) => note.push_str(&format!(", the minimum is {least}")),
            None => note.push_str(", no minimum known"),
        }
    }
    if let Some(plain) = row.plain_head_dia_nominal_mm {
        note.push_str(&format!("; a plain head has {plain} mm"));
    }
    note.push_str(&format!("; {}", row.thread_note));
    note_remarks(&mut note, standard, &row.size);
    let head_height = match head {
        HeadForm::None => Length::of(0.0),
        _ => limited(row.head_height_min_mm, row.head_height_max_mm, "head height", &mut note),
    };
    let (_, lengths, lengths_certainty) = listed.iter().find(|(of, ..)| of == standard)?;
    let range = row.shortest_mm..=row.longest_mm;
    let usual_torque = row.torque_nm.map(|torque| Torque::of(Measure::NewtonMetre.value(torque)));
    if usual_torque.is_some() {
        note.push_str("; usual torque: dry steel of its class");
    }
    let shoulder = row.shoulder_mm.map(|d| Length::of(d).with_tolerance(f9(d)));
    let form = PartForm::Screw(ScrewPart {
        diameter: Length::of(thread),
        pitch: Length::of(row.pitch_mm),
        head,
        // A screw without a head is as wide as its thread.
        head_size: Length::of(row.head_dia_or_flats_max_mm.unwrap_or(thread)),
        head_height,
        thread_length: row.thread_length_mm.map(Length::of),
        threaded_to_head: row.threaded_to_head_mm.map(Length::of),
        shoulder,
        key: row.key_mm.map(Length::of),
        key_depth: row.key_depth_mm.map(Length::of),
        class: row.class,
        usual_torque,
        lengths: lengths.iter().copied().filter(|length| range.contains(length)).collect(),
    });
    let kind = kind(standard, head, row.shoulder_mm.is_some());
    Some(Part {
        material: STEEL.to_owned(),
        certainty: Some(row.certainty),
        certainty_of: certainties([
            ("thread_length", row.thread_length_mm.and(row.thread_certainty)),
            ("threaded_to_head", row.threaded_to_head_mm.map(|_| Certainty::Memory)),
            ("lengths", row.lengths_certainty.or(Some(*lengths_certainty))),
            ("key", row.key_certainty),
            ("key_depth", row.key_certainty),
            ("usual_torque", row.torque_certainty),
        ]),
        note,
        ..priced(Part::new(format!("{standard} {}", row.size), form), kind, thread)
    })
}

/// Limits f9 of a shoulder's diameter (ISO 286-2, from memory: −13/−49 µm over 6 to 10 mm, −16/−59 over 10 to 18).
fn f9(diameter: f64) -> Tolerance {
    let (upper, lower) = if diameter <= 10.0 { (0.013, 0.049) } else { (0.016, 0.059) };
    Tolerance::Between(diameter - lower, diameter - upper)
}
