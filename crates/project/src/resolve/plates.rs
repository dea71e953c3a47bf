//! Plates: their outlines follow the axles.

use glam::DVec2;
use glidewright_geometry::{Outline, Region};
use glidewright_motion as motion;
use motion::plain;

use super::Context;
use super::facing::facing;
use super::outlines::{self, plate_axes};
use super::passage::Passage;
use crate::document::{ClampFeature, Feature, PlateSide, PocketFeature, RibFeature, Rider};
use crate::path::join;
use crate::problem::Problem;

/// Plates without outlines: thickness and material. Stacks need these before axles are known.
pub(super) fn blanks(context: &mut Context<'_>, rider: &Rider, path: &str) -> Vec<motion::Plate> {
    let base = join(path, "plates");
    rider
        .plates
        .iter()
        .map(|plate| {
            let path = join(&base, &plate.name);
            let fill = context.number(&plate.fill, &path, "fill");
            if fill > 1.0 {
                context.report(
                    Problem::error(join(&path, "fill"), "a plate cannot be filled to more than 1")
                        .remedy("write a share such as 0.4 or \"40 %\""),
                );
            }
            motion::Plate {
                name: plate.name.clone(),
                thickness: context.toleranced(&plate.thickness, &path, "thickness"),
                material: context.material(&plate.material, &join(&path, "material")),
                fill,
                level: plate.level.as_ref().map(|level| context.number(level, &path, "level")),
                outline: Outline::default(),
                holes: Vec::new(),
                features: Vec::new(),
                path,
            }
        })
        .collect()
}

/// Gives a plate its outline and the holes for the stacks that pass it, and makes its features; what its pockets
/// hold are loads.
///
/// `level` is that of its inner face, where it is known; ribs and ballast stand out from there.
pub(super) fn make(
    context: &mut Context<'_>,
    rider: &Rider,
    number: usize,
    plate: &mut motion::Plate,
    passages: &[Passage],
    level: Option<f64>,
) -> Option<Vec<motion::Load>> {
    let written = rider.plates.get(number)?;
    let through: Vec<Passage> = passages.iter().copied().filter(|p| p.plate == number).collect();
    if level.is_none() && context.lacks_wheels {
        context.unusable = true;
    } else if level.is_none() {
        let message = if through.is_empty() {
            "no stack passes this plate, and it has no level"
        } else {
            "no wheel's stack carries this plate, nor the plates it is bolted to, and it has no level"
        };
        context.report(
            Problem::error(&plate.path, message)
                .remedy("list it in a stack, or give its level above the rail's centre plane"),
        );
    }
    let facing = facing(rider.faces);
    let region = region(context, written, facing, &plate.path, &through);
    let Some(region) = region else {
        context.unusable = true;
        return None;
    };
    plate.outline = region.outer.clone();
    plate.holes = region.holes.clone();
    let mut maker = Maker {
        plate,
        region: &region,
        facing,
        level: level.unwrap_or(0.0),
        number,
        features: Vec::new(),
        loads: Vec::new(),
    };
    for feature in &written.features {
        let path = join(&join(&maker.plate.path, "features"), crate::document::Named::name(feature));
        match feature {
            Feature::Tab(_) | Feature::Cut(_) => {}
            Feature::Pocket(pocket) => maker.pocket(context, pocket, &path),
            Feature::Rib(rib) => maker.rib(context, rib, &path),
            Feature::Clamp(clamp) => maker.clamp(context, clamp, &path),
        }
    }
    for (depth, side, passage) in through.iter().filter_map(|p| p.blind.map(|(depth, side)| (depth, side, p)))
    {
        let thickness = maker.plate.thickness.nominal;
        let levels = match side {
            PlateSide::Outside => (thickness - depth, thickness),
            PlateSide::Inside => (0.0, depth),
        };
        // One that leaves nothing is told about with its stack.
        if depth > 0.0 && depth < thickness {
            let region = Outline::circle(passage.hole, 0.5 * passage.diameter).into();
            let path = maker.plate.path.clone();
            maker.slab("tapped hole", &path, region, levels, true);
        }
    }
    let Maker { features, loads, .. } = maker;
    plate.features = features;
    Some(loads)
}

/// The plate's region with tabs, cuts and screw holes.
fn region(
    context: &mut Context<'_>,
    written: &crate::document::Plate,
    facing: motion::Facing,
    path: &str,
    through: &[Passage],
) -> Option<Region> {
    let base = outlines::plate(context, &written.outline, facing, &join(path, "outline"), through)?;
    let mut tabs = Vec::new();
    let mut cuts: Vec<Region> = through
        .iter()
        .filter(|p| p.blind.is_none())
        .map(|p| Outline::circle(p.hole, 0.5 * p.diameter).into())
        .collect();
    // Two stacks may share a hole.
    cuts.dedup();
    for feature in &written.features {
        let (list, flat) = match feature {
            Feature::Tab(flat) => (&mut tabs, flat),
            Feature::Cut(flat) => (&mut cuts, flat),
            _ => continue,
        };
        let path = join(&join(&join(path, "features"), &flat.name), "shape");
        list.extend(outlines::patch(context, &flat.shape, plate_axes(facing), &path));
    }
    outlines::with_features(context, path, base, &tabs, cuts)
}

