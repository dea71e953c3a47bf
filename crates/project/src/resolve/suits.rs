//! Whether a part suits the place where it would stand: by thread and bore, by track, by the belt's pitch.

use super::catalogue::Catalogue;
use crate::document::{
    BeltKind, Document, Node, Part, PartForm, PieceKind, PulleyRim, RailPart, Running, Stack,
};
use crate::size::{Kind, Size};
use crate::tables::clearance_hole;
use crate::values::Values;

/// Beside the threads of ISO 273, a hole is taken to be for a thread up to this many times as wide.
const LOOSE: f64 = 1.25;
/// Bores and threads that differ by less are the same (mm).
const SAME: f64 = 0.15;

/// Tells which parts suit which places of a document.
pub struct Suiting<'a> {
    document: &'a Document,
    values: &'a Values,
    catalogue: Catalogue<'a>,
}

impl<'a> Suiting<'a> {
    /// Of a document with its values.
    pub fn of(document: &'a Document, values: &'a Values) -> Self {
        Self { document, values, catalogue: Catalogue::new(document, values) }
    }

    /// Whether a part could stand at a path of the document, as far as its own sizes tell.
    ///
    /// # Errors
    /// Why it could not, in a few words.
    pub fn at(&self, path: &str, part: &Part) -> Result<(), String> {
        let steps: Vec<&str> = path.split('/').collect();
        match steps.as_slice() {
            ["riders", .., "stack", "screw"] => self.as_screw(path, part),
            ["riders", .., "stack", _] => self.on_screw(path, part),
            ["riders", .., "stack", _, "insert"] => self.on_screw(path.trim_end_matches("/insert"), part),
            ["line", "part"] => self.as_belt(part),
            ["line", "nodes", _, "part"] => self.as_pulley(part),
            _ => Ok(()),
        }
    }

    /// The sizes parts of a kind are sorted by when one is chosen, the foremost first (mm; teeth of a toothed pulley).
    pub fn sizes(&self, part: &Part) -> [f64; 2] {
        match &part.form {
            PartForm::Washer(washer) => [self.number(&washer.thickness), self.number(&washer.outer)],
            PartForm::Nut(nut) => [self.number(&nut.height), self.number(&nut.flats)],
            PartForm::Screw(screw) => [self.number(&screw.head_height), self.number(&screw.head_size)],
            PartForm::Insert(insert) => [self.number(&insert.length), self.number(&insert.outer)],
            PartForm::Spacer(ring) | PartForm::Shim(ring) => {
                [self.number(&ring.length), self.number(&ring.outer)]
            }
            PartForm::Eccentric(ring) => [self.number(&ring.offset), self.number(&ring.length)],
            PartForm::Wheel(wheel) => [self.number(&wheel.outer), self.bore(part).unwrap_or(0.0)],
            PartForm::Bearing(bearing) => [self.number(&bearing.bore), self.number(&bearing.outer)],
            PartForm::Belt(belt) => match &belt.kind {
                BeltKind::Toothed { pitch } => [self.number(pitch), self.number(&belt.width)],
                BeltKind::Flat | BeltKind::Cord => [0.0, self.number(&belt.width)],
            },
            PartForm::Pulley(pulley) => match &pulley.rim {
                PulleyRim::Plain { diameter } => [self.number(diameter), self.number(&pulley.width)],
                PulleyRim::Toothed { teeth, pitch } => [self.number(pitch), self.number(teeth)],
            },
            PartForm::Rail(RailPart::Grooved(rail)) => {
                [self.number(&rail.module), self.number(&rail.columns) * self.number(&rail.rows)]
            }
            PartForm::Rail(RailPart::FlatBar { width, depth, .. }) => {
                [self.number(width), self.number(depth)]
            }
            PartForm::Rail(RailPart::Rod { diameter } | RailPart::Rods { diameter, .. }) => {
                [self.number(diameter), 0.0]
            }
            PartForm::Rail(RailPart::Outline(_)) => [0.0, 0.0],
        }
    }

