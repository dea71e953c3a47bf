//! Projects of which it is known beforehand what share of builds fouls.
#![allow(clippy::unwrap_used, clippy::panic, dead_code, reason = "a test that cannot go on may stop")]

use glidewright_choice::{Builds, Likeness, NoBuilds, Outcome, Question, Standing};
use glidewright_project::{Document, parse};

/// A rider on wheels with a mast that passes below a bar, and whatever else is wanted; nothing but what is given varies near
/// the bar.
#[derive(Default)]
pub struct Project {
    /// Shared sizes.
    pub sizes: String,
    /// Bodies of the mast, from 100 mm above the rail on.
    pub mast: String,
    /// Bodies of what it passes.
    pub bar: String,
    /// Bolts in a shelf whose inner face stands at 60 mm and whose outer one at 66.
    pub bolts: String,
    /// More parts.
    pub parts: String,
    /// Readings.
    pub measured: String,
    /// Required gap.
    pub gap: f64,
}

impl Project {
    pub fn document(&self) -> Document {
        let Self { sizes, mast, bar, bolts, parts, measured, gap } = self;
        let load = if mast.is_empty() {
            String::new()
        } else {
            format!("(name: \"mast\", mass: 20, bodies: [{mast}])")
        };
        let shelf = if bolts.is_empty() {
            ""
        } else {
            "(name: \"shelf\", outline: rectangle(from: (-40, -40), to: (40, 40)), thickness: 6, level: 60, material: \"PETG\"),"
        };
        let text = format!(
            r#"(format: 2, name: "Known share", sizes: {{{sizes}}},
                rail: (section: "grooved 30x30", length: 900),
                riders: [(name: "tray", faces: front, at: 150,
                    stack: (screw: "ISO 4762 M5", length: 45, pieces: [(plate: "deck"), (spacer: "tube M5", length: 10),
                        (shim: "ring M5"), (wheel: "vee wheel 20, bore 5"), (shim: "ring M5"), (nut: "ISO 7040 M5")]),
                    wheels: [(name: "first", pair: "middle", along: 30), (name: "last", pair: "middle", along: -30)],
                    plates: [(name: "deck", outline: around(margin: 12, corner: 4), thickness: 6, material: "PETG"), {shelf}],
                    bolts: [{bolts}], loads: [{load}])],
                obstacles: [(name: "bar", bodies: [{bar}])],
                parts: [
                    (name: "exact screw", material: "steel, plain carbon", form: screw(diameter: 5, pitch: 0.8, head: socket, head_size: 8.5, head_height: 5)),
                    (name: "exact nut", material: "steel, plain carbon", form: nut(diameter: 5, pitch: 0.8, flats: 8, height: 5, locking: true)),
                    {parts}],
                measured: [{measured}],
                limits: (gap: {gap}),
                stroke: (to: 500))"#
        );
        parse(&text).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"))
    }

    /// A mast whose top stands at 110 mm and what is added in a formula, below a bar whose lower face is `gap` higher.
    pub fn passing(sizes: &str, formula: &str, gap: f64) -> Self {
        Self {
            sizes: sizes.to_owned(),
            mast: format!("box(from: (-8, -8, 100), to: (8, 8, \"110 + {formula}\"))"),
            bar: bar(110.0 + gap),
            gap: 0.5,
            ..Self::default()
        }
    }
}

/// A bar across the way with its lower face at a height.
pub fn bar(height: f64) -> String {
    format!("box(from: (400, -60, {height:?}), to: (412, 60, {:?}))", height + 8.0)
}

/// As drawn, each piece as it usually is but for what is told.
pub fn question(likeness: &[(&str, Likeness)]) -> Question {
    let likeness = likeness.iter().map(|(path, likeness)| ((*path).to_owned(), *likeness)).collect();
    Question { seed: 1, standing: Standing::Drawn, likeness, ..Question::default() }
}

pub fn begin(document: &Document, question: &Question) -> Builds {
    Builds::begin(document, None, question).unwrap_or_else(|why| match why {
        NoBuilds::Problems(problems) => panic!("{problems:#?}"),
        other => panic!("{other:?}"),
    })
}

/// So many builds of a project.
pub fn built(project: &Project, likeness: &[(&str, Likeness)], samples: u64) -> Outcome {
    let mut builds = begin(&project.document(), &question(likeness));
    builds.advance(samples, &|| false);
    builds.outcome()
}

/// A share counted among random builds against what it is in truth: within four standard deviations, of which one check in
/// 16 000 falls outside by chance (with the seed given, never or always).
pub fn agrees(count: u64, of: u64, truth: f64) {
    let found = count as f64 / of as f64;
    let deviation = (truth * (1.0 - truth) / of as f64).sqrt();
    assert!((found - truth).abs() < 4.0 * deviation, "{found} of {of}, {truth} ± {deviation} in truth");
    // A check that could not tell a share from half or twice as much would be none.
    assert!(deviation < 0.12 * truth, "{of} builds are too few for {truth}");
}
