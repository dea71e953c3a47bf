//! Groups of solids that slide along one direction, checked against each other over the whole travel.
//!
//! All groups translate along the scene's direction: a group's shift is `offset + ratio·s` for the travel `s`, or
//! anything within an interval of its own. A *channel* is a pair of groups that is watched. Between two groups
//! only the relative shift matters, and for a pair of convex solids the gap is a convex function of it, so
//! minima and the ends of intervals are found exactly, and an envelope needs few evaluations: tangents bound each
//! gap from below, chords from above, and only pairs that can still be the nearest are followed.

mod answer;
mod base;
mod channel;
mod cluster;
mod envelope;
mod group;
mod item;
mod kernel;
mod least;
mod near;
mod partial;
mod question;
mod scratch;
mod sides;
mod sieve;
mod slots;
mod sweep;
mod tree;
mod window;

use std::sync::Arc;

use glam::{DMat3, DVec3};

use crate::pair::general::{self, Warm};
use crate::pair::parallel;
use crate::{Bounds, Pose, Separation, Solid};
pub use answer::{ChannelSweep, Effort, Least, NearBodies, Nearest};
pub(crate) use base::{Base, BaseSolid};
use channel::Channel;
pub(crate) use channel::Filter;
use group::Group;
use item::Item;
pub(crate) use item::{Classes, Ready};
pub use question::{Ask, ChannelId, GroupId, Motion, SolidId};
use scratch::Scratch;
use sides::Sides;
use window::Window;

/// Where the last question about a pair's separation ended; see [`Scene::separation_after`].
#[derive(Clone, Copy, Debug, Default)]
pub struct Trace {
    solids: Option<(SolidId, SolidId)>,
    warm: Warm,
}

/// Groups of solids sliding along one direction.
///
/// ```
/// use glidewright_geometry::{Ask, DVec3, Motion, Scene, Solid};
/// let mut scene = Scene::new(DVec3::X).ok_or("no direction")?;
/// let rider = scene.add_group(Motion::Linked { offset: 0.0, ratio: 1.0 });
/// let weight = scene.add_group(Motion::Linked { offset: 400.0, ratio: -1.0 });
/// let at = |x: f64, z: f64| DVec3::new(x, 0.0, z);
/// scene.add_solid(rider, 7, &Solid::cylinder_between(at(0.0, 0.0), at(0.0, 9.0), 4.0));
/// scene.add_solid(weight, 8, &Solid::cylinder_between(at(0.0, 9.4), at(0.0, 20.0), 4.0));
/// let channel = scene.watch(rider, weight);
/// scene.sweep(&Ask { from: 0.0, to: 600.0, positions: 601, below: 0.5, horizon: 5.0, ceiling: f64::INFINITY });
/// let found = scene.result(channel).ok_or("not watched")?;
/// let least = found.least.ok_or("no pair")?;
/// assert!((least.gap - 0.4).abs() < 1e-12 && (least.shift - 0.0).abs() < 1e-9);
/// assert_eq!((found.near[0].body_a, found.near[0].body_b), (7, 8));
/// # Ok::<(), &str>(())
/// ```
#[derive(Clone)]
pub struct Scene {
    /// Turns travel-frame axes (x along the direction) into the outer frame.
    outer_from_travel: DMat3,
    groups: Vec<Group>,
    items: Vec<Item>,
    classes: Classes,
    channels: Vec<Channel>,
    /// Of all envelopes only the nearest at each position counts.
    tightest_only: bool,
    effort: Effort,
    scratch: Scratch,
    keeps_nothing: bool,
}

impl Scene {
    /// An empty scene whose groups slide along `direction` (any length); `None` if that is zero or not finite.
    pub fn new(direction: DVec3) -> Option<Self> {
        let x = direction.try_normalize()?;
        // Keep the outer y and z where they can stay, so that boxes stay tight.
        let seed = if x.z.abs() < 0.9 { DVec3::Z } else { DVec3::Y };
        let z = (seed - x * x.dot(seed)).normalize();
        let outer_from_travel = DMat3::from_cols(x, z.cross(x), z);
        Some(Self {
            outer_from_travel,
            groups: Vec::new(),
            items: Vec::new(),
            classes: Classes::new(),
            channels: Vec::new(),
            tightest_only: false,
            effort: Effort::default(),
            scratch: Scratch::default(),
            keeps_nothing: false,
        })
    }

    /// Adds an empty group.
    pub fn add_group(&mut self, motion: Motion) -> GroupId {
        self.groups.push(Group::new(motion));
        GroupId(self.groups.len() as u32 - 1)
    }

