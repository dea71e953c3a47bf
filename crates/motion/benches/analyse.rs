//! Times what a drag must refresh, stage by stage, for both demos: `cargo bench -p glidewright-motion`.
//!
//! One core, medians, microseconds of processor time where the system tells it (Linux): a busy machine moves them
//! less. Ratios hold.
#![allow(clippy::print_stdout, reason = "the table is the output")]

use std::hint::black_box;
use std::time::Instant;

use glidewright_motion::loads::{LoadCase, Motion, Trail, Wrench, force_at};
use glidewright_motion::{
    Assembly, Fixture, Interference, RiderResults, STATIONS, TravelCurves, analyse, forces,
};
use glidewright_project as project;

/// Microseconds this thread has had a processor; plain time where that is not told.
fn microseconds(begin: &Instant) -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok())
        .map_or_else(|| begin.elapsed().as_secs_f64() * 1e6, |nanoseconds| 1e-3 * nanoseconds)
}

/// Median microseconds of a call, over `rounds` batches of 20 ms and more: the system counts a thread's time every
/// few milliseconds.
fn median<T>(rounds: usize, mut run: impl FnMut() -> T) -> f64 {
    let begin = Instant::now();
    let mut times: Vec<f64> = (0..rounds)
        .map(|_| {
            let start = microseconds(&begin);
            let mut calls = 0.0;
            loop {
                black_box(run());
                calls += 1.0;
                let passed = microseconds(&begin) - start;
                if passed > 20_000.0 {
                    return passed / calls;
                }
            }
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn standing(fixture: &Fixture, assembly: &Assembly, curves: &TravelCurves) -> Vec<RiderResults> {
    (0..fixture.riders.len()).map(|number| RiderResults::new(fixture, assembly, number, curves)).collect()
}

fn refresh(name: &str, document: &project::document::Document) {
    let Some(fixture) = project::resolve(document, None).fixture else {
        println!("{name}: cannot be resolved");
        return;
    };
    let assembly = Assembly::new(&fixture);
    let step = fixture.stroke.length() / (STATIONS - 1) as f64;
    let stations: Vec<f64> = (0..STATIONS).map(|i| fixture.stroke.from + step * i as f64).collect();
    let curves = TravelCurves::new(&fixture, &assembly, &stations);
    let riders = standing(&fixture, &assembly, &curves);
    let level = vec![RiderResults::default(); riders.len()];
    let rounds = 9;
    println!("\n{name}: {} bodies, {STATIONS} stations", assembly.bodies.len());
    let rows = [
        ("resolve the document", median(rounds, || project::resolve(document, None))),
        ("place everything", median(rounds, || Assembly::new(&fixture))),
        (
            "loads, resistance, effort at every station",
            median(rounds, || TravelCurves::new(&fixture, &assembly, &stations)),
        ),
        (
            "how the riders stand: sag, play, preload",
            median(rounds, || standing(&fixture, &assembly, &curves)),
        ),
        (
            "interference, riders level",
            median(rounds, || Interference::new(&fixture, &assembly, &stations, &level)),
        ),
        (
            "interference, level and as loaded, with tolerances",
            median(rounds, || Interference::new(&fixture, &assembly, &stations, &riders)),
        ),
        ("the whole analysis", median(rounds, || analyse(&fixture))),
        (
            "resolve and whole analysis: a drag's refresh",
            median(rounds, || project::resolve(document, None).fixture.map(|f| analyse(&f))),
        ),
    ];
    for (what, time) in rows {
        println!("  {what:<52} {time:>9.0} µs");
    }
}

/// The solver alone: cold, warm-started along a load that changes, and with nothing changed.
fn solver() {
    let Ok(document) = project::demo() else { return };
    let Some(fixture) = project::resolve(&document, None).fixture else { return };
    let assembly = Assembly::new(&fixture);
    let mut case = LoadCase::new(&fixture, &assembly, 0);
    let down = forces::gravity(&fixture);
    let mut weight = Wrench::default();
    for item in assembly.riders.first().map_or(&[][..], |placed| &placed.mass.items) {
        weight += force_at(down * item.mass, item.centre);
    }
    let wrenches: Vec<_> = (0..STATIONS)
        .map(|i| {
            let mut wrench = weight;
            wrench.moment.y *= 1.0 + 0.5 * (i as f64 / STATIONS as f64 * std::f64::consts::TAU).sin();
            wrench
        })
        .collect();
    let each = |time: f64| time / STATIONS as f64;
    let cold = each(median(9, || {
        wrenches.iter().map(|w| case.loads(w).equilibrium.motion).fold(Motion::default(), |_, m| m)
    }));
    let warm = each(median(9, || {
        let mut trail = Trail::default();
        wrenches
            .iter()
            .map(|w| case.following(w, &mut trail).equilibrium.motion)
            .fold(Motion::default(), |_, m| m)
    }));
    println!(
        "\nSolver, {} contacts with their stiffness at the load, a load that changes from station to station",
        case.contacts().len()
    );
    println!("  cold {cold:.2} µs, warm-started {warm:.2} µs a station: cold / warm = {:.1}", cold / warm);
}

fn main() {
    // Under `cargo test` benches only have to run.
    for (name, text) in
        [("Copy stand", project::demo_text()), ("Sample shuttle", project::sample_shuttle_text())]
    {
        match project::parse(text) {
            Ok(document) => refresh(name, &document),
            Err(problems) => println!("{name}: {problems:?}"),
        }
    }
    solver();
}
