//! A formula from anywhere, for a size of every kind, in a document that has some shared sizes.
#![no_main]

use std::sync::OnceLock;

use glidewright_project::document::Stand;
use glidewright_project::quantity::Quantity;
use glidewright_project::size::AnySize;
use glidewright_project::tolerance::Tolerance;
use glidewright_project::{Document, Values, edit};
use libfuzzer_sys::fuzz_target;

fn stand() -> &'static (Document, Values) {
    static STAND: OnceLock<(Document, Values)> = OnceLock::new();
    STAND.get_or_init(|| {
        // A small one: every input is put into it and evaluated.
        let mut document = edit::new_document("bench", "rod 8", 100.0, Stand::Lying);
        for (name, formula) in [("a", "3"), ("b", "2 mm"), ("c", "30 deg"), ("d", "1 kg"), ("e", "0")] {
            let size = AnySize::typed(formula).with_tolerance(Tolerance::PlusMinus(0.1));
            document.sizes.entries.push((name.to_owned(), size));
        }
        let (values, _) = Values::of(&document, None);
        (document, values)
    })
}

fuzz_target!(|text: &str| {
    let (document, values) = stand();
    for quantity in
        [Quantity::Length, Quantity::Angle, Quantity::Mass, Quantity::Number, Quantity::Force, Quantity::Any]
    {
        match values.try_formula(text, quantity) {
            Ok(value) => assert!(value.is_finite(), "{value}"),
            Err(error) => {
                assert!(error.column >= 1 && error.column <= text.chars().count() + 1, "{error:?}");
                assert!(error.message.chars().count() < 500, "{error:?}");
            }
        }
    }
    // Renaming a size and back leaves what the formula means.
    let Ok(edited) = edit::set(document, "stroke/to", text) else { return };
    let there = edit::rename_size(&edited.document, "a", "another_name").unwrap().document;
    let back = edit::rename_size(&there, "another_name", "a").unwrap().document;
    let value = |document: &Document| Values::of(document, None).0.at("stroke/to").map(|value| value.nominal);
    if text.len() < 500 && !text.contains("another_name") {
        assert_eq!(value(&edited.document), value(&there));
        assert_eq!(value(&edited.document), value(&back));
    }
});
