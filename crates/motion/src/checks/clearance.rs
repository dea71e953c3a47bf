//! Does it clear, by how much, why, and what would cure it.

use super::Known;
use super::one_title::add_new;
use crate::phrase::{bare, length, phrase, symbol};
use crate::{
    Body, BodyId, Finding, Kinship, Outcome, Owner, PairResult, Passage, Phrase, Remedy, Role, Severity,
    falls_short, listed,
};

pub(super) fn check(known: &Known<'_>) -> Vec<Finding> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    let all = known.interference.pairs();
    for pair in all.filter(|pair| matches!(pair.outcome, Outcome::Fouls { .. } | Outcome::Marginal)) {
        let Some(key) = Key::of(known, pair) else { continue };
        match groups.iter_mut().find(|group| group.key == key) {
            Some(group) => group.pairs.push(pair),
            None => groups.push(Group { key, pairs: vec![pair], twins: Vec::new() }),
        }
    }
    let groups = folded(groups);
    let mut findings: Vec<_> = groups.iter().filter_map(|group| trouble(known, group)).collect();
    findings.extend(all_clear(known));
    findings
}

/// What makes two pairs the same matter for a reader: the same kinds of thing on the same riders.
#[derive(PartialEq)]
struct Key {
    owners: (Owner, Owner),
    roles: (Role, Role),
    names: (String, String),
    fouls: bool,
}

struct Group<'a> {
    key: Key,
    /// The worst pair first, as they come.
    pairs: Vec<&'a PairResult>,
    /// The same matter on other riders: their pairs.
    twins: Vec<Vec<&'a PairResult>>,
}

impl<'a> Group<'a> {
    /// Whether another is the same matter on another rider: the same kinds of thing, against the same thing on the
    /// ground or each rider against itself, by the same gap.
    fn is_twin(&self, other: &Self) -> bool {
        let whose = |key: &Key| match key.owners {
            (Owner::Rider(a), Owner::Rider(b)) if a == b => Some((a, true)),
            (Owner::Rider(a), Owner::Ground) | (Owner::Ground, Owner::Rider(a)) => Some((a, false)),
            _ => None,
        };
        let (Some((a, own)), Some((b, other_own))) = (whose(&self.key), whose(&other.key)) else {
            return false;
        };
        let gap = |group: &Self| group.pairs.first().map_or(f64::NAN, |pair| pair.gap);
        a != b
            && own == other_own
            && self.key.roles == other.key.roles
            && self.key.names == other.key.names
            && self.key.fouls == other.key.fouls
            && (gap(self) - gap(other)).abs() < crate::GAP_TOLERANCE
    }

    fn all(&self) -> impl Iterator<Item = &'a PairResult> {
        self.pairs.iter().chain(self.twins.iter().flatten()).copied()
    }
}

/// One finding for one cause: what is alike on several riders becomes one matter.
fn folded(groups: Vec<Group<'_>>) -> Vec<Group<'_>> {
    let mut all: Vec<Group<'_>> = Vec::new();
    for group in groups {
        match all.iter_mut().find(|known| known.is_twin(&group)) {
            Some(known) => known.twins.push(group.pairs),
            None => all.push(group),
        }
    }
    all
}

impl Key {
    fn of(known: &Known<'_>, pair: &PairResult) -> Option<Self> {
        let (a, b) = bodies(known, pair)?;
        Some(Self {
            owners: (a.owner, b.owner),
            roles: (a.role, b.role),
            names: (a.own_label().to_owned(), b.own_label().to_owned()),
            fouls: matches!(pair.outcome, Outcome::Fouls { .. }),
        })
    }
}

fn bodies<'a>(known: &Known<'a>, pair: &PairResult) -> Option<(&'a Body, &'a Body)> {
    let body = |id: BodyId| known.assembly.body(id);
    Some((body(pair.bodies.0)?, body(pair.bodies.1)?))
}

fn owner_name(known: &Known<'_>, owner: Owner) -> Option<String> {
    match owner {
        Owner::Ground => None,
        Owner::Rider(number) => known.fixture.riders.get(number).map(|rider| rider.name.clone()),
    }
}

/// "nut ISO 7040 M6 of front tray"
fn of_owner(known: &Known<'_>, body: &Body) -> String {
    let what = piece_name(body);
    match owner_name(known, body.owner) {
        Some(owner) => format!("{what} of {owner}"),
        None => what,
    }
}

