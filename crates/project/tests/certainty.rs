//! How sure the tables are: every row says so, and what an open library of parts says of the same sizes is held against
//! them. `reference/second_route.csv` was written by the script beside it from PyPI bd_warehouse 0.4.0 (Apache-2.0).

#![allow(clippy::unwrap_used, clippy::panic, reason = "tests fail by panicking")]

use std::collections::{BTreeMap, BTreeSet};

use glidewright_project::document::{Certainty, Part, PartForm};
use glidewright_project::tables::built_in;
use glidewright_project::{Slot, Values};

/// Where the second route differs, and why ours is kept.
const DIFFERS: [(&str, &str, &str); 22] = [
    ("698", "shaft_shoulder=", "10 there for the open one; 9.5 as for the shielded one"),
    ("ISO 4035 M10", "flats>", "17 there, as nuts of DIN standards; 16 from memory of ISO 4035"),
    ("ISO 4762 M8", "shortest", "10 there; 12 from memory"),
    ("ISO 4017 M3", "shortest", "5 there; 6 from memory"),
    ("ISO 4017 M4", "shortest", "6 there; 8 from memory"),
    ("ISO 4017 M5", "shortest", "8 there; 10 from memory"),
    ("ISO 10642 M3", "head_height>", "1.7 there, the height of DIN 7991; 1.86 read"),
    ("ISO 10642 M4", "head_height>", "2.3 there; 2.48 read"),
    ("ISO 10642 M5", "head_height>", "2.8 there; 3.1 read"),
    ("ISO 10642 M6", "head_height>", "3.3 there; 3.72 read"),
    ("ISO 10642 M8", "head_height>", "4.4 there; 4.96 read"),
    ("ISO 10642 M10", "head_height>", "5.5 there; 6.2 from memory"),
    ("ISO 7379 M5", "thread_length=", "9.5 there; 9.75 from memory"),
    ("ISO 7379 M6", "thread_length=", "11 there; 11.25 from memory"),
    ("ISO 7379 M8", "thread_length=", "13 there; 13.25 from memory"),
    ("ISO 7379 M10", "thread_length=", "16 there; 16.4 from memory"),
    ("ISO 4026 M2", "shortest", "3 there; 2 from memory"),
    ("ISO 4026 M2.5", "shortest", "3 there; 2.5 from memory"),
    ("ISO 4026 M2.5", "longest", "10 there; 12 from memory"),
    ("ISO 4026 M3", "longest", "20 there; 16 from memory"),
    ("ISO 4026 M6", "longest", "35 there; 30 from memory"),
    ("ISO 4026 M10", "longest", "40 there; 50 from memory"),
];

/// Ratings that differ by less agree: makers round and grease differently.
const RATINGS: f64 = 0.06;

#[test]
fn every_row_says_how_sure_it_is() {
    let mut counts: BTreeMap<&str, [usize; 5]> = BTreeMap::new();
    let mut count = |what, certainty: Option<Certainty>, name: &str| {
        let certainty = certainty.unwrap_or_else(|| panic!("{name} does not say how sure it is"));
        let place = Certainty::ALL.iter().position(|known| *known == certainty).unwrap();
        counts.entry(what).or_default()[place] += 1;
    };
    for part in built_in().parts() {
        count(part.form.kind().word(), part.certainty, &part.name);
    }
    for material in built_in().materials() {
        count("material", material.certainty, &material.name);
    }
    let heads = Certainty::ALL.map(Certainty::says).join(", ");
    println!("rows by certainty ({heads}):");
    let mut all = [0; 5];
    for (what, counts) in &counts {
        println!("{what:>10} {counts:?}");
        for (sum, count) in all.iter_mut().zip(counts) {
            *sum += count;
        }
    }
    println!("{:>10} {all:?}", "all");
    assert_eq!(all.iter().sum::<usize>(), built_in().parts().len() + built_in().materials().len());
    // Standards rest on more than assumptions; what is typical says so.
    let of = |what: &str| counts[what];
    assert!(of("nut")[0] >= 15 && of("screw")[0] >= 5 && of("washer")[0] >= 10 && of("bearing")[0] >= 10);
    assert_eq!(of("screw")[4], 0);
    assert_eq!(
        of("pulley")[4],
        built_in().parts().iter().filter(|p| matches!(p.form, PartForm::Pulley(_))).count()
    );
}

/// Certainties of single sizes stand at sizes the part has.
#[test]
fn certainties_of_single_sizes_name_sizes() {
    for part in built_in().parts() {
        let mut sizes = BTreeSet::from(["lengths".to_owned()]);
        part.visit(&mut |path, _| {
            sizes.insert(path.to_owned());
        });
        for name in part.certainty_of.keys() {
            assert!(sizes.contains(name), "{} has no {name}", part.name);
        }
    }
}

/// Least, nominal and greatest of a size of a part; its lengths by their ends.
fn size(part: &Part, name: &str) -> Option<[f64; 3]> {
    if let (PartForm::Screw(screw), "shortest" | "longest") = (&part.form, name) {
        let end = if name == "shortest" { screw.lengths.first() } else { screw.lengths.last() };
        return end.map(|length| [*length; 3]);
    }
    let mut found = None;
    part.visit(&mut |path, slot| {
        if path == name
            && let Slot::Size(size) = slot
            && let Some(formula) = size.formula()
        {
            let nominal = Values::default().try_formula(&formula.to_string(), size.quantity()).unwrap();
            found = Some(match size.tolerance() {
                None => [nominal; 3],
                Some(tolerance) => {
                    let about = tolerance.about(nominal).unwrap();
                    [about.nominal - about.half_width(), about.nominal, about.nominal + about.half_width()]
                }
            });
        }
    });
    found
}

#[test]
fn a_second_route_agrees_or_is_told() {
    let table = include_str!("reference/second_route.csv");
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let (mut agree, mut differ) = (0, Vec::new());
    for row in reader.deserialize::<(String, String, f64)>() {
        let (name, what, value) = row.unwrap();
        // Sizes beside ours.
        let Some(part) = built_in().part(&name) else { continue };
        let plain = what.trim_end_matches(['>', '=', '%', '~']);
        let Some([least, nominal, greatest]) = size(part, plain) else { panic!("{name} has no {what}") };
        let same = |a: f64, b: f64| (a - b).abs() < 1e-9;
        let agrees = match what.as_bytes()[what.len() - 1] {
            b'>' => same(greatest, value),
            b'%' => (nominal - value).abs() <= RATINGS * value,
            // The nominal of what has limits below it.
            b'~' => least < value && value - greatest < 0.1,
            _ => same(nominal, value),
        };
        if agrees {
            agree += 1;
        } else {
            differ.push((name, what, value));
        }
    }
    let known: BTreeSet<(&str, &str)> = DIFFERS.iter().map(|(name, what, _)| (*name, *what)).collect();
    for (name, what, value) in &differ {
        assert!(
            known.contains(&(name.as_str(), what.as_str())),
            "{name}, {what}: {value} by the second route"
        );
    }
    for (name, what, why) in DIFFERS {
        let still = differ.iter().any(|(n, w, _)| n == name && w == what);
        assert!(still, "{name}, {what} agrees by now: {why}");
    }
    println!("{agree} sizes agree with the second route, {} differ", differ.len());
    assert!(agree > 400, "{agree}");
}
