//! Every widget one can use has a name and is reached by the keyboard, in every state of the window.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::collections::BTreeSet;

use egui::accesskit::{Action as Ask, Role};
use egui::{Key, Modifiers, Vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::NodeT as _;
use glidewright::{App, Preferences};

fn open() -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_size(Vec2::new(1280.0, 800.0))
        .build_eframe(|creation| App::new(&creation.egui_ctx, None, Preferences::default(), None));
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

/// A state's name, and how to get there.
type Way = (&'static str, fn(&mut Harness<'_, App>));

/// Opens each state of the window that has widgets of its own.
fn states() -> Vec<Way> {
    fn press(harness: &mut Harness<'_, App>, modifiers: Modifiers, key: Key) {
        harness.key_press_modifiers(modifiers, key);
        harness.run();
    }
    vec![
        ("at the start", |_| {}),
        ("a finding open", |h| press(h, Modifiers::NONE, Key::N)),
        ("a load selected", |h| {
            h.state_mut().select("riders/camera head/loads/camera");
            h.run();
        }),
        ("writing a picture", |h| press(h, Modifiers::COMMAND, Key::E)),
        ("preferences", |h| press(h, Modifiers::COMMAND, Key::P)),
        ("keys", |h| press(h, Modifiers::NONE, Key::F2)),
        ("handbook", |h| press(h, Modifiers::NONE, Key::F1)),
        ("finder", |h| press(h, Modifiers::COMMAND, Key::F)),
    ]
}

#[test]
fn everything_usable_has_a_name() {
    for (state, reach) in states() {
        let mut harness = open();
        reach(&mut harness);
        let all = usable(&harness);
        assert!(all.len() > 2, "{state}: {} widgets", all.len());
        for (_, role, name) in all {
            assert!(!name.trim().is_empty(), "{state}: a {role:?} has no name");
        }
    }
}

#[test]
fn everything_usable_is_reached_by_tab() {
    for (state, reach) in states() {
        let mut harness = open();
        reach(&mut harness);
        let covered = ["writing a picture", "preferences", "keys", "finder"].contains(&state);
        let wanted: BTreeSet<u128> = usable(&harness).into_iter().map(|(id, ..)| id).collect();
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
        if covered {
            // What lies over the window keeps the keyboard to itself.
            assert!(!seen.is_empty(), "{state}: nothing reached");
            continue;
        }
        let missed: Vec<_> = usable(&harness)
            .into_iter()
            .filter(|(id, ..)| wanted.contains(id) && !seen.contains(id))
            .collect();
        assert!(missed.is_empty(), "{state}: not reached: {missed:?}");
    }
}
