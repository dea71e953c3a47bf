//! Where wheels sit: against the geometry crate's search on profiles made here, closed forms, and the upper envelope
//! of the rail's section.
#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test that cannot go on may stop"
)]

mod common;

use std::f64::consts::PI;

use common::{Random, Recipe, fixture, wheel};
use glam::DVec2;
use glidewright_geometry::{Contact, Edge, Outline, Seat, Side, first_contact};
use glidewright_motion::*;

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

fn chain(points: &[DVec2]) -> Vec<Edge> {
    points.windows(2).map(|w| Edge::line(w[0], w[1])).collect()
}

/// The wheel's profile in the section through its axle, the axle at y = 100.
fn profile(w: &Wheel) -> Vec<Edge> {
    let (outer, half) = (w.outer_radius.nominal, 0.5 * w.width);
    let tip_y = 100.0 - outer;
    match w.running {
        Running::Vee { tip, half_angle } => {
            let (t, rise) = (0.5 * tip, (half - 0.5 * tip) / half_angle.tan());
            chain(&[v(-half, tip_y + rise), v(-t, tip_y), v(t, tip_y), v(half, tip_y + rise)])
        }
        Running::Flat => chain(&[v(-half, tip_y), v(half, tip_y)]),
        Running::Crowned { radius } => {
            let reach = (half / radius).min(1.0).asin();
            vec![Edge::arc(v(0.0, tip_y + radius), radius, 1.5 * PI - reach, 2.0 * reach)]
        }
        Running::Grooved { radius } => {
            // The rim's edges stand at the outer radius, the groove's crest above them.
            let reach = (half / radius).min(1.0).asin();
            let centre = v(0.0, tip_y - radius * reach.cos());
            vec![Edge::arc(centre, radius, 0.5 * PI - reach, 2.0 * reach)]
        }
    }
}

fn track_profile(track: &Track) -> Vec<Edge> {
    match track.profile {
        TrackProfile::Vee { mouth, half_angle, .. } => {
            let half = 0.5 * mouth.nominal;
            let depth = half / half_angle.tan();
            chain(&[v(-50.0, 0.0), v(-half, 0.0), v(0.0, -depth), v(half, 0.0), v(50.0, 0.0)])
        }
        TrackProfile::Flat { width } => chain(&[v(-0.5 * width, 0.0), v(0.5 * width, 0.0)]),
        TrackProfile::Round { radius } => vec![Edge::arc(v(0.0, -radius), radius, 0.0, PI)],
    }
}

fn track(profile: TrackProfile) -> Track {
    Track { name: "track".into(), middle: DVec2::ZERO, normal: DVec2::Y, profile }
}

fn both(w: &Wheel, t: &Track) -> (Seating, Seat) {
    let seating = seat(w, t, &[]).expect("it seats");
    let found = first_contact(&profile(w), &track_profile(t), DVec2::NEG_Y).expect("they meet");
    assert!((seating.axle_height - (100.0 - found.shift)).abs() < 1e-9, "{seating:?} {found:?}");
    (seating, found)
}

#[test]
fn vee_wheels_in_vee_grooves() {
    let mut seen = [0; 2];
    for groove in [30.0_f64, 40.0, 45.0, 60.0] {
        for own in [30.0_f64, 42.0, 45.0, 60.0] {
            for mouth in [7.0, 8.5, 9.16] {
                let mut w = wheel(22.0, 13.0);
                w.width = 16.0;
                w.bearing.outer = 4.0;
                w.running = Running::Vee { tip: 5.5, half_angle: own.to_radians() };
                let profile = TrackProfile::Vee {
                    mouth: Toleranced::exact(mouth),
                    half_angle: groove.to_radians(),
                    lip: 20.0,
                };
                let (seating, found) = both(&w, &track(profile));
                let main = seating.main().expect("it touches");
                let touching: Vec<_> = seating.touching().collect();
                assert_eq!(touching.len(), 2, "{seating:?}");
                match main.touch {
                    Touch::Flank => {
                        assert_eq!(found.contacts.len(), 2);
                        assert!(found.contacts.iter().all(|c| (c.length() - main.length).abs() < 1e-9));
                        seen[0] += 1;
                    }
                    Touch::Edge => {
                        assert_eq!(found.contacts.len(), 2);
                        for c in &found.contacts {
                            assert!(matches!(c, Contact::Point { .. }));
                            let from_axle = seating.axle_height - c.middle().y;
                            assert!((from_axle - main.radius()).abs() < 1e-9, "{seating:?} {c:?}");
                        }
                        seen[1] += 1;
                    }
                    other => panic!("{other:?}"),
                }
            }
        }
    }
    assert!(seen[0] > 5 && seen[1] > 20, "{seen:?}");
}

