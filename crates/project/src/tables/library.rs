//! Parts by name.

use std::collections::HashMap;
use std::sync::OnceLock;

use super::{bearings, materials, screws, standards, wares};
use crate::document::{Material, Part, PartKind};

/// Parts and materials by name.
#[derive(Clone, Debug, Default)]
pub struct Library {
    parts: Vec<Part>,
    materials: Vec<Material>,
    parts_by_name: HashMap<String, usize>,
    materials_by_name: HashMap<String, usize>,
}

impl Library {
    /// A library of these parts and materials; of several with one name the first counts.
    pub fn new(parts: Vec<Part>, materials: Vec<Material>) -> Self {
        let mut parts_by_name = HashMap::new();
        for (number, part) in parts.iter().enumerate() {
            for name in std::iter::once(&part.name).chain(&part.also) {
                parts_by_name.entry(name.clone()).or_insert(number);
            }
        }
        let mut materials_by_name = HashMap::new();
        for (number, material) in materials.iter().enumerate() {
            materials_by_name.entry(material.name.clone()).or_insert(number);
        }
        Self { parts, materials, parts_by_name, materials_by_name }
    }

    /// The part with this name.
    pub fn part(&self, name: &str) -> Option<&Part> {
        self.parts_by_name.get(name).and_then(|&number| self.parts.get(number))
    }

    /// The material with this name.
    pub fn material(&self, name: &str) -> Option<&Material> {
        self.materials_by_name.get(name).and_then(|&number| self.materials.get(number))
    }

    /// All parts, in the order of the tables.
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    /// All materials, in the order of the table.
    pub fn materials(&self) -> &[Material] {
        &self.materials
    }

    /// Parts of one kind, in the order of the tables.
    pub fn of_kind(&self, kind: PartKind) -> impl Iterator<Item = &Part> + Clone {
        self.parts.iter().filter(move |part| part.form.kind() == kind)
    }
}

/// The parts and materials the program comes with.
pub fn built_in() -> &'static Library {
    static LIBRARY: OnceLock<Library> = OnceLock::new();
    LIBRARY.get_or_init(|| {
        let parts = [
            standards::nuts(),
            screws::screws(),
            standards::inserts(),
            standards::washers(),
            wares::rings(),
            wares::wheels(),
            bearings::bearings(),
            wares::rails(),
            wares::belts(),
            wares::pulleys(),
        ];
        Library::new(parts.into_iter().flatten().collect(), materials::materials())
    })
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::super::rows::{count, text};
    use super::*;

    #[test]
    fn no_row_is_lost() {
        let tables = [
            text::NUTS,
            text::SCREWS,
            text::WASHERS,
            text::RINGS,
            text::WHEELS,
            text::BEARINGS,
            text::INSERTS,
            text::RAILS,
            text::BARS,
            text::BELTS,
            text::PULLEYS,
        ];
        assert_eq!(built_in().parts().len(), tables.into_iter().map(count).sum::<usize>());
        assert_eq!(built_in().materials().len(), count(text::MATERIALS));
    }

    #[test]
    fn names_differ() {
        let mut names = HashSet::new();
        for part in built_in().parts() {
            assert!(names.insert(part.name.as_str()), "{} twice", part.name);
        }
    }

    #[test]
    fn wheels_find_their_bearings_and_materials() {
        for part in built_in().parts() {
            if let crate::document::PartForm::Wheel(wheel) = &part.form {
                assert!(built_in().part(&wheel.bearing).is_some(), "{}", part.name);
            }
            assert!(
                part.material.is_empty() || built_in().material(&part.material).is_some(),
                "{}",
                part.name
            );
        }
    }
}
