//! Parts between a project and a person's own library.

use std::collections::HashSet;

use super::add::too_many;
use super::{EditResult, Edited};
use crate::document::{Document, Material, Measured, Named, Part, PartForm, PartsFile, Stocked};
use crate::problem::{Problem, quoted};
use crate::readings::join_readings;
use crate::suggest::suggestion;
use crate::tables::built_in;

/// Where parts are looked up.
trait Shelf {
    fn parts(&self) -> &[Part];
    fn materials(&self) -> &[Material];
}

impl Shelf for Document {
    fn parts(&self) -> &[Part] {
        &self.parts
    }
    fn materials(&self) -> &[Material] {
        &self.materials
    }
}

impl Shelf for PartsFile {
    fn parts(&self) -> &[Part] {
        &self.parts
    }
    fn materials(&self) -> &[Material] {
        &self.materials
    }
}

/// A part with what else it needs from where it stands: its bearing, their materials.
fn with_needs(shelf: &dyn Shelf, name: &str) -> Result<(Vec<Part>, Vec<Material>), Problem> {
    let mut wanted = vec![name.to_owned()];
    let mut seen = HashSet::new();
    let mut parts = Vec::new();
    let mut materials: Vec<Material> = Vec::new();
    while let Some(wanted_name) = wanted.pop() {
        let Some(part) = shelf.parts().iter().find(|part| part.name == wanted_name) else {
            if wanted_name == name {
                let remedy = suggestion(name, shelf.parts().iter().map(|part| part.name.as_str()));
                let message = format!("there is no part called {} here", quoted(name));
                return Err(Problem::error("parts", message).remedy(remedy));
            }
            // It comes from the tables.
            continue;
        };
        if !seen.insert(wanted_name) {
            continue;
        }
        if let PartForm::Wheel(wheel) = &part.form {
            wanted.push(wheel.bearing.clone());
        }
        materials.extend(shelf.materials().iter().find(|material| material.name == part.material).cloned());
        parts.push(part.clone());
    }
    Ok((parts, materials))
}

fn put<T: Named>(things: &mut Vec<T>, thing: T) {
    match things.iter_mut().find(|known| known.name() == thing.name()) {
        Some(known) => *known = thing,
        None => things.push(thing),
    }
}

/// The part that a name stands for in a library: the name itself, or what the person calls it.
fn meant<'a>(library: &'a PartsFile, name: &'a str) -> &'a str {
    let known = |name: &str| {
        library.parts.iter().any(|part| part.name == name) || library.stock.iter().any(|s| s.part == name)
    };
    if known(name) {
        return name;
    }
    let called =
        library.stock.iter().find(|stocked| !stocked.own_name.is_empty() && stocked.own_name == name);
    called.map_or(name, |stocked| stocked.part.as_str())
}

/// Takes a part from a library into the project as a copy that says it is `from` there, with its bearing and materials,
/// what was measured of it and what it cost. Parts, readings and prices of the same names are replaced. A part of the
/// tables stays the tables'; its readings and price are taken.
///
/// # Errors
/// When the library knows no such part.
pub fn take_part(document: &Document, library: &PartsFile, name: &str, from: &str) -> EditResult {
    let part = meant(library, name);
    let noted = library.measured.iter().any(|measured| measured.part == part)
        || library.stock.iter().any(|stocked| stocked.part == part);
    let is_of_the_tables = built_in().part(part).is_some() && noted;
    let (parts, materials) = match with_needs(library, part) {
        Err(_) if is_of_the_tables => (Vec::new(), Vec::new()),
        found => found?,
    };
    let mut changed = document.clone();
    let mut taken = vec![part.to_owned()];
    for mut copy in parts {
        from.clone_into(&mut copy.origin);
        if copy.name != part {
            taken.push(copy.name.clone());
        }
        put(&mut changed.parts, copy);
    }
    materials.into_iter().for_each(|material| put(&mut changed.materials, material));
    for name in &taken {
        for measured in library.measured.iter().filter(|measured| measured.part == *name) {
            put_readings(&mut changed.measured, measured.clone());
        }
        let stocked = library.stock.iter().find(|stocked| stocked.part == *name);
        if let Some(price) = stocked.and_then(|stocked| stocked.price) {
            changed.costs.insert(name.clone(), price);
        }
    }
    Ok(Edited { document: changed, description: format!("Take {part} from the library") })
}

