//! One channel brought up to date: afresh, or only where its solids have changed.

use super::answer::ChannelSweep;
use super::channel::Channel;
use super::envelope::{self, NOTHING, positions};
use super::question::Ask;
use super::scratch::Scratch;
use super::sides::Sides;
use super::window::Window;
use super::{least, partial};

/// Brings a channel's result up to date.
pub(super) fn channel(channel: &mut Channel, sides: &Sides<'_>, ask: &Ask, scratch: &mut Scratch) {
    let window = Window::of(sides.a, sides.b, sides.same);
    let seen = (sides.a.version, sides.b.version);
    channel.kernels.leaves_out_depths = !channel.has_depths;
    let kept = channel.kernels.begin(sides.a.members.len(), sides.b.members.len());
    let same_question = channel.asked == Some((*ask, window));
    if same_question && channel.seen == seen {
        return;
    }
    if kept
        && same_question
        && window.is_sound(ask.from, ask.to)
        && partial::sweep(channel, sides, ask, &window, scratch)
    {
        channel.seen = seen;
        return;
    }
    channel.asked = Some((*ask, window));
    channel.seen = seen;
    channel.near.clear();
    channel.least = None;
    channel.result = ChannelSweep::NOTHING;
    if !window.is_sound(ask.from, ask.to) {
        return;
    }
    let mut seed = None;
    if window.slope != 0.0 && channel.has_envelope {
        channel.result.envelope = vec![NOTHING; positions(ask)];
        seed = envelope::range(channel, sides, ask, &window, (0, positions(ask) - 1), scratch);
    }
    least::near(channel, sides, ask, &window, &mut scratch.apart);
    channel.least = least::least_of_near(channel, None, ask)
        .or_else(|| least::sought(channel, sides, ask, &window, &mut scratch.apart, seed));
    envelope::finish(channel, sides, ask, &window);
}
