//! The closed forms of seating against the general search for the first contact of the two profiles.
#![allow(clippy::expect_used, reason = "a test that cannot go on may stop")]

mod common;

use std::f64::consts::PI;

use common::wheel;
use glam::DVec2;
use glidewright_geometry::{Contact, Edge, Seat, first_contact};
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
    let seating = seat(w, t).expect("it seats");
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
                let mut w = wheel(12.0, 13.0);
                w.width = 16.0;
                w.running = Running::Vee { tip: 5.5, half_angle: own.to_radians() };
                let profile = TrackProfile::Vee {
                    mouth: Toleranced::exact(mouth),
                    half_angle: groove.to_radians(),
                    lip: 20.0,
                };
                let (seating, found) = both(&w, &track(profile));
                match seating.contact {
                    SeatContact::Flanks { length, .. } => {
                        assert_eq!(found.contacts.len(), 2);
                        assert!(found.contacts.iter().all(|c| (c.length() - length).abs() < 1e-9));
                        seen[0] += 1;
                    }
                    SeatContact::Edges { radius, .. } => {
                        assert_eq!(found.contacts.len(), 2);
                        for c in &found.contacts {
                            assert!(matches!(c, Contact::Point { .. }));
                            let from_axle = seating.axle_height - c.middle().y;
                            assert!((from_axle - radius).abs() < 1e-9, "{seating:?} {c:?}");
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
    let SeatContact::Rim { width } = seating.contact else { panic!("{seating:?}") };
    assert!(found.contacts.len() == 1 && (found.contacts[0].length() - width).abs() < 1e-9);
    both(&w, &rod);
    w.running = Running::Crowned { radius: 30.0 };
    both(&w, &flat);
    for groove in [5.5, 6.0, 9.0] {
        w.running = Running::Grooved { radius: groove };
        both(&w, &rod);
    }
}
