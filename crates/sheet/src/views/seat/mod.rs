//! A wheel in its groove: the section square to the rail through the axle.

mod figures;
mod patch;
mod section;

use glam::{DVec2, DVec3};
use glidewright_motion::loads::{Carrier, Contact};
use glidewright_motion::{
    Fixture, Owner, PieceKind, PlacedStack, Results, Rider, Seating, StackOf, Track, Wheel, WheelMount,
    WheelResistance,
};

use super::scene::Scene;
use super::words::{place, shortened};
use super::{View, table};
use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::{ReaderUnits, Weight};

/// A wheel in its groove.
pub(super) const VIEW: View = View {
    name: "seat",
    title: "Wheel in its track",
    about: "The section through an axle: how the wheel sits in its track, what presses on each flank.",
    lacks,
    still: |_| false,
    draw,
};

/// Name of the panel drawn to scale.
pub(super) const PANEL: &str = "wheel in its track";
const TITLE_PT: f64 = 10.0;
const TABLE_PT: f64 = 8.5;
const BESIDE: table::Beside =
    table::Beside { from: 420.0, share: 0.36, least: 170.0, most: 260.0, gap: 16.0, below: 0.42 };

fn lacks(_: &Fixture, results: &Results) -> Option<&'static str> {
    let seated = |rider: &glidewright_motion::PlacedRider| rider.stacks.iter().any(|s| s.seating.is_some());
    (!results.assembly.riders.iter().any(seated)).then_some("No wheel sits in a track.")
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: wheel in its track", scene.fixture.name), scene.size());
    drawing.panels.extend(panels(scene, Rect::between(DVec2::ZERO, scene.size())));
    drawing
}

/// A seated wheel with everything known of it at the travel shown.
pub(super) struct Seat<'a> {
    /// The unit lengths are written in.
    pub(super) unit: ReaderUnits,
    pub(super) rider: &'a Rider,
    pub(super) owner: usize,
    pub(super) mount: &'a WheelMount,
    pub(super) track: &'a Track,
    pub(super) wheel: &'a Wheel,
    pub(super) placed: &'a PlacedStack,
    pub(super) stack_number: usize,
    /// Its number among the rider's wheels.
    pub(super) number: usize,
    pub(super) seating: Seating,
    /// Its contacts and the force on each (N).
    pub(super) contacts: Vec<(Contact, f64)>,
    /// Greatest contact pressure (MPa).
    pub(super) pressure: f64,
    pub(super) resistance: Option<WheelResistance>,
}

impl<'a> Seat<'a> {
    /// The selected wheel, else the one that carries most on the rider in focus.
    fn new(scene: &Scene<'a>) -> Option<Self> {
        let selected = scene.state.selected.and_then(|id| scene.body(id)).and_then(|body| {
            let Owner::Rider(number) = body.owner else { return None };
            Self::of(scene, number, body.stack?)
        });
        let stacks = |number: usize| {
            let count = scene.results.assembly.riders.get(number).map_or(0, |rider| rider.stacks.len());
            (0..count).filter_map(move |stack| Self::of(scene, number, stack))
        };
        let heaviest = || {
            let carried = |seat: &Self| seat.contacts.iter().map(|(_, force)| force).sum::<f64>();
            stacks(scene.rider_in_focus()?).max_by(|a, b| carried(a).total_cmp(&carried(b)))
        };
        let any = || (0..scene.fixture.riders.len()).find_map(|number| stacks(number).next());
        selected.or_else(heaviest).or_else(any)
    }

