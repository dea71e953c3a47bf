//! How slowly does a rider wobble on its wheels?

use nalgebra::{DMatrix, Matrix5, Vector5};

use super::Known;
use crate::loads::{Contact, LoadCase, Support};
use crate::phrase::{length, phrase};
use crate::{Finding, MassItem, Remedy, Severity};

/// Below this a rider, or a rail with its riders, swings visibly when it is touched, and long (Hz; own assumption).
pub(super) const SWINGS: f64 = 8.0;

/// Every part is taken as wide as a ball of this radius, for its own inertia (mm; own assumption).
const OWN: f64 = 15.0;

/// A contact that is open by less than this counts as touching (mm; own choice: less than any wheel runs true).
const TOUCHING: f64 = 0.02;

/// kg·mm²/s² in an N·mm.
const PER_NEWTON: f64 = 1e3;

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    (0..known.fixture.riders.len()).filter_map(|rider| swings(known, rider)).collect()
}

fn swings(known: &Known<'_>, number: usize) -> Option<Finding> {
    let rider = known.fixture.riders.get(number)?;
    let placed = known.assembly.riders.get(number)?;
    let loads = known.curves.loads.get(number)?.first().filter(|loads| loads.is_held())?;
    let case = LoadCase::new(known.fixture, known.assembly, number);
    // What just touches pushes back as soon as it is moved towards it.
    let touches = |contact: &Contact, force: f64| force > 0.0 || contact.spring.closure > -TOUCHING;
    let pressed: Vec<(&Contact, f64)> = case
        .contacts()
        .iter()
        .zip(&loads.equilibrium.forces)
        .filter(|(contact, force)| touches(contact, **force))
        .map(|(contact, force)| (contact, contact.softening().stiffness(*force).0))
        .collect();
    let stiffness = stiffness(&pressed, case.supports())?;
    let hertz = lowest(&stiffness, &inertia(&placed.mass.items))?;
    (hertz < SWINGS).then(|| Finding {
        code: "rider.swings",
        severity: Severity::Note,
        title: format!("{} swings on its wheels at {hertz:.1} Hz", rider.name).into(),
        reason: phrase![
            format!(
                "Lowest of its natural frequencies, as a rigid body on the springs of its wheels and axles. Below {SWINGS:.0} Hz it swings visibly when it is touched and takes long to come to rest (own assumption). Its mass stands "
            ),
            length(placed.mass.centre().dot(rider.facing.outward()), 0),
            " off the rail's middle. Wheels further apart, stiffer axles or a load closer to the rail make it quicker."
        ],
        paths: vec![rider.path.clone()],
        value: Some(hertz),
        limit: Some(SWINGS),
        unit: "Hz",
        remedies: vec![Remedy {
            text: "wheels further apart, or the load closer to the rail".into(),
            path: Some(rider.path.clone()),
            by: None,
        }],
        ..Finding::blank()
    })
}

/// Stiffness of a rider's five motions (shift y, z; turn x, y, z) on contacts of stiffnesses (N/mm), the axles'
/// motions eliminated.
fn stiffness(pressed: &[(&Contact, f64)], supports: &[Support]) -> Option<Matrix5<f64>> {
    let size = 5 + 2 * supports.len();
    let mut whole = DMatrix::<f64>::zeros(size, size);
    for (number, support) in supports.iter().enumerate() {
        whole.view_mut((5 + 2 * number, 5 + 2 * number), (2, 2)).copy_from(&support.stiffness);
    }
    for (contact, stiffness) in pressed {
        let spring = &contact.spring;
        let arm = spring.point.cross(spring.normal);
        let mut row = DMatrix::<f64>::zeros(size, 1);
        for (place, value) in [spring.normal.y, spring.normal.z, arm.x, arm.y, arm.z].into_iter().enumerate()
        {
            row[(place, 0)] = value;
        }
        if let Some(give) = spring.give {
            row[(5 + 2 * give.support, 0)] = give.per.x;
            row[(6 + 2 * give.support, 0)] = give.per.y;
        }
        whole += &row * row.transpose() * *stiffness;
    }
    let rider = whole.view((0, 0), (5, 5)).into_owned();
    let mixed = whole.view((0, 5), (5, size - 5)).into_owned();
    let own = whole.view((5, 5), (size - 5, size - 5)).into_owned();
    let reduced =
        if supports.is_empty() { rider } else { rider - &mixed * own.lu().solve(&mixed.transpose())? };
    let fixed = Matrix5::from_iterator(reduced.iter().copied());
    fixed.iter().all(|value| value.is_finite()).then_some(fixed)
}

