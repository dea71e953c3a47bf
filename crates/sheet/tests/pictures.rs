//! Pictures as they are sent, of random fixtures, standing and lying, in every view and on several papers: everything on
//! the page, title and key readable and apart, scale bars as long as they say, reasons whole, the same bytes every time.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use std::collections::BTreeSet;
use std::sync::{Arc, LazyLock};

use glidewright_generated::usable;
use glidewright_motion::{Fixture, Outcome, Results, Severity, analyse, phrase::length};
use glidewright_project::{demo_text, parse, resolve, sample_shuttle_text};
use glidewright_samples::COPY_STAND;
use glidewright_sheet::views::{Dress, Other, Paper, VIEWS, Verdict, View, ViewState, picture, view_named};
use glidewright_sheet::{
    DVec2, InkKind, LengthUnit, LoadUnit, Page, PngOptions, ReaderUnits, Rect, SvgOptions, TextInk, Theme,
    pdf, png, svg,
};

/// How many generated fixtures of each stand.
const EACH: usize = 3;

struct Case {
    name: String,
    fixture: Fixture,
    results: Results,
}

fn case(name: String, fixture: Fixture) -> Case {
    let results = analyse(&fixture);
    Case { name, fixture, results }
}

/// The demos, and as many generated fixtures that stand as lie.
static CASES: LazyLock<Vec<Case>> = LazyLock::new(|| {
    let mut cases: Vec<Case> = [demo_text(), sample_shuttle_text(), COPY_STAND]
        .into_iter()
        .map(|text| {
            let fixture = resolve(&parse(text).unwrap(), None).fixture.unwrap();
            case(fixture.name.clone(), fixture)
        })
        .collect();
    for upright in [true, false] {
        let own = usable(1).filter(|found| found.fixture.rail.stand.is_upright() == upright);
        cases.extend(own.take(EACH).map(|found| case(format!("seed {}", found.seed), found.fixture)));
    }
    cases
});

/// Sizes a picture may be asked for in: as it comes, papers, and flat and tall shapes.
fn dresses() -> Vec<(&'static str, Dress)> {
    let usual = Dress { date: "2026-01-31".into(), file: "fixture.ron".into(), ..Dress::default() };
    let paper = |paper: Paper, lying: bool, is_paged: bool| Dress {
        size_pt: Some(paper.size_pt(lying)),
        on_paper: true,
        is_paged,
        ..usual.clone()
    };
    let shape = |x: f64, y: f64| Dress { size_pt: Some(DVec2::new(x, y)), ..usual.clone() };
    vec![
        ("as it comes", usual.clone()),
        ("A4 upright", paper(Paper::A4, false, true)),
        ("A4 lying", paper(Paper::A4, true, false)),
        ("Letter upright", paper(Paper::Letter, false, false)),
        ("flat", shape(1400.0, 560.0)),
        ("tall", shape(620.0, 1264.0)),
    ]
}

fn state_of(case: &Case) -> ViewState {
    let stroke = case.fixture.stroke;
    ViewState { travel: stroke.from + 0.41 * (stroke.to - stroke.from), ..ViewState::default() }
}

fn texts(page: &Page) -> impl Iterator<Item = (&TextInk, usize)> {
    page.inks.iter().filter_map(|ink| match &ink.kind {
        InkKind::Text(text) => Some((text, ink.panel)),
        _ => None,
    })
}

/// The box of a text with a little of its ascenders and descenders taken off: these seldom meet.
fn box_of(text: &TextInk) -> Rect {
    let corners = text.corners();
    Rect::between(corners[0], corners[2])
        .union(&Rect::between(corners[1], corners[3]))
        .grown(-0.12 * text.size_pt)
}

/// The texts of title and key: of the panel painted last.
fn dressing(page: &Page) -> Vec<&TextInk> {
    let last = page.inks.iter().map(|ink| ink.panel).max().unwrap();
    texts(page).filter(|(_, panel)| *panel == last).map(|(text, _)| text).collect()
}

