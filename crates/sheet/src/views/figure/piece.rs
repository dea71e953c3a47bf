//! Nuts, heads, washers, spacers, shims and screw ends, from the side and end-on.

use std::f64::consts::{FRAC_PI_2, FRAC_PI_3, FRAC_PI_6};

use glam::{DAffine2, DVec2};
use glidewright_motion::{Body, HeadForm, NutForm, PieceKind, Role};

use super::Sketch;
use super::axis::{AxisFrame, Sight};
use super::silhouette::bar_edges;
use crate::drawing::Path;
use crate::look::Fill;
use crate::views::scene::body_tone;

/// Radius over the corners of a hexagon of a width across flats.
pub(in crate::views) fn hexagon_corner(across_flats: f64) -> f64 {
    NutForm::Hexagon.corner_radius(across_flats)
}

/// Draws a piece that is not a wheel.
pub(in crate::views) fn draw_piece(sketch: &mut Sketch, frame: &AxisFrame<'_>, body: &Body) {
    let form = Form::of(frame, body);
    let tone = body_tone(body);
    match frame.sight {
        Sight::Edge(to_paper) => {
            let (outline, details) = form.side_on(frame, sketch.scale);
            let lit = bar_edges(&to_paper, form.radius());
            let pen = if sketch.shows(frame.height, 2.5) { sketch.outline() } else { sketch.edge() };
            sketch.area_with(outline.transformed(&to_paper), Fill::round(tone, lit.0, lit.1), pen);
            let pen = sketch.edge();
            sketch.detail(details.transformed(&to_paper), pen);
        }
        Sight::End { centre, faces_reader } => {
            let to_paper = DAffine2::from_translation(centre);
            let (outline, details) = form.end_on(faces_reader);
            let pen = if sketch.shows(form.radius(), 3.0) { sketch.outline() } else { sketch.edge() };
            sketch.area_with(outline.transformed(&to_paper), tone, pen);
            if sketch.shows(form.radius(), 3.0) {
                let pen = sketch.edge();
                sketch.detail(details.transformed(&to_paper), pen);
            }
        }
    }
}

/// What a piece looks like. Lengths mm.
enum Form {
    /// A tube: outer and inner radius.
    Tube { outer: f64, inner: f64 },
    /// A nut.
    Nut { across_flats: f64, thread: f64, locking: bool, form: NutForm },
    /// A screw's head.
    Head { form: HeadForm, size: f64, thread: f64 },
    /// The free end of a screw.
    End { radius: f64, pitch: f64 },
}

/// Depth of an ISO metric thread over its pitch: root radius = radius − 0.6134·P (ISO 68-1, from memory).
pub(in crate::views) const THREAD_DEPTH: f64 = 0.6134;

/// Slope of a nut's chamfer: 30° (from memory of ISO 4032).
const CHAMFER: f64 = FRAC_PI_6;

impl Form {
    fn of(frame: &AxisFrame<'_>, body: &Body) -> Self {
        let screw = &frame.stack.screw;
        let thread = 0.5 * screw.diameter;
        match (body.role, frame.piece) {
            (Role::Head, _) => Self::Head { form: screw.head_form, size: screw.head_size, thread },
            (Role::ScrewEnd, _) => Self::End { radius: thread, pitch: screw.pitch },
            (_, Some(piece)) => match piece.kind {
                PieceKind::Nut { locking, form, .. } => {
                    Self::Nut { across_flats: piece.outer, thread, locking, form }
                }
                _ => Self::Tube { outer: 0.5 * piece.outer, inner: 0.5 * piece.bore },
            },
            _ => Self::Tube { outer: frame.radius, inner: 0.0 },
        }
    }

    /// The largest radius.
    fn radius(&self) -> f64 {
        match *self {
            Self::Tube { outer, .. } => outer,
            Self::Nut { across_flats, form, .. } => form.corner_radius(across_flats),
            Self::Head { form: HeadForm::Hexagon, size, .. } => hexagon_corner(size),
            Self::Head { size, .. } => 0.5 * size,
            Self::End { radius, .. } => radius,
        }
    }

