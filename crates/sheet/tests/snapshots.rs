//! Every view of both demos (an upright rail and a lying one), in light and dark, against a small picture of how it
//! looked when somebody last looked at it. The program's own typefaces are in it, so it looks the same on every
//! machine; it is small and compared with some tolerance, so that only what one would see counts.
//!
//! `GLIDEWRIGHT_SNAPSHOTS=write` writes them anew: look at each that changed before keeping it.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_samples::COPY_STAND;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use glidewright_motion::{Fixture, Results, analyse};
use glidewright_project::{parse, resolve, sample_shuttle_text};
use glidewright_sheet::views::{Other, VIEWS, ViewState};
use glidewright_sheet::{DVec2, PngOptions, Theme, png};

/// How many pixels of the picture go into one of the snapshot, each way.
const BLOCK: usize = 8;
/// Size of a snapshot (pixels).
const SIZE: (usize, usize) = (72, 48);
/// How much one pixel may differ, and all of them on average (of 255).
const ONE: f64 = 40.0;
const MEAN: f64 = 1.2;

/// A small picture: the mean of each block.
#[derive(Clone, PartialEq)]
struct Small(Vec<u8>);

fn decoded(bytes: &[u8]) -> (usize, usize, Vec<u8>) {
    let mut reader = ::png::Decoder::new(std::io::Cursor::new(bytes)).read_info().unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, ::png::ColorType::Rgb);
    (info.width as usize, info.height as usize, pixels)
}

impl Small {
    fn of(picture: &[u8]) -> Self {
        let (width, height, pixels) = decoded(picture);
        assert_eq!((width, height), (SIZE.0 * BLOCK, SIZE.1 * BLOCK));
        let mut small = Vec::with_capacity(SIZE.0 * SIZE.1 * 3);
        for row in 0..SIZE.1 {
            for column in 0..SIZE.0 {
                for channel in 0..3 {
                    let at = |x: usize, y: usize| {
                        let (x, y) = (column * BLOCK + x, row * BLOCK + y);
                        usize::from(pixels[(y * width + x) * 3 + channel])
                    };
                    let sum: usize = (0..BLOCK * BLOCK).map(|i| at(i % BLOCK, i / BLOCK)).sum();
                    small.push(u8::try_from(sum / (BLOCK * BLOCK)).unwrap());
                }
            }
        }
        Self(small)
    }

    fn read(file: &Path) -> Option<Self> {
        let (width, height, pixels) = decoded(&std::fs::read(file).ok()?);
        ((width, height) == SIZE).then_some(Self(pixels))
    }

    fn write(&self, file: &Path) {
        let out = std::fs::File::create(file).unwrap();
        let mut encoder = ::png::Encoder::new(out, SIZE.0 as u32, SIZE.1 as u32);
        encoder.set_color(::png::ColorType::Rgb);
        encoder.set_compression(::png::Compression::High);
        encoder.write_header().unwrap().write_image_data(&self.0).unwrap();
    }

    /// The greatest and the mean difference.
    fn difference(&self, other: &Self) -> (f64, f64) {
        let all: Vec<f64> =
            self.0.iter().zip(&other.0).map(|(a, b)| (f64::from(*a) - f64::from(*b)).abs()).collect();
        (all.iter().copied().fold(0.0, f64::max), all.iter().sum::<f64>() / all.len() as f64)
    }
}

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/snapshots")
}

#[test]
fn every_view_looks_as_it_did() {
    let writes = std::env::var("GLIDEWRIGHT_SNAPSHOTS").is_ok_and(|wish| wish == "write");
    let failed_into = std::env::temp_dir().join("glidewright-snapshots");
    let mut wrong = Vec::new();
    let mut count = 0;
    for (stand, text) in [("upright", COPY_STAND), ("lying", sample_shuttle_text())] {
        let document = parse(text).unwrap();
        let made = |trial: Option<&str>| -> (Arc<Fixture>, Arc<Results>) {
            let fixture = resolve(&document, trial).fixture.unwrap();
            let results = analyse(&fixture);
            (Arc::new(fixture), Arc::new(results))
        };
        let (fixture, results) = made(None);
        let other = document.trials.first().map(|trial| {
            let (fixture, results) = made(Some(&trial.name));
            Other { name: trial.name.clone(), fixture, results, extras: Arc::default() }
        });
        let stroke = fixture.stroke;
        let state = ViewState {
            size_pt: DVec2::new(960.0, 640.0),
            travel: stroke.from + 0.41 * (stroke.to - stroke.from),
            others: other.into_iter().collect(),
            ..ViewState::default()
        };
        for view in VIEWS {
            let page = view.drawing(&fixture, &results, &state).page();
            for (paper, theme) in [("light", Theme::light()), ("dark", Theme::dark())] {
                let picture = png(&page, &theme, PngOptions { width_px: (SIZE.0 * BLOCK) as u32 }).unwrap();
                let now = Small::of(&picture);
                let name = format!("{}-{stand}-{paper}.png", view.name);
                let file = folder().join(&name);
                count += 1;
                if writes {
                    std::fs::create_dir_all(folder()).unwrap();
                    now.write(&file);
                    continue;
                }
                let Some(before) = Small::read(&file) else {
                    wrong.push(format!("{name}: no snapshot"));
                    continue;
                };
                let (one, mean) = now.difference(&before);
                if one > ONE || mean > MEAN {
                    std::fs::create_dir_all(&failed_into).unwrap();
                    std::fs::write(failed_into.join(&name), &picture).unwrap();
                    wrong.push(format!("{name}: {one:.0} at most, {mean:.2} on average"));
                }
            }
        }
    }
    assert!(count >= 40, "{count} pictures");
    assert!(wrong.is_empty(), "not as before (pictures in {}): {wrong:#?}", failed_into.display());
}

/// A snapshot that could not fail would be worth nothing: leaving one thing out is seen.
#[test]
fn a_change_is_seen() {
    let document = parse(COPY_STAND).unwrap();
    let fixture = resolve(&document, None).fixture.unwrap();
    let results = analyse(&fixture);
    let bench = &VIEWS[0];
    let small = |state: &ViewState| {
        let page = bench.drawing(&fixture, &results, state).page();
        Small::of(&png(&page, &Theme::light(), PngOptions { width_px: (SIZE.0 * BLOCK) as u32 }).unwrap())
    };
    let state = ViewState { size_pt: DVec2::new(960.0, 640.0), travel: 150.0, ..ViewState::default() };
    let before = small(&state);
    assert_eq!(before.difference(&small(&state)), (0.0, 0.0));
    let moved = small(&ViewState { travel: 190.0, ..state.clone() });
    let (one, mean) = before.difference(&moved);
    assert!(one > ONE || mean > MEAN, "riders elsewhere: {one}, {mean}");
    let fewer = small(&ViewState { strips: state.strips[..2].to_vec(), ..state });
    let (one, mean) = before.difference(&fewer);
    assert!(one > ONE || mean > MEAN, "fewer strips: {one}, {mean}");
}
