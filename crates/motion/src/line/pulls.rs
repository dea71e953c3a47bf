//! How hard each part of a line pulls.

use glam::DVec3;

use super::model::LineModel;
use crate::forces::ratio;
use crate::linear::nearest_solution;
use crate::resistance::{Friction, bearing_torque};
use crate::{Coupling, Drive, LineNode, PulleyKind};

/// The pulls in a line.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LinePulls {
    /// Pull at the start and at the end of each span (N); negative: it would have to push.
    pub spans: Vec<[f64; 2]>,
    /// What the pulleys and posts take, each as a force at the lead (N).
    pub losses: Vec<PulleyLoss>,
}

/// What one pulley or post takes, as a force at the lead (N).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PulleyLoss {
    /// Number of the node.
    pub node: usize,
    /// Friction of its bearings under the line's resultant, 2T·sin(θ/2).
    pub bearing: f64,
    /// Grease and seals of its bearings.
    pub no_load: f64,
    /// Bending of the line.
    pub bending: f64,
    /// Sliding round a fixed post.
    pub sliding: f64,
}

impl PulleyLoss {
    /// Sum of all causes (N).
    pub fn total(&self) -> f64 {
        self.bearing + self.no_load + self.bending + self.sliding
    }
}

/// A pull as `share` of its run's unknown pull plus `fixed` (N).
#[derive(Clone, Copy)]
struct Affine {
    share: f64,
    fixed: f64,
}

impl Affine {
    fn plus(self, fixed: f64) -> Self {
        Self { fixed: self.fixed + fixed, ..self }
    }
}

/// What a pulley or post does to the pull: tight = slack·(1 + share) + fixed.
struct Loss {
    share: f64,
    fixed: f64,
}

