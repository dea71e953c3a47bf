//! The fixture's bodies as one sliding scene: every rider a group, the ground another.

use std::sync::Arc;

use glam::DVec3;
use glidewright_geometry::{Ask, ChannelId, ChannelSweep, GroupId, Motion, Pose, Scene, SolidId};

use super::Interference;
use super::kinship::{Kinship, kinship};
use crate::{Assembly, Body, BodyId, Coupling, Fixture, Owner, Role};

/// What a channel of the scene compares.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Watch {
    /// How the two groups' bodies are related.
    pub(super) kinship: Kinship,
    /// One side is the end stops.
    pub(super) stops: bool,
}

/// The scene of a fixture, swept.
pub(super) struct Scan {
    scene: Scene,
    ask: Ask,
    channels: Vec<(Watch, ChannelId)>,
    riders: Vec<GroupId>,
    /// How far the riders are tilted: `level_from_tilted` for each.
    poses: Vec<Pose>,
}

impl Scan {
    /// Builds and sweeps the scene; `None` for a stroke that is not finite.
    pub(super) fn new(fixture: &Fixture, assembly: &Assembly, positions: usize) -> Option<Self> {
        let mut scene = Scene::new(DVec3::X)?;
        let ground = scene.add_group(Motion::FIXED);
        let rail = scene.add_group(Motion::FIXED);
        let stops = scene.add_group(Motion::FIXED);
        let riders: Vec<GroupId> =
            fixture.riders.iter().map(|r| scene.add_group(motion(r.at_zero, r.coupling))).collect();
        for (number, body) in assembly.bodies.iter().enumerate() {
            let group = match (body.owner, body.role) {
                (Owner::Rider(rider), _) => riders.get(rider).copied(),
                (Owner::Ground, Role::Rail) => Some(rail),
                (Owner::Ground, Role::Stop) => Some(stops),
                (Owner::Ground, _) => Some(ground),
            };
            let Some(group) = group else { continue };
            for solid in &body.solids {
                scene.add_solid(group, number as u32, solid);
            }
        }
        let wanted = Wanted::new(fixture, assembly);
        let mut channels = Vec::new();
        let mut watch = |kinship: Kinship, stops: bool, a: GroupId, b: GroupId| {
            let wanted = Arc::clone(&wanted);
            let channel = scene.watch_only(a, b, move |a, b| wanted.has(a, b));
            channels.push((Watch { kinship, stops }, channel));
        };
        for (number, &rider) in riders.iter().enumerate() {
            for &other in riders.iter().skip(number + 1) {
                watch(Kinship::RiderAndRider, false, rider, other);
            }
            watch(Kinship::RiderAndFixed, false, rider, ground);
            watch(Kinship::RiderAndFixed, true, rider, stops);
            watch(Kinship::RiderAndRail, false, rider, rail);
            watch(Kinship::OneRider, false, rider, rider);
        }
        let ask = Ask {
            from: fixture.stroke.from,
            to: fixture.stroke.to,
            positions,
            below: fixture.limits.gap,
            horizon: Interference::REACH,
        };
        (ask.from.is_finite() && ask.to.is_finite()).then(|| scene.sweep(&ask))?;
        let poses = vec![Pose::IDENTITY; riders.len()];
        Some(Self { scene, ask, channels, riders, poses })
    }

    /// Stands every rider as its load makes it stand, and sweeps again.
    pub(super) fn tilt(&mut self, poses: Vec<Pose>) {
        for (group, pose) in self.riders.iter().zip(&poses) {
            self.scene.set_pose(*group, pose);
        }
        self.poses = poses;
        self.scene.sweep(&self.ask);
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
        self.channels.iter().filter_map(|(watch, channel)| Some((*watch, self.scene.result(*channel)?)))
    }

    /// The body a solid belongs to.
    pub(super) fn body(&self, solid: SolidId) -> Option<BodyId> {
        self.scene.body(solid).map(BodyId)
    }

    /// The signed distance of two solids with the first's group at shift 0 and the second's at `shift`.
    pub(super) fn separation(&self, a: SolidId, b: SolidId, shift: f64) -> glidewright_geometry::Separation {
        self.scene.separation(a, b, 0.0, shift)
    }
}

fn motion(at_zero: f64, coupling: Coupling) -> Motion {
    match coupling {
        Coupling::Lead => Motion::Linked { offset: at_zero, ratio: 1.0 },
        Coupling::Linked { ratio } => Motion::Linked { offset: at_zero, ratio },
        Coupling::Free { from, to, .. } => Motion::Free { from: at_zero + from, to: at_zero + to },
    }
}

/// Which pairs of bodies count, worked out once.
struct Wanted {
    count: usize,
    yes: Vec<bool>,
}

impl Wanted {
    fn new(fixture: &Fixture, assembly: &Assembly) -> Arc<Self> {
        let bodies = &assembly.bodies;
        let count = bodies.len();
        let mut yes = vec![false; count * count];
        for (i, a) in bodies.iter().enumerate() {
            for (j, b) in bodies.iter().enumerate().skip(i + 1) {
                let counts = kinship(fixture, assembly, a, b).is_some();
                yes[i * count + j] = counts;
                yes[j * count + i] = counts;
            }
        }
        Arc::new(Self { count, yes })
    }

    fn has(&self, a: u32, b: u32) -> bool {
        self.yes.get(a as usize * self.count + b as usize).copied().unwrap_or(false)
    }
}
