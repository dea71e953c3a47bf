//! A part in a few words, for lists to choose from.

use glidewright_project::document::{HeadForm, Part, PartForm, PulleyRim, RailPart, Running, ScrewPart};
use glidewright_project::size::{Formula, Kind, Size};
use glidewright_sheet::number;

/// The sizes one chooses a part by.
pub fn part_summary(part: &Part) -> String {
    match &part.form {
        PartForm::Washer(washer) => {
            format!("{} thick, {} outside", mm(&washer.thickness), mm(&washer.outer))
        }
        PartForm::Nut(nut) => format!(
            "{} high, {} across flats{}",
            mm(&nut.height),
            mm(&nut.flats),
            if nut.locking { ", locking" } else { "" }
        ),
        PartForm::Screw(screw) if screw.head == HeadForm::None => {
            format!("no head{}", key(screw))
        }
        PartForm::Screw(screw) => {
            let shoulder = screw.shoulder.as_ref();
            let shoulder = shoulder.map_or_else(String::new, |size| format!(", shoulder ø{}", mm(size)));
            format!(
                "head {} high, {} wide{}{shoulder}",
                mm(&screw.head_height),
                mm(&screw.head_size),
                key(screw)
            )
        }
        PartForm::Insert(insert) => {
            format!("{} long, {} outside, hole {}", mm(&insert.length), mm(&insert.outer), mm(&insert.hole))
        }
        PartForm::Spacer(ring) | PartForm::Shim(ring) => {
            format!("{} long, {} outside", mm(&ring.length), mm(&ring.outer))
        }
        PartForm::Eccentric(ring) => format!("{} long, {} off centre", mm(&ring.length), mm(&ring.offset)),
        PartForm::Wheel(wheel) => {
            let form = match &wheel.running {
                Running::Vee { .. } => "vee",
                Running::Flat => "flat",
                Running::Crowned { .. } => "crowned",
                Running::Grooved { .. } => "grooved",
            };
            format!("{form}, ø{}, {} wide, hub {}", mm(&wheel.outer), mm(&wheel.width), mm(&wheel.hub))
        }
        PartForm::Bearing(bearing) => {
            format!("{} × {} × {}", mm(&bearing.bore), mm(&bearing.outer), mm(&bearing.width))
        }
        PartForm::Belt(belt) => format!("{} wide", mm(&belt.width)),
        PartForm::Pulley(pulley) => match &pulley.rim {
            PulleyRim::Plain { diameter } => format!("ø{}, {} wide", mm(diameter), mm(&pulley.width)),
            PulleyRim::Toothed { teeth, pitch } => format!("{} teeth of {}", mm(teeth), mm(pitch)),
        },
        PartForm::Rail(RailPart::Grooved(rail)) => {
            format!("module {}, {} × {}", mm(&rail.module), mm(&rail.columns), mm(&rail.rows))
        }
        PartForm::Rail(RailPart::FlatBar { width, depth, .. }) => format!("{} × {}", mm(width), mm(depth)),
        PartForm::Rail(RailPart::Outline(outline)) => format!("own outline, {} tracks", outline.tracks.len()),
        PartForm::Rail(RailPart::Rod { diameter }) => format!("ø{}", mm(diameter)),
        PartForm::Rail(RailPart::Rods { diameter, apart }) => {
            format!("2 × ø{}, {} apart", mm(diameter), mm(apart))
        }
    }
}

/// The key for a screw's socket.
fn key(screw: &ScrewPart) -> String {
    screw.key.as_ref().map_or_else(String::new, |key| format!(", key {}", mm(key)))
}

fn mm<K: Kind>(size: &Size<K>) -> String {
    let nominal = match (&size.formula, &size.tolerance) {
        (Formula::Number(value), Some(tolerance)) => tolerance.about(*value).map_or(*value, |t| t.nominal),
        (Formula::Number(value), None) => *value,
        (Formula::Text(text), _) => return text.clone(),
    };
    let text = number(nominal, 3);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_part_in_the_tables_has_a_summary() {
        for part in glidewright_project::tables::built_in().parts() {
            let summary = part_summary(part);
            assert!(summary.len() > 2 && !summary.contains("NaN"), "{}: {summary}", part.name);
        }
    }
}
