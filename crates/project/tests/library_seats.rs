//! Every vee wheel of the tables on every grooved rail of the tables, against the arithmetic of their sizes.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use std::collections::HashMap;

use glidewright_motion::{Assembly, Sunk, Touch};
use glidewright_project::{Document, parse, resolve};

/// A rider with one pair of wheels, on the screw whose thread fits them.
fn project(rail: &str, rows: f64, wheel: &str, thread: &str) -> Document {
    let pair = if rows > 1.0 { "front" } else { "middle" };
    parse(&format!(
        "(format: 2, name: \"Seat\", rail: (section: \"{rail}\", length: 400), riders: [(name: \"tray\", faces: front, \
         at: 200, moves: lead, stack: (screw: \"ISO 4762 {thread}\", pieces: [(washer: \"ISO 7089 {thread}\"), \
         (plate: \"deck\"), (wheel: \"{wheel}\"), (nut: \"ISO 4032 {thread}\")]), plates: [(name: \"deck\", outline: \
         around(margin: 12, corner: 4), thickness: 6, material: \"PETG\")], wheels: [(name: \"only\", pair: \"{pair}\", \
         along: 0)])], stroke: (to: 50))"
    ))
    .unwrap()
}

/// The rows of a table, each cell by its column's name.
fn rows(table: &str) -> Vec<HashMap<String, String>> {
    csv::Reader::from_reader(table.as_bytes()).deserialize().map(|row| row.unwrap()).collect()
}

#[test]
fn every_vee_wheel_of_the_tables_on_every_grooved_rail() {
    let rails = rows(include_str!("../../../assets/tables/rails.csv"));
    let wheels = rows(include_str!("../../../assets/tables/wheels.csv"));
    let (mut rests, mut falls, mut too_wide) = (0, 0, 0);
    for rail in &rails {
        let of = |head: &str| rail[head].parse::<f64>().unwrap();
        let (mouth, channel, depth, rows) = (of("mouth_mm"), of("channel_mm"), of("depth_mm"), of("rows"));
        for wheel in wheels.iter().filter(|wheel| wheel["kind"] == "vee") {
            let of = |head: &str| wheel[head].parse::<f64>().unwrap();
            let (outer, width, tip) = (0.5 * of("outer_mm"), of("width_mm"), of("tip_mm"));
            let place = format!("{} on {}", wheel["name"], rail["name"]);
            let fixture = ["M3", "M4", "M5", "M6"]
                .iter()
                .map(|thread| resolve(&project(&rail["name"], rows, &wheel["name"], thread), None))
                .find_map(|resolved| {
                    resolved.fixture.filter(|_| !resolved.problems.iter().any(|p| p.message.contains("bore")))
                });
            let Some(fixture) = fixture else {
                // No fixture where a wheel cannot sit at all.
                assert!(tip >= mouth || width < channel, "{place}");
                too_wide += usize::from(tip >= mouth);
                falls += usize::from(width < channel);
                continue;
            };
            let assembly = Assembly::new(&fixture);
            let seating = assembly.riders[0].stacks[0].seating.as_ref().unwrap();
            if width < channel {
                assert_eq!(seating.sunk, Some(Sunk::FallsIn { width, throat: channel }), "{place}");
                falls += 1;
                continue;
            }
            // Flanks of 45 degrees: as deep as half of what the mouth is wider than the tip, and as long as the
            // narrower part leaves, along the slope.
            let deep = 0.5 * (mouth - tip);
            assert!(deep < depth && seating.sunk.is_none(), "{place}");
            assert!((seating.axle_height - (outer - deep)).abs() < 1e-9, "{place}: {seating:?}");
            let along = (0.5 * (mouth.min(width) - channel.max(tip)) * 2f64.sqrt()).max(0.0);
            for contact in seating.touching() {
                // On square lips, or on the last bit of its flanks, it stands on edges.
                let on_edges = along < 1e-9;
                let expected = if on_edges { Touch::Edge } else { Touch::Flank };
                assert_eq!(contact.touch, expected, "{place}");
                assert!((contact.length - along).abs() < 1e-9, "{place}: {} for {along}", contact.length);
            }
            assert_eq!(seating.touching().count(), 2, "{place}");
            rests += 1;
        }
    }
    assert!(rests > 200 && falls > 10, "{rests} rest, {falls} fall in, {too_wide} are too wide");
}
