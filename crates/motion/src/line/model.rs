//! How a line moves as the riders do: the speed of every part of it, per speed of the lead.

use glam::{DVec2, DVec3};

use crate::{
    Fixture, Line, LineNode, LinePath, PathElement, PathFault, Pulley, PulleyKind, gravity, path_at,
    rider_ratio,
};

/// A line at one travel, with its motion.
///
/// Every node moves along the rail by its rider's ratio. Walked from the first node, the line passes an
/// anchor at no speed; a span keeps its speed, and a node that itself moves with velocity u towards the
/// span's direction d̂ is passed at speed v − u·d̂ (kinematics of an inextensible line, own derivation,
/// checked against differences of the path). What is left over at the next anchor is the rate at which
/// the line would have to stretch.
#[derive(Clone, Debug)]
pub struct LineModel<'a> {
    pub(super) fixture: &'a Fixture,
    pub(super) line: &'a Line,
    path: LinePath,
    /// Gravity in its plane (m/s²).
    gravity: DVec2,
    spans: Vec<Span>,
    nodes: Vec<Node>,
    /// Speed of the line past each node, along the walk, per speed of the lead.
    flow: Vec<f64>,
    /// Speed of each span along itself, in the rail frame, per speed of the lead.
    span_speed: Vec<f64>,
    /// Rate at which each stretch between anchors would have to grow, with the number of its last node.
    growth: Vec<(usize, f64)>,
    /// First and last span of each run: a part of the line between anchors or driven pulleys, along which
    /// only friction changes the pull.
    runs: Vec<(usize, usize)>,
}

/// One span of a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Span {
    pub from: DVec2,
    pub to: DVec2,
    /// Unit direction from the one to the other; zero for a span of no length.
    pub direction: DVec2,
}

/// What is known of a node of a line.
#[derive(Clone, Copy, Debug)]
struct Node {
    /// The rider that carries it.
    carrier: Option<usize>,
    /// Its velocity along the rail, per speed of the lead.
    speed: f64,
    /// Angle of the wrap round it (rad), not negative; 0 at an anchor.
    wrap: f64,
}

impl Node {
    fn of(fixture: &Fixture, path: &LinePath, number: usize, node: &LineNode) -> Self {
        let carrier = match node {
            LineNode::Anchor { rider, .. } => *rider,
            LineNode::Pulley(pulley) => pulley.rider,
        };
        // Span n stands at 2n in the path, the wrap round node n at 2n − 1.
        let wrap = match (2 * number).checked_sub(1).and_then(|place| path.elements.get(place)) {
            Some(PathElement::Wrap { sweep, .. }) => sweep.abs(),
            _ => 0.0,
        };
        Self { carrier, speed: carrier.map_or(0.0, |rider| rider_ratio(fixture, rider)), wrap }
    }
}

impl<'a> LineModel<'a> {
    /// The line of `fixture` when the lead's travel is `travel` (mm); `None` without a line.
    ///
    /// # Errors
    /// [`PathFault`] when the path cannot be laid.
    pub fn new(fixture: &'a Fixture, travel: f64) -> Option<Result<Self, PathFault>> {
        let line = fixture.line.as_ref()?;
        Some(path_at(fixture, line, travel).map(|path| Self::of_path(fixture, line, path)))
    }

    fn of_path(fixture: &'a Fixture, line: &'a Line, path: LinePath) -> Self {
        let spans = path.elements.iter().filter_map(|element| match *element {
            PathElement::Span { from, to, .. } => {
                Some(Span { from, to, direction: (to - from).normalize_or_zero() })
            }
            PathElement::Wrap { .. } => None,
        });
        let nodes =
            line.nodes.iter().enumerate().map(|(number, node)| Node::of(fixture, &path, number, node));
        let mut model = Self {
            fixture,
            line,
            spans: spans.collect(),
            nodes: nodes.collect(),
            path,
            gravity: line.plane.flat(gravity(fixture)),
            flow: vec![0.0; line.nodes.len()],
            span_speed: Vec::with_capacity(line.nodes.len()),
            growth: Vec::new(),
            runs: Vec::new(),
        };
        let mut first = 0;
        for number in 0..line.nodes.len().saturating_sub(1) {
            let Some(span) = model.span(number) else { break };
            let direction = span.direction.x;
            let speed = model.flow[number] + model.node_speed(number) * direction;
            model.span_speed.push(speed);
            let arriving = speed - model.node_speed(number + 1) * direction;
            match line.nodes.get(number + 1) {
                Some(LineNode::Pulley(pulley)) => {
                    model.flow[number + 1] = arriving;
                    if pulley.kind == PulleyKind::Driven {
                        model.runs.push((first, number));
                        first = number + 1;
                    }
                }
                _ => {
                    // What arrives at a clamp and cannot pass would pile up: the stretch would shrink.
                    model.growth.push((number + 1, -arriving));
                    model.runs.push((first, number));
                    first = number + 1;
                }
            }
        }
        model
    }

    /// The path it follows.
    pub const fn path(&self) -> &LinePath {
        &self.path
    }

    /// Speed of the line past each node, along the walk from the first node, per speed of the lead.
    pub fn flow(&self) -> &[f64] {
        &self.flow
    }

