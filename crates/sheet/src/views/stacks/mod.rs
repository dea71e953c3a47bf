//! Facing stacks: two screws with everything threaded on them, in their true relation, to scale, as a
//! half-section along the screws; and the gap between them, piece by piece.

mod chain;
mod names;
mod one;
mod pairing;
mod section;

use glam::DVec2;
use glidewright_motion::{Fixture, PairResult, Passage, Results, StackEnd};

use super::scene::Scene;
use super::words::{place, wrapped};
use super::{Moment, PairChoice, View, ViewState};
use crate::drawing::{Drawing, Label, Panel, Rect};
use crate::look::{Tone, Weight};

use pairing::Pairing;

pub use one::{OneStack, one_stack};

/// Facing stacks.
pub(super) const VIEW: View = View {
    name: "stacks",
    title: "Facing stacks",
    about: "The two stacks that come nearest to each other, piece by piece, and the gap between them.",
    lacks,
    still,
    draw,
};

/// Name of the panel drawn to scale.
pub(super) const PANEL: &str = "stacks";
const TITLE_PT: f64 = 10.0;
const NOTE_PT: f64 = 8.5;

fn lacks(_: &Fixture, results: &Results) -> Option<&'static str> {
    let none = results.assembly.riders.iter().all(|rider| rider.stacks.is_empty());
    none.then_some("There is no stack to show.")
}

/// The tightest two are shown where they come closest, wherever the riders stand.
fn still(state: &ViewState) -> bool {
    state.moment == Moment::Closest && state.pair == PairChoice::Tightest
}

fn draw(scene: &Scene<'_>) -> Drawing {
    let mut drawing = Drawing::new(format!("{}: facing stacks", scene.fixture.name), scene.size());
    let frame = Rect::between(DVec2::ZERO, scene.size());
    drawing.panels.extend(panels(scene, frame));
    drawing
}

/// Whether the two bodies that come nearest while passing are of two stacks that face each other.
pub(super) fn face_each_other(scene: &Scene<'_>) -> bool {
    let tightest = scene.results.interference.tightest().map(|pair| pair.bodies);
    let shown = Pairing::new(scene).and_then(|pairing| pairing.bodies);
    tightest.zip(shown).is_some_and(|(a, b)| a == b || a == (b.1, b.0))
}

/// The close-up in a frame of its own: the rail as a backdrop, and the stacks.
pub(super) fn panels(scene: &Scene<'_>, frame: Rect) -> Vec<Panel> {
    let Some(pairing) = Pairing::new(scene) else { return Vec::new() };
    let inner = frame.grown(-8.0);
    let size = inner.size();
    let small = size.y < 280.0;
    let title_pt = if small { 8.5 } else { TITLE_PT };
    let most_titles = if small { 1 } else { 2 };
    let titles = wrapped(&pairing.title(scene), title_pt, Weight::SemiBold, size.x, most_titles);
    let reasons = if small {
        Vec::new()
    } else {
        wrapped(&reason(scene, &pairing), NOTE_PT, Weight::Regular, size.x, 3)
    };
    let top = titles.len() as f64 * 1.3 * title_pt + 4.0;
    let bottom = reasons.len() as f64 * 1.3 * NOTE_PT + 4.0;
    let spacing = chain::Spacing::of(size.y);
    // In a small picture the lower half is cut off below the hardware.
    let mut world = pairing.world();
    if small {
        world.min.y = world.min.y.max(pairing.hardware_low());
    }
    // What the figure can use of the height; the rest is for rows of names.
    let room = size.y - top - bottom - spacing.room() - 26.0;
    let used = (size.x - 12.0) / world.size().x * world.size().y;
    let rows =
        ((room - used).max(if small { 0.0 } else { 0.25 * room }) / names::ROW).floor().clamp(0.0, 9.0);
    let above = 26.0 + rows * names::ROW;
    let drawn = Rect::between(
        DVec2::new(inner.min.x + 6.0, inner.min.y + top + above),
        DVec2::new(inner.max.x - 6.0, inner.max.y - bottom - spacing.room()),
    );
    let fitted = Panel::fitted(PANEL, drawn, world, 0.0);
    let figure = Rect::between(fitted.pt(world.min), fitted.pt(world.max));
    let part = |name: &str, frame: Rect| Panel { name: name.into(), frame, ..fitted.clone() };
    let floor = DVec2::new(inner.max.x, figure.max.y + 1.0);
    let mut backdrop = part("rail behind the stacks", Rect::between(inner.min + DVec2::new(0.0, top), floor));
    section::rail(&mut backdrop, scene, &pairing);
    let mut stacks = part(PANEL, Rect::between(frame.min, DVec2::new(frame.max.x, floor.y)));
    section::draw(&mut stacks, scene, &pairing);
    let mut panel = part("sizes of the stacks", frame);
    chain::draw(&mut panel, scene, &pairing, &figure, &inner, spacing);
    names::draw(&mut panel, &pairing, &figure, &inner, rows as usize, inner.min.y + top);
    for (number, line) in titles.into_iter().enumerate() {
        let at = DVec2::new(inner.min.x, inner.min.y + number as f64 * 1.3 * title_pt);
        let at = place(&panel, at);
        panel.add(Label::new(line, at, title_pt).bold().anchored(0.0, 1.0));
    }
    let count = reasons.len() as f64;
    for (number, line) in reasons.into_iter().enumerate() {
        let up = (count - 1.0 - number as f64) * 1.3 * NOTE_PT;
        let at = place(&panel, DVec2::new(inner.min.x, inner.max.y - up - 1.0));
        panel.add(Label::new(line, at, NOTE_PT).toned(Tone::FaintInk).anchored(0.0, 0.0));
    }
    vec![backdrop, stacks, panel]
}

