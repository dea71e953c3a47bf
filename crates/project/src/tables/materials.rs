//! Materials.

use serde::Deserialize;

use super::rows::{rows, text};
use super::standards::certainties;
use crate::certainty::Certainty;
use crate::document::Material;
use crate::size::{Density, Number, Pressure};

#[derive(Deserialize)]
struct MaterialRow {
    material: String,
    density_kg_m3: f64,
    #[serde(rename = "E_GPa")]
    e_gpa: String,
    poisson: String,
    strength_mpa: Option<f64>,
    expansion_per_million_k: Option<f64>,
    lasting_share: Option<f64>,
    certainty: Certainty,
    modulus_certainty: Option<Certainty>,
    strength_certainty: Option<Certainty>,
    lasting_certainty: Option<Certainty>,
    note: String,
    more_note: String,
}

/// The middle of `"66-70"`.
fn middle(text: &str) -> Option<f64> {
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
            let mut note = row.note;
            if !row.more_note.is_empty() {
                note.push_str(&format!("; strength and expansion: {}", row.more_note));
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
                lasting: row.lasting_share.map(Number::of),
                certainty: Some(row.certainty),
                certainty_of: certainties([
                    ("youngs", row.modulus_certainty),
                    ("poisson", row.modulus_certainty),
                    ("strength", row.strength_mpa.and(row.strength_certainty)),
                    ("expansion", row.expansion_per_million_k.and(row.strength_certainty)),
                    ("lasting", row.lasting_share.and(row.lasting_certainty)),
                ]),
                note,
            }
        })
        .collect()
}