    fn number<K: Kind>(&self, size: &Size<K>) -> f64 {
        self.values.of_slot(size).map_or(f64::NAN, |value| value.nominal)
    }

    /// The stack that a piece or screw at a path is of; where a wheel has none of its own, the one it shares.
    fn stack(&self, path: &str) -> Option<&Stack> {
        let (base, _) = path.rsplit_once('/')?;
        self.document.stack_at(base).or_else(|| {
            let (rider, _) = base.strip_prefix("riders/")?.split_once("/wheels/")?;
            self.document.stack_at(&format!("riders/{rider}/stack"))
        })
    }

    /// The bore of a wheel (mm): its bearings'.
    fn bore(&self, wheel: &Part) -> Option<f64> {
        let PartForm::Wheel(form) = &wheel.form else { return None };
        match &self.catalogue.part(&form.bearing)?.form {
            PartForm::Bearing(bearing) => Some(self.number(&bearing.bore)),
            _ => None,
        }
    }

    /// A screw must go with the nuts and the wheel it carries.
    fn as_screw(&self, path: &str, part: &Part) -> Result<(), String> {
        let PartForm::Screw(screw) = &part.form else { return Ok(()) };
        let thread = self.number(&screw.diameter);
        // Wheels run on the shoulder, where there is one.
        let thick = screw.shoulder.as_ref().map_or(thread, |shoulder| self.number(shoulder));
        let Some(stack) = self.stack(path) else { return Ok(()) };
        for piece in &stack.pieces {
            let Some(known) = self.catalogue.part(&piece.part) else { continue };
            let wanted = match (&known.form, piece.kind) {
                (PartForm::Nut(nut), _) => self.number(&nut.diameter),
                (_, PieceKind::Wheel) => {
                    let bore = self.bore(known).unwrap_or(thick);
                    if (bore - thick).abs() > SAME {
                        return Err(format!("{} is for {}", known.name, plain(bore)));
                    }
                    continue;
                }
                _ => continue,
            };
            if (wanted - thread).abs() > SAME {
                return Err(format!("{} is for {}", known.name, plain(wanted)));
            }
        }
        Ok(())
    }

    /// What is threaded on a screw must go over it, and a wheel must run on the rail besides.
    fn on_screw(&self, path: &str, part: &Part) -> Result<(), String> {
        let Some(stack) = self.stack(path) else { return Ok(()) };
        let Some(PartForm::Screw(screw)) = self.catalogue.part(&stack.screw).map(|known| &known.form) else {
            return Ok(());
        };
        let thread = self.number(&screw.diameter);
        let thick = screw.shoulder.as_ref().map_or(thread, |shoulder| self.number(shoulder));
        let hole = match &part.form {
            PartForm::Washer(washer) => self.number(&washer.hole),
            PartForm::Spacer(ring) | PartForm::Shim(ring) => self.number(&ring.hole),
            PartForm::Eccentric(ring) => self.number(&ring.hole),
            PartForm::Nut(nut) => {
                let own = self.number(&nut.diameter);
                let is = (own - thread).abs() <= SAME;
                return if is { Ok(()) } else { Err(format!("thread {}", plain(own))) };
            }
            PartForm::Insert(insert) => {
                let own = self.number(&insert.diameter);
                let is = (own - thread).abs() <= SAME;
                return if is { Ok(()) } else { Err(format!("thread {}", plain(own))) };
            }
            PartForm::Wheel(_) => {
                let bore = self.bore(part).unwrap_or(f64::NAN);
                if (bore - thick).abs() > SAME {
                    return Err(format!("bore {}", plain(bore)));
                }
                return self.runs(part);
            }
            _ => return Ok(()),
        };
        let most = clearance_hole(thick).map_or(LOOSE * thick, |hole| hole.loose);
        if hole < thread - SAME {
            Err(format!("hole {}", plain(hole)))
        } else if hole > most {
            Err(format!("hole {}: too wide", plain(hole)))
        } else {
            Ok(())
        }
    }

