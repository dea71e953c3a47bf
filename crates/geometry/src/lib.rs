//! Planar outlines of lines and arcs, convex solids, poses; their distance, the exact sweep of one
//! solid past another, seating of profiles, areas, volumes and inertia.
//!
//! # Conventions
//! Lengths are millimetres, angles radians, all numbers `f64`. Frames are right-handed; positive
//! angles turn counter-clockwise seen from the positive end of the axis. A pose written
//! `outer_from_inner` maps coordinates of the inner frame to the outer frame. A *gap* is signed:
//! positive when two things are apart, negative by the penetration depth when they overlap.
//!
//! # What is where
//! * **draw a shape**: [`Outline`] of [`Edge`]s; what is wrong with it: [`Outline::faults`], [`Fault`]
//! * **combine areas**: [`Region`], [`union`], [`difference`], [`intersection`], [`offset`], [`hull`], [`hull_of_points`]
//! * **make a convex solid**: [`Solid`] = [`Shape`] at a [`Pose`]; what is wrong with it: [`Solid::faults`]
//! * **make a concave body**: [`decompose`] an area into convex pieces, then a prism on each
//! * **measure**: [`Outline::area`], [`Outline::second_moments`], [`Solid::mass_properties`], [`Mesh`]
//! * **how near are two solids**: [`separation`], with its proof: [`Separation`], [`Ending`]
//! * **how far do bodies of several pieces overlap**: [`Overlap`], [`Depth`]
//! * **how near does one come on a straight way**: [`Pair`], [`closest_over`], [`touching`]
//! * **do they pass beside each other or face to face**: [`faces_along`], [`Passing`]
//! * **check whole assemblies on a stroke, keep them, change them**: [`Scene`]
//! * **evaluate thousands of variants or samples**: [`Batch`], [`Sampler`], [`Change`]
//! * **where does a profile come to rest**: [`first_contact`], [`Seat`], [`vee_depth`]
//!
//! This crate knows nothing of wheels, riders, files or screens. It does no I/O, keeps no global
//! state and does not panic, whatever numbers it is given.

#![allow(clippy::neg_cmp_op_on_partial_ord, reason = "NaN must take the refusing branch")]

mod batch;
mod convex;
mod mesh;
mod outline;
mod pair;
mod parting;
mod passing;
mod planar;
mod pose;
mod scene;
mod search;
mod seating;
mod separation;
mod solid;
mod sweep;

pub use glam::{DMat3, DVec2, DVec3};

pub use batch::{Batch, Change, Deductions, Sampler, VariantLeast};
pub use mesh::{Mesh, MeshError};
pub use outline::{Bounds2, Edge, Fault, Outline, SecondMoments, Side};
pub use parting::{Deepest, Depth, DepthEffort, Overlap, PartedContact};
pub use passing::{Passing, faces_along};
pub use planar::{
    PlanarError, Region, decompose, difference, hull, hull_of_points, intersection, offset, union,
};
pub use pose::Pose;
pub use scene::{
    Ask, ChannelId, ChannelSweep, Effort, GroupId, Least, Motion, NearBodies, Nearest, Scene, SolidId, Trace,
};
pub use seating::{Contact, Seat, TOGETHER, first_contact, vee_depth};
pub use separation::{CERTIFIED, Ending, Separation};
pub use solid::{Bounds, Inertia, Polyhedron, Shape, Solid, SolidFault};
pub use sweep::{Closest, Pair, closest_over, separation, touching};