    /// Adds a solid (in the group's frame at shift 0) as part of the body numbered `body`. Several solids may
    /// share a body. A solid that is not sound takes part in nothing; see [`Scene::unsound`]. An unknown group
    /// gives a solid that belongs nowhere.
    pub fn add_solid(&mut self, group: GroupId, body: u32, solid: &Solid) -> SolidId {
        let id = self.items.len() as u32;
        let mut item = Item::new(group.0, body, solid);
        if let Some(owner) = self.groups.get_mut(group.0 as usize) {
            item.place = owner.members.len() as u32;
            owner.members.push(id);
            owner.version += 1;
            item.prepare(&owner.pose, &self.outer_from_travel, &mut self.classes);
        }
        self.items.push(item);
        SolidId(id)
    }

    /// Puts another solid in the place of one. Only its own pairs are computed again by the next sweep.
    ///
    /// ```
    /// use glidewright_geometry::{Ask, DVec3, Motion, Scene, Solid};
    /// let mut scene = Scene::new(DVec3::X).ok_or("no direction")?;
    /// let rider = scene.add_group(Motion::Linked { offset: 0.0, ratio: 1.0 });
    /// let ground = scene.add_group(Motion::FIXED);
    /// let nut = |top: f64| Solid::cylinder_between(DVec3::ZERO, DVec3::new(0.0, 0.0, top), 4.0);
    /// let id = scene.add_solid(rider, 0, &nut(5.0));
    /// scene.add_solid(ground, 1, &Solid::cuboid_between(DVec3::new(90.0, -9.0, 7.0), DVec3::new(95.0, 9.0, 9.0)));
    /// let channel = scene.watch(rider, ground);
    /// let ask =
    ///     Ask { from: 0.0, to: 200.0, positions: 101, below: 0.0, horizon: 5.0, ceiling: f64::INFINITY };
    /// for (top, gap) in [(5.0, 2.0), (6.5, 0.5)] {
    ///     scene.replace(id, &nut(top));
    ///     scene.sweep(&ask);
    ///     let least = scene.result(channel).and_then(|found| found.least).ok_or("no pair")?;
    ///     assert!((least.gap - gap).abs() < 1e-12);
    /// }
    /// # Ok::<(), &str>(())
    /// ```
    pub fn replace(&mut self, id: SolidId, solid: &Solid) {
        let Some(item) = self.items.get_mut(id.0 as usize) else { return };
        if item.solid == *solid {
            return;
        }
        item.solid = solid.clone();
        if let Some(owner) = self.groups.get_mut(item.group as usize) {
            owner.version += 1;
            item.prepare(&owner.pose, &self.outer_from_travel, &mut self.classes);
            item.changed = owner.version;
        }
    }

    /// Changes how a group moves.
    pub fn set_motion(&mut self, group: GroupId, motion: Motion) {
        if let Some(group) = self.groups.get_mut(group.0 as usize) {
            group.motion = motion;
        }
    }

    /// Turns and shifts a whole group at shift 0 (its tilt under load, say): `outer_from_group`.
    pub fn set_pose(&mut self, group: GroupId, pose: &Pose) {
        let Some(owner) = self.groups.get_mut(group.0 as usize) else { return };
        if owner.pose == *pose {
            return;
        }
        owner.pose = *pose;
        owner.version += 1;
        for &id in &owner.members {
            if let Some(item) = self.items.get_mut(id as usize) {
                item.move_to(&owner.pose, &self.outer_from_travel, &mut self.classes);
                item.changed = owner.version;
            }
        }
    }

    /// Watches two groups (or one against itself: pairs within it). Every pair counts.
    pub fn watch(&mut self, a: GroupId, b: GroupId) -> ChannelId {
        self.add_channel(a, b, None)
    }

    /// Watches two groups, counting only the pairs of bodies that `wanted` says yes to (first group's body first).
    /// The answer must not change over the scene's life.
    pub fn watch_only(
        &mut self,
        a: GroupId,
        b: GroupId,
        wanted: impl Fn(u32, u32) -> bool + Send + Sync + 'static,
    ) -> ChannelId {
        self.add_channel(a, b, Some(Arc::new(wanted)))
    }

    fn add_channel(&mut self, a: GroupId, b: GroupId, wanted: Option<Filter>) -> ChannelId {
        self.channels.push(Channel::new((a.0, b.0), wanted));
        ChannelId(self.channels.len() as u32 - 1)
    }

    /// Lets a channel's envelope say nothing where another channel's is nearer: for a scene of which only the tightest gap
    /// of all at each position counts.
    pub fn tell_tightest_only(&mut self) {
        self.tightest_only = true;
    }

    /// Leaves a channel's envelope empty: for one of which only the least gap and the near bodies count.
    pub fn leave_out_envelope(&mut self, channel: ChannelId) {
        if let Some(channel) = self.channels.get_mut(channel.0 as usize) {
            channel.has_envelope = false;
            channel.asked = None;
        }
    }

