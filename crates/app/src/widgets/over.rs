//! What lies over the window until it is done with.

use egui::{Context, Frame, Id, Margin, Modal};

/// A sheet over the window, with room round what is on it; `name` sets it apart from others.
pub fn over(ctx: &Context, name: &str) -> Modal {
    let frame = Frame::popup(&ctx.global_style()).inner_margin(Margin::symmetric(18, 14));
    Modal::new(Id::unique(name)).frame(frame)
}