    /// Whether a wheel runs on the document's rail.
    ///
    /// # Errors
    /// Why it does not, in a few words.
    pub fn runs(&self, part: &Part) -> Result<(), String> {
        let PartForm::Wheel(wheel) = &part.form else { return Ok(()) };
        let Some(PartForm::Rail(rail)) =
            self.catalogue.part(&self.document.rail.section).map(|known| &known.form)
        else {
            return Ok(());
        };
        match (rail, &wheel.running) {
            (RailPart::Grooved(rail), Running::Vee { tip, .. }) => {
                let least = self.number(&rail.channel) + 2.0 * glidewright_motion::LEAST_HELD;
                if self.number(tip) >= self.number(&rail.mouth) {
                    Err("wider than the groove".to_owned())
                } else if self.number(&wheel.width) < least {
                    Err("falls into the groove's channel".to_owned())
                } else {
                    Ok(())
                }
            }
            (RailPart::Grooved(_), _) => Err("not for vee grooves".to_owned()),
            (RailPart::FlatBar { .. }, Running::Flat | Running::Crowned { .. }) => Ok(()),
            (RailPart::FlatBar { .. }, _) => Err("not for a flat bar".to_owned()),
            (RailPart::Rod { diameter } | RailPart::Rods { diameter, .. }, Running::Grooved { radius }) => {
                let (rod, groove) = (0.5 * self.number(diameter), self.number(radius));
                if groove < rod { Err(format!("for rods up to {}", plain(2.0 * groove))) } else { Ok(()) }
            }
            (RailPart::Rod { .. } | RailPart::Rods { .. }, _) => Err("not for a round rod".to_owned()),
            (RailPart::Outline(_), _) => Ok(()),
        }
    }

    /// Rims of the line's pulleys and rollers.
    fn pulleys(&self) -> impl Iterator<Item = (&Part, &crate::document::PulleyPart)> {
        let nodes = self.document.line.iter().flat_map(|line| &line.nodes);
        nodes.filter_map(|node| {
            let roller = match node {
                Node::Idler(roller) | Node::Post(roller) | Node::Driven(roller) => roller,
                Node::Anchor(_) => return None,
            };
            let part = self.catalogue.part(&roller.part)?;
            match &part.form {
                PartForm::Pulley(pulley) => Some((part, pulley)),
                _ => None,
            }
        })
    }

    fn as_belt(&self, part: &Part) -> Result<(), String> {
        let PartForm::Belt(belt) = &part.form else { return Ok(()) };
        let width = self.number(&belt.width);
        for (known, pulley) in self.pulleys() {
            if self.number(&pulley.width) < width {
                return Err(format!("wider than {}", known.name));
            }
            if let PulleyRim::Toothed { pitch: wanted, .. } = &pulley.rim {
                let wanted = self.number(wanted);
                let is = matches!(&belt.kind, BeltKind::Toothed { pitch } if (self.number(pitch) - wanted).abs() < 1e-6);
                if !is {
                    return Err(format!("{} has pitch {}", known.name, plain(wanted)));
                }
            }
        }
        Ok(())
    }

    fn as_pulley(&self, part: &Part) -> Result<(), String> {
        let PartForm::Pulley(pulley) = &part.form else { return Ok(()) };
        let Some(line) = &self.document.line else { return Ok(()) };
        let Some(PartForm::Belt(belt)) = self.catalogue.part(&line.part).map(|known| &known.form) else {
            return Ok(());
        };
        if self.number(&pulley.width) < self.number(&belt.width) {
            return Err("narrower than the belt".to_owned());
        }
        match (&pulley.rim, &belt.kind) {
            (PulleyRim::Toothed { pitch, .. }, BeltKind::Toothed { pitch: belt }) => {
                let own = self.number(pitch);
                let is = (own - self.number(belt)).abs() < 1e-6;
                if is { Ok(()) } else { Err(format!("pitch {}", plain(own))) }
            }
            (PulleyRim::Toothed { .. }, _) => Err("for toothed belts only".to_owned()),
            (PulleyRim::Plain { .. }, _) => Ok(()),
        }
    }
}

fn plain(number: f64) -> String {
    glidewright_motion::plain(number)
}
