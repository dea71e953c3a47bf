//! Two convex solids, one of them shifted along a line: distance with proof, exact sweep.
//!
//! Shapes with parallel axes have a closed form ([`parallel`]); everything else goes to the general solver
//! ([`general`]), which works from support functions and returns its own certificate.

mod face;
pub(crate) mod general;
pub(crate) mod parallel;
pub(crate) mod penetration;
pub(crate) mod polish;
pub(crate) mod polytope;
mod revolved;
pub(crate) mod section;
pub(crate) mod simplex;
pub(crate) mod square;
pub(crate) mod support;
pub(crate) mod travel;