struct Maker<'a> {
    plate: &'a motion::Plate,
    region: &'a Region,
    facing: motion::Facing,
    /// Level of the plate's inner face (mm).
    level: f64,
    /// Number of the plate on its rider.
    number: usize,
    features: Vec<motion::Slab>,
    loads: Vec<motion::Load>,
}

impl Maker<'_> {
    /// Levels of something that stands `height` out of a side.
    fn standing(&self, side: PlateSide, height: f64) -> (f64, f64) {
        match side {
            PlateSide::Outside => (self.plate.thickness.nominal, self.plate.thickness.nominal + height),
            PlateSide::Inside => (-height, 0.0),
        }
    }

    fn slab(&mut self, name: &str, path: &str, region: Region, (from, to): (f64, f64), is_cut: bool) {
        let (name, path) = (name.to_owned(), path.to_owned());
        self.features.push(motion::Slab { name, path, region, from, to, is_cut });
    }

    fn pocket(&mut self, context: &mut Context<'_>, pocket: &PocketFeature, path: &str) {
        let axes = plate_axes(self.facing);
        let Some(region) = outlines::patch(context, &pocket.shape, axes, &join(path, "shape")) else {
            return;
        };
        let depth = context.number(&pocket.depth, path, "depth");
        let thickness = self.plate.thickness.nominal;
        if depth >= thickness {
            context.report(
                Problem::error(
                    join(path, "depth"),
                    format!(
                        "the pocket is {} mm deep, the plate {} mm thick",
                        plain(depth),
                        plain(thickness)
                    ),
                )
                .remedy("make it shallower, or make it a cut"),
            );
            return;
        }
        if !lies_inside(&region, self.region) {
            context.report(
                Problem::error(
                    join(path, "shape"),
                    "the pocket reaches beyond the plate or into one of its holes",
                )
                .remedy("move it or make it smaller"),
            );
            return;
        }
        let levels = match pocket.side {
            PlateSide::Outside => (thickness - depth, thickness),
            PlateSide::Inside => (0.0, depth),
        };
        let volume = region.area() * depth;
        let centre = (region.centroid(), 0.5 * (levels.0 + levels.1));
        if let Some(fill) = &pocket.fill {
            let base = join(path, "fill");
            let packing = context.number(&fill.packing, &base, "packing");
            if packing > 1.0 {
                context.report(
                    Problem::error(join(&base, "packing"), "nothing packs closer than 1")
                        .remedy("write a share such as 0.64"),
                );
            }
            let density = context.material(&fill.material, &join(&base, "material")).density;
            let name = format!("{} in {}", fill.material, pocket.name);
            // It fills the hollow to its rim: there is nothing of it to run into anything.
            self.loads.push(motion::Load {
                name,
                path: base,
                mass: volume * packing * density * 1e-9,
                centre: self.facing.point(centre.0, self.level + centre.1),
                solids: Vec::new(),
                extruded: Vec::new(),
                reach: None,
                on: Some(self.number),
                is_ballast: true,
            });
        }
        self.slab(&pocket.name, path, region, levels, true);
    }

    fn rib(&mut self, context: &mut Context<'_>, rib: &RibFeature, path: &str) {
        let axes = plate_axes(self.facing);
        let Some(region) = outlines::patch(context, &rib.shape, axes, &join(path, "shape")) else {
            return;
        };
        let levels = self.standing(rib.side, context.number(&rib.height, path, "height"));
        self.slab(&rib.name, path, region, levels, false);
    }

    /// A block with a groove along the rail: two walls on a floor.
    fn clamp(&mut self, context: &mut Context<'_>, clamp: &ClampFeature, path: &str) {
        let at = outlines::spot(context, &clamp.at, &join(path, "at"));
        let [length, width, height, groove, depth] = [
            context.number(&clamp.length, path, "length"),
            context.number(&clamp.width, path, "width"),
            context.number(&clamp.height, path, "height"),
            context.number(&clamp.groove, path, "groove"),
            context.number(&clamp.depth, path, "depth"),
        ];
        if groove >= width || depth > height {
            context.report(
                Problem::error(path, "the groove does not fit into the block")
                    .remedy("let groove be less than width and depth at most height"),
            );
            return;
        }
        let block = |half_width: f64, middle: f64| {
            let half = DVec2::new(0.5 * length, half_width);
            let at = at + DVec2::new(0.0, middle);
            Region::from(Outline::rectangle(at - half, at + half))
        };
        let (low, high) = self.standing(clamp.side, height);
        let (floor, walls) = match clamp.side {
            PlateSide::Outside => ((low, high - depth), (high - depth, high)),
            PlateSide::Inside => ((low + depth, high), (low, low + depth)),
        };
        if depth < height {
            self.slab(&clamp.name, path, block(0.5 * width, 0.0), floor, false);
        }
        let wall = 0.25 * (width - groove);
        let offset = 0.25 * (width + groove);
        let sides = match self.facing {
            motion::Facing::Front | motion::Facing::Rear => ["right", "left"],
            motion::Facing::Left | motion::Facing::Right => ["rear", "front"],
        };
        for (side, middle) in sides.into_iter().zip([-offset, offset]) {
            let name = format!("{}, {side} wall", clamp.name);
            self.slab(&name, path, block(wall, middle), walls, false);
        }
    }
}

/// Whether a region lies inside another, apart from its boundary and its holes.
fn lies_inside(inner: &Region, outer: &Region) -> bool {
    let mut with_hole = outer.clone();
    with_hole.holes.push(inner.outer.clone());
    with_hole.check().is_ok()
}
