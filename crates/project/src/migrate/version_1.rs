//! Version 1, in which left and right were changed over.
//!
//! It differs from version 2 in what it calls left and right. There right was +y, now left is: what a viewer
//! before the front face with x up has at the left. It drew sections as seen from the rail's upper or right end,
//! now from the lower or left one, and the outlines of plates with the rail's y or z upwards whichever way the
//! plate looked, now as seen from outside. So words change over and drawings are turned round; no body moves.

use std::collections::{HashMap, HashSet};

use crate::comments::scan;
use crate::document::{
    Change, Document, FORMAT, Facing, Named, OutlinePart, Part, PartForm, PartsFile, Plate, RailPart, Rider,
};
use crate::edit::{negated, rewrite_paths, swap_words};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::ron_options::options;
use crate::shapes::mirrored;
use crate::size::{Formula, Size};
use crate::tolerance::Tolerance;

/// Reads a document of version 1 and brings it to the present format.
pub(super) fn read(text: &str) -> Result<(Document, Vec<Problem>), ron::error::SpannedError> {
    let mut document: Document = options().from_str(text)?;
    document.comments = scan(text);
    let mut notes = vec![
        Problem::note(
            "format",
            format!("the file has format 1; it was carried over to format {FORMAT}, which calls left and right what a viewer before the front face has there"),
        )
        .remedy("save it to keep the new format"),
    ];
    upgrade(&mut document, &mut notes);
    Ok((document, notes))
}

/// Brings a file of parts of version 1 to the present format.
pub(crate) fn upgrade_parts(file: &mut PartsFile) {
    for (_, section) in outlines(&mut file.parts) {
        upgrade_section(section);
    }
    file.comments.rename(&|path| renamed_track(path));
    file.format = FORMAT;
}

/// Brings a document of version 1 to the present format.
pub(super) fn upgrade(document: &mut Document, notes: &mut Vec<Problem>) {
    for (name, section) in outlines(&mut document.parts) {
        upgrade_section(section);
        let message = "sections are drawn from the rail's lower or left end: this one was turned round";
        notes.push(Problem::note(join("parts", name), message));
    }
    for measured in &mut document.measured {
        let Some((track, size)) = measured.size.strip_prefix("tracks/").and_then(|rest| rest.split_once('/'))
        else {
            continue;
        };
        match size {
            "at/along" => measured.readings.iter_mut().for_each(|reading| *reading = 0.0 - *reading),
            "faces" => measured.readings.iter_mut().for_each(|reading| *reading = 180.0 - *reading),
            _ => {}
        }
        measured.size = format!("tracks/{}/{size}", changed_over(track));
    }
    // What refers to wheels and shoes is told of their new names all at once: two may have changed places.
    let mut renames = Renames::default();
    for rider in &mut document.riders {
        upgrade_rider(rider, &mut renames, notes);
    }
    let renamed = |path: &str| renames.of(path).or_else(|| renamed_track(path));
    upgrade_trials(document, notes);
    rewrite_paths(document, &renamed);
    document.comments.rename(&renamed);
    keep(document, notes);
    document.format = FORMAT;
}

/// A name with left and right changed over.
fn changed_over(name: &str) -> String {
    swap_words(name, "left", "right")
}

fn outlines(parts: &mut [Part]) -> impl Iterator<Item = (&str, &mut OutlinePart)> {
    parts.iter_mut().filter_map(|part| match &mut part.form {
        PartForm::Rail(RailPart::Outline(section)) => Some((part.name.as_str(), section)),
        _ => None,
    })
}

fn upgrade_section(section: &mut OutlinePart) {
    turn_round(&mut section.d, true, false);
    for track in &mut section.tracks {
        track.name = changed_over(&track.name);
        negate(&mut track.at.0);
        complement(&mut track.faces.formula);
    }
}

/// A path that cannot be read is told of when it is used.
fn turn_round(data: &mut String, x: bool, y: bool) {
    if let Some(image) = mirrored(data, x, y) {
        *data = image;
    }
}

fn negate<K: crate::size::Kind>(size: &mut Size<K>) {
    size.formula = negated(&size.formula);
    match &mut size.tolerance {
        Some(Tolerance::Between(from, to)) => (*from, *to) = (0.0 - *to, 0.0 - *from),
        Some(Tolerance::Measured { readings, .. }) => {
            readings.iter_mut().for_each(|reading| *reading = 0.0 - *reading);
        }
        _ => {}
    }
}