#[test]
fn flat_crowned_and_round_forms() {
    let flat = track(TrackProfile::Flat { width: 10.0 });
    let rod = track(TrackProfile::Round { radius: 5.0 });
    let mut w = wheel(12.0, 13.0);
    w.running = Running::Flat;
    let (seating, found) = both(&w, &flat);
    let main = seating.main().expect("it touches");
    assert!(main.touch == Touch::Rim && seating.contacts.len() == 1);
    assert!(found.contacts.len() == 1 && (found.contacts[0].length() - main.length).abs() < 1e-9);
    both(&w, &rod);
    w.running = Running::Crowned { radius: 30.0 };
    both(&w, &flat);
    for groove in [5.5, 6.0, 9.0] {
        w.running = Running::Grooved { radius: groove };
        both(&w, &rod);
    }
}

/// Sizes of a grooved section of one module (mm).
#[derive(Clone, Copy, Debug)]
struct Grooved {
    module: f64,
    mouth: f64,
    half_angle: f64,
    channel: f64,
    lip: f64,
    cavity: f64,
    depth: f64,
}

impl Grooved {
    fn flank(&self) -> f64 {
        0.5 * (self.mouth - self.channel) / self.half_angle.tan()
    }

    /// One groove in the side towards +z of a square, and the track in it.
    fn section(&self) -> (Section, Track) {
        let half = 0.5 * self.module;
        let right = [
            v(0.5 * self.mouth, 0.0),
            v(0.5 * self.channel, -self.flank()),
            v(0.5 * self.channel, -self.lip),
            v(0.5 * self.cavity, -self.lip),
            v(0.5 * self.cavity, -self.depth),
        ];
        let mut corners = vec![v(-half, -half), v(half, -half), v(half, half)];
        corners.extend(right.iter().map(|p| v(p.x, half + p.y)));
        corners.extend(right.iter().rev().map(|p| v(-p.x, half + p.y)));
        corners.push(v(-half, half));
        corners.dedup_by(|a, b| a.distance(*b) < 1e-9);
        let profile = TrackProfile::Vee {
            mouth: Toleranced::exact(self.mouth),
            half_angle: self.half_angle,
            lip: self.flank(),
        };
        let track = Track { name: "front".into(), middle: v(0.0, half), normal: DVec2::Y, profile };
        (Section { outer: Outline::polygon(&corners), holes: Vec::new() }, track)
    }
}

const EIGHTH: f64 = std::f64::consts::FRAC_PI_4;

/// Sizes of the built-in sections of 20, 30, 40 and 45 mm.
fn of_module(module: f64) -> Grooved {
    let (mouth, channel, lip, cavity, depth) = match module {
        20.0 => (9.0, 6.2, 1.8, 11.0, 6.1),
        30.0 => (11.0, 8.2, 2.2, 16.5, 9.3),
        40.0 => (11.0, 8.2, 4.5, 20.0, 12.0),
        _ => (13.0, 10.2, 4.5, 20.0, 14.0),
    };
    Grooved { module, mouth, half_angle: EIGHTH, channel, lip, cavity, depth }
}

fn vee(diameter: f64, width: f64, tip: f64) -> Wheel {
    let mut w = wheel(0.5 * diameter, width + 1.0);
    w.width = width;
    w.running = Running::Vee { tip, half_angle: EIGHTH };
    w.bearing.outer = 0.5 * diameter;
    w
}

