//! Stand-ins until the drawing knows these.
use glidewright_sheet::views::StripKind;
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Default)]
pub enum StripAxis {
    #[default]
    Travel,
    Reach,
}
pub const USUAL: [StripKind; 4] = StripKind::ALL;
pub const fn name(kind: StripKind) -> &'static str {
    match kind {
        StripKind::Clearance => "clearance",
        StripKind::Effort => "effort",
        StripKind::Torque => "torque",
        StripKind::WheelLoads => "wheel-loads",
    }
}
pub fn named(text: &str) -> Option<StripKind> {
    StripKind::ALL.into_iter().find(|kind| name(*kind) == text)
}
