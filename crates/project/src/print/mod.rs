//! From a document to text: stable order, one thing per line, short things on one line.

mod layout;
mod node;

use serde::Serialize;

use crate::comments::Comments;
use crate::document::{Document, PartsFile};

/// The document as text; reading it back gives the same document.
pub fn print(document: &Document) -> String {
    print_any(document, &document.comments)
}

/// A file of parts as text.
pub fn print_parts(parts: &PartsFile) -> String {
    print_any(parts, &parts.comments)
}

/// Anything of the file format as text.
pub(crate) fn print_any<T: Serialize>(value: &T, comments: &Comments) -> String {
    let mut text = match value.serialize(node::NodeSerializer) {
        Ok(node) => layout::lay_out(&node, comments),
        // No type of the document refuses to be written.
        Err(error) => format!("// not written: {error}"),
    };
    text.push('\n');
    text
}
