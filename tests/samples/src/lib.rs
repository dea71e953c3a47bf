//! Project files that tests read and the program does not carry.

/// A counterbalanced copy stand: a camera head and its counterweight on the two faces of one upright rail. Its lock nuts
/// overlap by 0.42 mm as drawn; three trials cure that in different ways.
pub const COPY_STAND: &str = include_str!("../copy-stand.ron");