    /// Outline and inner lines in (height above the base, out from the axis).
    fn side_on(&self, frame: &AxisFrame<'_>, scale: f64) -> (Path, Path) {
        let h = frame.height;
        match *self {
            Self::Tube { outer, .. } => (bar(0.0, h, outer), Path::new()),
            Self::Nut { across_flats, form: NutForm::Square, .. } => {
                // Over its corners, with the edge between two faces in the middle.
                let half = NutForm::Square.corner_radius(across_flats);
                (bar(0.0, h, half), Path::line(DVec2::ZERO, DVec2::new(h, 0.0)))
            }
            Self::Nut { across_flats, form: NutForm::Slot { length }, .. } => {
                // A block with a land that enters the slot's mouth on the side of the head.
                let (long, land) = (0.5 * length.max(across_flats), LAND * h);
                let narrow = 0.6 * long;
                let mut block = bar(land, h, long);
                block.append(&bar(0.0, land, narrow));
                (block, Path::new())
            }
            Self::Nut { across_flats, form: NutForm::Flanged { flange }, .. } => {
                let (foot, rim) = (0.5 * FLANGE * h, FLANGE * h);
                let (above, lines) = hexagon_side(h - rim, across_flats, true, false);
                let lift = DAffine2::from_translation(DVec2::new(rim, 0.0));
                let (mut outline, details) = (above.transformed(&lift), lines.transformed(&lift));
                let (r, e) = (0.5 * flange, hexagon_corner(across_flats));
                let mut cone = Path::new();
                cone.move_to(DVec2::new(0.0, -r)).line_to(DVec2::new(foot, -r)).line_to(DVec2::new(rim, -e));
                cone.line_to(DVec2::new(rim, e)).line_to(DVec2::new(foot, r)).line_to(DVec2::new(0.0, r));
                cone.close();
                outline.append(&cone);
                if scale < 1.2 { (outline, Path::new()) } else { (outline, details) }
            }
            Self::Nut { across_flats, locking, .. } => {
                // A lock nut's insert sits in a round collar above the hexagon (about a third of the
                // height; common practice, no source).
                let hexagon = if locking { 0.68 * h } else { h };
                let (mut outline, mut details) = hexagon_side(hexagon, across_flats, !locking, true);
                if locking {
                    let (r, top) = (0.46 * across_flats, h);
                    let round = (0.5 * (h - hexagon)).min(0.3 * r);
                    let mut collar = Path::new();
                    collar.move_to(DVec2::new(hexagon, -r));
                    collar.line_to(DVec2::new(top - round, -r));
                    collar.arc(DVec2::new(top - round, -r + round), round, -FRAC_PI_2, FRAC_PI_2);
                    collar.line_to(DVec2::new(top, r - round));
                    collar.arc(DVec2::new(top - round, r - round), round, 0.0, FRAC_PI_2);
                    collar.line_to(DVec2::new(hexagon, r));
                    collar.close();
                    outline.append(&collar);
                    details.append(&Path::line(DVec2::new(hexagon, -r), DVec2::new(hexagon, r)));
                }
                if scale < 1.2 { (outline, Path::new()) } else { (outline, details) }
            }
            Self::Head { form, size, .. } => match form {
                HeadForm::Hexagon => hexagon_side(h, size, true, false),
                HeadForm::Button => (dome(h, 0.5 * size), Path::new()),
                HeadForm::Flanged => {
                    let collar = COLLAR * h;
                    let mut outline = bar(0.0, collar, 0.5 * size);
                    let lifted = dome(h - collar, 0.5 * DOME * size);
                    outline.append(&lifted.transformed(&DAffine2::from_translation(DVec2::new(collar, 0.0))));
                    (outline, Path::new())
                }
                HeadForm::Socket | HeadForm::Countersunk | HeadForm::None => {
                    socket_side(h, 0.5 * size, scale)
                }
            },
            Self::End { radius, pitch } => {
                let root = (radius - THREAD_DEPTH * pitch).max(0.5 * radius);
                let chamfer = (radius - root).min(h);
                let outline = Path::polyline(
                    &[
                        DVec2::new(0.0, -radius),
                        DVec2::new(h - chamfer, -radius),
                        DVec2::new(h, -radius + chamfer),
                        DVec2::new(h, radius - chamfer),
                        DVec2::new(h - chamfer, radius),
                        DVec2::new(0.0, radius),
                    ],
                    true,
                );
                let mut details = Path::new();
                if (radius - root) * scale > 0.8 {
                    for side in [-1.0, 1.0] {
                        let r = side * root;
                        details.append(&Path::line(DVec2::new(0.0, r), DVec2::new(h - 0.5 * chamfer, r)));
                    }
                    let end = h - chamfer;
                    details.append(&Path::line(DVec2::new(end, -radius), DVec2::new(end, radius)));
                }
                (outline, details)
            }
        }
    }

