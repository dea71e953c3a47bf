//! Ways to carry a remedy out with the parts there are: changes a trial can be made of.

use glidewright_motion::{BodyId, Finding, Remedy, Results, Role, plain};

use crate::document::{
    Change, Document, Load, PartForm, PartKind, Piece, PieceKind, Rider, Stack, WheelPart, piece_names,
};
use crate::path::{is_within, join};
use crate::resolve::parts_of_kind;
use crate::size::{AnySize, Formula, Kind, Size};
use crate::values::Values;

/// One way to carry a remedy out.
#[derive(Clone, Debug, PartialEq)]
pub struct Way {
    /// What it does, in a few words; good as a trial's name.
    pub words: String,
    /// The changes.
    pub changes: Vec<Change>,
}

impl Way {
    fn one(words: impl Into<String>, change: Change) -> Self {
        Self { words: words.into(), changes: vec![change] }
    }
}

/// A size of this much less still counts as enough (mm): what is left over from rounding.
const ENOUGH: f64 = 1e-6;

/// Ways to carry out a remedy of a finding of these results, the gentlest first; none where it takes more than
/// changing sizes, parts and choices. `document` is what the results are of.
pub fn ways(document: &Document, results: &Results, finding: &Finding, remedy: &Remedy) -> Vec<Way> {
    let Some(path) = remedy.path.as_deref() else { return Vec::new() };
    let (values, _) = Values::of(document, None);
    let shop = Shop { document, values: &values };
    let steps: Vec<&str> = path.split('/').collect();
    match (steps.as_slice(), remedy.by) {
        (["riders", name], None) if finding.code.starts_with("gap.") => {
            shop.turned(path, name).into_iter().collect()
        }
        (["riders", name], _) => shop.weighed(results, name, path),
        (["riders", rider, "wheels", _], Some(shift)) => shop.smaller_wheels(rider, shift),
        ([.., "screw"], by) if matches!(finding.code, "screw.shank" | "screw.bottoms") => {
            let stack = path.strip_suffix("/screw").unwrap_or(path);
            by.map_or_else(|| shop.threaded_screws(stack), |by| shop.shorter_screw(stack, by, 1.0))
        }
        ([.., "screw"], Some(by)) => {
            let is = |role: Role| finding.bodies.iter().any(|id| is_body(results, *id, path, role));
            let stack = path.strip_suffix("/screw").unwrap_or(path);
            match (is(Role::ScrewEnd), is(Role::Head)) {
                (true, false) => shop.shorter_screw(stack, by, 0.5),
                _ => shop.lower_head(stack, by),
            }
        }
        (["riders", rider, "plates", plate], Some(by)) => shop.thinner_plate(rider, plate, by),
        (["riders", ..], Some(by)) => shop.thinner_piece(path, by),
        _ => Vec::new(),
    }
}

/// The change that puts a rider in the middle of the masses with which it stays where it is left, on its ballast or else
/// on its first load; nothing where there is no such mass, or where it stands there already to the gram.
pub fn centred(document: &Document, values: &Values, results: &Results, rider: &str) -> Option<Way> {
    let shop = Shop { document, values };
    let (load, change) = shop.to_centre(results, rider)?;
    let now = shop.number(&load.mass);
    let path = format!("riders/{rider}/loads/{}/mass", load.name);
    let to = (now + change).round();
    if to == now.round() {
        return None;
    }
    let change = match load.mass.formula {
        Formula::Number(_) => Change::Set { path, to: Formula::Number(to) },
        Formula::Text(_) => Change::Shift { path, by: AnySize::typed(&format!("{change} g")) },
    };
    Some(Way::one(format!("set {} to {to} g", load.name), change))
}

fn is_body(results: &Results, id: BodyId, path: &str, role: Role) -> bool {
    results.assembly.body(id).is_some_and(|body| body.path == path && body.role == role)
}

struct Shop<'a> {
    document: &'a Document,
    values: &'a Values,
}

