//! The engineering of a *resolved* rail fixture: plain numbers in, results and findings out.
//!
//! # Conventions
//! Millimetres, newtons, N·mm, MPa, kilograms, seconds, radians, all `f64`; g = 9.80665 m/s².
//!
//! **Rail frame**: X along the rail in the sense of growing travel, Z out of the rail's front face,
//! Y = Z × X; the origin is the section's centre at the rail's lower (or left) end. A section is drawn
//! in (y, z). **Rider frame**: parallel to the rail frame, its origin on the rail's centre line at the
//! rider's place along the rail, so that only x differs. **Level**: distance from the rail's centre
//! plane along the outward normal of a rider's plate.
//!
//! # What is where
//! * what goes in: [`Fixture`], [`Rail`], [`Rider`], [`Stack`], [`Line`], [`Load`]
//! * what comes out: [`Finding`]
//!
//! This crate does no I/O, keeps no global state and does not panic, whatever numbers it is given. It
//! knows nothing of formulas, files, part tables or screens.

mod fixture;
mod results;
mod seating;

pub use fixture::*;
pub use results::*;
pub use seating::{SeatContact, Seating, SeatingFault, seat};

/// Standard gravity (m/s²), ISO 80000-3.
pub const STANDARD_GRAVITY: f64 = 9.80665;
