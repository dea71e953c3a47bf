//! Times what a drag must refresh, stage by stage, for the demos and the copy stand: `cargo bench -p glidewright-motion`.
//!
//! One core, medians, microseconds of processor time where the system tells it (Linux): a busy machine moves them
//! less. Ratios hold.
#![allow(clippy::print_stdout, reason = "the table is the output")]

use glidewright_samples::COPY_STAND;
use std::hint::black_box;
use std::time::Instant;

use glidewright_geometry::{DVec3, Pose};
use glidewright_motion::loads::{LoadCase, Motion, Trail, Wrench, force_at};
use glidewright_motion::{
    Assembly, Detail, Fixture, Interference, InterferenceCache, Looks, RiderResults, STATIONS, TravelCurves,
    analyse, analyse_quickly, analyse_with, gravity,
};
use glidewright_project as project;

/// As in the program itself.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// Microseconds this thread has had a processor; plain time where that is not told.
fn microseconds(begin: &Instant) -> f64 {
    std::fs::read_to_string("/proc/thread-self/schedstat")
        .ok()
        .and_then(|text| text.split_whitespace().next()?.parse::<f64>().ok())
        .map_or_else(|| begin.elapsed().as_secs_f64() * 1e6, |nanoseconds| 1e-3 * nanoseconds)
}

/// Median microseconds of a call, over `rounds` batches of 100 ms and more: the system counts a thread's time every
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
                if passed > 100_000.0 {
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
        ("what a viewer sees of the riders", median(rounds, || Looks::of(&fixture, &assembly))),
        ("the whole analysis", median(rounds, || analyse(&fixture))),
        (
            "resolve and whole analysis, from nothing",
            median(rounds, || project::resolve(document, None).fixture.map(|f| analyse(&f))),
        ),
    ];
    for (what, time) in rows {
        println!("  {what:<52} {time:>9.0} µs");
    }
    for (what, dragged) in DRAGS {
        let [quick, whole] =
            [Detail::Quick, Detail::Whole].map(|detail| 1e-3 * refreshed(document, dragged, detail));
        let said = if quick <= GOAL { "met" } else { "NOT MET" };
        println!(
            "  a drag's refresh: {what:<34} {quick:>9.2} ms    <= {GOAL} ms  {said}; in full {whole:.2} ms"
        );
    }
}

/// What everything that follows a hand may take on one core, median (ms).
const GOAL: f64 = 4.0;

/// A way of dragging: what it makes of a fixture, the further the greater the shift (mm).
type Drag = fn(&mut Fixture, f64);

/// The first load lifted, which tilts its rider anew; a wheel moved along, with all that is on its screw; the whole first
/// rider shifted, which changes every pair it has.
const DRAGS: [(&str, Drag); 3] = [
    ("a load is lifted", |fixture, shift| {
        let up = Pose { shift: DVec3::new(0.0, 0.0, shift), ..Pose::IDENTITY };
        for load in fixture.riders.iter_mut().flat_map(|rider| &mut rider.loads).take(1) {
            load.centre += up.shift;
            load.solids.iter_mut().for_each(|solid| *solid = solid.placed(&up));
        }
    }),
    ("a wheel is moved along", |fixture, shift| {
        for wheel in fixture.riders.iter_mut().flat_map(|rider| &mut rider.wheels).take(1) {
            wheel.along += shift;
        }
    }),
    ("a rider is shifted", |fixture, shift| {
        if let Some(rider) = fixture.riders.first_mut() {
            rider.at_zero += shift;
        }
    }),
];

/// Microseconds of one refresh in a drag of many, each a little further: resolved, solved, checked and all, with what the
/// last refresh left to go on from; as a hand is followed, or in full.
fn refreshed(document: &project::document::Document, drag: Drag, detail: Detail) -> f64 {
    let mut kept = InterferenceCache::default();
    let mut step = 0;
    median(9, || {
        step = (step + 1) % 7;
        let resolved = match detail {
            Detail::Quick => project::resolve_quickly(document, None, None),
            Detail::Whole => project::resolve(document, None),
        };
        resolved.fixture.map(|mut fixture| {
            drag(&mut fixture, 0.3 * f64::from(step));
            match detail {
                Detail::Quick => analyse_quickly(&fixture, &mut kept, None),
                Detail::Whole => analyse_with(&fixture, &mut kept),
            }
        })
    })
}

/// The solver alone: cold, warm-started along a load that changes, and with nothing changed.
fn solver() {
    let Ok(document) = project::parse(COPY_STAND) else { return };
    let Some(fixture) = project::resolve(&document, None).fixture else { return };
    let assembly = Assembly::new(&fixture);
    let mut case = LoadCase::new(&fixture, &assembly, 0);
    let down = gravity(&fixture);
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
    let fixtures = [
        ("Seedling lift", project::demo_text()),
        ("Sample shuttle", project::sample_shuttle_text()),
        ("Copy stand", COPY_STAND),
    ];
    for (name, text) in fixtures {
        match project::parse(text) {
            Ok(document) => refresh(name, &document),
            Err(problems) => println!("{name}: {problems:?}"),
        }
    }
    solver();
}
