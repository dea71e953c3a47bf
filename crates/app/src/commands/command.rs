//! What can be asked for.

/// Something the person can ask for by menu, button, name or key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Command {
    /// Starts: a new fixture, a project opened lately, a built-in one.
    Start,
    /// Opens a project file.
    Open,
    /// Takes caliper readings in from a table.
    TakeReadings,
    /// Saves the project.
    Save,
    /// Saves it under another name.
    SaveAs,
    /// Shows unsaved work that was left by windows that ended unexpectedly.
    UnsavedWork,
    /// Writes a picture.
    ExportPicture,
    /// Puts a picture of the middle view on the clipboard.
    CopyPicture,
    /// What the person prefers.
    Preferences,
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
    /// Runs the stroke as a motion, or stops it.
    Play,
    /// The next trial.
    NextTrial,
    /// Gives the keyboard to the next region of the window.
    NextRegion,
    /// To the one before.
    PreviousRegion,
    /// Shows or hides the parts.
    ToggleParts,
    /// Shows or hides the findings.
    ToggleFindings,
    /// Light or dark.
    ToggleDark,
    /// The whole bench in the middle.
    ShowBench,
    /// The first view in the middle, and so on.
    View1,
    /// The second.
    View2,
    /// The third.
    View3,
    /// The fourth.
    View4,
    /// The fifth.
    View5,
    /// The sixth.
    View6,
    /// The seventh.
    View7,
    /// The eighth.
    View8,
    /// The ninth.
    View9,
    /// Shows all of the middle view.
    ShowAll,
    /// Enlarges it.
    Enlarge,
    /// Makes it smaller.
    Reduce,
    /// Turns the view in space to the left.
    TurnLeft,
    /// To the right.
    TurnRight,
    /// Looks at it from higher up.
    LiftUp,
    /// From lower down.
    LiftDown,
    /// Other trials' curves behind.
    ToggleGhosts,
    /// Strips over travel or over reach.
    ToggleAxis,
    /// Riders as built, or tilted as they stand.
    ToggleTilt,
    /// Puts the selected part on the clipboard.
    CopyPart,
    /// Puts down the part on the clipboard.
    PastePart,
    /// Another of the selected part.
    DuplicatePart,
    /// Takes the selected part away.
    DeletePart,
    /// Selects nothing.
    SelectNothing,
    /// Text and everything else larger.
    LargerText,
    /// Smaller.
    SmallerText,
    /// As usual.
    UsualText,
    /// Millimetres or inches.
    ToggleUnit,
    /// The handbook.
    Handbook,
    /// All keys.
    Keys,
    /// Finds a command by its words.
    FindCommand,
    /// Stops long work.
    StopWork,
    /// Shows how long frames take.
    ToggleFrameTimes,
}