impl LineModel<'_> {
    /// What a node does to the pull that passes it. Bearing: M = μ·P·d/2 on the resultant P = 2T·sin(θ/2)
    /// and a no-load torque; bending: a share of the pull; fixed post: T₂ = T₁·e^{μθ} (belt equation of
    /// Euler and Eytelwein).
    fn loss_at(&self, node: usize, friction: &Friction) -> Loss {
        let Some(pulley) = self.pulley(node) else { return Loss { share: 0.0, fixed: 0.0 } };
        let wrap = self.wrap(node);
        match pulley.kind {
            PulleyKind::Post => Loss { share: (self.line.post_friction.value * wrap).exp_m1(), fixed: 0.0 },
            PulleyKind::Idler | PulleyKind::Driven if pulley.radius > 0.0 => {
                let (bearing, no_load) = self.bearing_loss(node, friction);
                Loss { share: bearing + self.line.bending_loss.value, fixed: no_load }
            }
            PulleyKind::Idler | PulleyKind::Driven => Loss { share: 0.0, fixed: 0.0 },
        }
    }

    /// Loss in a pulley's bearings as a share of the pull, and the part that is there without pull (N).
    fn bearing_loss(&self, node: usize, friction: &Friction) -> (f64, f64) {
        match self.pulley(node) {
            Some(pulley) if pulley.radius > 0.0 && pulley.bearings > 0 => {
                let resultant = 2.0 * (0.5 * self.wrap(node)).sin().abs();
                (
                    bearing_torque(friction.bearing, resultant, pulley.bore) / pulley.radius,
                    f64::from(pulley.bearings) * friction.no_load_torque / pulley.radius,
                )
            }
            _ => (0.0, 0.0),
        }
    }

    /// The pulls while the lead moves towards growing (`sense` = 1) or falling travel (−1) at steady speed,
    /// or without friction in the line (0).
    ///
    /// `along` holds for every rider the other forces on it along the rail (N): weight, applied forces,
    /// resistance, inertia, not the hand's. Each rider on the line is in balance. Where that leaves the
    /// pulls open (both runs from a driven pulley to one rider) they stay as near as they can to the
    /// pretension, all runs giving alike.
    pub fn pulls(&self, sense: f64, along: &[f64], friction: &Friction) -> LinePulls {
        let shapes = self.shapes(sense, friction);
        let hand = self.lead_on_line().filter(|_| self.fixture.drive == Drive::Hand);
        let runs = self.runs().len();
        let unknowns = runs + usize::from(hand.is_some());
        let riders: Vec<usize> = (0..along.len())
            .filter(|rider| ratio(self.fixture, *rider) != 0.0 && self.is_on_line(*rider))
            .collect();
        let mut rows = vec![vec![0.0; unknowns]; riders.len()];
        let mut right = vec![0.0; riders.len()];
        for (row, rider) in riders.iter().enumerate() {
            right[row] = -along.get(*rider).copied().unwrap_or(0.0);
            if hand == Some(*rider) {
                rows[row][runs] = 1.0;
            }
        }
        for (run, &(first, last)) in self.runs().iter().enumerate() {
            for number in first..=last {
                let (Some(span), Some(shape)) = (self.span(number), shapes.get(number)) else { continue };
                let towards = span.direction().x;
                for (node, pull, sign) in [(number, shape[0], 1.0), (number + 1, shape[1], -1.0)] {
                    let Some(row) = self.carrier(node).and_then(|c| riders.iter().position(|r| *r == c))
                    else {
                        continue;
                    };
                    rows[row][run] += sign * towards * pull.share;
                    right[row] -= sign * towards * pull.fixed;
                }
            }
        }
        // The weight of what lies round a pulley that a rider carries hangs on that rider.
        for node in 0..self.flow().len() {
            let row = self.carrier(node).and_then(|c| riders.iter().position(|r| *r == c));
            if let (Some(row), Some(pulley)) = (row, self.pulley(node)) {
                right[row] -= self.density() * pulley.radius * self.wrap(node) * self.gravity().x;
            }
        }
        let mut start = vec![self.line.pretension.value; unknowns];
        if hand.is_some() {
            start[runs] = 0.0;
        }
        let solution = nearest_solution(&rows, &right, &start);
        let mut spans = vec![[0.0; 2]; shapes.len()];
        for (run, &(first, last)) in self.runs().iter().enumerate() {
            for number in first..=last {
                if let (Some(span), Some(shape)) = (spans.get_mut(number), shapes.get(number)) {
                    *span = shape.map(|pull| pull.share * solution[run] + pull.fixed);
                }
            }
        }
        let losses = if sense == 0.0 { Vec::new() } else { self.losses(sense, &spans, friction) };
        LinePulls { spans, losses }
    }

    /// Pull at the start and end of every span in terms of its run's unknown pull.
    fn shapes(&self, sense: f64, friction: &Friction) -> Vec<[Affine; 2]> {
        let mut shapes = Vec::with_capacity(self.span_count());
        // Upwards the pull grows by what hangs below.
        let weight = |from: glam::DVec2, to: glam::DVec2| -self.density() * self.gravity().dot(to - from);
        for &(first, last) in self.runs() {
            let mut pull = Affine { share: 1.0, fixed: 0.0 };
            for number in first..=last {
                let Some(span) = self.span(number) else { continue };
                let start = pull;
                let end = start.plus(weight(span.from, span.to));
                shapes.push([start, end]);
                let Some(next) = self.span(number + 1).filter(|_| number < last) else { continue };
                let before = end.plus(weight(span.to, next.from));
                let loss = self.loss_at(number + 1, friction);
                let moving = sense * self.flow()[number + 1];
                // The side the line leaves by is tight.
                pull = if moving > 0.0 {
                    Affine {
                        share: before.share * (1.0 + loss.share),
                        fixed: before.fixed * (1.0 + loss.share) + loss.fixed,
                    }
                } else if moving < 0.0 {
                    Affine {
                        share: before.share / (1.0 + loss.share),
                        fixed: (before.fixed - loss.fixed) / (1.0 + loss.share),
                    }
                } else {
                    before
                };
            }
        }
        shapes
    }

    /// What every pulley and post takes, felt at the lead.
    fn losses(&self, sense: f64, spans: &[[f64; 2]], friction: &Friction) -> Vec<PulleyLoss> {
        let mut losses = Vec::new();
        for node in 1..self.flow().len() {
            let Some(pulley) = self.pulley(node) else { continue };
            let flow = self.flow()[node];
            let (Some(before), Some(after)) = (spans.get(node - 1), spans.get(node)) else { continue };
            // A slack line presses on nothing.
            let (arriving, leaving) = (before[1].max(0.0), after[0].max(0.0));
            let slack = if pulley.kind == PulleyKind::Driven {
                0.5 * (arriving + leaving)
            } else if sense * flow > 0.0 {
                let climb = self
                    .span(node - 1)
                    .zip(self.span(node))
                    .map_or(0.0, |(span, next)| -self.density() * self.gravity().dot(next.from - span.to));
                (arriving + climb).max(0.0)
            } else {
                leaving
            };
            let speed = flow.abs();
            let (bearing, no_load) = self.bearing_loss(node, friction);
            let is_post = pulley.kind == PulleyKind::Post;
            losses.push(PulleyLoss {
                node,
                bearing: if is_post { 0.0 } else { bearing * slack * speed },
                no_load: if is_post { 0.0 } else { no_load * speed },
                bending: if is_post { 0.0 } else { self.line.bending_loss.value * slack * speed },
                sliding: if is_post {
                    (self.line.post_friction.value * self.wrap(node)).exp_m1() * slack * speed
                } else {
                    0.0
                },
            });
        }
        losses
    }

    fn is_on_line(&self, rider: usize) -> bool {
        (0..self.flow().len()).any(|node| self.carrier(node) == Some(rider))
    }

    fn lead_on_line(&self) -> Option<usize> {
        let lead = self.fixture.riders.iter().position(|rider| rider.coupling == Coupling::Lead)?;
        self.is_on_line(lead).then_some(lead)
    }

    /// The forces of the line on a rider: each a force (N) and where it acts, in the rider frame (mm).
    pub fn on_rider(&self, rider: usize, pulls: &LinePulls) -> Vec<(DVec3, DVec3)> {
        let mut forces = Vec::new();
        for node in (0..self.flow().len()).filter(|node| self.carrier(*node) == Some(rider)) {
            let mut force = DVec3::ZERO;
            if let (Some(span), Some(pull)) = (self.span(node), pulls.spans.get(node)) {
                force += self.in_space(span.direction()) * pull[0];
            }
            let before = node.checked_sub(1);
            if let Some((span, pull)) = before.and_then(|n| self.span(n).zip(pulls.spans.get(n))) {
                force -= self.in_space(span.direction()) * pull[1];
            }
            let at = match self.line.nodes.get(node) {
                Some(LineNode::Anchor { at, .. }) => *at,
                Some(LineNode::Pulley(pulley)) => {
                    let length = pulley.radius * self.wrap(node);
                    force += self.in_space(self.gravity()) * (self.density() * length);
                    self.line.plane.point(pulley.centre)
                }
                None => continue,
            };
            forces.push((force, at));
        }
        forces
    }
}
