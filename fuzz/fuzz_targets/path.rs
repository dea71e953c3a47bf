//! Path data from a drawing: by itself, as a plate with a hole, and as the section of a rail.
#![no_main]

use std::sync::OnceLock;

use glidewright_project::document::{
    OutlinePart, Part, PartForm, PlateOutline, RailPart, Spot, TrackForm, TrackPart,
};
use glidewright_project::size::{Angle, Length};
use glidewright_project::{Document, demo, region_from_path, resolve};
use libfuzzer_sys::fuzz_target;

fn stand() -> &'static Document {
    static STAND: OnceLock<Document> = OnceLock::new();
    STAND.get_or_init(|| demo().unwrap())
}

fuzz_target!(|data: &str| {
    let Ok(region) = region_from_path(data) else { return };
    assert!(region.area().is_finite() && region.area() > 0.0, "{}", region.area());
    assert!(region.check().is_ok());
    let mut document = stand().clone();
    if let Some(plate) = document.riders.first_mut().and_then(|rider| rider.plates.first_mut()) {
        plate.outline = PlateOutline::Path(data.to_owned());
    }
    let form = PartForm::Rail(RailPart::Outline(OutlinePart {
        d: data.to_owned(),
        tracks: vec![TrackPart {
            name: "front".to_owned(),
            at: Spot::of(0.0, 15.0),
            faces: Angle::of(90.0),
            profile: TrackForm::Flat { width: Length::of(10.0) },
        }],
    }));
    document.parts.push(Part { material: "POM".to_owned(), ..Part::new("drawn", form) });
    let _ = resolve(&document, None);
    document.rail.section = "drawn".to_owned();
    let _ = resolve(&document, None);
});
