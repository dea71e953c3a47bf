//! The rail: its section, its tracks, how it stands.

use std::f64::consts::{FRAC_PI_2, TAU};

use glam::DVec2;
use glidewright_geometry::Outline;
use glidewright_motion as motion;

use super::Context;
use crate::document::{GroovedPart, OutlinePart, Part, PartForm, PartKind, RailPart, Stand, TrackForm};
use crate::problem::Problem;

/// What right and up on the drawing of a section come to in (y, z).
const SECTION: DVec2 = DVec2::new(-1.0, 1.0);

/// Sizes that differ by less are the same but for rounding (mm).
const HAIR: f64 = 1e-10;

/// Most modules a grooved rail may have one way.
const MOST_MODULES: f64 = 20.0;

pub(super) fn resolve(context: &mut Context<'_>) -> motion::Rail {
    let document = context.document;
    let part = context.part(PartKind::Rail, &document.rail.section, "rail/section");
    let (bars, tracks) = part.and_then(|part| section(context, part)).unwrap_or_else(|| {
        context.unusable = true;
        Default::default()
    });
    if !context.unusable
        && let Some(error) = bars.iter().find_map(|bar| bar.check().err())
    {
        let message = format!("the section's outline is not sound: {error}");
        let remedy = "change its sizes so that its grooves, bores and walls stay clear of each other";
        context.report(Problem::error("rail/section", message).remedy(remedy));
    }
    let material = match part.filter(|part| !part.material.is_empty()) {
        Some(part) => context.material(&part.material, "rail/section"),
        None => motion::Material {
            name: String::new(),
            density: 0.0,
            youngs: 0.0,
            poisson: 0.0,
            allowable_pressure: None,
            strength: None,
            expansion: None,
            lasting: None,
        },
    };
    let stand = match &document.rail.stand {
        Stand::Upright => motion::Stand { incline: FRAC_PI_2, roll: 0.0 },
        Stand::Lying => motion::Stand { incline: 0.0, roll: 0.0 },
        Stand::Inclined { incline, roll } => motion::Stand {
            incline: context.number(incline, "rail/stand", "incline"),
            roll: context.number(roll, "rail/stand", "roll"),
        },
    };
    motion::Rail {
        name: document.rail.section.clone(),
        path: "rail".to_owned(),
        bars,
        tracks,
        length: context.number(&document.rail.length, "rail", "length"),
        stand,
        material,
        supports: (1..)
            .zip(&document.rail.supports)
            .map(|(number, at)| context.number(at, "rail/supports", &format!("{number}")))
            .collect(),
    }
}

/// A section given by its outline, as it looks from the rail's lower or left end, along growing x: its right
/// on paper is −y.
fn outline_section(
    context: &mut Context<'_>,
    part: &Part,
    outline: &OutlinePart,
) -> Option<(Vec<motion::Section>, Vec<motion::Track>)> {
    let base = format!("parts/{}", part.name);
    let bars = super::outlines::drawn_apart(context, &outline.d, SECTION, &format!("{base}/d"))?;
    if outline.tracks.is_empty() {
        context.report(
            Problem::error(format!("{base}/tracks"), "the section has no tracks")
                .remedy("list where wheels can run"),
        );
    }
    let catalogue = &context.catalogue;
    let mut tracks = Vec::with_capacity(outline.tracks.len());
    let mut faults = Vec::new();
    for track in &outline.tracks {
        let name = |size: &str| format!("tracks/{}/{size}", track.name);
        let middle = SECTION
            * DVec2::new(
                catalogue.number(part, &track.at.0, &name("at/along")),
                catalogue.number(part, &track.at.1, &name("at/across")),
            );
        let profile = match &track.profile {
            TrackForm::Vee { mouth, half_angle, lip } => {
                let half_angle = catalogue.number(part, half_angle, &name("profile/half_angle"));
                if !(half_angle > 0.0 && half_angle < FRAC_PI_2) {
                    faults.push(
                        Problem::error(
                            format!("{base}/{}", name("profile/half_angle")),
                            "the angle of a flank must lie between 0 and 90°",
                        )
                        .remedy("give another angle"),
                    );
                }
                motion::TrackProfile::Vee {
                    mouth: catalogue.size(part, mouth, &name("profile/mouth")),
                    half_angle,
                    lip: catalogue.number(part, lip, &name("profile/lip")),
                }
            }
            TrackForm::Flat { width } => {
                motion::TrackProfile::Flat { width: catalogue.number(part, width, &name("profile/width")) }
            }
            TrackForm::Round { radius } => motion::TrackProfile::Round {
                radius: catalogue.number(part, radius, &name("profile/radius")),
            },
        };
        let normal =
            snapped(SECTION * DVec2::from_angle(catalogue.number(part, &track.faces, &name("faces"))));
        tracks.push(motion::Track { name: track.name.clone(), middle, normal, profile });
    }
    faults.into_iter().for_each(|problem| context.report(problem));
    for track in tracks.iter().filter(|track| !motion::shows_track(&bars, track)) {
        context.report(
            Problem::warning(
                format!("{base}/tracks/{}", track.name),
                "the outline does not pass where this track is said to be, so wheels are seated by its description alone",
            )
            .remedy("draw the groove, face or rod where the track has it, to 0.05 mm"),
        );
    }
    Some((bars, tracks))
}

