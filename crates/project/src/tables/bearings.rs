//! Ball bearings by designation.

use serde::Deserialize;

use super::notes::priced;
use super::rows::{rows, text};
use super::standards::{STEEL, certainties, standard_and_twin};
use crate::certainty::Certainty;
use crate::document::{BearingPart, Part, PartForm};
use crate::size::{Force, Length, Number};

#[derive(Deserialize)]
struct BearingRow {
    designation: String,
    bore_mm: f64,
    outer_mm: f64,
    width_mm: f64,
    flange_mm: Option<f64>,
    flange_width_mm: Option<f64>,
    inner_ring_mm: Option<f64>,
    shaft_shoulder_mm: Option<f64>,
    housing_shoulder_mm: Option<f64>,
    shoulder_certainty: Option<Certainty>,
    dynamic_n: Option<f64>,
    static_n: Option<f64>,
    speed_rpm: Option<f64>,
    ratings_certainty: Option<Certainty>,
    certainty: Certainty,
    note: String,
}

pub(super) fn bearings() -> Vec<Part> {
    rows::<BearingRow>(text::BEARINGS)
        .into_iter()
        .map(|row| {
            let (name, twin) = standard_and_twin(&row.designation);
            let form = PartForm::Bearing(BearingPart {
                bore: Length::of(row.bore_mm),
                outer: Length::of(row.outer_mm),
                width: Length::of(row.width_mm),
                no_load_torque: None,
                flange: row.flange_mm.map(Length::of),
                flange_width: row.flange_width_mm.map(Length::of),
                inner_ring: row.inner_ring_mm.map(Length::of),
                shaft_shoulder: row.shaft_shoulder_mm.map(Length::of),
                housing_shoulder: row.housing_shoulder_mm.map(Length::of),
                dynamic_rating: row.dynamic_n.map(Force::of),
                static_rating: row.static_n.map(Force::of),
                speed: row.speed_rpm.map(Number::of),
            });
            let ratings = |known: Option<f64>| known.and(row.ratings_certainty);
            let kind = if row.flange_mm.is_some() { "flanged bearing" } else { "bearing" };
            let mut note = row.note;
            if row.dynamic_n.is_some() {
                note.push_str("; load ratings differ from maker to maker");
            }
            Part {
                also: twin.map(str::to_owned).into_iter().collect(),
                material: STEEL.to_owned(),
                certainty: Some(row.certainty),
                certainty_of: certainties([
                    ("inner_ring", ratings(row.inner_ring_mm)),
                    ("shaft_shoulder", row.shoulder_certainty),
                    ("housing_shoulder", row.shoulder_certainty),
                    ("dynamic_rating", ratings(row.dynamic_n)),
                    ("static_rating", ratings(row.static_n)),
                    ("speed", ratings(row.speed_rpm)),
                ]),
                note,
                ..priced(Part::new(name, form), kind, row.bore_mm)
            }
        })
        .collect()
}