fn put_readings(list: &mut Vec<Measured>, measured: Measured) {
    match list.iter_mut().find(|known| known.part == measured.part && known.size == measured.size) {
        Some(known) => *known = measured,
        None => list.push(measured),
    }
}

/// The library with one of the project's parts put in: with its bearing and materials, what was measured of it and what
/// it cost on a day. Of a part of the tables, what was measured of it and what it cost.
///
/// # Errors
/// When the project has no such part, when there is nothing to keep of one of the tables, or a size of it names a shared
/// size, which a library does not have.
pub fn keep_part(
    document: &Document,
    library: &PartsFile,
    name: &str,
    day: &str,
) -> Result<PartsFile, Problem> {
    let measured: Vec<Measured> = document.measured.iter().filter(|m| m.part == name).cloned().collect();
    let price = document.costs.get(name).copied();
    let (parts, materials) = match with_needs(document, name) {
        Err(_) if built_in().part(name).is_some() => {
            if measured.is_empty() && price.is_none() {
                let message =
                    format!("{} is of the tables, and nothing was measured or paid of it", quoted(name));
                return Err(Problem::error("parts", message)
                    .remedy("note readings or its cost first; the tables are in every project"));
            }
            (Vec::new(), Vec::new())
        }
        found => found?,
    };
    for part in &parts {
        let mut tied = None;
        part.visit(&mut |path, slot| {
            if let crate::walk::Slot::Size(size) = slot
                && let Some(formula) = size.formula()
                && let Some(first) = super::names_in(formula).into_iter().next()
            {
                tied.get_or_insert((path.to_owned(), first));
            }
        });
        if let Some((path, size)) = tied {
            let message = format!("{path} of {} is made of the shared size {size}", quoted(&part.name));
            return Err(Problem::error(format!("parts/{}", part.name), message)
                .remedy("give it a value of its own before it goes into the library"));
        }
    }
    let mut kept = library.clone();
    parts.into_iter().for_each(|part| put(&mut kept.parts, part));
    materials.into_iter().for_each(|material| put(&mut kept.materials, material));
    measured.into_iter().for_each(|measured| put_readings(&mut kept.measured, measured));
    if price.is_some() {
        kept = note_stock(
            &kept,
            Stocked { part: name.to_owned(), price, date: day.to_owned(), ..Stocked::default() },
        );
    }
    Ok(kept)
}

/// The library with what is newly known of a part at hand; what is left out stays as it was.
pub fn note_stock(library: &PartsFile, news: Stocked) -> PartsFile {
    let mut noted = library.clone();
    let Some(known) = noted.stock.iter_mut().find(|known| known.part == news.part) else {
        noted.stock.push(news);
        return noted;
    };
    known.count = news.count.or(known.count);
    known.price = news.price.or(known.price);
    for (known, news) in
        [(&mut known.own_name, news.own_name), (&mut known.date, news.date), (&mut known.note, news.note)]
    {
        if !news.is_empty() {
            *known = news;
        }
    }
    noted
}

/// The library with caliper readings taken in, as [`crate::read_readings`] gives them; they join those that are there.
///
/// # Errors
/// When there would be more of one size than are worked with.
pub fn keep_readings(library: &PartsFile, readings: Vec<Measured>) -> Result<PartsFile, Problem> {
    let mut kept = library.clone();
    for measured in readings {
        join_readings(&mut kept.measured, measured).map_err(|measured| too_many(&measured))?;
    }
    Ok(kept)
}

/// A library with all of another put in; what has the same names is replaced.
pub fn join_libraries(library: &PartsFile, other: PartsFile) -> PartsFile {
    let mut joined = library.clone();
    other.parts.into_iter().for_each(|part| put(&mut joined.parts, part));
    other.materials.into_iter().for_each(|material| put(&mut joined.materials, material));
    other.measured.into_iter().for_each(|measured| put_readings(&mut joined.measured, measured));
    for stocked in other.stock {
        match joined.stock.iter_mut().find(|known| known.part == stocked.part) {
            Some(known) => *known = stocked,
            None => joined.stock.push(stocked),
        }
    }
    joined
}
