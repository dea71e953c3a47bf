//! Printed parts as slabs.

use glidewright_geometry::Region;
use glidewright_motion::Material;

/// A part to be printed: slabs on one axis, which is the outward normal of its plate. Levels count from the
/// plate's inner face (mm).
#[derive(Clone, Debug, PartialEq)]
pub struct PrintedPart {
    /// What it is called.
    pub name: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// Number of the rider it belongs to.
    pub rider: usize,
    /// Number of the rider's plate it is.
    pub plate: usize,
    /// What it is made of.
    pub material: Material,
    /// Share of its volume that is filled (0 to 1).
    pub fill: f64,
    /// The slabs: what is added first, then what is cut.
    pub slabs: Vec<Slab>,
}

/// A layer of a printed part: a region in (rider x, lateral) from one level to another.
#[derive(Clone, Debug, PartialEq)]
pub struct Slab {
    /// What it is called.
    pub name: String,
    /// Where the document defines it, as a path.
    pub path: String,
    /// Its region (mm).
    pub region: Region,
    /// Level at which it begins (mm).
    pub from: f64,
    /// Level at which it ends (mm), above `from`.
    pub to: f64,
    /// Whether it is cut out rather than added.
    pub is_cut: bool,
}

impl Slab {
    /// Its volume (mm³).
    pub fn volume(&self) -> f64 {
        self.region.area() * (self.to - self.from)
    }
}

impl PrintedPart {
    /// Volume (mm³): what is added less what is cut. Cuts lie within what is added and apart from each other
    /// (cut-outs right through are left out of the plate's own region already), which resolving checks.
    pub fn volume(&self) -> f64 {
        self.slabs.iter().map(|slab| if slab.is_cut { -slab.volume() } else { slab.volume() }).sum()
    }

    /// Mass (kg): volume × density × fill.
    pub fn mass(&self) -> f64 {
        self.volume() * self.fill * self.material.density * 1e-9
    }
}
