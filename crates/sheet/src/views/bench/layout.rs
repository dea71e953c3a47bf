//! Where rail and strips stand, so that a millimetre of travel is as long in every one of them.

use glam::{DAffine2, DMat2, DVec2, DVec3};
use glidewright_motion::{Body, BodyId, Owner, Role};

use super::reach;
use super::strips::has_data;
use crate::drawing::Rect;
use crate::strip::{Orientation, STRIP_MARGIN, StripLayout};
use crate::views::StripKind;
use crate::views::projection::{Lie, Projection, Projector};
use crate::views::scene::Scene;

/// Room between the paper's edge and what is drawn (pt).
const EDGE: f64 = 8.0;
/// Room on the far side of the rail for its dimensions (pt): one line, two lines.
const GUTTER: (f64, f64) = (24.0, 40.0);
/// Room between rail and strips for the ruler and the cursor's tag (pt).
const RULER: f64 = 58.0;
/// Least width of an upright strip's plot and least height of a lying one (pt).
const LEAST_PLOT: (f64, f64) = (66.0, 36.0);
/// What one strip needs, all told: an upright one's width and a lying one's height (pt).
const ONE_STRIP: (f64, f64) = (170.0, 112.0);
/// Between a strip without travel numbers and its neighbour (pt).
const BETWEEN: f64 = 12.0;

/// Where everything stands.
pub(super) struct Layout {
    pub(super) lie: Lie,
    pub(super) view: Projector,
    /// Points per millimetre.
    pub(super) scale: f64,
    /// The rail's panel.
    pub(super) rail_frame: Rect,
    pub(super) rail_from_world: DAffine2,
    /// What is drawn of the rail, its riders and what stands about (pt).
    pub(super) content: Rect,
    /// Whether there is room for a second line of dimensions.
    pub(super) roomy: bool,
    pub(super) strips: Vec<(StripKind, StripLayout)>,
    /// The travel the strips show (mm).
    pub(super) travel: (f64, f64),
    /// Whether only a stretch of the rail is shown.
    pub(super) zoomed: bool,
    /// Paper's x of an upright ruler, y of a lying one (pt).
    pub(super) ruler: f64,
    /// Where the cursor's line begins and ends across the travel axis (pt).
    pub(super) across: (f64, f64),
}

/// Ranges along and across the rail (mm).
#[derive(Clone, Copy, Debug)]
struct Extent {
    along: (f64, f64),
    across: (f64, f64),
}

impl Extent {
    fn join(&mut self, other: &Self) {
        let both = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
        self.along = both(self.along, other.along);
        self.across = both(self.across, other.across);
    }

    /// As much of it as lies within `reach` times the size of `of` beyond it.
    fn kept_near(&self, of: &Self, reach: f64) -> Self {
        let keep = |a: (f64, f64), b: (f64, f64)| {
            let room = reach * (b.1 - b.0);
            (a.0.clamp(b.0 - room, b.1 + room), a.1.clamp(b.0 - room, b.1 + room))
        };
        Self { along: keep(self.along, of.along), across: keep(self.across, of.across) }
    }
}

impl Layout {
    pub(super) fn new(scene: &Scene<'_>) -> Self {
        let lie = Lie::of(scene.fixture);
        let projection = scene.state.projection.unwrap_or_else(|| Projection::suited_to(scene.fixture));
        let view = Projector::new(scene.fixture, projection, lie);
        let extent = extent(scene, &view);
        let travel = shown_travel(scene);
        match lie {
            Lie::Upright => upright(scene, view, extent, travel),
            Lie::Lying => lying(scene, view, extent, travel),
        }
    }

    /// A travel on paper along the axis (pt): y of an upright rail, x of a lying one.
    pub(super) fn along(&self, scene: &Scene<'_>, travel: f64) -> f64 {
        let at = self.rail_from_world.transform_point2(self.view.flat(DVec3::X * (scene.datum() + travel)));
        match self.lie {
            Lie::Upright => at.y,
            Lie::Lying => at.x,
        }
    }

    /// The point of the paper at a place along the axis and across it (pt).
    pub(super) fn point(&self, along: f64, across: f64) -> DVec2 {
        match self.lie {
            Lie::Upright => DVec2::new(across, along),
            Lie::Lying => DVec2::new(along, across),
        }
    }
}

