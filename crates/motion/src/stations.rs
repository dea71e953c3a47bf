//! Where along the stroke, or the reach of a load, curves are worked out.

/// `count` evenly spaced travels from `from` to `to`, both included exactly and none beyond them.
pub(crate) fn stations(from: f64, to: f64, count: usize) -> Vec<f64> {
    let last = count.saturating_sub(1).max(1);
    (0..count)
        // from + (to − from) need not be `to`.
        .map(|i| if i == last { to } else { from + (to - from) * (i as f64 / last as f64) })
        .map(|travel| travel.max(from.min(to)).min(from.max(to)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::stations;

    #[test]
    fn stations_end_where_they_are_told() {
        // from + (to − from) is not `to` for one in eleven of these.
        for from in 0..60 {
            for to in 0..60 {
                let (from, to) = (0.1 * f64::from(from) - 1.7, 1.0 / 3.0 + 0.7 * f64::from(to));
                let made = stations(from, to, 41);
                assert_eq!((made[0], made[40]), (from, to));
                assert!(made.iter().all(|x| *x >= from.min(to) && *x <= from.max(to)), "{from} {to}");
            }
        }
        assert_eq!(stations(3.0, 5.0, 1), [3.0]);
        assert!(stations(3.0, 5.0, 0).is_empty());
    }
}
