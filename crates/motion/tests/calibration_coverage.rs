//! How often the truth lies in the intervals that a calibration publishes, with truths drawn from the stated priors.
//!
//! Sets of pulls of each kind: 500, or `GLIDEWRIGHT_PULLS`.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a test that cannot go on may stop"
)]

mod common;

use common::{Random, Recipe, fixture, shoe, weight};
use glam::{DVec2, DVec3};
use glidewright_motion::*;

fn sets() -> u32 {
    std::env::var("GLIDEWRIGHT_PULLS").ok().and_then(|count| count.parse().ok()).unwrap_or(500)
}

/// A normally distributed number (G. E. P. Box and M. E. Muller, 1958).
fn normal(random: &mut Random) -> f64 {
    let (radius, turn) = (random.between(1e-300, 1.0), random.between(0.0, std::f64::consts::TAU));
    (-2.0 * radius.ln()).sqrt() * turn.cos()
}

fn draw(prior: &Prior, random: &mut Random) -> f64 {
    loop {
        let value = prior.median * (prior.log_deviation() * normal(random)).exp();
        if value <= prior.most {
            return value;
        }
    }
}

/// What is known of the scatter of these scales.
const NOISE: Prior = Prior { median: 0.05, factor: 5.0, most: f64::INFINITY };

fn pull(payload: f64, at_travel: f64, line_off: bool, towards: Way) -> MeasuredPull {
    MeasuredPull {
        path: "pulls".into(),
        rider: 0,
        towards,
        payload,
        at_travel,
        line_off,
        force: 1.0,
        deviation: None,
    }
}

/// Each of these masses put on, both ways, so many times, with the line off.
fn with(payloads: &[f64], times: usize) -> Vec<MeasuredPull> {
    let both = payloads.iter().flat_map(|payload| Way::BOTH.map(|way| pull(*payload, 240.0, true, way)));
    both.flat_map(|pull| std::iter::repeat_n(pull, times)).collect()
}

/// What the fixture takes with these coefficients, by the engine.
fn forward(fixture: &Fixture, which: &[Fittable], truth: &[f64]) -> Vec<f64> {
    let mut real = fixture.clone();
    for (which, value) in which.iter().zip(truth) {
        let resistance = &mut real.resistance;
        let coefficient = match which {
            Fittable::Flank => &mut resistance.flank,
            Fittable::NoLoadTorque => &mut resistance.no_load_torque,
            Fittable::Hysteresis => &mut resistance.hysteresis,
            Fittable::Shoe => &mut resistance.shoe,
        };
        *coefficient = Coefficient::assumed(*value);
    }
    let calibration = calibrate(&real, &Assembly::new(&real)).unwrap();
    calibration.pulls.iter().map(|pull| pull.before.unwrap()).collect()
}

/// The coefficients of a fixture, and the slopes of its pulls in them where they have their assumed values.
fn design(fixture: &Fixture) -> (Vec<Fittable>, Vec<Vec<f64>>) {
    let one = Fixture { pulls: fixture.pulls[..1].to_vec(), ..fixture.clone() };
    let known = calibrate(&one, &Assembly::new(&one)).unwrap();
    let which: Vec<Fittable> = known.coefficients.iter().map(|known| known.which).collect();
    let assumed: Vec<f64> = which.iter().map(|which| which.assumed()).collect();
    let columns: Vec<Vec<f64>> = (0..which.len())
        .map(|index| {
            let at = |share: f64| {
                let mut truth = assumed.clone();
                truth[index] *= share;
                forward(fixture, &which, &truth)
            };
            let step = 0.2 * assumed[index];
            at(1.1).iter().zip(at(0.9)).map(|(above, below)| (above - below) / step).collect()
        })
        .collect();
    let rows =
        (0..fixture.pulls.len()).map(|row| columns.iter().map(|column| column[row]).collect()).collect();
    (which, rows)
}

/// Counts of truths within what was published.
#[derive(Default, Clone, Copy, Debug)]
struct Count {
    all: u32,
    /// Between the limits.
    between: u32,
    /// Within two standard errors.
    near: u32,
}

impl Count {
    fn add(&mut self, truth: f64, value: f64, error: f64, limits: (f64, f64)) {
        self.all += 1;
        self.between += u32::from(limits.0 <= truth && truth <= limits.1);
        self.near += u32::from((value - truth).abs() <= 2.0 * error);
    }

    fn join(&mut self, other: Self) {
        self.all += other.all;
        self.between += other.between;
        self.near += other.near;
    }

    fn shares(&self) -> [f64; 2] {
        [self.between, self.near].map(|count| f64::from(count) / f64::from(self.all))
    }

    /// 93 to 97 %, where 95 % are meant; of few draws within 3.3 standard deviations of the count, which one in a
    /// thousand exceeds by chance.
    fn holds(&self, what: &str) {
        let slack = (3.3 * (0.95 * 0.05 / f64::from(self.all)).sqrt()).max(0.02);
        for share in self.shares() {
            assert!((share - 0.95).abs() <= slack, "{what}: {share} of {}", self.all);
        }
    }
}

/// Counts by what came of the coefficient: told, kept, or at a bound.
type Kinds = [Count; 3];