/// The strips asked for that have something to show.
fn wanted_strips(scene: &Scene<'_>) -> Vec<StripKind> {
    scene.state.strips.iter().copied().filter(|kind| has_data(scene, *kind)).collect()
}

/// The travel shown: the stroke, or something about it when it has no length.
fn shown_travel(scene: &Scene<'_>) -> (f64, f64) {
    let (from, to) = (scene.fixture.stroke.from, scene.fixture.stroke.to);
    let (low, high) = (from.min(to), from.max(to));
    if !(low.is_finite() && high.is_finite()) {
        return (0.0, scene.fixture.rail.length);
    }
    if high - low < 1e-6 { (low - 5.0, high + 5.0) } else { (low, high) }
}

/// The least stretch of travel that is shown enlarged (mm).
const LEAST_WINDOW: f64 = 2.0;

/// The stretch of travel asked for (mm), if one is and it can be shown.
fn window(scene: &Scene<'_>) -> Option<(f64, f64)> {
    let (from, to) = scene.state.window?;
    let (low, high) = shown_travel(scene);
    let (from, to) = (from.max(low), to.min(high));
    let narrower = to - from < 0.999 * (high - low);
    (from.is_finite() && to.is_finite() && to - from >= LEAST_WINDOW && narrower).then_some((from, to))
}

/// Where what is drawn across the axis begins, how much of it shows, and where the rail's middle stands (pt),
/// of an extent (mm) drawn at a scale in a room: all of it where it fits, else what is about the rail.
fn fit_across(extent: (f64, f64), scale: f64, room: f64) -> (f64, f64) {
    let wide = (extent.1 - extent.0) * scale;
    if wide <= room {
        return (wide, -extent.0 * scale);
    }
    // As even as possible about the rail's middle.
    (room, (0.5 * room).min(-extent.0 * scale).max(room - extent.1 * scale))
}

/// What has to be on paper: rail, riders at both ends of the stroke, belt, and what stands near them.
fn extent(scene: &Scene<'_>, view: &Projector) -> Extent {
    let fixture = scene.fixture;
    let travel = shown_travel(scene);
    let across = view.across();
    let span = |id: BodyId, body: &Body| -> Option<Extent> {
        let bounds = scene.bounds(id)?;
        let ends = [bounds.low.dot(across), bounds.high.dot(across)];
        let homes = [scene.home(body.owner, travel.0), scene.home(body.owner, travel.1)];
        let along = (bounds.low.x + homes[0].min(homes[1]), bounds.high.x + homes[0].max(homes[1]));
        let across = (ends[0].min(ends[1]), ends[0].max(ends[1]));
        let finite = [along.0, along.1, across.0, across.1].iter().all(|v| v.is_finite() && v.abs() < 1e6);
        finite.then_some(Extent { along, across })
    };
    let mut whole = Extent { along: (0.0, fixture.rail.length), across: (-10.0, 10.0) };
    let datum = scene.datum();
    let ends = (datum + travel.0, datum + travel.1);
    whole.along = (whole.along.0.min(ends.0), whole.along.1.max(ends.1));
    let stands = |body: &Body| matches!(body.role, Role::Obstacle | Role::Stop);
    for (id, body) in scene.bodies() {
        // A rider's pieces within its plates need no asking, and spans may be far longer than they are now.
        if !stands(body)
            && body.role != Role::Span
            && let Some(own) = span(id, body)
        {
            whole.join(&own);
        }
    }
    for (number, rider) in fixture.riders.iter().enumerate() {
        let marks = rider.loads.iter().map(|load| load.centre).chain(rider.grip.iter().map(|grip| grip.at));
        let homes = [travel.0, travel.1].map(|s| scene.home(Owner::Rider(number), s));
        for mark in marks {
            // A little room round the symbol.
            let (x, a) = (mark.x, mark.dot(across));
            let along = (x + homes[0].min(homes[1]) - 4.0, x + homes[0].max(homes[1]) + 4.0);
            let own = Extent { along, across: (a - 8.0, a + 8.0) };
            if [along.0, along.1, a].iter().all(|v| v.is_finite() && v.abs() < 1e5) {
                whole.join(&own);
            }
        }
    }
    let moving = whole;
    for (id, body) in scene.bodies() {
        if stands(body)
            && body.owner == Owner::Ground
            && let Some(own) = span(id, body)
        {
            whole.join(&own.kept_near(&moving, 0.35));
        }
    }
    whole
}

