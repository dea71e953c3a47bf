//! Parts and materials a document can use: its own and the built-in ones, with their readings.

use std::collections::HashMap;

use glidewright_motion as motion;

use super::Context;
use crate::document::{Document, Material, Part, PartKind};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::size::{Kind, Size};
use crate::suggest::{nearest, suggestion};
use crate::tables::{Library, built_in};
use crate::tolerance;
use crate::values::Values;
use crate::walk::{SizeSlot, Slot};

/// Thermal expansion is given in millionths per kelvin.
const PER_MILLION: f64 = 1e-6;

/// Parts and materials by name: the document's own first, then the built-in ones.
pub(super) struct Catalogue<'a> {
    own: HashMap<&'a str, &'a Part>,
    own_materials: HashMap<&'a str, &'a Material>,
    built_in: &'static Library,
    /// By the part's first name and the size's name.
    measured: HashMap<(&'a str, &'a str), motion::Toleranced>,
    values: &'a Values,
}

impl<'a> Catalogue<'a> {
    pub fn new(document: &'a Document, values: &'a Values) -> Self {
        let mut own = HashMap::new();
        for part in &document.parts {
            for name in std::iter::once(&part.name).chain(&part.also) {
                own.entry(name.as_str()).or_insert(part);
            }
        }
        let mut catalogue = Self {
            own,
            own_materials: document.materials.iter().map(|m| (m.name.as_str(), m)).collect(),
            built_in: built_in(),
            measured: HashMap::new(),
            values,
        };
        for measured in &document.measured {
            let part = catalogue.part(&measured.part);
            let name = part.map_or(measured.part.as_str(), |part| part.name.as_str());
            let stated = part.and_then(|part| catalogue.stated(part, &measured.size));
            let stated = stated.map_or(0.0, |stated| stated.half_width());
            if let Ok(value) = tolerance::measured(&measured.readings, measured.resolution, stated) {
                catalogue.measured.entry((name, measured.size.as_str())).or_insert(value);
            }
        }
        catalogue
    }

    pub fn part(&self, name: &str) -> Option<&'a Part> {
        self.own.get(name).copied().or_else(|| self.built_in.part(name))
    }

    fn material(&self, name: &str) -> Option<&'a Material> {
        self.own_materials.get(name).copied().or_else(|| self.built_in.material(name))
    }

    /// Names of all parts of a kind; none if they are not `wanted`.
    fn names_of(&self, kind: PartKind, wanted: bool) -> Vec<&str> {
        if !wanted {
            return Vec::new();
        }
        let own = self.own.values().filter(|part| part.form.kind() == kind).map(|part| part.name.as_str());
        let mut names: Vec<&str> = own.collect();
        names.sort_unstable();
        names.extend(self.built_in.of_kind(kind).map(|part| part.name.as_str()));
        names
    }

    /// One size of a part, in the engine's units: its readings where there are some.
    pub fn size<K: Kind>(&self, part: &Part, size: &Size<K>, name: &str) -> motion::Toleranced {
        if let Some(&value) = self.measured.get(&(part.name.as_str(), name)) {
            let (numerator, denominator) = K::QUANTITY.engine_per_unit();
            let by = self.values.shift_of_part(&join(&join("parts", &part.name), name));
            let value = motion::Toleranced { nominal: value.nominal + by, ..value };
            return if numerator == denominator { value } else { value.scaled(numerator / denominator) };
        }
        self.values.toleranced(size, || join(&join("parts", &part.name), name))
    }

    /// A size of a part by name, without its readings.
    fn stated(&self, part: &Part, name: &str) -> Option<motion::Toleranced> {
        let mut found = None;
        part.visit(&mut |path, slot| {
            if let Slot::Size(size) = slot
                && path == name
            {
                found = self.nominal_size(part, size, name);
            }
        });
        found
    }

    /// One size of a part without its readings.
    pub fn nominal_size(&self, part: &Part, size: &dyn SizeSlot, name: &str) -> Option<motion::Toleranced> {
        let path = join(&join("parts", &part.name), name);
        self.values.at(&path).or_else(|| self.values.of_slot(size))
    }

    /// The nominal of one size of a part, in the engine's units.
    pub fn number<K: Kind>(&self, part: &Part, size: &Size<K>, name: &str) -> f64 {
        let path = || join(&join("parts", &part.name), name);
        match self.measured.get(&(part.name.as_str(), name)) {
            None => self.values.number(size, path),
            Some(measured) => {
                let (numerator, denominator) = K::QUANTITY.engine_per_unit();
                (measured.nominal + self.values.shift(path)) * numerator / denominator
            }
        }
    }
}

