//! Which two bodies, where they are nearest, and the plane in which their gap is seen.

use glam::{DVec2, DVec3};
use glidewright_motion::{Body, BodyId, Owner, PairResult};

use super::cut::cut;
use crate::drawing::Rect;
use crate::look::Tone;
use crate::views::projection::{Lie, Projection, Projector};
use crate::views::scene::{Scene, gap_tones, outcome_tone};
use crate::views::{Moment, PairChoice};

/// A direction within this of square to the gap shows it (cosine).
const NEARLY_SQUARE: f64 = 0.35;
/// Where the cut is tried: at the nearest points, and beside them where these lie on an edge (mm).
const CUTS: [f64; 9] = [0.0, 0.02, -0.02, 0.1, -0.1, 0.5, -0.5, 2.0, -2.0];

/// Two bodies at the travel shown.
pub(super) struct Near<'a> {
    pub(super) result: &'a PairResult,
    pub(super) sides: [Side<'a>; 2],
    /// Their gap (mm).
    pub(super) gap: f64,
    /// The travel shown (mm).
    pub(super) travel: f64,
    /// The plane in which the gap is seen.
    pub(super) view: Projector,
    /// From the first to the second, on paper.
    pub(super) towards: DVec2,
    /// The colour of the gap: where it is closest, of what becomes of the two.
    pub(super) tone: Tone,
}

/// One of the two.
pub(super) struct Side<'a> {
    pub(super) id: BodyId,
    pub(super) body: &'a Body,
    /// Its point nearest the other, on paper (mm).
    pub(super) at: DVec2,
    /// What the plane through the nearest points cuts out of it.
    pub(super) cut: Vec<Vec<DVec2>>,
    /// All of it on paper (mm).
    pub(super) extent: Rect,
}

impl<'a> Near<'a> {
    /// The chosen pair, else the tightest of the selected body, else the tightest; `None` where nothing comes near.
    pub(super) fn new(scene: &Scene<'a>) -> Option<Self> {
        let result = chosen(scene)?;
        let (travel, separation) = match scene.state.moment {
            Moment::Closest => (result.at_travel, result.separation),
            Moment::Now => (scene.travel, scene.separation_at(result.bodies, scene.travel)?),
        };
        let gap = match scene.state.moment {
            Moment::Closest => result.gap,
            Moment::Now => separation.gap,
        };
        let normal = separation.normal.try_normalize()?;
        let view = across(scene, normal)?;
        let middle = 0.5 * (separation.on_a + separation.on_b);
        let homes = [result.bodies.0, result.bodies.1].map(|id| {
            let body = scene.body(id)?;
            let home = DVec3::X * scene.home(body.owner, travel);
            home.is_finite().then_some((id, body, home))
        });
        let [Some(a), Some(b)] = homes else { return None };
        let cuts = |aside: f64| {
            [a, b].map(|(id, _, home)| {
                let solids = scene.results.assembly.solids_at(scene.fixture, id, travel);
                cut(&solids, home, &view, view.depth(middle) + aside)
            })
        };
        let whole = |cuts: &[Vec<Vec<DVec2>>; 2]| cuts.iter().all(|cut| !cut.is_empty());
        let found = CUTS.into_iter().map(cuts).find(whole).unwrap_or_else(|| cuts(0.0));
        let side = |(id, body, home): (BodyId, &'a Body, DVec3), at: DVec3, cut| {
            let bounds = scene.bounds(id)?;
            let extent = Rect::between(view.flat(bounds.low + home), view.flat(bounds.high + home));
            let at = view.flat(at);
            (extent.is_finite() && at.is_finite()).then_some(Side { id, body, at, cut, extent })
        };
        let [cut_a, cut_b] = found;
        let sides = [side(a, separation.on_a, cut_a)?, side(b, separation.on_b, cut_b)?];
        let towards = view.flat(normal).try_normalize()?;
        let tone = match scene.state.moment {
            Moment::Closest => outcome_tone(&result.outcome),
            Moment::Now => gap_tones(gap, result.asked).0,
        };
        Some(Self { result, sides, gap, travel, view, towards, tone })
    }

    /// The middle between the nearest points, on paper (mm).
    pub(super) fn middle(&self) -> DVec2 {
        0.5 * (self.sides[0].at + self.sides[1].at)
    }

    /// Where a face stands that is so far from the first body's, on paper (mm).
    pub(super) fn at_gap(&self, gap: f64) -> DVec2 {
        self.sides[0].at + self.towards * gap
    }

    /// Along the faces, on paper.
    pub(super) fn beside(&self) -> DVec2 {
        self.towards.perp()
    }
}

impl Side<'_> {
    /// The rider it is on, if it is on one.
    pub(super) fn rider<'s>(&self, scene: &Scene<'s>) -> Option<(usize, &'s str)> {
        let Owner::Rider(number) = self.body.owner else { return None };
        Some((number, scene.fixture.riders.get(number)?.name.as_str()))
    }

    /// What it is, without whose it is.
    pub(super) fn piece(&self) -> &str {
        self.body.own_label()
    }
}

/// The pair to show.
fn chosen<'a>(scene: &Scene<'a>) -> Option<&'a PairResult> {
    let interference = &scene.results.interference;
    if let PairChoice::Chosen(a, b) = scene.state.pair
        && let Some(result) = scene.pair_result((a, b))
    {
        return Some(result);
    }
    let of_selected = scene.state.selected.and_then(|id| {
        let has = |pair: &&PairResult| pair.bodies.0 == id || pair.bodies.1 == id;
        interference.passing.iter().find(has)
    });
    of_selected.or_else(|| interference.tightest()).or_else(|| interference.steady.first())
}

/// A view square to a gap's direction: from the side if that shows it, else from the front, else along the rail.
fn across(scene: &Scene<'_>, normal: DVec3) -> Option<Projector> {
    let lie = Lie::of(scene.fixture);
    let views = [
        Projector::new(scene.fixture, Projection::Side, lie),
        Projector::new(scene.fixture, Projection::Front, lie),
        Projector::end(),
    ];
    let slant = |view: &Projector| normal.dot(view.toward).abs();
    let usual = views.iter().find(|view| slant(view) < NEARLY_SQUARE);
    let view = usual.or_else(|| views.iter().min_by(|a, b| slant(a).total_cmp(&slant(b))))?;
    let toward = (view.toward - normal * normal.dot(view.toward)).try_normalize()?;
    let up = (view.up - toward * toward.dot(view.up)).try_normalize()?;
    Some(Projector { right: up.cross(toward), up, toward })
}
