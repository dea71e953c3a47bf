//! The numbers of the tracks, on the section.

use glam::DVec2;
use glidewright_motion::ACROSS;

use crate::drawing::{Label, Panel, Rect};
use crate::look::{Tone, Weight};
use crate::page::Placer;
use crate::views::projection::Projector;
use crate::views::scene::Scene;
use crate::views::words::{place, size_of};

const NUMBER_PT: f64 = 8.0;
/// How far inside its face the middle of a number stands (pt).
const INSIDE_PT: f64 = 9.0;

/// Numbers the tracks inside their faces; nothing where the section is too small for numbers to stand apart. What the
/// numbers take on the panel (pt).
pub(super) fn numbers(panel: &mut Panel, scene: &Scene<'_>, view: &Projector) -> Vec<Rect> {
    let rail = &scene.fixture.rail;
    let flat = |p: DVec2| view.flat(glam::DVec3::new(0.0, p.x, p.y));
    let mut placer = Placer::new(panel.frame);
    let mut labels = Vec::new();
    for across in ACROSS {
        for (track, number) in rail.numbered(across) {
            let Some(track) = rail.tracks.get(track) else { continue };
            // A track that faces askew belongs to both ways: it is numbered for the one it faces most.
            if track.normal.dot(across).abs() < track.normal.dot(across.perp()).abs() {
                continue;
            }
            let at = flat(track.middle) - flat(track.normal) * (INSIDE_PT / panel.scale());
            let words = number.to_string();
            let own = Rect::about(panel.pt(at), size_of(&words, NUMBER_PT, Weight::SemiBold));
            if !at.is_finite() || placer.place_freely(&[own]).is_none() {
                return Vec::new();
            }
            placer.block(own);
            labels.push((words, own, track.name.as_str()));
        }
    }
    let taken = labels.iter().map(|(_, own, _)| *own).collect();
    for (words, own, name) in labels {
        let at = place(panel, own.middle());
        let label = Label::new(words.as_str(), at, NUMBER_PT).bold().toned(Tone::Ink).on_plate();
        panel.add(label).named(format!("track {words}: {name}"));
    }
    taken
}
