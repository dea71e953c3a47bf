//! The rail and how it stands.

use std::sync::Arc;

use egui::Ui;
use glidewright_motion::{Measure, Rail, SectionBending};
use glidewright_project::document::Stand;
use glidewright_project::edit;
use glidewright_project::size::Angle;
use glidewright_sheet::{LengthUnit, LoadUnit, ReaderUnits, number};

use super::{alter, fields_ui, title_ui};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::state::Reading;
use crate::widgets::choice_row;

/// A foot (mm).
const FOOT: f64 = 304.8;

pub fn rail_ui(ui: &mut Ui, shared: &Shared<'_>, queue: &mut Queue) {
    title_ui(ui, "Rail");
    let rail = &shared.state.session.reading().document.rail;
    fields_ui(ui, shared, "rail", |below| !below.starts_with("stand"), queue);
    far_ui(ui, shared);
    let now = match rail.stand {
        Stand::Upright => 0,
        Stand::Lying => 1,
        Stand::Inclined { .. } => 2,
    };
    if let Some(chosen) = choice_row(ui, "It stands", now, &["upright", "lying", "inclined"]) {
        let stand = match chosen {
            0 => Stand::Upright,
            1 => Stand::Lying,
            _ => Stand::Inclined {
                incline: Angle::of(if now == 0 { 90.0 } else { 0.0 }),
                roll: Angle::default(),
            },
        };
        alter(
            "rail/stand",
            "Stand the rail another way",
            move |document| {
                document.rail.stand = stand.clone();
                Some(())
            },
            queue,
        );
    }
    fields_ui(ui, shared, "rail", |below| below.starts_with("stand"), queue);
    if let Some(bench) = shared.state.session.bench() {
        let tracks: Vec<&str> = bench.fixture.rail.tracks.iter().map(|track| track.name.as_str()).collect();
        ui.add_space(4.0);
        for words in [
            format!("Tracks: {}", tracks.join(", ")),
            section_words(&bench.fixture.rail, shared.state.preferences.units()),
        ] {
            ui.add(egui::Label::new(egui::RichText::new(words).weak()).wrap());
        }
    }
}

/// What its section is worth: area, mass, second moments of area.
fn section_words(rail: &Rail, units: ReaderUnits) -> String {
    let [sideways, frontwards] = rail.bending();
    // Sections are told in cm, as the trade's tables do.
    let (unit, size) = match units.length {
        LengthUnit::Millimetre => ("cm", 10.0),
        LengthUnit::Inch => ("in", units.length.to_mm(1.0)),
    };
    let per_mm = rail.mass_per_length();
    let mass = match units.load {
        LoadUnit::Newton => format!("{} kg/m", number(per_mm * 1000.0, 2)),
        LoadUnit::Pound => format!("{} lb/ft", number(units.count(Measure::Kilogram, per_mm * FOOT), 2)),
    };
    let moment = |way: SectionBending| format!("{} {unit}⁴", number(way.second_moment / size.powi(4), 2));
    format!(
        "Section: {} {unit}², {mass}; second moment of area {} sideways, {} to the front",
        number(rail.section_area() / (size * size), 2),
        moment(sideways),
        moment(frontwards),
    )
}

/// What another length takes along; sought once for each state of the document.
fn far_ui(ui: &mut Ui, shared: &Shared<'_>) {
    let reading = shared.state.session.reading_shared();
    let id = egui::Id::unique("goes with the rail");
    let known = ui.data(|data| data.get_temp::<(Arc<Reading>, Arc<str>)>(id));
    let words = match known.filter(|(of, _)| Arc::ptr_eq(of, &reading)) {
        Some((_, words)) => words,
        None => {
            let words: Arc<str> = edit::goes_with_rail(&reading.document).join(", ").into();
            ui.data_mut(|data| data.insert_temp(id, (reading, Arc::clone(&words))));
            words
        }
    };
    if !words.is_empty() {
        let words = format!("Another length moves with the far end: {words}");
        ui.add(egui::Label::new(egui::RichText::new(words).weak()).wrap());
    }
}

#[cfg(test)]
mod tests {
    use glidewright_geometry::{DVec2, Outline};

    use super::*;

    /// A bar 20 wide and 40 deep: b h³/12 either way; 8 cm² of aluminium at 2.7 g/cm³.
    #[test]
    fn a_section_is_told_in_the_readers_units() {
        let demo = glidewright_project::demo().expect("a demo");
        let demo = glidewright_project::resolve(&demo, None);
        let mut rail = demo.fixture.expect("a fixture").rail;
        rail.bars = vec![Outline::rectangle(DVec2::new(-10.0, -20.0), DVec2::new(10.0, 20.0)).into()];
        rail.material.density = 2700.0;
        assert_eq!(
            section_words(&rail, ReaderUnits::default()),
            "Section: 8.00 cm², 2.16 kg/m; second moment of area 2.67 cm⁴ sideways, 10.67 cm⁴ to the front"
        );
        let inches = ReaderUnits { length: LengthUnit::Inch, load: LoadUnit::Pound };
        assert_eq!(
            section_words(&rail, inches),
            "Section: 1.24 in², 1.45 lb/ft; second moment of area 0.06 in⁴ sideways, 0.26 in⁴ to the front"
        );
    }
}
