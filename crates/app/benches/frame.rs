//! Time of a frame, by the clock, while something is dragged, painting by the graphics system excluded: the window's
//! own code (panels, drawings, edits, analysis where it runs at once), without a screen, at 1280 × 800.
//!
//! Peer: the same window when nothing changes, which only paints kept shapes again. `cargo bench -p glidewright`
//! prints median and 95th percentile; with `--test` each case runs a few frames only, so that it cannot rot.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "a bench may stop and prints"
)]

use std::path::PathBuf;

use egui::{Pos2, Vec2, vec2};
use egui_kittest::Harness;
use glidewright::{App, Preferences};

fn window(file: Option<PathBuf>) -> Harness<'static, App> {
    let mut harness = Harness::builder()
        .with_max_steps(40)
        .with_size(Vec2::new(1280.0, 800.0))
        .build_eframe(move |creation| App::new(&creation.egui_ctx, file, Preferences::default(), None));
    harness.run();
    harness
}

/// Holds at `from` and moves to and fro along `by`; median and 95th percentile of a frame (ms).
fn drag(harness: &mut Harness<'_, App>, from: Pos2, by: Vec2, frames: usize) -> (f64, f64) {
    harness.hover_at(from);
    harness.step();
    harness.drag_at(from);
    harness.step();
    harness.state_mut().forget_frame_times();
    for frame in 0..frames {
        let share = 0.5 - 0.5 * (frame as f32 * 0.1).cos();
        harness.hover_at(from + by * share);
        harness.step();
    }
    let figures = harness.state().frame_times().expect("frames");
    harness.drop_at(from);
    harness.run();
    figures
}

fn main() {
    let frames = if std::env::args().any(|argument| argument == "--test") { 5 } else { 240 };
    let stand = std::env::temp_dir().join(format!("glidewright-bench-stand-{}.ron", std::process::id()));
    std::fs::write(&stand, glidewright_samples::COPY_STAND).unwrap();
    let shuttle = std::env::temp_dir().join(format!("glidewright-bench-{}.ron", std::process::id()));
    std::fs::write(&shuttle, glidewright_project::sample_shuttle_text()).unwrap();
    let cases = [
        ("copy stand", Some(stand.clone()), "riders/camera head/loads/camera", vec2(0.0, -120.0)),
        ("sample shuttle", Some(shuttle.clone()), "obstacles/near stop", vec2(60.0, 0.0)),
    ];
    println!("frame, ms: median / 95 %, {frames} frames, 1280 x 800, painting excluded");
    for (name, file, moved, along) in cases {
        let mut harness = window(file);
        harness.state_mut().forget_frame_times();
        for _ in 0..frames {
            harness.step();
        }
        let still = harness.state().frame_times().expect("frames");
        let travel = harness.state().state().travel;
        // A little way in: the very edge of the drawing belongs to the panel beside it.
        let aside = 14.0 * vec2(along.y.abs(), along.x.abs()).normalized();
        let cursor = harness.state().place_of_travel(travel).expect("an axis") + aside;
        let rider = drag(&mut harness, cursor, along, frames);
        harness.state_mut().select(moved);
        harness.run();
        let handle = harness.state().handles().first().copied().expect("a handle");
        let size = drag(&mut harness, handle, along * 0.3, frames);
        let took = harness.state().state().session.took().as_secs_f64() * 1e3;
        for (what, (median, high)) in [("still", still), ("rider dragged", rider), ("something moved", size)]
        {
            let ratio = median / still.0.max(1e-6);
            println!("{name:>15}, {what:<15} {median:7.2} / {high:7.2}   {ratio:6.1} x still");
        }
        println!("{name:>15}, analysis alone  {took:7.2}");
    }
    std::fs::remove_file(&shuttle).unwrap();
}