    /// Leaves a channel's least gap unsaid where nothing comes within the horizon: for one of which only the envelope and
    /// the near bodies count.
    pub fn leave_out_least(&mut self, channel: ChannelId) {
        if let Some(channel) = self.channels.get_mut(channel.0 as usize) {
            channel.has_least = false;
            channel.asked = None;
        }
    }

    /// The same scene with nothing worked out.
    #[must_use]
    pub fn afresh(&self) -> Self {
        let channels = self.channels.iter().map(Channel::afresh).collect();
        Self {
            groups: self.groups.clone(),
            items: self.items.clone(),
            classes: self.classes.clone(),
            channels,
            scratch: Scratch::default(),
            ..*self
        }
    }

    /// Keeps nothing for another sweep: less memory where there is none.
    pub fn keep_nothing(&mut self) {
        self.keeps_nothing = true;
    }

    /// Lets go of what is kept for another sweep and of the near pairs; envelopes and least gaps stay.
    pub fn let_go(&mut self) {
        for channel in &mut self.channels {
            channel.forget();
            channel.result.near = Vec::new();
        }
    }

    /// Leaves unsaid how deep solids overlap where that takes a search: their gap is then told as 0.
    pub fn leave_out_depths(&mut self) {
        for channel in self.channels.iter_mut().filter(|channel| channel.has_depths) {
            *channel = Channel { has_depths: false, ..channel.afresh() };
        }
    }

    /// Watches a channel no longer: its result is empty from the next sweep on.
    pub fn stop_watching(&mut self, channel: ChannelId) {
        if let Some(channel) = self.channels.get_mut(channel.0 as usize).filter(|channel| channel.is_watched)
        {
            let ended = Channel::new((channel.a, channel.b), None);
            *channel = Channel { is_watched: false, ..ended };
        }
    }

    /// The solids that take part in nothing because they are not sound; ask [`Solid::faults`] why.
    ///
    /// ```
    /// use glidewright_geometry::{DVec3, Motion, Scene, Solid};
    /// let mut scene = Scene::new(DVec3::X).ok_or("no direction")?;
    /// let ground = scene.add_group(Motion::FIXED);
    /// scene.add_solid(ground, 0, &Solid::cuboid_between(DVec3::ZERO, DVec3::ONE));
    /// let bad = scene.add_solid(ground, 1, &Solid::cylinder_between(DVec3::ZERO, DVec3::Z, f64::NAN));
    /// assert_eq!(scene.unsound(), [bad]);
    /// # Ok::<(), &str>(())
    /// ```
    pub fn unsound(&self) -> Vec<SolidId> {
        let bad = |i: &Item| i.ready.is_none();
        (0..self.items.len() as u32).filter(|&i| bad(&self.items[i as usize])).map(SolidId).collect()
    }

    /// The body a solid belongs to.
    pub fn body(&self, id: SolidId) -> Option<u32> {
        self.items.get(id.0 as usize).map(|i| i.body)
    }

    /// The group a solid belongs to.
    pub fn group(&self, id: SolidId) -> Option<GroupId> {
        self.items.get(id.0 as usize).map(|i| GroupId(i.group))
    }

    /// The smallest box around a solid, upright in the travel frame, its group at shift 0 (mm); `None` for a solid that
    /// is not sound.
    pub fn bounds(&self, id: SolidId) -> Option<Bounds> {
        self.items.get(id.0 as usize)?.ready.as_ref().map(|ready| ready.bounds)
    }

    /// The result of the last sweep for a channel.
    pub fn result(&self, channel: ChannelId) -> Option<&ChannelSweep> {
        self.channels.get(channel.0 as usize).map(|c| &c.result)
    }

    /// The work the last sweep did.
    pub fn effort(&self) -> Effort {
        self.effort
    }

    /// The shift of a group at the travel `s` (mm); for a free group the middle of its interval.
    pub fn shift_at(&self, group: GroupId, s: f64) -> f64 {
        self.groups.get(group.0 as usize).map_or(0.0, |g| match g.motion {
            Motion::Linked { offset, ratio } => offset + ratio * s,
            Motion::Free { from, to } => 0.5 * (from + to),
        })
    }

    /// The shifts of a channel's second group against its first that travels between two bring (mm); `None` for a
    /// channel of unknown groups or numbers without meaning.
    pub fn shifts(&self, channel: ChannelId, from: f64, to: f64) -> Option<(f64, f64)> {
        let channel = self.channels.get(channel.0 as usize)?;
        let (a, b) = (self.groups.get(channel.a as usize)?, self.groups.get(channel.b as usize)?);
        let window = Window::of(a, b, channel.a == channel.b);
        window.is_sound(from, to).then(|| window.over(from, to))
    }