/// The tyre's width counts: by arithmetic on 45° flanks, the contact ends at the tyre's side or at the channel.
#[test]
fn narrow_tyres_touch_over_less_or_fall_in() {
    let seat_on = |module: f64, w: &Wheel| {
        let (section, track) = of_module(module).section();
        seat(w, &track, std::slice::from_ref(&section))
    };
    for (module, width, flank) in [
        (45.0, 13.5, 1.4),  // wider than the mouth: the whole flank, (13 − 10.2)/2
        (45.0, 12.0, 0.9),  // (12 − 10.2)/2
        (45.0, 10.5, 0.15), // (10.5 − 10.2)/2
        (40.0, 10.0, 0.9),  // (10 − 8.2)/2
        (30.0, 10.0, 0.9),
        (20.0, 9.0, 1.4), // (9 − 6.2)/2
    ] {
        let seating = seat_on(module, &vee(30.0, width, 5.0)).unwrap();
        let touching: Vec<_> = seating.touching().collect();
        assert_eq!(touching.len(), 2, "{seating:?}");
        for contact in touching {
            assert_eq!(contact.touch, Touch::Flank);
            assert!((contact.length - flank * 2f64.sqrt()).abs() < 1e-9, "{module} {width}: {contact:?}");
        }
        let closed = 15.0 - 0.5 * (of_module(module).mouth - 5.0);
        assert!((seating.axle_height - closed).abs() < 1e-9 && seating.sunk.is_none());
    }
    // 10 mm in a channel of 10.2: down to the floor, its axle in the rail.
    for diameter in [20.0, 22.0, 24.0] {
        let fault = seat_on(45.0, &vee(diameter, 10.0, 5.0)).unwrap_err();
        assert_eq!(fault, SeatingFault::FallsIn { width: 10.0, throat: 10.2 });
    }
    // A large wheel as narrow comes to rest on the floor, 14 mm down.
    let seating = seat_on(45.0, &vee(40.0, 10.0, 5.0)).unwrap();
    assert_eq!(seating.sunk, Some(Sunk::FallsIn { width: 10.0, throat: 10.2 }));
    assert!((seating.axle_height - 6.0).abs() < 1e-9);
    assert!(seating.contacts.len() == 1 && seating.main().unwrap().touch == Touch::Tip);
    assert!((seating.main().unwrap().length - 5.0).abs() < 1e-9);
    // 15 mm wheels, 6 wide, on the 20 section: floor at 6.1.
    let seating = seat_on(20.0, &vee(15.0, 6.0, 2.4)).unwrap();
    assert!(matches!(seating.sunk, Some(Sunk::FallsIn { .. })) && (seating.axle_height - 1.4).abs() < 1e-9);
    // Without the section nothing is known below the flanks.
    let (_, track) = of_module(20.0).section();
    let fault = seat(&vee(15.0, 6.0, 2.4), &track, &[]).unwrap_err();
    assert!(matches!(fault, SeatingFault::FallsIn { .. }) && fault.to_string().contains("6.20"), "{fault}");
    assert!(matches!(seat_on(20.0, &vee(30.0, 12.0, 9.0)), Err(SeatingFault::TooWide { .. })));
}

/// A tip that meets the floor of a shallow groove first.
#[test]
fn tips_on_the_floor_are_told() {
    let shallow = Grooved { lip: 1.5, depth: 1.6, cavity: 6.2, channel: 6.2, ..of_module(20.0) };
    let (section, track) = shallow.section();
    let seating = seat(&vee(30.0, 9.0, 4.0), &track, std::slice::from_ref(&section)).unwrap();
    assert_eq!(seating.sunk, Some(Sunk::Bottoms { depth: seating.depth }));
    assert!((seating.axle_height - (15.0 - 1.6)).abs() < 1e-9, "{seating:?}");
}

/// A bearing so large that the vee ends 1 mm above it: 7.5 mm wide there, in a mouth of 8.5.
#[test]
fn wheels_on_their_shoulders_fail_by_name() {
    let mut fixture = fixture(&Recipe::default());
    let told = |fixture: &Fixture| -> Vec<Finding> {
        let all = analyse(fixture).findings.into_iter();
        all.filter(|finding| finding.code == "wheel.on_shoulders").collect()
    };
    assert!(told(&fixture).is_empty());
    let pieces = fixture.riders[0].wheels[0].stack.pieces.iter_mut();
    for piece in pieces {
        if let PieceKind::Wheel(wheel) = &mut piece.kind {
            wheel.bearing.outer = 2.0 * (wheel.outer_radius.nominal - 1.0);
        }
    }
    let told = told(&fixture);
    let [only] = told.as_slice() else { panic!("{told:?}") };
    assert_eq!(
        (only.severity, only.paths.as_slice()),
        (Severity::Fails, &[fixture.riders[0].wheels[0].path.clone()][..])
    );
    assert!((only.value.unwrap() - 1.0).abs() < 1e-9, "{only:?}");
}

/// Half-profile of a wheel as a function, written anew: the radius at a distance from the mid-plane.
fn radius_at(w: &Wheel, x: f64) -> f64 {
    let (outer, x) = (w.outer_radius.nominal, x.abs());
    let sagitta = |radius: f64, x: f64| radius - (radius * radius - x * x).max(0.0).sqrt();
    match w.running {
        Running::Flat => outer,
        Running::Vee { tip, half_angle } => {
            (outer - (x - 0.5 * tip).max(0.0) / half_angle.tan()).max(0.5 * w.bearing.outer)
        }
        Running::Crowned { radius } => outer - sagitta(radius.max(0.5 * w.width), x),
        Running::Grooved { radius } => {
            let rim = (0.5 * w.width).min(radius);
            if x >= rim { outer } else { outer - sagitta(radius, rim) + sagitta(radius, x) }
        }
    }
}

