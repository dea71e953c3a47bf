//! How a fixture is written down: the same fixture can be written in many ways.

use std::cell::Cell;

/// A way of writing a fixture. Every way says the same of the world, or its mirror image.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Manner {
    /// Mirrored about the rail's middle plane: y becomes −y, left becomes right.
    pub mirrored: bool,
    /// Lists in the other order: riders, wheels, plates, loads, bodies, obstacles, features.
    pub reversed: bool,
    /// Lengths written in inches.
    pub inches: bool,
    /// Other names.
    pub renamed: bool,
    /// Travel counted from elsewhere (mm): every travel is this much greater, every place the same.
    pub counted_from: f64,
}

/// Writes down sizes, places and names in a [`Manner`].
pub(super) struct Hand {
    pub manner: Manner,
    serial: Cell<usize>,
}

impl Hand {
    pub fn new(manner: Manner) -> Self {
        Self { manner, serial: Cell::new(0) }
    }

    /// A number that no earlier call gave, for names.
    pub fn serial(&self) -> usize {
        self.serial.set(self.serial.get() + 1);
        self.serial.get()
    }

    /// A length.
    pub fn mm(&self, value: f64) -> String {
        if self.manner.inches && value != 0.0 {
            format!("\"{} in\"", value / 25.4)
        } else {
            format!("{value:?}")
        }
    }

    /// A travel of the lead.
    pub fn travel(&self, value: f64) -> String {
        self.mm(value + self.manner.counted_from)
    }

    /// Where a rider stands at travel 0, if it moves `ratio` times the lead's travel.
    pub fn at(&self, value: f64, ratio: f64) -> String {
        self.mm(value - ratio * self.manner.counted_from)
    }

    /// A value along y.
    pub fn y(&self, value: f64) -> f64 {
        if self.manner.mirrored { 0.0 - value } else { value }
    }

    /// A value across a rider that looks this way: along y, unless it looks to a side.
    pub fn across(&self, faces: &str, value: f64) -> f64 {
        if matches!(faces, "left" | "right") { value } else { self.y(value) }
    }

    /// A name of the fixture's own, in quotes.
    pub fn name(&self, name: &str) -> String {
        format!("{:?}", self.manner.name(name))
    }

    /// A side, a track or a pair.
    pub fn side(&self, name: &str) -> String {
        if self.manner.mirrored { swapped(name) } else { name.to_owned() }
    }

    /// A list in brackets.
    pub fn list(&self, mut items: Vec<String>) -> String {
        if self.manner.reversed {
            items.reverse();
        }
        format!("[{}]", items.join(", "))
    }
}

impl Manner {
    /// What a thing of the fixture is called.
    pub fn name(&self, name: &str) -> String {
        if !self.renamed {
            return name.to_owned();
        }
        // Sorts otherwise, too.
        let turned: String = name.chars().rev().collect();
        format!("{turned} é")
    }
}

/// Left for right and right for left.
fn swapped(name: &str) -> String {
    let word = |word: &str| match word {
        "left" => "right".to_owned(),
        "right" => "left".to_owned(),
        other => other.to_owned(),
    };
    name.split(' ').map(word).collect::<Vec<_>>().join(" ")
}
