//! Things of a document by name, to change.

use glidewright_project::Document;
use glidewright_project::document::{
    Body, Feature, Load, Named, Node, Obstacle, Plate, Rider, Shoe, Watched, WheelPlace,
};

fn by_name<'a, T: Named>(things: &'a mut [T], name: &str) -> Option<&'a mut T> {
    things.iter_mut().find(|thing| thing.name() == name)
}

/// The rider of a name.
pub fn rider<'a>(document: &'a mut Document, name: &str) -> Option<&'a mut Rider> {
    by_name(&mut document.riders, name)
}

/// A wheel or pair of wheels: rider, wheel.
pub fn wheel<'a>(document: &'a mut Document, of: &str, name: &str) -> Option<&'a mut WheelPlace> {
    by_name(&mut rider(document, of)?.wheels, name)
}

/// A shoe: rider, shoe.
pub fn shoe<'a>(document: &'a mut Document, of: &str, name: &str) -> Option<&'a mut Shoe> {
    by_name(&mut rider(document, of)?.shoes, name)
}

/// A plate: rider, plate.
pub fn plate<'a>(document: &'a mut Document, of: &str, name: &str) -> Option<&'a mut Plate> {
    by_name(&mut rider(document, of)?.plates, name)
}

/// A feature of a plate: rider, plate, feature.
pub fn feature<'a>(document: &'a mut Document, of: &str, on: &str, name: &str) -> Option<&'a mut Feature> {
    by_name(&mut plate(document, of, on)?.features, name)
}

/// A load: rider, load.
pub fn load<'a>(document: &'a mut Document, of: &str, name: &str) -> Option<&'a mut Load> {
    by_name(&mut rider(document, of)?.loads, name)
}

/// A watched point: rider, point.
pub fn point<'a>(document: &'a mut Document, of: &str, name: &str) -> Option<&'a mut Watched> {
    by_name(&mut rider(document, of)?.points, name)
}

/// An obstacle.
pub fn obstacle<'a>(document: &'a mut Document, name: &str) -> Option<&'a mut Obstacle> {
    by_name(&mut document.obstacles, name)
}

/// A node of the line.
pub fn node<'a>(document: &'a mut Document, name: &str) -> Option<&'a mut Node> {
    by_name(&mut document.line.as_mut()?.nodes, name)
}

/// The bodies of what stands at a path, to look at.
pub fn bodies_at<'a>(document: &'a Document, path: &str) -> Option<&'a [Body]> {
    let steps: Vec<&str> = path.split('/').collect();
    let rider = |of: &str| document.riders.iter().find(|rider| rider.name == of);
    match steps.as_slice() {
        ["obstacles", name] => Some(&document.obstacles.iter().find(|known| known.name == *name)?.bodies),
        ["riders", of, "loads", name] => {
            Some(&rider(of)?.loads.iter().find(|load| load.name == *name)?.bodies)
        }
        ["riders", of, "shoes", name] => {
            Some(&rider(of)?.shoes.iter().find(|shoe| shoe.name == *name)?.bodies)
        }
        _ => None,
    }
}

/// The bodies of what stands at a path: a load, a shoe, an obstacle.
pub fn bodies<'a>(document: &'a mut Document, path: &str) -> Option<&'a mut Vec<Body>> {
    let steps: Vec<&str> = path.split('/').collect();
    match steps.as_slice() {
        ["obstacles", name] => Some(&mut obstacle(document, name)?.bodies),
        ["riders", of, "loads", name] => Some(&mut load(document, of, name)?.bodies),
        ["riders", of, "shoes", name] => Some(&mut shoe(document, of, name)?.bodies),
        _ => None,
    }
}
