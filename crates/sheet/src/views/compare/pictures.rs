//! A picture of each trial that is compared: all at one scale and from one side, but for the lens.

use glam::{DVec2, DVec3};
use glidewright_motion::{Owner, Role};

use super::super::figure::{Sketch, draw_bodies};
use super::super::projection::{Lie, Projection, Projector};
use super::super::scene::Scene;
use super::super::{Compared, gap, space, stacks};
use crate::drawing::{Panel, Rect};

/// Room round what is pictured, as a share of its size.
const AIR: f64 = 0.04;

/// How the pictures are made.
pub(super) struct Pictures {
    what: Compared,
    /// What each shows of its world (mm), the largest of all.
    size: DVec2,
}

impl Pictures {
    /// The pictures of some trials: as large as the largest of them asks for.
    pub(super) fn of(scenes: &[Scene<'_>]) -> Self {
        let what = scenes.first().map(|scene| scene.state.compared).unwrap_or_default();
        let sizes = scenes.iter().filter_map(|scene| world(scene, what)).map(|world| world.size());
        let size = sizes.reduce(DVec2::max).unwrap_or(DVec2::splat(1.0));
        Self { what, size: size * (1.0 + 2.0 * AIR) }
    }

    /// Whether they are wider than a lens.
    pub(super) fn are_wide(&self) -> bool {
        self.what != Compared::Gap
    }

    /// The picture of one in a frame (pt).
    pub(super) fn panels(&self, scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
        if self.what == Compared::Gap {
            return gap::lens_alone(scene, frame).into_iter().collect();
        }
        let Some(own) = world(scene, self.what) else { return Vec::new() };
        let world = Rect::about(own.middle(), self.size);
        let mut panel = Panel::fitted(format!("{}: {}", self.what.title(), name(scene)), frame, world, 0.0);
        panel.frame = frame;
        match self.what {
            Compared::Gap => {}
            Compared::Bench => {
                let mut sketch = Sketch::new(panel.scale());
                sketch.window = Some(world);
                draw_bodies(&mut sketch, scene, &front(scene), scene.travel);
                sketch.into_panel(&mut panel);
            }
            Compared::Stacks => stacks::draw_alone(&mut panel, scene),
            Compared::Space => space::draw_alone(&mut panel, scene),
        }
        vec![panel]
    }
}

fn name<'a>(scene: &'a Scene<'_>) -> &'a str {
    scene.state.trial.as_deref().unwrap_or("as drawn")
}

/// Square to the front of the rail, or as the bench shows it.
fn front(scene: &Scene<'_>) -> Projector {
    let projection = scene.state.projection.unwrap_or_else(|| Projection::suited_to(scene.fixture));
    Projector::new(scene.fixture, projection, Lie::of(scene.fixture))
}

/// What a picture must hold of a trial's world.
fn world(scene: &Scene<'_>, what: Compared) -> Option<Rect> {
    match what {
        Compared::Gap => None,
        Compared::Bench => riders(scene),
        Compared::Stacks => stacks::world_of(scene),
        Compared::Space => Some(space::extent(scene, &space::seen_from(scene))),
    }
}

/// The riders where they stand.
fn riders(scene: &Scene<'_>) -> Option<Rect> {
    let view = front(scene);
    let bodies = scene
        .bodies()
        .filter(|(_, body)| matches!(body.owner, Owner::Rider(_)) && !matches!(body.role, Role::Span));
    let boxes = bodies.filter_map(|(id, body)| {
        let bounds = scene.bounds(id)?;
        let home = DVec3::X * scene.home(body.owner, scene.travel);
        Some(Rect::between(view.flat(bounds.low + home), view.flat(bounds.high + home)))
    });
    boxes.filter(Rect::is_finite).reduce(|a, b| a.union(&b))
}
