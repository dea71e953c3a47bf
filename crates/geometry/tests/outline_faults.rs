//! Sound outlines are accepted and broken ones refused, as a geometry library outside the project says: see
//! `reference/outlines.py`, which stands with its data and names its versions there.
#![allow(clippy::unwrap_used, reason = "a broken data file must fail the test")]

use glidewright_geometry::{DVec2, Edge, Outline, Region};

struct Row {
    line: usize,
    is_sound: bool,
    area: f64,
    region: Region,
}

fn ring(text: &str) -> Outline {
    let corners: Vec<[f64; 3]> = text
        .split(',')
        .map(|corner| {
            let numbers: Vec<f64> = corner.split_whitespace().map(|word| word.parse().unwrap()).collect();
            [numbers[0], numbers[1], numbers[2]]
        })
        .collect();
    let edges = corners.iter().zip(corners.iter().cycle().skip(1)).map(|(&[x0, y0, bulge], &[x1, y1, _])| {
        let (from, to) = (DVec2::new(x0, y0), DVec2::new(x1, y1));
        if bulge == 0.0 {
            return Edge::line(from, to);
        }
        let sweep = 4.0 * bulge.atan();
        let centre = 0.5 * (from + to) + 0.5 / (0.5 * sweep).tan() * (to - from).perp();
        Edge::arc(centre, centre.distance(from), (from - centre).to_angle(), sweep)
    });
    Outline::from_edges(edges.collect())
}

fn rows() -> Vec<Row> {
    include_str!("reference/outlines.txt")
        .lines()
        .enumerate()
        .filter(|(_, line)| !line.starts_with('#'))
        .map(|(number, line)| {
            let fields: Vec<&str> = line.split('|').collect();
            let mut rings = fields[2].split(';').map(ring);
            let outer = rings.next().unwrap();
            Row {
                line: number + 1,
                is_sound: fields[0].trim() == "sound",
                area: fields[1].trim().parse().unwrap(),
                region: Region::new(outer, rings.collect()),
            }
        })
        .collect()
}

#[test]
fn faults_agree_with_the_reference() {
    let rows = rows();
    assert!(rows.len() >= 500 && rows.iter().filter(|row| !row.is_sound).count() >= 200);
    for Row { line, is_sound, area, region } in rows {
        let found = region.check();
        assert_eq!(found.is_ok(), is_sound, "line {line}: {found:?}");
        // The reference sees arcs as four hundred chords: its areas agree to 1e-5 of the whole.
        if is_sound {
            assert!(
                (region.area() - area).abs() <= 1e-5 * area.max(1.0),
                "line {line}: {} {area}",
                region.area()
            );
        }
    }
}