/// What the stacks alone take of their world (mm); none where there is no stack.
pub(super) fn world_of(scene: &Scene<'_>) -> Option<Rect> {
    Pairing::new(scene).map(|pairing| pairing.world())
}

/// The stacks alone, before the rail, in a panel that shows their world.
pub(super) fn draw_alone(panel: &mut Panel, scene: &Scene<'_>) {
    let Some(pairing) = Pairing::new(scene) else { return };
    section::rail(panel, scene, &pairing);
    section::draw(panel, scene, &pairing);
}

/// Why the gap is what it is, as one line of arithmetic.
fn reason(scene: &Scene<'_>, pairing: &Pairing<'_>) -> String {
    let Some(result) = pairing.bodies.and_then(|pair| scene.pair_result(pair)) else {
        return threads(pairing);
    };
    let Some(chain) = &result.chain else { return passing(scene, pairing, result) };
    let mut text = scene.unit().phrase(&chain.sentence());
    if chain.worst_case() > 0.0 {
        text.push_str(&format!(
            "; sizes' tolerances: ±{} at worst, ±{} RSS",
            scene.unit().bare(chain.worst_case(), 2),
            scene.unit().bare(chain.root_sum_square(), 2)
        ));
    }
    if scene.state.moment == Moment::Now {
        text.push_str(". Where they come closest");
    }
    text.push('.');
    text
}

/// How two that do not meet along the screws pass.
fn passing(scene: &Scene<'_>, pairing: &Pairing<'_>, result: &PairResult) -> String {
    let mut text = match result.passage {
        Passage::Beside { room } => format!(
            "Seen along the screws they pass beside each other with {} of room: no growth of the stacks can make them touch.",
            scene.text(room, 2)
        ),
        Passage::Facing => "Seen along the screws they overlap as they pass.".to_owned(),
    };
    if let Some((x0, x1)) = pairing.faces(scene).filter(|(x0, x1)| x1 < x0) {
        text.push_str(&format!(" Along the screws they reach {} past each other.", scene.text(x0 - x1, 2)));
    }
    text
}

/// What the threads do, where there is no gap to explain.
fn threads(pairing: &Pairing<'_>) -> String {
    let unit = pairing.unit;
    let one = |side: &pairing::StackSide<'_>| {
        let thread = side.placed.thread;
        if let StackEnd::Tapped { .. } = side.stack.end {
            return format!(
                "{}, {}: {} of thread hold in {} ({} required).",
                side.name,
                side.stack.screw.name,
                unit.text(thread.engaged, 2),
                side.stack.pieces.last().map_or("the last piece", |piece| piece.name.as_str()),
                unit.text(thread.least, 2)
            );
        }
        let ends = if thread.projection >= 0.0 { "stands out beyond" } else { "ends inside" };
        format!(
            "{}, {}: {} clamped; the screw {ends} the last piece by {} ({} required).",
            side.name,
            side.stack.screw.name,
            unit.text(thread.grip, 2),
            unit.text(thread.projection.abs(), 2),
            unit.text(thread.asked, 2)
        )
    };
    pairing.sides.iter().map(one).collect::<Vec<_>>().join(" ")
}