    /// Rates at which the stretches between anchors would have to grow per travel of the lead: all 0 where
    /// the riders' ratios fit the path.
    pub fn growth(&self) -> impl Iterator<Item = f64> + '_ {
        self.growth.iter().map(|(_, rate)| *rate)
    }

    /// Lengths of the stretches between anchors (mm).
    pub fn stretches(&self) -> Vec<f64> {
        let mut lengths = Vec::with_capacity(self.growth.len());
        let mut first = 0;
        for &(last, _) in &self.growth {
            let elements = self.path.elements.get(2 * first..(2 * last).saturating_sub(1));
            lengths.push(elements.into_iter().flatten().map(PathElement::length).sum());
            first = last;
        }
        lengths
    }

    /// First and last span of each run: a part between anchors or driven pulleys.
    pub fn runs(&self) -> &[(usize, usize)] {
        &self.runs
    }

    /// Number of spans.
    pub fn span_count(&self) -> usize {
        self.span_speed.len()
    }

    pub(super) fn span(&self, number: usize) -> Option<Span> {
        self.spans.get(number).copied()
    }

    /// Angle of the wrap round node `number` (rad), not negative; 0 at an anchor.
    pub(super) fn wrap(&self, number: usize) -> f64 {
        self.nodes.get(number).map_or(0.0, |node| node.wrap)
    }

    pub(super) fn pulley(&self, number: usize) -> Option<&'a Pulley> {
        match self.line.nodes.get(number) {
            Some(LineNode::Pulley(pulley)) => Some(pulley),
            _ => None,
        }
    }

    /// The rider that carries a node.
    pub(super) fn carrier(&self, number: usize) -> Option<usize> {
        self.nodes.get(number)?.carrier
    }

    /// Velocity of a node along the rail, per speed of the lead.
    fn node_speed(&self, number: usize) -> f64 {
        self.nodes.get(number).map_or(0.0, |node| node.speed)
    }

    /// Gravity in the line's plane (m/s²).
    pub(super) const fn gravity(&self) -> DVec2 {
        self.gravity
    }

    /// Mass per length (kg/mm).
    pub(super) fn density(&self) -> f64 {
        self.line.mass_per_metre * 1e-3
    }

    /// An in-plane direction in the rail frame.
    pub(super) fn in_space(&self, direction: DVec2) -> DVec3 {
        self.line.plane.point(direction) - self.line.plane.point(DVec2::ZERO)
    }

    /// What the line's own weight adds to the force that balances the lead (N): minus the power of gravity
    /// on every part of it, per speed of the lead. In a span the parts move along it at the span's speed
    /// and across it as its ends do; round a pulley they move round it and with it.
    pub fn imbalance(&self) -> f64 {
        let gravity = self.gravity();
        let mut power = 0.0;
        for (number, speed) in self.span_speed.iter().enumerate() {
            let Some(span) = self.span(number) else { continue };
            let direction = span.direction;
            let across = |node: usize| {
                let velocity = DVec2::new(self.node_speed(node), 0.0);
                velocity - direction * velocity.dot(direction)
            };
            let length = span.from.distance(span.to);
            power += gravity.dot(span.to - span.from) * speed;
            power += gravity.dot(0.5 * (across(number) + across(number + 1))) * length;
            let (Some(next), Some(pulley)) = (self.span(number + 1), self.pulley(number + 1)) else {
                continue;
            };
            power += gravity.dot(next.from - span.to) * self.flow[number + 1];
            power += gravity.x * self.node_speed(number + 1) * pulley.radius * self.wrap(number + 1);
        }
        -power * self.density()
    }

    /// Potential energy of its own weight (N·mm), from the mass of each stretch at its centre.
    pub fn energy(&self) -> f64 {
        path_energy(self.fixture, self.line, &self.path)
    }

    /// Its own mass and its pulleys' inertia as a mass on the lead (kg): twice the kinetic energy per
    /// squared speed of the lead.
    pub fn effective_mass(&self) -> f64 {
        let mut sum = 0.0;
        for (number, speed) in self.span_speed.iter().enumerate() {
            let Some(span) = self.span(number) else { continue };
            let direction = span.direction;
            let lateral = |node: usize| self.node_speed(node) * direction.y;
            let (a, b) = (lateral(number), lateral(number + 1));
            let across = (a * a + a * b + b * b) / 3.0;
            sum += self.density() * span.from.distance(span.to) * (speed * speed + across);
            let (Some(next), Some(pulley)) = (self.span(number + 1), self.pulley(number + 1)) else {
                continue;
            };
            let (flow, carried) = (self.flow[number + 1], self.node_speed(number + 1));
            let length = pulley.radius * self.wrap(number + 1);
            let chord = (next.from - span.to).x;
            sum +=
                self.density() * (length * (flow * flow + carried * carried) + 2.0 * flow * carried * chord);
            if pulley.radius > 0.0 && pulley.kind != PulleyKind::Post {
                sum += pulley.inertia * (flow / pulley.radius).powi(2);
            }
        }
        sum
    }

    /// Radius that turns the driven pulley's torque into a force at the lead (mm): its own radius over the
    /// line's speed past it. `None` without a driven pulley that the line moves.
    pub fn drive_radius(&self) -> Option<f64> {
        self.line.nodes.iter().zip(&self.flow).find_map(|(node, flow)| match node {
            LineNode::Pulley(pulley) if pulley.kind == PulleyKind::Driven => {
                let radius = pulley.radius / flow.abs();
                (radius.is_finite() && radius > 0.0).then_some(radius)
            }
            _ => None,
        })
    }
}

/// Potential energy of a line along its path (N·mm).
pub(crate) fn path_energy(fixture: &Fixture, line: &Line, path: &LinePath) -> f64 {
    let down = gravity(fixture);
    let per_millimetre = line.mass_per_metre * 1e-3;
    path.elements
        .iter()
        .map(|element| -down.dot(line.plane.point(element.middle())) * element.length() * per_millimetre)
        .sum()
}
