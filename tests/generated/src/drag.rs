//! What a person drags, a step at a time.

use glidewright_project::Document;
use glidewright_project::document::{Axis, Body, Patch, Point};
use glidewright_project::size::{Formula, Kind, Size};

/// Something dragged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Drag {
    /// The first rider along the rail.
    Rider,
    /// The first load out from its plate, with its bodies.
    Load,
    /// The first wheel along its rider, with all that is on its screw.
    Wheel,
    /// The first obstacle out of the rail's front.
    Obstacle,
}

impl Drag {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Rider, Self::Load, Self::Wheel, Self::Obstacle];

    /// The document with it dragged this far (mm); `None` where there is nothing of the kind.
    pub fn moved(self, document: &Document, by: f64) -> Option<Document> {
        let mut document = document.clone();
        match self {
            Self::Rider => shift(&mut document.riders.first_mut()?.at, by),
            Self::Load => {
                let loads = document.riders.iter_mut().flat_map(|rider| &mut rider.loads);
                let load = loads.into_iter().find(|load| !load.bodies.is_empty())?;
                load.bodies.iter_mut().for_each(|body| lift(body, by));
                if let Some(centre) = &mut load.centre {
                    shift(&mut centre.2, by);
                }
            }
            Self::Wheel => {
                let wheel = document.riders.iter_mut().flat_map(|rider| &mut rider.wheels).next()?;
                shift(&mut wheel.along, by);
            }
            Self::Obstacle => {
                let obstacle = document.obstacles.first_mut()?;
                obstacle.bodies.iter_mut().for_each(|body| lift(body, by));
            }
        }
        Some(document)
    }
}

fn shift<K: Kind>(size: &mut Size<K>, by: f64) {
    if let Formula::Number(number) = &mut size.formula {
        *number += by;
    }
}

fn lift(body: &mut Body, by: f64) {
    let up = |point: &mut Point| shift(&mut point.2, by);
    match body {
        Body::Box { from, to, .. } | Body::Cylinder { from, to, .. } | Body::Cone { from, to, .. } => {
            up(from);
            up(to);
        }
        Body::Ball { at, .. } => up(at),
        Body::Outline { shape, along, from, to, .. } => match along {
            Axis::Z => [from, to].into_iter().for_each(|end| shift(end, by)),
            Axis::X | Axis::Y => match shape {
                Patch::Circle { at, .. } | Patch::Path { at, .. } => shift(&mut at.1, by),
                Patch::Rectangle { from, to, .. } | Patch::Slot { from, to, .. } => {
                    [from, to].into_iter().for_each(|spot| shift(&mut spot.1, by));
                }
            },
        },
    }
    if let Some(Some(turned)) = body.turned_mut()
        && let Some(at) = &mut turned.at
    {
        up(at);
    }
}
