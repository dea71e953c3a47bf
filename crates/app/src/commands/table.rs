//! The table of commands.

use egui::{Key, KeyboardShortcut, Modifiers};

use crate::state::State;

/// Something the person can ask for by menu, button, name or key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Command {
    /// Starts: a new fixture, a project opened lately, a built-in one.
    Start,
    /// Opens a project file.
    Open,
    /// Saves the project.
    Save,
    /// Saves it under another name.
    SaveAs,
    /// Writes a picture of the middle view.
    ExportPicture,
    /// Leaves.
    Quit,
    /// Takes back the last change.
    Undo,
    /// Does it again.
    Redo,
    /// Travel to where it is tightest.
    GoTightest,
    /// Travel to the stroke's start.
    GoStart,
    /// Travel to the stroke's end.
    GoEnd,
    /// A millimetre on.
    StepOn,
    /// A millimetre back.
    StepBack,
    /// Ten millimetres on.
    StrideOn,
    /// Ten millimetres back.
    StrideBack,
    /// A tenth on.
    NudgeOn,
    /// A tenth back.
    NudgeBack,
    /// The next finding.
    NextFinding,
    /// The next trial.
    NextTrial,
    /// Shows or hides the parts.
    ToggleParts,
    /// Shows or hides the close-ups.
    ToggleCloseUps,
    /// Shows or hides the findings.
    ToggleFindings,
    /// Light or dark.
    ToggleDark,
    /// The whole bench in the middle.
    ShowBench,
    /// Selects nothing.
    SelectNothing,
    /// Finds a command by its words.
    FindCommand,
    /// Shows how long frames take.
    ToggleFrameTimes,
}

/// Which menu a command is in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Menu {
    /// Files.
    File,
    /// Changes.
    Edit,
    /// Travel.
    Travel,
    /// What is shown.
    Show,
    /// None: keys and finder only.
    None,
}

/// What is known of a command.
pub struct Spec {
    /// Which.
    pub command: Command,
    /// Its words.
    pub label: &'static str,
    /// What it does.
    pub tooltip: &'static str,
    /// Its keys, the first one shown.
    pub shortcuts: &'static [KeyboardShortcut],
    /// Where it is listed.
    pub menu: Menu,
    /// Why it cannot be used now.
    pub hindrance: fn(&State) -> Option<&'static str>,
}

const fn key(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::NONE, key)
}

const fn shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::SHIFT, key)
}

const fn alt(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::ALT, key)
}

const fn ctrl(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND, key)
}

const fn ctrl_shift(key: Key) -> KeyboardShortcut {
    KeyboardShortcut::new(Modifiers::COMMAND.plus(Modifiers::SHIFT), key)
}

const fn always(_: &State) -> Option<&'static str> {
    None
}

fn needs_bench(state: &State) -> Option<&'static str> {
    state.session.bench().is_none().then_some("there is no fixture to show yet")
}

fn needs_tightest(state: &State) -> Option<&'static str> {
    match state.session.bench() {
        Some(bench) if bench.results.interference.tightest().is_some() => None,
        _ => Some("nothing passes anything"),
    }
}

fn needs_findings(state: &State) -> Option<&'static str> {
    match state.session.bench() {
        Some(bench) if !bench.results.findings.is_empty() => None,
        _ => Some("there are no findings"),
    }
}

fn needs_past(state: &State) -> Option<&'static str> {
    state.session.history().undo_description().is_none().then_some("nothing to take back")
}

fn needs_future(state: &State) -> Option<&'static str> {
    state.session.history().redo_description().is_none().then_some("nothing to do again")
}

fn needs_trials(state: &State) -> Option<&'static str> {
    state.session.document().trials.is_empty().then_some("there are no trials")
}

fn needs_selection(state: &State) -> Option<&'static str> {
    state.selected.is_empty().then_some("nothing is selected")
}

macro_rules! row {
    ($command:ident, $menu:ident, $label:literal, $tooltip:literal, [$($keys:expr),*], $hindrance:path) => {
        Spec {
            command: Command::$command,
            label: $label,
            tooltip: $tooltip,
            shortcuts: &[$($keys),*],
            menu: Menu::$menu,
            hindrance: $hindrance,
        }
    };
}

/// What stands in for a command without a row.
pub static MISSING: Spec = row!(SelectNothing, None, "", "", [], always);