/// The direction with rounding errors of right angles removed.
fn snapped(direction: DVec2) -> DVec2 {
    const ROUNDING: f64 = 1e-12;
    let snap = |x: f64| if (x - x.round()).abs() < ROUNDING { x.round() } else { x };
    DVec2::new(snap(direction.x), snap(direction.y))
}

fn section(context: &mut Context<'_>, part: &Part) -> Option<(Vec<motion::Section>, Vec<motion::Track>)> {
    let PartForm::Rail(rail) = &part.form else { return None };
    match rail {
        RailPart::Grooved(grooved) => Groove::of(context, part, grooved)
            .map(|groove| groove.section())
            .map(|(bar, tracks)| (vec![bar], tracks)),
        RailPart::FlatBar { width, depth, corner } => {
            let catalogue = &context.catalogue;
            let half = 0.5
                * DVec2::new(catalogue.number(part, width, "width"), catalogue.number(part, depth, "depth"));
            let corner = catalogue.number(part, corner, "corner");
            let outer = Outline::rounded_rectangle(-half, half, corner);
            let track = |name: &str, normal: DVec2| motion::Track {
                name: name.to_owned(),
                middle: normal * half,
                normal,
                profile: motion::TrackProfile::Flat { width: 2.0 * (half.dot(normal.perp().abs()) - corner) },
            };
            let tracks = SIDES.iter().map(|side| track(side.name, side.outward)).collect();
            Some((vec![outer.into()], tracks))
        }
        RailPart::Rod { diameter } => {
            let radius = 0.5 * context.catalogue.number(part, diameter, "diameter");
            let tracks = SIDES.iter().map(|side| on_rod(side.name.to_owned(), DVec2::ZERO, radius, side));
            Some((vec![Outline::circle(DVec2::ZERO, radius).into()], tracks.collect()))
        }
        RailPart::Rods { diameter, apart } => {
            let catalogue = &context.catalogue;
            let radius = 0.5 * catalogue.number(part, diameter, "diameter");
            let half = 0.5 * catalogue.number(part, apart, "apart");
            if half <= radius {
                let message = "rods this near each other touch";
                let path = format!("parts/{}/apart", part.name);
                context.report(Problem::error(path, message).remedy("give more than their diameter"));
                return None;
            }
            let rods = [("left", DVec2::new(half, 0.0)), ("right", DVec2::new(-half, 0.0))];
            let bars = rods.iter().map(|(_, axis)| Outline::circle(*axis, radius).into()).collect();
            let tracks = rods.iter().flat_map(|&(rod, axis)| {
                SIDES.iter().map(move |side| {
                    let place = match side.outward.dot(axis) {
                        0.0 => rod,
                        out if out > 0.0 => "outer",
                        _ => "inner",
                    };
                    on_rod(format!("{} {place}", side.name), axis, radius, side)
                })
            });
            Some((bars, tracks.collect()))
        }
        RailPart::Outline(outline) => outline_section(context, part, outline),
    }
}

/// The track on one side of a rod.
fn on_rod(name: String, axis: DVec2, radius: f64, side: &Side) -> motion::Track {
    motion::Track {
        name,
        middle: axis + side.outward * radius,
        normal: side.outward,
        profile: motion::TrackProfile::Round { radius },
    }
}

/// One side of a section in (y, z). Left is +y: what a viewer before the front face with x up has at the left.
struct Side {
    name: &'static str,
    outward: DVec2,
    /// Direction of walking the outline counter-clockwise.
    ahead: DVec2,
}

/// The sides in the order of a counter-clockwise walk.
const SIDES: [Side; 4] = [
    Side { name: "rear", outward: DVec2::NEG_Y, ahead: DVec2::X },
    Side { name: "left", outward: DVec2::X, ahead: DVec2::Y },
    Side { name: "front", outward: DVec2::Y, ahead: DVec2::NEG_X },
    Side { name: "right", outward: DVec2::NEG_X, ahead: DVec2::NEG_Y },
];

/// The name of the track number `index` of `count`, counted from front to rear or from right to left: the
/// ends have names, one in the middle is "middle", others have their number from the front or right.
fn place_name(index: usize, count: usize, first: &'static str, last: &'static str) -> String {
    match (index, count) {
        (_, 1) => "middle".to_owned(),
        (0, _) => first.to_owned(),
        (i, n) if i + 1 == n => last.to_owned(),
        (1, 3) => "middle".to_owned(),
        (i, _) => (i + 1).to_string(),
    }
}

