//! Random regions, sound by construction: sections of rails, plates, tubes, combs, stars, thin and nearly touching
//! things, at any size, turn and place.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use glidewright_geometry::{DVec2, Edge, Outline, Region};

use super::Random;

/// Kinds of regions that [`Random::region`] makes.
pub const KINDS: usize = 14;

/// A region with its kind in words.
pub struct Made {
    pub name: &'static str,
    pub region: Region,
}

fn v(x: f64, y: f64) -> DVec2 {
    DVec2::new(x, y)
}

impl Random {
    /// Between two positive numbers, each decade alike.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        (low.ln() + (high.ln() - low.ln()) * self.unit()).exp()
    }

    fn chance(&mut self, one_in: usize) -> bool {
        self.below(one_in) == 0
    }

    /// A region of a kind at a random size, turn and place.
    pub fn region(&mut self, kind: usize) -> Made {
        let (name, region) = match kind {
            0 => ("grooved rail", self.grooved(false)),
            1 => ("grooved rail with fillets", self.grooved(true)),
            2 => ("star", Outline::polygon(&self.star()).into()),
            3 => ("comb", Outline::polygon(&self.comb(3.0)).into()),
            4 => ("comb with fillets", self.comb_with_fillets()),
            5 => ("ragged polygon with straight corners", self.ragged()),
            6 => ("plate with holes", self.plate()),
            7 => ("tube", self.tube()),
            8 => ("spiral", self.spiral()),
            9 => ("scalloped disc", self.scallops().into()),
            10 => ("crescent", self.crescent().into()),
            11 => ("disc with a thin curved slit", self.slit()),
            12 => ("thin strip", self.strip()),
            _ => ("sector or key", self.sector().into()),
        };
        let region = self.resized(region);
        Made { name, region }
    }

    /// The region at another size, turned and shifted.
    fn resized(&mut self, region: Region) -> Region {
        let factor = match self.below(8) {
            0 => self.decades(1e-2, 1.0),
            1 => self.decades(1.0, 1e3),
            2 | 3 => 25.4,
            _ => 1.0,
        };
        let scaled = |o: &Outline| Outline::from_edges(o.edges.iter().map(|e| e.scaled(factor)).collect());
        let region = Region::new(scaled(&region.outer), region.holes.iter().map(scaled).collect());
        let turn = match self.below(4) {
            0 => 0.0,
            1 => FRAC_PI_2 * self.below(4) as f64,
            2 => self.decades(1e-12, 1e-3),
            _ => self.between(0.0, TAU),
        };
        let far = match self.below(4) {
            0 => 0.0,
            1 => 1e4,
            _ => 100.0,
        };
        let region = region.transformed(turn, v(self.between(-far, far), self.between(-far, far)));
        if self.chance(3) {
            Region::new(region.outer.mirrored(), region.holes.iter().map(Outline::mirrored).collect())
        } else {
            region
        }
    }

    /// An extrusion with undercut grooves in all sides, with bores, perhaps with rounded inner corners.
    fn grooved(&mut self, fillets: bool) -> Region {
        let module = self.between(12.0, 60.0);
        let half = 0.5 * module;
        let (columns, rows) = (1 + self.below(3), 1 + self.below(3));
        let depth = half * self.between(0.15, 0.75);
        let wall = self.decades(1e-6, 0.3) * (half - depth);
        let cavity = half - depth - wall;
        let channel = cavity * if self.chance(4) { 1.0 } else { self.between(0.1, 1.0) };
        let mouth = channel + (half - channel) * if self.chance(4) { 0.0 } else { self.between(0.01, 0.9) };
        let lip = depth * self.between(0.1, 0.9);
        let flank = if mouth > channel { lip * self.between(0.1, 1.0) } else { 0.0 };
        let bottom = cavity * if self.chance(4) { 1.0 } else { self.between(0.0, 1.0) };
        let taper = (cavity - bottom).min(depth - lip);
        let side = [
            v(-mouth, 0.0),
            v(-channel, flank),
            v(-channel, lip),
            v(-cavity, lip),
            v(-cavity, depth - taper),
            v(-bottom, depth),
        ];
        let mut groove = side.to_vec();
        groove.extend(side.iter().rev().map(|p| v(-p.x, p.y)));
        let mut corners = Vec::new();
        for (k, (along, across)) in
            [(columns, rows), (rows, columns), (columns, rows), (rows, columns)].into_iter().enumerate()
        {
            let turn = [v(1.0, 0.0), v(0.0, 1.0), v(-1.0, 0.0), v(0.0, -1.0)][k];
            let (long, deep) = (half * along as f64, half * across as f64);
            corners.push(turn.rotate(v(-long, -deep)));
            for i in 0..along {
                let middle = module * (i as f64 + 0.5) - long;
                corners.extend(groove.iter().map(|p| turn.rotate(v(middle + p.x, p.y - deep))));
            }
        }
        let corners = without_doubles(&corners);
        let outer = if fillets { self.filleted(&corners) } else { Outline::polygon(&corners) };
        let mut holes = Vec::new();
        let room = half - depth;
        if room > 0.2 && self.chance(2) {
            let radius = if self.chance(3) { room * (1.0 - self.decades(1e-6, 0.5)) } else { room * 0.5 };
            for i in 0..columns {
                for j in 0..rows {
                    let at =
                        module * v(i as f64 + 0.5, j as f64 + 0.5) - half * v(columns as f64, rows as f64);
                    holes.push(Outline::circle(at, radius));
                }
            }
        }
        Region::new(outer, holes)
    }

    /// Corners rounded as far as half the edges beside them allow; some by exactly that, so that arcs meet.
    fn filleted(&mut self, corners: &[DVec2]) -> Outline {
        let count = corners.len();
        let share = if self.chance(3) { 1.0 } else { self.between(0.02, 0.9) };
        let mut edges = Vec::new();
        for i in 0..count {
            let (before, at, after) =
                (corners[(i + count - 1) % count], corners[i], corners[(i + 1) % count]);
            let (into, out) = ((at - before).normalize(), (after - at).normalize());
            let turn = into.perp_dot(out).atan2(into.dot(out));
            let reach = 0.5 * share * at.distance(before).min(at.distance(after));
            if turn.abs() < 0.05 || self.chance(4) {
                edges.push(Edge::line(at, at));
                continue;
            }
            let radius = reach / (0.5 * turn.abs()).tan();
            let side = turn.signum();
            let centre = at - reach * into + side * radius * into.perp();
            let start = (-side * into.perp()).to_angle();
            edges.push(Edge::arc(centre, radius, start, turn));
        }
        let joined = Outline::joined(&edges);
        Outline::from_edges(joined.edges.into_iter().filter(|e| e.length() > 1e-9).collect())
    }

    fn star(&mut self) -> Vec<DVec2> {
        let points = 3 + self.below(38);
        let inner = self.decades(1e-3, 0.95);
        let start = self.between(0.0, TAU);
        (0..2 * points)
            .map(|k| {
                let r = if k % 2 == 0 { 10.0 } else { 10.0 * inner };
                r * DVec2::from_angle(start + PI * k as f64 / points as f64)
            })
            .collect()
    }

    /// Teeth on a back, leaning by up to `lean` of their height.
    fn comb(&mut self, lean: f64) -> Vec<DVec2> {
        let teeth = 1 + self.below(30);
        let height = self.decades(1e-2, 50.0);
        let root = self.decades(1e-3, 10.0);
        let lean = if self.chance(3) { self.between(-lean, lean) } else { 0.0 };
        let uneven = if self.chance(2) { self.decades(1e-13, 1e-2) } else { 0.0 };
        let (mut x, mut teeth_corners) = (0.0, Vec::new());
        for _ in 0..teeth {
            let (tooth, gap) = (self.decades(1e-4, 5.0), self.decades(1e-4, 5.0));
            let top = height * (1.0 + uneven * self.unit());
            let foot = uneven * self.between(-0.4, 0.4) * root.min(height);
            teeth_corners.extend([
                v(x + lean * foot, foot),
                v(x + lean * top, top),
                v(x + tooth + lean * top, top),
                v(x + tooth + lean * foot, foot),
            ]);
            x += tooth + gap;
        }
        let mut corners = vec![v(0.0, -root), v(teeth_corners[teeth_corners.len() - 1].x, -root)];
        corners.extend(teeth_corners.into_iter().rev());
        corners
    }

    fn comb_with_fillets(&mut self) -> Region {
        // Rounding the sharp corners of leaning teeth could make them cross.
        let corners = self.comb(0.0);
        self.filleted(&corners).into()
    }

    /// Round about a middle in order of angle, with corners put into the edges that hardly bend them.
    fn ragged(&mut self) -> Region {
        let count = 3 + self.below(40);
        let bend = self.decades(1e-14, 1e-6);
        let step = TAU / count as f64;
        let corners: Vec<DVec2> = (0..count)
            .map(|k| {
                let angle = step * (k as f64 + self.between(-0.3, 0.3));
                self.between(3.0, 10.0) * DVec2::from_angle(angle)
            })
            .collect();
        let mut all = Vec::new();
        for (i, &from) in corners.iter().enumerate() {
            let to = corners[(i + 1) % count];
            all.push(from);
            let more = self.below(4);
            for k in 0..more {
                let share = (k as f64 + self.between(0.2, 0.8)) / more as f64;
                let off = if self.chance(3) { 0.0 } else { bend * self.between(-1.0, 1.0) };
                all.push(from.lerp(to, 0.1 + 0.8 * share) + off * (to - from).perp());
            }
        }
        Outline::polygon(&all).into()
    }

    /// Holes in a grid, each in a cell of its own that it nearly fills.
    fn plate(&mut self) -> Region {
        let (columns, rows) = (1 + self.below(4), 1 + self.below(4));
        let cell = v(self.between(3.0, 20.0), self.between(3.0, 20.0));
        let corner = v(columns as f64, rows as f64) * cell;
        let outer = match self.below(3) {
            0 => Outline::rectangle(DVec2::ZERO, corner),
            // Rounded corners outside the cells.
            1 => Outline::rounded_rectangle(v(-2.0, -2.0), corner + 2.0, self.between(0.1, 2.0)),
            _ => {
                let r = 0.5 * corner.length() * (1.0 + self.decades(1e-6, 1.0));
                Outline::circle(0.5 * corner, r)
            }
        };
        let mut holes = Vec::new();
        for i in 0..columns {
            for j in 0..rows {
                if self.chance(5) {
                    continue;
                }
                let middle = v(i as f64 + 0.5, j as f64 + 0.5) * cell;
                let half = 0.5 * cell.min_element() * (1.0 - self.decades(1e-6, 0.8));
                let hole = match self.below(7) {
                    0 | 1 => Outline::circle(DVec2::ZERO, half),
                    2 => Outline::slot(v(-0.5 * half, 0.0), v(0.5 * half, 0.0), 0.45 * half),
                    3 => Outline::regular_polygon(6, 1.7 * half * (PI / 6.0).cos()),
                    4 => Outline::rectangle(v(-half, -half), v(half, half)),
                    5 => Outline::rounded_rectangle(v(-half, -half), v(half, half), self.unit() * half),
                    _ => Outline::polygon(&self.star().iter().map(|p| 0.1 * half * *p).collect::<Vec<_>>()),
                };
                let turn =
                    if hole.edges.len() == 4 || hole.edges.len() == 8 { 0.0 } else { self.between(0.0, TAU) };
                holes.push(hole.transformed(turn, middle));
            }
        }
        Region::new(outer, holes)
    }

    fn tube(&mut self) -> Region {
        let outer = self.between(2.0, 40.0);
        let wall = outer * self.decades(1e-6, 0.9);
        let off = if self.chance(2) { 0.0 } else { self.unit() };
        // The wall is thinnest on one side if the bore is off the middle.
        let radius = (outer - wall) * (1.0 - 0.5 * off);
        let most = outer - wall - radius;
        let at = most * DVec2::from_angle(self.between(0.0, TAU));
        let inner = match self.below(4) {
            0 => Outline::regular_polygon(3 + self.below(9) as u32, 1.0),
            _ => Outline::circle(DVec2::ZERO, radius),
        };
        let inner = if inner.edges.len() > 1 {
            let reach = inner.edges[0].from().length();
            Outline::from_edges(inner.edges.iter().map(|e| e.scaled(radius / reach)).collect())
        } else {
            inner
        };
        Region::new(
            Outline::circle(DVec2::ZERO, outer),
            vec![inner.transformed(self.between(0.0, TAU), if off > 0.0 { at } else { DVec2::ZERO })],
        )
    }

    /// A band wound up in square or round turns.
    fn spiral(&mut self) -> Region {
        let turns = 1 + self.below(5);
        let pitch = self.between(1.0, 4.0);
        let thick = pitch * (1.0 - self.decades(1e-5, 0.95));
        if self.chance(2) {
            let steps = 4 * turns;
            let at = |k: usize, off: f64| {
                let r = pitch * (k as f64 / 4.0 + 1.0) + off;
                r * 2f64.sqrt() * DVec2::from_angle(FRAC_PI_2 * k as f64)
            };
            let mut corners: Vec<DVec2> = (0..=steps).map(|k| at(k, 0.7 * thick)).collect();
            corners.extend((0..=steps).rev().map(|k| at(k, 0.0)));
            return Outline::polygon(&corners).into();
        }
        // Half turns about two middles.
        let (mut there, mut back) = (Vec::new(), Vec::new());
        for k in 0..2 * turns {
            let centre = v(if k % 2 == 0 { 0.0 } else { 0.5 * pitch }, 0.0);
            let start = if k % 2 == 0 { 0.0 } else { PI };
            let r = pitch * (0.5 * k as f64 + 1.0);
            there.push(Edge::arc(centre, r + thick, start, PI));
            back.push(Edge::arc(centre, r, start + PI, -PI));
        }
        back.reverse();
        there.extend(back);
        Outline::joined(&there).into()
    }

    /// A disc whose edge is bulges and bites in turn, some tangent to each other.
    fn scallops(&mut self) -> Outline {
        let count = 2 * (3 + self.below(20));
        let half = PI / count as f64;
        let (radius, deep) = (self.between(5.0, 30.0), self.between(0.05, 1.0));
        let corner = |k: usize| radius * DVec2::from_angle(2.0 * half * k as f64);
        let edges: Vec<Edge> = (0..count)
            .map(|k| {
                let (from, to) = (corner(k), corner(k + 1));
                // Half the sweep; a bite as deep as the bulge is high.
                let sweep = deep * 1.2 * if k % 2 == 0 { 1.0 } else { -1.0 };
                let r = 0.5 * from.distance(to) / f64::sin(sweep.abs());
                let inward = (to - from).perp().normalize() * sweep.signum();
                let centre = 0.5 * (from + to) + inward * r * sweep.cos();
                Edge::arc(centre, r, (from - centre).to_angle(), 2.0 * sweep)
            })
            .collect();
        Outline::joined(&edges)
    }

    /// Two arcs that share their ends: a lens, a half disc or a crescent down to a thin one.
    fn crescent(&mut self) -> Outline {
        let width = self.between(1.0, 10.0);
        let bulge = self.between(0.2, 0.95) * PI;
        let bite = bulge * (1.0 - self.decades(1e-5, 1.9));
        let arc = |from: DVec2, to: DVec2, half: f64| {
            let r = 0.5 * from.distance(to) / half.abs().sin();
            let centre = 0.5 * (from + to) + (to - from).perp().normalize() * half.signum() * r * half.cos();
            Edge::arc(centre, r, (from - centre).to_angle(), 2.0 * half)
        };
        let (a, b) = (v(-width, 0.0), v(width, 0.0));
        if bite.abs() < 1e-3 {
            return Outline::joined(&[arc(a, b, bulge)]);
        }
        Outline::joined(&[arc(a, b, bulge), arc(b, a, -bite)])
    }

    /// A disc with one or two thin slits along arcs, as cut by a saw on a turntable.
    fn slit(&mut self) -> Region {
        let outer = self.between(5.0, 50.0);
        let gap = outer * self.decades(1e-6, 0.2);
        let (start, sweep) = (self.between(0.0, TAU), self.between(0.2, 5.5));
        let r = outer * self.between(0.3, 0.75);
        let ring = |low: f64, high: f64| {
            Outline::joined(&[
                Edge::arc(DVec2::ZERO, high, start, sweep),
                Edge::arc(DVec2::ZERO, low, start + sweep, -sweep),
            ])
        };
        let mut holes = vec![ring(r, r + gap)];
        if self.chance(2) {
            let wall = gap * self.decades(0.1, 1.0);
            holes.push(ring(r - wall - gap, r - wall));
        }
        Region::new(Outline::circle(DVec2::ZERO, outer), holes)
    }

    fn strip(&mut self) -> Region {
        let (long, thick) = (self.decades(1.0, 1e3), self.decades(1e-5, 1.0));
        if self.chance(2) {
            // An angle section of thin sheet.
            let leg = self.decades(1.0, 1e3) + thick;
            return Outline::polygon(&[
                v(0.0, 0.0),
                v(long + thick, 0.0),
                v(long + thick, thick),
                v(thick, thick),
                v(thick, leg),
                v(0.0, leg),
            ])
            .into();
        }
        // A wave of thin sheet.
        let count = 2 + self.below(30);
        let high = self.between(0.0, 3.0) * thick;
        let wave = |k: usize, off: f64| {
            v(long * k as f64 / count as f64, off + if k.is_multiple_of(2) { 0.0 } else { high })
        };
        let mut corners: Vec<DVec2> = (0..=count).map(|k| wave(k, 0.0)).collect();
        corners.extend((0..=count).rev().map(|k| wave(k, thick)));
        Outline::polygon(&corners).into()
    }

    fn sector(&mut self) -> Outline {
        let r = self.between(2.0, 20.0);
        let sweep = self.between(0.1, 6.2);
        let start = self.between(0.0, TAU);
        let arc = Edge::arc(DVec2::ZERO, r, start, sweep);
        match self.below(3) {
            0 => Outline::from_edges(vec![
                arc,
                Edge::line(arc.to(), DVec2::ZERO),
                Edge::line(DVec2::ZERO, arc.from()),
            ]),
            1 => {
                let inner = r * (1.0 - self.decades(1e-5, 0.9));
                Outline::joined(&[arc, Edge::arc(DVec2::ZERO, inner, start + sweep, -sweep)])
            }
            // A shaft with a keyway.
            _ => {
                let half = self.decades(1e-5, 0.4);
                let depth = self.between(0.1, 0.9);
                let arc = Edge::arc(DVec2::ZERO, r, half, TAU - 2.0 * half);
                let (out, into) = (arc.to(), arc.from());
                let floor = v((1.0 - depth) * r, 0.0);
                Outline::joined(&[arc, Edge::line(v(floor.x, out.y), v(floor.x, into.y))])
            }
        }
    }
}

/// Corners apart from each other by more than a hair.
fn without_doubles(corners: &[DVec2]) -> Vec<DVec2> {
    let mut kept: Vec<DVec2> = Vec::with_capacity(corners.len());
    for &corner in corners {
        if kept.last().is_none_or(|last| last.distance(corner) > 1e-7) {
            kept.push(corner);
        }
    }
    if kept.len() > 1 && kept[0].distance(kept[kept.len() - 1]) <= 1e-7 {
        kept.pop();
    }
    kept
}