/// Height of the section's first surface from above at x, in the track's frame.
fn height_at(corners: &[DVec2], x: f64) -> f64 {
    let mut highest = f64::NEG_INFINITY;
    for (i, p) in corners.iter().enumerate() {
        let q = corners[(i + 1) % corners.len()];
        if (p.x - x) * (q.x - x) <= 0.0 && p.x != q.x {
            highest = highest.max(p.y + (x - p.x) / (q.x - p.x) * (q.y - p.y));
        }
    }
    highest
}

/// Every form of wheel on every form of track. Pushed straight down, the axle comes to rest at the greatest height of
/// radius over surface, max (r(x) + h(x)); where it touches, the two differ from that by nothing.
#[test]
fn every_pairing_against_the_upper_envelope() {
    let mut random = Random::new(0x5ea7_0001);
    let mut between = |low: f64, high: f64| random.between(low, high);
    let (mut seated, mut sunk, mut refused) = (0, 0, 0);
    for round in 0..240 {
        let mut w = wheel(between(7.0, 22.0), 14.0);
        w.width = between(4.0, 14.0);
        w.bearing.outer = between(6.0, 12.0);
        w.running = match round % 4 {
            0 => Running::Vee { tip: between(1.0, w.width), half_angle: between(0.4, 1.1) },
            1 => Running::Flat,
            2 => Running::Crowned { radius: between(3.0, 60.0) },
            _ => Running::Grooved { radius: between(2.0, 7.0) },
        };
        let (section, track) = match (round / 4) % 3 {
            0 => {
                let mouth = between(7.0, 12.0);
                let channel = mouth - between(0.5, 4.0);
                let half_angle = between(0.5, 1.0);
                let flank = 0.5 * (mouth - channel) / half_angle.tan();
                let lip = flank + between(0.2, 2.0);
                let depth = lip + between(0.5, 13.0);
                let cavity = channel + between(0.1, 4.0);
                Grooved { module: 30.0, mouth, half_angle, channel, lip, cavity, depth }.section()
            }
            1 => {
                let half = between(3.0, 20.0);
                let profile = TrackProfile::Flat { width: 2.0 * half };
                let corners = [v(-half, -9.0), v(half, -9.0), v(half, 0.0), v(-half, 0.0)];
                let track = Track { name: "bar".into(), middle: DVec2::ZERO, normal: DVec2::Y, profile };
                (Section { outer: Outline::polygon(&corners), holes: Vec::new() }, track)
            }
            _ => {
                let radius = between(2.0, 7.0);
                let profile = TrackProfile::Round { radius };
                let track = Track { name: "rod".into(), middle: v(0.0, radius), normal: DVec2::Y, profile };
                (Section { outer: Outline::circle(DVec2::ZERO, radius), holes: Vec::new() }, track)
            }
        };
        assert!(shows_track(std::slice::from_ref(&section), &track));
        let corners: Vec<DVec2> =
            section.outer.flattened(1e-4, Side::Middle).into_iter().map(|p| p - track.middle).collect();
        let half = 0.5 * w.width;
        let steps = 6_000;
        let sum = |x: f64| radius_at(&w, x) + height_at(&corners, x);
        let at = |i: i32| half * f64::from(i) / f64::from(steps);
        let axle = (-steps..=steps).map(|i| sum(at(i))).fold(f64::NEG_INFINITY, f64::max);
        match seat(&w, &track, std::slice::from_ref(&section)) {
            Ok(seating) => {
                // Between samples the sum rises by the slope of a steep flank or groove at most.
                assert!(
                    (seating.axle_height - axle).abs() < 0.02,
                    "{round}: {seating:?} {axle} {w:?} {track:?}"
                );
                for contact in seating.touching() {
                    for end in contact.ends() {
                        // A hair inside the corner at which the contact ends.
                        let x = end.x - 1e-6 * (end.x - contact.across).signum();
                        let open = seating.axle_height - sum(x.clamp(-half, half));
                        assert!(
                            (-1e-6..2e-3).contains(&open) || contact.length == 0.0,
                            "{round}: {open} {contact:?}"
                        );
                    }
                    assert!(
                        (contact.radius() - radius_at(&w, contact.across)).abs() < 1e-5,
                        "{round} {contact:?}"
                    );
                    assert!((contact.normal.length() - 1.0).abs() < 1e-12 && contact.normal.y > 0.0);
                }
                seated += 1;
                sunk += usize::from(seating.sunk.is_some());
            }
            Err(SeatingFault::TooWide { tip, mouth }) => assert!(tip >= mouth),
            Err(SeatingFault::FallsIn { .. } | SeatingFault::TooDeep) => {
                assert!(axle <= 1e-9, "{round}: {axle}");
                refused += 1;
            }
            Err(SeatingFault::BadSize) => assert!(matches!(w.running, Running::Grooved { .. })),
            Err(SeatingFault::Misses) => panic!("{round}: it meets the rail at {axle}"),
        }
    }
    assert!(seated > 200 && sunk > 3 && refused > 0, "{seated} {sunk} {refused}");
}

