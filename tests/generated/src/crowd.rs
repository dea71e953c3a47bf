//! As many riders and wheels as wanted.

use std::fmt::Write;

/// A project with so many riders of so many wheels each, those on the front running one way and those at the rear the
/// other, past each other.
pub fn crowd(riders: usize, wheels: usize) -> String {
    const PITCH: f64 = 28.0;
    let rows = wheels.div_ceil(2);
    let own = PITCH * rows as f64 + 40.0;
    let stroke = 400.0;
    let length = own * (riders.div_ceil(2) as f64 + 1.0) + 2.0 * stroke;
    let mut text = String::new();
    for number in 0..riders {
        let front = number % 2 == 0;
        let at = own * ((number / 2) as f64 + 0.5) + stroke + 40.0;
        let _ = write!(
            text,
            "(name: \"rider {number}\", faces: {}, at: {at}, moves: {}, stack: (screw: \"ISO 4762 M5\", pieces: [\
             (washer: \"ISO 7089 M5\"), (plate: \"deck\"), (spacer: \"tube M5\", length: 14), (shim: \"ring M5\"), \
             (wheel: \"vee wheel 24, bore 5\"), (shim: \"ring M5\"), (nut: \"DIN 985 M5\")]), plates: [(name: \"deck\", outline: \
             around(margin: 12, corner: 4), thickness: 6, material: \"PETG\")], wheels: [",
            if front { "front" } else { "rear" },
            if number == 0 {
                "lead"
            } else if front {
                "linked(1)"
            } else {
                "linked(-1)"
            },
        );
        for row in 0..rows {
            let pair = if front { "front" } else { "rear" };
            let along = PITCH * (row as f64 - 0.5 * (rows - 1) as f64);
            let _ = write!(text, "(name: \"row {row}\", pair: \"{pair}\", along: {along}), ");
        }
        text += "]), ";
    }
    format!(
        "(format: 1, name: \"Crowd\", rail: (section: \"grooved 20x40\", length: {length}), riders: [{text}], \
         stroke: (to: {stroke}))\n"
    )
}
