//! The picture of the rail's frame for the handbook: which side is left, how sections and plates are drawn.
//!
//! Directions come from the engine's own, so the picture cannot say otherwise. `GLIDEWRIGHT_SNAPSHOTS=write` writes it
//! anew: look at it before keeping it.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use std::path::Path as FilePath;

use glidewright_geometry::DVec3;
use glidewright_motion::Facing;
use glidewright_sheet::{
    DVec2, Drawing, End, Label, Panel, Path, Pen, PngOptions, Polyline, Rect, Shape, SvgOptions, Theme, Tone,
    png, svg,
};

const SIZE: DVec2 = DVec2::new(760.0, 480.0);
const WORD_PT: f64 = 9.0;

/// A way to look: what is to the right, up and towards the reader.
struct Look {
    right: DVec3,
    up: DVec3,
}

impl Look {
    fn flat(&self, p: DVec3) -> DVec2 {
        DVec2::new(p.dot(self.right), p.dot(self.up))
    }

    fn toward(&self) -> DVec3 {
        self.right.cross(self.up)
    }
}

fn panel(frame: Rect, middle: DVec2, title: &str, below: &str) -> Panel {
    let mut panel = Panel::centred(title, frame, middle, 1.0);
    let top = panel.world_from_pt(frame.min + DVec2::new(0.0, 12.0)).unwrap();
    panel.add(Label::new(title, top, 10.0).bold().anchored(0.0, 0.5));
    let next = panel.world_from_pt(frame.min + DVec2::new(0.0, 25.0)).unwrap();
    panel.add(Label::new(below, next, 8.0).anchored(0.0, 0.5));
    panel
}

fn word(panel: &mut Panel, text: &str, at: DVec2) {
    panel.add(Label::new(text, at, WORD_PT).anchored(0.5, 0.5));
}

/// The three axes from a point, as they are seen.
fn axes(panel: &mut Panel, look: &Look, at: DVec2, length: f64) {
    for (name, axis) in [("x", DVec3::X), ("y", DVec3::Y), ("z", DVec3::Z)] {
        let way = look.flat(axis);
        if way.length() > 0.5 {
            let line = Polyline::new(vec![at + 4.0 * way, at + length * way], Pen::new(Tone::Cursor, 1.3));
            panel.add(line.ends(End::Plain, End::Arrow));
            let label = Label::new(name, at + (length + 7.0) * way, 10.0).bold().toned(Tone::Cursor);
            panel.add(label.anchored(0.5, 0.5));
            continue;
        }
        // A dot is the tip of an arrow, a cross its feathers.
        let pen = Pen::new(Tone::Cursor, 1.3);
        panel.add(Shape::new(Path::circle(at, 4.0)).filled(Tone::Paper).stroked(pen));
        let comes = axis.dot(look.toward()) > 0.0;
        if comes {
            panel.add(Shape::new(Path::circle(at, 1.4)).filled(Tone::Cursor));
        } else {
            let d = 4.0 * std::f64::consts::FRAC_1_SQRT_2;
            for way in [DVec2::new(d, d), DVec2::new(d, -d)] {
                panel.add(Polyline::new(vec![at - way, at + way], pen));
            }
        }
        let aside = (look.flat(DVec3::X) + look.flat(DVec3::Y) + look.flat(DVec3::Z)).signum();
        let label = Label::new(name, at - 9.0 * aside, 10.0).bold().toned(Tone::Cursor);
        panel.add(label.anchored(0.5, 0.5));
    }
}

fn rail(panel: &mut Panel, corners: [DVec2; 2]) {
    let shape = Shape::new(Path::rect(Rect::between(corners[0], corners[1]))).filled(Tone::Rail);
    panel.add(shape.stroked(Pen::new(Tone::Outline, 1.0)));
}

fn face_on(frame: Rect, look: &Look, title: &str, below: &str) -> Panel {
    let ends = [DVec3::new(0.0, 22.0, 0.0), DVec3::new(180.0, -22.0, 0.0)].map(|p| look.flat(p));
    let mut panel = panel(frame, 0.5 * (ends[0] + ends[1]) + DVec2::new(0.0, 10.0), title, below);
    rail(&mut panel, ends);
    word(&mut panel, "front face", look.flat(DVec3::new(135.0, 0.0, 0.0)));
    for (name, y) in [("left", 42.0), ("right", -42.0)] {
        word(&mut panel, name, look.flat(DVec3::new(100.0, y, 0.0)));
    }
    axes(&mut panel, look, look.flat(DVec3::ZERO), 64.0);
    panel
}