/// A mirrored section gives mirrored contacts, a turned one the same.
#[test]
fn sections_may_be_turned() {
    let (section, track) = of_module(30.0).section();
    let w = vee(24.0, 10.0, 5.0);
    let as_drawn = seat(&w, &track, std::slice::from_ref(&section)).unwrap();
    for turn in [0.5 * PI, PI, 1.5 * PI, 0.3] {
        let turned = Section { outer: section.outer.transformed(turn, DVec2::ZERO), holes: Vec::new() };
        let rotor = DVec2::from_angle(turn);
        let there =
            Track { middle: rotor.rotate(track.middle), normal: rotor.rotate(track.normal), ..track.clone() };
        let seating = seat(&w, &there, std::slice::from_ref(&turned)).unwrap();
        assert_eq!(seating.contacts.len(), as_drawn.contacts.len());
        for (a, b) in seating.contacts.iter().zip(&as_drawn.contacts) {
            assert!((a.length - b.length).abs() < 1e-9 && (a.across - b.across).abs() < 1e-9);
        }
    }
}

/// Solids of tyres leave the profile by 0.01 mm at most, outwards only, lips and all.
#[test]
fn tyres_are_solid_to_a_hundredth() {
    for (radius, width, running) in [
        (15.0, 10.0, Running::Grooved { radius: 4.1 }),
        (20.0, 12.0, Running::Grooved { radius: 6.1 }),
        (12.0, 5.0, Running::Grooved { radius: 3.1 }),
        (15.0, 10.0, Running::Crowned { radius: 60.0 }),
        (15.0, 10.0, Running::Vee { tip: 5.0, half_angle: EIGHTH }),
    ] {
        let mut fixture = fixture(&Recipe::default());
        let mut w = wheel(radius, 13.0);
        (w.width, w.running) = (width, running);
        w.bearing.outer = 14.0;
        for rider in &mut fixture.riders {
            for mount in &mut rider.wheels {
                for piece in &mut mount.stack.pieces {
                    if let PieceKind::Wheel(old) = &mut piece.kind {
                        **old = w.clone();
                    }
                }
            }
        }
        let assembly = Assembly::new(&fixture);
        let tyre = assembly.bodies.iter().find(|b| b.role == Role::Tyre).unwrap();
        let bounds = tyre.solids.iter().map(|s| s.bounds()).reduce(|a, b| a.joined(&b)).unwrap();
        let middle = 0.5 * (bounds.low + bounds.high);
        // Frustums along z: the greatest radius over all solids at a level, from their rings.
        let solid_at = |x: f64| {
            tyre.solids
                .iter()
                .filter_map(|solid| {
                    let b = solid.bounds();
                    let (low, high) = (b.low.z - middle.z, b.high.z - middle.z);
                    if !(low..=high).contains(&x) {
                        return None;
                    }
                    // Its radius there by bisection of a point moved out from the axis.
                    let (mut inner, mut outer) = (0.0, 2.0 * radius);
                    for _ in 0..50 {
                        let mid = 0.5 * (inner + outer);
                        let p = middle + glam::DVec3::new(mid, 0.0, x);
                        if solid.contains(p) { inner = mid } else { outer = mid }
                    }
                    Some(inner)
                })
                .fold(0.0, f64::max)
        };
        for i in -200..=200 {
            let x = 0.499_9 * width * f64::from(i) / 200.0;
            let (solid, profile) = (solid_at(x), radius_at(&w, x));
            // Square to the surface: in a groove, how far inside its circle the solid reaches.
            let off = match running {
                Running::Grooved { radius: groove } if x.abs() < groove => {
                    let deep = groove - (groove * groove - (0.5 * width).min(groove).powi(2)).sqrt();
                    groove - x.hypot(solid - (radius - deep + groove))
                }
                _ => solid - profile,
            };
            assert!((-1e-6..0.010_001).contains(&off), "{running:?} {x}: {off}");
        }
    }
}
