//! The program's own invented, generic parts: wheels, rails, belts, pulleys, spacers.

use serde::Deserialize;

use super::rows::{rows, text};
use super::standards::certainties;
use crate::certainty::Certainty;
use crate::document::{
    BeltKind, BeltPart, Choice, EccentricPart, GroovedPart, Part, PartForm, PulleyPart, PulleyRim, RailPart,
    RingPart, Running, WheelPart,
};
use crate::size::{Angle, Force, Length, LinearDensity, Mass, Number};
use crate::tolerance::{GeneralClass, Tolerance};

/// `former`: what it was called in earlier versions, so that their files are still read.
fn ware(name: String, former: &str, form: PartForm, material: String, cost: f64, about: About) -> Part {
    let also = if former.is_empty() { Vec::new() } else { vec![former.to_owned()] };
    let About { certainty, note } = about;
    Part { also, material, cost: Some(cost), certainty: Some(certainty), note, ..Part::new(name, form) }
}

/// Where a row's values come from.
struct About {
    certainty: Certainty,
    note: String,
}

/// A size with the general tolerance (ISO 2768-1) of its row's class.
fn general(size: f64, class: &str) -> Length {
    let mut known = GeneralClass::M;
    let length = Length::of(size);
    if known.choose(class) { length.with_tolerance(Tolerance::General(known)) } else { length }
}

#[derive(Deserialize)]
struct WheelRow {
    name: String,
    former: String,
    kind: String,
    outer_mm: f64,
    width_mm: f64,
    hub_mm: f64,
    tip_mm: Option<f64>,
    half_angle_deg: Option<f64>,
    profile_radius_mm: Option<f64>,
    bearing: String,
    bearings: f64,
    material: String,
    mass_g: f64,
    general: String,
    cost: f64,
    certainty: Certainty,
    note: String,
}

pub(super) fn wheels() -> Vec<Part> {
    rows::<WheelRow>(text::WHEELS)
        .into_iter()
        .filter_map(|row| {
            let running = match row.kind.as_str() {
                "vee" => Running::Vee { tip: row.tip_mm?.into(), half_angle: Angle::of(row.half_angle_deg?) },
                "flat" => Running::Flat,
                "crowned" => Running::Crowned { radius: row.profile_radius_mm?.into() },
                "grooved" => Running::Grooved { radius: row.profile_radius_mm?.into() },
                _ => return None,
            };
            let form = PartForm::Wheel(WheelPart {
                running,
                outer: general(row.outer_mm, &row.general),
                width: row.width_mm.into(),
                hub: general(row.hub_mm, &row.general),
                bearing: row.bearing,
                bearings: row.bearings.into(),
            });
            let mass = Some(Mass::of(row.mass_g));
            Some(Part {
                mass,
                ..ware(
                    row.name,
                    &row.former,
                    form,
                    row.material,
                    row.cost,
                    About { certainty: row.certainty, note: row.note },
                )
            })
        })
        .collect()
}

/// Limits of a size of an extruded profile (EN 12020-2).
#[derive(Deserialize)]
struct ProfileRow {
    over_mm: f64,
    to_mm: f64,
    plus_minus_mm: f64,
}

#[derive(Deserialize)]
struct RailRow {
    name: String,
    module_mm: f64,
    columns: f64,
    rows: f64,
    mouth_mm: f64,
    half_angle_deg: f64,
    channel_mm: f64,
    lip_mm: f64,
    cavity_mm: f64,
    bottom_mm: f64,
    depth_mm: f64,
    corner_mm: f64,
    bore_mm: f64,
    chamber_mm: Option<f64>,
    material: String,
    cost_per_m: f64,
    certainty: Certainty,
    chamber_certainty: Option<Certainty>,
    note: String,
}

#[derive(Deserialize)]
struct BarRow {
    name: String,
    kind: String,
    width_mm: f64,
    depth_mm: f64,
    corner_mm: Option<f64>,
    material: String,
    cost_per_m: f64,
    certainty: Certainty,
    note: String,
}

pub(super) fn rails() -> Vec<Part> {
    let limits = rows::<ProfileRow>(text::PROFILE_LIMITS);
    // So many of a size together are an overall size; each takes its share of what that may be off.
    let profile = |size: f64, count: f64| {
        let row = limits.iter().find(|row| size * count > row.over_mm && size * count <= row.to_mm);
        row.map(|row| row.plus_minus_mm / count)
    };
    let extruded = |size: f64, counts: &[f64]| {
        let widest = counts.iter().filter_map(|count| profile(size, *count)).reduce(f64::max);
        widest.map_or_else(
            || size.into(),
            |widest| Length::of(size).with_tolerance(Tolerance::PlusMinus(widest)),
        )
    };
    let grooved = rows::<RailRow>(text::RAILS).into_iter().map(|row| {
        let form = PartForm::Rail(RailPart::Grooved(GroovedPart {
            module: extruded(row.module_mm, &[row.columns, row.rows]),
            columns: Number::of(row.columns),
            rows: Number::of(row.rows),
            mouth: extruded(row.mouth_mm, &[1.0]),
            half_angle: Angle::of(row.half_angle_deg),
            channel: row.channel_mm.into(),
            lip: row.lip_mm.into(),
            cavity: row.cavity_mm.into(),
            bottom: row.bottom_mm.into(),
            depth: row.depth_mm.into(),
            corner: row.corner_mm.into(),
            bore: row.bore_mm.into(),
            chamber: row.chamber_mm.unwrap_or(0.0).into(),
        }));
        let certainty_of = certainties([("chamber", row.chamber_certainty)]);
        let about = About { certainty: row.certainty, note: row.note };
        Part { certainty_of, ..ware(row.name, "", form, row.material, row.cost_per_m, about) }
    });
    let bars = rows::<BarRow>(text::BARS).into_iter().filter_map(|row| {
        let rail = match row.kind.as_str() {
            "flat bar" => RailPart::FlatBar {
                width: row.width_mm.into(),
                depth: row.depth_mm.into(),
                corner: row.corner_mm.unwrap_or(0.0).into(),
            },
            "rod" => RailPart::Rod { diameter: row.width_mm.into() },
            _ => return None,
        };
        Some(ware(
            row.name,
            "",
            PartForm::Rail(rail),
            row.material,
            row.cost_per_m,
            About { certainty: row.certainty, note: row.note },
        ))
    });
    grooved.chain(bars).collect()
}

