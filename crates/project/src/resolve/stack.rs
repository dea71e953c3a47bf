//! Stacks: screws and what is threaded on them.

use std::f64::consts::PI;

use glidewright_motion as motion;
use motion::plain;

use super::{Context, wheel};
use crate::document::{
    HeadForm, HeadSide, Part, PartForm, PartKind, Piece, PieceKind, Rider, ScrewHole, ScrewPart, Stack,
    piece_names,
};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::size::Length;
use crate::suggest::suggestion;

/// Pitches of thread that should stand out of a nut (common practice).
const PITCHES_BEYOND: f64 = 1.0;
/// Two sizes closer than this are the same (mm): less than anyone measures, more than inches with five digits are
/// off (0.164 in is 4.1656 mm, 4.16559 mm is 0.163 999 6 in).
const SAME_LENGTH: f64 = 1e-3;

/// Resolves a stack that stands in the document at `path`.
pub(super) fn resolve(
    context: &mut Context<'_>,
    rider: &Rider,
    plates: &[motion::Plate],
    stack: &Stack,
    path: &str,
    with_wheel: bool,
) -> Option<motion::Stack> {
    let screw_path = join(path, "screw");
    let screw_part = context.part(PartKind::Screw, &stack.screw, &screw_path);
    count_pieces(context, stack, path, with_wheel);
    let names = piece_names(&stack.pieces);
    let mut pieces = Vec::with_capacity(stack.pieces.len());
    for (piece, name) in stack.pieces.iter().zip(&names) {
        let path = join(path, name);
        if piece.kind == PieceKind::Plate {
            pieces.extend(plate_piece(context, rider, plates, piece, path));
        } else {
            no_hole(context, piece, &path);
            pieces.extend(part_piece(context, piece, path));
        }
    }
    let end = end(context, stack, &names, &pieces, path);
    let screw_part = screw_part?;
    let PartForm::Screw(form) = &screw_part.form else { return None };
    let screw = screw(context, screw_part, form, stack, &pieces, end, path);
    check_bores(context, &screw, &pieces);
    check_reach(context, &screw, &pieces, end);
    let head = match stack.head {
        HeadSide::Outside => motion::HeadSide::Outside,
        HeadSide::Inside => motion::HeadSide::Inside,
    };
    let complete = pieces.len() == stack.pieces.len();
    complete.then_some(motion::Stack { screw, head, pieces, end })
}

/// A wheel's stack has one wheel, every stack a plate and at its end a nut or a tapped plate.
fn count_pieces(context: &mut Context<'_>, stack: &Stack, path: &str, with_wheel: bool) {
    let count = |kind: PieceKind| stack.pieces.iter().filter(|piece| piece.kind == kind).count();
    let (wheels, plates) = (count(PieceKind::Wheel), count(PieceKind::Plate));
    if wheels != usize::from(with_wheel) {
        let message = format!("the stack has {wheels} wheel pieces; it needs {}", usize::from(with_wheel));
        context.report(
            Problem::error(path, message)
                .remedy("list (wheel: \"…\") once among the pieces of a wheel's stack"),
        );
    }
    if plates == 0 {
        context.report(
            Problem::error(path, "the stack has 0 plate pieces; it needs 1")
                .remedy("list (plate: \"…\") among the pieces"),
        );
    }
    if stack.ends_tapped() {
        if count(PieceKind::Nut) > 0 {
            context.report(
                Problem::error(path, "the stack ends in a tapped plate and has a nut as well")
                    .remedy("take the nut away, or give the plate a clear hole"),
            );
        }
    } else if count(PieceKind::Nut) == 0 {
        context.report(
            Problem::error(path, "the stack has no nut")
                .remedy("list (nut: \"…\") as the last piece, or a plate with hole: tapped"),
        );
    } else if stack.pieces.last().is_some_and(|piece| piece.kind != PieceKind::Nut) {
        context.report(
            Problem::error(path, "the nut is not the last piece of the stack")
                .remedy("list the pieces from the screw's head to its nut"),
        );
    }
}

/// Only plates have holes and threads of a stack's own.
fn no_hole(context: &mut Context<'_>, piece: &Piece, path: &str) {
    if piece.hole == ScrewHole::Tapped {
        let message = format!("a {} is not tapped; only a plate is", piece.kind.word());
        context.report(Problem::error(path, message).remedy("remove hole: tapped here"));
    }
    if piece.depth.is_some() {
        let message = "only a tapped plate has a depth of thread";
        context.report(Problem::error(path, message).remedy("remove depth here"));
    }
}

