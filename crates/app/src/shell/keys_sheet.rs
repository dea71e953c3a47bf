//! All keys at a glance, from the table of commands.

use egui::{Context, Grid, RichText};

use super::App;
use crate::commands::{Menu, TABLE};
use crate::theme::FontRole;
use crate::widgets::{list_area, over};

impl App {
    /// Shows the sheet of keys if it is open.
    pub(super) fn keys_ui(&mut self, ctx: &Context) {
        if !self.keys_shown {
            return;
        }
        let shown = over(ctx, "keys").show(ctx, |ui| {
            ui.set_width(640.0);
            ui.heading("Keys");
            ui.weak("Keys without Ctrl work while nothing else has the keyboard, or the drawing has it.");
            ui.add_space(6.0);
            let height = (0.7 * ctx.content_rect().height()).max(160.0);
            list_area(height).show(ui, |ui| {
                for (title, menu) in Menu::TITLES {
                    ui.add_space(6.0);
                    ui.label(RichText::new(title).font(FontRole::Strong.id()));
                    Grid::new(title).num_columns(2).striped(true).min_col_width(220.0).show(ui, |ui| {
                        let rows = TABLE.iter().filter(|spec| spec.menu == menu && spec.command.exists());
                        for spec in rows.filter(|spec| !spec.shortcuts.is_empty()) {
                            ui.label(spec.command.label()).on_hover_text(spec.tooltip);
                            let keys: Vec<_> =
                                spec.shortcuts.iter().map(|keys| ctx.format_shortcut(keys)).collect();
                            ui.label(keys.join("   or   "));
                            ui.end_row();
                        }
                    });
                }
                ui.add_space(6.0);
                ui.label(RichText::new("With the pointer in a drawing").font(FontRole::Strong.id()));
                Grid::new("pointer").num_columns(2).striped(true).min_col_width(220.0).show(ui, |ui| {
                    for (what, how) in POINTER {
                        ui.label(*what);
                        ui.label(*how);
                        ui.end_row();
                    }
                });
            });
            ui.add_space(8.0);
            ui.button("Close").clicked()
        });
        self.keys_shown = !(shown.inner || shown.should_close());
    }
}

/// What the pointer does.
const POINTER: &[(&str, &str)] = &[
    ("Move the riders", "drag a rider, the violet line or a curve"),
    ("Move what is built", "select it, drag its handle; Shift: fine steps, Alt: none"),
    ("Cancel a drag", "Escape"),
    ("Enlarge, reduce", "wheel or pinch"),
    ("Move the picture", "drag with the middle or right button"),
    ("Show all of it again", "double click"),
    ("Turn the view in space", "drag beside the bodies"),
];