fn check_page(what: &str, page: &Page, on_paper: bool) {
    assert_eq!(page.skipped, 0, "{what}");
    let paper = Rect::between(DVec2::ZERO, page.size_pt);
    for (text, _) in texts(page) {
        let own = Rect::round(text.corners()).unwrap();
        assert!(paper.grown(0.5).holds(&own), "{what}: {:?} at {own:?} of {paper:?}", text.text);
        assert!(!on_paper || text.size_pt >= 7.0, "{what}: {:?} of {} pt", text.text, text.size_pt);
    }
    let own = dressing(page);
    for (number, text) in own.iter().enumerate() {
        for (other, _) in texts(page) {
            let same = own[..=number].iter().any(|known| std::ptr::eq(*known, other));
            assert!(
                same || !box_of(text).overlaps(&box_of(other)),
                "{what}: {:?} over {:?}",
                text.text,
                other.text
            );
        }
    }
}

/// A figure in newtons, grams or their like, in a text.
fn figure_in(symbols: &[&str], text: &str) -> Option<String> {
    let words: Vec<&str> = text.split_whitespace().collect();
    let is_unit = |word: &str| symbols.contains(&word.trim_end_matches(|c: char| ",.;:)".contains(c)));
    let number = |word: &str| word.ends_with(|c: char| c.is_ascii_digit());
    words.windows(2).find(|pair| number(pair[0]) && is_unit(pair[1])).map(|pair| pair.join(" "))
}

