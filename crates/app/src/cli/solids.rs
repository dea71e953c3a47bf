//! `solids`: every body at its place as STL, for checking with other programs.

use std::path::{Path, PathBuf};

use glidewright_geometry::DVec3;
use glidewright_motion::{Body, BodyId, Owner, rider_x};
use glidewright_project::store::Store;
use glidewright_sheet::{body_meshes, stl};
use serde_json::{Value, json};

use super::load::{Loaded, load, refuse};
use super::output::{Console, Outcome};
use super::travel;

/// Arguments of `solids`.
#[derive(clap::Args)]
pub struct Arguments {
    /// The project
    file: Option<PathBuf>,
    /// Travel of the lead rider (mm)
    #[arg(long, value_name = "MM", allow_negative_numbers = true)]
    at: f64,
    /// The folder to write to; it is made if it isn't there
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// The trial to write instead of the fixture as drawn
    #[arg(long, value_name = "NAME")]
    trial: Option<String>,
}

/// Greatest distance of a mesh from the body it lies within (mm).
const TOLERANCE: f64 = 0.01;

/// Runs `solids`.
pub fn run(arguments: &Arguments, console: &mut Console<'_>) -> Outcome {
    let file = arguments.file.as_deref();
    let loaded = match load(file, arguments.trial.as_deref()) {
        Ok(loaded) => loaded,
        Err(problems) => return refuse(console, "solids", file, None, false, &problems),
    };
    let travel = match travel::within(loaded.fixture.stroke, arguments.at) {
        Ok(travel) => travel,
        Err(message) => {
            console.error(&message);
            return Outcome::Unusable;
        }
    };
    match write(&loaded, travel, &arguments.out) {
        Ok(count) => {
            console.print(&format!("{count} files and index.json in {}\n", arguments.out.display()));
            Outcome::Good
        }
        Err(message) => {
            console.error(&message);
            Outcome::Unusable
        }
    }
}

fn write(loaded: &Loaded, travel: f64, folder: &Path) -> Result<usize, String> {
    let mut files: Vec<(String, Vec<u8>)> = Vec::new();
    let mut entries: Vec<Value> = Vec::new();
    let assembly = &loaded.results.assembly;
    for (number, body) in assembly.bodies.iter().enumerate() {
        let (rider, x) = match body.owner {
            Owner::Ground => (None, 0.0),
            Owner::Rider(rider) => {
                (loaded.fixture.riders.get(rider), rider_x(&loaded.fixture, rider, travel))
            }
        };
        let solids = assembly.solids_at(&loaded.fixture, BodyId(number as u32), travel);
        let standing = Body { solids: solids.into_owned(), ..body.clone() };
        let meshes = body_meshes(&loaded.fixture, &standing, TOLERANCE)
            .map_err(|error| format!("no mesh of {}: {error}", body.label))?;
        for (piece, mut mesh) in meshes.into_iter().enumerate() {
            for corner in &mut mesh.corners {
                *corner += DVec3::X * x;
            }
            let suffix = if piece == 0 { String::new() } else { format!("-{}", piece + 1) };
            let file = format!("{number:03}-{}{suffix}.stl", file_name(&body.label));
            files.push((file.clone(), stl(&mesh)));
            entries.push(json!({
                "file": file,
                "rider": rider.map(|r| &r.name),
                "part": body.label,
                "role": body.role.word(),
                "path": body.path,
                "piece": piece,
                "volume_mm3": mesh.volume(),
            }));
        }
    }
    let count = entries.len();
    let index = json!({
        "contract": "glidewright.solids/1",
        "fixture": loaded.fixture.name,
        "trial": loaded.trial,
        "travel_mm": travel,
        "unit": "mm",
        "greatest_error_mm": TOLERANCE,
        "error_side": "meshes lie within the bodies; volume_mm3 is the mesh's",
        "nuts_and_hexagon_heads": "as the cylinder over their corners: they may end at any angle",
        "solids": entries,
    });
    files.push(("index.json".to_owned(), format!("{index:#}\n").into_bytes()));
    // All of them, or none: a folder half written would be taken for the whole.
    Store::disk().write_all(folder, &files).map_err(|error| format!("{error}; {}", error.remedy()))?;
    Ok(count)
}

/// Letters, digits and dashes of a label, not too long for any file system.
fn file_name(label: &str) -> String {
    const LONGEST: usize = 60;
    let mut name = String::new();
    for c in label.chars().flat_map(char::to_lowercase) {
        if c.is_ascii_alphanumeric() {
            name.push(c);
        } else if !name.ends_with('-') && !name.is_empty() {
            name.push('-');
        }
        if name.len() >= LONGEST {
            break;
        }
    }
    name.trim_end_matches('-').to_owned()
}
