//! Tolerance classes of ISO 2768-1.

use crate::choice::choice;

choice! {
    /// Tolerance class of ISO 2768-1.
    GeneralClass {
        /// Fine.
        F = "f",
        /// Medium.
        M = "m",
        /// Coarse.
        C = "c",
        /// Very coarse.
        V = "v",
    }
}
