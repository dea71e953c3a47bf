//! What of a fixture could be otherwise: its places, found from its findings and from what a person leaves open.

use std::collections::HashMap;

use glidewright_motion::{Fixture, Results, Severity};
use glidewright_project::document::{
    Change, Document, HeadForm, Part, PartForm, PartKind, Piece, PieceKind, Rider, Stack, piece_names,
};
use glidewright_project::size::Formula;
use glidewright_project::{Problem, Resolved, Suiting, edit, parts_of_kind, price_at};

use super::asked::{Asked, Range};
use super::bill::Bill;
use super::join_wheels::join_wheels;
use super::lengths::lengths;
use super::locks::Locks;
use super::needless::{drop_idle, drop_wide_rings};
use super::numbers::{Sizes, certainty};
use super::place::{Offer, Place, PlaceKind};
use super::sizes::size_places;
use super::space::{ScrewOffer, Slot, Space, StackPlaces};

/// Makes the space of all combinations; says besides what is left as it is because the rules here do not reach it.
///
/// # Errors
/// What is asked that cannot be.
pub(super) fn space(
    resolved: &Resolved,
    fixture: &Fixture,
    results: &Results,
    asked: &Asked,
) -> Result<(Space, Vec<String>), Vec<Problem>> {
    let mut base = resolved.document.clone();
    base.trials.clear();
    let locks = Locks::of(&base, asked)?;
    let mut maker = Maker {
        suiting: Suiting::of(&base, &resolved.values),
        sizes: Sizes::of(&base, &resolved.values),
        document: &base,
        fixture,
        asked,
        locks: &locks,
        places: Vec::new(),
        stacks: Vec::new(),
        bill: Bill::default(),
        left_out: Vec::new(),
    };
    maker.stacks(results);
    if asked.one_wheel {
        join_wheels(&mut maker.places, &mut maker.stacks, &mut maker.left_out);
    }
    maker.places.extend(size_places(&base, &resolved.values, results, asked, &locks)?);
    maker.remedies(results);
    let Maker { places, stacks, bill, left_out, .. } = maker;
    let mut space = Space { base, places, stacks, bill, at_hand_only: asked.at_hand_only };
    drop_wide_rings(&mut space);
    drop_idle(&mut space);
    lengths(&mut space)?;
    Ok((space, left_out))
}

struct Maker<'a> {
    document: &'a Document,
    fixture: &'a Fixture,
    asked: &'a Asked,
    locks: &'a Locks,
    suiting: Suiting<'a>,
    sizes: Sizes<'a>,
    places: Vec<Place>,
    stacks: Vec<StackPlaces>,
    bill: Bill,
    left_out: Vec<String>,
}

impl<'a> Maker<'a> {
    /// Places on screws.
    fn stacks(&mut self, results: &Results) {
        let told: Vec<&str> = results
            .findings
            .iter()
            .filter(|finding| finding.severity >= Severity::Marginal)
            .flat_map(|finding| finding.paths.iter().map(String::as_str))
            .collect();
        let document = self.document;
        for (number, rider) in document.riders.iter().enumerate() {
            let base = format!("riders/{}", rider.name);
            let mut alike: Vec<(Vec<String>, &Stack, u32)> = Vec::new();
            for (below, stack) in rider.stacks() {
                let path = format!("{base}/{below}");
                let is_bolt = below.starts_with("bolts/");
                let is_told = told.iter().any(|told| is_within(told, &path));
                if is_bolt && !is_told && !self.locks.opens(&path) {
                    continue;
                }
                let count = screws(rider, &below);
                if count == 0 {
                    continue;
                }
                let same = alike.iter_mut().find(|known| known.1 == stack && !is_bolt);
                match same {
                    Some(known) => {
                        known.0.push(path);
                        known.2 += count;
                    }
                    None => alike.push((vec![path], stack, count)),
                }
            }
            let several = alike.len() > 1;
            for (paths, stack, count) in alike {
                self.stack(number, rider, (paths, stack, count), several);
            }
        }
    }

