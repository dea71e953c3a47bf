//! Ball bearings by designation.

use serde::Deserialize;

use super::notes::priced;
use super::rows::{rows, text};
use super::standards::{STEEL, certainties, standard_and_twin};
use crate::certainty::Certainty;
use crate::document::{BearingPart, Part, PartForm};
use crate::size::{Force, Length, Number};
use crate::tolerance::Tolerance;

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

/// What bearings of a range of bores have in common: group N of ISO 5753-1, the normal class of ISO 492.
#[derive(Deserialize)]
struct ClassRow {
    bore_over_mm: f64,
    bore_to_mm: f64,
    clearance_least_um: f64,
    clearance_greatest_um: f64,
    clearance_certainty: Certainty,
    runout_um: f64,
    runout_certainty: Certainty,
}

pub(super) fn bearings() -> Vec<Part> {
    let classes = rows::<ClassRow>(text::BEARING_CLASSES);
    rows::<BearingRow>(text::BEARINGS)
        .into_iter()
        .map(|row| {
            let class = classes
                .iter()
                .find(|class| row.bore_mm > class.bore_over_mm && row.bore_mm <= class.bore_to_mm);
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
                clearance: class.map(|class| {
                    let [least, greatest] =
                        [class.clearance_least_um, class.clearance_greatest_um].map(|um| um / 1000.0);
                    Length::of(0.5 * (least + greatest)).with_tolerance(Tolerance::Between(least, greatest))
                }),
                runout: class.map(|class| Length::of(class.runout_um / 1000.0)),
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
                    ("clearance", class.map(|class| class.clearance_certainty)),
                    ("runout", class.map(|class| class.runout_certainty)),
                ]),
                note,
                ..priced(Part::new(name, form), kind, row.bore_mm)
            }
        })
        .collect()
}
