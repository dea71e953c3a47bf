//! Lengths, teeth, wraps and sag of a line.

use super::LineModel;
use crate::{Fixture, LineKind, LineNode, TravelCurves, rider_ratio};

/// What a line is like over the stroke.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct LineFigures {
    /// Length between its outer anchors at the start of the stroke (mm).
    pub length: f64,
    /// Length to cut: between the anchors and in the clamps, with whole teeth where it has teeth (mm).
    pub cut_length: f64,
    /// Part of it that lies in the clamps (mm).
    pub tails: f64,
    /// Its mass (kg).
    pub mass: f64,
    /// How much the length its path needs changes over the stroke (mm): 0 where the riders' ratios fit.
    pub length_change: f64,
    /// A ratio that would keep its length, and for which rider, where one rider's ratio does not fit.
    pub fitting_ratio: Option<(usize, f64)>,
    /// Whole teeth between the anchors, for a toothed line.
    pub whole_teeth: Option<WholeTeeth>,
    /// Its spans, in order.
    pub spans: Vec<SpanFigures>,
    /// Its wraps, in order.
    pub wraps: Vec<WrapFigures>,
}

/// What whole teeth between two clamps ask of them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WholeTeeth {
    /// Pitches between the anchors as drawn.
    pub pitches: f64,
    /// The nearest whole number.
    pub teeth: f64,
    /// Length of so many teeth (mm).
    pub length: f64,
    /// How far one anchor must go along the line, away from the other (mm; negative: towards it), or the
    /// tensioner give.
    pub anchor_shift: f64,
}

/// One span.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpanFigures {
    /// Numbers of the nodes it joins.
    pub nodes: (usize, usize),
    /// Least and greatest length over the stroke (mm).
    pub length: (f64, f64),
    /// Least and greatest pull in it, at rest and moving (N); 0 where it hangs slack.
    pub pull: (f64, f64),
    /// How hard it would have to push where it hangs slack, at most (N); 0 where it is taut everywhere.
    pub push: f64,
    /// Greatest sag at rest (mm): w·l²/(8T), w the weight per length square to the span.
    pub sag: f64,
}

/// One wrap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WrapFigures {
    /// Number of its node.
    pub node: usize,
    /// Least angle over the stroke (rad).
    pub wrap: f64,
    /// Least number of teeth in mesh, z·wrap/2π, where pulley and line have teeth.
    pub teeth_in_mesh: Option<f64>,
    /// Greatest resultant on its axle, at rest or moving (N).
    pub resultant: f64,
}

/// Every so many stations the path is laid for the figures.
const STRIDE: usize = 12;

/// A line is flat enough for the parabola up to this sag, as a share of its span (common practice); beyond, it hangs
/// loose and no figure is told.
const FLAT: f64 = 1.0 / 8.0;

impl LineFigures {
    /// Works out the figures; `None` without a line or where its path cannot be laid.
    pub fn new(fixture: &Fixture, curves: &TravelCurves) -> Option<Self> {
        let line = fixture.line.as_ref()?;
        let first = LineModel::new(fixture, fixture.stroke.from)?.ok()?;
        let stretches = first.stretches();
        let length: f64 = stretches.iter().sum();
        let tails: f64 = line.tails().map(|tail| tail.length).sum();
        let whole_teeth = match line.kind {
            LineKind::Toothed { pitch } if pitch > 0.0 => {
                let pitches = length / pitch;
                let teeth = pitches.round();
                Some(WholeTeeth {
                    pitches,
                    teeth,
                    length: teeth * pitch,
                    anchor_shift: teeth * pitch - length,
                })
            }
            _ => None,
        };
        let cut = whole_teeth.map_or(length, |whole| whole.length) + tails;
        let cut_length = match line.kind {
            LineKind::Toothed { pitch } if pitch > 0.0 => (cut / pitch).ceil() * pitch,
            _ => cut,
        };
        let mut figures = Self {
            length,
            cut_length,
            tails,
            mass: line.mass_of(cut_length),
            whole_teeth,
            ..Self::default()
        };
        let (mut least, mut greatest) = (stretches.clone(), stretches);
        for (index, travel) in curves.travel.iter().enumerate() {
            let last = index + 1 == curves.travel.len();
            if index % STRIDE != 0 && !last {
                continue;
            }
            let model = LineModel::new(fixture, *travel)?.ok()?;
            for ((low, high), now) in least.iter_mut().zip(&mut greatest).zip(model.stretches()) {
                *low = low.min(now);
                *high = high.max(now);
            }
            figures.add(&model, curves, index);
        }
        figures.length_change = least.iter().zip(&greatest).map(|(low, high)| high - low).fold(0.0, f64::max);
        if figures.length_change > SAME_LENGTH {
            figures.fitting_ratio = fitting_ratio(fixture);
        }
        Some(figures)
    }

