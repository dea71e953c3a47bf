//! The fixture's bodies as one sliding scene: every rider a group, the ground another.

use std::sync::Arc;

use glam::DVec3;
use glidewright_geometry::{
    Ask, Bounds, ChannelId, ChannelSweep, Effort, GroupId, Motion, Pose, Scene, Separation, SolidId, Trace,
};

use super::Interference;
use super::kinship::{Kinship, Meeting, Relations};
use super::outcome::GAP_TOLERANCE;
use super::profile::along_rail;
use crate::{Assembly, Body, BodyId, Coupling, Fixture, Owner, Role, Stretch};

/// What a channel of the scene compares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Watch {
    /// How the two groups' bodies are related.
    pub(super) kinship: Kinship,
    /// One side is the end stops.
    pub(super) stops: bool,
    /// One side is wheels and shoes in their tracks.
    pub(super) seats: bool,
    channel: ChannelId,
}

impl Watch {
    /// Whether the two pass each other along the stroke, so that their gap counts for the band.
    pub(super) const fn passes(self) -> bool {
        !self.kinship.is_steady() && !self.stops
    }

    /// It is looked at as drawn only.
    pub(super) fn is_level(&self) -> bool {
        self.seats || matches!(self.kinship, Kinship::OneRider | Kinship::LineAndFixed)
    }
}

/// The scene of a fixture, swept.
#[derive(Clone)]
pub(super) struct Scan {
    scene: Scene,
    ask: Ask,
    riders: Vec<GroupId>,
    /// Of each rider, its wheels and shoes in their tracks.
    seats: Vec<GroupId>,
    /// How far the riders are tilted: `level_from_tilted` for each.
    poses: Vec<Pose>,
    structure: Arc<Structure>,
    /// The scene's solids, body by body.
    solids: Vec<Vec<SolidId>>,
    /// What stands for the solids of wheels and shoes in their tracks, body by body.
    seated: Vec<Vec<SolidId>>,
    watches: Vec<Watch>,
}

impl Scan {
    /// Sweeps the fixture's scene with the riders in the given poses (`level_from_tilted`; those beyond the list are
    /// level); with any given, only what lies between different things is looked at. It is made of what is `kept` where
    /// the structure has stayed the same, looks as far as the `horizon` for what comes near (mm), and keeps nothing for another time if it is for one. `None` for a stroke that is
    /// not finite.
    pub(super) fn updated(
        kept: Option<Self>,
        structure: &Arc<Structure>,
        (fixture, assembly): (&Fixture, &Assembly),
        (positions, horizon): (usize, f64),
        poses: &[Pose],
        is_for_one: bool,
    ) -> Option<Self> {
        let mut scan = match kept {
            Some(kept) if *kept.structure == **structure => kept.with_solids(assembly),
            _ => Self::built(Arc::clone(structure), assembly)?,
        };
        // A rider that stands tilted stands in its own way no more than level, and how deep its wheels give is for
        // the loads to tell.
        for watch in scan.watches.iter().filter(|watch| !poses.is_empty() && watch.is_level()) {
            scan.scene.stop_watching(watch.channel);
        }
        if is_for_one {
            scan.scene.keep_nothing();
        }
        if !poses.is_empty() {
            scan.scene.leave_out_depths();
        }
        let pose = |number: usize| poses.get(number).copied().unwrap_or(Pose::IDENTITY);
        scan.poses = (0..scan.riders.len()).map(pose).collect();
        for ((&group, rider), pose) in scan.riders.iter().zip(&fixture.riders).zip(&scan.poses) {
            scan.scene.set_motion(group, motion(rider.at_zero, rider.coupling));
            scan.scene.set_pose(group, pose);
        }
        for (&group, rider) in scan.seats.iter().zip(&fixture.riders) {
            scan.scene.set_motion(group, motion(rider.at_zero, rider.coupling));
        }
        scan.ask = Ask {
            from: fixture.stroke.from,
            to: fixture.stroke.to,
            positions,
            // What load makes of a gap counts where it is least.
            below: if poses.is_empty() { fixture.limits.gap - GAP_TOLERANCE } else { f64::NEG_INFINITY },
            horizon,
            ceiling: if poses.is_empty() { f64::INFINITY } else { Interference::REACH },
        };
        (scan.ask.from.is_finite() && scan.ask.to.is_finite()).then(|| scan.scene.sweep(&scan.ask))?;
        Some(scan)
    }