    fn stack(
        &mut self,
        number: usize,
        rider: &Rider,
        (paths, stack, screws): (Vec<String>, &Stack, u32),
        several: bool,
    ) {
        let Some(path) = paths.first() else { return };
        let Some(now) = stack_in(self.fixture, path) else { return };
        let label = match path.split('/').nth(3).filter(|_| several || path.contains("/bolts/")) {
            Some(own) => format!("{}, {own}", rider.name),
            None => rider.name.clone(),
        };
        let Some((part, form)) = self.sizes.part(PartKind::Screw, &stack.screw).and_then(as_screw) else {
            return;
        };
        if form.shoulder.is_some() {
            self.left_out.push(format!(
                "{label}: what is on a shoulder screw, as its shoulder is as long as what it carries"
            ));
            return;
        }
        let present = self.sizes.screw(part, form);
        let length = now.screw.length.nominal - now.screw.beyond;
        let names = piece_names(&stack.pieces);
        let is_tapped = stack.ends_tapped();
        let mut places = StackPlaces {
            rider: number,
            label: label.clone(),
            screws,
            pieces: Vec::new(),
            wheel: stack.pieces.iter().position(|piece| piece.kind == PieceKind::Wheel),
            wheels: Vec::new(),
            screw: None,
            screws_offered: Vec::new(),
            round: None,
            length,
            length_is_written: stack.length.is_some(),
            is_tapped,
            is_all_of_rider: !several,
            hangs_on: Vec::new(),
            own: HashMap::new(),
            paths: paths.clone(),
        };
        let is_locked = self.locks.holds(path, &rider.name);
        // The screw.
        let offers =
            if is_locked || is_tapped || self.locks.holds_place(PlaceKind::Screw, path, "screw", part) {
                Vec::new()
            } else {
                self.screws(path, part, stack.length.is_some())
            };
        let own = self.screw_offer(part, form, (length, screws), &present);
        places.screws_offered.push(own);
        let mut screw_place = Vec::new();
        for offered in offers {
            let Some((_, form)) = as_screw(offered) else { continue };
            let numbers = self.sizes.screw(offered, form);
            let bought = self.screw_offer(offered, form, (length, 0), &numbers);
            places.screws_offered.push(bought);
            screw_place.push(Offer {
                words: match offered.name == part.name {
                    true => format!("{}, as short as does", offered.name),
                    false => offered.name.clone(),
                },
                changes: if offered.name == part.name {
                    Vec::new()
                } else {
                    set(&paths, "screw", &offered.name)
                },
                certainty: certainty(offered),
                part: Some(offered.name.clone()),
                off: None,
                note: None,
            });
        }
        places.screw =
            self.place(PlaceKind::Screw, path, "screw", format!("{label}: screw"), Some(part), screw_place);
        // The pieces.
        for ((piece, name), measured) in stack.pieces.iter().zip(&names).zip(&now.pieces) {
            let slot = self.piece((&paths, name), piece, measured, screws, is_locked.then_some(()), &label);
            if piece.kind == PieceKind::Wheel {
                places.wheels = self.wheels(piece, slot.place);
            }
            places.pieces.push(slot);
        }
        // Which way round it is.
        let may_turn = !is_tapped && places.wheel.is_some() && !is_locked;
        if may_turn
            && !self.locks.holds_kind(PlaceKind::Round)
            && !self.locks.holds_path(&format!("{path}/head"))
        {
            let turn = Offer {
                words: "turned round".to_owned(),
                changes: paths.iter().map(|path| Change::Turn { within: path.clone() }).collect(),
                certainty: None,
                part: None,
                off: None,
                note: None,
            };
            let label = format!("{label}: screws turned round");
            places.round = self.place(PlaceKind::Round, path, "head", label, None, vec![turn]);
        }
        self.stacks.push(places);
    }

