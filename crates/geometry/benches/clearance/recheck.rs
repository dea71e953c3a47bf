//! The whole recheck: envelopes and exact minima, against the peer; growth; what a change costs.

use glidewright_geometry::{Ask, DVec3};

use crate::fixture::{Fixture, fixture};
use crate::measure::{compared, goal, seconds, timed};
use crate::peer;

/// Positions at which the envelope is wanted.
const POSITIONS: usize = 601;

/// How far the tilted rider leans (rad).
const TILT: f64 = 0.1 * std::f64::consts::PI / 180.0;

pub fn ask() -> Ask {
    Ask { from: 0.0, to: 600.0, positions: POSITIONS, below: 0.5, horizon: 1.0, ceiling: f64::INFINITY }
}

fn whole(fixture: &Fixture) -> Option<glidewright_geometry::Effort> {
    let mut built = fixture.build()?;
    built.scene.sweep(&ask());
    Some(built.scene.effort())
}

pub fn against_the_peer() {
    println!(
        "Whole recheck, 40 pieces a rider, 20 fixed, {POSITIONS} positions; the scene is built anew each time"
    );
    for (name, tilt, most, ratio) in [("level", 0.0, 0.5, 25.0), ("tilted 0.1 deg", TILT, 2.0, 5.0)] {
        let fixture = fixture(40, 20, tilt);
        let Some(pieces) = peer::pieces(&fixture) else { continue };
        let found = compared(7, || whole(&fixture), || peer::culled(&fixture, &pieces, POSITIONS));
        let brute = seconds(0.001, &mut || peer::brute(&fixture, &pieces, POSITIONS));
        goal(
            &format!("{name}: envelopes, minima, near pairs and their intervals"),
            &format!("{:.3} ms", 1e3 * found.own),
            &format!("<= {most} ms"),
            1e3 * found.own <= most,
        );
        goal(
            &format!("{name}: culled peer ({:.2} ms) / this", 1e3 * found.peer),
            &format!("{:.1}", found.ratio),
            &format!(">= {ratio}"),
            found.ratio >= ratio,
        );
        println!("    brute peer {:.0} ms, {:.0}x this", 1e3 * brute, brute / found.own);
        accuracy(&fixture, &pieces);
    }
}

fn accuracy(fixture: &Fixture, pieces: &peer::Pieces) {
    let Some(mut built) = fixture.build() else { return };
    built.scene.sweep(&ask());
    let effort = built.scene.effort();
    let brute = peer::brute(fixture, pieces, POSITIONS);
    let (mut worst, mut widest, mut missed): (f64, f64, f64) = (0.0, 0.0, 0.0);
    for (c, channel) in built.channels.iter().enumerate() {
        let Some(result) = built.scene.result(*channel) else { continue };
        for (nearest, peer) in result.envelope.iter().zip(&brute[c]) {
            worst = worst.max((nearest.gap.max(0.0) - peer).abs());
        }
        let sampled = result.envelope.iter().map(|n| n.gap).fold(f64::INFINITY, f64::min);
        if let Some(least) = result.least {
            missed = missed.max(sampled - least.gap);
            widest = widest.max(least.gap - least.lower);
        }
    }
    println!(
        "    {} pairs made ready, {} gaps evaluated; envelope against the brute peer {worst:.1e} mm (its own error); \
         minima proved to {widest:.1e} mm; sampling alone would miss {missed:.1e} mm",
        effort.pairs, effort.gaps
    );
}

pub fn growth() {
    println!("\nGrowth with the pieces per rider (20 fixed)");
    for (name, tilt) in [("level", 0.0), ("tilted 0.1 deg", TILT)] {
        let sizes = [40, 80, 160, 320];
        let fixtures = sizes.map(|pieces| fixture(pieces, 20, tilt));
        // Turn by turn, so that a slow spell of the machine meets every size.
        let mut times = sizes.map(|_| Vec::new());
        for _ in 0..7 {
            for (fixture, times) in fixtures.iter().zip(&mut times) {
                times.push(seconds(0.03, &mut || whole(fixture)));
            }
        }
        let medians = times.map(crate::measure::median);
        let text: Vec<String> = medians.iter().map(|t| format!("{:.3}", 1e3 * t)).collect();
        println!("    {name}: {} ms at 40, 80, 160, 320", text.join(", "));
        let exponent = (medians[3] / medians[0]).ln() / 8f64.ln();
        goal(
            &format!("{name}: exponent from 40 to 320"),
            &format!("{exponent:.2}"),
            "<= 1.3",
            exponent <= 1.3,
        );
        if tilt == 0.0 {
            let ms = 1e3 * medians[3];
            goal("level: 320 pieces a rider", &format!("{ms:.2} ms"), "<= 10 ms", ms <= 10.0);
        }
    }
}

/// One piece changed, and nothing changed, in a scene that is kept.
pub fn kept_scene() {
    println!("\nA scene that is kept, level, 40 pieces a rider");
    let fixture = fixture(40, 20, 0.0);
    let Some(mut built) = fixture.build() else { return };
    built.scene.sweep(&ask());
    let nothing = timed(5, || built.scene.sweep(&ask()));
    let mut step = 0.0;
    let mut effort = built.scene.effort();
    let piece = timed(9, || {
        step += 1e-4;
        built
            .scene
            .replace(built.riders[5], &fixture.solids[0][5].shifted(DVec3::Z * (0.1 * f64::sin(step))));
        built.scene.sweep(&ask());
        effort = built.scene.effort();
    });
    let afresh = timed(5, || whole(&fixture));
    println!(
        "    asked again {:.2} us; one piece changed {:.1} us ({} pairs made ready, {} gaps); built anew {:.1} us",
        1e6 * nothing,
        1e6 * piece,
        effort.pairs,
        effort.gaps,
        1e6 * afresh
    );
}
