//! The regions of the window, gone round with one key.

use std::collections::BTreeMap;

use egui::{Context, Id, Rect, Response};

/// A region of the window, in the order they are gone round.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Region {
    /// The trials above the drawing.
    Trials,
    /// The list of parts.
    Parts,
    /// The drawing.
    Drawing,
    /// The findings.
    Findings,
    /// The tables below.
    Tables,
}

/// Where the regions lie, as they were drawn last: frame, place.
type Places = BTreeMap<Region, (u64, Rect)>;

fn places_id() -> Id {
    Id::unique("regions")
}

fn wanted_id() -> Id {
    Id::unique("region wanted")
}

impl Region {
    /// Notes where it lies.
    pub fn note(self, ctx: &Context, rect: Rect) {
        let frame = ctx.cumulative_frame_nr();
        ctx.data_mut(|data| {
            data.get_temp_mut_or_default::<Places>(places_id()).insert(self, (frame, rect));
        });
    }

    /// Gives the keyboard to a widget of its that stands for it, if the region is to have it.
    pub fn anchor(self, response: &Response) {
        let wanted = response.ctx.data(|data| data.get_temp::<Self>(wanted_id()));
        if wanted == Some(self) {
            response.request_focus();
            response.scroll_to_me(None);
            response.ctx.data_mut(|data| data.remove::<Self>(wanted_id()));
        }
    }
}

/// Goes to the next region, or to the one before.
pub fn go_round(ctx: &Context, on: bool) {
    let now = ctx.cumulative_frame_nr();
    let places = ctx.data(|data| data.get_temp::<Places>(places_id())).unwrap_or_default();
    let shown: Vec<(Region, Rect)> = places
        .into_iter()
        .filter(|(_, (frame, _))| now.saturating_sub(*frame) <= 1)
        .map(|(region, (_, rect))| (region, rect))
        .collect();
    let focused = ctx.memory(|memory| memory.focused()).and_then(|id| ctx.read_response(id));
    // Where nothing has the keyboard, the drawing answers the keys.
    let at = focused.map_or_else(
        || shown.iter().position(|(region, _)| *region == Region::Drawing),
        |response| shown.iter().position(|(_, rect)| rect.contains(response.rect.center())),
    );
    let count = shown.len();
    let next = match (at, on) {
        (Some(at), true) => (at + 1) % count.max(1),
        (Some(at), false) => (at + count.max(1) - 1) % count.max(1),
        (None, _) => 0,
    };
    if let Some((region, _)) = shown.get(next) {
        ctx.data_mut(|data| data.insert_temp(wanted_id(), *region));
        ctx.request_repaint();
    }
}
