//! The handbook beside the work: sections at the left, the one open at the right.

use egui::{Button, Context, RichText, ScrollArea, TextEdit, Ui, Vec2};
use egui_commonmark::{CommonMarkCache, CommonMarkViewer};

use super::App;
use crate::state::{Chapter, section_named, sections};
use crate::theme::FontRole;

/// What the reader of the handbook looks at.
#[derive(Default)]
pub struct Handbook {
    /// Whether it is open.
    pub shown: bool,
    open: usize,
    words: String,
    cache: CommonMarkCache,
    /// Whether the open section has yet to be brought into sight.
    fresh: bool,
}

impl Handbook {
    /// Opens it at a section, or where it was last.
    pub fn open_at(&mut self, title: &str) {
        self.shown = true;
        self.fresh = true;
        if let Some(number) = section_named(title) {
            self.open = number;
            self.words.clear();
        }
    }
}

impl App {
    /// Shows the handbook if it is open.
    pub(super) fn handbook_ui(&mut self, ctx: &Context) {
        if !self.handbook.shown {
            return;
        }
        let mut shown = true;
        let screen = ctx.content_rect();
        let size = Vec2::new((0.62 * screen.width()).min(780.0), (0.74 * screen.height()).min(620.0));
        let window = egui::Window::new(RichText::new("Handbook").font(FontRole::Strong.id()))
            .id(egui::Id::unique("handbook"))
            .open(&mut shown)
            .collapsible(false)
            .default_size(size)
            .default_pos(screen.right_top() + Vec2::new(-size.x - 40.0, 80.0))
            .constrain_to(screen);
        let handbook = &mut self.handbook;
        window.show(ctx, |ui| handbook_ui(ui, handbook));
        self.handbook.shown = shown;
    }
}

fn handbook_ui(ui: &mut Ui, handbook: &mut Handbook) {
    let height = ui.available_height();
    ui.horizontal_top(|ui| {
        ui.allocate_ui(Vec2::new(214.0, height), |ui| {
            ui.vertical(|ui| list_ui(ui, handbook));
        });
        ui.separator();
        ui.vertical(|ui| section_ui(ui, handbook));
    });
}

fn list_ui(ui: &mut Ui, handbook: &mut Handbook) {
    ui.set_width(206.0);
    let field = TextEdit::singleline(&mut handbook.words).hint_text("Search").desired_width(f32::INFINITY);
    ui.add(field).accessible_name("Search the handbook");
    ui.add_space(4.0);
    ScrollArea::vertical().id_salt("sections").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 1.0;
        for chapter in Chapter::ALL {
            let fitting: Vec<_> = sections()
                .iter()
                .enumerate()
                .filter(|(_, section)| section.chapter == chapter && section.has(&handbook.words))
                .collect();
            if fitting.is_empty() {
                continue;
            }
            ui.add_space(4.0);
            ui.label(RichText::new(chapter.title()).font(FontRole::Strong.id()));
            for (number, section) in fitting {
                let row = Button::selectable(handbook.open == number, section.title)
                    .right_text("")
                    .wrap()
                    .min_size(Vec2::new(ui.available_width(), 0.0));
                let row = ui.add(row).accessible_name(format!("Section: {}", section.title));
                if handbook.fresh && handbook.open == number {
                    row.scroll_to_me(Some(egui::Align::Center));
                }
                if row.clicked() {
                    handbook.open = number;
                    handbook.fresh = true;
                }
            }
        }
        if !sections().iter().any(|section| section.has(&handbook.words)) {
            ui.weak("Nothing has all these words.");
        }
    });
}

fn section_ui(ui: &mut Ui, handbook: &mut Handbook) {
    let Some(section) = sections().get(handbook.open) else { return };
    let mut area = ScrollArea::vertical().id_salt("section").auto_shrink([false, false]);
    if handbook.fresh {
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| {
        ui.set_max_width(ui.available_width().min(620.0));
        ui.weak(section.chapter.title());
        ui.heading(section.title);
        ui.add_space(6.0);
        CommonMarkViewer::new().show(ui, &mut handbook.cache, &section.text);
        ui.add_space(12.0);
    });
    handbook.fresh = false;
}