    pub(super) fn built(structure: Arc<Structure>, assembly: &Assembly) -> Option<Self> {
        let mut scene = Scene::new(DVec3::X)?;
        scene.tell_tightest_only();
        let [ground, rail, stops, line] = [(); 4].map(|()| scene.add_group(Motion::FIXED));
        let [riders, seats]: [Vec<GroupId>; 2] =
            [(); 2].map(|()| (0..structure.riders).map(|_| scene.add_group(Motion::FIXED)).collect());
        let mut solids = Vec::with_capacity(assembly.bodies.len());
        let mut seated = Vec::with_capacity(assembly.bodies.len());
        for (number, (body, (home, _))) in assembly.bodies.iter().zip(&structure.bodies).enumerate() {
            let group = match *home {
                Home::Rider(rider) => riders.get(rider).copied(),
                Home::Rail => Some(rail),
                Home::Stops => Some(stops),
                Home::Ground => Some(ground),
                Home::Line => Some(line),
                Home::Moving => None,
            };
            let added =
                |group| body.solids.iter().map(|s| scene.add_solid(group, number as u32, s)).collect();
            solids.push(group.map_or_else(Vec::new, added));
            let seat = match *home {
                Home::Rider(rider) if is_seated(body) => seats.get(rider).copied(),
                _ => None,
            };
            let added = |group| {
                let standing = body.solids.iter().map(along_rail);
                standing.map(|solid| scene.add_solid(group, number as u32, &solid)).collect()
            };
            seated.push(seat.map_or_else(Vec::new, added));
        }
        let mut watches = Vec::new();
        let mut watch = |kinship: Kinship, [stops, seats]: [bool; 2], a: GroupId, b: GroupId| {
            let structure = Arc::clone(&structure);
            let channel = scene.watch_only(a, b, move |a, b| {
                structure.meeting(a, b).is_some_and(|meeting| (meeting == Meeting::Seated) == seats)
            });
            scene.leave_out_least(channel);
            // The band is of what passes; stops are met.
            if stops || kinship.is_steady() {
                scene.leave_out_envelope(channel);
            }
            watches.push(Watch { kinship, stops, seats, channel });
        };
        const PLAIN: [bool; 2] = [false, false];
        for (number, &rider) in riders.iter().enumerate() {
            for &other in riders.iter().skip(number + 1) {
                watch(Kinship::RiderAndRider, PLAIN, rider, other);
            }
            watch(Kinship::RiderAndFixed, PLAIN, rider, ground);
            watch(Kinship::RiderAndFixed, [true, false], rider, stops);
            watch(Kinship::RiderAndRail, PLAIN, rider, rail);
            watch(Kinship::RiderAndFixed, PLAIN, rider, line);
            watch(Kinship::OneRider, PLAIN, rider, rider);
        }
        for fixed in [ground, rail, stops, line] {
            watch(Kinship::LineAndFixed, PLAIN, line, fixed);
        }
        for &seat in &seats {
            watch(Kinship::RiderAndRail, [false, true], seat, rail);
        }
        let ask = Ask { from: 0.0, to: 0.0, positions: 1, below: 0.0, horizon: 0.0, ceiling: f64::INFINITY };
        Some(Self { scene, ask, riders, seats, poses: Vec::new(), structure, solids, seated, watches })
    }