/// The largest scale (pt/mm) and the place of rail x = 0 at which points of the rail keep their distance
/// from the ends of `room` (pt): `low` and `high` are pairs of rail x (mm) and distance (pt).
fn fit(room: f64, low: [(f64, f64); 2], high: [(f64, f64); 2], most: f64) -> (f64, f64) {
    let mut scale = most;
    for (x0, keep0) in low {
        for (x1, keep1) in high {
            if x1 > x0 {
                scale = scale.min((room - keep0 - keep1) / (x1 - x0));
            }
        }
    }
    let scale = if scale.is_finite() { scale.max(0.01) } else { 1.0 };
    // Distances of x = 0 from the low end that satisfy the low and the high side; what is left is shared.
    let least = low.iter().map(|(x, keep)| keep - x * scale).fold(f64::NEG_INFINITY, f64::max);
    let greatest = high.iter().map(|(x, keep)| room - keep - x * scale).fold(f64::INFINITY, f64::min);
    (scale, 0.5 * (least + greatest))
}

fn upright(scene: &Scene<'_>, view: Projector, extent: Extent, travel: (f64, f64)) -> Layout {
    let size = scene.size();
    let datum = scene.datum();
    let kinds = wanted_strips(scene);
    let wanted = kinds.len();
    let roomy = size.x >= 760.0 && size.y >= 480.0;
    let gutter = if roomy { GUTTER.1 } else { GUTTER.0 };
    let width = extent.across.1 - extent.across.0;
    let room = (share(size.x, wanted, ONE_STRIP.0) - gutter - RULER - EDGE).max(20.0);
    let (below, above) = (EDGE + STRIP_MARGIN.below, EDGE + Orientation::Upright.head());
    let window = window(scene);
    let travel = window.unwrap_or(travel);
    let axis = reach::curves(scene).map(reach::range);
    let (scale, zero) = match window {
        Some((from, to)) => {
            let scale = (size.y - below - above) / (to - from);
            (scale, below - (datum + from) * scale)
        }
        None => fit(
            size.y,
            [(extent.along.0, EDGE + 12.0), (datum + travel.0, below)],
            [(extent.along.1, EDGE), (datum + travel.1, above)],
            (room / width).max(0.01),
        ),
    };
    let left = EDGE + gutter;
    let (shown, middle) = fit_across(extent.across, scale, room.max(width * 0.01));
    let matrix2 = DMat2::from_diagonal(DVec2::new(scale, -scale));
    let translation = DVec2::new(left + middle, size.y - zero);
    let rail_from_world = DAffine2 { matrix2, translation };
    let y = |x: f64| translation.y - scale * x;
    let right = left + shown;
    let paper = if window.is_some() { (EDGE, size.y - EDGE) } else { (0.0, size.y) };
    let content = Rect::between(
        DVec2::new(left, y(extent.along.1).max(paper.0)),
        DVec2::new(right, y(extent.along.0).min(paper.1)),
    );
    let ruler = right + 8.0;
    let start = right + RULER;
    let mut strips = Vec::new();
    let count = (1..=wanted).rev().find(|n| plot_width(size.x - start, *n) >= LEAST_PLOT.0);
    let count = if wanted == 0 { 0 } else { count.unwrap_or(1) };
    let plot = plot_width(size.x - start, count.max(1)).max(30.0);
    let mut at = start + STRIP_MARGIN.left;
    for (number, kind) in kinds.iter().take(count).enumerate() {
        let frame =
            Rect::between(DVec2::new(at, y(datum + travel.1)), DVec2::new(at + plot, y(datum + travel.0)));
        strips.push((
            *kind,
            StripLayout {
                plot: frame,
                orientation: Orientation::Upright,
                travel: axis.unwrap_or(travel),
                travel_numbers: number == 0,
            },
        ));
        at += plot + STRIP_MARGIN.right + BETWEEN;
    }
    // Over reach the strips have a cursor of their own.
    let along_travel = strips.last().filter(|_| axis.is_none());
    let end = along_travel.map_or(ruler, |(_, place)| place.plot.max.x);
    Layout {
        lie: Lie::Upright,
        view,
        scale,
        rail_frame: if window.is_some() {
            content
        } else {
            Rect::between(DVec2::ZERO, DVec2::new(start, size.y))
        },
        zoomed: window.is_some(),
        rail_from_world,
        content,
        roomy,
        strips,
        travel,
        ruler,
        across: (left - 4.0, end),
    }
}

