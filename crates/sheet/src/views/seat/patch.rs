//! The contact of one flank, much enlarged: how wide it is pressed flat, the pressure across it and the slip
//! along it.

use glam::DVec2;
use glidewright_motion::contact::Form;

use super::Seat;
use crate::drawing::{Dimension, DimensionKind, End, Label, Panel, Path, Polyline, Rect, Shape};
use crate::look::{Dash, Fill, Hatch, Pen, Tone, Weight, number};
use crate::units::PT_PER_MM;
use crate::views::Pick;
use crate::views::words::{place, shortened, width_of};

const TITLE_PT: f64 = 9.0;
const NOTE_PT: f64 = 8.0;
/// Room for words and dimensions about the patch: left, above, right, below (pt).
const ROOM: [f64; 4] = [46.0, 60.0, 112.0, 34.0];
/// How far the pressure's curve stands out, and the slip's (pt).
const PRESSURE: f64 = 46.0;
const SLIP: f64 = 15.0;
/// Points on the pressure's curve.
const STEPS: i32 = 24;

/// The panel; `None` when nothing bears.
pub(super) fn panel(seat: &Seat<'_>, frame: Rect) -> Option<Panel> {
    let (contact, force) =
        seat.contacts.iter().filter(|(_, force)| *force > 0.0).max_by(|a, b| a.1.total_cmp(&b.1))?;
    let patch = contact.patch(*force);
    let (length, half) = (2.0 * patch.across, patch.along);
    if !(half > 0.0 && half.is_finite() && length > 0.0 && length.is_finite()) {
        return None;
    }
    // x along the flank from its inner radius out, y along the rail.
    let world = Rect::between(DVec2::new(0.0, -half), DVec2::new(length, half));
    let inside =
        Rect { min: frame.min + DVec2::new(ROOM[0], ROOM[1]), max: frame.max - DVec2::new(ROOM[2], ROOM[3]) };
    let mut panel = Panel::fitted("contact, enlarged", inside, world, 0.0);
    panel.frame = frame;
    let scale = panel.scale();
    let title = format!(
        "the contact that carries most, {} : 1  ·  pressure across it, slip along it",
        number(scale / PT_PER_MM, 0)
    );
    let title = shortened(&title, TITLE_PT, Weight::SemiBold, frame.size().x - 12.0);
    let at = place(&panel, frame.min + DVec2::new(6.0, 4.0));
    panel.add(Label::new(title, at, TITLE_PT).bold().anchored(0.0, 1.0));
    let hatch = Hatch { width_pt: 0.4, ..Hatch::section(Tone::Clear).spaced(4.0) };
    let outline = match contact.pairing.form {
        Form::Point(_) => ellipse(length, half),
        Form::Line { .. } | Form::Strip { .. } | Form::Face { .. } => Path::rect(world),
    };
    let area = Shape::new(outline).filled(Fill::faded(Tone::ClearFill, 0.7)).hatched(hatch);
    panel.add(area.stroked(Pen::new(Tone::Clear, 1.2))).part(Pick::Gap.part()).named("contact");
    pressure(&mut panel, length, half, patch.peak_pressure, seat);
    if contact.radii[1] > contact.radii[0] && matches!(contact.pairing.form, Form::Line { .. }) {
        slip(&mut panel, length, half, contact.radii);
    }
    let kind = DimensionKind::Horizontal { from: world.min, to: DVec2::new(length, -half), offset_pt: 15.0 };
    panel.add(Dimension::new(kind, format!("{} across the rail", seat.unit.bare(length, 2))));
    let kind =
        DimensionKind::Vertical { from: DVec2::new(0.0, -half), to: DVec2::new(0.0, half), offset_pt: -15.0 };
    panel.add(Dimension::new(kind, seat.unit.bare(2.0 * half, 3)));
    Some(panel)
}

/// An ellipse from x = 0 to `length`, `half` to either side (mm).
fn ellipse(length: f64, half: f64) -> Path {
    let to = glam::DAffine2::from_cols(
        DVec2::new(0.5 * length, 0.0),
        DVec2::new(0.0, half),
        DVec2::new(0.5 * length, 0.0),
    );
    Path::circle(DVec2::ZERO, 1.0).transformed(&to)
}