    /// The scene as drawn, for whoever varies it: with every channel that must keep clear along the stroke, and the solids
    /// by body.
    pub(super) fn taken_apart(
        mut self,
        fixture: &Fixture,
    ) -> (Scene, Vec<(Watch, ChannelId)>, Vec<Vec<SolidId>>) {
        for (&group, rider) in self.riders.iter().zip(&fixture.riders) {
            self.scene.set_motion(group, motion(rider.at_zero, rider.coupling));
        }
        let clear =
            |watch: &&Watch| watch.passes() || (watch.kinship == Kinship::RiderAndRail && !watch.seats);
        let watches = self.watches.iter().filter(clear).map(|watch| (*watch, watch.channel)).collect();
        (self.scene, watches, self.solids)
    }

    /// Lets go of what is kept for another question, and of the near pairs.
    pub(super) fn let_go(&mut self) {
        self.scene.let_go();
    }

    /// The same with nothing worked out.
    pub(super) fn afresh(&self) -> Self {
        Self {
            scene: self.scene.afresh(),
            riders: self.riders.clone(),
            seats: self.seats.clone(),
            poses: self.poses.clone(),
            structure: Arc::clone(&self.structure),
            solids: self.solids.clone(),
            seated: self.seated.clone(),
            watches: self.watches.clone(),
            ..*self
        }
    }

    /// The same scene with other solids in their places; those that are equal cost nothing.
    fn with_solids(mut self, assembly: &Assembly) -> Self {
        for ((ids, seated), body) in self.solids.iter().zip(&self.seated).zip(&assembly.bodies) {
            for (&id, solid) in ids.iter().zip(&body.solids) {
                self.scene.replace(id, solid);
            }
            for (&id, solid) in seated.iter().zip(&body.solids) {
                self.scene.replace(id, &along_rail(solid));
            }
        }
        self
    }

    /// How much work the last sweep was.
    pub(super) fn effort(&self) -> Effort {
        self.scene.effort()
    }

    /// The shifts of the second group against the first that the stroke brings (mm).
    pub(super) fn shifts(&self, watch: Watch) -> Option<(f64, f64)> {
        self.scene.shifts(watch.channel, self.ask.from, self.ask.to)
    }

    /// The travels at which a watch's second group stands shifted so against its first (mm).
    pub(super) fn travels(&self, watch: Watch, shift: f64) -> Option<(f64, f64)> {
        self.scene.travels(watch.channel, shift, self.ask.from, self.ask.to)
    }

    /// How a body's owner is tilted.
    pub(super) fn pose(&self, body: &Body) -> Pose {
        match body.owner {
            Owner::Ground => Pose::IDENTITY,
            Owner::Rider(number) => self.poses.get(number).copied().unwrap_or(Pose::IDENTITY),
        }
    }

    /// The second solid's shift along the rail less the first's, at a travel (mm).
    pub(super) fn shift_between(&self, a: SolidId, b: SolidId, travel: f64) -> Option<f64> {
        let at = |id: SolidId| self.scene.group(id).map(|group| self.scene.shift_at(group, travel));
        Some(at(b)? - at(a)?)
    }

    /// What was found, channel by channel.
    pub(super) fn found(&self) -> impl Iterator<Item = (Watch, &ChannelSweep)> {
        self.watches.iter().filter_map(|watch| Some((*watch, self.scene.result(watch.channel)?)))
    }

    /// The least gap of what passes (mm); `None` where nothing comes near.
    pub(super) fn tightest(&self) -> Option<f64> {
        let near = self.found().filter(|(watch, _)| watch.passes()).flat_map(|(_, found)| &found.near);
        near.map(|near| near.least.gap).min_by(f64::total_cmp)
    }

    /// The box around each body where its owner stands level at 0; `None` for a body without sound solids.
    pub(super) fn boxes(&self) -> Vec<Option<Bounds>> {
        let around = |solids: &Vec<SolidId>| {
            solids.iter().filter_map(|&solid| self.scene.bounds(solid)).reduce(|a, b| a.joined(&b))
        };
        self.solids.iter().map(around).collect()
    }