fn trouble(known: &Known<'_>, group: &Group<'_>) -> Option<Finding> {
    let worst = group.pairs.iter().min_by(|a, b| a.left().total_cmp(&b.left()))?;
    let (a, b) = bodies(known, worst)?;
    let asked = worst.asked;
    let twins = group.twins.iter().filter_map(|pairs| {
        let (a, b) = bodies(known, pairs.first()?)?;
        owner_name(known, a.owner).or_else(|| owner_name(known, b.owner))
    });
    let matter = Matter { twins: twins.collect(), ..Matter::of(known, a, b, group.all().count()) };
    let (code, severity, title) = match worst.outcome {
        Outcome::Fouls { depth } if depth < WORTH => {
            ("gap.fouls", Severity::Fails, matter.title("foul", format!("{} touch", matter.pieces()).into()))
        }
        Outcome::Fouls { depth } => {
            let by = phrase![format!("{} overlap by ", matter.pieces()), length(depth, 2)];
            ("gap.fouls", Severity::Fails, matter.title("foul", by))
        }
        Outcome::Marginal if !falls_short(worst.gap, asked) => {
            let left = phrase![
                "of ",
                length(worst.gap, 2),
                format!(" between {}, ", matter.pieces()),
                length(worst.left(), 2),
                " may be left"
            ];
            ("gap.marginal", Severity::Marginal, matter.title("clear", left))
        }
        _ => {
            let by = phrase!["only ", length(worst.gap, 2), format!(" between {}", matter.pieces())];
            ("gap.marginal", Severity::Marginal, matter.title("clear", by))
        }
    };
    let mut stretches: Vec<(f64, f64)> = group
        .all()
        .flat_map(|pair| if group.key.fouls { &pair.touching } else { &pair.below_asked })
        .copied()
        .collect();
    join(&mut stretches);
    let mut sentences: Vec<Phrase> = Vec::new();
    if let Some(chain) = &worst.chain {
        sentences.push(phrase![chain.sentence(), "."]);
    } else {
        sentences.push(phrase!["Gap ", length(worst.gap, 2), format!(", {}.", direction_words(worst))]);
    }
    sentences.extend(what_takes_it(worst));
    match worst.allowed {
        Some(allowed) if allowed >= WORTH => {
            let allowed = length(allowed, 2);
            sentences.push(phrase![
                "They may touch; no more than ",
                allowed,
                " of overlap is taken for that."
            ]);
        }
        Some(_) => sentences.push("They may touch, no more.".into()),
        None => sentences.push(phrase!["Required: at least ", length(asked, 2), "."]),
    }
    if worst.kinship.is_steady() {
        sentences.push("The same at every travel.".into());
    } else {
        sentences.extend(stretch_words(&stretches));
    }
    let bodies: Vec<_> = group.all().flat_map(|pair| [pair.bodies.0, pair.bodies.1]).collect();
    let mut cures = Vec::new();
    add_new(&mut cures, remedies(known, worst, a, b));
    for pairs in &group.twins {
        let twin = pairs.iter().min_by(|a, b| a.left().total_cmp(&b.left()));
        let more = twin.and_then(|twin| Some((twin, self::bodies(known, twin)?)));
        add_new(&mut cures, more.map_or_else(Vec::new, |(twin, (a, b))| remedies(known, twin, a, b)));
    }
    Some(Finding {
        code,
        severity,
        title,
        reason: Phrase::join(sentences, " "),
        bodies: unique(bodies),
        paths: vec![a.path.clone(), b.path.clone()],
        value: Some(worst.gap),
        limit: Some(asked),
        unit: "mm",
        at_travel: Some(worst.at_travel),
        stretches,
        chain: worst.chain.clone(),
        remedies: cures,
    })
}

/// Less than this is not worth a word (mm).
const WORTH: f64 = 0.005;

/// Two things that come near each other, in words: whose they are first, then which pieces.
struct Matter {
    /// "front tray and wall tie"; of one rider's own pieces its name.
    owners: String,
    /// Both are of one rider.
    is_own: bool,
    pieces: [String; 2],
    places: usize,
    /// Other riders that are the same matter.
    twins: Vec<String>,
    /// The first of them.
    first: String,
    /// What all of them meet, where that stands by itself.
    met: Option<String>,
}

impl Matter {
    fn of(known: &Known<'_>, a: &Body, b: &Body, places: usize) -> Self {
        let names = [a, b].map(|body| owner_name(known, body.owner));
        let is_own = a.owner == b.owner && names[0].is_some();
        let pieces = [(a, &names[0]), (b, &names[1])].map(|(body, owner)| match owner {
            None => body.own_label().to_owned(),
            Some(_) => piece_name(body),
        });
        // What stands by itself is named by itself.
        let [one, other] = [0, 1].map(|side| names[side].as_ref().unwrap_or(&pieces[side]));
        let owners = if is_own { one.clone() } else { format!("{one} and {other}") };
        let met = match &names {
            [Some(_), None] => Some(pieces[1].clone()),
            [None, Some(_)] => Some(pieces[0].clone()),
            _ => None,
        };
        let first = names.iter().flatten().next().unwrap_or(one).clone();
        Self { owners, is_own, pieces, places, twins: Vec::new(), first, met }
    }

