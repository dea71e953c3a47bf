//! The Glidewright bench.

fn main() {}