    /// The box around each solid of a body where its owner stands level at 0.
    pub(super) fn boxes_of(&self, body: usize) -> impl Iterator<Item = Option<Bounds>> {
        self.solids.get(body).into_iter().flatten().map(|&solid| self.scene.bounds(solid))
    }

    /// What two bodies may do to each other; `None` for two that are not compared.
    pub(super) fn meeting(&self, a: u32, b: u32) -> Option<Meeting> {
        self.structure.meeting(a, b)
    }

    /// The body a solid belongs to.
    pub(super) fn body(&self, solid: SolidId) -> Option<BodyId> {
        self.scene.body(solid).map(BodyId)
    }

    /// The signed distance of two solids with the first's group at shift 0 and the second's at `shift`.
    pub(super) fn separation(&self, a: SolidId, b: SolidId, shift: f64) -> Separation {
        self.scene.separation(a, b, 0.0, shift)
    }

    /// The same, going on from the last question.
    pub(super) fn separation_after(
        &self,
        a: SolidId,
        b: SolidId,
        shift: f64,
        trace: &mut Trace,
    ) -> Separation {
        self.scene.separation_after(a, b, (0.0, shift), trace)
    }
}

fn motion(at_zero: f64, coupling: Coupling) -> Motion {
    match coupling {
        Coupling::Lead => Motion::Linked { offset: at_zero, ratio: 1.0 },
        Coupling::Linked { ratio } => Motion::Linked { offset: at_zero, ratio },
        Coupling::Free { from, to, .. } => Motion::Free { from: at_zero + from, to: at_zero + to },
    }
}

/// What must stay the same for a scene to be brought up to date in place.
#[derive(PartialEq)]
pub(super) struct Structure {
    /// Each body's group and number of solids.
    bodies: Vec<(Home, usize)>,
    riders: usize,
    /// What each two bodies may do to each other.
    meetings: Vec<Option<Meeting>>,
}

/// Whether a body runs in a track.
fn is_seated(body: &Body) -> bool {
    matches!(body.role, Role::Tyre | Role::Shoe)
}

/// The group a body belongs to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Home {
    Rider(usize),
    Rail,
    Stops,
    Ground,
    /// A stretch of line that stands still.
    Line,
    /// A stretch of line that is swept on its own.
    Moving,
}

impl Structure {
    pub(super) fn new(fixture: &Fixture, assembly: &Assembly) -> Self {
        let bodies = &assembly.bodies;
        let count = bodies.len();
        let mut meetings = vec![None; count * count];
        let relations = Relations::new(fixture, assembly);
        for i in 0..count {
            for j in i + 1..count {
                let meeting = relations.between(i, j).map(|(_, meeting)| meeting);
                meetings[i * count + j] = meeting;
                meetings[j * count + i] = meeting;
            }
        }
        let moving = |number: usize| {
            let same = |stretch: &&Stretch| stretch.body.0 as usize == number;
            assembly.stretches.iter().find(same).is_some_and(|stretch| stretch.changes)
        };
        let home = |number: usize, body: &Body| match (body.owner, body.role) {
            (_, Role::Span) if moving(number) => Home::Moving,
            (Owner::Ground, Role::Span) => Home::Line,
            (Owner::Rider(rider), _) => Home::Rider(rider),
            (Owner::Ground, Role::Rail) => Home::Rail,
            (Owner::Ground, Role::Stop) => Home::Stops,
            (Owner::Ground, _) => Home::Ground,
        };
        Self {
            bodies: bodies.iter().enumerate().map(|(i, body)| (home(i, body), body.solids.len())).collect(),
            riders: fixture.riders.len(),
            meetings,
        }
    }

    /// What two bodies may do to each other; `None` for two that are not compared.
    fn meeting(&self, a: u32, b: u32) -> Option<Meeting> {
        self.meetings.get(a as usize * self.bodies.len() + b as usize).copied().flatten()
    }
}