    fn title(&self, verb: &str, what: Phrase) -> Phrase {
        if !self.twins.is_empty() {
            return self.title_of_twins(verb, what);
        }
        let verb = if self.is_own { format!("{verb}s itself") } else { verb.to_owned() };
        let places = if self.places > 1 { format!(" ({} places)", self.places) } else { String::new() };
        phrase![format!("{} {verb}: ", self.owners), what, places]
    }

    /// "rear tray and front tray foul wall tie: … (4 places)"
    fn title_of_twins(&self, verb: &str, what: Phrase) -> Phrase {
        let riders: Vec<&String> = std::iter::once(&self.first).chain(&self.twins).collect();
        let whom = self.met.as_deref().unwrap_or("themselves");
        phrase![format!("{} {verb} {whom}: ", listed(&riders)), what, format!(" ({} places)", self.places)]
    }

    fn pieces(&self) -> String {
        format!("{} and {}", self.pieces[0], self.pieces[1])
    }
}

/// "nut ISO 7040 M6", "screw end"; a load by its name alone.
fn piece_name(body: &Body) -> String {
    let name = body.own_label().to_owned();
    let word = body.role.word();
    if matches!(body.role, Role::Span | Role::Load) || name.contains(word) {
        name
    } else {
        format!("{word} {name}")
    }
}

/// How much of a gap tilt, play and tolerances take, and which sizes most, in words.
fn what_takes_it(pair: &PairResult) -> Option<Phrase> {
    let tolerance = &pair.tolerance;
    let mut takes = Vec::new();
    if pair.tilt() >= WORTH {
        takes.push(phrase!["tilt and deflection under load take ", length(pair.tilt(), 2)]);
    } else if pair.tilt() <= -WORTH {
        takes.push(phrase!["tilt and deflection under load add ", length(-pair.tilt(), 2)]);
    }
    if pair.play >= WORTH {
        takes.push(phrase!["play can take ", length(pair.play, 2)]);
    }
    if tolerance.worst >= WORTH {
        takes.push(phrase![
            "tolerances can take ",
            length(tolerance.worst, 2),
            " at worst (RSS ",
            bare(tolerance.rss, 2),
            ")"
        ]);
    }
    if takes.is_empty() {
        return None;
    }
    let mut words =
        phrase!["Of it ", Phrase::join(takes, ", "), ": ", length(pair.left(), 2), " may be left."];
    let most: Vec<String> = tolerance
        .contributors
        .iter()
        .take(2)
        .filter(|contributor| contributor.share_of_squares >= 0.1)
        .map(|contributor| format!("{} {:.0} %", contributor.label, 100.0 * contributor.share_of_squares))
        .collect();
    if tolerance.worst >= WORTH && !most.is_empty() {
        words.push(format!(" Of the tolerances most comes from {}.", most.join(" and ")));
    }
    Some(words)
}

/// One note for every two riders, and every rider and fixed thing, that pass in order.
fn all_clear(known: &Known<'_>) -> Vec<Finding> {
    let mut seen: Vec<((Owner, Owner), bool)> = Vec::new();
    let mut notes = Vec::new();
    for pair in known.interference.passing.iter().filter(|pair| pair.kinship == Kinship::RiderAndRider) {
        let Some((a, b)) = bodies(known, pair) else { continue };
        let owners = (a.owner, b.owner);
        if seen.iter().any(|(other, _)| *other == owners) {
            continue;
        }
        seen.push((owners, true));
        // Pairs come by growing gap: the first is the tightest of these two riders.
        let (code, how) = match pair.outcome {
            Outcome::ClearByPassing { room } => (
                "gap.clear_side_by_side",
                phrase![
                    "Seen along the screws they never face each other: ",
                    length(room, 2),
                    " of sideways room, whatever the nuts' height."
                ],
            ),
            Outcome::ClearByGap => (
                "gap.clear_end_to_end",
                pair.chain.as_ref().map_or_else(
                    || format!("Nearest {}.", direction_words(pair)).into(),
                    |chain| phrase![chain.sentence(), "."],
                ),
            ),
            Outcome::Fouls { .. } | Outcome::Marginal => continue,
        };
        let names = [a, b].map(|body| owner_name(known, body.owner).unwrap_or_else(|| body.label.clone()));
        notes.push(Finding {
            code,
            severity: Severity::Note,
            title: phrase![
                format!("{} and {} pass {}: ", names[0], names[1], pair.outcome.word()),
                length(pair.gap, 2)
            ],
            reason: phrase![format!("Nearest: {} and {}. ", of_owner(known, a), of_owner(known, b)), how],
            bodies: vec![pair.bodies.0, pair.bodies.1],
            paths: vec![a.path.clone(), b.path.clone()],
            value: Some(pair.gap),
            limit: Some(pair.asked),
            unit: "mm",
            at_travel: Some(pair.at_travel),
            stretches: Vec::new(),
            chain: pair.chain.clone(),
            remedies: Vec::new(),
        });
    }
    notes
}

