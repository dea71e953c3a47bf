//! Reading rows from a table.

use serde::de::DeserializeOwned;

/// The tables, compiled in.
pub(super) mod text {
    macro_rules! tables {
        ($($name:ident = $file:literal;)*) => {
            $(pub const $name: &str = include_str!(concat!("../../../../assets/tables/", $file));)*
        };
    }
    tables! {
        NUTS = "nuts.csv";
        SCREWS = "screws.csv";
        SCREW_LENGTHS = "screw_lengths.csv";
        WASHERS = "washers.csv";
        BEARINGS = "bearings.csv";
        BEARING_CLASSES = "bearing_classes.csv";
        INSERTS = "inserts.csv";
        CLEARANCE_HOLES = "clearance_holes.csv";
        MATERIALS = "materials.csv";
        GENERAL = "general_tolerances.csv";
        GRADES = "it_grades.csv";
        WHEELS = "wheels.csv";
        RAILS = "rails.csv";
        PROFILE_LIMITS = "profile_limits.csv";
        BARS = "bars.csv";
        BELTS = "belts.csv";
        PULLEYS = "pulleys.csv";
        RINGS = "rings.csv";
        THREADS = "threads.csv";
        REMARKS = "remarks.csv";
        PLAIN_NAMES = "plain_names.csv";
        GUIDE_PRICES = "guide_prices.csv";
    }
}

/// The rows of a table. A row that cannot be read is left out; a test holds that there is none.
pub(super) fn rows<T: DeserializeOwned>(table: &str) -> Vec<T> {
    csv::ReaderBuilder::new()
        .trim(csv::Trim::All)
        .from_reader(table.as_bytes())
        .deserialize()
        .flatten()
        .collect()
}

/// Number of rows of a table, without its heading.
#[cfg(test)]
pub(super) fn count(table: &str) -> usize {
    csv::Reader::from_reader(table.as_bytes()).into_records().count()
}