#[derive(Deserialize)]
struct BeltRow {
    name: String,
    former: String,
    kind: String,
    pitch_mm: Option<f64>,
    width_mm: f64,
    thickness_mm: f64,
    mass_g_per_m: f64,
    cost_per_m: f64,
    working_pull_n: Option<f64>,
    pitch_line_mm: Option<f64>,
    least_teeth: Option<f64>,
    thickness_certainty: Option<Certainty>,
    pull_certainty: Option<Certainty>,
    rim_certainty: Option<Certainty>,
    certainty: Certainty,
    note: String,
}

pub(super) fn belts() -> Vec<Part> {
    rows::<BeltRow>(text::BELTS)
        .into_iter()
        .filter_map(|row| {
            let kind = match row.kind.as_str() {
                "toothed" => BeltKind::Toothed { pitch: row.pitch_mm?.into() },
                "flat" => BeltKind::Flat,
                "cord" => BeltKind::Cord,
                _ => return None,
            };
            let form = PartForm::Belt(BeltPart {
                kind,
                width: row.width_mm.into(),
                thickness: row.thickness_mm.into(),
                mass_per_length: LinearDensity::of(row.mass_g_per_m),
                working_pull: row.working_pull_n.map(Force::of),
                pitch_line: row.pitch_line_mm.map(Length::of),
                least_teeth: row.least_teeth.map(Number::of),
            });
            let certainty_of = certainties([
                ("thickness", row.thickness_certainty),
                ("working_pull", row.pull_certainty),
                ("pitch_line", row.rim_certainty),
                ("least_teeth", row.rim_certainty),
            ]);
            let about = About { certainty: row.certainty, note: row.note };
            Some(Part {
                certainty_of,
                ..ware(row.name, &row.former, form, String::new(), row.cost_per_m, about)
            })
        })
        .collect()
}

#[derive(Deserialize)]
struct PulleyRow {
    name: String,
    former: String,
    kind: String,
    diameter_mm: Option<f64>,
    teeth: Option<f64>,
    pitch_mm: Option<f64>,
    width_mm: f64,
    bore_mm: f64,
    bearings: Option<f64>,
    material: String,
    cost: f64,
    certainty: Certainty,
    note: String,
}

pub(super) fn pulleys() -> Vec<Part> {
    rows::<PulleyRow>(text::PULLEYS)
        .into_iter()
        .filter_map(|row| {
            let rim = match row.kind.as_str() {
                "plain" => PulleyRim::Plain { diameter: row.diameter_mm?.into() },
                "toothed" => {
                    PulleyRim::Toothed { teeth: Number::of(row.teeth?), pitch: row.pitch_mm?.into() }
                }
                _ => return None,
            };
            let form = PartForm::Pulley(PulleyPart {
                rim,
                width: row.width_mm.into(),
                bore: row.bore_mm.into(),
                bearings: Number::of(row.bearings.unwrap_or(0.0)),
                inertia: None,
            });
            Some(ware(
                row.name,
                &row.former,
                form,
                row.material,
                row.cost,
                About { certainty: row.certainty, note: row.note },
            ))
        })
        .collect()
}

#[derive(Deserialize)]
struct RingRow {
    name: String,
    kind: String,
    hole_mm: f64,
    outer_mm: f64,
    length_mm: f64,
    offset_mm: Option<f64>,
    material: String,
    general: String,
    below_mm: Option<f64>,
    cost: f64,
    certainty: Certainty,
    note: String,
}

pub(super) fn rings() -> Vec<Part> {
    rows::<RingRow>(text::RINGS)
        .into_iter()
        .filter_map(|row| {
            let (hole, outer): (Length, Length) = (row.hole_mm.into(), row.outer_mm.into());
            let length = match row.below_mm {
                Some(below) => {
                    let limits = Tolerance::Between(row.length_mm - below, row.length_mm);
                    Length::of(row.length_mm).with_tolerance(limits)
                }
                None => general(row.length_mm, &row.general),
            };
            let form = match row.kind.as_str() {
                "spacer" => PartForm::Spacer(RingPart { hole, outer, length }),
                "shim" => PartForm::Shim(RingPart { hole, outer, length }),
                "eccentric" => PartForm::Eccentric(EccentricPart {
                    hole,
                    outer,
                    length,
                    offset: row.offset_mm?.into(),
                    boss: None,
                }),
                _ => return None,
            };
            Some(ware(
                row.name,
                "",
                form,
                row.material,
                row.cost,
                About { certainty: row.certainty, note: row.note },
            ))
        })
        .collect()
}
