//! What tracks and pairs of tracks are called in a mirror.

use glam::DVec2;
use glidewright_motion::Rail;

use super::mirror_plane::MirrorPlane;

/// How near a track stands to the image of another to be it (mm; sine).
const SAME: f64 = 1e-6;

/// A mirror as tracks see it.
pub(super) struct TrackMirror<'a> {
    /// What it does to (y, z).
    factor: DVec2,
    /// The two words that change over, where there is no rail to ask.
    words: (&'static str, &'static str),
    rail: Option<&'a Rail>,
}

impl<'a> TrackMirror<'a> {
    /// `None` for a mirror in which every track is its own image. Without a rail the words of a name change over.
    pub(super) fn new(plane: MirrorPlane, rail: Option<&'a Rail>) -> Option<Self> {
        let (factor, words) = match plane {
            MirrorPlane::FrontRear => (DVec2::new(1.0, -1.0), ("front", "rear")),
            MirrorPlane::LeftRight => (DVec2::new(-1.0, 1.0), ("left", "right")),
            MirrorPlane::Lengthwise => return None,
        };
        Some(Self { factor, words, rail })
    }

    /// The track whose place and face are those of another in the mirror.
    fn image(&self, rail: &Rail, track: usize) -> Option<usize> {
        let own = rail.tracks.get(track)?;
        let (middle, normal) = (own.middle * self.factor, own.normal * self.factor);
        rail.tracks
            .iter()
            .position(|other| other.middle.distance(middle) < SAME && other.normal.distance(normal) < SAME)
    }

    /// The name of a track's image: by its number where the track was called by that.
    pub(super) fn track(&self, name: &str) -> String {
        let image = || {
            let rail = self.rail?;
            let own = rail.track_named(name)?;
            let image = self.image(rail, own)?;
            let to = rail.tracks.get(image)?;
            let is_numbered = name.rsplit(' ').next().is_some_and(|word| word.parse::<usize>().is_ok())
                && rail.tracks.get(own)?.name != name;
            if !is_numbered {
                return Some(to.name.clone());
            }
            let numbered = glidewright_motion::ACROSS.map(|across| rail.numbered(across));
            let (_, number) = numbered.iter().flatten().find(|(track, _)| *track == image)?;
            Some(format!("{} {number}", to.side()))
        };
        image().unwrap_or_else(|| swap_words(name, self.words.0, self.words.1))
    }

    /// The name of a pair's image across a direction: its number where the pair was called by that.
    pub(super) fn pair(&self, name: &str, across: DVec2) -> String {
        let image = || {
            let rail = self.rail?;
            let own = rail.pair_named(across, name)?;
            let images = own.tracks.iter().map(|(_, track)| self.image(rail, *track));
            let images: Vec<usize> = images.collect::<Option<_>>()?;
            let pairs = rail.pairs(across);
            let to = pairs.iter().find(|pair| pair.tracks.iter().all(|(_, track)| images.contains(track)))?;
            Some(if own.name == name { to.name.clone() } else { to.number.to_string() })
        };
        image().unwrap_or_else(|| swap_words(name, self.words.0, self.words.1))
    }
}

/// The other of two words that stand at the start or end of a track's or pair's name.
pub(crate) fn swap_words(name: &str, a: &str, b: &str) -> String {
    name.split(' ')
        .map(|word| {
            if word == a {
                b
            } else if word == b {
                a
            } else {
                word
            }
        })
        .collect::<Vec<_>>()
        .join(" ")
}
