//! The parts of a scene that a batch of variants takes over.

use glam::{DMat3, DVec3};

use super::channel::Filter;
use super::group::Group;
use super::item::{Classes, Ready};
use super::kernel::Kernels;
use super::sides::Sides;
use super::sieve::Candidate;
use super::window::Window;
use super::{Scene, least};
use crate::{Pose, search};

/// A scene's solids and the pairs of its channels.
pub(crate) struct Base {
    pub solids: Vec<BaseSolid>,
    pub classes: Classes,
    pub outer_from_travel: DMat3,
    pub channels: Vec<BaseChannel>,
}

/// A solid of the scene.
pub(crate) struct BaseSolid {
    /// `None` if it is not sound.
    pub ready: Option<Ready>,
    /// `travel_from_group`.
    pub pose: Pose,
    pub body: u32,
}

/// A channel of the scene.
pub(crate) struct BaseChannel {
    /// Solids of both groups by number.
    pub members: [Vec<u32>; 2],
    /// Both groups are one.
    pub same: bool,
    pub wanted: Option<Filter>,
    /// Range of the relative shift (mm); `None` for a travel without meaning.
    pub shifts: Option<(f64, f64)>,
    /// Pairs within reach, with their least gaps.
    pub pairs: Vec<([u32; 2], search::Least)>,
}

impl Scene {
    /// Everything a batch needs to know; pairs that stay farther apart than `reach` (mm) are left out.
    pub(crate) fn base(&self, (from, to): (f64, f64), reach: f64) -> Base {
        let Self { outer_from_travel, items, classes, channels, groups, .. } = self;
        let mut groups = groups.clone();
        groups.iter_mut().for_each(Group::refresh);
        let turn = Pose { turn: outer_from_travel.transpose(), shift: DVec3::ZERO };
        let pose = |group: u32| groups.get(group as usize).map_or(Pose::IDENTITY, |g| g.pose);
        let solids = items
            .iter()
            .map(|item| BaseSolid {
                ready: item.ready.clone(),
                pose: turn.then_inner(&pose(item.group)),
                body: item.body,
            })
            .collect();
        let mut stack = Vec::new();
        let channels = channels.iter().map(|channel| {
            let mut base = BaseChannel {
                members: [Vec::new(), Vec::new()],
                same: channel.a == channel.b,
                wanted: channel.wanted.clone(),
                shifts: None,
                pairs: Vec::new(),
            };
            let (Some(a), Some(b)) = (groups.get(channel.a as usize), groups.get(channel.b as usize)) else {
                return base;
            };
            base.members = [a.members.clone(), b.members.clone()];
            let window = Window::of(a, b, base.same);
            if !window.is_sound(from, to) {
                return base;
            }
            let range = window.over(from, to);
            base.shifts = Some(range);
            let sides = Sides { a, b, items, classes, same: base.same, sieve: None };
            let mut kernels = Kernels::default();
            kernels.begin(a.members.len(), b.members.len());
            least::walk(&sides, range, &mut stack, reach, |&Candidate { places: (p, q), .. }| {
                if least::wanted(channel, &sides, p, q) {
                    let kernel = kernels.find(&sides, p, q);
                    let found = kernels.least(&sides, kernel, range, f64::INFINITY);
                    if found.value <= reach {
                        base.pairs.push((kernels.solids(kernel), found));
                    }
                }
                reach
            });
            base
        });
        Base {
            solids,
            outer_from_travel: *outer_from_travel,
            channels: channels.collect(),
            classes: classes.clone(),
        }
    }
}