/// A grooved section in plain numbers (mm, rad).
struct Groove {
    module: f64,
    columns: usize,
    rows: usize,
    mouth: motion::Toleranced,
    half_angle: f64,
    channel: f64,
    lip: f64,
    cavity: f64,
    bottom: f64,
    depth: f64,
    corner: f64,
    bore: f64,
    chamber: f64,
}

impl Groove {
    fn of(context: &mut Context<'_>, part: &Part, grooved: &GroovedPart) -> Option<Self> {
        let catalogue = &context.catalogue;
        let columns = catalogue.number(part, &grooved.columns, "columns");
        let rows = catalogue.number(part, &grooved.rows, "rows");
        let groove = Self {
            module: catalogue.number(part, &grooved.module, "module"),
            columns: columns as usize,
            rows: rows as usize,
            mouth: catalogue.size(part, &grooved.mouth, "mouth"),
            half_angle: catalogue.number(part, &grooved.half_angle, "half_angle"),
            channel: catalogue.number(part, &grooved.channel, "channel"),
            lip: catalogue.number(part, &grooved.lip, "lip"),
            cavity: catalogue.number(part, &grooved.cavity, "cavity"),
            bottom: catalogue.number(part, &grooved.bottom, "bottom"),
            depth: catalogue.number(part, &grooved.depth, "depth"),
            corner: catalogue.number(part, &grooved.corner, "corner"),
            bore: catalogue.number(part, &grooved.bore, "bore"),
            chamber: catalogue.number(part, &grooved.chamber, "chamber"),
        };
        let path = format!("parts/{}", part.name);
        let mut faults = Vec::new();
        let mut fault = |bad: bool, name: &str, message: &str| {
            if bad {
                let problem = Problem::error(format!("{path}/{name}"), message);
                faults.push(problem.remedy("correct the size, here or where its formula stands"));
            }
        };
        let whole = |x: f64| super::is_whole(x) && (1.0..=MOST_MODULES).contains(&x);
        fault(!whole(columns), "columns", "the modules must be a whole number from 1 to 20");
        fault(!whole(rows), "rows", "the modules must be a whole number from 1 to 20");
        let is_plain = groove.half_angle == 0.0 && (groove.mouth.nominal - groove.channel).abs() <= HAIR;
        fault(
            !(is_plain || groove.half_angle > 0.0 && groove.half_angle < FRAC_PI_2),
            "half_angle",
            "the angle of a flank must lie between 0 and 90°; 0 only where mouth and channel are of one width",
        );
        fault(
            groove.channel > groove.mouth.nominal + HAIR,
            "channel",
            "the channel is wider than the mouth of the groove",
        );
        fault(
            groove.flank_depth() > groove.lip + HAIR,
            "lip",
            "the flanks reach deeper than the lips are thick",
        );
        fault(
            groove.cavity < groove.channel - HAIR || groove.bottom > groove.cavity + HAIR,
            "cavity",
            "the cavity must be at least as wide as the channel and as its own bottom",
        );
        fault(groove.depth <= groove.lip, "depth", "the cavity must be deeper than the lips are thick");
        fault(
            groove.mouth.nominal + 2.0 * groove.corner > groove.module + HAIR,
            "mouth",
            "mouth and rounded corners do not fit into the module",
        );
        fault(groove.cavity >= groove.module, "cavity", "the cavity does not fit into the module");
        fault(
            2.0 * groove.depth + groove.bore >= groove.module,
            "depth",
            "the cavities of opposite sides meet each other or the bore",
        );
        fault(
            groove.chamber > 0.0 && groove.chamber >= groove.module - groove.cavity.max(groove.bore),
            "chamber",
            "the hollow between two modules meets the cavities or bores beside it",
        );
        let sound = faults.is_empty();
        faults.into_iter().for_each(|problem| context.report(problem));
        sound.then_some(groove)
    }

    /// How deep the flanks reach below the face.
    fn flank_depth(&self) -> f64 {
        if self.half_angle == 0.0 {
            // A plain mouth is as wide all through the lips.
            return self.lip;
        }
        0.5 * (self.mouth.nominal - self.channel) / self.half_angle.tan()
    }

    fn half(&self) -> DVec2 {
        0.5 * self.module * DVec2::new(self.columns as f64, self.rows as f64)
    }

    /// Middle of module `i` of `n`, along a side.
    fn middle(&self, i: usize, n: usize) -> f64 {
        self.module * (i as f64 + 0.5 - 0.5 * n as f64)
    }