    fn add(&mut self, model: &LineModel<'_>, curves: &TravelCurves, index: usize) {
        let sets = [&curves.line_pulls, &curves.line_pulls_up, &curves.line_pulls_down];
        let pulls = || sets.into_iter().filter_map(|set| set.get(index));
        for number in 0..model.span_count() {
            let Some(span) = model.span(number) else { continue };
            let length = span.from.distance(span.to);
            let of_span = pulls().filter_map(|set| set.spans.get(number)).flatten();
            let (low, high) = of_span
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), t| (low.min(*t), high.max(*t)));
            let push = pulls().filter_map(|set| set.pushes.get(number)).copied().fold(0.0, f64::max);
            let rest = curves.line_pulls.get(index).and_then(|set| set.spans.get(number));
            let pull = rest.map_or(0.0, |ends| 0.5 * (ends[0] + ends[1]));
            let across = model.in_space(span.direction).cross(crate::gravity(model.fixture));
            let weight = model.density() * across.length();
            let parabola = weight * length * length / (8.0 * pull.max(0.0));
            let sag = if weight * length <= 0.0 {
                0.0
            } else if parabola <= FLAT * length {
                parabola
            } else {
                f64::INFINITY
            };
            match self.spans.get_mut(number) {
                Some(known) => {
                    known.length = (known.length.0.min(length), known.length.1.max(length));
                    known.pull = (known.pull.0.min(low), known.pull.1.max(high));
                    known.push = known.push.max(push);
                    known.sag = known.sag.max(sag);
                }
                None => self.spans.push(SpanFigures {
                    nodes: (number, number + 1),
                    length: (length, length),
                    pull: (low, high),
                    push,
                    sag,
                }),
            }
        }
        let toothed = matches!(model.line.kind, LineKind::Toothed { .. });
        for node in 0..model.flow().len() {
            let Some(pulley) = model.pulley(node) else { continue };
            let wrap = model.wrap(node);
            let in_mesh =
                (toothed && pulley.teeth > 0).then(|| f64::from(pulley.teeth) * wrap / std::f64::consts::TAU);
            let resultant = pulls()
                .filter_map(|set| {
                    let arriving = set.spans.get(node.checked_sub(1)?)?[1];
                    let leaving = set.spans.get(node)?[0];
                    let before = model.span(node - 1)?.direction;
                    let after = model.span(node)?.direction;
                    Some((after * leaving - before * arriving).length())
                })
                .fold(0.0, f64::max);
            match self.wraps.iter_mut().find(|known| known.node == node) {
                Some(known) => {
                    known.wrap = known.wrap.min(wrap);
                    known.teeth_in_mesh = known.teeth_in_mesh.zip(in_mesh).map(|(a, b)| a.min(b));
                    known.resultant = known.resultant.max(resultant);
                }
                None => self.wraps.push(WrapFigures { node, wrap, teeth_in_mesh: in_mesh, resultant }),
            }
        }
    }
}

/// A path whose length changes by less than this over the stroke keeps its length (mm): rounding.
const SAME_LENGTH: f64 = 1e-6;

/// The ratio with which one linked rider would keep the line's length, where there is just one on it.
fn fitting_ratio(fixture: &Fixture) -> Option<(usize, f64)> {
    let line = fixture.line.as_ref()?;
    let middle = 0.5 * (fixture.stroke.from + fixture.stroke.to);
    let carried = |node: &LineNode| match node {
        LineNode::Anchor { rider, .. } => *rider,
        LineNode::Pulley(pulley) => pulley.rider,
    };
    let linked = |rider: &usize| {
        matches!(fixture.riders.get(*rider).map(|r| r.coupling), Some(crate::Coupling::Linked { .. }))
    };
    let mut riders: Vec<usize> = line.nodes.iter().filter_map(carried).filter(linked).collect();
    riders.sort_unstable();
    riders.dedup();
    let [rider] = riders.as_slice() else { return None };
    let growth = |ratio: f64| -> Option<f64> {
        let mut changed = fixture.clone();
        // Held where it stands at mid-stroke, whatever its ratio.
        let known = changed.riders.get_mut(*rider)?;
        known.at_zero += (rider_ratio(fixture, *rider) - ratio) * middle;
        known.coupling = crate::Coupling::Linked { ratio };
        let rate = LineModel::new(&changed, middle)?.ok()?.growth().sum();
        Some(rate)
    };
    // The rate is linear in the ratio.
    let now = rider_ratio(fixture, *rider);
    let (at_now, beside) = (growth(now)?, growth(now + 1.0)?);
    let fitting = now - at_now / (beside - at_now);
    fitting.is_finite().then_some((*rider, fitting))
}

/// Share of a toothed belt's rated pull that it may transmit with `teeth` in mesh: 1 from six teeth on,
/// 1 − 0.2·(6 − z) below (teeth-in-mesh factor of ISO 5295; from memory).
///
/// ```
/// use glidewright_motion::teeth_factor;
///
/// assert_eq!(teeth_factor(9.0), 1.0);
/// assert!((teeth_factor(4.0) - 0.6).abs() < 1e-12);
/// ```
pub fn teeth_factor(teeth: f64) -> f64 {
    (1.0 - 0.2 * (FULL_MESH - teeth.floor())).clamp(0.0, 1.0)
}

/// Teeth in mesh that bear the full pull.
pub(crate) const FULL_MESH: f64 = 6.0;

#[cfg(test)]
mod tests {
    use super::teeth_factor;

    /// The teeth-in-mesh factor: 1 from six on, a fifth less for each one missing (ISO 5295, from memory).
    #[test]
    fn teeth_in_mesh() {
        for (teeth, factor) in [(9.6, 1.0), (6.0, 1.0), (5.9, 0.8), (4.0, 0.6), (1.0, 0.0), (0.0, 0.0)] {
            assert!((teeth_factor(teeth) - factor).abs() < 1e-12, "{teeth}");
        }
    }
}
