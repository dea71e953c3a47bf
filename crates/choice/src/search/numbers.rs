//! Sizes of parts in plain numbers.

use glidewright_motion::widest_beside;
use glidewright_project::document::{
    Certainty, HeadForm, NutForm, NutPart, Part, PartForm, PartKind, RingPart, ScrewPart, WheelPart,
};
use glidewright_project::size::{Kind, Size};
use glidewright_project::{Document, MeasuredSize, Values, measured_sizes, parts_of_kind, plain_shank};

/// Reads sizes of parts as the engine takes them: as measured where they were.
pub(super) struct Sizes<'a> {
    document: &'a Document,
    values: &'a Values,
    measured: Vec<MeasuredSize>,
}

/// A piece on a screw.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PieceNumbers {
    /// Along the screw (mm).
    pub thickness: f64,
    /// Across (mm): of a nut, over its flats.
    pub outer: f64,
}

/// A screw without its length.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct ScrewNumbers {
    pub pitch: f64,
    pub head: HeadForm,
    pub head_height: f64,
    pub head_size: f64,
    pub thread: Option<f64>,
    pub to_head: f64,
    /// Lengths it is sold in (mm), the shortest first.
    pub lengths: Vec<f64>,
}

impl ScrewNumbers {
    /// How far its plain shank reaches at a length (mm).
    pub fn shank(&self, length: f64) -> f64 {
        plain_shank(self.thread, self.to_head, length)
    }
}

/// A wheel on its bearings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct WheelNumbers {
    /// Over its inner rings (mm).
    pub hub: f64,
    /// Diameter of its bearings' inner ring (mm): no ring that is put beside it is wider.
    pub inner_ring: f64,
    /// A ring that lies beside it must be no wider, or it clamps what turns (mm).
    pub widest: f64,
}

impl<'a> Sizes<'a> {
    pub fn of(document: &'a Document, values: &'a Values) -> Self {
        Self { document, values, measured: measured_sizes(document) }
    }

    fn number<K: Kind>(&self, part: &Part, size: &Size<K>, name: &str) -> f64 {
        let known = self.measured.iter().find(|known| known.part == part.name && known.size == name);
        known.map_or_else(
            || self.values.of_slot(size).map_or(f64::NAN, |size| size.nominal),
            |known| known.measured.nominal,
        )
    }

    /// The part of a kind with this name.
    pub fn part(&self, kind: PartKind, name: &str) -> Option<&'a Part> {
        parts_of_kind(self.document, kind)
            .find(|part| part.name == name || part.also.iter().any(|other| other == name))
    }

    /// A part that is threaded on a screw.
    pub fn piece(&self, part: &Part) -> Option<PieceNumbers> {
        let (thickness, outer) = match &part.form {
            PartForm::Washer(washer) => {
                (self.number(part, &washer.thickness, "thickness"), self.number(part, &washer.outer, "outer"))
            }
            PartForm::Nut(nut) => {
                (self.number(part, &nut.height, "height"), self.number(part, &nut.flats, "flats"))
            }
            PartForm::Spacer(ring) | PartForm::Shim(ring) => self.ring(part, ring),
            PartForm::Wheel(wheel) => {
                (self.number(part, &wheel.hub, "hub"), self.number(part, &wheel.outer, "outer"))
            }
            _ => return None,
        };
        (thickness.is_finite() && outer.is_finite()).then_some(PieceNumbers { thickness, outer })
    }

    fn ring(&self, part: &Part, ring: &RingPart) -> (f64, f64) {
        (self.number(part, &ring.length, "length"), self.number(part, &ring.outer, "outer"))
    }

    pub fn screw(&self, part: &Part, screw: &ScrewPart) -> ScrewNumbers {
        let of = |size: &Option<_>, name| size.as_ref().map(|size| self.number(part, size, name));
        let mut lengths = screw.lengths.clone();
        lengths.sort_by(f64::total_cmp);
        ScrewNumbers {
            pitch: self.number(part, &screw.pitch, "pitch"),
            head: screw.head,
            head_height: self.number(part, &screw.head_height, "head_height"),
            head_size: self.number(part, &screw.head_size, "head_size"),
            thread: of(&screw.thread_length, "thread_length"),
            to_head: of(&screw.threaded_to_head, "threaded_to_head").unwrap_or(0.0),
            lengths,
        }
    }

    pub fn wheel(&self, part: &Part, wheel: &WheelPart) -> Option<WheelNumbers> {
        let bearing_part = self.part(PartKind::Bearing, &wheel.bearing)?;
        let PartForm::Bearing(bearing) = &bearing_part.form else { return None };
        let number = |size, name| self.number(bearing_part, size, name);
        let (bore, outer) = (number(&bearing.bore, "bore"), number(&bearing.outer, "outer"));
        let ring = bearing.inner_ring.as_ref().map(|ring| number(ring, "inner_ring"));
        let ring = ring.filter(|ring| *ring > bore && *ring < outer);
        Some(WheelNumbers {
            hub: self.number(part, &wheel.hub, "hub"),
            // The engine takes the inner ring to fill as much of the section as the outer one.
            inner_ring: ring.unwrap_or_else(|| bore + outer - widest_beside(bore, outer)),
            widest: widest_beside(bore, outer),
        })
    }

    /// Whether a nut is so low that its standard calls it thin (ISO 898-2: property classes 04 and 05).
    pub fn is_thin(&self, nut: &NutPart) -> bool {
        matches!(nut.class.as_str(), "04" | "05")
    }

    /// Whether a nut may stand for another: it grips if that does, and turns in the same place.
    pub fn may_stand_for(nut: &NutPart, now: &NutPart) -> bool {
        let may_form = nut.form == now.form || nut.form == NutForm::Hexagon;
        may_form && (nut.locking || !now.locking)
    }
}

/// How sure the size is with which a part makes a stack longer.
pub(super) fn certainty(part: &Part) -> Option<Certainty> {
    let size = match part.form {
        PartForm::Nut(_) => "height",
        PartForm::Washer(_) => "thickness",
        PartForm::Spacer(_) | PartForm::Shim(_) | PartForm::Eccentric(_) => "length",
        PartForm::Wheel(_) => "hub",
        PartForm::Screw(_) => {
            let head = part.certainty_of("head_height");
            return head.max(part.certainty_of("lengths")).max(part.certainty_of("thread_length"));
        }
        _ => return part.certainty,
    };
    part.certainty_of(size)
}
