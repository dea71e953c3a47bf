//! Many variants of one scene: trials of other sizes, tolerance samples.

use glidewright_geometry::{Ask, Batch, Change, ChannelId, DVec3, Sampler, SolidId};

use crate::fixture::{Built, Fixture, Random, fixture};
use crate::measure::{by_the_clock, goal, timed};

/// How far pairs of the base are listed (mm).
const REACH: f64 = 5.0;

/// What is changed, solid by solid.
type Changes = Vec<(SolidId, Change)>;

/// Another size and place for every piece of both riders: up to 0.5 mm and 10 %.
fn trial(built: &Built, random: &mut Random) -> Changes {
    let change = |random: &mut Random| Change {
        shift: DVec3::new(random.between(-0.5, 0.5), random.between(-0.5, 0.5), random.between(-0.5, 0.5)),
        along: random.between(0.9, 1.1),
        across: random.between(0.9, 1.1),
        ..Change::NONE
    };
    built.riders.iter().map(|&id| (id, change(random))).collect()
}

/// Thickness and place along the stack of every piece of both riders within ±0.05 mm, sizes across within 1 %.
fn tolerance(built: &Built, random: &mut Random) -> Changes {
    let change = |random: &mut Random| Change {
        shift: DVec3::Z * random.between(-0.05, 0.05),
        along: random.between(0.99, 1.01),
        across: random.between(0.99, 1.01),
        ..Change::NONE
    };
    built.riders.iter().map(|&id| (id, change(random))).collect()
}

fn evaluate(sampler: &mut Sampler<'_>, changes: &Changes, channels: &[ChannelId]) -> f64 {
    sampler.reset();
    for (id, change) in changes {
        sampler.change(*id, change);
    }
    channels.iter().filter_map(|&c| sampler.least(c)).map(|l| l.gap).fold(f64::INFINITY, f64::min)
}

/// The same by building and sweeping a scene of the changed solids.
fn rebuilt(fixture: &Fixture, changes: &Changes, channels: usize) -> Option<f64> {
    let mut changed = Fixture { solids: fixture.solids.clone(), ..*fixture };
    for (id, change) in changes {
        let (group, place) = fixture.place(id.0 as usize)?;
        changed.solids[group][place] = fixture.solids[group][place].changed(change);
    }
    let mut built = changed.build()?;
    built.scene.sweep(&Ask {
        from: 0.0,
        to: 600.0,
        positions: 1,
        below: 0.0,
        horizon: 0.0,
        ceiling: f64::INFINITY,
    });
    let least = |c: &ChannelId| built.scene.result(*c).and_then(|r| r.least).map(|l| l.gap);
    built.channels[..channels].iter().filter_map(least).reduce(f64::min)
}

/// Largest difference from the rebuilt scene over some variants.
fn off(fixture: &Fixture, built: &Built, batch: &Batch, lists: &[Changes], channels: usize) -> f64 {
    let mut sampler = batch.sampler();
    let one = |changes: &Changes| {
        let own = evaluate(&mut sampler, changes, &built.channels[..channels]);
        rebuilt(fixture, changes, channels).map_or(f64::NAN, |expected| (own - expected).abs())
    };
    lists.iter().take(100).map(one).fold(0.0, f64::max)
}

pub fn variants() {
    println!(
        "\nMany variants of the level scene of 40 pieces per rider, one core, drawing of the numbers included"
    );
    let fixture = fixture(40, 20, 0.0);
    let Some(built) = fixture.build() else { return };
    let batch = Batch::new(&built.scene, (0.0, 600.0), REACH);
    let mut random = Random(0x0dd0_beef_1234_5678);
    let wide: Vec<Changes> = (0..100).map(|_| trial(&built, &mut random)).collect();
    let fine: Vec<Changes> = (0..100).map(|_| tolerance(&built, &mut random)).collect();
    for (name, asked, make, lists, channels) in [
        ("variants (80 pieces changed, all three minima)", 50_000.0, trial as fn(&_, &mut _) -> _, &wide, 3),
        ("Monte Carlo (80 pieces drawn, rider against rider)", 100_000.0, tolerance, &fine, 1),
    ] {
        let mut sampler = batch.sampler();
        let each = timed(9, || {
            let changes = make(&built, &mut random);
            evaluate(&mut sampler, &changes, &built.channels[..channels])
        });
        let whole = timed(5, || rebuilt(&fixture, &lists[0], channels));
        let error = off(&fixture, &built, &batch, lists, channels);
        goal(name, &format!("{:.0} /s", 1.0 / each), &format!(">= {asked:.0} /s"), 1.0 / each >= asked);
        println!(
            "    scene built and swept instead: {:.0} /s ({:.0}x slower); largest difference from it {error:.1e} mm",
            1.0 / whole,
            whole / each
        );
    }
    let count = 50_000;
    // Work on many threads is timed by the clock.
    let both = by_the_clock(5, || {
        batch.samples(count, |k, sampler| {
            let mut random =
                Random(0x9e37_79b9_7f4a_7c15 ^ (k as u64 + 1).wrapping_mul(0xbf58_476d_1ce4_e5b9));
            let changes = tolerance(&built, &mut random);
            evaluate(sampler, &changes, &built.channels[..1])
        })
    });
    println!("    Monte Carlo on all processors: {:.0} /s", count as f64 / both);
}
