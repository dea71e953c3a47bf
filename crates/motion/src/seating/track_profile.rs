//! What a wheel meets at a track: the rail's own outline about it, or what its description says.

use std::f64::consts::{FRAC_PI_2, PI};

use glam::DVec2;
use glidewright_geometry::Edge;

use crate::{Section, Track, TrackProfile};

/// How far the outline may lie from what the track's description says and still be taken for it (mm): drawings are
/// rounded to hundredths.
const AGREES: f64 = 0.05;

/// How far the faces beside a described track reach (mm): further than any wheel is wide.
const FACE: f64 = 1e4;

/// The axis of a track's own frame along its face: square to its normal, which lies a left turn ahead of it.
pub(crate) fn along_face(normal: DVec2) -> DVec2 {
    DVec2::new(normal.y, -normal.x)
}

/// Whether the outline of one of the rail's bars shows the track it is said to have, within hundredths of a millimetre.
pub fn shows_track(bars: &[Section], track: &Track) -> bool {
    let edges = in_track_frame(bars, track, |_| true);
    agrees(&edges, &track.profile)
}

/// The edges a wheel of a half-width and outer radius can meet, in the track's frame: the origin in the middle of its
/// mouth, y along its outward normal (mm).
pub(super) fn edges(track: &Track, bars: &[Section], half_width: f64, outer: f64) -> Vec<Edge> {
    let mut drawn = in_track_frame(bars, track, |b| {
        // Room to see what is described there, too.
        let half = half_width.max(described_half(&track.profile)) + 1.0;
        b.0.x <= half && b.1.x >= -half && b.0.y <= outer && b.1.y >= -2.0 * outer - 1.0
    });
    if !agrees(&drawn, &track.profile) {
        return described(&track.profile);
    }
    snap(&mut drawn, &track.profile);
    drawn
}

fn described_half(profile: &TrackProfile) -> f64 {
    match *profile {
        TrackProfile::Vee { mouth, .. } => 0.5 * mouth.nominal,
        TrackProfile::Flat { width } => 0.5 * width,
        TrackProfile::Round { radius } => radius,
    }
}

/// The edges of the bars' outer outlines whose boxes (least and greatest corner) are wanted, in the track's frame.
fn in_track_frame(bars: &[Section], track: &Track, wanted: impl Fn((DVec2, DVec2)) -> bool) -> Vec<Edge> {
    let along = along_face(track.normal);
    let at = |p: DVec2| DVec2::new((p - track.middle).dot(along), (p - track.middle).dot(track.normal));
    let turn = FRAC_PI_2 - track.normal.to_angle();
    let placed = |edge: &Edge| match *edge {
        Edge::Line { from, to } => {
            let (from, to) = (at(from), at(to));
            wanted((from.min(to), from.max(to))).then(|| Edge::line(from, to))
        }
        Edge::Arc { centre, radius, start, sweep } => {
            let centre = at(centre);
            let round = DVec2::splat(radius);
            wanted((centre - round, centre + round)).then(|| Edge::arc(centre, radius, start + turn, sweep))
        }
    };
    bars.iter().flat_map(|bar| &bar.outer.edges).filter_map(placed).collect()
}

/// The corners of a described vee: mouth and foot of the flank on the side of growing x.
fn vee_corners(mouth: f64, half_angle: f64, lip: f64) -> [DVec2; 2] {
    let half = 0.5 * mouth;
    // The flanks end where they meet.
    let lip = lip.min(half / half_angle.tan());
    [DVec2::new(half, 0.0), DVec2::new((half - lip * half_angle.tan()).max(0.0), -lip)]
}

