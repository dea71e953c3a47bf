//! `picture`: a view of the fixture as PNG, SVG or PDF.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use glidewright_geometry::DVec2;
use glidewright_project::store::Store;
use glidewright_sheet::Page;
use glidewright_sheet::views::{
    Compared, Dress, Other, Paper, ReachGaps, StripAxis, StripKind, VIEWS, ViewState, picture, view_named,
};

use super::load::{Loaded, load, refuse};
use super::output::{Console, Outcome};
use super::pages::{Format, write};
use super::travel;
use crate::today::{dated, today};

/// Arguments of `picture`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project; without it, the built-in demo
    file: Option<PathBuf>,
    /// Where to write; the ending (.png, .svg, .pdf) says what
    #[arg(long, value_name = "NAME.png|.svg|.pdf")]
    out: PathBuf,
    /// The trial to draw instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
    /// Travel of the lead rider (mm); without it, where the tightest pair is closest
    #[arg(long, value_name = "MM", allow_negative_numbers = true)]
    at: Option<f64>,
    /// The view
    #[arg(long, value_name = "NAME", default_value = "bench")]
    view: String,
    /// Width of a PNG (pixels), its height following what it shows; SVG and PDF have no pixels. Without width and height
    /// its longer side has 1600 pixels
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u32).range(SIDES))]
    width: Option<u32>,
    /// Height of a PNG (pixels), its width following; with a width too the picture has that shape, SVG and PDF as well, and
    /// stands in its middle
    #[arg(long, value_name = "PX", value_parser = clap::value_parser!(u32).range(SIDES), conflicts_with = "paper")]
    height: Option<u32>,
    /// Draw on dark paper
    #[arg(long)]
    dark: bool,
    /// Lay it out for a size of paper: A5, A4, A3, Letter or Tabloid, lying
    #[arg(long, value_name = "SIZE")]
    paper: Option<String>,
    /// Stand the paper upright
    #[arg(long, requires = "paper")]
    portrait: bool,
    /// In space: how far to walk round the fixture (degrees)
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    turn: Option<f64>,
    /// In space: how far from above to look (degrees)
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    lift: Option<f64>,
    /// Another trial to compare with; "as drawn" is the fixture without a trial. May be given several times;
    /// a comparison takes all others when none is named
    #[arg(long = "with", value_name = "TRIAL")]
    with: Vec<String>,
    /// In a comparison: what is pictured of each trial: gap, bench, stacks or space
    #[arg(long, value_name = "NAME", default_value = "gap")]
    compared: String,
    /// The strips to show, in order, with commas: clearance, effort, torque, wheel-loads, resistance
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    strips: Vec<String>,
    /// Plot the strips against the reach of the load that slides instead of travel
    #[arg(long)]
    reach: bool,
    /// The stretch of travel that rail and strips show (mm)
    #[arg(long, value_name = "FROM,TO", value_delimiter = ',', allow_negative_numbers = true)]
    window: Vec<f64>,
    /// A note to write below the title
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// The date on sheets and pages, 2026-01-31; without it today
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<String>,
}

/// Least and greatest side of a PNG (pixels), and the longer one where none is asked for.
const SIDES: std::ops::RangeInclusive<i64> = 16..=12_000;
const LONGER: f64 = 1600.0;

/// Area of the page a picture of given shape is laid out on (pt²), whatever its size in pixels: it decides how large
/// letters are against the whole.
const LAYOUT_AREA: f64 = 1120.0 * 700.0;

/// What the fixture without a trial is called.
const AS_DRAWN: &str = "as drawn";

impl Arguments {
    /// Takes what is asked of the view over into its state; an error is a message.
    fn apply(&self, state: &mut ViewState) -> Result<(), String> {
        for (angle, slot, name) in
            [(self.turn, &mut state.turn, "--turn"), (self.lift, &mut state.lift, "--lift")]
        {
            match angle {
                Some(angle) if !(angle.abs() <= 3600.0) => {
                    return Err(format!("{name} needs a number of degrees between -3600 and 3600"));
                }
                Some(angle) => *slot = angle.to_radians(),
                None => {}
            }
        }
        if !self.strips.is_empty() {
            let kind = |name: &String| {
                StripKind::named(name.trim()).ok_or_else(|| {
                    let names: Vec<_> = StripKind::ALL.iter().map(|kind| kind.name()).collect();
                    format!("there is no strip {name:?}; there are {}", names.join(", "))
                })
            };
            state.strips = self.strips.iter().map(kind).collect::<Result<_, _>>()?;
        }
        let Some(compared) = Compared::named(&self.compared) else {
            let names = Compared::ALL.map(Compared::name).join(", ");
            return Err(format!("there is no picture {:?} of a trial; there are {names}", self.compared));
        };
        state.compared = compared;
        if self.reach {
            state.axis = StripAxis::Reach;
        }
        match self.window[..] {
            [] => {}
            [from, to] if from < to && from.is_finite() && to.is_finite() => state.window = Some((from, to)),
            _ => return Err("--window needs two travels, the lower first: --window 180,300".to_owned()),
        }
        state.note.clone_from(&self.note);
        Ok(())
    }