/// Where forces and masses are read in pounds, nothing is told in newtons or grams, and the other way round.
#[test]
fn loads_are_told_in_one_system() {
    let pounds = ReaderUnits { length: LengthUnit::Inch, load: LoadUnit::Pound };
    let (metric, imperial) = (["N", "N·mm", "N·m", "g", "kg", "mm"], ["lbf", "lbf·in", "oz", "lb"]);
    let mut told = 0;
    let mut wrong = BTreeSet::new();
    for (units, own, others) in
        [(pounds, &imperial[..], &metric[..]), (ReaderUnits::default(), &metric, &imperial)]
    {
        for case in CASES.iter() {
            let state = ViewState { unit: units, ..state_of(case) };
            let finding = |finding: &glidewright_motion::Finding| {
                let remedies: Vec<String> = finding.remedies.iter().map(|r| units.phrase(&r.text)).collect();
                let [title, reason] = [&finding.title, &finding.reason].map(|text| units.phrase(text));
                format!("{title} {reason} {}", remedies.join(" "))
            };
            let mut all: Vec<(String, String)> =
                case.results.findings.iter().map(|f| (f.code.to_owned(), finding(f))).collect();
            for view in VIEWS.iter().filter(|view| (view.lacks)(&case.fixture, &case.results).is_none()) {
                for page in picture(view, &case.fixture, &case.results, &state, &Dress::default()) {
                    all.extend(texts(&page).map(|(text, _)| (view.name.to_owned(), text.text.to_string())));
                }
            }
            for (place, text) in &all {
                told += usize::from(figure_in(own, text).is_some());
                if let Some(other) = figure_in(others, text) {
                    wrong.insert(format!("{place}: {other} in {text}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(told > 500, "{told}");
}

#[test]
fn everything_is_on_the_page_and_can_be_read() {
    let stands: BTreeSet<bool> = CASES.iter().map(|case| case.fixture.rail.stand.is_upright()).collect();
    assert_eq!(stands.len(), 2);
    for case in CASES.iter() {
        let verdict = Verdict::of(&case.results, ReaderUnits::default());
        for view in VIEWS {
            for (how, dress) in dresses() {
                let pages = picture(view, &case.fixture, &case.results, &state_of(case), &dress);
                let what = format!("{}: {} {how}", case.name, view.name);
                assert!(!pages.is_empty(), "{what}");
                for page in &pages {
                    check_page(&what, page, dress.on_paper);
                    // One line says what it is of and what it comes to.
                    let said: String = dressing(page).iter().map(|text| text.text.as_str()).collect();
                    for words in [&case.fixture.name, &verdict.words] {
                        let bare = |text: &str| text.replace(' ', "");
                        assert!(bare(&said).contains(&bare(words)), "{what}: {words} in {said}");
                    }
                    let dated = said.contains("2026-01-31") && said.contains("fixture.ron");
                    assert_eq!(dated, dress.is_paged || view.name == "sheet", "{what}");
                }
                if let Some(size) = dress.size_pt {
                    let grows = view.name == "sheet" && !dress.is_paged;
                    let first = pages[0].size_pt;
                    assert!((first.x - size.x).abs() < 1e-9, "{what}");
                    assert!((first.y - size.y).abs() < 1e-9 || grows && first.y > size.y, "{what}");
                }
            }
        }
    }
}

/// Lengths of the scale bars on a page (pt), with what stands beside them.
fn bars(page: &Page) -> Vec<(f64, String)> {
    let mut bars: Vec<(Rect, f64)> = Vec::new();
    for ink in page.inks.iter().filter(|ink| ink.name.as_deref() == Some("scale bar")) {
        if !matches!(ink.kind, InkKind::Fill { .. }) {
            continue;
        }
        // The second half goes on where the first ends.
        match bars.last_mut().filter(|(last, _)| (last.max.x - ink.bounds.min.x).abs() < 1e-6) {
            Some((last, length)) => {
                *last = last.union(&ink.bounds);
                *length = last.size().x;
            }
            None => bars.push((ink.bounds, ink.bounds.size().x)),
        }
    }
    let words = |bar: &Rect| {
        let beside =
            texts(page).filter(|(text, _)| (text.at.y - bar.max.y).abs() < 6.0 && text.at.x > bar.max.x);
        beside.min_by(|a, b| a.0.at.x.total_cmp(&b.0.at.x)).map(|(text, _)| text.text.clone()).unwrap()
    };
    bars.into_iter().map(|(bar, length)| (length, words(&bar))).collect()
}

/// The millimetres a bar says it is.
fn told(words: &str) -> f64 {
    let words = words.rsplit(": ").find(|part| part.contains(" mm") || part.contains(" in")).unwrap_or(words);
    let (unit, per) = if words.contains(" in") { (" in", 25.4) } else { (" mm", 1.0) };
    words.split(unit).next().unwrap().trim().parse::<f64>().unwrap() * per
}

#[test]
fn scale_bars_are_as_long_as_they_say() {
    for case in CASES.iter() {
        // The rail's own length on the bench, a plate's height in its drawing.
        let rail = case
            .results
            .assembly
            .bodies
            .iter()
            .position(|b| b.role == glidewright_motion::Role::Rail)
            .unwrap();
        for unit in LengthUnit::ALL.map(ReaderUnits::from) {
            for (how, dress) in dresses() {
                let state = ViewState { unit, ..state_of(case) };
                let what = format!("{} {how} {unit:?}", case.name);
                let page =
                    &picture(view_named("bench").unwrap(), &case.fixture, &case.results, &state, &dress)[0];
                let [(length, words)] = &bars(page)[..] else { panic!("{what}: one bar") };
                let drawn =
                    page.inks.iter().filter(|ink| ink.part.is_some_and(|part| part.0 as usize == rail));
                let fills =
                    drawn.filter(|ink| matches!(ink.kind, InkKind::Fill { .. })).map(|ink| ink.bounds);
                let size = fills.reduce(|a, b| a.union(&b)).unwrap().size().max_element();
                let scale = size / case.fixture.rail.length;
                assert!(
                    (length / told(words) / scale - 1.0).abs() < 1e-6,
                    "{what}: {words} {length} {scale}"
                );
                assert!(*length <= 90.0 + 1e-9 && *length > 30.0, "{what}: {length}");
                if dress.on_paper {
                    let ratio: f64 = words.rsplit(" : ").next().unwrap().parse().unwrap();
                    assert!((ratio * scale * 25.4 / 72.0 - 1.0).abs() < 0.06, "{what}: {words}");
                }
            }
        }
    }
}

/// What is drawn to scale has its bar, and plots alone have none.
#[test]
fn what_is_drawn_to_scale_says_so() {
    let case = &CASES[0];
    let dress = Dress::default();
    for (view, count) in [
        ("bench", 1),
        ("gap", 1),
        ("stacks", 1),
        ("seat", 1),
        ("end", 1),
        ("space", 1),
        ("plate", 1),
        ("belt", 1),
        ("drive", 0),
    ] {
        let view = view_named(view).unwrap();
        let pages = picture(view, &case.fixture, &case.results, &state_of(case), &dress);
        assert_eq!(bars(&pages[0]).len(), count, "{}", view.name);
    }
    let gap = &picture(view_named("gap").unwrap(), &case.fixture, &case.results, &state_of(case), &dress)[0];
    assert!(texts(gap).any(|(text, _)| text.text == "10 : 1"), "the lens tells its own");
}

#[test]
fn the_key_names_what_occurs_and_nothing_else() {
    let keys = |case: &Case, view: &str| -> Vec<String> {
        let view = view_named(view).unwrap();
        let page = &picture(view, &case.fixture, &case.results, &state_of(case), &Dress::default())[0];
        let all = page.inks.iter().filter(|ink| ink.name.as_deref() == Some("key"));
        let words = all.filter_map(|ink| match &ink.kind {
            InkKind::Text(text) => Some(text.text.clone()),
            _ => None,
        });
        words.collect()
    };
    let (lift, shuttle) = (&CASES[0], &CASES[1]);
    let has = |keys: &[String], words: &str| keys.iter().any(|key| key == words);
    let bench = keys(lift, "bench");
    for words in [
        "here two foul each other",
        "required gap",
        "riders at the ends of travel",
        "centre of mass",
        "belt or cord",
    ] {
        assert!(has(&bench, words), "{words}: {bench:?}");
    }
    // Nothing fouls on the shuttle.
    assert!(matches!(shuttle.results.interference.tightest().unwrap().outcome, Outcome::ClearByGap));
    let bench = keys(shuttle, "bench");
    assert!(!has(&bench, "here two foul each other") && has(&bench, "required gap"), "{bench:?}");
    assert!(has(&keys(lift, "gap"), "overlap: what both take up"));
    assert!(!has(&keys(shuttle, "gap"), "overlap: what both take up"));
    assert!(has(&keys(lift, "plate"), "datum: x and y of the holes count from here"));
    // A word stands once.
    for case in CASES.iter() {
        for view in VIEWS {
            let mut words = keys(case, view.name);
            let count = words.len();
            words.sort();
            words.dedup();
            assert_eq!(words.len(), count, "{}: {}", case.name, view.name);
        }
    }
}

#[test]
fn reasons_are_printed_whole() {
    let sheet = view_named("sheet").unwrap();
    for case in CASES.iter() {
        for (how, dress) in dresses() {
            let pages = picture(sheet, &case.fixture, &case.results, &state_of(case), &dress);
            assert!(dress.is_paged || pages.len() == 1, "{}: {how}", case.name);
            let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            let said: String = pages.iter().flat_map(texts).map(|(text, _)| bare(&text.text)).collect();
            // Every rider's weight stands among the key figures.
            for rider in &case.fixture.riders {
                assert!(said.contains(&bare(&format!("{} weighs", rider.name))), "{} {how}", case.name);
            }
            for finding in &case.results.findings {
                let title = bare(&ReaderUnits::default().phrase(&finding.title));
                assert!(said.contains(&title), "{} {how}: {title}", case.name);
                if finding.severity != Severity::Note {
                    let reason = bare(&ReaderUnits::default().phrase(&finding.reason));
                    assert!(said.contains(&reason), "{} {how}: {reason}", case.name);
                }
            }
        }
    }
}

#[test]
fn an_svg_carries_the_glyphs_it_uses_and_no_others() {
    use base64::Engine as _;
    use skrifa::MetadataProvider as _;
    for case in CASES.iter().take(5) {
        for view in VIEWS {
            let pages = picture(view, &case.fixture, &case.results, &state_of(case), &dresses()[0].1);
            let with = svg(&pages[0], &Theme::light(), SvgOptions { embed_fonts: true }).unwrap();
            let bare = svg(&pages[0], &Theme::light(), SvgOptions::default()).unwrap();
            let xml = roxmltree::Document::parse(&with).unwrap();
            let words: String =
                xml.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).collect();
            let used: BTreeSet<char> = words.chars().collect();
            let mut held = BTreeSet::new();
            for data in with.split("base64,").skip(1) {
                let data = &data[..data.find(')').unwrap()];
                let bytes = base64::engine::general_purpose::STANDARD.decode(data).unwrap();
                let font = skrifa::FontRef::new(&bytes).unwrap();
                held.extend(font.charmap().mappings().filter_map(|(code, _)| char::from_u32(code)));
            }
            assert_eq!(held, used, "{}: {}", case.name, view.name);
            let more = with.len() - bare.len();
            assert!(more < 100_000, "{}: {} {more} bytes of fonts", case.name, view.name);
        }
    }
}

#[test]
fn the_same_picture_is_the_same_bytes() {
    let case = &CASES[0];
    for (how, dress) in dresses() {
        let bytes = |date: &str| {
            let dress = Dress { date: date.to_owned(), ..dress.clone() };
            let pages =
                picture(view_named("sheet").unwrap(), &case.fixture, &case.results, &state_of(case), &dress);
            [
                svg(&pages[0], &Theme::light(), SvgOptions { embed_fonts: true }).unwrap().into_bytes(),
                png(&pages[0], &Theme::dark(), PngOptions { width_px: 300 }).unwrap(),
                pdf(&pages, &Theme::light()).unwrap(),
            ]
        };
        assert!(bytes("2026-01-31") == bytes("2026-01-31"), "{how}");
        assert!(bytes("2026-01-31")[0] != bytes("2026-02-01")[0], "{how}");
    }
}

/// The lift in so many trials, each of which changes a size.
fn compared(count: usize) -> (Fixture, Results, ViewState) {
    let document = parse(demo_text()).unwrap();
    let made = |trial: Option<&str>| {
        let fixture = resolve(&document, trial).fixture.unwrap();
        let results = analyse(&fixture);
        (fixture, results)
    };
    let (fixture, results) = made(None);
    let names: Vec<&str> = document.trials.iter().map(|trial| trial.name.as_str()).collect();
    let others = (0..count - 1).map(|number| {
        let name = names[number % names.len()];
        let (fixture, results) = made(Some(name));
        // Names long enough to want more than a line.
        let name = format!("{name}, {number} of those worth trying");
        Other { name, fixture: Arc::new(fixture), results: Arc::new(results), extras: Arc::default() }
    });
    let state = ViewState { others: others.collect(), travel: 359.5, ..ViewState::default() };
    (fixture, results, state)
}

#[test]
fn a_comparison_shows_every_trial_and_says_how_it_differs() {
    let view: &View = view_named("compare").unwrap();
    for count in 2..=8 {
        let (fixture, results, state) = compared(count);
        for (how, dress) in dresses() {
            let what = format!("{count} trials {how}");
            let pages = picture(view, &fixture, &results, &state, &dress);
            assert_eq!(pages.len(), 1, "{what}");
            let page = &pages[0];
            let paper = Rect::between(DVec2::ZERO, page.size_pt).grown(0.5);
            let all: Vec<&TextInk> = texts(page).map(|(text, _)| text).collect();
            for (number, text) in all.iter().enumerate() {
                assert!(paper.holds(&Rect::round(text.corners()).unwrap()), "{what}: {}", text.text);
                for other in &all[..number] {
                    assert!(
                        !box_of(text).overlaps(&box_of(other)),
                        "{what}: {} over {}",
                        text.text,
                        other.text
                    );
                }
            }
            let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            let said: String = all.iter().map(|text| bare(&text.text)).collect();
            let legend: String = page
                .inks
                .iter()
                .filter(|ink| ink.name.as_deref() == Some("legend"))
                .filter_map(|ink| match &ink.kind {
                    InkKind::Text(text) => Some(bare(&text.text)),
                    _ => None,
                })
                .collect();
            assert!(legend.starts_with("asdrawn"), "{what}: {legend}");
            for other in &state.others {
                // Over its lens, in the table, before what differs, in the legend.
                assert!(said.matches(&bare(&other.name)).count() >= 4, "{what}: {}", other.name);
                assert!(legend.contains(&bare(&other.name)), "{what}: {} in {legend}", other.name);
            }
            // Sizes alone were changed: from what to what.
            assert!(
                said.contains(&bare("shared size tie 24 → 5; shared size tie_depth 5 → 24")),
                "{what}: {said}"
            );
            if count > 3 {
                assert!(
                    said.contains(&bare(
                        "vee wheel 24, bore 6 (13 mm) instead of 4 × vee wheel 30, bore 5 (11 mm)"
                    )),
                    "{what}"
                );
            }
            // What fouls is named, and marginal gaps are not shown as clear.
            assert!(said.contains(&bare("rear tray, screw end · wall tie")), "{what}");
        }
    }
}

/// No figure of a trial that is marginal is in the colour of what is clear where its gap is told.
#[test]
fn what_is_marginal_is_not_green() {
    let (fixture, results, state) = compared(6);
    let page = &picture(view_named("compare").unwrap(), &fixture, &results, &state, &Dress::default())[0];
    let mut told = 0;
    for other in &state.others {
        let pair = other.results.interference.tightest().unwrap();
        if pair.outcome != Outcome::Marginal {
            continue;
        }
        let words = format!("marginal {}", length(pair.gap, 2));
        for (text, _) in texts(page).filter(|(text, _)| text.text == words) {
            told += 1;
            assert_eq!(text.tone, glidewright_sheet::Tone::Marginal, "{words}");
        }
    }
    assert!(told > 0);
}

/// Every hole's place and size stand in the table, counted from the lower left of the outline.
#[test]
fn the_plate_tells_where_every_hole_is() {
    let view = view_named("plate").unwrap();
    let mut counts = BTreeSet::new();
    for case in CASES.iter() {
        let Some(rider) = case.fixture.riders.iter().find(|rider| !rider.plates.is_empty()) else { continue };
        let lead = case.fixture.riders.iter().find(|r| r.coupling == glidewright_motion::Coupling::Lead);
        let rider = lead.filter(|lead| !lead.plates.is_empty()).unwrap_or(rider);
        let plate = &rider.plates[0];
        // Seen from outside: along the rail upwards or to the right.
        let upright = case.fixture.rail.stand.is_upright();
        let (drawn_up, lateral) = (rider.facing.drawn_up(), rider.facing.lateral());
        let sense = lateral.dot(drawn_up);
        let flat = |p: DVec2| {
            if upright { DVec2::new(-sense * p.y, p.x) } else { DVec2::new(p.x, sense * p.y) }
        };
        let low =
            Rect::round([plate.outline.bounds().low, plate.outline.bounds().high].map(flat)).unwrap().min;
        let page = &picture(view, &case.fixture, &case.results, &state_of(case), &Dress::default())[0];
        let table = |text: &TextInk| {
            page.inks.iter().any(|ink| {
                ink.name.as_deref() == Some("hole table")
                    && matches!(&ink.kind, InkKind::Text(own) if own == text)
            })
        };
        let cells: Vec<&TextInk> = texts(page).map(|(text, _)| text).filter(|text| table(text)).collect();
        let mut rows: Vec<Vec<&str>> = Vec::new();
        let mut level = f64::NAN;
        for cell in &cells {
            if cell.at.y != level {
                rows.push(Vec::new());
                level = cell.at.y;
            }
            rows.last_mut().unwrap().push(cell.text.as_str());
        }
        rows.retain(|row| row.first() != Some(&"x"));
        let number = |text: &str| text.replace('−', "-").parse::<f64>().unwrap();
        for hole in &plate.holes {
            let bounds = hole.bounds();
            let at = flat(bounds.centre()) - low;
            let near = |row: &&Vec<&str>| {
                row.len() >= 5 && (number(row[1]) - at.x).abs() < 6e-3 && (number(row[2]) - at.y).abs() < 6e-3
            };
            let row = rows.iter().find(near).unwrap_or_else(|| panic!("{}: {at} in {rows:?}", case.name));
            if let Some(diameter) = row[3].strip_prefix('Ø') {
                assert!((number(diameter) - bounds.size().x).abs() < 6e-3, "{}: {row:?}", case.name);
            }
            // Its letter stands in the drawing too.
            let letters = texts(page).filter(|(text, _)| text.text == row[0]).count();
            assert!(letters >= 2, "{}: {row:?}", case.name);
        }
        counts.insert(plate.holes.len());
    }
    assert!(counts.iter().any(|count| *count > 6), "{counts:?}");
}