/// What is left of half a turn (degrees).
fn complement(angle: &mut Formula) {
    *angle = match &*angle {
        Formula::Number(number) => Formula::Number(180.0 - number),
        Formula::Text(text) => Formula::Text(format!("180 - ({text})")),
    };
}

/// The path of a track, or of something in it, after the tracks of outlines have been renamed.
fn renamed_track(path: &str) -> Option<String> {
    let (before, after) = path.strip_prefix("parts/").and_then(|rest| rest.split_once("/tracks/"))?;
    let (track, rest) =
        after.split_once('/').map_or((after, ""), |(track, _)| (track, &after[track.len()..]));
    Some(format!("parts/{before}/tracks/{}{rest}", changed_over(track)))
}

/// New paths of wheels and shoes by their old ones, and which of them are pairs, whose wheels' names are made from
/// theirs.
#[derive(Default)]
struct Renames {
    paths: HashMap<String, (String, bool)>,
}

impl Renames {
    /// The path of what stood at `path`, if it is on a wheel or shoe that is named anew.
    fn of(&self, path: &str) -> Option<String> {
        // riders, the rider, wheels or shoes, the thing.
        let end = path.match_indices('/').nth(3).map_or(path.len(), |(at, _)| at);
        let (thing, rest) = path.split_at_checked(end)?;
        if let Some((new, _)) = self.paths.get(thing) {
            return Some(format!("{new}{rest}"));
        }
        let (pair, side) = thing.rsplit_once(' ')?;
        let (new, is_pair) = self.paths.get(pair)?;
        is_pair.then(|| format!("{new} {}{rest}", changed_over(side)))
    }
}

/// What a facing was called.
const fn facing_over(facing: Facing) -> Facing {
    match facing {
        Facing::Left => Facing::Right,
        Facing::Right => Facing::Left,
        other => other,
    }
}

/// Whether a plate that looks this way, by its present name, was drawn as seen from inside.
const fn was_seen_from_inside(facing: Facing) -> bool {
    matches!(facing, Facing::Rear | Facing::Left)
}

fn upgrade_rider(rider: &mut Rider, renames: &mut Renames, notes: &mut Vec<Problem>) {
    let base = join("riders", &rider.name);
    let mut told = Vec::new();
    let faces = facing_over(rider.faces);
    if faces != rider.faces {
        rider.faces = faces;
        told.push("the way it faces".to_owned());
    }
    let wheels: Vec<(String, String)> = rider
        .wheels
        .iter()
        .map(|place| (place.name.clone(), place.track.iter().chain(&place.pair).cloned().collect()))
        .collect();
    let shoes: Vec<_> = rider.shoes.iter().map(|shoe| (shoe.name.clone(), shoe.track.clone())).collect();
    let mut tracks = 0;
    for name in rider
        .wheels
        .iter_mut()
        .flat_map(|wheel| wheel.track.iter_mut().chain(&mut wheel.pair))
        .chain(rider.shoes.iter_mut().map(|shoe| &mut shoe.track))
    {
        let new = changed_over(name);
        tracks += u32::from(new != *name);
        *name = new;
    }
    if tracks > 0 {
        told.push("the tracks it runs on".to_owned());
    }
    let mut renamed = Vec::new();
    for (place, new) in rider.wheels.iter_mut().zip(new_names(&wheels)) {
        let is_pair = place.pair.is_some();
        rename(&mut place.name, new, &join(&base, "wheels"), is_pair, renames, &mut renamed);
    }
    for (shoe, new) in rider.shoes.iter_mut().zip(new_names(&shoes)) {
        rename(&mut shoe.name, new, &join(&base, "shoes"), false, renames, &mut renamed);
    }
    if !renamed.is_empty() {
        told.push(format!("the names {}", renamed.join(", ")));
    }
    if !told.is_empty() {
        let message = format!("left and right changed over in {}", told.join(" and "));
        notes.push(Problem::note(&base, message));
    }
    if was_seen_from_inside(rider.faces) {
        for plate in &mut rider.plates {
            if draws(plate) {
                turn_plate(plate);
                let message = "plates are drawn as seen from outside: its paths were turned round";
                notes.push(Problem::note(join(&join(&base, "plates"), &plate.name), message));
            }
        }
    }
}

