//! Whole-program tests live in this package's `tests/` folder.