/// The pressure across the patch: half an ellipse (Hertz; Johnson, Contact Mechanics, §4.2).
fn pressure(panel: &mut Panel, length: f64, half: f64, peak: f64, seat: &Seat<'_>) {
    let out = PRESSURE / panel.scale();
    let from = length + 10.0 / panel.scale();
    let curve: Vec<DVec2> = (-STEPS..=STEPS)
        .map(|i| {
            let turn = std::f64::consts::FRAC_PI_2 * f64::from(i) / f64::from(STEPS);
            DVec2::new(from + out * turn.cos(), half * turn.sin())
        })
        .collect();
    let shape = Shape::new(Path::polyline(&curve, true)).filled(Fill::faded(Tone::ClashFill, 0.5));
    panel.add(shape.stroked(Pen::new(Tone::Clash, 0.9))).named("pressure");
    for share in [-0.6_f64, -0.2, 0.2, 0.6] {
        let tail = DVec2::new(from + out * (1.0 - share * share).sqrt(), half * share);
        let line = Polyline::new(vec![tail, DVec2::new(from, tail.y)], Pen::new(Tone::Clash, 0.5));
        panel.add(line.ends(End::Plain, End::Arrow));
    }
    let allowed = match seat.wheel.tyre.allowable_pressure {
        Some(most) => format!("\nof {} allowed", number(most, 1)),
        None => String::new(),
    };
    let at = panel.pt(DVec2::new(from + out, 0.0)) + DVec2::new(6.0, 0.0);
    let at = place(panel, at);
    let text = format!("{} MPa{allowed}", number(peak, 1));
    panel.add(Label::new(text, at, NOTE_PT).toned(Tone::Clash).anchored(0.0, 0.5));
}

/// How much faster or slower than the rail the flank moves along its length: (r − r₀)/r₀, nothing at the
/// radius it rolls on.
fn slip(panel: &mut Panel, length: f64, half: f64, radii: [f64; 2]) {
    let rolling = 0.5 * (radii[0] + radii[1]);
    let most = 0.5 * (radii[1] - radii[0]) / rolling;
    let zero = half + (SLIP + 9.0) / panel.scale();
    let swing = SLIP / panel.scale();
    let axis = vec![DVec2::new(0.0, zero), DVec2::new(length, zero)];
    panel.add(Polyline::new(axis, Pen::narrow(Tone::Axis).dashed(Dash::Centre)));
    let both = [
        [DVec2::new(0.0, zero), DVec2::new(0.0, zero - swing), DVec2::new(0.5 * length, zero)],
        [DVec2::new(length, zero), DVec2::new(length, zero + swing), DVec2::new(0.5 * length, zero)],
    ];
    for triangle in both {
        let shape = Shape::new(Path::polyline(&triangle, true)).filled(Fill::faded(Tone::MarginalFill, 0.6));
        panel.add(shape.stroked(Pen::new(Tone::Marginal, 0.8))).named("slip");
    }
    let text =
        |sign: &str, word: &str, between: &str| format!("{sign}{} %{between}{word}", number(100.0 * most, 2));
    // Above the axis, where the half that lags leaves room.
    let at = place(panel, panel.pt(DVec2::new(0.0, zero)) + DVec2::new(0.0, -4.0));
    let words = text("−", "lags", " ");
    let beyond = width_of(&words, NOTE_PT, Weight::Regular) > length * panel.scale() + 2.0;
    panel.add(Label::new(words, at, NOTE_PT).toned(Tone::Marginal).anchored(0.0, 0.0));
    let at = place(panel, panel.pt(DVec2::new(length, zero)) + DVec2::new(5.0, 0.0));
    let leads = Label::new(text("+", "leads", "\n"), at, NOTE_PT).toned(Tone::Marginal);
    // Below the axis where those words reach beyond the flank.
    panel.add(leads.anchored(0.0, if beyond { 1.0 } else { 0.5 }));
}
