//! What is to be done once a frame has been drawn.

use std::path::PathBuf;

use glidewright_choice::{Asked, Figure, Likeness};
use glidewright_motion::BodyId;
use glidewright_project::Document;
use glidewright_project::document::Stocked;
use glidewright_sheet::PlotData;
use glidewright_sheet::views::Compared;

use super::Command;
use crate::state::{Across, Demo, Drawer, Edit, Hint, Preferences, Question};
use crate::theme::Paper;

/// Something to do. Panels and views borrow the state, draw it and queue these.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// A command from the table.
    Do(Command),
    /// Moves the lead rider to this travel (mm).
    GoTo(f64),
    /// Moves it by this much (mm).
    GoBy(f64),
    /// Selects what stands at a path in the document; empty selects nothing.
    Select(String),
    /// Says what the pointer is over.
    Hover(Option<BodyId>),
    /// Chooses a trial by name, or the fixture as it stands.
    Try(Option<String>),
    /// Asks what would come of each of some parts at a place.
    Foresee(Question),
    /// Changes the document.
    Edit(Edit),
    /// The interaction that edits were part of is over.
    EndEdit,
    /// It was given up: the document is as it was before it.
    DropEdit,
    /// Puts down the part that this text holds, as it came from the clipboard.
    Paste(String),
    /// Opens a finding by its number: its place, its travel.
    OpenFinding(usize),
    /// Opens a project file.
    Open(PathBuf),
    /// Opens a built-in project.
    OpenDemo(Demo),
    /// Begins a new project with this document.
    Begin(Box<Document>),
    /// Shows a page of the drawer.
    Drawer(Drawer),
    /// Closes the drawer.
    CloseDrawer,
    /// Sweeps the size at a path, or that of the piece there, and shows it.
    Sweep(String),
    /// Sweeps over another range, in the size's unit.
    SweepRange(f64, f64),
    /// Plots another figure against the size.
    SweepShows(Figure),
    /// Asks something else of the search for remedies.
    Seek(Box<Asked>),
    /// Begins the search from what is shown now.
    SeekFromShown,
    /// Has something else along the scatter of remedies.
    SeekAcross(Across),
    /// Stops searching, or goes on with it.
    MakeRemedies(bool),
    /// Opens the dialog that writes a plot as a picture.
    WritePlot(Box<PlotData>),
    /// Pictures something else of each trial in a comparison.
    Picture(Compared),
    /// Stops sweeping, or goes on with it.
    MakeSweep(bool),
    /// Stops making builds, or goes on with it.
    MakeBuilds(bool),
    /// Says whether the pieces of a size, by its path, come out alike in a build.
    TakeAs(String, Likeness),
    /// Keeps a part of the project in the person's own library.
    KeepPart(String),
    /// Notes what there is of a part.
    NoteStock(Stocked),
    /// Reads the person's own library again.
    ReadLibrary,
    /// Takes caliper readings in from a table.
    TakeReadings(PathBuf),
    /// Says something.
    Tell(String),
    /// Shows a view in the middle.
    Centre(&'static str),
    /// Light, dark or as the system says.
    Paper(Paper),
    /// Puts the message away.
    Dismiss,
    /// Takes over changed preferences.
    Prefer(Box<Preferences>),
    /// Opens the handbook at a section, by its title.
    Handbook(&'static str),
    /// Notes that a hint was followed.
    Follow(Hint),
    /// Turns the view in space by so much to the right and upwards (rad).
    Turn(f64, f64),
}

/// Actions in the order they were asked for.
pub type Queue = Vec<Action>;
