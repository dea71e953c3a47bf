//! The coefficients results hang on, with where each comes from.

use crate::{Coefficient, Fixture, LineNode, PieceKind, PulleyKind};

/// A coefficient that results hang on.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedCoefficient {
    /// What it is, for a reader.
    pub name: String,
    /// Its value, where that comes from and where the document holds it.
    pub coefficient: Coefficient,
    /// Its unit; empty for a plain number.
    pub unit: &'static str,
}

/// Every coefficient the results of `fixture` hang on; those it has no use for (of shoes, where there are
/// none) are left out.
pub fn coefficients(fixture: &Fixture) -> Vec<NamedCoefficient> {
    let mut list = Vec::new();
    let mut add = |name: &str, coefficient: &Coefficient, unit: &'static str| {
        list.push(NamedCoefficient { name: name.into(), coefficient: coefficient.clone(), unit });
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
        add("friction of ball bearings at their bore", &resistance.bearing, "");
        add("no-load torque of a bearing (grease, seals)", &resistance.no_load_torque, "N·mm");
    }
    if wheels().next().is_some() {
        add("sliding friction of tyre on rail", &resistance.flank, "");
        add("loss factor of the tyre", &resistance.hysteresis, "");
    }
    for mount in wheels() {
        for piece in &mount.stack.pieces {
            let PieceKind::Wheel(wheel) = &piece.kind else { continue };
            let Some(torque) = &wheel.bearing.no_load_torque else { continue };
            add(&format!("no-load torque of a bearing {}", wheel.bearing.name), torque, "N·mm");
        }
    }
    let shoes = || fixture.riders.iter().flat_map(|rider| &rider.shoes);
    if shoes().any(|shoe| shoe.friction.is_none()) {
        add("sliding friction of a plain shoe", &resistance.shoe, "");
    }
    for shoe in shoes() {
        if let Some(friction) = &shoe.friction {
            add(&format!("sliding friction of the shoe {}", shoe.name), friction, "");
        }
    }
    add("breakaway over running resistance", &resistance.start_factor, "");
    if let Some(line) = &fixture.line {
        if pulleys().any(|pulley| pulley.kind != PulleyKind::Post) {
            add("share of the pull lost in bending the line", &line.bending_loss, "");
        }
        if pulleys().any(|pulley| pulley.kind == PulleyKind::Post) {
            add("sliding friction on a fixed post", &line.post_friction, "");
        }
        if pulleys().any(|pulley| pulley.kind == PulleyKind::Driven) {
            add("pretension of the line", &line.pretension, "N");
        }
    }
    // Wheels share their part's.
    let mut seen: Vec<(String, String)> = Vec::new();
    list.retain(|named: &NamedCoefficient| {
        let key = (named.name.clone(), named.coefficient.path.clone());
        let first = !seen.contains(&key);
        seen.push(key);
        first
    });
    list
}

impl NamedCoefficient {
    /// Whether nobody has measured or looked it up.
    pub fn is_assumed(&self) -> bool {
        self.coefficient.is_assumed()
    }
}
