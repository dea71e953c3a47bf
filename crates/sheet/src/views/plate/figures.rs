//! The figures of a plate.

use super::Shown;
use super::face::plain;
use crate::look::{Tone, number};
use crate::views::scene::Scene;
use crate::views::table::Row;

/// A wall thinner than this many millimetres prints poorly with an ordinary nozzle: two tracks of 0.4 mm on
/// each side (common practice, no source).
const THIN: f64 = 1.6;

pub(super) fn rows(scene: &Scene<'_>, shown: &Shown<'_>) -> Vec<Row> {
    let plate = shown.plate;
    let bounds = plate.outline.bounds();
    let size = shown.to_paper.transform_vector2(bounds.size()).abs();
    let unit = scene.unit();
    let mm = |value: f64| format!("{} {}", plain(unit, value), unit.symbol());
    let holes = shown.round_holes();
    let mut rows = vec![
        Row::new("made of", plate.material.name.as_str()),
        Row::new(
            "size",
            format!("{} × {} × {}", plain(unit, size.x), plain(unit, size.y), mm(plate.thickness.nominal)),
        ),
        Row::new("round holes", format!("{}", holes.len())),
    ];
    let cut_outs = plate.holes.len() - holes.len();
    if cut_outs > 0 {
        rows.push(Row::new("other cut-outs", format!("{cut_outs}")));
    }
    if let Some((_, _, wall)) = shown.thinnest_wall() {
        let row = Row::new("thinnest wall at a hole", mm(wall));
        rows.push(if wall < THIN { row.toned(Tone::Marginal) } else { row });
    }
    let area = plate.outline.area().abs() - plate.holes.iter().map(|hole| hole.area().abs()).sum::<f64>();
    rows.push(Row::new("lies on the bed with", format!("{} cm²", number(area / 100.0, 1))));
    rows.push(Row::new("volume", format!("{} cm³", number(plate.volume() / 1000.0, 1))));
    rows.push(Row::new("filled", format!("{} %", number(100.0 * plate.fill, 0))));
    let mass = scene
        .results
        .assembly
        .riders
        .get(shown.owner)
        .and_then(|placed| placed.mass.items.iter().find(|item| item.path == plate.path));
    if let Some(mass) = mass {
        rows.push(Row::new("weighs", unit.mass(mass.mass, 0)));
    }
    if let Some(place) = shown.place {
        let above = place.inner.min(place.outer);
        rows.push(Row::new("inner face from the rail's middle", mm(above)));
        if place.disagreement > 5e-3 {
            rows.push(Row::new("its stacks disagree by", mm(place.disagreement)).toned(Tone::Marginal));
        }
    }
    let others = shown.rider.plates.len();
    if others > 1 {
        rows.push(Row::new("plate of this rider", format!("{} of {others}", shown.number + 1)));
    }
    rows
}
