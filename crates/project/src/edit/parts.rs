//! Parts between a project and a person's own library.

use std::collections::HashSet;

use super::{EditResult, Edited};
use crate::document::{Document, Material, Named, Part, PartForm, PartsFile};
use crate::problem::{Problem, quoted};
use crate::suggest::suggestion;

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

/// Takes a part from a library into the project, with its bearing and materials. Parts of the same names are
/// replaced.
///
/// # Errors
/// When the library has no such part.
pub fn take_part(document: &Document, library: &PartsFile, name: &str) -> EditResult {
    let (parts, materials) = with_needs(library, name)?;
    let mut changed = document.clone();
    parts.into_iter().for_each(|part| put(&mut changed.parts, part));
    materials.into_iter().for_each(|material| put(&mut changed.materials, material));
    Ok(Edited { document: changed, description: format!("Take {name} from the library") })
}

/// The library with one of the project's parts, its bearing and materials put in.
///
/// # Errors
/// When the project has no such part, or a size of it names a shared size, which a library does not have.
pub fn keep_part(document: &Document, library: &PartsFile, name: &str) -> Result<PartsFile, Problem> {
    let (parts, materials) = with_needs(document, name)?;
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
    Ok(kept)
}
