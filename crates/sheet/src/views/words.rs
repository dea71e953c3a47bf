//! Words on paper: their size, their anchor, their breaking into lines.

use glam::DVec2;

use crate::drawing::{Panel, Place};
use crate::look::{Face, Weight, text_width};

/// The box of a line of text with a little air (pt).
pub(super) fn size_of(text: &str, size_pt: f64, weight: Weight) -> DVec2 {
    DVec2::new(width_of(text, size_pt, weight) + 4.0, 1.25 * size_pt)
}

/// Width of a line of condensed text (pt).
pub(super) fn width_of(text: &str, size_pt: f64, weight: Weight) -> f64 {
    text_width(text, size_pt, Face::Condensed, weight)
}

/// A point of the paper (pt) as an anchor in a panel.
pub(crate) fn place(panel: &Panel, pt: DVec2) -> Place {
    let world = panel.world_from_pt(panel.frame.min).unwrap_or_default();
    Place { world, shift_pt: pt - panel.pt(world) }
}

/// The text broken at spaces into lines no wider than `width` (pt), at most `most` of them; the last is cut
/// short with an ellipsis if there is more.
pub(super) fn wrapped(text: &str, size_pt: f64, weight: Weight, width: f64, most: usize) -> Vec<String> {
    let fits = |line: &str| width_of(line, size_pt, weight) <= width;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let full = lines.len() == most;
        match lines.last_mut() {
            Some(line) if fits(&format!("{line} {word}")) => {
                line.push(' ');
                line.push_str(word);
            }
            Some(line) if full => {
                *line = shortened(&format!("{line} {word}"), size_pt, weight, width);
                return lines;
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines.into_iter().map(|line| shortened(&line, size_pt, weight, width)).collect()
}

/// The text broken at spaces into lines no wider than `width` (pt), whole: a word wider than that is broken within.
pub(crate) fn broken(text: &str, size_pt: f64, weight: Weight, width: f64) -> Vec<String> {
    let fits = |line: &str| width_of(line, size_pt, weight) <= width;
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        if let Some(line) = lines.last_mut()
            && fits(&format!("{line} {word}"))
        {
            line.push(' ');
            line.push_str(word);
            continue;
        }
        let mut line = String::new();
        for c in word.chars() {
            line.push(c);
            if !fits(&line) && line.chars().nth(1).is_some() {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
        lines.push(line);
    }
    lines
}

/// The text, cut with an ellipsis to a width (pt).
pub(super) fn shortened(text: &str, size_pt: f64, weight: Weight, width: f64) -> String {
    if width_of(text, size_pt, weight) <= width {
        return text.to_owned();
    }
    let mut short = text.trim_end_matches([' ', '…']).to_owned();
    loop {
        let with_dots = format!("{}…", short.trim_end());
        if width_of(&with_dots, size_pt, weight) <= width {
            return with_dots;
        }
        if short.pop().is_none() {
            return String::new();
        }
    }
}

/// Spreads boxes of some widths along a line so that they keep `gap` apart, each as near its wish as the
/// others allow, all within `from` to `to` if they fit; returns their middles. Wishes must rise.
///
/// Own: boxes that collide are joined to a block about the mean of what its members wish (the
/// pool-adjacent-violators rule of isotonic regression, which minimises the squared moves).
pub(super) fn spread(wishes: &[f64], widths: &[f64], gap: f64, from: f64, to: f64) -> Vec<f64> {
    struct Block {
        first: usize,
        last: usize,
        // Sum of the places the block's start would like, one per member.
        sum: f64,
        length: f64,
    }
    let mut blocks: Vec<Block> = Vec::new();
    for (i, (wish, width)) in wishes.iter().zip(widths).enumerate() {
        let wish = if wish.is_finite() { *wish } else { from };
        let mut block = Block { first: i, last: i, sum: wish - 0.5 * width, length: width + gap };
        while let Some(before) = blocks.last() {
            let start = |b: &Block| b.sum / (b.last - b.first + 1) as f64;
            if start(before) + before.length <= start(&block) {
                break;
            }
            // Members of the later block wish its start earlier by the length of the one before.
            let count = (block.last - block.first + 1) as f64;
            block = Block {
                first: before.first,
                last: block.last,
                sum: before.sum + block.sum - count * before.length,
                length: before.length + block.length,
            };
            blocks.pop();
        }
        blocks.push(block);
    }
    let mut middles = Vec::with_capacity(widths.len());
    let mut floor = from;
    let mut ceiling: Vec<f64> = Vec::with_capacity(blocks.len());
    let mut room = to + gap;
    for block in blocks.iter().rev() {
        room -= block.length;
        ceiling.push(room);
    }
    for (block, ceiling) in blocks.iter().zip(ceiling.into_iter().rev()) {
        let wish = block.sum / (block.last - block.first + 1) as f64;
        let mut at = wish.min(ceiling).max(floor);
        for width in widths.get(block.first..=block.last).unwrap_or_default() {
            middles.push(at + 0.5 * width);
            at += width + gap;
        }
        floor = at;
    }
    middles
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spread_boxes_keep_apart_and_near_their_wishes() {
        for (wishes, expected) in [
            (vec![10.0, 50.0, 90.0], vec![10.0, 50.0, 90.0]),
            (vec![50.0, 50.0], vec![44.0, 56.0]),
            (vec![50.0, 51.0, 52.0], vec![39.0, 51.0, 63.0]),
            (vec![2.0, 3.0], vec![5.0, 17.0]),
            (vec![99.0, 99.0], vec![83.0, 95.0]),
            (vec![], vec![]),
        ] {
            let widths = vec![10.0; wishes.len()];
            let got = spread(&wishes, &widths, 2.0, 0.0, 100.0);
            for (a, b) in got.iter().zip(&expected) {
                assert!((a - b).abs() < 1e-9, "{wishes:?}: {got:?}, expected {expected:?}");
            }
            assert_eq!(got.len(), expected.len());
        }
    }

    #[test]
    fn wrapped_lines_fit() {
        let text = "30.00 track spacing − 2 × (6.50 half wheel + 1.00 shim + 7.71 nut) = −0.42";
        for width in [60.0, 120.0, 400.0] {
            let lines = wrapped(text, 8.0, Weight::Regular, width, 20);
            assert!(lines.iter().all(|line| width_of(line, 8.0, Weight::Regular) <= width), "{lines:?}");
            assert_eq!(lines.join(" "), text);
        }
        assert!(wrapped(text, 8.0, Weight::Regular, 60.0, 2)[1].ends_with('…'));
        for width in [1.0, 20.0, 60.0, 400.0] {
            let lines = broken(text, 8.0, Weight::Regular, width);
            let fits = |line: &String| width_of(line, 8.0, Weight::Regular) <= width;
            assert!(lines.iter().all(|line| fits(line) || line.chars().count() == 1), "{lines:?}");
            let bare = |text: &str| text.chars().filter(|c| *c != ' ').collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text));
        }
    }
}