    /// (along the side, depth) of one groove's corners, walked from its near to its far mouth edge.
    fn corners(&self) -> Vec<DVec2> {
        // The cavity narrows to its bottom at 45°, as far as its depth allows.
        let taper = (0.5 * (self.cavity - self.bottom)).min(self.depth - self.lip);
        let mut half = vec![
            DVec2::new(-0.5 * self.mouth.nominal, 0.0),
            DVec2::new(-0.5 * self.channel, self.flank_depth()),
            DVec2::new(-0.5 * self.channel, self.lip),
            DVec2::new(-0.5 * self.cavity, self.lip),
            DVec2::new(-0.5 * self.cavity, self.depth - taper),
            DVec2::new(-0.5 * self.bottom, self.depth),
        ];
        half.dedup_by(|a, b| a.distance(*b) <= HAIR);
        let mirrored: Vec<DVec2> = half.iter().rev().map(|p| DVec2::new(-p.x, p.y)).collect();
        half.extend(mirrored);
        half
    }

    /// The hollows where two modules meet: across each seam as wide as said, along it the module less a lip at each end,
    /// and where seams cross less what keeps them apart.
    fn chambers(&self) -> Vec<Outline> {
        let crossing = if self.columns > 1 && self.rows > 1 { self.chamber } else { 0.0 };
        let along = self.module - 2.0 * self.lip - crossing;
        if !(self.chamber > 0.0 && along > 0.0) {
            return Vec::new();
        }
        let mut hollows = Vec::new();
        let mut hollow = |middle: DVec2, size: DVec2| {
            hollows.push(Outline::rectangle(middle - 0.5 * size, middle + 0.5 * size));
        };
        let seam = |after: usize, count: usize| self.middle(after, count) + 0.5 * self.module;
        for row in 0..self.rows {
            for column in 1..self.columns {
                let middle = DVec2::new(seam(column - 1, self.columns), self.middle(row, self.rows));
                hollow(middle, DVec2::new(self.chamber, along));
            }
        }
        for column in 0..self.columns {
            for row in 1..self.rows {
                let middle = DVec2::new(self.middle(column, self.columns), seam(row - 1, self.rows));
                hollow(middle, DVec2::new(along, self.chamber));
            }
        }
        hollows
    }

    fn section(&self) -> (motion::Section, Vec<motion::Track>) {
        let half = self.half();
        let groove = self.corners();
        let mut edges = Vec::new();
        let mut tracks = Vec::new();
        for side in &SIDES {
            let upright = side.ahead.x == 0.0;
            let count = if upright { self.rows } else { self.columns };
            let face = side.outward * half;
            for step in 0..count {
                // Along the walk, which on the front and left runs against y and z.
                let along = self.middle(step, count);
                let corner = |p: &DVec2| face + side.ahead * (along + p.x) - side.outward * p.y;
                edges.extend(groove.windows(2).filter_map(|pair| match pair {
                    [from, to] => {
                        Some(glidewright_geometry::Edge::Line { from: corner(from), to: corner(to) })
                    }
                    _ => None,
                }));
                let against = side.ahead.x + side.ahead.y < 0.0;
                let number = if against { count - 1 - step } else { step };
                let place = if upright {
                    // Counted from the front for the names in between.
                    place_name(count - 1 - number, count, "front", "rear")
                } else {
                    place_name(number, count, "right", "left")
                };
                let name = if count == 1 { side.name.to_owned() } else { format!("{} {place}", side.name) };
                tracks.push(motion::Track {
                    name,
                    middle: face + side.ahead * along,
                    normal: side.outward,
                    profile: motion::TrackProfile::Vee {
                        mouth: self.mouth,
                        half_angle: self.half_angle,
                        lip: self.flank_depth(),
                    },
                });
            }
            if self.corner > 0.0 {
                let centre = face + side.ahead * (half.dot(side.ahead.abs()) - self.corner)
                    - side.outward * self.corner;
                edges.push(glidewright_geometry::Edge::Arc {
                    centre,
                    radius: self.corner,
                    start: side.outward.to_angle().rem_euclid(TAU),
                    sweep: FRAC_PI_2,
                });
            } else {
                let at = face + side.ahead * half.dot(side.ahead.abs());
                edges.push(glidewright_geometry::Edge::Line { from: at, to: at });
            }
        }
        // Corner points stand in only to be joined to.
        let outer = Outline::joined(&edges);
        let outer = Outline { edges: outer.edges.into_iter().filter(|edge| edge.length() > HAIR).collect() };
        let mut holes = Vec::new();
        if self.bore > 0.0 {
            for column in 0..self.columns {
                for row in 0..self.rows {
                    let at = DVec2::new(self.middle(column, self.columns), self.middle(row, self.rows));
                    holes.push(Outline::circle(at, 0.5 * self.bore));
                }
            }
        }
        holes.extend(self.chambers());
        (motion::Section { outer, holes }, tracks)
    }
}
