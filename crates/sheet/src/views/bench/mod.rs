//! The bench: the rail with its riders, and strips of curves that share its travel axis. One cursor line
//! crosses them all: the lead rider's place.

mod cursor;
mod layout;
mod notes;
mod rail_panel;
mod reach;
mod strip_parts;
mod strips;

use glidewright_motion::{Fixture, Results};

use super::scene::Scene;
use super::{Pick, View};
use crate::drawing::{Drawing, Item, Panel, Path, Shape};
use crate::look::Tone;
use crate::strip::strip_panel;

use layout::Layout;
pub(super) use strip_parts::senses;
pub(super) use strips::data as strip;

/// The bench.
pub(super) const VIEW: View = View {
    name: "bench",
    title: "Bench",
    about: "The rail with its riders, and clearance, effort, torque and wheel loads along its travel.",
    lacks,
    still: |_| false,
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
        match reach::curves(scene) {
            Some(curves) => {
                let about = format!("{} over the reach of {}", kind.title(), reach::load_name(scene, curves));
                pickable(&mut panel, Pick::reach(curves), Pick::reach(curves), &about);
            }
            None => pickable(&mut panel, Pick::Strip(*kind), Pick::Cursor, kind.title()),
        }
        panels.push(panel);
    }
    panels
}

/// Gives a strip's area and its cursor their parts; over reach its curves stand for the reach too.
fn pickable(panel: &mut Panel, whole: Pick, cursor: Pick, about: &str) {
    for item in &mut panel.items {
        if item.name.as_deref() == Some("cursor") || (whole == cursor && item.part.is_some()) {
            item.part = Some(cursor.part());
        }
    }
    let corner = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    let area = Path::rect(panel.frame.shifted(-panel.frame.min));
    let mut area = Item::from(Shape::in_pt(corner, area).filled(Tone::Paper));
    area.part(whole.part()).named(about);
    panel.items.insert(0, area);
}
