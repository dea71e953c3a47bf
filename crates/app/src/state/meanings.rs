//! What each field means, in the words of the handbook's page on the project file: one place for each fact.

use std::collections::HashMap;
use std::sync::OnceLock;

const PAGE: &str = include_str!("../../../../assets/handbook/project-file.md");

/// A field's meaning, for the reader; nothing for what the page has no row of.
pub fn meaning(path: &str) -> Option<String> {
    let steps: Vec<&str> = path.split('/').collect();
    let last = *steps.last()?;
    let row = |table: (&str, usize), field: &str| known().get(&(table.0, table.1, field)).cloned();
    let in_parts = |field: &str| part_size(field).map(str::to_owned).or_else(|| row(PART, field));
    match steps.as_slice() {
        [.., "x"] => Some("Along the rail, growing with travel".to_owned()),
        ["riders", _, "loads" | "grip" | "points" | "forces" | "shoes", .., "y"] | ["obstacles", .., "y"] => {
            Some(
                "Across the rail: to the left, seen from before its front face with travel upwards"
                    .to_owned(),
            )
        }
        ["obstacles", .., "z"] => Some("Out of the rail's front face, from its middle".to_owned()),
        [.., "z"] => Some("Out of the plate it stands on, or out from the rail's middle".to_owned()),
        ["obstacles" | "riders", .., "bodies", _, field]
        | ["obstacles" | "riders", .., "bodies", _, _, field] => {
            let rows = row(BODY, field).or_else(|| row(TURNED, field));
            rows.or_else(|| body(field)).or_else(|| outline(field))
        }
        ["rail", "supports", _] => row(("rail", 0), "supports"),
        ["rail", field] | ["rail", "stand", field] => row(("rail", 0), field),
        ["stroke" | "limits", field] => row(("stroke, limits", 0), field),
        ["riders", _, "stack", field] => row(STACK, field).or_else(|| piece(last)),
        ["riders", _, "wheels" | "bolts", _, "stack", field] => row(STACK, field).or_else(|| piece(last)),
        ["riders", _, .., "stack", _, field] => row(PIECE, field),
        ["riders", _, "wheels", _, field] => row(("A rider", 1), field),
        ["riders", _, "bolts", _, "at", field] => spot(field),
        ["riders", _, "shoes", _, field] => row(("A rider", 2), field),
        ["riders", _, "loads", _, "reach", field] => reach(field),
        ["riders", _, "loads", _, field] => row(("A rider", 3), field),
        ["riders", _, "forces", _, field] => row(("A rider", 4), field),
        ["riders", _, "plates", _, "features", .., field]
        | ["riders", _, "plates", _, "outline", .., field] => spot(field).or_else(|| outline(field)),
        ["riders", _, "plates", _, field] => row(("A plate", 0), field),
        ["riders", _, "moves", field] => moves(field),
        ["riders", _, field] => row(("A rider", 0), field),
        ["obstacles", _, field] => row(("Bodies and obstacles", 2), field),
        ["line", "nodes", _, "at", field] => spot(field),
        ["line", "nodes", _, "part"] => Some("The pulley or roller".to_owned()),
        ["line", "nodes", _, "turn"] => {
            Some("Which way the line turns round it, walked from its first clamp".to_owned())
        }
        ["line", "nodes", _, "tail"] => {
            Some("How much of the line stands beyond the clamp, held in it".to_owned())
        }
        ["line", "plane", _] => Some("Where the plane stands that the line runs in".to_owned()),
        ["line", field] => row(("The line", 0), field),
        ["drive", .., field] => row(("drive, resistance", 0), field),
        ["resistance", field] => row(("drive, resistance", 1), field),
        ["pulls", _, field] => row(("Measured pulls", 0), field),
        ["parts", _, .., field] => in_parts(field),
        ["materials", _, field] => material(field),
        ["sizes", _] => Some("A size that others refer to by its name".to_owned()),
        _ => None,
    }
}

const STACK: (&str, usize) = ("A stack", 0);
const PIECE: (&str, usize) = ("A stack", 1);
const PART: (&str, usize) = ("Parts", 0);
const BODY: (&str, usize) = ("Bodies and obstacles", 0);
const TURNED: (&str, usize) = ("Bodies and obstacles", 1);

fn body(field: &str) -> Option<String> {
    let words = match field {
        "diameter" => "Diameter",
        "from_diameter" => "Diameter at its first end",
        "to_diameter" => "Diameter at its other end",
        _ => return None,
    };
    Some(words.to_owned())
}

fn piece(kind: &str) -> Option<String> {
    // A piece is written by its kind; with a number where there are several.
    let kind = kind.trim_end_matches(|c: char| c.is_ascii_digit() || c == ' ');
    Some(format!("The part that is the {kind}"))
}

fn spot(field: &str) -> Option<String> {
    let words = match field {
        "along" => "Along the rail",
        "across" => "Across the rail",
        _ => return None,
    };
    Some(words.to_owned())
}

fn reach(field: &str) -> Option<String> {
    let words = match field {
        "from" => "The least it is drawn out",
        "to" => "The farthest it is drawn out",
        "at" => "How far it is drawn out now",
        _ => return None,
    };
    Some(words.to_owned())
}