/// Takes a thing's new name, and notes what follows from it for paths.
fn rename(
    name: &mut String,
    new: String,
    base: &str,
    is_pair: bool,
    renames: &mut Renames,
    renamed: &mut Vec<String>,
) {
    let changes = new != *name;
    let old = std::mem::replace(name, new);
    if changes {
        renamed.push(quoted(&old));
    }
    if changes || is_pair {
        renames.paths.insert(join(base, &old), (join(base, name), is_pair));
    }
}

/// New names for things with a name and a track each: the side is changed over in a name that says its track's.
/// All stay as they are when two would be called alike.
fn new_names(things: &[(String, String)]) -> Vec<String> {
    let new: Vec<String> = things
        .iter()
        .map(|(name, track)| {
            let says = |word: &str| track.split(' ').any(|known| known == word);
            let word = |word: &str| if says(word) { changed_over(word) } else { word.to_owned() };
            name.split(' ').map(word).collect::<Vec<_>>().join(" ")
        })
        .collect();
    let unlike = new.iter().collect::<HashSet<_>>().len() == new.len();
    if unlike { new } else { things.iter().map(|(name, _)| name.clone()).collect() }
}

/// Whether path data draws a plate or something on it.
fn draws(plate: &Plate) -> bool {
    let mut plate = plate.clone();
    let found = std::cell::Cell::new(false);
    each_drawing(&mut plate, &|_| found.set(true));
    found.get()
}

fn turn_plate(plate: &mut Plate) {
    each_drawing(plate, &|data| turn_round(data, false, true));
}

fn each_drawing(plate: &mut Plate, visit: &dyn Fn(&mut String)) {
    plate.outline.mirror(&|_| {}, visit);
    plate.features.iter_mut().for_each(|feature| feature.mirror(&|_| {}, visit));
}

/// Values that trials give to what has changed over; their paths follow afterwards.
fn upgrade_trials(document: &mut Document, notes: &mut Vec<Problem>) {
    let riders: HashMap<String, (Facing, bool)> = document
        .riders
        .iter()
        .map(|rider| (join("riders", &rider.name), (rider.faces, rider.plates.iter().any(draws))))
        .collect();
    for trial in &mut document.trials {
        for change in &mut trial.changes {
            match change {
                Change::Set { path, to } => {
                    if let Some(place) = path.strip_suffix("/faces")
                        && let Some((faces, drawn)) = riders.get(place)
                        && let Formula::Text(word) = to
                    {
                        *word = changed_over(word);
                        let inside = matches!(word.as_str(), "rear" | "left");
                        if *drawn && inside != was_seen_from_inside(*faces) {
                            let message = format!(
                                "{} draws its plates, and this turns it over: they are seen from outside now",
                                quoted(place)
                            );
                            notes.push(
                                Problem::warning(join("trials", &trial.name), message)
                                    .remedy("check the plates in this trial"),
                            );
                        }
                    } else if is_track(path, "at/along") {
                        *to = negated(to);
                    } else if is_track(path, "faces") {
                        complement(to);
                    }
                }
                Change::Shift { path, by } if is_track(path, "at/along") || is_track(path, "faces") => {
                    by.formula = negated(&by.formula);
                }
                _ => {}
            }
        }
    }
}

/// Whether a path leads to this size of a track of an outline.
fn is_track(path: &str, size: &str) -> bool {
    let of_track = path.strip_prefix("parts/").and_then(|rest| rest.split_once("/tracks/"));
    of_track.and_then(|(_, rest)| rest.split_once('/')).is_some_and(|(_, rest)| rest == size)
}

/// Names of other things that say left or right are a person's own: they stay, with a note.
fn keep(document: &Document, notes: &mut Vec<Problem>) {
    fn says<T: Named>(things: &[T]) -> impl Iterator<Item = String> {
        let sided = |name: &&str| name.split(' ').any(|word| matches!(word, "left" | "right"));
        things.iter().map(Named::name).filter(sided).map(quoted).collect::<Vec<_>>().into_iter()
    }
    let mut kept: Vec<String> = says(&document.obstacles).collect();
    for rider in &document.riders {
        kept.extend(says(&rider.bolts).chain(says(&rider.plates)).chain(says(&rider.loads)));
        kept.extend(says(&rider.points).chain(says(&rider.forces)));
    }
    if !kept.is_empty() {
        let message = format!("these names say left or right and were kept: {}", kept.join(", "));
        notes.push(Problem::note("", message).remedy("rename them if they mean a side of the rail"));
    }
}
