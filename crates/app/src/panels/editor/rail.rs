//! The rail and how it stands.

use std::sync::Arc;

use egui::Ui;
use glidewright_project::document::Stand;
use glidewright_project::edit;
use glidewright_project::size::Angle;

use super::{alter, fields_ui, title_ui};
use crate::commands::Queue;
use crate::panels::Shared;
use crate::state::Reading;
use crate::widgets::choice_row;

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
        ui.add(egui::Label::new(egui::RichText::new(format!("Tracks: {}", tracks.join(", "))).weak()).wrap());
    }
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