    /// The travels between two at which a channel's second group stands shifted so against its first (mm); `None` where
    /// it does not.
    pub fn travels(&self, channel: ChannelId, shift: f64, from: f64, to: f64) -> Option<(f64, f64)> {
        let channel = self.channels.get(channel.0 as usize)?;
        let (a, b) = (self.groups.get(channel.a as usize)?, self.groups.get(channel.b as usize)?);
        let window = Window::of(a, b, channel.a == channel.b);
        window.is_sound(from, to).then(|| window.travels((shift, shift), from, to))?
    }

    /// The signed distance of two solids, the first's group shifted by `shift_a` and the second's by `shift_b`
    /// (mm), in the outer frame.
    pub fn separation(&self, a: SolidId, b: SolidId, shift_a: f64, shift_b: f64) -> Separation {
        self.separation_after(a, b, (shift_a, shift_b), &mut Trace::default())
    }

    /// As [`Scene::separation`], going on from the last question: quicker for one pair at shifts near each other.
    pub fn separation_after(
        &self,
        a: SolidId,
        b: SolidId,
        (shift_a, shift_b): (f64, f64),
        trace: &mut Trace,
    ) -> Separation {
        let item = |id: SolidId| self.items.get(id.0 as usize);
        let (Some(in_a), Some(in_b)) = (item(a), item(b)) else { return Separation::INVALID };
        let u = shift_b - shift_a;
        let found = self.known_separation(in_a, in_b, u).or_else(|| {
            let (ready_a, ready_b) = (in_a.ready.as_ref()?, in_b.ready.as_ref()?);
            // Where axes agree there is a closed form, below.
            if ready_a.mask & ready_b.mask != 0 {
                return None;
            }
            if trace.solids != Some((a, b)) {
                *trace = Trace { solids: Some((a, b)), ..Trace::default() };
            }
            Some(general::separation(&ready_a.body, &ready_b.body, u * DVec3::X, &mut trace.warm))
        });
        if let Some(found) = found {
            return parallel::mapped(
                found,
                (&self.outer_from_travel, self.outer_from_travel.x_axis * shift_a),
            );
        }
        let placed = |item: &Item, shift: f64| {
            let group = self.groups.get(item.group as usize)?;
            let pose = group.pose.shifted(self.outer_from_travel.x_axis * shift);
            Some(item.solid.placed(&pose))
        };
        match (placed(in_a, shift_a), placed(in_b, shift_b)) {
            (Some(a), Some(b)) => crate::separation(&a, &b),
            _ => Separation::INVALID,
        }
    }

    /// The separation of two solids at a relative shift in the travel frame, if the last sweep has come by it or by the
    /// closed form it follows from.
    fn known_separation(&self, a: &Item, b: &Item, u: f64) -> Option<Separation> {
        let channel = self.channels.iter().find(|c| (c.a, c.b) == (a.group, b.group))?;
        channel.kernels.separation(a, b, u, &self.classes)
    }

    /// Computes every channel: envelope, least gap, near bodies. Channels whose groups, motions and
    /// question have not changed are left as they are; a changed solid re-does only its own pairs.
    pub fn sweep(&mut self, ask: &Ask) {
        self.effort = Effort::default();
        let Self { groups, items, channels, classes, effort, scratch, tightest_only, keeps_nothing, .. } =
            self;
        for group in groups.iter_mut() {
            group.refresh();
        }
        // No envelope need go above one that is finished.
        let mut highest = f64::INFINITY;
        for channel in channels.iter_mut().filter(|channel| channel.is_watched) {
            let (Some(a), Some(b)) = (groups.get(channel.a as usize), groups.get(channel.b as usize)) else {
                continue;
            };
            let mut sieve = std::mem::take(&mut channel.sieve);
            let sides = Sides { a, b, items, classes, same: channel.a == channel.b, sieve: None };
            sieve.update((a.version, b.version), |reach, list| {
                least::passing(channel, &sides, reach, list);
            });
            let ask = Ask { ceiling: ask.ceiling.min(channel.roof(highest)), ..*ask };
            sweep::channel(channel, &Sides { sieve: Some(&sieve), ..sides }, &ask, scratch);
            channel.sieve = sieve;
            if *tightest_only && channel.has_envelope {
                let gaps = channel.result.envelope.iter().map(|nearest| nearest.gap);
                highest = highest.min(gaps.reduce(f64::max).unwrap_or(f64::INFINITY));
            }
            effort.pairs += channel.kernels.built;
            effort.gaps += channel.kernels.gaps;
            if *keeps_nothing {
                channel.forget();
            }
        }
    }
}
