//! The coefficients results hang on, with where each comes from.

use crate::{Basis, Coefficient, Fixture, LineNode, PieceKind, PulleyKind};

/// A coefficient that results hang on.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedCoefficient {
    /// What it is, for a reader.
    pub name: String,
    /// Where the document holds it, or would hold it, as a path.
    pub path: String,
    /// Its value and where that comes from.
    pub coefficient: Coefficient,
    /// Its unit; empty for a plain number.
    pub unit: &'static str,
}

/// Every coefficient the results of `fixture` hang on; those it has no use for (of shoes, where there are
/// none) are left out.
pub fn coefficients(fixture: &Fixture) -> Vec<NamedCoefficient> {
    let mut list = Vec::new();
    let mut add = |name: &str, path: &str, coefficient: &Coefficient, unit: &'static str| {
        let path = path.to_owned();
        list.push(NamedCoefficient { name: name.into(), path, coefficient: coefficient.clone(), unit });
    };
    let resistance = &fixture.resistance;
    let wheels = || fixture.riders.iter().flat_map(|rider| &rider.wheels);
    let pulleys = || {
        fixture.line.iter().flat_map(|line| &line.nodes).filter_map(|node| match node {
            LineNode::Pulley(pulley) => Some(pulley),
            LineNode::Anchor { .. } => None,
        })
    };
    let turning = pulleys().any(|pulley| pulley.kind == PulleyKind::Idler && pulley.bearings > 0);
    if wheels().next().is_some() || turning {
        add("friction of ball bearings at their bore", "resistance/bearing", &resistance.bearing, "");
        add(
            "no-load torque of a bearing (grease, seals)",
            "resistance/no_load_torque",
            &resistance.no_load_torque,
            "N·mm",
        );
    }
    if wheels().next().is_some() {
        add("sliding friction of tyre on rail", "resistance/flank", &resistance.flank, "");
        add("loss factor of the tyre", "resistance/hysteresis", &resistance.hysteresis, "");
    }
    for mount in wheels() {
        for piece in &mount.stack.pieces {
            let PieceKind::Wheel(wheel) = &piece.kind else { continue };
            let Some(torque) = &wheel.bearing.no_load_torque else { continue };
            let path = format!("parts/{}/no_load_torque", wheel.bearing.name);
            add(&format!("no-load torque of a bearing {}", wheel.bearing.name), &path, torque, "N·mm");
        }
    }
    let shoes = || fixture.riders.iter().flat_map(|rider| &rider.shoes);
    if shoes().any(|shoe| shoe.friction.is_none()) {
        add("sliding friction of a plain shoe", "resistance/shoe", &resistance.shoe, "");
    }
    for shoe in shoes() {
        if let Some(friction) = &shoe.friction {
            let path = format!("{}/friction", shoe.path);
            add(&format!("sliding friction of the shoe {}", shoe.name), &path, friction, "");
        }
    }
    add("breakaway over running resistance", "resistance/start_factor", &resistance.start_factor, "");
    if let Some(line) = &fixture.line {
        if pulleys().any(|pulley| pulley.kind != PulleyKind::Post) {
            add("share of the pull lost in bending the line", "line/bending_loss", &line.bending_loss, "");
        }
        if pulleys().any(|pulley| pulley.kind == PulleyKind::Post) {
            add("sliding friction on a fixed post", "line/post_friction", &line.post_friction, "");
        }
        if pulleys().any(|pulley| pulley.kind == PulleyKind::Driven) {
            add("pretension of the line", "line/pretension", &line.pretension, "N");
        }
    }
    let mut seen: Vec<String> = Vec::new();
    list.retain(|named| {
        let first = !seen.contains(&named.path);
        seen.push(named.path.clone());
        first
    });
    list
}

impl NamedCoefficient {
    /// Whether nobody has measured or looked it up.
    pub fn is_assumed(&self) -> bool {
        self.coefficient.basis == Basis::Assumed
    }
}