/// What holds the screw's thread, with what is amiss about holes and plates.
fn end(
    context: &mut Context<'_>,
    stack: &Stack,
    names: &[String],
    pieces: &[motion::Piece],
    path: &str,
) -> motion::StackEnd {
    let last = stack.pieces.len().saturating_sub(1);
    let mut end = motion::StackEnd::Nut;
    for (number, (piece, name)) in stack.pieces.iter().zip(names).enumerate() {
        if piece.kind != PieceKind::Plate {
            continue;
        }
        let at = join(path, name);
        let same = |other: &Piece| other.kind == PieceKind::Plate && other.part == piece.part;
        if stack.pieces.iter().take(number).any(same) {
            let message = format!("the screw passes {} twice", quoted(&piece.part));
            context.report(Problem::error(&at, message).remedy("list each plate once"));
        }
        if piece.hole != ScrewHole::Tapped {
            if piece.depth.is_some() {
                let message = "only a tapped plate has a depth of thread";
                context.report(Problem::error(join(&at, "depth"), message).remedy("add hole: tapped"));
            }
            continue;
        }
        if number != last {
            let message =
                format!("the tapped plate {} is not the last piece of the stack", quoted(&piece.part));
            context.report(
                Problem::error(&at, message)
                    .remedy("list the pieces from the screw's head to the tapped plate"),
            );
            continue;
        }
        let thickness = pieces.iter().find(|known| known.path == at).map(|known| known.thickness.nominal);
        let depth = piece.depth.as_ref().map(|depth| context.number(depth, &at, "depth"));
        if let (Some(depth), Some(thickness)) = (depth, thickness)
            && depth >= thickness
        {
            let message = format!(
                "the thread is {} mm deep, the plate {} mm thick: nothing of it is left",
                plain(depth),
                plain(thickness)
            );
            context.report(
                Problem::error(join(&at, "depth"), message)
                    .remedy("make it shallower, or leave depth out for a thread right through"),
            );
        }
        if let Some((_, cam)) =
            stack.pieces.iter().zip(names).find(|(piece, _)| piece.kind == PieceKind::Eccentric)
        {
            context.report(
                Problem::error(join(path, cam), "an eccentric cannot shift a screw that a thread holds")
                    .remedy("give the plate a clear hole and the screw a nut, or take a spacer"),
            );
        }
        end = motion::StackEnd::Tapped { depth };
    }
    end
}

/// A screw whose length is given must reach what holds its thread.
fn check_reach(
    context: &mut Context<'_>,
    screw: &motion::Screw,
    pieces: &[motion::Piece],
    end: motion::StackEnd,
) {
    let (Some(last), motion::StackEnd::Tapped { .. }) = (pieces.last(), end) else { return };
    let ahead = pieces.iter().map(|piece| piece.thickness.nominal).sum::<f64>() - last.thickness.nominal;
    if screw.length.nominal <= ahead {
        let message = format!(
            "{} is too short by {:.2} mm to reach the thread in {}",
            screw.name,
            ahead - screw.length.nominal,
            last.name
        );
        context.report(
            Problem::error(&screw.path, message)
                .remedy("take a longer screw, or leave its length out for the shortest that does"),
        );
    }
}

fn plate_piece(
    context: &mut Context<'_>,
    rider: &Rider,
    plates: &[motion::Plate],
    piece: &Piece,
    path: String,
) -> Option<motion::Piece> {
    let Some((number, plate)) = plates.iter().enumerate().find(|(_, plate)| plate.name == piece.part) else {
        let names = rider.plates.iter().map(|plate| plate.name.as_str());
        let remedy = match suggestion(&piece.part, names) {
            none if none.is_empty() => "add it to the rider's plates".to_owned(),
            some => some,
        };
        let message = format!("{} has no plate called {}", quoted(&rider.name), quoted(&piece.part));
        context.report(Problem::error(path, message).remedy(remedy));
        return None;
    };
    if piece.length.is_some() {
        context.report(
            Problem::error(join(&path, "length"), "a plate's thickness is given with the plate")
                .remedy("remove it here"),
        );
    }
    Some(motion::Piece {
        name: plate.name.clone(),
        path,
        kind: motion::PieceKind::Plate(number),
        thickness: plate.thickness,
        outer: 0.0,
        bore: 0.0,
        mass: 0.0,
        youngs: plate.material.youngs,
    })
}

