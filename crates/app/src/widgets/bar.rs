//! A bar with something at its left and something at its right: what is at the right is never pushed out.

use egui::{Align, Layout, Rect, Ui, Vec2};

/// Lays out both: the right part gets the width it took in the frame before, the left part what remains of the bar and
/// is cut off there. They keep their order for the keyboard: left first.
pub fn bar_ui<With>(
    ui: &mut Ui,
    with: &mut With,
    left: impl FnOnce(&mut Ui, &mut With),
    right: impl FnOnce(&mut Ui, &mut With),
) {
    let key = ui.scope_id().with("width at the right");
    let kept: Option<f32> = ui.data(|data| data.get_temp(key));
    let gap = ui.spacing().item_spacing.x;
    let size = Vec2::new((ui.available_width() - kept.unwrap_or(0.0) - gap).max(0.0), ui.available_height());
    let (rect, _) = ui.allocate_exact_size(size, egui::Sense::hover());
    let mut part =
        ui.new_child(egui::UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)));
    part.set_clip_rect(rect.expand2(Vec2::new(0.0, gap)).intersect(ui.clip_rect()));
    left(&mut part, with);
    let used = ui.with_layout(Layout::right_to_left(Align::Center), |ui| right(ui, with)).response.rect;
    note(ui, key, kept, used);
}

/// The same with a left part that takes as many rows as it needs; the right part stands beside the first.
pub fn wrapped_bar_ui<With>(
    ui: &mut Ui,
    with: &mut With,
    left: impl FnOnce(&mut Ui, &mut With),
    right: impl FnOnce(&mut Ui, &mut With),
) {
    let key = ui.scope_id().with("width at the right");
    let kept: Option<f32> = ui.data(|data| data.get_temp(key));
    let gap = ui.spacing().item_spacing.x;
    let width = (ui.available_width() - kept.unwrap_or(0.0) - 2.0 * gap).max(60.0);
    ui.allocate_ui_with_layout(Vec2::new(width, 0.0), Layout::top_down(Align::Min), |ui| {
        ui.set_width(width);
        left(ui, with);
    });
    let room = Vec2::new(ui.available_width(), ui.spacing().interact_size.y);
    let layout = Layout::right_to_left(Align::Center);
    let used = ui.allocate_ui_with_layout(room, layout, |ui| right(ui, with)).response.rect;
    note(ui, key, kept, used);
}

/// Keeps the width for the next frame, and asks for that where it has changed.
fn note(ui: &Ui, key: egui::Id, kept: Option<f32>, used: Rect) {
    match kept {
        None => ui.ctx().request_discard("how wide the right part of a bar is becomes known"),
        Some(kept) if (kept - used.width()).abs() > 0.5 => ui.ctx().request_repaint(),
        Some(_) => return,
    }
    ui.data_mut(|data| data.insert_temp(key, used.width()));
}
