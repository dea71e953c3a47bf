//! The system's file dialogs, asked for beside the window.

use std::path::PathBuf;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// What a file is chosen for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To open a project.
    Open,
    /// To save the project.
    Save,
    /// To write a picture.
    Picture,
    /// To take caliper readings in.
    Readings,
}

/// A dialog that answers sooner than anyone can has not been shown: there is none on this system, and
/// a typed path must do.
const TOO_SOON: Duration = Duration::from_millis(250);

/// What came of asking.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// This file.
    File(PathBuf),
    /// None: the person thought better of it.
    Nothing,
    /// There is no dialog on this system.
    NoDialog,
}

/// A dialog being shown.
pub struct Dialog {
    /// What it is for.
    pub purpose: Purpose,
    asked: Instant,
    answer: Receiver<Option<PathBuf>>,
}

impl Dialog {
    /// Asks for a file; `repaint` is called when there is an answer.
    pub fn ask(
        purpose: Purpose,
        suggested: Option<PathBuf>,
        repaint: impl FnOnce() + Send + 'static,
    ) -> Self {
        let (send, answer) = channel();
        let asking = std::thread::Builder::new().name("file dialog".to_owned()).spawn(move || {
            let mut dialog = rfd::FileDialog::new();
            if let Some(path) = &suggested {
                if let Some(folder) = path.parent().filter(|folder| folder.is_dir()) {
                    dialog = dialog.set_directory(folder);
                }
                if let Some(name) = path.file_name() {
                    dialog = dialog.set_file_name(name.to_string_lossy());
                }
            }
            let answer = match purpose {
                Purpose::Open => {
                    dialog.add_filter("Project", &["ron"]).set_title("Open a project").pick_file()
                }
                Purpose::Readings => dialog
                    .add_filter("Table of readings", &["csv", "txt"])
                    .set_title("Take in caliper readings")
                    .pick_file(),
                Purpose::Save => {
                    dialog.add_filter("Project", &["ron"]).set_title("Save the project").save_file()
                }
                Purpose::Picture => dialog
                    .add_filter("Picture", &["png", "svg", "pdf"])
                    .set_title("Write a picture")
                    .save_file(),
            };
            // The window may be gone by now.
            let _ = send.send(answer);
            repaint();
        });
        // A thread that could not be started drops its sender, which reads as no dialog.
        drop(asking);
        Self { purpose, asked: Instant::now(), answer }
    }

    /// The answer, once there is one.
    pub fn answer(&self) -> Option<Answer> {
        match self.answer.try_recv() {
            Ok(Some(file)) => Some(Answer::File(file)),
            Ok(None) if self.asked.elapsed() < TOO_SOON => Some(Answer::NoDialog),
            Ok(None) => Some(Answer::Nothing),
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => Some(Answer::NoDialog),
        }
    }
}
