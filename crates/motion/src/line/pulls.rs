//! How hard each part of a line pulls.

use std::sync::Arc;

use glam::{DVec2, DVec3};
use nalgebra::{DMatrix, DVector};

use super::model::LineModel;
use crate::linear::Equations;
use crate::resistance::{Friction, bearing_torque};
use crate::{Coupling, Drive, LineNode, PulleyKind, rider_ratio};

/// The pulls in a line.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LinePulls {
    /// Pull at the start and at the end of each span (N), never negative: a line cannot push.
    pub spans: Vec<[f64; 2]>,
    /// How hard each span would have to push for everything on the line to stay in balance (N); 0 where it is taut.
    /// Empty where all are.
    pub pushes: Vec<f64>,
    /// Push on the lead along the rail that keeps it in balance (N), where a hand moves it and it is on the line.
    pub hand: Option<f64>,
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

impl LinePulls {
    /// Whether some of the line hangs slack because it would have to push.
    pub fn is_slack(&self) -> bool {
        self.pushes.iter().any(|push| *push > 0.0)
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
    /// Its pulls where the run hangs slack: what hangs of it pulls by its own weight (N).
    hanging: [f64; 2],
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
    start: DVector<f64>,
    /// Each run, for when it hangs slack.
    slack: Vec<Slack>,
    by_hand: bool,
    losses: Vec<LossLaw>,
}

/// A run of a line as it hangs slack.
#[derive(Clone, Debug)]
struct Slack {
    /// The least its unknown may be before a span of it would push (N).
    least: f64,
    /// What each rider of the balance then gets less from it than its row says without the unknown (N).
    lost: Vec<f64>,
}

/// A run counts as slack where its pull lacks more than this share of the greatest pull: the rest is rounding.
const ROUNDING: f64 = 1e-12;

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
    ///
    /// A run that would have to push hangs slack instead, with no pull but that of its own weight, and the others take
    /// what they can of the balance; riders that only the slack run could balance are left out of it (non-negative
    /// least change from the pretension, by an active set; J. Nocedal, S. Wright, *Numerical Optimization*, §16.5).
    pub fn under(&self, along: &[f64]) -> LinePulls {
        let right = |row: usize| {
            self.riders
                .get(row)
                .map_or(0.0, |(rider, other)| other - along.get(*rider).copied().unwrap_or(0.0))
        };
        let mut unknown = self.start.clone();
        self.balance.solve(&mut unknown, right);
        let greatest = unknown.iter().fold(0.0_f64, |most, pull| most.max(pull.abs()));
        let lacks = |unknown: &DVector<f64>, run: usize| {
            let known = unknown.get(run).zip(self.slack.get(run));
            known.is_some_and(|(pull, slack)| slack.least - pull > ROUNDING * greatest)
        };
        let mut hangs = vec![false; self.slack.len()];
        let mut pushes = Vec::new();
        if (0..hangs.len()).any(|run| lacks(&unknown, run)) {
            pushes = self.pushes(&unknown);
            unknown = self.partly_slack(unknown, &mut hangs, right, lacks);
        }
        let is_hanging = |run: usize| hangs.get(run).copied().unwrap_or(false);
        let pull = |shape: &Shape| {
            if is_hanging(shape.run) {
                return shape.hanging;
            }
            let pull = unknown.get(shape.run).copied().unwrap_or(0.0);
            shape.ends.map(|affine| {
                let pull = affine.share * pull + affine.fixed;
                // Not `max`, which would hide a pull that is no number.
                if pull < 0.0 { 0.0 } else { pull }
            })
        };
        let spans: Vec<[f64; 2]> = self.shapes.iter().map(pull).collect();
        // A slack line turns no pulley.
        let turns = |node: usize| {
            let hangs = |span: usize| self.shapes.get(span).is_some_and(|shape| is_hanging(shape.run));
            !(hangs(node) && node.checked_sub(1).is_some_and(hangs))
        };
        let losses = self
            .losses
            .iter()
            .filter_map(|law| if turns(law.node) { law.under(&spans) } else { Some(law.nothing()) })
            .collect();
        let hand = self.by_hand.then(|| unknown.iter().next_back().copied()).flatten();
        LinePulls { spans, pushes, hand, losses }
    }

    /// How hard each span would have to push with these pulls of the runs (N).
    fn pushes(&self, unknown: &DVector<f64>) -> Vec<f64> {
        let push = |shape: &Shape| {
            let pull = unknown.get(shape.run).copied().unwrap_or(0.0);
            shape.ends.iter().map(|affine| -(affine.share * pull + affine.fixed)).fold(0.0, f64::max)
        };
        self.shapes.iter().map(push).collect()
    }

