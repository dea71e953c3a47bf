//! The engineering of a *resolved* rail fixture: plain numbers in, results and findings out.
//!
//! # Conventions
//! Millimetres, newtons, N·mm, MPa, kilograms, seconds, radians, all `f64`; g = 9.80665 m/s².
//!
//! **Rail frame**: X along the rail in the sense of growing travel, Z out of the rail's front face,
//! Y = Z × X; the origin is the section's centre at the rail's lower (or left) end. *Left* and *right* are
//! those of a viewer before the front face with X up: left is +Y. A section's outline is in (y, z). **Rider frame**: parallel to the rail frame, its origin on the rail's centre line at the
//! rider's place along the rail, so that only x differs. **Level**: distance from the rail's centre
//! plane along the outward normal of a rider's plate.
//!
//! # What is where
//! * what goes in: [`Fixture`], [`Rail`], [`Rider`], [`Stack`], [`Line`], [`Load`]
//! * what is asked: [`analyse`]
//! * what comes out: [`Results`], [`Assembly`], [`Interference`], [`TravelCurves`], [`ReachCurves`],
//!   [`HoldBand`], [`LineFigures`], [`DriveFigures`], [`Binding`], [`Calibration`], [`Finding`]
//!
//! This crate does no I/O, keeps no global state and does not panic, whatever numbers it is given. It
//! knows nothing of formulas, files, part tables or screens.

mod analyse;
mod assembly;
mod assembly_order;
mod balance;
mod calibration;
mod checks;
pub mod contact;
mod detail;
mod drive;
mod fixture;
pub mod forces;
mod gravity;
mod interference;
mod line;
mod linear;
pub mod loads;
mod looks;
mod measure;
pub mod phrase;
mod reach;
pub mod resistance;
mod results;
mod seating;
mod statics;
mod stations;
mod travel;
mod written;

pub use analyse::{Results, analyse, analyse_quickly, analyse_with};
pub use assembly::*;
pub use assembly_order::{AssemblyOrder, Blocked, ScrewEnd, assembly_orders};
pub use balance::{HoldBand, hold_bands};
pub use calibration::{
    COVERAGE, Calibration, Draws, FitOutcome, Fittable, FittedCoefficient, FittedPull, Judged, Judgement,
    LinearPull, LinearPulls, NextPull, Prior, Verdict, calibrate,
};
pub use checks::LEAST_HELD;
pub use detail::{Detail, STATIONS};
pub use drive::{DriveFigures, Move};
pub use fixture::*;
pub use gravity::{STANDARD_GRAVITY, gravity};
pub use interference::{
    Band, BandPoint, DepthBounds, GAP_TOLERANCE, Interference, InterferenceCache, Kinship, LoadedGap,
    Outcome, PairResult, Passage, PassingScene, Watched, falls_short, gap_against_reach, overlaps, touches,
};
pub use line::{
    LineFigures, LineModel, LinePulls, PullLaw, PulleyLoss, SpanFigures, WholeTeeth, WrapFigures,
    teeth_factor,
};
pub use looks::{Looks, Seen};
pub use measure::Measure;
pub use phrase::Phrase;
pub use reach::ReachCurves;
pub use resistance::{Binding, NamedCoefficient, RiderResistance, WheelResistance};
pub use results::*;
pub use seating::{
    SeatContact, Seating, SeatingFault, Seats, Sunk, Surface, Touch, WheelProfile, seat, shows_track,
};
pub use travel::TravelCurves;
pub(crate) use written::listed;
pub use written::{number, plain};