    fn of(scene: &Scene<'a>, owner: usize, stack_number: usize) -> Option<Self> {
        let rider = scene.fixture.riders.get(owner)?;
        let placed = scene.results.assembly.riders.get(owner)?.stacks.get(stack_number)?;
        let StackOf::Wheel(number) = placed.of else { return None };
        let mount = rider.wheels.get(number)?;
        let track = scene.fixture.rail.tracks.get(mount.track)?;
        let wheel = mount.stack.pieces.iter().find_map(|piece| match &piece.kind {
            PieceKind::Wheel(wheel) => Some(&**wheel),
            _ => None,
        })?;
        let curves = &scene.results.curves;
        let after = curves.travel.partition_point(|s| *s < scene.travel).min(curves.travel.len().max(1) - 1);
        let loads = curves.loads.get(owner).and_then(|stations| stations.get(after));
        let case = glidewright_motion::loads::LoadCase::new(scene.fixture, &scene.results.assembly, owner);
        let contacts = case
            .contacts()
            .iter()
            .enumerate()
            .filter(|(_, contact)| contact.carrier == Carrier::Wheel(number))
            .map(|(i, contact)| {
                let force = loads.and_then(|l| l.equilibrium.forces.get(i)).copied().unwrap_or(f64::NAN);
                (*contact, force)
            })
            .collect();
        Some(Self {
            unit: scene.unit(),
            rider,
            owner,
            mount,
            track,
            wheel,
            placed,
            stack_number,
            number,
            seating: placed.seating.clone()?,
            contacts,
            pressure: loads.and_then(|l| l.wheels.get(number)).map_or(f64::NAN, |load| load.pressure),
            resistance: curves
                .resistance_up
                .get(owner)
                .and_then(|stations| stations.get(after)?.wheels.get(number))
                .copied(),
        })
    }

    /// Unit direction of the axle away from the rail's middle plane, in the rail frame.
    pub(super) fn outward(&self) -> DVec3 {
        self.rider.facing.outward()
    }

    /// Unit direction out of the track, in the rail frame.
    pub(super) fn radial(&self) -> DVec3 {
        DVec3::new(0.0, self.track.normal.x, self.track.normal.y)
    }
}

/// The close-up in a frame: the section to scale, and its figures beside or below it.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(seat) = Seat::new(scene) else { return Vec::new() };
    let inner = frame.grown(-8.0);
    let title = format!("{}, {}  ·  {}", seat.rider.name, seat.mount.name, seat.track.name);
    let rows = figures::rows(scene, &seat);
    let body = Rect { min: inner.min + DVec2::new(0.0, 1.5 * TITLE_PT), max: inner.max };
    let needed = table::height(rows.len(), TABLE_PT);
    let (drawn, listed) = BESIDE.split(&body, needed, f64::INFINITY);
    // The contact itself under the section, where there is room for both.
    let (drawn, enlarged) = if drawn.size().y >= 330.0 {
        let split = drawn.max.y - (0.32 * drawn.size().y).clamp(130.0, 210.0);
        let below = Rect { min: DVec2::new(drawn.min.x, split + 4.0), ..drawn };
        (Rect { max: DVec2::new(drawn.max.x, split - 4.0), ..drawn }, patch::panel(&seat, below))
    } else {
        (drawn, None)
    };
    let panel = section::panel(scene, &seat, drawn);
    let mut words = Panel::centred("figures of the wheel", frame, DVec2::ZERO, 1.0);
    let title = shortened(&title, TITLE_PT, Weight::SemiBold, inner.size().x);
    let at = place(&words, inner.min);
    words.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 1.0));
    table::draw(&mut words, &listed, "", &rows, TABLE_PT);
    std::iter::once(panel).chain(enlarged).chain([words]).collect()
}

/// The section without its figures, under a title.
pub(super) fn section_alone(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(seat) = Seat::new(scene) else { return Vec::new() };
    let mut words = Panel::centred("title of the wheel", frame, DVec2::ZERO, 1.0);
    let title = format!("{}, {}", seat.rider.name, seat.mount.name);
    let title = shortened(&title, TABLE_PT + 0.5, Weight::SemiBold, frame.size().x);
    let at = place(&words, frame.min + DVec2::new(0.0, 3.0));
    words.add(Label::new(title, at, TABLE_PT + 0.5).bold().anchored(0.0, 1.0));
    let below = Rect { min: frame.min + DVec2::new(0.0, 1.6 * TABLE_PT), ..frame };
    vec![section::panel(scene, &seat, below), words]
}