/// A part's name with the extent that counts.
struct Offer<'a> {
    name: &'a str,
    extent: f64,
}

impl<'a> Shop<'a> {
    fn number<K: Kind>(&self, size: &Size<K>) -> f64 {
        self.values.of_slot(size).map_or(f64::NAN, |size| size.nominal)
    }

    fn rider(&self, name: &str) -> Option<&'a Rider> {
        self.document.riders.iter().find(|rider| rider.name == name)
    }

    /// The stack a path leads into, at its own path and at that of the stack that is written: for a wheel that
    /// shares its rider's, the rider's.
    fn stack(&self, path: &str) -> Option<(&'a Stack, String)> {
        self.document.riders.iter().find_map(|rider| {
            let base = join("riders", &rider.name);
            let own = rider.wheels.iter().filter_map(|wheel| {
                Some((format!("{base}/wheels/{}/stack", wheel.name), wheel.stack.as_ref()?))
            });
            let bolts =
                rider.bolts.iter().map(|bolt| (format!("{base}/bolts/{}/stack", bolt.name), &bolt.stack));
            let shared = rider.stack.iter().map(|stack| (format!("{base}/stack"), stack));
            own.chain(bolts).chain(shared).find(|(at, _)| is_within(path, at)).map(|(at, stack)| (stack, at))
        })
    }

    fn piece(&self, path: &str) -> Option<(&'a Piece, &'a Stack)> {
        let (stack, at) = self.stack(path)?;
        let name = path.strip_prefix(at.as_str())?.strip_prefix('/')?;
        let place = piece_names(&stack.pieces).iter().position(|known| known == name)?;
        Some((stack.pieces.get(place)?, stack))
    }

    /// Another part in one place, or wherever the part is used.
    fn swaps(&self, path: &str, now: &str, alone: Option<&Offer<'_>>, both: Option<&Offer<'_>>) -> Vec<Way> {
        let mut ways = Vec::new();
        if let Some(offer) = both {
            let change =
                Change::Swap { from: now.to_owned(), to: offer.name.to_owned(), within: String::new() };
            ways.push(Way::one(format!("{} wherever {now} is", offer.name), change));
        }
        if let Some(offer) = alone {
            let change = Change::Set { path: path.to_owned(), to: Formula::Text(offer.name.to_owned()) };
            ways.push(Way::one(format!("{} on {} alone", offer.name, carrier(path)), change));
        }
        ways
    }

    /// The part that is thick enough but no thicker than `most`; else the thinnest below `now`.
    fn thickest_within<'o>(offers: &'o [Offer<'o>], now: f64, most: f64) -> Option<&'o Offer<'o>> {
        let fitting = offers.iter().filter(|offer| offer.extent <= most + ENOUGH);
        let best = fitting.max_by(|a, b| a.extent.total_cmp(&b.extent));
        let thinner = || offers.iter().filter(|offer| offer.extent < now - ENOUGH);
        best.or_else(|| thinner().min_by(|a, b| a.extent.total_cmp(&b.extent)))
    }

    fn thinner_piece(&self, path: &str, by: f64) -> Vec<Way> {
        let Some((piece, _)) = self.piece(path) else { return Vec::new() };
        let kind = match piece.kind {
            PieceKind::Plate => {
                let rider = path.split('/').nth(1).unwrap_or_default();
                return self.thinner_plate(rider, &piece.part, by);
            }
            PieceKind::Spacer | PieceKind::Shim | PieceKind::Eccentric => {
                return self.shorter_piece(path, piece, by).into_iter().collect();
            }
            PieceKind::Nut => PartKind::Nut,
            PieceKind::Washer => PartKind::Washer,
            PieceKind::Wheel => return Vec::new(),
        };
        let Some((now, thread, locking)) = parts_of_kind(self.document, kind)
            .find(|part| part.name == piece.part || part.also.contains(&piece.part))
            .and_then(|part| self.thickness(&part.form))
        else {
            return Vec::new();
        };
        let offers: Vec<Offer<'_>> = parts_of_kind(self.document, kind)
            .filter_map(|part| {
                let (extent, other, grips) = self.thickness(&part.form)?;
                // A nut that grips is not traded for one that does not.
                let fits = (other - thread).abs() < ENOUGH && (grips || !locking);
                fits.then_some(Offer { name: &part.name, extent })
            })
            .collect();
        let alone = Self::thickest_within(&offers, now, now - by);
        let elsewhere = super::uses_of_part(self.document, &piece.part).len() > 1;
        let both = elsewhere.then(|| Self::thickest_within(&offers, now, now - 0.5 * by)).flatten();
        self.swaps(path, &piece.part, alone, both)
    }

    /// Extent along the screw, thread or hole, and whether it grips.
    fn thickness(&self, form: &PartForm) -> Option<(f64, f64, bool)> {
        match form {
            PartForm::Nut(nut) => Some((self.number(&nut.height), self.number(&nut.diameter), nut.locking)),
            PartForm::Washer(washer) => {
                Some((self.number(&washer.thickness), self.number(&washer.hole), false))
            }
            _ => None,
        }
    }

    fn shorter_piece(&self, path: &str, piece: &Piece, by: f64) -> Option<Way> {
        let at = join(path, "length");
        let now = match &piece.length {
            Some(length) => self.number(length),
            None => parts_of_kind(self.document, PartKind::of_piece(piece.kind)?)
                .find(|part| part.name == piece.part)
                .and_then(|part| match &part.form {
                    PartForm::Spacer(ring) | PartForm::Shim(ring) => Some(self.number(&ring.length)),
                    PartForm::Eccentric(ring) => Some(self.number(&ring.length)),
                    _ => None,
                })?,
        };
        let by = tenths_up(by);
        (now - by > ENOUGH).then(|| {
            let words = format!("{} of {} {} mm shorter", last(path), carrier(path), plain(by));
            match piece.length {
                Some(_) => Way::one(words, Change::Shift { path: at, by: AnySize::of(-by) }),
                None => Way::one(words, Change::Set { path: at, to: Formula::Number(rounded(now - by)) }),
            }
        })
    }

    fn thinner_plate(&self, rider: &str, plate: &str, by: f64) -> Vec<Way> {
        let Some(known) =
            self.rider(rider).and_then(|rider| rider.plates.iter().find(|known| known.name == plate))
        else {
            return Vec::new();
        };
        let by = tenths_up(by);
        if self.number(&known.thickness) - by <= ENOUGH {
            return Vec::new();
        }
        let path = format!("riders/{rider}/plates/{plate}/thickness");
        let words = format!("{plate} of {rider} {} mm thinner", plain(by));
        vec![Way::one(words, Change::Shift { path, by: AnySize::of(-by) })]
    }

    fn screw_lengths(&self, screw: &str) -> Vec<f64> {
        let found = parts_of_kind(self.document, PartKind::Screw)
            .find(|part| part.name == screw || part.also.iter().any(|name| name == screw));
        match found.map(|part| &part.form) {
            Some(PartForm::Screw(form)) => form.lengths.clone(),
            _ => Vec::new(),
        }
    }

    /// Screws of the same thread that are threaded to the head, of the same form of head first.
    fn threaded_screws(&self, path: &str) -> Vec<Way> {
        let Some((stack, at)) = self.stack(path) else { return Vec::new() };
        let screws = || {
            parts_of_kind(self.document, PartKind::Screw).filter_map(|part| match &part.form {
                PartForm::Screw(form) => Some((part, form)),
                _ => None,
            })
        };
        let Some((_, now)) =
            screws().find(|(part, _)| part.name == stack.screw || part.also.contains(&stack.screw))
        else {
            return Vec::new();
        };
        let thread = self.number(&now.diameter);
        let mut fitting: Vec<_> = screws()
            .filter(|(_, form)| {
                form.thread_length.is_none() && (self.number(&form.diameter) - thread).abs() < ENOUGH
            })
            .collect();
        fitting.sort_by_key(|(_, form)| form.head != now.head);
        let offer = fitting
            .first()
            .map(|(part, form)| Offer { name: &part.name, extent: self.number(&form.head_height) });
        self.swaps(&join(&at, "screw"), &stack.screw, offer.as_ref(), None)
    }

    /// Screws shorter by so much in one place, or by a share of it on every rider that has the same.
    fn shorter_screw(&self, path: &str, by: f64, share: f64) -> Vec<Way> {
        let Some((stack, at)) = self.stack(path) else { return Vec::new() };
        let Some(length) = &stack.length else { return Vec::new() };
        let now = self.number(length);
        let shorter = |by: f64| {
            let lengths = self.screw_lengths(&stack.screw);
            lengths.into_iter().filter(|length| *length <= now - by + ENOUGH).max_by(f64::total_cmp)
        };
        let set = |at: &str, to: f64| Change::Set { path: join(at, "length"), to: Formula::Number(to) };
        let mut ways = Vec::new();
        if let Some(to) = shorter(by) {
            ways.push(Way::one(format!("screws of {} mm on {}", plain(to), carrier(&at)), set(&at, to)));
        }
        let same: Vec<String> = self
            .document
            .riders
            .iter()
            .filter(|rider| {
                rider
                    .stack
                    .as_ref()
                    .is_some_and(|other| other.screw == stack.screw && other.length == stack.length)
            })
            .map(|rider| format!("riders/{}/stack", rider.name))
            .collect();
        if let Some(to) = shorter(share * by).filter(|_| same.len() > 1 && same.contains(&at)) {
            let changes = same.iter().map(|at| set(at, to)).collect();
            ways.insert(0, Way { words: format!("screws of {} mm on every rider", plain(to)), changes });
        }
        ways
    }

    fn lower_head(&self, path: &str, by: f64) -> Vec<Way> {
        let Some((stack, at)) = self.stack(path) else { return Vec::new() };
        let heads: Vec<(Offer<'_>, f64)> = parts_of_kind(self.document, PartKind::Screw)
            .filter_map(|part| match &part.form {
                PartForm::Screw(form) => {
                    let offer = Offer { name: &part.name, extent: self.number(&form.head_height) };
                    Some((offer, self.number(&form.diameter)))
                }
                _ => None,
            })
            .collect();
        let Some((now, thread)) =
            heads.iter().find(|(offer, _)| offer.name == stack.screw).map(|(o, d)| (o.extent, *d))
        else {
            return Vec::new();
        };
        let offers: Vec<Offer<'_>> = heads
            .into_iter()
            .filter(|(_, diameter)| (diameter - thread).abs() < ENOUGH)
            .map(|(offer, _)| offer)
            .collect();
        let alone = Self::thickest_within(&offers, now, now - by);
        let elsewhere = super::uses_of_part(self.document, &stack.screw).len() > 1;
        let both = elsewhere.then(|| Self::thickest_within(&offers, now, now - 0.5 * by)).flatten();
        self.swaps(&join(&at, "screw"), &stack.screw, alone, both)
    }

    /// Wheels of the same kind on the same bore whose axles stand closer by at least `shift`.
    fn smaller_wheels(&self, rider: &str, shift: f64) -> Vec<Way> {
        let Some(rider) = self.rider(rider) else { return Vec::new() };
        let own = rider.wheels.iter().filter_map(|wheel| wheel.stack.as_ref());
        let used = rider
            .stack
            .iter()
            .chain(own)
            .flat_map(|stack| &stack.pieces)
            .find(|piece| piece.kind == PieceKind::Wheel);
        let Some(now) = used.map(|piece| piece.part.as_str()) else { return Vec::new() };
        let wheels: Vec<(&str, &WheelPart)> = parts_of_kind(self.document, PartKind::Wheel)
            .filter_map(|part| match &part.form {
                PartForm::Wheel(wheel) => Some((part.name.as_str(), wheel)),
                _ => None,
            })
            .collect();
        let Some((_, known)) = wheels.iter().find(|(name, _)| *name == now) else { return Vec::new() };
        let bore = |wheel: &WheelPart| {
            parts_of_kind(self.document, PartKind::Bearing)
                .find(|part| part.name == wheel.bearing || part.also.contains(&wheel.bearing))
                .map(|part| match &part.form {
                    PartForm::Bearing(bearing) => self.number(&bearing.bore),
                    _ => f64::NAN,
                })
        };
        let mut offers: Vec<Offer<'_>> = wheels
            .iter()
            .filter(|(_, wheel)| wheel.running.is_like(&known.running) && bore(wheel) == bore(known))
            .map(|(name, wheel)| Offer { name, extent: self.number(&wheel.outer) })
            .filter(|offer| offer.extent <= self.number(&known.outer) - 2.0 * shift + ENOUGH)
            .collect();
        offers.sort_by(|a, b| b.extent.total_cmp(&a.extent));
        let within = join("riders", &rider.name);
        offers
            .into_iter()
            .take(2)
            .map(|offer| {
                let change =
                    Change::Swap { from: now.to_owned(), to: offer.name.to_owned(), within: within.clone() };
                Way::one(format!("wheels {} on {}", offer.name, rider.name), change)
            })
            .collect()
    }

    /// The screws of a rider turned round; longer ones where the length is fixed and more than the nut's own
    /// reach is needed is for the results to say.
    fn turned(&self, path: &str, name: &str) -> Option<Way> {
        if self.rider(name)?.stacks().any(|(_, stack)| stack.ends_tapped()) {
            return None;
        }
        let change = Change::Turn { within: path.to_owned() };
        Some(Way::one(format!("screws of {name} turned round"), change))
    }

    /// The load to change, ballast before others, and by how much (g), so that a rider stands in the middle of its hold
    /// band.
    fn to_centre(&self, results: &Results, name: &str) -> Option<(&Load, f64)> {
        let place = self.document.riders.iter().position(|rider| rider.name == name)?;
        let band = results.hold_bands.iter().find(|band| band.rider == place && band.exists())?;
        let rider = self.rider(name)?;
        let change = (band.advised_change() * 1e3).round();
        let by_mass = |load: &&Load| self.number(&load.mass) + change > 0.0;
        let ballast = rider.loads.iter().filter(|load| load.ballast).find(by_mass);
        Some((ballast.or_else(|| rider.loads.iter().find(by_mass))?, change))
    }

    /// The mass that puts a rider in the middle of its hold band, on its ballast or else on its first load.
    fn weighed(&self, results: &Results, name: &str, path: &str) -> Vec<Way> {
        let Some((load, change)) = self.to_centre(results, name) else { return Vec::new() };
        let verb = if change >= 0.0 { "more" } else { "less" };
        let words = format!("{} g {verb} on {name}: {}", change.abs(), load.name);
        let at = format!("{path}/loads/{}/mass", load.name);
        vec![Way::one(words, Change::Shift { path: at, by: AnySize::typed(&format!("{change} g")) })]
    }
}

/// Whose a piece or stack at a path is: the rider, or the wheel or bolt on it that has a stack of its own.
fn carrier(path: &str) -> String {
    let mut steps = path.split('/').skip(1);
    let rider = steps.next().unwrap_or(path);
    match (steps.next(), steps.next()) {
        (Some("wheels" | "bolts"), Some(own)) => format!("{rider}, {own}"),
        _ => rider.to_owned(),
    }
}

fn last(path: &str) -> &str {
    path.rsplit('/').next().unwrap_or(path)
}

/// The next tenth of a millimetre up: finer is not made.
fn tenths_up(by: f64) -> f64 {
    rounded((by * 10.0 - ENOUGH).ceil() / 10.0)
}

fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
