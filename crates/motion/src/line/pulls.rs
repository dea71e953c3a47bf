//! How hard each part of a line pulls.

use std::sync::Arc;

use glam::{DVec2, DVec3};

use super::model::LineModel;
use crate::forces::ratio;
use crate::linear::Equations;
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
#[derive(Clone, Copy, Debug)]
struct Affine {
    share: f64,
    fixed: f64,
}

impl Affine {
    fn plus(self, fixed: f64) -> Self {
        Self { fixed: self.fixed + fixed, ..self }
    }
}

/// What a pulley or post does to the pull: tight = slack·(1 + bearing + bending + sliding) + no_load.
#[derive(Clone, Copy, Default)]
struct Loss {
    bearing: f64,
    bending: f64,
    sliding: f64,
    no_load: f64,
}

impl Loss {
    fn share(&self) -> f64 {
        self.bearing + self.bending + self.sliding
    }
}

/// A span's pull at its start and end in terms of the unknown pull of its run.
#[derive(Clone, Copy, Debug)]
struct Shape {
    run: usize,
    ends: [Affine; 2],
}

/// How the pulls in a line follow from the forces on its riders, for one sense of motion: worked out once for a place of
/// the line, asked for many loads.
#[derive(Clone, Debug)]
pub struct PullLaw {
    /// Of every span.
    shapes: Vec<Shape>,
    /// The riders whose balance fixes the pulls, and what acts on them apart from what is asked (N).
    riders: Vec<(usize, f64)>,
    balance: Arc<Equations>,
    /// The unknowns as the line is pretensioned, and the hand's push, if it is one.
    start: Vec<f64>,
    losses: Vec<LossLaw>,
}

/// What a pulley or post takes of the pull that counts at it.
#[derive(Clone, Copy, Debug)]
struct LossLaw {
    node: usize,
    counts: Counts,
    /// As shares of the pull.
    bearing: f64,
    bending: f64,
    sliding: f64,
    /// Without pull (N).
    no_load: f64,
}

/// The pull that counts at a pulley.
#[derive(Clone, Copy, Debug)]
enum Counts {
    /// What arrives and so much more (N).
    Arriving(f64),
    Leaving,
    Middle,
}

impl PullLaw {
    /// The pulls when `along` holds for every rider the other forces on it along the rail (N): weight, applied forces,
    /// resistance, inertia, not the hand's. Each rider on the line is in balance. Where that leaves the
    /// pulls open (both runs from a driven pulley to one rider) they stay as near as they can to the
    /// pretension, all runs giving alike.
    pub fn under(&self, along: &[f64]) -> LinePulls {
        let mut unknown = self.start.clone();
        self.balance.solve(&mut unknown, |row| {
            self.riders
                .get(row)
                .map_or(0.0, |(rider, other)| other - along.get(*rider).copied().unwrap_or(0.0))
        });
        let pull = |shape: &Shape| {
            let pull = unknown.get(shape.run).copied().unwrap_or(0.0);
            shape.ends.map(|affine| affine.share * pull + affine.fixed)
        };
        let spans: Vec<[f64; 2]> = self.shapes.iter().map(pull).collect();
        let losses = self.losses.iter().filter_map(|law| law.under(&spans)).collect();
        LinePulls { spans, losses }
    }
}

impl LossLaw {
    fn under(&self, spans: &[[f64; 2]]) -> Option<PulleyLoss> {
        // A slack line presses on nothing.
        let arriving = spans.get(self.node.checked_sub(1)?)?[1].max(0.0);
        let leaving = spans.get(self.node)?[0].max(0.0);
        let pull = match self.counts {
            Counts::Arriving(more) => (arriving + more).max(0.0),
            Counts::Leaving => leaving,
            Counts::Middle => 0.5 * (arriving + leaving),
        };
        Some(PulleyLoss {
            node: self.node,
            bearing: self.bearing * pull,
            no_load: self.no_load,
            bending: self.bending * pull,
            sliding: self.sliding * pull,
        })
    }
}

/// The balance of a law at another travel: mostly the same.
#[derive(Clone, Debug, Default)]
pub(crate) struct KnownBalance(Option<Arc<Equations>>);

/// What the laws of all senses have in common.
struct Grounds {
    /// The riders whose balance fixes the pulls, and what hangs on them beside the spans (N).
    riders: Vec<(usize, f64)>,
    /// Which of these carries each node.
    rows: Vec<Option<usize>>,
    /// Which of these a hand moves.
    hand: Option<usize>,
    /// What each node does to the pull.
    losses: Vec<Loss>,
}