/// A size of a part as its table or maker states it, beside what was measured; in the document's units.
#[derive(Clone, Debug, PartialEq)]
pub struct MeasuredSize {
    /// Name of the part.
    pub part: String,
    /// Name of the size.
    pub size: String,
    /// As stated.
    pub stated: motion::Toleranced,
    /// As measured: this is calculated with.
    pub measured: motion::Toleranced,
}

/// Every measured size of a document beside what its part states.
pub fn measured_sizes(document: &Document) -> Vec<MeasuredSize> {
    let (values, _) = Values::of(document, None);
    let catalogue = Catalogue::new(document, &values);
    let mut sizes = Vec::new();
    for measured in &document.measured {
        let Some(part) = catalogue.part(&measured.part) else { continue };
        let Some(stated) = catalogue.stated(part, &measured.size) else { continue };
        let half = stated.half_width();
        let Ok(value) = tolerance::measured(&measured.readings, measured.resolution, half) else { continue };
        let (part, size) = (part.name.clone(), measured.size.clone());
        sizes.push(MeasuredSize { part, size, stated, measured: value });
    }
    sizes
}

/// What one of a part costs (of a rail or belt: a metre), in the user's currency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cost {
    /// How much.
    pub amount: f64,
    /// Whether it is the tables' invented guide price, for want of one that a person has put in.
    pub is_guide: bool,
}

/// What is sold by lengths is priced at this one where nothing is said of its length (mm; own choice).
const TYPICAL_LENGTH: f64 = 20.0;

/// What one of a part costs, if that is known, and whether that is more than a guide; what is sold by lengths, of 20 mm.
pub fn price_of(document: &Document, part: &str) -> Option<Cost> {
    price_at(document, part, TYPICAL_LENGTH)
}

/// The same of a length (mm), where the part is sold by lengths.
pub fn price_at(document: &Document, part: &str, length: f64) -> Option<Cost> {
    let own = document.parts.iter().find(|own| own.name == part);
    let known = built_in().part(part);
    let stated = document.costs.get(part).or_else(|| {
        // A part goes by several names.
        let name = &own.is_none().then_some(known)??.name;
        let same = |other: &str| built_in().part(other).is_some_and(|other| other.name == *name);
        document.costs.iter().find(|(other, _)| same(other)).map(|(_, amount)| amount)
    });
    match stated.copied().or_else(|| own.and_then(|part| part.cost_at(Some(length)))) {
        Some(amount) => Some(Cost { amount, is_guide: false }),
        None if own.is_some() => None,
        None => Some(Cost { amount: known?.cost_at(Some(length))?, is_guide: true }),
    }
}

/// What one of a part costs, if that is known, be it by the tables' guide price.
pub fn cost_of(document: &Document, part: &str) -> Option<f64> {
    price_of(document, part).map(|cost| cost.amount)
}

/// All parts of a kind a document can use: its own first, then those of the tables.
pub fn parts_of_kind(document: &Document, kind: PartKind) -> impl Iterator<Item = &Part> {
    document.parts.iter().filter(move |part| part.form.kind() == kind).chain(built_in().of_kind(kind))
}

