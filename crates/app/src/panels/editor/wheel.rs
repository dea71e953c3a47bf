//! Wheels, bolts and shoes.

use egui::Ui;
use glidewright_motion::{ACROSS, Facing};
use glidewright_project::document::WheelPlace;
use glidewright_project::edit;

use super::bodies::bodies_ui;
use super::stack::stack_ui;
use super::{alter, change, fields_ui, name_field_ui, reach};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::widgets::{choice_row, section_ui};

/// Where wheels and shoes can run.
#[derive(Default)]
struct Tracks {
    /// The rail's tracks and, for a rider that faces one way, pairs of them: each by its name.
    singles: Vec<String>,
    pairs: Vec<String>,
    /// The same with the numbers they have in the view along the rail.
    single_words: Vec<String>,
    pair_words: Vec<String>,
    /// Where among them what the document names is.
    now: Option<usize>,
}

/// The tracks, and the pairs a rider can straddle; `track` and `pair` are what the document says.
fn tracks(shared: &Shared<'_>, of: &str, track: Option<&str>, pair: Option<&str>) -> Tracks {
    let Some(bench) = shared.state.session.bench() else { return Tracks::default() };
    let rail = &bench.fixture.rail;
    let facing = bench.fixture.riders.iter().find(|rider| rider.name == of).map(|rider| rider.facing);
    let lateral = facing.unwrap_or(Facing::Front).lateral();
    let across = ACROSS[usize::from(lateral.y.abs() < 0.5)];
    let pairs = rail.pairs(across);
    let numbered = ACROSS.map(|across| rail.numbered(across));
    let number = |track: usize| numbered.iter().flatten().find(|(known, _)| *known == track).map(|(_, n)| *n);
    let now = match (pair, track) {
        (Some(name), _) => {
            let named = rail.pair_named(across, name);
            pairs.iter().position(|pair| Some(pair) == named.as_ref())
        }
        (None, Some(name)) => rail.track_named(name),
        (None, None) => None,
    };
    let words = |name: &str, number: Option<usize>| match number {
        Some(number) => format!("{name} ({number})"),
        None => name.to_owned(),
    };
    Tracks {
        singles: rail.tracks.iter().map(|track| track.name.clone()).collect(),
        single_words: rail
            .tracks
            .iter()
            .enumerate()
            .map(|(n, track)| words(&track.name, number(n)))
            .collect(),
        pair_words: pairs.iter().map(|pair| words(&pair.name, Some(pair.number))).collect(),
        pairs: pairs.into_iter().map(|pair| pair.name).collect(),
        now,
    }
}

pub fn wheel_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(wheel) = rider.wheels.iter().find(|wheel| wheel.name == name) else { return };
    let path = format!("riders/{of}/wheels/{name}");
    let what = if wheel.pair.is_some() { "Wheel pair" } else { "Wheel" };
    name_field_ui(ui, shared, what, &path, name, queue);
    track_ui(ui, shared, of, wheel, &path, queue);
    fields_ui(ui, shared, &path, |below| matches!(below, "along" | "press" | "stiffness"), queue);
    section_ui(ui, "Stack");
    let own = usize::from(wheel.stack.is_some());
    let shared_path = format!("riders/{of}/stack");
    let words = ["shared with the others", "its own"];
    if let Some(chosen) = choice_row(ui, "Its stack", own, &words) {
        let at = path.clone();
        let has_shared = rider.stack.is_some();
        change(
            shared,
            &path,
            move |document| match (chosen, has_shared) {
                (1, _) => edit::own_stack(document, &at),
                (_, true) => edit::share_stack(document, &at),
                (_, false) => edit::share_from(document, &at),
            },
            queue,
        );
    }
    let at = if wheel.stack.is_some() { format!("{path}/stack") } else { shared_path };
    stack_ui(ui, shared, &at, queue);
}

/// One track, or a pair of them.
fn track_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, wheel: &WheelPlace, path: &str, queue: &mut Queue) {
    let Tracks { singles: tracks, pairs, single_words, pair_words, now: place } =
        tracks(shared, of, wheel.track.as_deref(), wheel.pair.as_deref());
    let paired = usize::from(wheel.pair.is_none());
    let set = |pair: Option<String>, track: Option<String>, queue: &mut Queue| {
        let (of, name) = (of.to_owned(), wheel.name.clone());
        alter(
            path,
            format!("Put {name} on another track"),
            move |document| {
                let wheel = reach::wheel(document, &of, &name)?;
                wheel.pair.clone_from(&pair);
                wheel.track.clone_from(&track);
                Some(())
            },
            queue,
        );
    };
    if let Some(chosen) = choice_row(ui, "It is", paired, &["a pair, one on each side", "one wheel"]) {
        let now = wheel.pair.as_deref().or(wheel.track.as_deref()).unwrap_or_default();
        if chosen == 0 {
            let pair = pairs.iter().find(|pair| now.ends_with(pair.as_str())).or(pairs.first()).cloned();
            set(pair, None, queue);
        } else {
            let track = tracks.iter().find(|track| track.ends_with(now)).or(tracks.first()).cloned();
            set(None, track, queue);
        }
    }
    let (names, words) = if wheel.pair.is_some() { (&pairs, &pair_words) } else { (&tracks, &single_words) };
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let place = place.unwrap_or(usize::MAX);
    let label = if wheel.pair.is_some() { "Tracks" } else { "Track" };
    if let Some(chosen) = choice_row(ui, label, place, &words).and_then(|at| names.get(at)).cloned() {
        if wheel.pair.is_some() {
            set(Some(chosen), None, queue);
        } else {
            set(None, Some(chosen), queue);
        }
    }
    if let Some(problem) = shared.state.session.reading().problem_at(path) {
        super::complaint_ui(ui, shared, &problem.message, &problem.remedy);
    }
}

pub fn bolt_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let path = format!("riders/{of}/bolts/{name}");
    name_field_ui(ui, shared, "Bolt", &path, name, queue);
    fields_ui(ui, shared, &path, |below| below.starts_with("at/"), queue);
    section_ui(ui, "Stack");
    stack_ui(ui, shared, &format!("{path}/stack"), queue);
}

pub fn shoe_ui(ui: &mut Ui, shared: &Shared<'_>, of: &str, name: &str, queue: &mut Queue) {
    let document = &shared.state.session.reading().document;
    let Some(rider) = document.riders.iter().find(|rider| rider.name == of) else { return };
    let Some(shoe) = rider.shoes.iter().find(|shoe| shoe.name == name) else { return };
    let path = format!("riders/{of}/shoes/{name}");
    name_field_ui(ui, shared, "Shoe", &path, name, queue);
    let Tracks { singles: tracks, single_words, now, .. } = tracks(shared, of, Some(&shoe.track), None);
    let words: Vec<&str> = single_words.iter().map(String::as_str).collect();
    let place = now.unwrap_or(usize::MAX);
    if let Some(track) = choice_row(ui, "Track", place, &words).and_then(|at| tracks.get(at)).cloned() {
        let (of, name) = (of.to_owned(), name.to_owned());
        alter(
            &path,
            format!("Put {name} on another track"),
            move |document| {
                reach::shoe(document, &of, &name)?.track.clone_from(&track);
                Some(())
            },
            queue,
        );
    }
    fields_ui(ui, shared, &path, |below| !below.starts_with("bodies"), queue);
    section_ui(ui, "Form");
    bodies_ui(ui, shared, &path, &shoe.bodies, queue);
}