/// Whether the edges pass everywhere by what is described.
fn agrees(edges: &[Edge], profile: &TrackProfile) -> bool {
    let on = |p: DVec2| edges.iter().any(|edge| edge.nearest(p).distance(p) <= AGREES);
    let both = |p: DVec2| on(p) && on(DVec2::new(-p.x, p.y));
    match *profile {
        TrackProfile::Vee { mouth, half_angle, lip } => {
            let [top, foot] = vee_corners(mouth.nominal, half_angle, lip);
            // The groove is open, not a face with a line in it.
            let open = !on(DVec2::ZERO) || top.y - foot.y <= AGREES;
            open && both(top) && both(0.5 * (top + foot)) && both(foot)
        }
        TrackProfile::Flat { width } => {
            let end = DVec2::new(0.5 * width, 0.0);
            on(DVec2::ZERO) && both(0.5 * end) && both(end)
        }
        TrackProfile::Round { radius } => {
            // A rounded edge is a part of a rod.
            const ASIDE: f64 = 0.35;
            let aside = DVec2::new(radius * ASIDE.sin(), radius * (ASIDE.cos() - 1.0));
            on(DVec2::ZERO) && both(aside)
        }
    }
}

/// Puts the outline's corners at a vee exactly where the description has them, so that a groove is as wide as it is
/// said to be.
fn snap(edges: &mut [Edge], profile: &TrackProfile) {
    let TrackProfile::Vee { mouth, half_angle, lip } = *profile else { return };
    let [top, foot] = vee_corners(mouth.nominal, half_angle, lip);
    let mirrored = |p: DVec2| DVec2::new(-p.x, p.y);
    let corners = [top, mirrored(top), foot, mirrored(foot)];
    // A flank that lies off by so much has its corners off by more.
    let reach = AGREES / half_angle.cos() + 1e-9;
    let near = |p: DVec2| corners.into_iter().find(|corner| corner.distance(p) <= reach).unwrap_or(p);
    for edge in edges {
        if let Edge::Line { from, to } = edge {
            (*from, *to) = (near(*from), near(*to));
        }
    }
}

/// The described profile with the faces beside it. Below a vee's flanks nothing is known.
fn described(profile: &TrackProfile) -> Vec<Edge> {
    match *profile {
        TrackProfile::Vee { mouth, half_angle, lip } => {
            let [top, foot] = vee_corners(mouth.nominal, half_angle, lip);
            let mirrored = |p: DVec2| DVec2::new(-p.x, p.y);
            let far = DVec2::new(top.x + FACE, 0.0);
            vec![
                Edge::line(mirrored(far), mirrored(top)),
                Edge::line(mirrored(top), mirrored(foot)),
                Edge::line(foot, top),
                Edge::line(top, far),
            ]
        }
        TrackProfile::Flat { width } => {
            vec![Edge::line(DVec2::new(-0.5 * width, 0.0), DVec2::new(0.5 * width, 0.0))]
        }
        TrackProfile::Round { radius } => vec![Edge::arc(DVec2::new(0.0, -radius), radius, 0.0, PI)],
    }
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::Outline;

    use super::*;
    use crate::Toleranced;

    /// A groove of 11 in a bar, said to be wider or narrower by a little: its flanks are where they are said to be, whether
    /// the outline still passes for it or not.
    #[test]
    fn a_groove_is_as_wide_as_it_is_said_to_be() {
        let at = |x: f64, y: f64| DVec2::new(x, y);
        let corners = [
            at(-15.0, -30.0),
            at(15.0, -30.0),
            at(15.0, 0.0),
            at(5.5, 0.0),
            at(3.3, -2.2),
            at(3.3, -9.0),
            at(-3.3, -9.0),
            at(-3.3, -2.2),
            at(-5.5, 0.0),
            at(-15.0, 0.0),
        ];
        let bar = Section::from(Outline::polygon(&corners));
        for step in -40..=40 {
            let mouth = 11.0 + 0.01 * f64::from(step);
            let profile = TrackProfile::Vee {
                mouth: Toleranced::exact(mouth),
                half_angle: std::f64::consts::FRAC_PI_4,
                lip: 2.2,
            };
            let track = Track { name: String::new(), middle: DVec2::ZERO, normal: DVec2::Y, profile };
            let edges = edges(&track, std::slice::from_ref(&bar), 5.0, 20.0);
            let half_way = at(0.5 * mouth - 1.1, -1.1);
            let off = edges.iter().map(|edge| edge.nearest(half_way).distance(half_way)).fold(1.0, f64::min);
            assert!(off < 1e-9, "mouth {mouth}: the flank is off by {off}");
        }
    }
}