fn moves(field: &str) -> Option<String> {
    let words = match field {
        "ratio" => "Its travel for each millimetre of the lead's: 1 runs with it, −1 against it",
        "from" => "The least of its own travel",
        "to" => "The greatest of its own travel",
        "at" => "Where on its own travel it stands now",
        _ => return None,
    };
    Some(words.to_owned())
}

fn outline(field: &str) -> Option<String> {
    let words = match field {
        "margin" => "From the axles to the plate's edge",
        "corner" => "Radius of the corners",
        "width" => "Extent across the rail",
        "length" => "Extent along the rail",
        "height" => "How far it stands out of the plate",
        "depth" => "How deep it goes into the plate",
        "diameter" => "Diameter of the hole or disc",
        "web" => "Width of what joins the bosses",
        "boss" => "Diameter of the boss round each axle",
        "fillet" => "Radius where web and boss meet",
        "groove" => "Width of the groove the line lies in",
        "packing" => "Share of the pocket that its fill takes up",
        _ => return None,
    };
    Some(words.to_owned())
}

fn material(field: &str) -> Option<String> {
    let words = match field {
        "density" => "Mass for its volume",
        "youngs" => "How stiff it is: stress for strain",
        "poisson" => "How much it narrows as it is stretched",
        "allowable_pressure" => "Contact pressure it may bear for long",
        "strength" => "Stress at which it yields or breaks",
        "expansion" => "How much it grows as it warms: millionths of its length per kelvin",
        _ => return None,
    };
    Some(words.to_owned())
}

fn part_size(field: &str) -> Option<&'static str> {
    Some(match field {
        "hole" => "Diameter of its hole",
        "outer" => "Outer diameter",
        "thickness" => "Thickness",
        "diameter" => "Diameter; of a screw or nut that of its thread",
        "pitch" => "Pitch of the thread, or of the teeth along the belt",
        "flats" => "Width across flats",
        "height" => "Height along the screw",
        "head_size" => "Diameter of the head, or its width across flats",
        "head_height" => "Height of the head",
        "thread_length" => "Length of its thread from the tip",
        "threaded_to_head" => "Screws up to this length are threaded to the head",
        "length" => "Extent along the screw",
        "offset" => "How far the axle stands off the hole's middle",
        "boss" => "Diameter of what sits in the plate's hole",
        "width" => "Width",
        "hub" => "Width of the hub along the axle, bearings and all",
        "tip" => "Width of the flat at the greatest diameter",
        "half_angle" => "Angle of a flank against the wheel's or groove's middle plane",
        "radius" => "Radius of the running profile",
        "bearings" => "How many bearings it has",
        "bearing" => "The bearing it runs on",
        "bore" => "Diameter of the bore",
        "no_load_torque" => "Torque it takes to turn without load",
        "mass_per_length" => "Mass of a metre",
        "working_pull" => "Pull it may bear for long",
        "teeth" => "Number of teeth",
        "inertia" => "Moment of inertia about its axle",
        _ => return None,
    })
}

/// Rows of the page's tables: heading, number of the table below it, field; and what they say.
fn known() -> &'static HashMap<(&'static str, usize, &'static str), String> {
    static KNOWN: OnceLock<HashMap<(&'static str, usize, &'static str), String>> = OnceLock::new();
    KNOWN.get_or_init(|| {
        let mut known = HashMap::new();
        let (mut heading, mut tables) = ("", 0);
        let mut lines = PAGE.lines().peekable();
        while let Some(line) = lines.next() {
            if line.starts_with('#') {
                (heading, tables) = (line.trim_start_matches('#').trim(), 0);
            } else if line.starts_with("| field") {
                lines.next();
                while let Some(row) = lines.next_if(|line| line.starts_with('|')) {
                    let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
                    if let [field, what, _, default, ..] = cells.as_slice() {
                        known.insert((heading, tables, field.trim_matches('`')), said(what, default));
                    }
                }
                tables += 1;
            }
        }
        known
    })
}

/// A row's words without the marks of the page.
fn said(what: &str, default: &str) -> String {
    let plain = |text: &str| text.replace(['`', '*'], "");
    let mut words = plain(what);
    if let Some(first) = words.chars().next() {
        words.replace_range(..first.len_utf8(), &first.to_uppercase().to_string());
    }
    match default {
        "must stand" | "" => words,
        _ => format!("{words}\nLeft open: {}", plain(default)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use glidewright_samples::COPY_STAND;

    #[test]
    fn every_field_of_the_demos_means_something() {
        for text in [COPY_STAND, glidewright_project::demo_text(), glidewright_project::sample_shuttle_text()]
        {
            let document = glidewright_project::parse(text).unwrap();
            let mut silent = Vec::new();
            document.visit(&mut |path, _| {
                if meaning(path).is_none_or(|words| words.len() < 5) {
                    silent.push(path.to_owned());
                }
            });
            assert!(silent.is_empty(), "{silent:#?}");
        }
        let press = meaning("riders/a/wheels/upper/press").unwrap();
        assert!(
            press.starts_with("How much closer to the rail") && press.ends_with("Left open: 0"),
            "{press}"
        );
    }
}
