//! Which way riders look.

use glidewright_motion as motion;

use crate::document::Facing;

/// The side a rider looks to, as the engine has it.
pub(super) const fn facing(facing: Facing) -> motion::Facing {
    match facing {
        Facing::Front => motion::Facing::Front,
        Facing::Rear => motion::Facing::Rear,
        Facing::Right => motion::Facing::Right,
        Facing::Left => motion::Facing::Left,
    }
}