/// What a piece of a stack has from its part.
struct FromPart {
    kind: motion::PieceKind,
    thickness: motion::Toleranced,
    outer: f64,
    bore: f64,
}

fn part_piece(context: &mut Context<'_>, piece: &Piece, path: String) -> Option<motion::Piece> {
    let kind = PartKind::of_piece(piece.kind)?;
    let part = context.part(kind, &piece.part, &path)?;
    let FromPart { kind, mut thickness, outer, bore } = from_part(context, part, piece, &path)?;
    if let Some(length) = &piece.length {
        thickness = context.toleranced(length, &path, "length");
    }
    let volume = match kind {
        motion::PieceKind::Nut { .. } => (hexagon_area(outer) - 0.25 * PI * bore * bore) * thickness.nominal,
        _ => 0.25 * PI * (outer * outer - bore * bore) * thickness.nominal,
    };
    let mass = match &kind {
        motion::PieceKind::Wheel(wheel) => wheel.mass,
        _ => context.mass_of(part, volume),
    };
    let name = if piece.part == part.name { part.name.clone() } else { piece.part.clone() };
    let name =
        if piece.name.is_empty() || name == piece.name { name } else { format!("{name} ({})", piece.name) };
    let youngs = context.youngs_of(part);
    Some(motion::Piece { name, path, kind, thickness, outer, bore, mass, youngs })
}

fn from_part(context: &mut Context<'_>, part: &Part, piece: &Piece, path: &str) -> Option<FromPart> {
    let catalogue = &context.catalogue;
    Some(match &part.form {
        PartForm::Washer(washer) => FromPart {
            kind: motion::PieceKind::Washer,
            thickness: catalogue.size(part, &washer.thickness, "thickness"),
            outer: catalogue.number(part, &washer.outer, "outer"),
            bore: catalogue.number(part, &washer.hole, "hole"),
        },
        PartForm::Spacer(ring) | PartForm::Shim(ring) => FromPart {
            kind: if piece.kind == PieceKind::Shim {
                motion::PieceKind::Shim
            } else {
                motion::PieceKind::Spacer
            },
            thickness: catalogue.size(part, &ring.length, "length"),
            outer: catalogue.number(part, &ring.outer, "outer"),
            bore: catalogue.number(part, &ring.hole, "hole"),
        },
        PartForm::Eccentric(eccentric) => FromPart {
            kind: motion::PieceKind::Eccentric {
                offset: catalogue.number(part, &eccentric.offset, "offset"),
                turn: context.number(&piece.turn, path, "turn"),
                boss: eccentric.boss.as_ref().map(|boss| catalogue.number(part, boss, "boss")),
            },
            thickness: catalogue.size(part, &eccentric.length, "length"),
            outer: catalogue.number(part, &eccentric.outer, "outer"),
            bore: catalogue.number(part, &eccentric.hole, "hole"),
        },
        PartForm::Nut(nut) => FromPart {
            kind: motion::PieceKind::Nut { locking: nut.locking },
            thickness: catalogue.size(part, &nut.height, "height"),
            outer: catalogue.number(part, &nut.flats, "flats"),
            bore: catalogue.number(part, &nut.diameter, "diameter"),
        },
        PartForm::Wheel(form) => {
            let wheel = wheel::resolve(context, part, form)?;
            if piece.length.is_some() {
                context.report(
                    Problem::error(join(path, "length"), "a wheel's width is given with the part")
                        .remedy("remove it here"),
                );
            }
            FromPart {
                thickness: wheel.hub_width,
                outer: 2.0 * wheel.outer_radius.nominal,
                bore: wheel.bearing.bore,
                kind: motion::PieceKind::Wheel(Box::new(wheel)),
            }
        }
        _ => return None,
    })
}

/// Area of a regular hexagon from its width across flats.
fn hexagon_area(flats: f64) -> f64 {
    0.5 * 3.0_f64.sqrt() * flats * flats
}

