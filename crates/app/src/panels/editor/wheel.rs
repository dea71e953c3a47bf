//! Wheels, bolts and shoes.

use egui::Ui;
use glidewright_project::document::WheelPlace;
use glidewright_project::edit;

use super::bodies::bodies_ui;
use super::stack::stack_ui;
use super::{alter, change, fields_ui, name_field_ui, reach};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::widgets::{choice_row, section_ui};

/// Names of the rail's tracks, and of the pairs a rider can straddle.
fn tracks(shared: &Shared<'_>) -> (Vec<String>, Vec<String>) {
    let Some(bench) = shared.state.session.bench() else { return (Vec::new(), Vec::new()) };
    let names: Vec<String> = bench.fixture.rail.tracks.iter().map(|track| track.name.clone()).collect();
    let mut pairs: Vec<String> = Vec::new();
    for name in &names {
        // Two tracks that differ only in their first word make a pair; a lone one per side is the middle.
        let pair = name.split_once(' ').map_or("middle", |(_, pair)| pair).to_owned();
        if !pairs.contains(&pair) {
            pairs.push(pair);
        }
    }
    (names, pairs)
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
    let words = ["shared with the rider's other wheels", "its own"];
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
    let (tracks, pairs) = tracks(shared);
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
    let (now, names) = match (&wheel.pair, &wheel.track) {
        (Some(pair), _) => (pair.as_str(), &pairs),
        (None, Some(track)) => (track.as_str(), &tracks),
        (None, None) => ("", &tracks),
    };
    let words: Vec<&str> = names.iter().map(String::as_str).collect();
    let place = words.iter().position(|word| *word == now).unwrap_or(usize::MAX);
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
    let (tracks, _) = tracks(shared);
    let words: Vec<&str> = tracks.iter().map(String::as_str).collect();
    let place = words.iter().position(|word| *word == shoe.track).unwrap_or(usize::MAX);
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
