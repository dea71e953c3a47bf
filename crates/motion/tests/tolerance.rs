//! What tolerances and load do to gaps, each against building everything anew.
#![allow(clippy::expect_used, clippy::unwrap_used, reason = "a test that cannot go on may stop")]

mod common;

use common::{Recipe, fixture};
use glam::DVec3;
use glidewright_geometry::Solid;
use glidewright_motion::*;

/// Every size of a rider gets a path of its own and a tolerance.
fn named(mut fixture: Fixture) -> Fixture {
    let spread = Spread::Uniform { half_width: 0.1 };
    for (r, rider) in fixture.riders.iter_mut().enumerate() {
        for mount in &mut rider.wheels {
            for (p, piece) in mount.stack.pieces.iter_mut().enumerate() {
                piece.path = format!("{r}/{p}");
                piece.thickness.spread = spread;
                if let PieceKind::Wheel(wheel) = &mut piece.kind {
                    wheel.outer_radius.spread = spread;
                }
            }
            mount.stack.screw.path = format!("{r}/screw");
            mount.stack.screw.length.spread = spread;
            mount.stack.screw.head_height.spread = spread;
        }
    }
    for track in &mut fixture.rail.tracks {
        if let TrackProfile::Vee { mouth, .. } = &mut track.profile {
            mouth.spread = spread;
        }
    }
    fixture
}

/// A change of one size on every stack of one rider.
type Change = Box<dyn Fn(&mut Fixture, f64)>;

/// Every size there is, by the words its contributors are told by.
fn sizes(fixture: &Fixture) -> Vec<(String, String, Change)> {
    let mut all: Vec<(String, String, Change)> = Vec::new();
    for (r, rider) in fixture.riders.iter().enumerate() {
        let each = |change: fn(&mut Stack, usize, f64), p: usize| -> Change {
            Box::new(move |fixture, by| {
                for mount in &mut fixture.riders[r].wheels {
                    change(&mut mount.stack, p, by);
                }
                // A plate is as thick as its piece.
                let thickness = fixture.riders[r].wheels[0].stack.pieces[1].thickness;
                fixture.riders[r].plates[0].thickness.nominal = thickness.nominal;
            })
        };
        for p in 0..rider.wheels[0].stack.pieces.len() {
            let change = each(
                |stack, p, by| {
                    let piece = &mut stack.pieces[p];
                    piece.thickness.nominal += by;
                    if let PieceKind::Wheel(wheel) = &mut piece.kind {
                        wheel.hub_width.nominal += by;
                    }
                },
                p,
            );
            all.push((format!("{r}/{p}"), String::new(), change));
        }
        all.push((
            format!("{r}/4"),
            "radius".into(),
            each(
                |stack, _, by| {
                    if let PieceKind::Wheel(wheel) = &mut stack.pieces[4].kind {
                        wheel.outer_radius.nominal += by;
                    }
                },
                0,
            ),
        ));
        let path = format!("{r}/screw");
        all.push((path.clone(), "length".into(), each(|s, _, by| s.screw.length.nominal += by, 0)));
        all.push((path, "head".into(), each(|s, _, by| s.screw.head_height.nominal += by, 0)));
    }
    all.push((
        "rail".into(),
        "mouth".into(),
        Box::new(|fixture, by| {
            for track in &mut fixture.rail.tracks {
                if let TrackProfile::Vee { mouth, .. } = &mut track.profile {
                    mouth.nominal += by;
                }
            }
        }),
    ));
    all
}

fn same_pair<'a>(results: &'a Results, pair: &PairResult) -> Option<&'a PairResult> {
    let all = || results.interference.pairs();
    all().find(|other| other.bodies == pair.bodies)
}