impl<'a> Context<'a> {
    /// The part with this name, if it is of this kind; reports it if not.
    pub(super) fn part(&mut self, kind: PartKind, name: &str, path: &str) -> Option<&'a Part> {
        match self.catalogue.part(name) {
            Some(part) if part.form.kind() == kind => Some(part),
            Some(part) => {
                let message =
                    format!("{} is a {}, not a {}", quoted(name), part.form.kind().word(), kind.word());
                let names = self.catalogue.names_of(kind, self.may_help());
                let remedy = suggestion(name, names.iter().copied());
                self.report(Problem::error(path, message).remedy(remedy));
                None
            }
            None => {
                let names = self.catalogue.names_of(kind, self.may_help());
                let remedy = match nearest(name, names.iter().copied()) {
                    Some(near) => format!("did you mean {}?", quoted(near)),
                    None => format!("choose a {} from the tables, or add one to parts", kind.word()),
                };
                self.report(
                    Problem::error(path, format!("there is no {} called {}", kind.word(), quoted(name)))
                        .remedy(remedy),
                );
                None
            }
        }
    }

    /// The material with this name in the engine's terms; reports an unknown one.
    pub(super) fn material(&mut self, name: &str, path: &str) -> motion::Material {
        if let Some(material) = self.catalogue.material(name) {
            let base = join("materials", &material.name);
            return motion::Material {
                name: material.name.clone(),
                density: self.number(&material.density, &base, "density"),
                youngs: self.number(&material.youngs, &base, "youngs"),
                poisson: self.number(&material.poisson, &base, "poisson"),
                allowable_pressure: material
                    .allowable_pressure
                    .as_ref()
                    .map(|pressure| self.number(pressure, &base, "allowable_pressure")),
                strength: material.strength.as_ref().map(|stress| self.number(stress, &base, "strength")),
                expansion: material
                    .expansion
                    .as_ref()
                    .map(|expansion| PER_MILLION * self.number(expansion, &base, "expansion")),
                lasting: material.lasting.as_ref().map(|share| self.number(share, &base, "lasting")),
            };
        }
        let own: Vec<&str> = self.document.materials.iter().map(|m| m.name.as_str()).collect();
        let known =
            own.into_iter().chain(self.catalogue.built_in.materials().iter().map(|m| m.name.as_str()));
        let remedy = if self.may_help() { suggestion(name, known) } else { String::new() };
        self.report(
            Problem::error(path, format!("there is no material called {}", quoted(name))).remedy(remedy),
        );
        self.unusable = true;
        motion::Material {
            name: name.chars().take(100).collect(),
            density: 0.0,
            youngs: 0.0,
            poisson: 0.0,
            allowable_pressure: None,
            strength: None,
            expansion: None,
            lasting: None,
        }
    }

    /// Density of what a part is made of (kg/mm³); 0 if it names no material.
    pub(super) fn density_of(&mut self, part: &Part) -> f64 {
        self.material_of(part).map_or(0.0, |material| material.density * 1e-9)
    }

    /// What a part is made of, if it says so.
    fn material_of(&mut self, part: &Part) -> Option<motion::Material> {
        if part.material.is_empty() {
            return None;
        }
        let path = join(&join("parts", &part.name), "material");
        Some(self.material(&part.material, &path))
    }

    /// Young's modulus of what a part is made of (MPa); 0 if it names no material.
    pub(super) fn youngs_of(&mut self, part: &Part) -> f64 {
        self.material_of(part).map_or(0.0, |material| material.youngs)
    }

    /// Thermal expansion of what a part is made of (1/K); 0 if that is not known.
    pub(super) fn expansion_of(&mut self, part: &Part) -> f64 {
        self.material_of(part).and_then(|material| material.expansion).unwrap_or(0.0)
    }

    /// A part's mass (kg): its own, or else volume (mm³) × density.
    pub(super) fn mass_of(&mut self, part: &Part, volume: f64) -> f64 {
        match &part.mass {
            Some(mass) => self.catalogue.number(part, mass, "mass"),
            None => volume * self.density_of(part),
        }
    }
}
