//! Every widget one can use has a name and is reached by the keyboard, in every state of the window.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

mod common;

use std::collections::BTreeSet;

use egui::accesskit::{Action as Ask, Role};
use egui::{Key, Modifiers, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use glidewright::{App, Preferences};

fn open() -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_max_steps(40)
        .with_size(Vec2::new(1280.0, 800.0))
        .build_eframe(|creation| common::app(&creation.egui_ctx, None, Preferences::default()));
    harness.run();
    harness
}

/// What one can click, type in or drag, with its name.
fn usable(harness: &Harness<'_, App>) -> Vec<(u128, Role, String)> {
    harness
        .root()
        .children_recursive()
        .filter_map(|node| {
            let node = node.accesskit_node();
            let role = node.role();
            let by_role = matches!(
                role,
                Role::Button
                    | Role::CheckBox
                    | Role::RadioButton
                    | Role::TextInput
                    | Role::SpinButton
                    | Role::Slider
                    | Role::ComboBox
                    | Role::Link
                    | Role::Image
            );
            let focusable = node.data().supports_action(Ask::Focus);
            (by_role && focusable && !node.is_disabled()).then(|| {
                (u128::from(node.id()), role, node.label().or_else(|| node.value()).unwrap_or_default())
            })
        })
        .collect()
}

/// A state of the window: its name, how to get there, words that only it shows, whether it lies over the rest.
struct Place {
    name: &'static str,
    reach: fn(&mut Harness<'_, App>),
    shows: &'static str,
    covers: bool,
}

/// Each state of the window that has widgets of its own.
fn places() -> Vec<Place> {
    fn press(harness: &mut Harness<'_, App>, modifiers: Modifiers, key: Key) {
        harness.key_press_modifiers(modifiers, key);
        harness.run();
    }
    fn click(harness: &mut Harness<'_, App>, label: &str) {
        harness.get_by_label(label).click();
        harness.run();
    }
    let plain = |name, reach, shows| Place { name, reach, shows, covers: false };
    let over = |name, reach, shows| Place { name, reach, shows, covers: true };
    vec![
        plain("at the start", |_| {}, "Findings"),
        plain("a finding open", |h| press(h, Modifiers::NONE, Key::N), "How is this computed?"),
        plain(
            "a load selected",
            |h| {
                h.state_mut().select("riders/camera head/loads/camera");
                h.run();
            },
            "It is ballast",
        ),
        plain("trials", |h| click(h, "Trials"), "New trial"),
        plain("shared sizes", |h| click(h, "Shared sizes"), "Name of the new size"),
        plain("readings", |h| click(h, "Readings"), "Measure a part…"),
        plain("pulls", |h| click(h, "Pulls"), "Note a pull"),
        plain("handbook", |h| press(h, Modifiers::NONE, Key::F1), "Search the handbook"),
        over("a new fixture", |h| press(h, Modifiers::COMMAND, Key::N), "Draw it"),
        over("writing a picture", |h| press(h, Modifiers::COMMAND, Key::E), "Path of the file"),
        over("preferences", |h| press(h, Modifiers::COMMAND, Key::P), "Inches"),
        over("keys", |h| press(h, Modifiers::NONE, Key::F2), "With the pointer in a drawing"),
        over("finder", |h| press(h, Modifiers::COMMAND, Key::F), "Find a command"),
    ]
}

/// The window in a state, and what was usable before it lay over the rest.
fn open_at(place: &Place) -> (Harness<'static, App>, BTreeSet<u128>) {
    let mut harness = open();
    let before = usable(&harness).into_iter().map(|(id, ..)| id).collect();
    (place.reach)(&mut harness);
    let shown = harness.query_all_by_label(place.shows).next().is_some();
    assert!(shown, "{}: “{}” is not shown", place.name, place.shows);
    (harness, before)
}

#[test]
fn everything_usable_has_a_name() {
    for place in places() {
        let (harness, _) = open_at(&place);
        let all = usable(&harness);
        assert!(all.len() > 2, "{}: {} widgets", place.name, all.len());
        for (_, role, name) in all {
            assert!(!name.trim().is_empty(), "{}: a {role:?} has no name", place.name);
        }
    }
}

#[test]
fn everything_usable_is_reached_by_tab() {
    for place in places() {
        let (mut harness, before) = open_at(&place);
        // What lies over the window keeps the keyboard to itself.
        let counts = |id: &u128| !place.covers || !before.contains(id);
        let wanted: BTreeSet<u128> =
            usable(&harness).into_iter().map(|(id, ..)| id).filter(|id| counts(id)).collect();
        assert!(!wanted.is_empty(), "{}: nothing to reach", place.name);
        let mut seen = BTreeSet::new();
        for _ in 0..3 * wanted.len() + 20 {
            harness.key_press(Key::Tab);
            harness.step();
            seen.extend(
                harness
                    .root()
                    .children_recursive()
                    .map(|n| n.accesskit_node())
                    .filter(|n| n.is_focused())
                    .map(|n| u128::from(n.id())),
            );
        }
        let missed: Vec<_> = usable(&harness)
            .into_iter()
            .filter(|(id, ..)| wanted.contains(id) && !seen.contains(id))
            .collect();
        assert!(missed.is_empty(), "{}: not reached: {missed:?}", place.name);
        if place.covers {
            let behind: Vec<_> = usable(&harness)
                .into_iter()
                .filter(|(id, ..)| before.contains(id) && seen.contains(id))
                .collect();
            assert!(behind.is_empty(), "{}: reached behind it: {behind:?}", place.name);
        }
    }
}
