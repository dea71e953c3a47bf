//! Path data seen in a mirror.

use std::fmt::Write;

use svgtypes::{PathParser, PathSegment};

/// The data of a path with its x turned round, its y, or both; `None` when the data cannot be read.
pub(crate) fn mirrored(data: &str, x_too: bool, y_too: bool) -> Option<String> {
    let (fx, fy) = (if x_too { -1.0 } else { 1.0 }, if y_too { -1.0 } else { 1.0 });
    // Adding 0 leaves no "-0" behind.
    let (mx, my) = (|x: f64| fx * x + 0.0, |y: f64| fy * y + 0.0);
    let one_turned = x_too != y_too;
    let mut out = String::with_capacity(data.len());
    for segment in PathParser::from(data) {
        let segment = segment.ok()?;
        if !out.is_empty() {
            out.push(' ');
        }
        let letter = |abs: bool, letter: char| if abs { letter } else { letter.to_ascii_lowercase() };
        // Writing to a string does not fail.
        let _ = match segment {
            PathSegment::MoveTo { abs, x, y } => write!(out, "{}{} {}", letter(abs, 'M'), mx(x), my(y)),
            PathSegment::LineTo { abs, x, y } => write!(out, "{}{} {}", letter(abs, 'L'), mx(x), my(y)),
            PathSegment::HorizontalLineTo { abs, x } => write!(out, "{}{}", letter(abs, 'H'), mx(x)),
            PathSegment::VerticalLineTo { abs, y } => write!(out, "{}{}", letter(abs, 'V'), my(y)),
            PathSegment::CurveTo { abs, x1, y1, x2, y2, x, y } => write!(
                out,
                "{}{} {} {} {} {} {}",
                letter(abs, 'C'),
                mx(x1),
                my(y1),
                mx(x2),
                my(y2),
                mx(x),
                my(y)
            ),
            PathSegment::SmoothCurveTo { abs, x2, y2, x, y } => {
                write!(out, "{}{} {} {} {}", letter(abs, 'S'), mx(x2), my(y2), mx(x), my(y))
            }
            PathSegment::Quadratic { abs, x1, y1, x, y } => {
                write!(out, "{}{} {} {} {}", letter(abs, 'Q'), mx(x1), my(y1), mx(x), my(y))
            }
            PathSegment::SmoothQuadratic { abs, x, y } => {
                write!(out, "{}{} {}", letter(abs, 'T'), mx(x), my(y))
            }
            PathSegment::EllipticalArc { abs, rx, ry, x_axis_rotation, large_arc, sweep, x, y } => write!(
                out,
                "{}{rx} {ry} {} {} {} {} {}",
                letter(abs, 'A'),
                if one_turned { 0.0 - x_axis_rotation } else { x_axis_rotation },
                u8::from(large_arc),
                u8::from(sweep != one_turned),
                mx(x),
                my(y)
            ),
            PathSegment::ClosePath { abs } => write!(out, "{}", letter(abs, 'Z')),
        };
    }
    Some(out)
}

#[cfg(test)]
mod tests {
    use glam::DVec2;

    use super::*;
    use crate::shapes::region_from_path;

    #[test]
    fn the_mirror_image_encloses_the_mirrored_region() {
        for data in [
            "M0 0 L40 0 L40 30 Z",
            "m5,1h40v30h-40z m10 10h10v10h-10z",
            "M17.3205080757 10 A20 10 30 0 1 -17.3205080757 -10 A20 10 30 0 1 17.3205080757 10Z",
            "M-10 0 Q0 20 10 0 T30 0 L30 40 L-10 40 Z",
            "M-10 0 C-3 13 3 13 10 0 S 20 -10 30 0 V40 H-10 Z",
            "M0 0 a9 9 0 1 1 3 4 z",
        ] {
            let before = region_from_path(data).unwrap();
            for (x_too, y_too) in [(true, false), (false, true), (true, true), (false, false)] {
                let image = mirrored(data, x_too, y_too).unwrap();
                let after = region_from_path(&image).unwrap_or_else(|error| panic!("{image}: {error}"));
                assert!((before.area() - after.area()).abs() < 1e-6, "{image}");
                let factor = DVec2::new(if x_too { -1.0 } else { 1.0 }, if y_too { -1.0 } else { 1.0 });
                let off = before.centroid() * factor - after.centroid();
                assert!(off.length() < 1e-6, "{image}: {off}");
                assert!(!image.contains("-0 ") && !image.ends_with("-0"), "{image}");
            }
            let twice = mirrored(&mirrored(data, true, false).unwrap(), true, false).unwrap();
            assert_eq!(mirrored(&twice, false, false).unwrap(), mirrored(data, false, false).unwrap());
        }
        assert_eq!(mirrored("M0 0 x", true, false), None);
    }
}
