//! What keeps a rider from sliding along the rail while it stands.

/// The forces along the rail that keep a rider where it stands (N, positive towards growing x), beside its weight, what
/// is applied to it, and the line as it pulls without friction. All are 0 where those balance, and where the rider tips off
/// its contacts.
///
/// Friction of its own wheels and shoes, and of what drags on it, holds as far as it can; what is left falls to the
/// friction of whatever the line ties it to, if that is enough; then to the hand at its grip. What is left then is held
/// by nothing: the rider slides, and its inertia takes that force, at its centre of mass.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct HeldAlong {
    /// By friction at its contacts, and by what drags on it.
    pub friction: f64,
    /// By friction of what the line ties it to, through the line.
    pub line: f64,
    /// By a hand at its grip.
    pub grip: f64,
    /// By nothing.
    pub nothing: f64,
}
