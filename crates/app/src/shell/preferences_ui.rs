//! What the person prefers, in one place.

use egui::{Context, Grid, Id, Slider};

use super::App;
use crate::commands::Action;
use crate::state::{Hints, LengthUnit, LoadUnit, TEXT_SCALES};
use crate::theme::Paper;
use crate::widgets::over;

impl App {
    /// Shows the preferences if they are open.
    pub(super) fn preferences_ui(&mut self, ctx: &Context) {
        if !self.preferences_shown {
            return;
        }
        let mut wanted = self.state.preferences.clone();
        let shown = over(ctx, "preferences").show(ctx, |ui| {
            ui.set_width(420.0);
            ui.heading("Preferences");
            ui.add_space(6.0);
            Grid::new("preferences").num_columns(2).spacing([18.0, 10.0]).show(ui, |ui| {
                ui.label("Paper");
                ui.horizontal(|ui| {
                    for paper in Paper::ALL {
                        ui.radio_value(&mut wanted.paper, paper, paper.word()).on_hover_text(match paper {
                            Paper::System => "As the desktop is set",
                            Paper::Light => "Warm paper",
                            Paper::Dark => "Deep grey",
                        });
                    }
                });
                ui.end_row();
                let label = ui.label("Size of text");
                ui.horizontal(|ui| {
                    let mut percent = (100.0 * wanted.text_scale).round();
                    let range = 100.0 * TEXT_SCALES.start()..=100.0 * TEXT_SCALES.end();
                    let slider = Slider::new(&mut percent, range).step_by(5.0).suffix(" %");
                    let response = ui.add(slider).labelled_by(label.id);
                    // While it is dragged the window would change under the pointer.
                    let settled = !response.dragged();
                    let kept = Id::unique("text size wanted");
                    if !settled {
                        ui.data_mut(|data| data.insert_temp(kept, percent));
                    }
                    let dragged: Option<f32> = ui.data(|data| data.get_temp(kept));
                    if settled && let Some(dragged) = dragged {
                        ui.data_mut(|data| data.remove::<f32>(kept));
                        wanted.text_scale = dragged / 100.0;
                    } else if settled && response.changed() {
                        wanted.text_scale = percent / 100.0;
                    }
                });
                ui.end_row();
                ui.label("Lengths in");
                ui.horizontal(|ui| {
                    for unit in LengthUnit::ALL {
                        ui.radio_value(&mut wanted.unit, unit, unit.word());
                    }
                });
                ui.end_row();
                ui.label("Forces and masses in");
                ui.horizontal(|ui| {
                    for unit in LoadUnit::ALL {
                        ui.radio_value(&mut wanted.loads, unit, unit.word());
                    }
                });
                ui.end_row();
                ui.label("Numbers");
                ui.label("A decimal comma is understood wherever a point is.");
                ui.end_row();
                ui.label("Hints");
                ui.horizontal(|ui| {
                    let mut given = !wanted.hints.off;
                    if ui.checkbox(&mut given, "Show hints").changed() {
                        wanted.hints.off = !given;
                    }
                    if ui.button("From the beginning").clicked() {
                        wanted.hints = Hints::default();
                    }
                });
                ui.end_row();
            });
            ui.add_space(10.0);
            ui.button("Close").clicked()
        });
        if wanted != self.state.preferences {
            self.queue.push(Action::Prefer(Box::new(wanted)));
        }
        self.preferences_shown = !(shown.inner || shown.should_close());
    }
}
