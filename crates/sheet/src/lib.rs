//! glidewright-sheet