    /// Outline and inner lines about the axis.
    fn end_on(&self, faces_reader: bool) -> (Path, Path) {
        let circle = |radius: f64| Path::circle(DVec2::ZERO, radius);
        match *self {
            Self::Tube { outer, inner } => (circle(outer), circle(inner)),
            Self::Nut { across_flats, thread, form: NutForm::Square, .. } => {
                (rectangle(across_flats, across_flats), circle(thread))
            }
            Self::Nut { across_flats, thread, form: NutForm::Slot { length }, .. } => {
                (rectangle(length, across_flats), circle(thread))
            }
            Self::Nut { across_flats, thread, form: NutForm::Flanged { flange }, .. } => {
                let mut details = hexagon(across_flats);
                details.append(&circle(thread));
                (circle(0.5 * flange), details)
            }
            Self::Nut { across_flats, thread, .. } => {
                let mut details = circle(0.48 * across_flats);
                details.append(&circle(thread));
                (hexagon(across_flats), details)
            }
            Self::Head { form, size, thread } => {
                let outline = if form == HeadForm::Hexagon { hexagon(size) } else { circle(0.5 * size) };
                if !faces_reader {
                    return (outline, Path::new());
                }
                let mut details = Path::new();
                match form {
                    HeadForm::Hexagon => details.append(&circle(0.48 * size)),
                    // Socket widths over the thread: ISO 4762 0.83, ISO 7380-1 and ISO 10642 0.67 (M6;
                    // from memory).
                    HeadForm::Socket => details.append(&circle(0.46 * size)).append(&hexagon(1.66 * thread)),
                    HeadForm::Flanged => {
                        details.append(&circle(0.5 * DOME * size)).append(&hexagon(1.34 * thread))
                    }
                    HeadForm::Button | HeadForm::Countersunk | HeadForm::None => {
                        details.append(&hexagon(1.34 * thread))
                    }
                };
                (outline, details)
            }
            Self::End { radius, pitch } => {
                // The root of an outside thread, seen end-on: a thin three-quarter circle (ISO 6410-1).
                let mut root = Path::new();
                root.arc(
                    DVec2::ZERO,
                    (radius - THREAD_DEPTH * pitch).max(0.5 * radius),
                    0.2,
                    3.0 * FRAC_PI_2,
                );
                (circle(radius), root)
            }
        }
    }
}

/// Share of a flange nut's height that its flange takes (ISO 4161, from memory: about 1.2 and a cone of 6 for M6).
const FLANGE: f64 = 0.35;
/// Share of the height of a nut for slots that enters the slot's mouth (own estimate).
const LAND: f64 = 0.35;
/// Share of a collared button head's height and width that its collar takes and its dome has (ISO 7380-2, from memory).
const COLLAR: f64 = 0.36;
const DOME: f64 = 0.74;

/// A rectangle about the axis.
fn rectangle(long: f64, across: f64) -> Path {
    let half = 0.5 * DVec2::new(long, across);
    Path::rect(crate::drawing::Rect::between(-half, half))
}

/// A bar about the axis.
fn bar(from: f64, to: f64, radius: f64) -> Path {
    Path::rect(crate::drawing::Rect::between(DVec2::new(from, -radius), DVec2::new(to, radius)))
}

