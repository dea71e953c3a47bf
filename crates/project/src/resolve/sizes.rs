//! The sizes of a document by name.

use glidewright_motion::phrase::size as length;
use glidewright_motion::{NamedSize, NamedSizes, Phrase, plain};

use super::label::label;
use super::numbers::quantity_at;
use crate::document::Document;
use crate::quantity::Quantity;
use crate::values::Values;
use crate::walk::Slot;

/// Every size that makes the fixture what it is, in the order of the file; trials and measured pulls make none.
pub(super) fn named(document: &Document, values: &Values) -> NamedSizes {
    let mut all = Vec::new();
    document.visit(&mut |path, slot| {
        let Slot::Size(size) = slot else { return };
        if path.starts_with("trials/") || path.starts_with("pulls/") {
            return;
        }
        let written = size.formula().map(ToString::to_string).unwrap_or_default();
        let value = match values.at(path).map(|value| value.nominal) {
            Some(value) => in_words(value, quantity_at(values, path, size.quantity())),
            None if written.is_empty() => "unset".into(),
            None => written.as_str().into(),
        };
        all.push(NamedSize { path: path.to_owned(), label: label(path), written, value });
    });
    all.into_iter().collect()
}

/// A value in the document's unit for its kind.
fn in_words(value: f64, quantity: Quantity) -> Phrase {
    match quantity {
        Quantity::Length => length(value),
        Quantity::Angle => format!("{}°", plain(value)).into(),
        Quantity::Number | Quantity::Any => plain(value).into(),
        _ => format!("{} {}", plain(value), quantity.unit()).into(),
    }
}