/// What the rail may take of a room across the travel axis (pt): half of it, or more where that is little and
/// one strip still has its place.
fn share(room: f64, strips: usize, one_strip: f64) -> f64 {
    if strips == 0 { room } else { (0.48 * room).max((room - one_strip).min(0.62 * room)) }
}

/// Width of each plot when so many upright strips share a room (pt).
fn plot_width(room: f64, count: usize) -> f64 {
    let n = count as f64;
    (room - EDGE - STRIP_MARGIN.left - n * STRIP_MARGIN.right - (n - 1.0) * BETWEEN) / n
}

fn lying(scene: &Scene<'_>, view: Projector, extent: Extent, travel: (f64, f64)) -> Layout {
    let size = scene.size();
    let datum = scene.datum();
    let kinds = wanted_strips(scene);
    let wanted = kinds.len();
    let roomy = size.x >= 760.0 && size.y >= 480.0;
    let gutter = if roomy { GUTTER.1 } else { GUTTER.0 };
    let ruler_room = 26.0;
    let height = extent.across.1 - extent.across.0;
    let room = (share(size.y, wanted, ONE_STRIP.1) - gutter - ruler_room - EDGE).max(20.0);
    let (before, after) = (STRIP_MARGIN.left + EDGE, EDGE + STRIP_MARGIN.right);
    let window = window(scene);
    let travel = window.unwrap_or(travel);
    let axis = reach::curves(scene).map(reach::range);
    let (scale, zero) = match window {
        Some((from, to)) => {
            let scale = (size.x - before - after) / (to - from);
            (scale, before - (datum + from) * scale)
        }
        None => fit(
            size.x,
            [(extent.along.0, EDGE + 12.0), (datum + travel.0, before)],
            [(extent.along.1, EDGE), (datum + travel.1, after)],
            (room / height).max(0.01),
        ),
    };
    let top = EDGE + gutter;
    // Across, paper runs down.
    let (shown, middle) = fit_across((-extent.across.1, -extent.across.0), scale, room.max(height * 0.01));
    let matrix2 = DMat2::from_diagonal(DVec2::new(scale, -scale));
    let translation = DVec2::new(zero, top + middle);
    let rail_from_world = DAffine2 { matrix2, translation };
    let x = |along: f64| zero + scale * along;
    let bottom = top + shown;
    let paper = if window.is_some() { (EDGE, size.x - EDGE) } else { (0.0, size.x) };
    let content = Rect::between(
        DVec2::new(x(extent.along.0).max(paper.0), top),
        DVec2::new(x(extent.along.1).min(paper.1), bottom),
    );
    let ruler = bottom + 8.0;
    let start = bottom + ruler_room;
    let room = size.y - start;
    let count = (1..=wanted).rev().find(|n| plot_height(room, *n) >= LEAST_PLOT.1);
    let count = if wanted == 0 { 0 } else { count.unwrap_or(1) };
    let plot = plot_height(room, count.max(1)).max(20.0);
    let mut at = start + Orientation::Lying.head();
    let mut strips = Vec::new();
    for (number, kind) in kinds.iter().take(count).enumerate() {
        let frame =
            Rect::between(DVec2::new(x(datum + travel.0), at), DVec2::new(x(datum + travel.1), at + plot));
        strips.push((
            *kind,
            StripLayout {
                plot: frame,
                orientation: Orientation::Lying,
                travel: axis.unwrap_or(travel),
                travel_numbers: number + 1 == count,
            },
        ));
        at += plot + Orientation::Lying.head() + 6.0;
    }
    // Over reach the strips have a cursor of their own.
    let along_travel = strips.last().filter(|_| axis.is_none());
    let end = along_travel.map_or(ruler, |(_, place)| place.plot.max.y);
    Layout {
        lie: Lie::Lying,
        view,
        scale,
        rail_frame: if window.is_some() {
            content
        } else {
            Rect::between(DVec2::ZERO, DVec2::new(size.x, start))
        },
        zoomed: window.is_some(),
        rail_from_world,
        content,
        roomy,
        strips,
        travel,
        ruler,
        across: (top - 4.0, end),
    }
}

/// Height of each plot when so many lying strips share a room (pt).
fn plot_height(room: f64, count: usize) -> f64 {
    let n = count as f64;
    (room - EDGE - STRIP_MARGIN.below - n * Orientation::Lying.head() - (n - 1.0) * 6.0) / n
}
