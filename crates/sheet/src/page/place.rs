//! Finding room for labels.

use glam::DVec2;

use crate::drawing::Rect;

/// Keeps labels inside a frame and apart from each other, first come first served.
#[derive(Clone, Debug)]
pub struct Placer {
    frame: Rect,
    taken: Vec<Rect>,
}

impl Placer {
    /// For labels that must stay in a frame (pt).
    pub fn new(frame: Rect) -> Self {
        Self { frame, taken: Vec::new() }
    }

    /// Marks a rectangle (pt) as taken.
    pub fn block(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Takes the first candidate that lies in the frame and touches nothing, if there is one.
    pub fn place_freely(&mut self, candidates: &[Rect]) -> Option<Rect> {
        let rect = *candidates.iter().find(|rect| self.is_free(rect))?;
        self.taken.push(rect);
        Some(rect)
    }

    fn is_free(&self, rect: &Rect) -> bool {
        self.frame.holds(rect) && !self.taken.iter().any(|taken| taken.overlaps(rect))
    }

    /// Takes the first candidate that lies in the frame and touches nothing; if none does, the first
    /// candidate pushed into the frame and moved up or down, by the least amount, to where it is free;
    /// at worst (no room at all) the first candidate pushed into the frame.
    pub fn place(&mut self, candidates: &[Rect]) -> Option<Rect> {
        if let Some(rect) = self.place_apart(candidates) {
            return Some(rect);
        }
        let first = self.pushed_in(candidates.first()?);
        first.is_finite().then(|| self.taken.push(first))?;
        Some(first)
    }

    /// The same, each candidate being moved in turn, and nothing where there is no room at all.
    pub fn place_apart(&mut self, candidates: &[Rect]) -> Option<Rect> {
        self.place_freely(candidates).or_else(|| {
            let rect = candidates.iter().find_map(|candidate| self.moved_free(candidate))?;
            self.taken.push(rect);
            Some(rect)
        })
    }

    /// A rectangle pushed into the frame and moved up or down by the least amount to where it is free.
    fn moved_free(&self, rect: &Rect) -> Option<Rect> {
        let first = self.pushed_in(rect);
        // The least shift that clears everything ends against the edge of something taken.
        let mut shifts: Vec<f64> = self
            .taken
            .iter()
            .flat_map(|t| [t.min.y - first.max.y, t.max.y - first.min.y])
            .chain([0.0])
            .collect();
        shifts.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        shifts.into_iter().map(|y| first.shifted(DVec2::new(0.0, y))).find(|moved| self.is_free(moved))
    }

    /// The rectangle shifted into the frame; its top left corner wins if it is too large.
    fn pushed_in(&self, r: &Rect) -> Rect {
        let over = (r.max - self.frame.max).max(DVec2::ZERO);
        let r = r.shifted(-over);
        let under = (self.frame.min - r.min).max(DVec2::ZERO);
        r.shifted(under)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_stay_in_the_frame_and_apart() {
        let frame = Rect::at(0.0, 0.0, 100.0, 100.0);
        let mut placer = Placer::new(frame);
        let wish = Rect::at(90.0, 50.0, 30.0, 10.0);
        let placed: Vec<Rect> = (0..9).filter_map(|_| placer.place(&[wish])).collect();
        assert_eq!(placed.len(), 9);
        for (i, a) in placed.iter().enumerate() {
            assert!(frame.holds(a), "{a:?}");
            assert!(placed[..i].iter().all(|b| !a.overlaps(b)), "{a:?}");
        }
    }

    #[test]
    fn a_free_later_candidate_comes_before_shifting() {
        let mut placer = Placer::new(Rect::at(0.0, 0.0, 100.0, 100.0));
        placer.block(Rect::at(0.0, 0.0, 20.0, 20.0));
        let second = Rect::at(40.0, 0.0, 10.0, 10.0);
        assert_eq!(placer.place(&[Rect::at(5.0, 5.0, 10.0, 10.0), second]), Some(second));
    }

    #[test]
    fn nothing_to_place_and_not_a_number_give_nothing() {
        let mut placer = Placer::new(Rect::at(0.0, 0.0, 100.0, 100.0));
        assert_eq!(placer.place(&[]), None);
        assert_eq!(placer.place(&[Rect::at(f64::NAN, 0.0, 1.0, 1.0)]), None);
    }
}