    /// The unknowns where runs that would push hang slack; says which do.
    fn partly_slack(
        &self,
        mut unknown: DVector<f64>,
        hangs: &mut [bool],
        right: impl Fn(usize) -> f64,
        lacks: impl Fn(&DVector<f64>, usize) -> bool,
    ) -> DVector<f64> {
        loop {
            let more: Vec<usize> =
                (0..hangs.len()).filter(|run| !hangs[*run] && lacks(&unknown, *run)).collect();
            if more.is_empty() {
                return unknown;
            }
            more.into_iter().for_each(|run| hangs[run] = true);
            let mut taut = self.balance.coefficients().clone();
            let runs = taut.row_iter_mut().zip(&*hangs).filter(|(_, hangs)| **hangs);
            runs.for_each(|(mut share, _)| share.fill(0.0));
            let lost = |row: usize| -> f64 {
                let slack = self.slack.iter().zip(&*hangs).filter(|(_, hangs)| **hangs);
                slack.filter_map(|(slack, _)| slack.lost.get(row)).sum()
            };
            unknown = self.start.clone();
            Equations::new(taut).solve(&mut unknown, |row| right(row) + lost(row));
        }
    }
}

impl LossLaw {
    /// What is lost where nothing turns.
    const fn nothing(&self) -> PulleyLoss {
        PulleyLoss { node: self.node, bearing: 0.0, no_load: 0.0, bending: 0.0, sliding: 0.0 }
    }

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
                .filter(|rider| rider_ratio(self.fixture, *rider) != 0.0 && self.is_on_line(*rider))
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
        let mut shares = DMatrix::zeros(unknowns, riders.len());
        if let Some(hand) = grounds.hand {
            shares[(runs, hand)] = 1.0;
        }
        let row_of = |node: usize| grounds.rows.get(node).copied().flatten();
        let mut slack = vec![Slack { least: f64::NEG_INFINITY, lost: vec![0.0; riders.len()] }; runs];
        for (number, Shape { run, ends, hanging }) in shapes.iter().enumerate() {
            let (Some(span), Some(slack)) = (self.span(number), slack.get_mut(*run)) else { continue };
            slack.least = ends.iter().map(|end| -end.fixed / end.share).fold(slack.least, f64::max);
            let towards = span.direction.x;
            for (node, end, towards) in [(number, 0, towards), (number + 1, 1, -towards)] {
                let Some(row) = row_of(node) else { continue };
                let (pull, hanging) = (ends[end], hanging[end]);
                shares[(*run, row)] += towards * pull.share;
                riders[row].1 -= towards * pull.fixed;
                slack.lost[row] += towards * (pull.fixed - hanging);
            }
        }
        let mut start = DVector::from_element(unknowns, self.line.pretension.value);
        if grounds.hand.is_some() {
            start[runs] = 0.0;
        }
        let losses = if sense == 0.0 { Vec::new() } else { self.loss_laws(sense, &grounds.losses) };
        let balance = match &known.0 {
            Some(known) if *known.coefficients() == shares => Arc::clone(known),
            _ => Arc::clone(known.0.insert(Arc::new(Equations::new(shares)))),
        };
        PullLaw { shapes, riders, balance, start, slack, by_hand: grounds.hand.is_some(), losses }
    }

    /// Pull at the start and end of every span in terms of its run's unknown pull.
    fn shapes(&self, sense: f64, losses: &[Loss]) -> Vec<Shape> {
        let mut shapes = Vec::with_capacity(self.span_count());
        // Upwards the pull grows by what hangs below.
        let weight = |from: DVec2, to: DVec2| -self.density() * self.gravity().dot(to - from);
        for (run, &(first, last)) in self.runs().iter().enumerate() {
            let mut pull = Affine { share: 1.0, fixed: 0.0 };
            // Without friction, from the run's first end.
            let (mut hung, mut least) = (0.0_f64, 0.0_f64);
            let begun = shapes.len();
            for number in first..=last {
                let Some(span) = self.span(number) else { continue };
                let start = pull;
                let end = start.plus(weight(span.from, span.to));
                let hangs = (hung, hung + end.fixed - start.fixed);
                least = least.min(hangs.0).min(hangs.1);
                shapes.push(Shape { run, ends: [start, end], hanging: [hangs.0, hangs.1] });
                let Some(next) = self.span(number + 1).filter(|_| number < last) else { continue };
                let before = end.plus(weight(span.to, next.from));
                hung = hangs.1 + before.fixed - end.fixed;
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
            // It hangs from where it would push most.
            for shape in shapes.iter_mut().skip(begun) {
                shape.hanging = shape.hanging.map(|pull| pull - least);
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

    pub(crate) fn is_on_line(&self, rider: usize) -> bool {
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