impl LineModel<'_> {
    /// What a node does to the pull that passes it. Bearing: M = μ·P·d/2 on the resultant P = 2T·sin(θ/2)
    /// and a no-load torque; bending: a share of the pull; fixed post: T₂ = T₁·e^{μθ} (belt equation of
    /// Euler and Eytelwein).
    fn loss_at(&self, node: usize, friction: &Friction) -> Loss {
        let Some(pulley) = self.pulley(node) else { return Loss::default() };
        let wrap = self.wrap(node);
        match pulley.kind {
            PulleyKind::Post => {
                Loss { sliding: (self.line.post_friction.value * wrap).exp_m1(), ..Loss::default() }
            }
            PulleyKind::Idler | PulleyKind::Driven if pulley.radius > 0.0 => {
                let bending = self.line.bending_loss.value;
                if pulley.bearings == 0 {
                    return Loss { bending, ..Loss::default() };
                }
                let resultant = 2.0 * (0.5 * wrap).sin().abs();
                Loss {
                    bearing: bearing_torque(friction.bearing, resultant, pulley.bore) / pulley.radius,
                    bending,
                    sliding: 0.0,
                    no_load: f64::from(pulley.bearings) * friction.no_load_torque / pulley.radius,
                }
            }
            PulleyKind::Idler | PulleyKind::Driven => Loss::default(),
        }
    }

    /// The pulls while the lead moves towards growing (`sense` = 1) or falling travel (−1) at steady speed, or without
    /// friction in the line (0), as [`PullLaw::under`] says.
    pub fn pulls(&self, sense: f64, along: &[f64], friction: &Friction) -> LinePulls {
        self.pull_law(sense, friction).under(along)
    }

    /// How the pulls follow from the forces on the riders while the lead moves towards growing (`sense` = 1) or falling
    /// travel (−1) at steady speed, or without friction in the line (0).
    pub fn pull_law(&self, sense: f64, friction: &Friction) -> PullLaw {
        self.law_with(sense, &self.grounds(friction), &mut KnownBalance::default())
    }

    /// The laws of rest, without friction in the line, and of both ways, towards growing travel first.
    pub(crate) fn pull_laws(&self, friction: &Friction, known: &mut [KnownBalance; 3]) -> [PullLaw; 3] {
        let grounds = self.grounds(friction);
        let [rest, growing, falling] = known;
        [(0.0, rest), (1.0, growing), (-1.0, falling)]
            .map(|(sense, known)| self.law_with(sense, &grounds, known))
    }

    fn grounds(&self, friction: &Friction) -> Grounds {
        let mut riders: Vec<(usize, f64)> = Vec::with_capacity(self.fixture.riders.len());
        riders.extend(
            (0..self.fixture.riders.len())
                .filter(|rider| ratio(self.fixture, *rider) != 0.0 && self.is_on_line(*rider))
                .map(|rider| (rider, 0.0)),
        );
        let row_of = |node: usize| {
            self.carrier(node).and_then(|carrier| riders.iter().position(|(rider, _)| *rider == carrier))
        };
        let rows: Vec<Option<usize>> = (0..self.flow().len()).map(row_of).collect();
        // The weight of what lies round a pulley that a rider carries hangs on that rider.
        for (node, row) in rows.iter().enumerate() {
            if let (Some(row), Some(pulley)) = (row, self.pulley(node)) {
                riders[*row].1 -= self.density() * pulley.radius * self.wrap(node) * self.gravity().x;
            }
        }
        let leads = |&(rider, _): &(usize, f64)| self.fixture.riders[rider].coupling == Coupling::Lead;
        let by_hand = self.fixture.drive == Drive::Hand;
        let hand = riders.iter().position(leads).filter(|_| by_hand);
        let losses = (0..self.flow().len()).map(|node| self.loss_at(node, friction)).collect();
        Grounds { riders, rows, hand, losses }
    }

    fn law_with(&self, sense: f64, grounds: &Grounds, known: &mut KnownBalance) -> PullLaw {
        let shapes = self.shapes(sense, &grounds.losses);
        let mut riders = grounds.riders.clone();
        let runs = self.runs().len();
        let unknowns = runs + usize::from(grounds.hand.is_some());
        let mut rows = vec![0.0; unknowns * riders.len()];
        if let Some(hand) = grounds.hand {
            rows[hand * unknowns + runs] = 1.0;
        }
        let row_of = |node: usize| grounds.rows.get(node).copied().flatten();
        for (number, Shape { run, ends }) in shapes.iter().enumerate() {
            let Some(span) = self.span(number) else { continue };
            let towards = span.direction.x;
            for (node, pull, towards) in [(number, ends[0], towards), (number + 1, ends[1], -towards)] {
                let Some(row) = row_of(node) else { continue };
                rows[row * unknowns + run] += towards * pull.share;
                riders[row].1 -= towards * pull.fixed;
            }
        }
        let mut start = vec![self.line.pretension.value; unknowns];
        if grounds.hand.is_some() {
            start[runs] = 0.0;
        }
        let losses = if sense == 0.0 { Vec::new() } else { self.loss_laws(sense, &grounds.losses) };
        let balance = match &known.0 {
            Some(known) if known.are_of(&rows) => Arc::clone(known),
            _ => Arc::clone(known.0.insert(Arc::new(Equations::new(&rows, unknowns)))),
        };
        PullLaw { shapes, riders, balance, start, losses }
    }

    /// Pull at the start and end of every span in terms of its run's unknown pull.
    fn shapes(&self, sense: f64, losses: &[Loss]) -> Vec<Shape> {
        let mut shapes = Vec::with_capacity(self.span_count());
        // Upwards the pull grows by what hangs below.
        let weight = |from: DVec2, to: DVec2| -self.density() * self.gravity().dot(to - from);
        for (run, &(first, last)) in self.runs().iter().enumerate() {
            let mut pull = Affine { share: 1.0, fixed: 0.0 };
            for number in first..=last {
                let Some(span) = self.span(number) else { continue };
                let start = pull;
                let end = start.plus(weight(span.from, span.to));
                shapes.push(Shape { run, ends: [start, end] });
                let Some(next) = self.span(number + 1).filter(|_| number < last) else { continue };
                let before = end.plus(weight(span.to, next.from));
                let loss = losses.get(number + 1).copied().unwrap_or_default();
                let moving = sense * self.flow()[number + 1];
                // The side the line leaves by is tight.
                let tighter = 1.0 + loss.share();
                pull = if moving > 0.0 {
                    Affine { share: before.share * tighter, fixed: before.fixed * tighter + loss.no_load }
                } else if moving < 0.0 {
                    Affine { share: before.share / tighter, fixed: (before.fixed - loss.no_load) / tighter }
                } else {
                    before
                };
            }
        }
        shapes
    }

    /// What every pulley and post takes, felt at the lead.
    fn loss_laws(&self, sense: f64, losses: &[Loss]) -> Vec<LossLaw> {
        let mut laws = Vec::with_capacity(self.flow().len());
        for (node, (&flow, loss)) in self.flow().iter().zip(losses).enumerate().skip(1) {
            let Some(pulley) = self.pulley(node) else { continue };
            let counts = if pulley.kind == PulleyKind::Driven {
                Counts::Middle
            } else if sense * flow > 0.0 {
                let climb = self
                    .span(node - 1)
                    .zip(self.span(node))
                    .map_or(0.0, |(span, next)| -self.density() * self.gravity().dot(next.from - span.to));
                Counts::Arriving(climb)
            } else {
                Counts::Leaving
            };
            let speed = flow.abs();
            laws.push(LossLaw {
                node,
                counts,
                bearing: loss.bearing * speed,
                no_load: loss.no_load * speed,
                bending: loss.bending * speed,
                sliding: loss.sliding * speed,
            });
        }
        laws
    }

    fn is_on_line(&self, rider: usize) -> bool {
        (0..self.flow().len()).any(|node| self.carrier(node) == Some(rider))
    }

    /// The forces of the line on a rider: each a force (N) and where it acts, in the rider frame (mm).
    pub fn on_rider(&self, rider: usize, pulls: &LinePulls) -> impl Iterator<Item = (DVec3, DVec3)> {
        let nodes = (0..self.flow().len()).filter(move |node| self.carrier(*node) == Some(rider));
        nodes.filter_map(move |node| {
            let mut force = DVec2::ZERO;
            if let (Some(span), Some(pull)) = (self.span(node), pulls.spans.get(node)) {
                force += span.direction * pull[0];
            }
            let before = node.checked_sub(1);
            if let Some((span, pull)) = before.and_then(|n| self.span(n).zip(pulls.spans.get(n))) {
                force -= span.direction * pull[1];
            }
            let at = match self.line.nodes.get(node)? {
                LineNode::Anchor { at, .. } => *at,
                LineNode::Pulley(pulley) => {
                    let length = pulley.radius * self.wrap(node);
                    force += self.gravity() * (self.density() * length);
                    self.line.plane.point(pulley.centre)
                }
            };
            Some((self.in_space(force), at))
        })
    }
}