fn direction_words(pair: &PairResult) -> &'static str {
    let n = pair.separation.normal.abs();
    if n.x >= n.y && n.x >= n.z {
        "along the rail"
    } else if n.y >= n.z {
        "sideways"
    } else {
        "front to back"
    }
}

fn stretch_words(stretches: &[(f64, f64)]) -> Option<Phrase> {
    let list = stretches.iter().map(|(from, to)| phrase![bare(*from, 1), " to ", bare(*to, 1)]);
    (!stretches.is_empty()).then(|| phrase!["At travel ", Phrase::join(list, ", "), " ", symbol(), "."])
}

fn join(stretches: &mut Vec<(f64, f64)>) {
    stretches.sort_by(|a, b| a.0.total_cmp(&b.0));
    stretches.dedup_by(|next, kept| {
        let meets = next.0 <= kept.1;
        if meets {
            kept.1 = kept.1.max(next.1);
        }
        meets
    });
}

fn unique(mut ids: Vec<BodyId>) -> Vec<BodyId> {
    ids.sort();
    ids.dedup();
    ids
}

fn remedies(known: &Known<'_>, pair: &PairResult, a: &Body, b: &Body) -> Vec<Remedy> {
    let missing = pair.asked - pair.gap;
    let mut remedies = Vec::new();
    let (Some(chain), Passage::Facing) = (&pair.chain, pair.passage) else { return remedies };
    if !falls_short(pair.gap, pair.asked) {
        return remedies;
    }
    let both = [a, b].iter().all(|body| matches!(body.owner, Owner::Rider(_)));
    for body in [a, b] {
        let terms =
            chain.terms.iter().filter(|term| term.path == body.path && term.sensitivity < 0.0).count();
        if terms == 0 {
            continue;
        }
        let (less, name) = match body.role {
            Role::ScrewEnd => ("a shorter screw than", screw_name(known, body)),
            Role::Head => ("a lower head than", screw_name(known, body)),
            _ => ("something thinner than", None),
        };
        let name = name.unwrap_or_else(|| body.own_label().to_owned());
        let owner = owner_name(known, body.owner).map(|owner| format!(" on {owner}")).unwrap_or_default();
        remedies.push(Remedy {
            text: phrase![
                format!("{less} {name}{owner}: "),
                length(missing, 2),
                " less of it",
                if both {
                    phrase![" here alone, or ", length(0.5 * missing, 2), " on each side"]
                } else {
                    Phrase::default()
                }
            ],
            path: Some(body.path.clone()),
            by: Some(missing),
        });
    }
    if let (true, Owner::Rider(_), Owner::Rider(second)) =
        (a.role.is_hardware() && b.role.is_hardware(), a.owner, b.owner)
        && let Some(rider) = known.fixture.riders.get(second)
    {
        let shift = sideways_shift(known, a, b, pair.asked);
        remedies.push(Remedy {
            text: phrase![
                format!("smaller wheels on {}: with the axles ", rider.name),
                length(shift, 1),
                " closer to the rail these no longer face each other"
            ],
            path: rider.wheels.first().map(|wheel| wheel.path.clone()),
            by: Some(shift),
        });
        remedies.push(Remedy {
            text: format!(
                "the screws of {} turned round, so that the low heads face the other rider",
                rider.name
            )
            .into(),
            path: Some(rider.path.clone()),
            by: None,
        });
    }
    remedies
}

/// What the screw of a body's stack is called.
fn screw_name(known: &Known<'_>, body: &Body) -> Option<String> {
    let Owner::Rider(number) = body.owner else { return None };
    let placed = known.assembly.riders.get(number)?.stacks.get(body.stack?)?;
    let (_, _, stack) = known.fixture.riders.get(number)?.stack(placed.of)?;
    Some(stack.screw.name.clone())
}

/// How far one of two facing pieces must move sideways so that they no longer face each other, with the
/// asked gap between them (mm).
fn sideways_shift(known: &Known<'_>, a: &Body, b: &Body, asked: f64) -> f64 {
    let radius = |body: &Body| {
        body.solids
            .iter()
            .map(|solid| {
                let bounds = solid.bounds();
                0.5 * (bounds.high.x - bounds.low.x)
            })
            .fold(0.0, f64::max)
    };
    let offset = |body: &Body| {
        let Owner::Rider(number) = body.owner else { return 0.0 };
        let placed = known.assembly.riders.get(number);
        placed
            .zip(body.stack)
            .and_then(|(rider, stack)| rider.stacks.get(stack))
            .map_or(0.0, |stack| stack.at.y)
    };
    radius(a) + radius(b) + asked - (offset(a) - offset(b)).abs()
}