/// The section of the tests, with a notch at the left of its front.
fn end_on(frame: Rect) -> Panel {
    let look = Look { right: DVec3::NEG_Y, up: DVec3::Z };
    let title = "The section, from the lower or left end";
    let mut panel =
        panel(frame, DVec2::new(0.0, 12.0), title, "front face up, x (cross) away from the reader");
    let section = [(6, 30), (-30, 30), (-30, -30), (30, -30), (30, 14), (14, 14), (14, 30), (6, 30)];
    let corners: Vec<DVec2> =
        section.iter().map(|(y, z)| look.flat(DVec3::new(0.0, f64::from(*y), f64::from(*z)))).collect();
    let shape = Shape::new(Path::polyline(&corners, true)).filled(Tone::Rail);
    panel.add(shape.stroked(Pen::new(Tone::Outline, 1.0)));
    for (facing, name, tone) in FACINGS {
        let (out, across) = (look.flat(facing.outward()), look.flat(facing.outward().cross(DVec3::X)));
        let bar = Rect::between(56.0 * out + 26.0 * across, 60.0 * out - 26.0 * across);
        panel.add(Shape::new(Path::rect(bar)).filled(tone).stroked(Pen::new(Tone::Outline, 0.8)));
        word(&mut panel, name, out * if out.x == 0.0 { 42.0 } else { 43.0 });
        let tip = Polyline::new(vec![60.0 * out, 78.0 * out], Pen::new(Tone::Outline, 0.9));
        panel.add(tip.ends(End::Plain, End::Arrow));
    }
    axes(&mut panel, &look, DVec2::new(4.0, -4.0), 16.0);
    panel
}

const FACINGS: [(Facing, &str, Tone); 4] = [
    (Facing::Front, "front", Tone::RiderA),
    (Facing::Rear, "rear", Tone::RiderB),
    (Facing::Left, "left", Tone::RiderC),
    (Facing::Right, "right", Tone::Load),
];

/// One plate as its drawing shows it: from outside, the rail running to the right.
fn plate(frame: Rect, facing: Facing, name: &str, tone: Tone) -> Panel {
    let look = Look { right: DVec3::X, up: facing.drawn_up() };
    assert!(look.toward().distance(facing.outward()) < 1e-12, "seen from outside");
    let mut panel = panel(
        frame,
        DVec2::new(4.0, 14.0),
        &format!("faces: {name}"),
        "path(\"M-40 40 H40 V0 H0 V-40 H-40 Z\")",
    );
    let corners = [(-40, -40), (40, -40), (40, 0), (0, 0), (0, 40), (-40, 40), (-40, -40)];
    let corners: Vec<DVec2> = corners.iter().map(|(x, y)| DVec2::new(f64::from(*x), f64::from(*y))).collect();
    let shape = Shape::new(Path::polyline(&corners, true)).filled(tone);
    panel.add(shape.stroked(Pen::new(Tone::Outline, 1.0)));
    axes(&mut panel, &look, DVec2::ZERO, 62.0);
    panel
}

fn picture() -> Drawing {
    let mut drawing =
        Drawing::new("The rail's frame: left, right, and how plates and sections are drawn", SIZE);
    let upright = Look { right: DVec3::X.cross(DVec3::Z), up: DVec3::X };
    let lying = Look { right: DVec3::X, up: DVec3::Y };
    let top = 270.0;
    drawing.panels = vec![
        face_on(
            Rect::at(16.0, 8.0, 226.0, top),
            &upright,
            "Upright, before the front face",
            "x up: y points left, z (dot) towards the reader",
        ),
        face_on(
            Rect::at(258.0, 8.0, 250.0, top),
            &lying,
            "Lying, before the front face",
            "x to the right: y points up, z towards the reader",
        ),
        end_on(Rect::at(530.0, 8.0, 224.0, top)),
    ];
    for (number, (facing, name, tone)) in FACINGS.into_iter().enumerate() {
        let frame = Rect::at(16.0 + 185.0 * number as f64, top + 20.0, 180.0, SIZE.y - top - 28.0);
        drawing.panels.push(plate(frame, facing, name, tone));
    }
    drawing
}

#[test]
fn the_handbook_shows_the_frame() {
    let file = FilePath::new(env!("CARGO_MANIFEST_DIR")).join("../../assets/pictures/frame.svg");
    let page = picture().page();
    assert_eq!(page.skipped, 0);
    let now = svg(&page, &Theme::light(), SvgOptions { embed_fonts: false }).unwrap();
    if std::env::var("GLIDEWRIGHT_SNAPSHOTS").is_ok_and(|wish| wish == "write") {
        std::fs::write(&file, &now).unwrap();
        // To be looked at, in the program's own typefaces.
        let folder = std::env::temp_dir().join("glidewright-snapshots");
        std::fs::create_dir_all(&folder).unwrap();
        let picture = png(&page, &Theme::light(), PngOptions { width_px: 2 * SIZE.x as u32 }).unwrap();
        std::fs::write(folder.join("frame.png"), picture).unwrap();
    }
    let kept = std::fs::read_to_string(&file).unwrap();
    assert!(kept == now, "the picture of the frame is not as it is drawn; write it anew and look at it");
}
