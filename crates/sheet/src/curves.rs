//! The curves over travel as a table for spreadsheets.

use glidewright_motion::{BodyId, Fixture, Results};

use crate::error::SheetError;

/// The curves as CSV (RFC 4180): one line per station, a column per curve, names carry the unit. A value that
/// does not exist is an empty field; decimals are written in full, with a point.
///
/// Columns: `travel_mm`, `gap_mm` (the tightest gap of what passes), `gap_spread_mm` (its worst-case
/// tolerance), `gap_between` (the two bodies), `imbalance_n`, `running_up_n`, `running_down_n`,
/// `breakaway_up_n`, `breakaway_down_n`, `effort_up_n`, `effort_down_n`, `torque_up_nmm`, `torque_down_nmm`, then per wheel `load_n` (sum of the normal forces on
/// its flanks) and `pressure_mpa`, followed by its rider and name.
///
/// # Errors
/// When the CSV library refuses.
pub fn curves_csv(fixture: &Fixture, results: &Results) -> Result<String, SheetError> {
    let failed = |message: String| SheetError::Writer { format: "CSV", message };
    let curves = &results.curves;
    let band = &results.interference.band.points;
    let mut writer = csv::Writer::from_writer(Vec::new());
    let mut header: Vec<String> = [
        "travel_mm",
        "gap_mm",
        "gap_spread_mm",
        "gap_between",
        "imbalance_n",
        "running_up_n",
        "running_down_n",
        "breakaway_up_n",
        "breakaway_down_n",
        "effort_up_n",
        "effort_down_n",
        "torque_up_nmm",
        "torque_down_nmm",
    ]
    .map(str::to_owned)
    .to_vec();
    for rider in &fixture.riders {
        for wheel in &rider.wheels {
            header.push(format!("load_n {}: {}", rider.name, wheel.name));
            header.push(format!("pressure_mpa {}: {}", rider.name, wheel.name));
        }
    }
    writer.write_record(&header).map_err(|e| failed(e.to_string()))?;
    let label = |id: BodyId| results.assembly.body(id).map_or("", |b| b.label.as_str());
    let columns = [
        &curves.imbalance,
        &curves.running_up,
        &curves.running_down,
        &curves.breakaway_up,
        &curves.breakaway_down,
        &curves.effort_up,
        &curves.effort_down,
        &curves.torque_up,
        &curves.torque_down,
    ];
    for (station, travel) in curves.travel.iter().enumerate() {
        let point = band.get(station);
        let mut record = vec![
            field(Some(*travel)),
            field(point.map(|p| p.gap)),
            field(point.filter(|p| p.pair.is_some()).map(|p| p.spread)),
            point.and_then(|p| p.pair).map_or(String::new(), |(a, b)| format!("{} / {}", label(a), label(b))),
        ];
        record.extend(columns.iter().map(|column| field(column.get(station).copied())));
        for (number, rider) in fixture.riders.iter().enumerate() {
            let loads = curves.loads.get(number).and_then(|stations| stations.get(station));
            for wheel in 0..rider.wheels.len() {
                let load = loads.and_then(|l| l.wheels.get(wheel));
                record.push(field(load.map(|l| l.normal)));
                record.push(field(load.map(|l| l.pressure)));
            }
        }
        writer.write_record(&record).map_err(|e| failed(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| failed(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| failed(e.to_string()))
}

/// A number as a field: empty when there is none.
fn field(value: Option<f64>) -> String {
    value.filter(|v| v.is_finite()).map_or(String::new(), |v| v.to_string())
}
