//! The table of commands.

use egui::{Key, KeyboardShortcut, Modifiers};
use glidewright_project::edit;

use super::command::Command;
use crate::state::State;

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
    /// How to use it.
    Help,
    /// None: keys and finder only.
    None,
}

impl Menu {
    /// The menus there are, with their titles.
    pub const TITLES: [(&'static str, Self); 5] = [
        ("File", Self::File),
        ("Edit", Self::Edit),
        ("Travel", Self::Travel),
        ("Show", Self::Show),
        ("Help", Self::Help),
    ];
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
        _ => Some("nothing that passes comes near anything"),
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

fn needs_view(state: &State, number: usize) -> Option<&'static str> {
    if crate::views::on_screen().nth(number).is_none() {
        Some("there is no such view")
    } else {
        needs_bench(state)
    }
}

fn needs_space(state: &State) -> Option<&'static str> {
    (state.centre != crate::views::SPACE).then_some("the view in space is not in the middle")
}

fn needs_reach(state: &State) -> Option<&'static str> {
    let reaches = state.session.bench().is_some_and(|bench| {
        bench.fixture.riders.iter().any(|rider| rider.loads.iter().any(|load| load.reach.is_some()))
    });
    (!reaches).then_some("no load slides on its rider")
}

fn needs_work(state: &State) -> Option<&'static str> {
    state.outlook.progress().is_none().then_some("nothing is being worked out")
}

fn needs_thing(state: &State) -> Option<&'static str> {
    within(state, edit::is_thing)
}

fn needs_doubled(state: &State) -> Option<&'static str> {
    within(state, edit::can_be_doubled)
}

fn needs_copyable(state: &State) -> Option<&'static str> {
    within(state, edit::can_be_copied)
}

/// Whether what is selected, or what it is a part of, is such a thing.
fn within(state: &State, is: impl Fn(&str) -> bool) -> Option<&'static str> {
    edit::nearest(&state.selected, is).is_none().then_some("select a part first")
}

fn needs_left(state: &State) -> Option<&'static str> {
    state.left.is_empty().then_some("no unsaved work is left")
}

