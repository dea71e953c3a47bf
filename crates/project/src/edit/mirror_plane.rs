//! The planes riders and obstacles are mirrored in.

/// The plane to mirror in; it holds the rail's centre line, or for [`MirrorPlane::Lengthwise`] stands square
/// to it at the rider's origin or the rail's middle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MirrorPlane {
    /// Front becomes rear.
    FrontRear,
    /// Left becomes right.
    LeftRight,
    /// The two ends change places.
    Lengthwise,
}