    /// A place with what is there now and what else could be; none where there is nothing else.
    fn place(
        &mut self,
        kind: PlaceKind,
        stack: &str,
        name: &str,
        label: String,
        now: Option<&Part>,
        others: Vec<Offer>,
    ) -> Option<usize> {
        if others.is_empty() {
            return None;
        }
        let words = now.map_or_else(|| "as it is".to_owned(), |part| part.name.clone());
        let part = now.map(|part| part.name.clone());
        let mut offers =
            vec![Offer { words, changes: Vec::new(), certainty: None, part, off: None, note: None }];
        offers.extend(others);
        // More could not be told apart by the numbers they have.
        offers.truncate(Range::MOST + 1);
        self.places.push(Place { kind, path: format!("{stack}/{name}"), label, offers });
        Some(self.places.len() - 1)
    }

    /// Screws that could stand for one: of a form of head that goes where that is, sold in lengths; the same one comes first,
    /// in its shortest length.
    fn screws(&self, path: &str, now: &Part, has_length: bool) -> Vec<&'a Part> {
        let PartForm::Screw(form) = &now.form else { return Vec::new() };
        let may = |part: &&Part| {
            let PartForm::Screw(screw) = &part.form else { return false };
            let is_now = part.name == now.name;
            // A countersunk head wants its countersink, and a flat one none.
            let heads = (screw.head == HeadForm::Countersunk) == (form.head == HeadForm::Countersunk)
                && (screw.head == HeadForm::None) == (form.head == HeadForm::None);
            let fits = || self.suiting.at(&format!("{path}/screw"), part).is_ok();
            (!is_now || has_length)
                && heads
                && screw.shoulder.is_none()
                && !screw.lengths.is_empty()
                && self.may_buy(part)
                && (is_now || fits())
        };
        let mut all: Vec<&Part> = parts_of_kind(self.document, PartKind::Screw).filter(may).collect();
        all.sort_by_key(|part| part.name != now.name);
        all
    }

    /// Whether a part may be put in where only what is at hand may.
    fn may_buy(&self, part: &Part) -> bool {
        let used = || !edit::uses_of_part(self.document, &part.name).is_empty();
        !self.asked.at_hand_only || self.at_hand(part) > 0 || used()
    }

    fn at_hand(&self, part: &Part) -> u32 {
        self.asked.library.stock_of(part).and_then(|stock| stock.count).unwrap_or(0)
    }

    /// What one of a part costs: as the person's library has it, else the document or the tables.
    fn price(&self, part: &Part, length: f64) -> Option<(f64, bool)> {
        let noted = self.asked.library.stock_of(part).and_then(|stock| stock.price);
        noted.map(|price| (price, false)).or_else(|| {
            let cost = price_at(self.document, &part.name, length)?;
            Some((cost.amount, cost.is_guide))
        })
    }

    /// A screw with what each of its lengths is on the bill; `uses` of the length it has now are there.
    fn screw_offer(
        &mut self,
        part: &Part,
        form: &glidewright_project::document::ScrewPart,
        (now, uses): (f64, u32),
        numbers: &super::numbers::ScrewNumbers,
    ) -> ScrewOffer {
        let mut lengths = form.lengths.clone();
        if uses > 0 && !lengths.iter().any(|length| (length - now).abs() < 1e-3) {
            lengths.push(now);
        }
        // The library counts screws of a standard without their lengths; any of them is taken to be at hand.
        let at_hand = self.at_hand(part);
        let parts = lengths
            .into_iter()
            .map(|length| {
                let price = self.price(part, length);
                let name = format!("{} × {}", part.name, glidewright_motion::plain(length));
                (length, self.bill.ware(name, || (at_hand, price)))
            })
            .collect::<Vec<_>>();
        for (length, ware) in &parts {
            if (length - now).abs() < 1e-3
                && let Some(ware) = self.bill.wares.get_mut(*ware as usize)
            {
                ware.have += uses;
            }
        }
        ScrewOffer { numbers: numbers.clone(), parts }
    }

    /// A piece with what could stand for it.
    fn piece(
        &mut self,
        (paths, name): (&[String], &str),
        piece: &Piece,
        measured: &glidewright_motion::Piece,
        screws: u32,
        locked: Option<()>,
        label: &str,
    ) -> Slot {
        let now =
            super::numbers::PieceNumbers { thickness: measured.thickness.nominal, outer: measured.outer };
        let mut slot = Slot {
            place: None,
            numbers: vec![Some(now)],
            parts: vec![None],
            is_nut: piece.kind == PieceKind::Nut,
            is_ring: matches!(piece.kind, PieceKind::Washer | PieceKind::Shim),
        };
        let known = PartKind::of_piece(piece.kind).and_then(|kind| self.sizes.part(kind, &piece.part));
        let Some(part) = known else { return slot };
        let (price, at_hand) = (self.price(part, now.thickness), self.at_hand(part));
        let ware = self.bill.ware(part.name.clone(), || (at_hand, price));
        if let Some(ware) = self.bill.wares.get_mut(ware as usize) {
            ware.have += screws;
        }
        slot.parts = vec![Some(ware)];
        let Some(kind) = kind_of(piece.kind) else { return slot };
        let Some(path) = paths.first() else { return slot };
        if locked.is_some() || self.locks.holds_place(kind, path, name, part) {
            return slot;
        }
        let mut others = Vec::new();
        for offered in self.pieces(&format!("{path}/{name}"), piece, part) {
            let Some(numbers) = self.sizes.piece(offered) else { continue };
            let mut changes = set(paths, name, &offered.name);
            if piece.length.is_some() {
                changes.extend(paths.iter().map(|path| Change::Set {
                    path: format!("{path}/{name}/length"),
                    to: Formula::Number(numbers.thickness),
                }));
            }
            let (price, at_hand) = (self.price(offered, numbers.thickness), self.at_hand(offered));
            slot.parts.push(Some(self.bill.ware(offered.name.clone(), || (at_hand, price))));
            slot.numbers.push(Some(numbers));
            let is_thin = matches!(&offered.form, PartForm::Nut(nut) if self.sizes.is_thin(nut));
            others.push(Offer {
                words: offered.name.clone(),
                changes,
                certainty: certainty(offered),
                part: Some(offered.name.clone()),
                off: None,
                // Proof loads of thin nuts: 380 and 500 MPa against 800 and more of regular ones (ISO 898-2).
                note: is_thin.then_some("a thin nut bears about half of what a regular one does"),
            });
        }
        slot.place = self.place(kind, path, name, format!("{label}: {name}"), Some(part), others);
        slot
    }

    /// Parts that could stand for a piece.
    fn pieces(&self, path: &str, piece: &Piece, now: &Part) -> Vec<&'a Part> {
        let may = |part: &&Part| {
            part.name != now.name
                && self.may_buy(part)
                && match (&part.form, &now.form) {
                    (PartForm::Nut(nut), PartForm::Nut(known)) => Sizes::may_stand_for(nut, known),
                    (PartForm::Spacer(_), PartForm::Spacer(_)) => piece.length.is_none(),
                    (PartForm::Wheel(_), PartForm::Wheel(_))
                    | (PartForm::Washer(_), PartForm::Washer(_))
                    | (PartForm::Shim(_), PartForm::Shim(_)) => true,
                    _ => false,
                }
                && self.suiting.at(path, part).is_ok()
        };
        parts_of_kind(self.document, now.form.kind()).filter(may).collect()
    }

    /// Numbers of the wheels offered.
    fn wheels(&self, piece: &Piece, place: Option<usize>) -> Vec<Option<super::numbers::WheelNumbers>> {
        let numbers = |name: &str| {
            let part = self.sizes.part(PartKind::Wheel, name)?;
            match &part.form {
                PartForm::Wheel(wheel) => self.sizes.wheel(part, wheel),
                _ => None,
            }
        };
        match place.and_then(|place| self.places.get(place)) {
            Some(place) => place.offers.iter().map(|offer| numbers(offer.part.as_deref()?)).collect(),
            None => vec![numbers(&piece.part)],
        }
    }

    /// What findings offer as their cure besides parts on screws: masses, thicknesses.
    fn remedies(&mut self, results: &Results) {
        if self.locks.holds_kind(PlaceKind::Remedy) {
            return;
        }
        for finding in results.findings.iter().filter(|finding| finding.severity >= Severity::Marginal) {
            for remedy in &finding.remedies {
                for way in edit::ways(self.document, results, finding, remedy) {
                    let Some(path) = self.outside_stacks(&way) else { continue };
                    let offer = Offer {
                        words: way.words,
                        changes: way.changes,
                        certainty: None,
                        part: None,
                        off: None,
                        note: None,
                    };
                    let known = self
                        .places
                        .iter_mut()
                        .find(|place| place.kind == PlaceKind::Remedy && place.path == path);
                    match known {
                        Some(place) if place.offers.iter().all(|known| known.changes != offer.changes) => {
                            place.offers.push(offer);
                        }
                        Some(_) => {}
                        None => {
                            let now = Offer {
                                words: "as it is".to_owned(),
                                changes: Vec::new(),
                                certainty: None,
                                part: None,
                                off: None,
                                note: None,
                            };
                            let label = path.replace('/', ", ");
                            let offers = vec![now, offer];
                            self.places.push(Place { kind: PlaceKind::Remedy, path, label, offers });
                        }
                    }
                }
            }
        }
    }

    /// Where a way changes something, if that is nothing on a screw and nothing that stays or has a range of its own.
    fn outside_stacks(&self, way: &edit::Way) -> Option<String> {
        let mut first = None;
        for change in &way.changes {
            let (Change::Set { path, .. } | Change::Shift { path, .. }) = change else { return None };
            let rider = path.split('/').nth(1).unwrap_or_default();
            let is_other = path.contains("/stack")
                || self.locks.holds(path, rider)
                || self.locks.holds_path(path)
                || self.asked.ranges.contains_key(path);
            if is_other {
                return None;
            }
            first.get_or_insert_with(|| path.clone());
        }
        first
    }
}