/// A regular hexagon with corners to the right and left.
fn hexagon(across_flats: f64) -> Path {
    let r = hexagon_corner(across_flats);
    let corners: Vec<DVec2> = (0..6).map(|i| DVec2::from_angle(FRAC_PI_3 * f64::from(i)) * r).collect();
    Path::polyline(&corners, true)
}

/// A hexagon prism from the side with three faces in view, chamfered at its ends; outline and edges.
///
/// The chamfer is a cone that meets the end face in the circle inscribed in the hexagon, so its edge on each
/// flat is an arch: level with the end at the flat's middle, (e − s)/2 · tan 30° below it at the corners.
fn hexagon_side(h: f64, across_flats: f64, top: bool, bottom: bool) -> (Path, Path) {
    let (s, e) = (0.5 * across_flats, hexagon_corner(across_flats));
    let drop = ((e - s) * CHAMFER.tan()).min(0.3 * h);
    let (low, high) = (if bottom { drop } else { 0.0 }, if top { h - drop } else { h });
    let at = DVec2::new;
    let mut outline = Path::new();
    outline.move_to(at(low, -e));
    outline.line_to(at(high, -e));
    if top {
        outline.line_to(at(h, -s)).line_to(at(h, s));
    }
    outline.line_to(at(high, e)).line_to(at(low, e));
    if bottom {
        outline.line_to(at(0.0, s)).line_to(at(0.0, -s));
    }
    outline.close();
    let mut details = Path::new();
    for r in [-0.5 * e, 0.5 * e] {
        details.append(&Path::line(at(low, r), at(high, r)));
    }
    let mut arch = |corner: f64, end: f64, from: f64, to: f64| {
        // A cubic that starts and ends at the corners and touches the end in the middle.
        let peak = corner + (end - corner) * 4.0 / 3.0;
        let third = (to - from) / 4.0;
        details.move_to(at(corner, from));
        details.cubic_to(at(peak, from + third), at(peak, to - third), at(corner, to));
    };
    for (from, to) in [(-e, -0.5 * e), (-0.5 * e, 0.5 * e), (0.5 * e, e)] {
        if top {
            arch(high, h, from, to);
        }
        if bottom {
            arch(low, 0.0, from, to);
        }
    }
    (outline, details)
}

/// A button head: a flat seat under a dome.
fn dome(h: f64, radius: f64) -> Path {
    // The dome ends in a small flat, as wide as the socket's rim.
    let flat = 0.45 * radius;
    let mut path = Path::new();
    path.move_to(DVec2::new(0.0, -radius));
    path.cubic_to(DVec2::new(0.55 * h, -radius), DVec2::new(h, -0.8 * radius), DVec2::new(h, -flat));
    path.line_to(DVec2::new(h, flat));
    path.cubic_to(DVec2::new(h, 0.8 * radius), DVec2::new(0.55 * h, radius), DVec2::new(0.0, radius));
    path.close();
    path
}

/// A cylinder head with a rounded rim and a knurl.
fn socket_side(h: f64, radius: f64, scale: f64) -> (Path, Path) {
    let round = (0.12 * radius).min(0.3 * h);
    let at = DVec2::new;
    let mut path = Path::new();
    path.move_to(at(0.0, -radius));
    path.line_to(at(h - round, -radius));
    path.arc(at(h - round, -radius + round), round, -FRAC_PI_2, FRAC_PI_2);
    path.line_to(at(h, radius - round));
    path.arc(at(h - round, radius - round), round, 0.0, FRAC_PI_2);
    path.line_to(at(0.0, radius)).close();
    let mut details = Path::new();
    if radius * scale > 4.0 {
        details.append(&Path::line(at(h - round, -radius), at(h - round, radius)));
    }
    if radius * scale > 12.0 {
        // The knurl's teeth stand closer towards the edges, as on any cylinder seen from the side.
        for i in -7_i32..=7 {
            let r = radius * (f64::from(i) * 0.2).sin();
            details.append(&Path::line(at(0.1 * h, r), at(h - 1.6 * round, r)));
        }
    }
    (path, details)
}
