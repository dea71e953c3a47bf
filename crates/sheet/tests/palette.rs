//! The palettes: contrast of text, and tones that stand side by side kept apart for colour-blind readers.

use glidewright_sheet::{Colour, Theme, Tone};
use palette::color_difference::{Ciede2000, Wcag21RelativeContrast};
use palette::{FromColor, Lab, LinSrgb, Srgb};

/// Text must reach this contrast with the paper: WCAG 2.1, success criterion 1.4.3.
const TEXT_CONTRAST: f32 = 4.5;
/// Lines, marks and outlines need this: WCAG 2.1, success criterion 1.4.11.
const LINE_CONTRAST: f32 = 3.0;

/// Machado, Oliveira & Fernandes, "A Physiologically-based Model for Simulation of Color Vision
/// Deficiency", IEEE TVCG 15(6), 2009, severity 1.0, for linear RGB (figures from memory; each row must
/// sum to 1, so that greys stay grey, which the test below checks).
const SIGHTS: [(&str, [[f32; 3]; 3]); 4] = [
    ("normal", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
    (
        "protanopia",
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]],
    ),
    (
        "deuteranopia",
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]],
    ),
    (
        "tritanopia",
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]],
    ),
];

fn themes() -> [(&'static str, Theme); 2] {
    [("light", Theme::light()), ("dark", Theme::dark())]
}

fn srgb(c: Colour) -> Srgb<f32> {
    Srgb::new(c.r, c.g, c.b).into_format()
}

fn contrast(a: Colour, b: Colour) -> f32 {
    srgb(a).relative_contrast(srgb(b))
}

fn seen(c: Colour, sight: &[[f32; 3]; 3]) -> Lab {
    let l: LinSrgb<f32> = srgb(c).into_linear();
    let row = |r: &[f32; 3]| (r[0] * l.red + r[1] * l.green + r[2] * l.blue).clamp(0.0, 1.0);
    Lab::from_color(LinSrgb::new(row(&sight[0]), row(&sight[1]), row(&sight[2])))
}

/// Sets of tones that may stand side by side, and the least colour difference (CIEDE2000) at which they
/// must be seen apart. About 1 is just visible side by side; 8 and more is another colour at a glance
/// (common practice, no source).
fn neighbours() -> Vec<(&'static str, Vec<Tone>, f32)> {
    use Tone::*;
    vec![
        ("status lines", vec![Clash, Marginal, Clear, Ink], 10.0),
        ("status areas", vec![ClashFill, MarginalFill, ClearFill, Paper], 8.0),
        ("riders' lines", vec![RiderALine, RiderBLine, RiderCLine], 10.0),
        ("riders' bodies", vec![RiderA, RiderB, RiderC, Paper], 8.0),
        ("a rider's pieces", vec![Tyre, Bearing, Hardware], 8.0),
        ("pieces on rider A's plate", vec![RiderA, Tyre, Hardware, Load], 6.0),
        ("pieces on rider B's plate", vec![RiderB, Tyre, Hardware, Load], 6.0),
        ("rail", vec![Rail, RailShade, Paper, Tyre], 6.0),
        ("rail and riders", vec![Rail, RiderA, RiderB], 6.0),
        ("belt and pulley", vec![Belt, Pulley, Paper], 8.0),
        ("laid over a drawing", vec![Cursor, Highlight, Clash], 8.0),
        ("laid over a drawing, chosen", vec![Selection, Highlight, Clash], 8.0),
        ("causes of resistance", vec![RiderALine, RiderBLine, RiderCLine, Axis, Belt], 8.0),
        ("curves of another trial", vec![Axis, Clear, Marginal, RiderBLine], 8.0),
        ("figures that gain and lose", vec![Clear, Marginal, Ink], 10.0),
        ("cursor and curves", vec![Cursor, RiderBLine, Marginal, Clash], 8.0),
    ]
}

#[test]
fn text_can_be_read() {
    use Tone::*;
    for (name, theme) in themes() {
        for tone in [
            Ink, FaintInk, Dimension, RiderALine, RiderBLine, RiderCLine, Clash, Marginal, Clear, Cursor,
            Selection,
        ] {
            let got = contrast(theme.colour(tone), theme.colour(Paper));
            assert!(got >= TEXT_CONTRAST, "{name} {tone:?}: {got:.2}");
        }
        for area in [ClashFill, MarginalFill, ClearFill, Rail, RiderA, RiderB, RiderC, Load, Obstacle] {
            let got = contrast(theme.colour(Ink), theme.colour(area));
            assert!(got >= TEXT_CONTRAST, "{name} ink on {area:?}: {got:.2}");
        }
    }
}

#[test]
fn lines_can_be_seen() {
    use Tone::*;
    for (name, theme) in themes() {
        for tone in [Outline, Axis] {
            let got = contrast(theme.colour(tone), theme.colour(Paper));
            assert!(got >= LINE_CONTRAST, "{name} {tone:?}: {got:.2}");
        }
        for body in [Rail, RiderA, RiderB, RiderC, Bearing, Hardware, Spacer, Load, Obstacle] {
            // A body is outlined, so either the outline stands out from it or it stands out from the paper.
            let outlined = contrast(theme.colour(Outline), theme.colour(body));
            let bare = contrast(theme.colour(body), theme.colour(Paper));
            assert!(outlined.max(bare) >= LINE_CONTRAST, "{name} {body:?}: {outlined:.2}, {bare:.2}");
        }
    }
}

#[test]
fn neighbours_stay_apart_for_every_sight() {
    let mut close = Vec::new();
    for (name, theme) in themes() {
        for (set, tones, least) in neighbours() {
            for (i, a) in tones.iter().enumerate() {
                for b in &tones[i + 1..] {
                    for (sight, matrix) in &SIGHTS {
                        let lab = |t: &Tone| seen(theme.colour(*t), matrix);
                        let got = lab(a).difference(lab(b));
                        if got < least {
                            close.push(format!("{name}, {set}, {sight}: {a:?} and {b:?} {got:.1} < {least}"));
                        }
                    }
                }
            }
        }
    }
    assert!(close.is_empty(), "\n{}", close.join("\n"));
}

#[test]
fn the_simulation_keeps_greys_and_merges_what_it_should() {
    for (sight, matrix) in &SIGHTS {
        for row in matrix {
            assert!((row.iter().sum::<f32>() - 1.0).abs() < 2e-6, "{sight}: {row:?}");
        }
    }
    // Pure red and a dark olive are told apart by normal sight but close to each other for deuteranopia.
    let (red, olive) = (Colour::hex(0xB00000), Colour::hex(0x6E5E00));
    let difference = |i: usize| seen(red, &SIGHTS[i].1).difference(seen(olive, &SIGHTS[i].1));
    assert!(difference(2) < 0.3 * difference(0), "{} {}", difference(2), difference(0));
}

#[test]
fn every_tone_has_its_own_token() {
    let mut tokens: Vec<&str> = Tone::ALL.iter().map(|t| t.token()).collect();
    tokens.sort_unstable();
    tokens.dedup();
    assert_eq!(tokens.len(), Tone::ALL.len());
    for (i, tone) in Tone::ALL.iter().enumerate() {
        assert_eq!(*tone as usize, i);
    }
}
