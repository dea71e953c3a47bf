//! What must keep clear along the stroke, as a scene for whoever varies it.

use std::sync::Arc;

use glidewright_geometry::{ChannelId, Scene, SolidId};

use super::Kinship;
use super::scan::{Scan, Structure};
use crate::{Assembly, Fixture};

/// A fixture's bodies as drawn, every rider a group that moves along the rail: riders against each other, against what
/// stands still (end stops apart, which are meant to be met) and, wheels and shoes apart, against the rail.
///
/// Stretches of line that change along the stroke are no solids that slide, and stand in none.
pub struct PassingScene {
    /// The scene; bodies have their numbers in the assembly.
    pub scene: Scene,
    /// Its channels.
    pub watched: Vec<Watched>,
    /// The scene's solids, by body, in the order of the body's own.
    pub solids: Vec<Vec<SolidId>>,
}

/// A channel of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Watched {
    /// The channel.
    pub channel: ChannelId,
    /// How the bodies on its two sides are related.
    pub kinship: Kinship,
}

impl PassingScene {
    /// The scene of a fixture and its assembly; nothing is worked out yet.
    pub fn new(fixture: &Fixture, assembly: &Assembly) -> Option<Self> {
        let structure = Arc::new(Structure::new(fixture, assembly));
        let (scene, watched, solids) = Scan::built(structure, assembly)?.taken_apart(fixture);
        let watched = watched.into_iter().map(|(watch, channel)| Watched { channel, kinship: watch.kinship });
        Some(Self { scene, watched: watched.collect(), solids })
    }
}