    /// How the picture is dressed; an error is a message.
    fn dress(&self, format: Format) -> Result<Dress, String> {
        let shape = |(width, height): (u32, u32)| {
            let shape = DVec2::new(f64::from(width), f64::from(height));
            shape * (LAYOUT_AREA / (shape.x * shape.y)).sqrt()
        };
        let size_pt = match &self.paper {
            None => self.width.zip(self.height).map(shape),
            Some(name) => {
                let Some(paper) = Paper::named(name) else {
                    let names: Vec<_> = Paper::ALL.iter().map(|paper| paper.name()).collect();
                    return Err(format!("there is no paper {name:?}; there are {}", names.join(", ")));
                };
                Some(paper.size_pt(!self.portrait))
            }
        };
        let file = self.file.as_deref().and_then(Path::file_name);
        Ok(Dress {
            size_pt,
            on_paper: self.paper.is_some(),
            is_paged: matches!(format, Format::Pdf),
            date: self.date.as_deref().map_or_else(|| Ok(today()), dated)?,
            file: file.map_or_else(|| "built-in demo".to_owned(), |name| name.to_string_lossy().into_owned()),
        })
    }

    /// The width of a PNG of a page (px).
    fn width_px(&self, page: &Page) -> u32 {
        let size = page.size_pt;
        let width = match (self.width, self.height) {
            (Some(width), _) => return width,
            (None, Some(height)) => f64::from(height) * size.x / size.y,
            (None, None) => LONGER * size.x / size.max_element(),
        };
        // A side of a picture that is far longer than the other stays within what can be written.
        (width.round() as u32).clamp(16, 12_000)
    }
}

/// At how many reaches the tightest gap is worked out.
const REACHES: usize = 41;

/// Runs `picture`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let Some(format) = Format::of(&arguments.out) else {
        console.error(&format!("--out must end in .png, .svg or .pdf: {}", arguments.out.display()));
        return Outcome::Unusable;
    };
    let Some(view) = view_named(&arguments.view) else {
        let names: Vec<_> = VIEWS.iter().map(|view| view.name).collect();
        console.error(&format!("there is no view {:?}; there are {}", arguments.view, names.join(", ")));
        return Outcome::Unusable;
    };
    let file = arguments.file.as_deref();
    if file.is_some_and(|file| Store::disk().is_same_file(file, &arguments.out)) {
        console.error(&format!(
            "that would replace the project itself; name another file: {}",
            arguments.out.display()
        ));
        return Outcome::Unusable;
    }
    let loaded = match load(file, arguments.trial.as_deref()) {
        Ok(loaded) => loaded,
        Err(problems) => return refuse(console, "picture", file, None, false, &problems),
    };
    let stroke = loaded.fixture.stroke;
    let travel = arguments.at.unwrap_or_else(|| {
        loaded.results.interference.tightest().map_or(0.5 * (stroke.from + stroke.to), |pair| pair.at_travel)
    });
    let travel = match travel::within(stroke, travel) {
        Ok(travel) => travel,
        Err(message) => {
            console.error(&message);
            return Outcome::Unusable;
        }
    };
    let mut state = ViewState { travel, trial: loaded.trial.clone(), ..ViewState::default() };
    if let Err(message) = arguments.apply(&mut state) {
        console.error(&message);
        return Outcome::Unusable;
    }
    if state.axis == StripAxis::Reach {
        state.reach_gaps = Arc::new(ReachGaps::all(&loaded.fixture, &loaded.results, REACHES));
    }
    if view.name == "compare" {
        state.extras = Arc::new(loaded.extras());
    }
    let others = others(arguments, &loaded);
    if others.is_empty() && view.name == "compare" {
        console.error("there is nothing to compare with: the project has no trials");
        return Outcome::Unusable;
    }
    for name in &others {
        let trial = (name != AS_DRAWN).then_some(name.as_str());
        let other = match load(file, trial) {
            Ok(other) => other,
            Err(problems) => return refuse(console, "picture", file, None, false, &problems),
        };
        let extras = if view.name == "compare" { other.extras() } else { Vec::new() };
        state.others.push(Other {
            name: name.clone(),
            fixture: Arc::new(other.fixture),
            results: Arc::new(other.results),
            extras: Arc::new(extras),
        });
        state.ghosts = true;
    }
    let dress = match arguments.dress(format) {
        Ok(dress) => dress,
        Err(message) => {
            console.error(&message);
            return Outcome::Unusable;
        }
    };
    let pages = picture(view, &loaded.fixture, &loaded.results, &state, &dress);
    let width = pages.first().map_or(1600, |page| arguments.width_px(page));
    match write(&arguments.out, format, &pages, arguments.dark, width) {
        Ok(()) => {
            console.print(&format!("{} at travel {travel:.1} mm: {}\n", view.title, arguments.out.display()));
            Outcome::Good
        }
        Err(message) => {
            console.error(&message);
            Outcome::Unusable
        }
    }
}

/// The trials to draw beside the one asked for: those named, and for a comparison all others when none is.
fn others(arguments: &Arguments, loaded: &Loaded) -> Vec<String> {
    if arguments.view != "compare" || !arguments.with.is_empty() {
        return arguments.with.clone();
    }
    let drawn = loaded.trial.as_deref().unwrap_or(AS_DRAWN);
    let all = std::iter::once(AS_DRAWN).chain(loaded.trials.iter().map(String::as_str));
    all.filter(|name| *name != drawn).map(str::to_owned).collect()
}