/// Gaps of every kind of thing against every size: the sensitivities at the nearest points agree with central
/// differences through a rebuild of everything.
fn sensitivities_agree(fixture: &Fixture, at_least: usize) {
    let results = analyse(fixture);
    assert!(results.assembly.faults.is_empty(), "{:?}", results.assembly.faults);
    const STEP: f64 = 1e-4;
    let changed: Vec<_> = sizes(fixture)
        .into_iter()
        .map(|(path, word, change)| {
            let moved = [-STEP, STEP].map(|by| {
                let mut fixture = fixture.clone();
                change(&mut fixture, by);
                analyse(&fixture)
            });
            (path, word, moved)
        })
        .collect();
    let mut compared = 0;
    for pair in results.interference.passing.iter().filter(|pair| pair.gap > 0.02 && !pair.meets_stop) {
        for (path, word, moved) in &changed {
            let got = moved.each_ref().map(|results| same_pair(results, pair).map(|pair| pair.gap));
            let [Some(before), Some(after)] = got else { continue };
            let slope = (after - before) / (2.0 * STEP);
            // One-sided slopes that differ mean a corner: two places of the bodies are nearest at once.
            let bend = ((after - pair.gap) - (pair.gap - before)) / STEP;
            if bend.abs() > 1e-2 {
                continue;
            }
            let own: f64 = pair
                .tolerance
                .contributors
                .iter()
                .filter(|c| c.path == *path && word_of(&c.label) == word)
                .map(|c| c.sensitivity)
                .sum();
            let names =
                [pair.bodies.0, pair.bodies.1].map(|id| &results.assembly.bodies[id.0 as usize].label);
            assert!((slope - own).abs() < 2e-3, "{names:?}: {path} {word}: {slope} by rebuild, {own} here");
            if slope != 0.0 {
                compared += 1;
            }
        }
    }
    assert!(compared >= at_least, "{compared}");
}

fn word_of(label: &str) -> &str {
    ["radius", "length of", "head of", "mouth"]
        .into_iter()
        .find(|word| label.starts_with(word))
        .map_or("", |word| word.split(' ').next().unwrap())
}

#[test]
fn sensitivities_of_facing_stacks() {
    let recipe = Recipe { nut: Toleranced::exact(5.2), screw: 44.0, ..Recipe::default() };
    sensitivities_agree(&named(fixture(&recipe)), 40);
}

/// Wheels of other size at the rear: gaps run aslant.
#[test]
fn sensitivities_of_gaps_aslant() {
    let recipe = Recipe { rear_radius: 19.0, ..Recipe::default() };
    sensitivities_agree(&named(fixture(&recipe)), 40);
}

/// Plates, heads and loads against fixed things over and beside them.
#[test]
fn sensitivities_towards_fixed_things() {
    let mut fixture = named(fixture(&Recipe::default()));
    let level = Assembly::new(&fixture).riders[0].plates[0].outer;
    let load = &mut fixture.riders[0].loads[0];
    load.on = Some(0);
    load.solids =
        vec![Solid::cuboid_between(DVec3::new(-9.0, -8.0, level), DVec3::new(9.0, 8.0, level + 20.0))];
    let bar = |name: &str, low: DVec3, high: DVec3| Obstacle {
        name: name.into(),
        path: format!("obstacles/{name}"),
        solids: vec![Solid::cuboid_between(low, high)],
        extruded: Vec::new(),
        is_stop: false,
        give: None,
        is_base: false,
        mass: None,
    };
    fixture.obstacles = vec![
        // The load moves with the plate it stands on only when everything is resolved anew, so it is far off here.
        bar("over the heads", DVec3::new(300.0, 30.0, level + 11.0), DVec3::new(310.0, 60.0, level + 14.0)),
        bar("over the plate", DVec3::new(200.0, -34.0, level + 3.0), DVec3::new(205.0, -30.0, level + 5.0)),
        bar("beside the wheels", DVec3::new(250.0, 63.0, 5.0), DVec3::new(255.0, 66.0, 25.0)),
    ];
    sensitivities_agree(&fixture, 40);
}