fn kind_of(kind: PieceKind) -> Option<PlaceKind> {
    Some(match kind {
        PieceKind::Washer => PlaceKind::Washer,
        PieceKind::Shim => PlaceKind::Shim,
        PieceKind::Spacer => PlaceKind::Spacer,
        PieceKind::Wheel => PlaceKind::Wheel,
        PieceKind::Nut => PlaceKind::Nut,
        PieceKind::Plate | PieceKind::Eccentric => return None,
    })
}

fn as_screw(part: &Part) -> Option<(&Part, &glidewright_project::document::ScrewPart)> {
    match &part.form {
        PartForm::Screw(form) => Some((part, form)),
        _ => None,
    }
}

fn set(stacks: &[String], name: &str, to: &str) -> Vec<Change> {
    let one =
        |path: &String| Change::Set { path: format!("{path}/{name}"), to: Formula::Text(to.to_owned()) };
    stacks.iter().map(one).collect()
}

/// How many screws there are of a stack at a path below its rider.
fn screws(rider: &Rider, below: &str) -> u32 {
    let of = |wheel: &glidewright_project::document::WheelPlace| 1 + u32::from(wheel.pair.is_some());
    match below.split('/').collect::<Vec<_>>().as_slice() {
        ["stack"] => rider.wheels.iter().filter(|wheel| wheel.stack.is_none()).map(of).sum(),
        ["wheels", name, ..] => rider.wheels.iter().filter(|wheel| wheel.name == *name).map(of).sum(),
        _ => 1,
    }
}

/// The stack that is written at a path, as the engine has it.
pub(super) fn stack_in<'f>(fixture: &'f Fixture, path: &str) -> Option<&'f glidewright_motion::Stack> {
    let screw = format!("{path}/screw");
    let wheels = fixture.riders.iter().flat_map(|rider| rider.wheels.iter().map(|wheel| &wheel.stack));
    let bolts = fixture.riders.iter().flat_map(|rider| rider.bolts.iter().map(|bolt| &bolt.stack));
    wheels.chain(bolts).find(|stack| stack.screw.path == screw)
}

/// Whether one path lies at or below another.
pub(super) fn is_within(path: &str, above: &str) -> bool {
    path.strip_prefix(above).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'))
}
