//! Metric threads.

use std::sync::OnceLock;

use super::rows::{rows, text};
use super::standards::{SAME_THREAD, diameter};
use crate::certainty::Certainty;

/// A metric coarse thread (mm, mm²; ISO 724 and ISO 898-1).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Nominal diameter.
    pub diameter: f64,
    /// Pitch.
    pub pitch: f64,
    /// Pitch diameter.
    pub pitch_diameter: f64,
    /// Minor diameter of the nut's thread.
    pub internal_minor: f64,
    /// Core diameter of the screw.
    pub core: f64,
    /// Stress area: that of a circle between pitch and core diameter.
    pub stress_area: f64,
}

/// The coarse thread of this diameter (mm); `None` beside the table.
pub fn thread(diameter_mm: f64) -> Option<Thread> {
    static TABLE: OnceLock<Vec<Thread>> = OnceLock::new();
    TABLE
        .get_or_init(|| {
            rows::<(String, f64, f64, f64, f64, f64, f64, f64, f64, Certainty)>(text::THREADS)
                .into_iter()
                .filter_map(|(size, pitch, pitch_diameter, internal_minor, core, stress_area, ..)| {
                    let diameter = diameter(&size)?;
                    Some(Thread { diameter, pitch, pitch_diameter, internal_minor, core, stress_area })
                })
                .collect()
        })
        .iter()
        .find(|thread| (thread.diameter - diameter_mm).abs() < SAME_THREAD)
        .copied()
}
