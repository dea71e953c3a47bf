//! What a person calls a part who does not know its standard.

use std::sync::OnceLock;

use super::rows::{rows, text};
use crate::document::{BeltKind, Part, PartForm, PulleyRim, RailPart, Running};

/// The trade's name of a part, e.g. "thin nylon insert lock nut"; for one without a standard the name of its kind.
pub fn plain_name(part: &Part) -> &'static str {
    static TABLE: OnceLock<Vec<(String, String)>> = OnceLock::new();
    let table = TABLE.get_or_init(|| rows(text::PLAIN_NAMES));
    let is_of =
        |standard: &str| part.name.strip_prefix(standard).is_some_and(|rest| rest.starts_with([' ', ',']));
    if let Some((_, name)) = table.iter().find(|(standard, _)| is_of(standard)) {
        return name;
    }
    match &part.form {
        PartForm::Washer(_) => "washer",
        PartForm::Nut(nut) if nut.locking => "lock nut",
        PartForm::Nut(_) => "nut",
        PartForm::Screw(_) => "screw",
        PartForm::Insert(_) => "threaded insert",
        PartForm::Spacer(_) => "spacer tube",
        PartForm::Shim(_) => "shim ring",
        PartForm::Eccentric(_) => "eccentric spacer",
        PartForm::Wheel(wheel) => match wheel.running {
            Running::Vee { .. } => "vee wheel",
            Running::Flat => "flat wheel",
            Running::Crowned { .. } => "crowned wheel",
            Running::Grooved { .. } => "round-grooved wheel",
        },
        PartForm::Bearing(_) => "ball bearing",
        PartForm::Belt(belt) => match belt.kind {
            BeltKind::Toothed { .. } => "toothed belt",
            BeltKind::Flat => "strap",
            BeltKind::Cord => "cord",
        },
        PartForm::Pulley(pulley) => match pulley.rim {
            PulleyRim::Plain { .. } => "plain roller",
            PulleyRim::Toothed { .. } => "toothed pulley",
        },
        PartForm::Rail(rail) => match rail {
            RailPart::Grooved(_) => "grooved extrusion",
            RailPart::FlatBar { .. } => "flat bar",
            RailPart::Outline(_) => "own section",
            RailPart::Rod { .. } => "round rod",
            RailPart::Rods { .. } => "two round rods",
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::PartKind;
    use crate::tables::built_in;

    #[test]
    fn every_standard_of_the_tables_has_a_plain_name() {
        let generic = ["washer", "nut", "lock nut", "screw"];
        for part in built_in().parts() {
            let name = plain_name(part);
            assert!(!name.is_empty(), "{}", part.name);
            let is_plain_washer = part.name.starts_with("ISO 7089");
            assert!(!generic.contains(&name) || is_plain_washer, "{}: {name}", part.name);
        }
        // Common practice, no source: the low nut with a nylon insert, and the cap screw with a hexagon socket.
        let name = |part: &str| plain_name(built_in().part(part).unwrap());
        assert_eq!(name("DIN 985 M5"), "thin nylon insert lock nut");
        assert_eq!(name("ISO 4762 M5"), "socket head cap screw");
        assert_eq!(built_in().part("ISO 4762 M5").unwrap().form.kind(), PartKind::Screw);
    }
}