/// All commands, in the order of the menus.
pub static TABLE: &[Spec] = &[
    row!(
        Start,
        File,
        "New fixture…",
        "Start a new fixture, or open one of those worked on lately",
        [ctrl(Key::N)],
        always
    ),
    row!(Open, File, "Open…", "Open a project file", [ctrl(Key::O)], always),
    row!(Save, File, "Save", "Save the project", [ctrl(Key::S)], always),
    row!(SaveAs, File, "Save as…", "Save the project under another name", [ctrl_shift(Key::S)], always),
    row!(
        ExportPicture,
        File,
        "Export picture…",
        "Write the middle view as PNG, SVG or PDF, as it is seen",
        [ctrl(Key::E)],
        needs_bench
    ),
    row!(Quit, File, "Quit", "Leave the program", [ctrl(Key::Q)], always),
    row!(Undo, Edit, "Undo", "Take back the last change", [ctrl(Key::Z)], needs_past),
    row!(
        Redo,
        Edit,
        "Redo",
        "Do again what was taken back",
        [ctrl_shift(Key::Z), ctrl(Key::Y)],
        needs_future
    ),
    row!(SelectNothing, Edit, "Select nothing", "Select nothing", [key(Key::Escape)], needs_selection),
    row!(
        GoTightest,
        Travel,
        "To the tightest place",
        "Move the riders to where the gap is least",
        [key(Key::T)],
        needs_tightest
    ),
    row!(
        GoStart,
        Travel,
        "To the start",
        "Move the riders to the start of the stroke",
        [key(Key::Home)],
        needs_bench
    ),
    row!(
        GoEnd,
        Travel,
        "To the end",
        "Move the riders to the end of the stroke",
        [key(Key::End)],
        needs_bench
    ),
    row!(
        StepOn,
        Travel,
        "On by 1 mm",
        "Travel grows by a millimetre",
        [key(Key::ArrowUp), key(Key::ArrowRight)],
        needs_bench
    ),
    row!(
        StepBack,
        Travel,
        "Back by 1 mm",
        "Travel falls by a millimetre",
        [key(Key::ArrowDown), key(Key::ArrowLeft)],
        needs_bench
    ),
    row!(
        StrideOn,
        Travel,
        "On by 10 mm",
        "Travel grows by ten millimetres",
        [shift(Key::ArrowUp), shift(Key::ArrowRight), key(Key::PageUp)],
        needs_bench
    ),
    row!(
        StrideBack,
        Travel,
        "Back by 10 mm",
        "Travel falls by ten millimetres",
        [shift(Key::ArrowDown), shift(Key::ArrowLeft), key(Key::PageDown)],
        needs_bench
    ),
    row!(
        NudgeOn,
        Travel,
        "On by 0.1 mm",
        "Travel grows by a tenth of a millimetre",
        [alt(Key::ArrowUp), alt(Key::ArrowRight)],
        needs_bench
    ),
    row!(
        NudgeBack,
        Travel,
        "Back by 0.1 mm",
        "Travel falls by a tenth of a millimetre",
        [alt(Key::ArrowDown), alt(Key::ArrowLeft)],
        needs_bench
    ),
    row!(NextFinding, Travel, "Next finding", "Open the next finding", [key(Key::N)], needs_findings),
    row!(NextTrial, Show, "Next trial", "Choose the next trial", [key(Key::R)], needs_trials),
    row!(
        ShowBench,
        Show,
        "Bench in the middle",
        "Show the rail and its strips in the middle",
        [key(Key::B)],
        needs_bench
    ),
    row!(ToggleParts, Show, "Parts", "Show or hide the parts and their sizes", [key(Key::F6)], always),
    row!(ToggleCloseUps, Show, "Close-ups", "Show or hide the close-ups", [key(Key::F7)], always),
    row!(ToggleFindings, Show, "Findings", "Show or hide the findings", [key(Key::F8)], always),
    row!(ToggleDark, Show, "Light or dark", "Change between light and dark paper", [key(Key::F9)], always),
    row!(FindCommand, Show, "Find a command…", "Find anything the program can do", [key(Key::F1)], always),
    row!(ToggleFrameTimes, None, "Frame times", "Show how long frames take", [ctrl_shift(Key::F12)], always),
];

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;

    #[test]
    fn every_command_has_one_row_and_keys_of_its_own() {
        let mut commands = HashSet::new();
        let mut keys = HashSet::new();
        for spec in TABLE {
            assert!(commands.insert(spec.command), "{:?} twice", spec.command);
            assert!(std::ptr::eq(spec.command.spec(), spec));
            assert!(!spec.label.is_empty() && !spec.tooltip.is_empty());
            for shortcut in spec.shortcuts {
                assert!(keys.insert(*shortcut), "{shortcut:?} twice");
            }
        }
        // The last variant's number is the count less one as long as none has a number of its own.
        assert_eq!(commands.len(), Command::ToggleFrameTimes as usize + 1, "a command has no row");
    }
}
