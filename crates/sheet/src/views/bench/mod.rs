//! The bench: the rail with its riders, and strips of curves that share its travel axis. One cursor line
//! crosses them all: the lead rider's place.

mod cursor;
mod layout;
mod notes;
mod rail_panel;
mod strips;

use glidewright_motion::{Fixture, Results};

use super::View;
use super::scene::Scene;
use crate::drawing::{Drawing, Panel};
use crate::strip::strip_panel;

use layout::Layout;

/// The bench.
pub(super) const VIEW: View = View {
    name: "bench",
    title: "Bench",
    about: "The rail with its riders, and clearance, effort, torque and wheel loads along its travel.",
    lacks,
    draw,
};

fn lacks(fixture: &Fixture, _: &Results) -> Option<&'static str> {
    let length = fixture.rail.length;
    if !(length > 0.0 && length.is_finite()) {
        return Some("The rail has no usable length.");
    }
    None
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: bench", scene.fixture.name), scene.size());
    drawing.panels = panels(scene);
    drawing
}

/// Rail, cursor and strips, on paper of the size the state asks for.
pub(super) fn panels(scene: &Scene<'_>) -> Vec<Panel> {
    let layout = Layout::new(scene);
    let mut panels = vec![rail_panel::panel(scene, &layout), cursor::panel(scene, &layout)];
    for (kind, place) in &layout.strips {
        let mut panel = strip_panel(&strips::data(scene, *kind), place);
        panel.name = kind.title().to_owned();
        panels.push(panel);
    }
    panels
}
