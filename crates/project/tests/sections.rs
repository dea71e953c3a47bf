//! Grooved rails of a person's own sizes: every one that is sound is placed, and what is not sound is told.

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_geometry::{Side, decompose};
use glidewright_project::document::{Document, GroovedPart, Part, PartForm, RailPart};
use glidewright_project::{parse, resolve};
use glidewright_samples::COPY_STAND;

/// A repeatable generator (Marsaglia's xorshift).
struct Random(u64);

impl Random {
    fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
    fn one_in(&mut self, n: usize) -> bool {
        (self.unit() * n as f64) < 1.0
    }
}

/// A document with a rail of these sizes (mm; degrees): module, columns, rows, mouth, half angle, channel, lip, cavity,
/// bottom, depth, corner, bore.
fn with_rail(sizes: [f64; 12]) -> Document {
    let mut document = parse(COPY_STAND).unwrap();
    let [module, columns, rows, mouth, half_angle, channel, lip, cavity, bottom, depth, corner, bore] = sizes;
    let form = PartForm::Rail(RailPart::Grooved(GroovedPart {
        module: module.into(),
        columns: columns.into(),
        rows: rows.into(),
        mouth: mouth.into(),
        half_angle: half_angle.into(),
        channel: channel.into(),
        lip: lip.into(),
        cavity: cavity.into(),
        bottom: bottom.into(),
        depth: depth.into(),
        corner: corner.into(),
        bore: bore.into(),
        chamber: 0.0.into(),
    }));
    document.parts.push(Part { material: "Al 6063-T5".into(), ..Part::new("own", form) });
    document.rail.section = "own".into();
    document
}

/// Problems told about the section.
fn told(document: &Document) -> Vec<String> {
    let about = |text: &String| text.starts_with("parts/own") || text.starts_with("rail/section");
    let problems = resolve(document, None).problems;
    problems.iter().map(|p| format!("{}: {}", p.place, p.message)).filter(about).collect()
}

#[test]
fn sound_sections_are_placed_whatever_their_sizes() {
    let mut random = Random(0x9e37_79b9_7f4a_7c15);
    let mut compared = 0;
    for _ in 0..300 {
        let module = random.between(12.0, 60.0) * if random.one_in(3) { 25.4 / 20.0 } else { 1.0 };
        let half = 0.5 * module;
        let depth = half * random.between(0.2, 0.7);
        // A diagonal wall between the cavities of neighbouring sides, sometimes thin.
        let wall = (half - depth) * if random.one_in(3) { 1e-4 } else { random.between(0.05, 0.4) };
        let cavity = 2.0 * (half - depth - wall);
        let channel = cavity * if random.one_in(4) { 1.0 } else { random.between(0.2, 1.0) };
        let half_angle: f64 = if random.one_in(2) { 45.0 } else { random.between(20.0, 70.0) };
        let lip = depth * random.between(0.2, 0.9);
        // Flanks as deep as the lips are thick, but for rounding, end where the channel does.
        let flank = lip * if random.one_in(3) { 1.0 } else { random.between(0.1, 1.0) };
        let mouth = (channel + 2.0 * flank * half_angle.to_radians().tan()).min(0.98 * module);
        // A cavity may narrow nearly to an edge, or along all of its depth.
        let bottom = match (random.unit() * 4.0) as u32 {
            0 => 1e-3 * cavity,
            1 => cavity,
            2 => (cavity - 2.0 * (depth - lip)).max(1e-3 * cavity),
            _ => cavity * random.unit(),
        };
        // A corner rounder than the lips are thick may cut into a cavity.
        let corner = (0.5 * (module - mouth)).min(lip) * [0.0, 1.0, 0.5][(random.unit() * 3.0) as usize];
        let bore = if random.one_in(2) { 0.0 } else { (module - 2.0 * depth) * random.between(0.1, 0.95) };
        // The demo's wheels run on the tracks of such a rail.
        let (columns, rows) = (1.0, 2.0);
        let sizes =
            [module, columns, rows, mouth, half_angle, channel, lip, cavity, bottom, depth, corner, bore];
        let document = with_rail(sizes);
        assert_eq!(told(&document), Vec::<String>::new(), "{sizes:?}");
        // The demo's wheels do not enter every mouth; without a wheel there is no fixture.
        let Some(fixture) = resolve(&document, None).fixture else { continue };
        compared += 1;
        let section = &fixture.rail.bars[0];
        let pieces = decompose(section, 0.01, Side::Outer).unwrap_or_else(|e| panic!("{e}: {sizes:?}"));
        let area: f64 = pieces.iter().map(glidewright_geometry::Outline::area).sum();
        let chords: f64 = section.holes.iter().map(glidewright_geometry::Outline::perimeter).sum();
        let off = area - section.area();
        assert!(off > -1e-9 * area && off < 0.01 * chords + 1e-9 * area, "{off}: {sizes:?}");
    }
    assert!(compared > 100, "{compared}");
}

#[test]
fn sizes_that_round_to_each_other_are_no_fault() {
    // Flanks 0.1 + 0.2 deep on lips of 0.3; a cavity whose taper takes all of 1.1 − 0.3.
    let third = 0.1 + 0.2;
    let sizes =
        [20.0, 1.0, 2.0, 4.0 + 2.0 * third, 45.0, 4.0, 0.3, 8.0, 8.0 - 2.0 * (1.1 - 0.3), 1.1, 1.0, 0.0];
    assert_eq!(told(&with_rail(sizes)), Vec::<String>::new());
}

#[test]
fn cavities_that_meet_round_a_corner_are_told() {
    let sizes = [20.0, 1.0, 1.0, 6.0, 45.0, 6.0, 2.0, 14.0, 14.0, 6.0, 1.0, 0.0];
    let told = told(&with_rail(sizes));
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("not sound") && told[0].contains("cross or touch"), "{told:?}");
}
