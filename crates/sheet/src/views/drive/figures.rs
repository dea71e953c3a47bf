//! The figures of a drive.

use glidewright_motion::{DriveFigures, Severity};

use crate::look::{Tone, number};
use crate::views::scene::Scene;
use crate::views::table::Row;

pub(super) fn rows(scene: &Scene<'_>, figures: &DriveFigures) -> Vec<Row> {
    let torque = |value: f64| scene.unit().moment(value, 1);
    let seconds = |value: f64| format!("{} s", number(value, 2));
    let mut rows = vec![
        Row::new("a stroke takes", seconds(figures.up.duration().max(figures.down.duration()))),
        Row::new("greatest torque", torque(figures.peak_torque)),
        Row::new("root mean square", torque(figures.rms_torque)),
        Row::new("greatest speed of the pulley", format!("{} 1/min", number(figures.peak_speed, 0))),
    ];
    if let Some(margin) = figures.least_margin {
        let row = Row::new("the motor gives at least", format!("{} times what is needed", number(margin, 2)));
        let found = scene.results.findings.iter().filter(|finding| finding.code.starts_with("drive."));
        rows.push(match found.map(|finding| finding.severity).max() {
            Some(Severity::Fails) => row.toned(Tone::Clash),
            Some(Severity::Marginal) => row.toned(Tone::Marginal),
            _ => row,
        });
    }
    rows.push(Row::new("force per torque, as a radius", scene.text(figures.radius, 2)));
    rows.push(Row::new("inertia of what moves", format!("{} kg·mm²", number(figures.load_inertia, 1))));
    if figures.rotor_inertia > 0.0 {
        rows.push(Row::new("  of the rotor", format!("{} kg·mm²", number(figures.rotor_inertia, 1))));
    }
    rows
}