fn screw(
    context: &mut Context<'_>,
    part: &Part,
    form: &ScrewPart,
    stack: &Stack,
    pieces: &[motion::Piece],
    end: motion::StackEnd,
    path: &str,
) -> motion::Screw {
    let catalogue = &context.catalogue;
    let diameter = catalogue.number(part, &form.diameter, "diameter");
    let pitch = catalogue.number(part, &form.pitch, "pitch");
    let head_size = catalogue.number(part, &form.head_size, "head_size");
    let head_height = catalogue.size(part, &form.head_height, "head_height");
    let all = pieces.iter().map(|piece| piece.thickness.nominal).sum::<f64>();
    let wanted = match (end, pieces.last()) {
        (motion::StackEnd::Tapped { depth }, Some(plate)) => {
            let (ahead, thickness) = (all - plate.thickness.nominal, plate.thickness.nominal);
            let least = motion::least_engagement(diameter, plate.youngs);
            let room = depth.unwrap_or(thickness).min(thickness);
            Wanted { least: ahead + least.min(room), within: depth.map(|_| (ahead, ahead + room)) }
        }
        _ => Wanted { least: all + PITCHES_BEYOND * pitch, within: None },
    };
    let length = match &stack.length {
        Some(length) => {
            let length = context.toleranced(length, path, "length");
            check_length(context, part, form, length.nominal, path);
            length
        }
        None => motion::Toleranced::exact(chosen_length(context, part, form, wanted, path)),
    };
    let threaded = Threaded::of(context, part, form);
    let unthreaded = threaded.plain_shank(length.nominal);
    // The thread is weighed at its pitch diameter, d − 0.6495·P (ISO 724).
    let core = diameter - 0.6495 * pitch;
    let shank = 0.25 * PI * (core * core * (length.nominal - unthreaded) + diameter * diameter * unthreaded);
    let head = head_volume(form.head, head_size, head_height.nominal, diameter);
    // A countersunk screw's length counts from the top of its head, which the shank above fills in part.
    let head = if form.head == HeadForm::Countersunk {
        head - 0.25 * PI * core * core * head_height.nominal
    } else {
        head
    };
    let mass = match &part.mass {
        // A part's own mass is its head's; the shank follows from the length.
        Some(mass) => context.catalogue.number(part, mass, "mass") + shank * context.density_of(part),
        None => (shank + head) * context.density_of(part),
    };
    motion::Screw {
        name: format!("{} × {}", part.name, plain(length.nominal)),
        path: join(path, "screw"),
        diameter,
        pitch,
        length,
        shank: unthreaded,
        sold: form
            .lengths
            .iter()
            .map(|&length| motion::SoldLength { length, shank: threaded.plain_shank(length) })
            .collect(),
        torque: stack.torque.as_ref().map(|torque| context.number(torque, path, "torque")),
        head_height,
        head_size,
        head_form: match form.head {
            HeadForm::Socket => motion::HeadForm::Socket,
            HeadForm::Button => motion::HeadForm::Button,
            HeadForm::Hexagon => motion::HeadForm::Hexagon,
            HeadForm::Countersunk => motion::HeadForm::Countersunk,
        },
        mass,
    }
}

/// Where a screw's thread begins.
#[derive(Clone, Copy)]
struct Threaded {
    /// Length of its thread (mm); `None` where it is threaded to the head.
    thread: Option<f64>,
    /// Up to this length it is threaded to the head all the same (mm).
    to_head: f64,
}

impl Threaded {
    fn of(context: &Context<'_>, part: &Part, form: &ScrewPart) -> Self {
        let number = |size: &Length, name| context.catalogue.number(part, size, name);
        Self {
            thread: form.thread_length.as_ref().map(|size| number(size, "thread_length")),
            to_head: form.threaded_to_head.as_ref().map_or(0.0, |size| number(size, "threaded_to_head")),
        }
    }

    /// How far the plain shank of a screw of a length reaches (mm), from where its length counts: what its thread leaves,
    /// unless it is threaded to the head.
    fn plain_shank(self, length: f64) -> f64 {
        match self.thread {
            Some(thread) if length > self.to_head + SAME_LENGTH => (length - thread).max(0.0),
            _ => 0.0,
        }
    }
}

/// Volume of a head (mm³). Sockets are taken as hexagons 0.8·d across flats and 0.5·d deep, a button head
/// as a spherical cap; countersunk heads as a cone down to the thread. Own estimates, for masses only.
fn head_volume(form: HeadForm, size: f64, height: f64, diameter: f64) -> f64 {
    let socket = hexagon_area(0.8 * diameter) * (0.5 * diameter).min(height);
    let radius = 0.5 * size;
    let solid = match form {
        HeadForm::Hexagon => return hexagon_area(size) * height,
        HeadForm::Socket => PI * radius * radius * height,
        HeadForm::Button => PI * height / 6.0 * (3.0 * radius * radius + height * height),
        HeadForm::Countersunk => {
            let inner = 0.5 * diameter;
            PI * height / 3.0 * (radius * radius + radius * inner + inner * inner)
        }
    };
    (solid - socket).max(0.0)
}