/// Mass matrix for the same motions (kg, kg·mm, kg·mm²), about the rider's origin.
fn inertia(items: &[MassItem]) -> Matrix5<f64> {
    let mut whole = Matrix5::zeros();
    for item in items {
        let (m, c) = (item.mass, item.centre);
        // A place moves by δ + θ × c; along x it does not.
        let rows = [Vector5::new(1.0, 0.0, -c.z, 0.0, c.x), Vector5::new(0.0, 1.0, c.y, -c.x, 0.0)];
        for row in rows {
            whole += row * row.transpose() * m;
        }
        // Along x it goes round with pitch and yaw.
        let along = Vector5::new(0.0, 0.0, 0.0, c.z, -c.y);
        whole += along * along.transpose() * m;
        for turn in 2..5 {
            whole[(turn, turn)] += 0.4 * m * OWN * OWN;
        }
    }
    whole
}

/// Lowest natural frequency (Hz) of K x = ω² M x: the least eigenvalue of L⁻¹ K L⁻ᵀ, M = L Lᵀ.
fn lowest(stiffness: &Matrix5<f64>, mass: &Matrix5<f64>) -> Option<f64> {
    let lower = mass.cholesky()?.l();
    let half = lower.solve_lower_triangular(stiffness)?;
    let whole = lower.solve_lower_triangular(&half.transpose())?;
    let values = (0.5 * (whole + whole.transpose())).symmetric_eigenvalues();
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    (least > 0.0).then(|| (PER_NEWTON * least).sqrt() / std::f64::consts::TAU)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One mass on springs that do not couple: √(k/m)/2π each (textbook); the least is told. Two kilograms on 200 N/mm:
    /// 50.33 Hz.
    #[test]
    fn springs_that_do_not_couple() {
        let mass = Matrix5::from_diagonal(&Vector5::new(2.0, 2.0, 500.0, 500.0, 500.0));
        let stiff = Matrix5::from_diagonal(&Vector5::new(200.0, 900.0, 1e6, 1e6, 1e6));
        let expected = (1e3_f64 * 200.0 / 2.0).sqrt() / std::f64::consts::TAU;
        assert!((lowest(&stiff, &mass).unwrap() - expected).abs() < 1e-9);
        assert!((expected - 50.329).abs() < 1e-3);
    }

    /// A mass that stands h above springs k at ±a: the pendulum upside down, ω² = k(2a²)/(m h² + I) for its roll while
    /// shifts are held (moments about the origin, by hand).
    #[test]
    fn a_mass_on_a_stalk() {
        let item = MassItem {
            label: String::new(),
            path: String::new(),
            mass: 1.5,
            centre: glam::DVec3::new(0.0, 0.0, 80.0),
            is_load: false,
        };
        let inertia = inertia(&[item]);
        let about_x = 1.5 * 80.0 * 80.0 + 0.4 * 1.5 * OWN * OWN;
        assert!((inertia[(2, 2)] - about_x).abs() < 1e-9 && (inertia[(0, 2)] + 1.5 * 80.0).abs() < 1e-9);
        // Roll alone: shifts held by springs a million times as stiff.
        let stiff = Matrix5::from_diagonal(&Vector5::new(1e9, 1e9, 2.0 * 100.0 * 30.0 * 30.0, 1e12, 1e12));
        let expected = (1e3 * 180_000.0 / about_x).sqrt() / std::f64::consts::TAU;
        let got = lowest(&stiff, &inertia).unwrap();
        assert!((got - expected).abs() < 1e-4 * expected, "{got} {expected}");
    }
}