macro_rules! row {
    ($command:ident, $menu:ident, $label:literal, $tooltip:literal, [$($keys:expr),*], $hindrance:expr) => {
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
    row!(
        TakeReadings,
        File,
        "Take in readings…",
        "Take caliper readings in from a table (CSV): columns part, size, reading, reading …",
        [],
        always
    ),
    row!(Save, File, "Save", "Save the project", [ctrl(Key::S)], always),
    row!(SaveAs, File, "Save as…", "Save the project under another name", [ctrl_shift(Key::S)], always),
    row!(
        UnsavedWork,
        File,
        "Unsaved work…",
        "Open or discard unsaved work that was left when a window ended unexpectedly",
        [],
        needs_left
    ),
    row!(
        ExportPicture,
        File,
        "Export picture…",
        "Write a view or the composed sheet as PNG, SVG or PDF, as it is seen",
        [ctrl(Key::E)],
        needs_bench
    ),
    row!(
        CopyPicture,
        File,
        "Copy picture",
        "Put a picture of the middle view on the clipboard",
        [ctrl_shift(Key::C)],
        needs_bench
    ),
    row!(
        Preferences,
        File,
        "Preferences…",
        "Light or dark, size of text, millimetres or inches",
        [ctrl(Key::P)],
        always
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
    row!(
        CopyPart,
        Edit,
        "Copy",
        "Put the selected part on the clipboard, to be put down on another rider or in another fixture",
        [ctrl(Key::C)],
        needs_copyable
    ),
    row!(
        PastePart,
        Edit,
        "Paste",
        "Put down the part that is on the clipboard, on the rider that is selected; a stack takes the place of its stack",
        [ctrl(Key::V)],
        always
    ),
    row!(
        DuplicatePart,
        Edit,
        "Duplicate",
        "Another of the selected part, beside it",
        [ctrl(Key::D)],
        needs_doubled
    ),
    row!(DeletePart, Edit, "Delete", "Take the selected part away", [key(Key::Delete)], needs_thing),
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
    row!(
        Play,
        Travel,
        "Play or pause",
        "Run the stroke as a motion, or stop it",
        [key(Key::Space)],
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
    row!(View1, None, "View 1", "Show this view in the middle", [ctrl(Key::Num1)], |s| needs_view(s, 0)),
    row!(View2, None, "View 2", "Show this view in the middle", [ctrl(Key::Num2)], |s| needs_view(s, 1)),
    row!(View3, None, "View 3", "Show this view in the middle", [ctrl(Key::Num3)], |s| needs_view(s, 2)),
    row!(View4, None, "View 4", "Show this view in the middle", [ctrl(Key::Num4)], |s| needs_view(s, 3)),
    row!(View5, None, "View 5", "Show this view in the middle", [ctrl(Key::Num5)], |s| needs_view(s, 4)),
    row!(View6, None, "View 6", "Show this view in the middle", [ctrl(Key::Num6)], |s| needs_view(s, 5)),
    row!(View7, None, "View 7", "Show this view in the middle", [ctrl(Key::Num7)], |s| needs_view(s, 6)),
    row!(View8, None, "View 8", "Show this view in the middle", [ctrl(Key::Num8)], |s| needs_view(s, 7)),
    row!(View9, None, "View 9", "Show this view in the middle", [ctrl(Key::Num9)], |s| needs_view(s, 8)),
    row!(ShowAll, Show, "Show all of it", "Show all of the middle view again", [key(Key::Num0)], needs_bench),
    row!(Enlarge, Show, "Zoom in", "Zoom in on the drawing", [key(Key::Plus), key(Key::Equals)], needs_bench),
    row!(Reduce, Show, "Zoom out", "Zoom out of the drawing", [key(Key::Minus)], needs_bench),
    row!(
        TurnLeft,
        Show,
        "Turn to the left",
        "Walk round the view in space",
        [ctrl(Key::ArrowLeft)],
        needs_space
    ),
    row!(
        TurnRight,
        Show,
        "Turn to the right",
        "Walk round the view in space the other way",
        [ctrl(Key::ArrowRight)],
        needs_space
    ),
    row!(
        LiftUp,
        Show,
        "From higher up",
        "Look at the view in space from above",
        [ctrl(Key::ArrowUp)],
        needs_space
    ),
    row!(
        LiftDown,
        Show,
        "From lower down",
        "Look at the view in space from below",
        [ctrl(Key::ArrowDown)],
        needs_space
    ),
    row!(
        ToggleGhosts,
        Show,
        "Other trials faintly",
        "Show the curves of the other trials behind",
        [key(Key::G)],
        needs_trials
    ),
    row!(
        ToggleAxis,
        Show,
        "Over travel or reach",
        "Draw the strips over travel or over the reach of an arm",
        [key(Key::A)],
        needs_reach
    ),
    row!(
        ToggleTilt,
        Show,
        "Riders as they stand",
        "Draw the riders tilted as their load makes them stand, many times enlarged, or as they are built",
        [key(Key::I)],
        needs_bench
    ),
    row!(
        NextRegion,
        Show,
        "Next region",
        "Give the keyboard to the next region of the window: trials, parts, drawing, findings, tables",
        [key(Key::F6)],
        always
    ),
    row!(
        PreviousRegion,
        None,
        "Previous region",
        "Give the keyboard to the region before",
        [shift(Key::F6)],
        always
    ),
    row!(ToggleParts, Show, "Parts", "Show or hide the parts and their sizes", [key(Key::F7)], always),
    row!(ToggleFindings, Show, "Findings", "Show or hide the findings", [key(Key::F8)], always),
    row!(ToggleDark, Show, "Light or dark", "Change between light and dark paper", [key(Key::F9)], always),
    row!(
        ToggleUnit,
        Show,
        "Millimetres or inches",
        "Show lengths in the other unit; files keep what was typed",
        [key(Key::U)],
        always
    ),
    row!(
        LargerText,
        Show,
        "Larger text",
        "Make everything larger",
        [ctrl(Key::Plus), ctrl(Key::Equals)],
        always
    ),
    row!(SmallerText, Show, "Smaller text", "Make everything smaller", [ctrl(Key::Minus)], always),
    row!(UsualText, Show, "Usual text", "Make everything as large as usual", [ctrl(Key::Num0)], always),
    row!(
        Handbook,
        Help,
        "Handbook",
        "How to use the bench, and how every figure is computed",
        [key(Key::F1)],
        always
    ),
    row!(Keys, Help, "Keys", "All keys at a glance", [key(Key::F2)], always),
    row!(
        FindCommand,
        Help,
        "Find a command…",
        "Find anything the program can do",
        [ctrl(Key::F), key(Key::F3)],
        always
    ),
    row!(StopWork, None, "Stop looking ahead", "Stop working out trials and remedies", [], needs_work),
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
