//! What can be taken hold of in a view, and what a drag of it means.

use glam::{DVec2, DVec3};
use glidewright_motion::{BodyId, Fixture, Owner, ReachCurves, Results, rider_travel};

use super::projection::{Lie, Projector};
use super::{Projection, StripKind, ViewState};
use crate::drawing::{Drawing, Panel, Part};
use crate::look::Tone;

/// Name of the panel that shows the rail of the bench.
pub(super) const RAIL_PANEL: &str = "rail";
/// Name of the panel that holds the cursor.
pub(super) const CURSOR_PANEL: &str = "cursor";

/// What an item of a view stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Pick {
    /// A body of the assembly.
    Body(BodyId),
    /// The travel cursor.
    Cursor,
    /// The gap that is pointed out.
    Gap,
    /// A whole strip.
    Strip(StripKind),
    /// A curve of a strip, counted within it.
    Curve(StripKind, u16),
    /// The tightest spot: the riders can go there.
    Tightest,
    /// A mass, with or without a body: rider and load.
    Load(u8, u16),
    /// A rider's grip.
    Grip(u8),
    /// The belt or cord.
    Line,
    /// A strip over the reach of a load, or its cursor: rider and load.
    Reach(u8, u16),
}

/// Marks parts that are not bodies.
const OTHER: u32 = 1 << 31;

impl Pick {
    /// The part an item carries.
    pub fn part(self) -> Part {
        let other = |kind: u32, payload: u32| Part(OTHER | kind << 24 | payload & 0x00FF_FFFF);
        match self {
            Self::Body(id) => Part(id.0 & !OTHER),
            Self::Cursor => other(1, 0),
            Self::Gap => other(2, 0),
            Self::Strip(kind) => other(3, kind.number()),
            Self::Curve(kind, curve) => other(4, kind.number() << 16 | u32::from(curve)),
            Self::Tightest => other(5, 0),
            Self::Load(rider, load) => other(6, u32::from(rider) << 16 | u32::from(load)),
            Self::Grip(rider) => other(7, u32::from(rider)),
            Self::Line => other(8, 0),
            Self::Reach(rider, load) => other(9, u32::from(rider) << 16 | u32::from(load)),
        }
    }

    /// The reach of the load some curves are of.
    pub(super) fn reach(curves: &ReachCurves) -> Self {
        Self::Reach(
            u8::try_from(curves.rider).unwrap_or(u8::MAX),
            u16::try_from(curves.load).unwrap_or(u16::MAX),
        )
    }

    /// What a part stands for; `None` for a part no view makes.
    pub fn of(part: Part) -> Option<Self> {
        if part.0 & OTHER == 0 {
            return Some(Self::Body(BodyId(part.0)));
        }
        let payload = part.0 & 0x00FF_FFFF;
        let low = payload as u16;
        let high = (payload >> 16) as u8;
        let strip = |number: u32| StripKind::ALL.get(number as usize).copied();
        match part.0 >> 24 & 0x7F {
            1 => Some(Self::Cursor),
            2 => Some(Self::Gap),
            3 => strip(payload).map(Self::Strip),
            4 => strip(u32::from(high)).map(|kind| Self::Curve(kind, low)),
            5 => Some(Self::Tightest),
            6 => Some(Self::Load(high, low)),
            7 => Some(Self::Grip(low as u8)),
            8 => Some(Self::Line),
            9 => Some(Self::Reach(high, low)),
            _ => None,
        }
    }
}

/// What to light up for a state, for [`Drawing::page_with`]: the selected body, and over it the one the
/// pointer is over.
pub fn emphasis(state: &ViewState) -> Vec<(Part, Tone)> {
    let lit = |id: Option<BodyId>, tone| id.map(|id| (Pick::Body(id).part(), tone));
    lit(state.selected, Tone::Selection).into_iter().chain(lit(state.hovered, Tone::Highlight)).collect()
}

/// The rider whose part it is.
pub fn rider_of(results: &Results, pick: Pick) -> Option<usize> {
    match pick {
        Pick::Body(id) => match results.assembly.body(id)?.owner {
            Owner::Rider(number) => Some(number),
            Owner::Ground => None,
        },
        Pick::Load(rider, _) | Pick::Grip(rider) => Some(usize::from(rider)),
        _ => None,
    }
}

/// The panel that maps travel to paper: its world is travel along the rail, whatever else it shows.
fn axis(drawing: &Drawing) -> Option<&Panel> {
    drawing.panel_named(CURSOR_PANEL)
}

/// The travel (mm) at a point of the bench (pt), before it is held within the stroke; `None` in a drawing
/// without a travel axis.
pub fn travel_from_pt(drawing: &Drawing, pt: DVec2) -> Option<f64> {
    axis(drawing)?.world_from_pt(pt).map(|world| world.x)
}

/// Which ways of the rail frame run to the right and upwards in the world of a panel that shows the rail with
/// its riders at one scale (unit vectors); `None` for any other panel.
pub fn paper_axes(panel: &Panel, fixture: &Fixture, state: &ViewState) -> Option<(DVec3, DVec3)> {
    let view = match panel.name.as_str() {
        RAIL_PANEL => {
            let projection = state.projection.unwrap_or_else(|| Projection::suited_to(fixture));
            Projector::new(fixture, projection, Lie::of(fixture))
        }
        super::end::PANEL => Projector::end(),
        _ => return None,
    };
    Some((view.right, view.up))
}

/// Where on paper (pt) the cursor's line begins at a travel (mm).
pub fn travel_to_pt(drawing: &Drawing, travel: f64) -> Option<DVec2> {
    axis(drawing).map(|panel| panel.pt(DVec2::new(travel, 0.0)))
}

/// How far (pt) a point of the bench is from the cursor's line at a travel (mm).
pub fn cursor_distance(drawing: &Drawing, travel: f64, pt: DVec2) -> Option<f64> {
    let panel = axis(drawing)?;
    let along = panel.pt_from_world.transform_vector2(DVec2::X).try_normalize()?;
    Some((pt - panel.pt(DVec2::new(travel, 0.0))).dot(along).abs())
}

/// The lead's travel (mm), held within the stroke, after rider number `rider` was dragged along the rail from
/// one point to another (pt), the lead's travel having been `travel` at the start; `None` for a rider that
/// does not follow the lead.
pub fn travel_after_drag(
    fixture: &Fixture,
    drawing: &Drawing,
    rider: usize,
    travel: f64,
    from_pt: DVec2,
    to_pt: DVec2,
) -> Option<f64> {
    let moved = travel_from_pt(drawing, to_pt)? - travel_from_pt(drawing, from_pt)?;
    let ratio = rider_travel(fixture, rider, 1.0) - rider_travel(fixture, rider, 0.0);
    let lead = travel + moved / ratio;
    let (from, to) = (fixture.stroke.from, fixture.stroke.to);
    lead.is_finite().then(|| lead.max(from.min(to)).min(from.max(to)))
}
