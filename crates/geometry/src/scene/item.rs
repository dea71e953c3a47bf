//! A solid made ready for distance queries in the travel frame.

use std::borrow::Cow;

use glam::{DMat3, DVec3};

use crate::pair::section::{PARALLEL, Section, axes, frame_along, section, section_with};
use crate::pair::support::Body;
use crate::{Bounds, Pose, Shape, Solid};

/// One solid of a scene.
#[derive(Clone, Debug)]
pub(super) struct Item {
    pub group: u32,
    pub body: u32,
    /// Place among its group's members.
    pub place: u32,
    /// As given, in the group's frame.
    pub solid: Solid,
    /// `None` for a solid that is not sound.
    pub ready: Option<Ready>,
    /// The group's version at its last change.
    pub changed: u64,
}

/// A sound solid in the travel frame.
#[derive(Clone, Debug)]
pub(crate) struct Ready {
    pub body: Body,
    pub bounds: Bounds,
    /// Which axis classes it has a closed form in, one bit each; all for a sphere.
    pub mask: u32,
    /// Its sections, one per bit of the mask, in order; a sphere's are made when needed.
    pub sections: Vec<Section>,
    /// The solid in the travel frame.
    pub solid: Solid,
}

/// The directions along which solids of the scene are prisms or frusta: solids that share one have a closed form.
#[derive(Clone, Debug)]
pub(crate) struct Classes {
    frames: Vec<DMat3>,
}

impl Classes {
    /// Starts with the travel frame's own axes. The two across the travel come first: a pair that shares several
    /// classes takes the first, and across the travel minima are closed too.
    pub(super) fn new() -> Self {
        Self { frames: [DVec3::Z, DVec3::Y, DVec3::X].map(frame_along).to_vec() }
    }

    /// The class of an axis; `None` if there is none.
    fn known(&self, axis: DVec3) -> Option<usize> {
        self.frames.iter().position(|f| f.z_axis.cross(axis).length() <= PARALLEL)
    }

    /// Makes a class for an axis that has none.
    fn add(&mut self, axis: DVec3) {
        // One bit each in a mask; a scene with more tilted axes than that falls back on the general solver.
        if self.frames.len() < 32 && self.known(axis).is_none() {
            self.frames.push(frame_along(axis));
        }
    }

    pub(crate) fn count(&self) -> usize {
        self.frames.len()
    }

    pub(crate) fn frame(&self, class: usize) -> &DMat3 {
        &self.frames[class.min(self.frames.len() - 1)]
    }

    /// The direction of travel in a class's frame.
    pub(crate) fn travel(&self, class: usize) -> DVec3 {
        self.frame(class).transpose() * DVec3::X
    }
}

impl Item {
    pub(super) fn new(group: u32, body: u32, solid: &Solid) -> Self {
        Self { group, body, place: 0, solid: solid.clone(), ready: None, changed: 0 }
    }

    /// Makes the solid ready; `group_pose` is `outer_from_group`.
    pub(super) fn prepare(&mut self, group_pose: &Pose, outer_from_travel: &DMat3, classes: &mut Classes) {
        self.ready = None;
        self.move_to(group_pose, outer_from_travel, classes);
    }

    /// The same, where at most the pose of its group has changed.
    pub(super) fn move_to(&mut self, group_pose: &Pose, outer_from_travel: &DMat3, classes: &mut Classes) {
        let travel_from_outer = Pose { turn: outer_from_travel.transpose(), shift: DVec3::ZERO };
        let solid = self.solid.placed(group_pose).placed(&travel_from_outer);
        // What is turned with its group shares its axes with that group alone, and another pose has others.
        if solid.pose.is_rigid() && group_pose.turn == DMat3::IDENTITY {
            axes(&solid).iter().for_each(|&k| classes.add(solid.pose.turn.col(k)));
        }
        let body = match self.ready.take() {
            Some(Ready { body, .. }) => Body::from_core(&solid, body.core, body.margin),
            None => Body::new(&solid),
        };
        self.ready = body.map(|body| Ready::of_body(body, solid, classes));
    }
}

impl Ready {
    /// From a solid in the travel frame; `None` if it is not sound.
    pub(crate) fn new(solid: Solid, classes: &Classes) -> Option<Self> {
        Some(Self::of_body(Body::new(&solid)?, solid, classes))
    }

    fn of_body(body: Body, solid: Solid, classes: &Classes) -> Self {
        let bounds = body.bounds();
        let mut ready = Self { body, bounds, mask: 0, sections: Vec::new(), solid };
        let solid = &ready.solid;
        if matches!(solid.shape, Shape::Sphere { .. }) {
            ready.mask = u32::MAX;
        } else {
            let mut found: Vec<usize> =
                axes(solid).iter().filter_map(|&k| classes.known(solid.pose.turn.col(k))).collect();
            found.sort_unstable();
            for class in found {
                let corners = ready.body.corners();
                if let Some(s) = section_with(solid, corners, classes.frame(class), DVec3::ZERO) {
                    ready.mask |= 1 << class;
                    ready.sections.push(s);
                }
            }
        }
        ready
    }

    /// The section in a class of the mask; a sphere's is made.
    pub(super) fn section(&self, classes: &Classes, class: usize) -> Option<Cow<'_, Section>> {
        if matches!(self.solid.shape, Shape::Sphere { .. }) {
            return section(&self.solid, classes.frame(class), DVec3::ZERO).map(Cow::Owned);
        }
        let before = self.mask & ((1u32 << class) - 1);
        self.sections.get(before.count_ones() as usize).map(Cow::Borrowed)
    }
}