/// The band's half-widths are those of the tightest pair where that is tightest, and never NaN.
#[test]
fn the_band_carries_its_tolerance() {
    let recipe = Recipe { nut: Toleranced::between(6.4, 7.0), screw: 43.0, ..Recipe::default() };
    let results = analyse(&fixture(&recipe));
    let pair = results.interference.tightest().expect("two riders pass");
    assert!((pair.tolerance.worst - 0.6).abs() < 1e-9, "{:?}", pair.tolerance);
    assert!((pair.tolerance.rss - 0.3 * 2f64.sqrt()).abs() < 1e-9);
    assert_eq!(pair.tolerance.contributors.len(), 2);
    assert!(results.interference.band.points.len() >= 200);
    let least = results
        .interference
        .band
        .points
        .iter()
        .min_by(|a, b| a.loaded.total_cmp(&b.loaded))
        .expect("stations");
    // The tilted bodies' nearest points look at the sizes very nearly along the axes.
    assert!((least.spread - 0.6).abs() < 1e-5 && (least.rss - 0.3 * 2f64.sqrt()).abs() < 1e-5, "{least:?}");
    for point in &results.interference.band.points {
        assert!(
            point.loaded.is_finite() && point.spread >= point.rss && point.rss >= 0.0 && point.play >= 0.0
        );
    }
}

/// The loaded gap is that of the bodies put at the loaded pose by hand, measured pair by pair.
#[test]
fn the_loaded_gap_is_that_of_the_tilted_bodies() {
    let recipe = Recipe { nut: Toleranced::exact(5.2), screw: 44.0, head_mass: 2.5, ..Recipe::default() };
    let mut fixture = fixture(&recipe);
    // With a belt of no weight the riders stand alike at every travel.
    fixture.line.as_mut().expect("a belt").mass_per_metre = 0.0;
    let results = analyse(&fixture);
    let mut tilted = 0;
    for pair in results.interference.passing.iter().filter(|pair| !pair.meets_stop).take(30) {
        let body = |id: BodyId| &results.assembly.bodies[id.0 as usize];
        let placed = |id: BodyId| -> Vec<Solid> {
            let body = body(id);
            let Owner::Rider(number) = body.owner else { return body.solids.clone() };
            let x = rider_x(&fixture, number, pair.loaded.at_travel);
            let pose = results.riders[number].reference().pose().shifted(DVec3::X * x);
            body.solids.iter().map(|solid| solid.placed(&pose)).collect()
        };
        let (a, b) = (placed(pair.bodies.0), placed(pair.bodies.1));
        let least = a
            .iter()
            .flat_map(|a| b.iter().map(move |b| glidewright_geometry::separation(a, b).gap))
            .fold(f64::INFINITY, f64::min);
        assert!((least - pair.loaded.gap).abs() < 1e-5, "{least} {}", pair.loaded.gap);
        if pair.tilt().abs() > 1e-4 {
            tilted += 1;
        }
    }
    assert!(tilted > 3, "{tilted}");
}

/// Play: a rider whose wheels stand off by p has its nuts move by what the contacts leave, and that is taken from
/// the gap; one that is pressed has none.
#[test]
fn play_takes_from_the_gap() {
    let with_press = |press: f64| {
        let mut fixture = fixture(&Recipe { nut: Toleranced::exact(5.2), screw: 44.0, ..Recipe::default() });
        for wheel in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels) {
            wheel.press = press;
        }
        for plate in fixture.riders.iter_mut().flat_map(|rider| &mut rider.plates) {
            plate.fill = 1.0;
        }
        analyse(&fixture)
    };
    let tight = with_press(0.02);
    assert!(tight.interference.tightest().expect("a pair").play == 0.0);
    let loose = with_press(-0.05);
    let pair = loose.interference.tightest().expect("a pair");
    // Half-angles of 45°: each rider can shift by 0.05 front to back, and tip by as much at its wheels.
    let limits = loose.riders[0].play_limits.expect("limits");
    assert!((limits.shift_z.greatest - 0.05).abs() < 1e-9, "{limits:?}");
    let mut play = loose.riders[0].play.clone();
    let sideways = play.range(DVec3::new(0.0, 0.0, 15.0), DVec3::Y).expect("bounded");
    assert!(sideways.greatest > 0.05 - 1e-9 && sideways.greatest < 0.07, "{sideways:?}");
    // What the load has not taken up yet is play.
    let taken = pair.play + pair.tilt();
    assert!(taken > 0.05 && taken < 0.6, "{} {}", pair.play, pair.tilt());
    let most = loose.interference.passing.iter().map(|pair| pair.play).fold(0.0, f64::max);
    assert!(most > 0.05 && most < 0.6, "{most}");
}
