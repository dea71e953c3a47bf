//! Undo and redo.

use std::sync::Arc;

use super::Edited;
use crate::document::Document;
use crate::print::print;
use crate::problem::Problem;
use crate::read::parse;

/// A document with its past and its undone future.
///
/// A step is kept as the stretch of the document's text that it changed, so that thousands of steps take
/// little room.
#[derive(Clone, Debug)]
pub struct History {
    now: Arc<Document>,
    text: String,
    past: Vec<Step>,
    future: Vec<Step>,
    revision: u64,
    /// The highest revision given out.
    latest: u64,
    saved: Option<u64>,
}

/// One edit: a stretch of text that became another.
#[derive(Clone, Debug)]
struct Step {
    description: String,
    /// Byte at which the texts begin to differ.
    at: usize,
    before: String,
    after: String,
    /// Revisions before and after it.
    from: u64,
    to: u64,
}

impl History {
    /// A document without a past; it counts as saved if it comes from a file.
    pub fn new(document: Document, is_saved: bool) -> Self {
        let text = print(&document);
        Self {
            now: Arc::new(document),
            text,
            past: Vec::new(),
            future: Vec::new(),
            revision: 0,
            latest: 0,
            saved: is_saved.then_some(0),
        }
    }

    /// The document now.
    pub fn document(&self) -> &Arc<Document> {
        &self.now
    }

    /// Its text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// A number that differs between any two states of the document.
    pub const fn revision(&self) -> u64 {
        self.revision
    }

    /// Whether the document is as it was saved last.
    pub fn is_saved(&self) -> bool {
        self.saved == Some(self.revision)
    }

    /// Remembers that the document as it is now has been saved.
    pub const fn mark_saved(&mut self) {
        self.saved = Some(self.revision);
    }

    /// Remembers that no state of the document is saved any more.
    pub const fn mark_unsaved(&mut self) {
        self.saved = None;
    }

    /// The document as it was saved last; `None` if it never was, or the way back to it has been cut off.
    ///
    /// # Errors
    /// As for [`History::undo`].
    pub fn as_saved(&self) -> Result<Option<Document>, Vec<Problem>> {
        let Some(saved) = self.saved else { return Ok(None) };
        if saved == self.revision {
            return Ok(Some(self.now.as_ref().clone()));
        }
        let mut text = self.text.clone();
        for step in self.past.iter().rev() {
            text = step.back(&text);
            if step.from == saved {
                return parse(&text).map(Some);
            }
        }
        text.clone_from(&self.text);
        for step in self.future.iter().rev() {
            text = step.forth(&text);
            if step.to == saved {
                return parse(&text).map(Some);
            }
        }
        Ok(None)
    }

    /// Takes an edit in. An edit that changes nothing leaves no step.
    pub fn push(&mut self, edited: Edited) {
        let text = print(&edited.document);
        if text == self.text {
            return;
        }
        let (at, before, after) = difference(&self.text, &text);
        self.latest += 1;
        let step = Step {
            description: edited.description,
            at,
            before: before.to_owned(),
            after: after.to_owned(),
            from: self.revision,
            to: self.latest,
        };
        self.revision = self.latest;
        self.past.push(step);
        self.future.clear();
        self.text = text;
        self.now = Arc::new(edited.document);
    }

    /// Joins the last `count` steps into one, so that a drag is undone at once.
    pub fn join(&mut self, count: usize, description: &str) {
        if count < 2 || count > self.past.len() {
            return;
        }
        let start = self.past.len() - count;
        let text = self.past.iter().skip(start).rev().fold(self.text.clone(), |text, step| step.back(&text));
        let from = self.past.get(start).map_or(0, |step| step.from);
        self.past.truncate(start);
        let (at, before, after) = difference(&text, &self.text);
        if before != after {
            self.past.push(Step {
                description: description.to_owned(),
                at,
                before: before.to_owned(),
                after: after.to_owned(),
                from,
                to: self.revision,
            });
        }
    }

    /// What undo would undo.
    pub fn undo_description(&self) -> Option<&str> {
        self.past.last().map(|step| step.description.as_str())
    }

    /// What redo would redo.
    pub fn redo_description(&self) -> Option<&str> {
        self.future.last().map(|step| step.description.as_str())
    }

    /// Descriptions of all steps, the latest last.
    pub fn descriptions(&self) -> impl DoubleEndedIterator<Item = &str> {
        self.past.iter().map(|step| step.description.as_str())
    }

    /// Undoes the last step; gives whether there was one.
    ///
    /// # Errors
    /// When the text from before cannot be read, which would be a fault of the program; nothing is changed.
    pub fn undo(&mut self) -> Result<bool, Vec<Problem>> {
        let Some(step) = self.past.last() else { return Ok(false) };
        let text = step.back(&self.text);
        self.now = Arc::new(parse(&text)?);
        self.text = text;
        self.revision = step.from;
        self.future.extend(self.past.pop());
        Ok(true)
    }

    /// Redoes the step undone last; gives whether there was one.
    ///
    /// # Errors
    /// As for [`History::undo`].
    pub fn redo(&mut self) -> Result<bool, Vec<Problem>> {
        let Some(step) = self.future.last() else { return Ok(false) };
        let text = step.forth(&self.text);
        self.now = Arc::new(parse(&text)?);
        self.text = text;
        self.revision = step.to;
        self.past.extend(self.future.pop());
        Ok(true)
    }
}

impl Step {
    fn back(&self, text: &str) -> String {
        replaced(text, self.at, self.after.len(), &self.before)
    }

    fn forth(&self, text: &str) -> String {
        replaced(text, self.at, self.before.len(), &self.after)
    }
}

fn replaced(text: &str, at: usize, length: usize, by: &str) -> String {
    let head = text.get(..at).unwrap_or(text);
    let tail = text.get(at + length..).unwrap_or_default();
    [head, by, tail].concat()
}

/// Where two texts begin to differ, and the stretches by which they do.
pub(crate) fn difference<'t>(before: &'t str, after: &'t str) -> (usize, &'t str, &'t str) {
    let mut start = before.bytes().zip(after.bytes()).take_while(|(a, b)| a == b).count();
    while !before.is_char_boundary(start) || !after.is_char_boundary(start) {
        start -= 1;
    }
    let (rest_before, rest_after) =
        (before.get(start..).unwrap_or_default(), after.get(start..).unwrap_or_default());
    let mut end = rest_before.bytes().rev().zip(rest_after.bytes().rev()).take_while(|(a, b)| a == b).count();
    let boundary = |text: &str, end: usize| text.is_char_boundary(text.len() - end);
    while !boundary(rest_before, end) || !boundary(rest_after, end) {
        end -= 1;
    }
    (
        start,
        rest_before.get(..rest_before.len() - end).unwrap_or_default(),
        rest_after.get(..rest_after.len() - end).unwrap_or_default(),
    )
}