/// What a screw's length must be (mm).
#[derive(Clone, Copy)]
struct Wanted {
    /// The least that reaches.
    least: f64,
    /// Where a thread with a bottom begins and ends; `None` where there is none.
    within: Option<(f64, f64)>,
}

/// The shortest length sold that reaches; the length needed itself when any is to be had. Where that would meet the
/// bottom of its thread, the longest that does not and yet holds, if there is one.
fn chosen_length(
    context: &mut Context<'_>,
    part: &Part,
    form: &ScrewPart,
    wanted: Wanted,
    path: &str,
) -> f64 {
    let Wanted { least: needed, within } = wanted;
    if form.lengths.is_empty() {
        return needed;
    }
    let long_enough = form.lengths.iter().copied().filter(|&l| l >= needed - SAME_LENGTH);
    let shortest = long_enough.min_by(f64::total_cmp);
    if let Some(length) = shortest {
        let Some((begins, ends)) = within.filter(|(_, ends)| length > ends + SAME_LENGTH) else {
            return length;
        };
        let holds = |l: &f64| *l > begins + SAME_LENGTH && *l <= ends + SAME_LENGTH;
        return form.lengths.iter().copied().filter(holds).max_by(f64::total_cmp).unwrap_or(length);
    }
    let longest = form.lengths.iter().copied().max_by(f64::total_cmp).unwrap_or(needed);
    context.report(
        Problem::warning(
            join(path, "screw"),
            format!("{} is sold up to {} mm; the stack needs {needed:.2} mm", part.name, plain(longest)),
        )
        .remedy("choose another screw, or give the length"),
    );
    needed
}

/// Notes a length that is not sold.
fn check_length(context: &mut Context<'_>, part: &Part, form: &ScrewPart, length: f64, path: &str) {
    if form.lengths.is_empty() || form.lengths.iter().any(|l| (l - length).abs() < SAME_LENGTH) {
        return;
    }
    let below = form.lengths.iter().copied().filter(|&l| l < length).max_by(f64::total_cmp);
    let above = form.lengths.iter().copied().filter(|&l| l > length).min_by(f64::total_cmp);
    let near: Vec<String> = below.into_iter().chain(above).map(plain).collect();
    context.report(
        Problem::warning(
            join(path, "length"),
            format!("{} is not sold in a length of {} mm", part.name, plain(length)),
        )
        .remedy(format!("the nearest are {} mm", near.join(" and "))),
    );
}

/// Everything must slide over the screw, and nuts must fit its thread.
fn check_bores(context: &mut Context<'_>, screw: &motion::Screw, pieces: &[motion::Piece]) {
    for piece in pieces {
        let diameter = screw.diameter;
        match piece.kind {
            motion::PieceKind::Plate(_) => {}
            motion::PieceKind::Nut { .. } => {
                if (piece.bore - diameter).abs() > SAME_LENGTH {
                    context.report(
                        Problem::error(
                            &piece.path,
                            format!(
                                "the nut's thread is {} mm, the screw's {} mm",
                                plain(piece.bore),
                                plain(diameter)
                            ),
                        )
                        .remedy("choose a nut and a screw of one size"),
                    );
                }
            }
            _ => {
                if piece.bore < diameter - SAME_LENGTH {
                    context.report(
                        Problem::error(
                            &piece.path,
                            format!(
                                "the hole of {} is {} mm; a screw of {} mm does not pass",
                                piece.name,
                                plain(piece.bore),
                                plain(diameter)
                            ),
                        )
                        .remedy("choose a part for this screw, or a thinner screw"),
                    );
                }
            }
        }
    }
}

/// What one of a part weighs (g), where it goes on a screw: nuts, washers, spacers, shims, wheels.
pub fn mass_of_part(document: &crate::Document, values: &crate::Values, part: &Part) -> Option<f64> {
    let kind = PieceKind::ALL.into_iter().find(|kind| PartKind::of_piece(*kind) == Some(part.form.kind()))?;
    let mut context = Context {
        document,
        values,
        catalogue: super::Catalogue::new(document, values),
        problems: Vec::new(),
        unusable: false,
        edges_left: super::MOST_DRAWN,
        lacks_wheels: false,
        seats: Default::default(),
    };
    let piece = part_piece(&mut context, &Piece::new(kind, part.name.clone()), String::new())?;
    let grams = piece.mass * 1e3;
    (grams > 0.0 && grams.is_finite()).then_some(grams)
}
