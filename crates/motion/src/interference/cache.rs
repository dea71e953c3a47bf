//! The sliding scenes kept between analyses, so that a change re-does only what it touches.

use glidewright_geometry::{Effort, Pose};

use super::band::Band;
use super::scan::Scan;
use super::{Interference, pairs};
use crate::{Assembly, Fixture};

/// Keeps the scenes of the last analysis. Asked the same again it answers at once; after a change of some
/// bodies only their pairs are computed anew; only another structure (more bodies, other relations) starts
/// afresh. The answer never depends on what is kept.
#[derive(Clone, Default)]
pub struct InterferenceCache {
    level: Option<Scan>,
    posed: Option<Scan>,
    last: Option<Box<Answer>>,
    effort: Effort,
}

/// What was asked last, and the answer.
#[derive(Clone)]
struct Answer {
    fixture: Fixture,
    assembly: Assembly,
    stations: Vec<f64>,
    poses: Vec<Pose>,
    interference: Interference,
}

impl InterferenceCache {
    /// What [`Interference::posed`] works out.
    pub fn update(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        stations: &[f64],
        poses: &[Pose],
    ) -> Interference {
        self.effort = Effort::default();
        if let Some(last) = &self.last
            && last.stations == stations
            && last.poses == poses
            && last.fixture == *fixture
            && last.assembly == *assembly
        {
            return last.interference.clone();
        }
        let interference = self.computed(fixture, assembly, stations, poses).unwrap_or_default();
        self.last = Some(Box::new(Answer {
            fixture: fixture.clone(),
            assembly: assembly.clone(),
            stations: stations.to_vec(),
            poses: poses.to_vec(),
            interference: interference.clone(),
        }));
        interference
    }

    /// How many pairs were made ready and how many gaps evaluated by the last update; nothing for an answer
    /// that was known.
    pub const fn effort(&self) -> Effort {
        self.effort
    }

    /// `None` for a stroke that is not finite.
    fn computed(
        &mut self,
        fixture: &Fixture,
        assembly: &Assembly,
        stations: &[f64],
        poses: &[Pose],
    ) -> Option<Interference> {
        let mut brought_up = |kept: &mut Option<Scan>, poses: &[Pose]| {
            let scan = Scan::updated(kept.take(), fixture, assembly, stations.len(), poses)?;
            self.effort.pairs += scan.effort().pairs;
            self.effort.gaps += scan.effort().gaps;
            *kept = Some(scan);
            Some(())
        };
        brought_up(&mut self.level, &[])?;
        if poses.iter().any(|pose| *pose != Pose::IDENTITY) {
            brought_up(&mut self.posed, poses)?;
        } else {
            self.posed = None;
        }
        let level = self.level.as_ref()?;
        let scan = self.posed.as_ref().unwrap_or(level);
        let (passing, steady) = pairs::all(fixture, assembly, scan, level);
        let band = Band::new(scan, &passing, stations);
        Some(Interference { passing, steady, band })
    }
}