/// Truths and scatter from their priors, pulls that are linear in them, judged as a calibration does.
fn covered(name: &str, fixture: &Fixture, is_known: bool, seed: u64) -> Kinds {
    let (which, rows) = design(fixture);
    let priors: Vec<Prior> = which.iter().map(|which| which.prior(&fixture.resistance)).collect();
    let assumed: Vec<f64> = which.iter().map(|which| which.assumed()).collect();
    let mut random = Random::new(seed);
    let mut counts: Vec<Count> = vec![Count::default(); which.len()];
    let mut kinds = Kinds::default();
    for _ in 0..sets() {
        let truth: Vec<f64> = priors.iter().map(|prior| draw(prior, &mut random)).collect();
        let sigma = draw(&NOISE, &mut random);
        let pulls = rows
            .iter()
            .map(|row| LinearPull {
                factors: row.clone(),
                value: row.iter().zip(&truth).map(|(factor, value)| factor * value).sum::<f64>()
                    + sigma * normal(&mut random),
                deviation: is_known.then_some(sigma),
            })
            .collect();
        let problem = LinearPulls { pulls, priors: priors.clone(), noise: NOISE };
        let judged = problem.judge(&assumed).unwrap().coefficients;
        for ((judged, truth), count) in judged.iter().zip(&truth).zip(&mut counts) {
            let kind = match judged.verdict {
                Verdict::Fitted => 0,
                Verdict::AtBound => 2,
                _ => 1,
            };
            for count in [count, &mut kinds[kind]] {
                count.add(*truth, judged.value, judged.standard_error, (judged.least, judged.greatest));
            }
        }
    }
    let mut all = Count::default();
    for (which, count) in which.iter().zip(&counts) {
        count.holds(&format!("{name}, {}", which.name()));
        all.join(*count);
    }
    all.holds(name);
    let [between, near] = all.shares();
    let told = f64::from(kinds[0].all) / f64::from(all.all);
    println!(
        "{name}: {:.1} % between the limits, {:.1} % within two standard errors, {:.0} % told",
        100.0 * between,
        100.0 * near,
        100.0 * told
    );
    kinds
}

fn all_covered(kinds: &[(&str, Fixture, bool)], seed: u64) {
    let mut sums = Kinds::default();
    for ((name, fixture, is_known), number) in kinds.iter().zip(1..) {
        for (sum, count) in sums.iter_mut().zip(covered(name, fixture, *is_known, seed + number)) {
            sum.join(count);
        }
    }
    assert!(sums[0].all > 300 && sums[1].all > 300, "{sums:?}");
    sums[0].holds("told");
    sums[1].holds("kept");
}

fn plain(pulls: Vec<MeasuredPull>) -> Fixture {
    Fixture { pulls, ..fixture(&Recipe::default()) }
}

/// Of 500 and more sets of pulls of each kind, 93 to 97 % of the truths lie in the published intervals of 95 %, each
/// coefficient by itself, and all that are told, and all that keep their values.
#[test]
fn few_and_many_pulls_cover_the_truth() {
    all_covered(
        &[
            ("one payload, two pulls", plain(with(&[0.0], 1)), false),
            ("one payload, eight pulls", plain(with(&[0.0], 4)), false),
            ("two payloads, four pulls", plain(with(&[0.0, 1.0], 1)), false),
            ("two payloads, four pulls, scatter known", plain(with(&[0.0, 1.0], 1)), true),
            ("four payloads, 24 pulls", plain(with(&[0.0, 0.5, 2.0, 8.0], 3)), false),
        ],
        100,
    );
}

/// The same with other rails, wheels and shoes, and along the travel.
#[test]
fn other_fixtures_cover_the_truth() {
    let mut travels = plain(Vec::new());
    for at in [60.0, 240.0, 420.0] {
        travels.pulls.extend(Way::BOTH.map(|way| pull(0.0, at, false, way)));
    }
    let mut lying = plain(with(&[0.0, 2.0], 2));
    lying.rail.stand.incline = 0.0;
    lying.line = None;
    lying.riders.truncate(1);
    // A collar on two faces of a bar that lies on its side.
    let mut shoes = lying.clone();
    shoes.rail.stand.roll = std::f64::consts::FRAC_PI_2;
    let flat = |y: f64| Track {
        name: format!("{y}"),
        middle: DVec2::new(y, 0.0),
        normal: DVec2::new(y.signum(), 0.0),
        profile: TrackProfile::Flat { width: 10.0 },
    };
    shoes.rail.tracks = vec![flat(15.0), flat(-15.0)];
    let rider = &mut shoes.riders[0];
    rider.wheels.clear();
    rider.plates[0].level = Some(40.0);
    for track in [0, 1] {
        rider.shoes.extend([-45.0, 45.0].map(|along| shoe(track, along, 1e-3)));
    }
    rider.loads = vec![weight(8.0, DVec3::new(0.0, 20.0, 0.0))];
    let mut mixed = lying.clone();
    mixed.riders[0].shoes.extend([0, 1].map(|track| Shoe { press: 0.02, ..shoe(track, 0.0, 1e-3) }));
    all_covered(
        &[
            ("several travels", travels, false),
            ("lying", lying.clone(), false),
            ("shoes", shoes, false),
            ("wheels and shoes", mixed, false),
            ("flat wheels", running(&lying, &Running::Flat, &TrackProfile::Flat { width: 10.0 }), false),
            (
                "crowned wheels",
                running(&lying, &Running::Crowned { radius: 60.0 }, &TrackProfile::Flat { width: 10.0 }),
                true,
            ),
        ],
        200,
    );
}

/// The same fixture with other wheels on other tracks.
fn running(of: &Fixture, running: &Running, profile: &TrackProfile) -> Fixture {
    let mut fixture = of.clone();
    let middle = DVec2::new(15.0, 0.0);
    fixture.rail.bars[0].outer = glidewright_geometry::Outline::rounded_rectangle(
        -middle - DVec2::Y * 30.0,
        middle + DVec2::Y * 30.0,
        0.0,
    );
    for track in &mut fixture.rail.tracks {
        track.profile = *profile;
    }
    for mount in &mut fixture.riders[0].wheels {
        for piece in &mut mount.stack.pieces {
            if let PieceKind::Wheel(wheel) = &mut piece.kind {
                wheel.running = *running;
            }
        }
    }
    fixture
}
