//! Rails: built in, and of the fixture's own, with what runs on them.

use super::hand::Hand;
use super::random::Random;

/// What kind of track a rail has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Run {
    /// Grooves with flanks.
    Vee,
    /// Plain faces.
    Flat,
    /// A round rod or edge.
    Round,
}

/// A rail as the riders need to know it.
pub(super) struct Rail {
    /// Its part's name, in quotes.
    pub section: String,
    /// The part, if it is no built-in one.
    pub part: Option<String>,
    pub run: Run,
    /// Half its extent in y and z (mm).
    pub half: (f64, f64),
    /// Width of a groove's mouth or of a face, or radius of the edge (mm).
    pub mouth: f64,
    /// Half angle of a groove (deg).
    pub angle: f64,
    /// Tracks on the left and right, by place: words after the side, and z.
    pub sides: Vec<(&'static str, f64)>,
    /// Tracks on the front and rear, by place, and y.
    pub faces: Vec<(&'static str, f64)>,
    /// Whether tracks make named pairs.
    pub pairs: bool,
}

/// Module, mouth, channel, lip, cavity, bottom, depth, corner and bore of the built-in grooved rails (mm).
const MODULES: [[f64; 9]; 5] = [
    [15.0, 5.8, 3.2, 1.5, 5.6, 2.6, 4.0, 0.8, 2.6],
    [20.0, 9.0, 6.2, 1.8, 11.0, 6.0, 6.1, 1.5, 4.2],
    [30.0, 11.0, 8.2, 2.2, 16.5, 9.0, 9.3, 2.0, 6.8],
    [40.0, 11.0, 8.2, 4.5, 20.0, 12.0, 12.0, 2.5, 6.8],
    [45.0, 13.0, 10.2, 4.5, 20.0, 12.0, 14.0, 3.0, 10.0],
];

/// Names of `count` tracks on a face, from one end to the other.
fn places(count: usize, ends: [&'static str; 2], module: f64) -> Vec<(&'static str, f64)> {
    let at = |i: usize| module * (i as f64 + 0.5 - 0.5 * count as f64);
    match count {
        1 => vec![("", 0.0)],
        3 => vec![(ends[0], at(0)), ("middle", 0.0), (ends[1], at(2))],
        n => vec![(ends[0], at(0)), (ends[1], at(n - 1))],
    }
}

pub(super) fn rail(random: &mut Random, hand: &Hand) -> Rail {
    match random.below(20) {
        0..=7 => built_in_grooved(random),
        8 | 9 => own_grooved(random, hand),
        10 | 11 => bar(random, hand),
        12 | 13 => rod(random, hand),
        _ => outline(random, hand),
    }
}

fn grooved(columns: usize, rows: usize, module: f64, mouth: f64, angle: f64) -> Rail {
    Rail {
        section: String::new(),
        part: None,
        run: Run::Vee,
        half: (0.5 * module * columns as f64, 0.5 * module * rows as f64),
        mouth,
        angle,
        sides: places(rows, ["rear", "front"], module),
        faces: places(columns, ["left", "right"], module),
        pairs: true,
    }
}

fn built_in_grooved(random: &mut Random) -> Rail {
    let [module, mouth, ..] = random.pick(&MODULES);
    let most = if module < 18.0 {
        3
    } else if module < 25.0 {
        4
    } else {
        2
    };
    let (columns, rows) = match random.below(4) {
        0 => (1, 1),
        1 => (random.count(1, most), 1),
        2 => (1, random.count(1, most)),
        _ => (2, 2),
    };
    // A stream of its own, so that all else of a seed stays as it was.
    let module =
        if module == 20.0 && columns.max(rows) <= 2 && random.aside().chance(0.4) { 25.0 } else { module };
    let several = columns == 2 && rows == 2 && module < 30.0;
    let name = format!("grooved {}x{}", module * columns as f64, module * rows as f64);
    let name = if several { format!("{name} by {module}") } else { name };
    // Vee wheels run on the square lips of a plain mouth too.
    let slot = if module < 25.0 {
        ("slot 6", 6.2)
    } else if module < 45.0 {
        ("slot 8", 8.2)
    } else {
        ("slot 10", 10.2)
    };
    let is_plain = matches!((columns, rows), (1, 1) | (1, 2) | (2, 1)) && ![15.0, 25.0].contains(&module);
    if is_plain && random.aside().aside().chance(0.3) {
        let name = name.replacen("grooved", slot.0, 1);
        return Rail { section: format!("{name:?}"), ..grooved(columns, rows, module, slot.1, 45.0) };
    }
    Rail { section: format!("{name:?}"), ..grooved(columns, rows, module, mouth, 45.0) }
}

fn own_grooved(random: &mut Random, hand: &Hand) -> Rail {
    let [module, mouth, channel, lip, cavity, bottom, depth, corner, bore] = random.pick(&MODULES);
    let grow = random.pick(&[1.0, 1.0, 1.1, 0.9]);
    let any = random.between(35.0, 55.0);
    let angle = random.pick(&[45.0, 30.0, 40.0, 60.0, any]);
    let (columns, rows) = (random.count(1, 2), random.count(1, 2));
    let channel = channel * grow;
    let mouth = mouth * grow;
    // The flanks end within the lips.
    let mouth = mouth.min(channel + 2.0 * lip * f64::to_radians(angle).tan() * 0.98);
    let name = hand.name("own grooved");
    let mm = |x: f64| hand.mm(x);
    let part = format!(
        "(name: {name}, form: rail(grooved(module: {}, columns: {columns}, rows: {rows}, mouth: {}, half_angle: {angle:?}, \
         channel: {}, lip: {}, cavity: {}, bottom: {}, depth: {}, corner: {}, bore: {})), material: \"Al 6063-T5\")",
        mm(module * grow),
        mm(mouth),
        mm(channel),
        mm(lip),
        mm(cavity * grow),
        mm(bottom * grow),
        mm(depth * grow.min(1.0)),
        mm(corner * grow.min(1.0)),
        mm(bore * grow.min(1.0)),
    );
    Rail { section: name, part: Some(part), ..grooved(columns, rows, module * grow, mouth, angle) }
}

fn bar(random: &mut Random, hand: &Hand) -> Rail {
    let made = |section: String, part, (width, depth): (f64, f64), corner: f64| Rail {
        section,
        part,
        run: Run::Flat,
        half: (0.5 * width, 0.5 * depth),
        mouth: depth - 2.0 * corner,
        angle: 0.0,
        sides: vec![("", 0.0)],
        faces: vec![("", 0.0)],
        pairs: true,
    };
    let (width, depth, corner) = random.pick(&[(20.0, 4.0, 0.3), (30.0, 5.0, 0.3), (40.0, 10.0, 0.5)]);
    if random.chance(0.4) {
        return made(format!("\"flat bar {width}x{depth}\""), None, (width, depth), corner);
    }
    let (width, depth) = (random.size(12.0, 80.0), random.size(6.0, 30.0));
    let corner = random.pick(&[0.0, 0.5, 0.3 * depth.min(width)]);
    let name = hand.name("own bar");
    let part = format!(
        "(name: {name}, form: rail(flat_bar(width: {}, depth: {}, corner: {})), material: \"steel, plain carbon\")",
        hand.mm(width),
        hand.mm(depth),
        hand.mm(corner)
    );
    made(name, Some(part), (width, depth), corner)
}

fn rod(random: &mut Random, hand: &Hand) -> Rail {
    let own = random.chance(0.4);
    let diameter = if own { random.size(5.0, 30.0) } else { random.pick(&[6.0, 8.0, 10.0, 12.0]) };
    // A stream of its own, so that all else of a seed stays as it was.
    let beside = &mut Random::new(diameter.to_bits());
    if beside.chance(0.5) {
        return rods(beside, hand, diameter);
    }
    let name = hand.name("own rod");
    let part = format!(
        "(name: {name}, form: rail(rod(diameter: {})), material: \"steel, plain carbon\")",
        hand.mm(diameter)
    );
    Rail {
        section: if own { name } else { format!("\"rod {diameter}\"") },
        part: own.then_some(part),
        run: Run::Round,
        half: (0.5 * diameter, 0.5 * diameter),
        mouth: 0.5 * diameter,
        angle: 0.0,
        sides: vec![("", 0.0)],
        faces: vec![("", 0.0)],
        pairs: true,
    }
}

/// Two rods, wheels outside both or on the front and rear of either.
fn rods(random: &mut Random, hand: &Hand, diameter: f64) -> Rail {
    let half = 0.5 * random.size(diameter + 10.0, diameter + 80.0);
    let name = hand.name("own rods");
    let part = format!(
        "(name: {name}, form: rail(rods(diameter: {}, apart: {})), material: \"steel, plain carbon\")",
        hand.mm(diameter),
        hand.mm(2.0 * half)
    );
    Rail {
        section: name,
        part: Some(part),
        run: Run::Round,
        half: (half + 0.5 * diameter, 0.5 * diameter),
        mouth: 0.5 * diameter,
        angle: 0.0,
        sides: vec![("outer", 0.0)],
        faces: vec![("left", -half), ("right", half)],
        pairs: true,
    }
}

/// A closed outline being drawn in (y, z).
struct Path<'a> {
    hand: &'a Hand,
    d: String,
}

impl Path<'_> {
    /// As it looks on screen from the rail's end with the front face up.
    fn point(&self, y: f64, z: f64) -> String {
        format!("{:?} {:?}", self.hand.y(y), 0.0 - z)
    }

    fn start(&mut self, y: f64, z: f64) {
        self.d += &format!("M{} ", self.point(y, z));
    }

    fn line(&mut self, y: f64, z: f64) {
        self.d += &format!("L{} ", self.point(y, z));
    }

    /// A half circle or less, counter-clockwise in (y, z).
    fn arc(&mut self, radius: f64, y: f64, z: f64) {
        let sweep = u8::from(self.hand.manner.mirrored);
        self.d += &format!("A{radius:?} {radius:?} 0 0 {sweep} {} ", self.point(y, z));
    }

    fn close(&mut self) {
        self.d += "Z ";
    }

    fn hole(&mut self, y: f64, z: f64, radius: f64) {
        self.start(y - radius, z);
        self.arc(radius, y + radius, z);
        self.arc(radius, y - radius, z);
        self.close();
    }
}

fn outline(random: &mut Random, hand: &Hand) -> Rail {
    let mut path = Path { hand, d: String::new() };
    let (w, h) = (random.size(8.0, 40.0), random.size(6.0, 30.0));
    let (mut run, mut mouth, mut angle, mut lip) = (Run::Flat, 2.0 * h, 0.0, 0.0);
    let mut faces = vec![("", 0.0)];
    match random.below(5) {
        // A bar with a vee in either side.
        0 => {
            run = Run::Vee;
            angle = random.pick(&[45.0, 30.0, 60.0]);
            mouth = random.size(6.0, 9.0).min(1.6 * h);
            let tan = f64::to_radians(angle).tan();
            lip = random.between(0.3, 0.45) * mouth / tan;
            lip = lip.min(0.6 * w);
            let inner = 0.5 * mouth - lip * tan;
            let corners = [
                (w, -h),
                (w, -0.5 * mouth),
                (w - lip, -inner),
                (w - lip, inner),
                (w, 0.5 * mouth),
                (w, h),
                (-w, h),
                (-w, 0.5 * mouth),
                (lip - w, inner),
                (lip - w, -inner),
                (-w, -0.5 * mouth),
            ];
            path.start(-w, -h);
            corners.iter().for_each(|&(y, z)| path.line(y, z));
            path.close();
        }
        // An H with its webs at the sides.
        1 => {
            let (web, flange) = (0.3 * w, 0.35 * h);
            let ring = [
                (-w, -h),
                (web - w, -h),
                (web - w, -flange),
                (w - web, -flange),
                (w - web, -h),
                (w, -h),
                (w, h),
                (w - web, h),
                (w - web, flange),
                (web - w, flange),
                (web - w, h),
                (-w, h),
            ];
            path.start(ring[0].0, ring[0].1);
            ring[1..].iter().for_each(|&(y, z)| path.line(y, z));
            path.close();
            faces.clear();
        }
        // Round edges.
        2 => {
            run = Run::Round;
            mouth = h;
            path.start(-w, -h);
            path.line(w, -h);
            path.arc(h, w, h);
            path.line(-w, h);
            path.arc(h, -w, -h);
            path.close();
            faces.clear();
        }
        // Notched top and bottom, in many pieces.
        3 => {
            let notches = random.count(1, 6);
            let pitch = 2.0 * w / (2 * notches + 1) as f64;
            let deep = random.between(0.2, 0.8) * h;
            path.start(-w, -h);
            let notch = |path: &mut Path<'_>, from: f64, step: f64, face: f64, floor: f64| {
                for i in 0..notches {
                    let at = from + step * (2 * i + 1) as f64;
                    path.line(at, face);
                    path.line(at + 0.1 * step, floor);
                    path.line(at + 0.9 * step, floor);
                    path.line(at + step, face);
                }
            };
            notch(&mut path, -w, pitch, -h, deep - h);
            path.line(w, -h);
            path.line(w, h);
            notch(&mut path, w, -pitch, h, h - deep.min(0.7 * h) * 0.5);
            path.line(-w, h);
            path.close();
            faces.clear();
        }
        // A plain bar with rounded corners and holes.
        _ => {
            let r = random.between(0.05, 0.9) * w.min(h);
            path.start(r - w, -h);
            path.line(w - r, -h);
            path.arc(r, w, r - h);
            path.line(w, h - r);
            path.arc(r, w - r, h);
            path.line(r - w, h);
            path.arc(r, -w, h - r);
            path.line(-w, r - h);
            path.arc(r, r - w, -h);
            path.close();
            mouth = 2.0 * (h - r);
            let holes = random.below(4);
            for i in 0..holes {
                let y = w * (2.0 * (i as f64 + 0.5) / holes as f64 - 1.0);
                path.hole(y, 0.0, 0.3 * h.min(w / holes as f64));
            }
        }
    }
    let profile = match run {
        Run::Vee => format!("vee(mouth: {}, half_angle: {angle:?}, lip: {})", hand.mm(mouth), hand.mm(lip)),
        Run::Flat => format!("flat(width: {})", hand.mm(mouth)),
        Run::Round => format!("round(radius: {})", hand.mm(mouth)),
    };
    let edge = if run == Run::Round { w + h } else { w };
    let mut tracks = Vec::new();
    for (side, y, turned) in [("right", edge, 0.0), ("left", -edge, 180.0)] {
        let faces = if hand.manner.mirrored { 180.0 - turned } else { turned };
        tracks.push(format!(
            "(name: {:?}, at: ({}, 0), faces: {faces:?}, profile: {profile})",
            hand.side(side),
            hand.mm(hand.y(y))
        ));
    }
    if !faces.is_empty() {
        for (side, z, turned) in [("front", h, 90.0), ("rear", -h, 270.0)] {
            tracks.push(format!(
                "(name: {side:?}, at: (0, {}), faces: {turned:?}, profile: flat(width: {}))",
                hand.mm(z),
                hand.mm(1.4 * w)
            ));
        }
    }
    let name = hand.name("own section");
    let part = format!(
        "(name: {name}, form: rail(outline(d: {:?}, tracks: {})), material: \"Al 6061-T6\")",
        path.d.trim_end(),
        hand.list(tracks)
    );
    // Vee wheels run at the sides; the plain faces are for plain wheels.
    if run != Run::Flat {
        faces.clear();
    }
    Rail {
        section: name,
        part: Some(part),
        run,
        half: (edge, h),
        mouth,
        angle,
        sides: vec![("", 0.0)],
        faces,
        pairs: false,
    }
}
