//! Stacks: screws and what is threaded on them.

use std::f64::consts::PI;

use glidewright_motion as motion;
use motion::plain;

use super::catalogue::Catalogue;
use super::screw::screw;
use super::{Context, wheel};
use crate::document::{
    HeadForm, HeadSide, NutForm, NutPart, Part, PartForm, PartKind, Piece, PieceKind, Rider, ScrewHole,
    ScrewPart, Stack, piece_names,
};
use crate::path::join;
use crate::problem::{Problem, quoted};
use crate::size::Length;
use crate::suggest::suggestion;
use crate::tables::built_in;

/// Two sizes closer than this are the same (mm): less than anyone measures, more than inches with five digits are
/// off (0.164 in is 4.1656 mm, 4.16559 mm is 0.163 999 6 in).
pub(super) const SAME_LENGTH: f64 = 1e-3;

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
    let screw_part = screw_part?;
    let PartForm::Screw(form) = &screw_part.form else { return None };
    let insert = insert(context, screw_part, form, stack, &names, path);
    let end = end(context, stack, &names, &pieces, insert.map(|insert| insert.length), path);
    if form.head == HeadForm::None && stack.pieces.first().is_some_and(|p| p.kind != PieceKind::Nut) {
        context.report(
            Problem::error(path, format!("{} has no head, and nothing holds its first end", screw_part.name))
                .remedy("let the first piece be a nut, or take a screw with a head"),
        );
    }
    let seat = insert.map(|insert| insert.seat);
    let threaded = motion::Stack {
        screw: screw(context, screw_part, form, stack, &pieces, (end, seat), path),
        head: match stack.head {
            HeadSide::Outside => motion::HeadSide::Outside,
            HeadSide::Inside => motion::HeadSide::Inside,
        },
        pieces,
        end,
        insert: seat,
    };
    check_bores(context, &threaded);
    check_reach(context, &threaded.screw, &threaded.pieces, end);
    let complete = threaded.pieces.len() == stack.pieces.len();
    complete.then_some(threaded)
}

/// A threaded insert that ends a stack: its length (mm), and what the engine is told of it.
#[derive(Clone, Copy)]
struct Insert {
    length: f64,
    seat: motion::InsertSeat,
}

/// The insert in the plate that ends a stack: the one named, else the shortest of the screw's thread.
fn insert(
    context: &mut Context<'_>,
    screw: &Part,
    form: &ScrewPart,
    stack: &Stack,
    names: &[String],
    path: &str,
) -> Option<Insert> {
    let (piece, name) = (stack.pieces.last()?, names.last()?);
    if piece.kind != PieceKind::Plate || piece.hole != ScrewHole::Insert {
        return None;
    }
    let at = join(&join(path, name), "insert");
    let thread = context.catalogue.number(screw, &form.diameter, "diameter");
    let part = if piece.insert.is_empty() {
        let of_thread = |part: &&Part| match &part.form {
            PartForm::Insert(insert) => (insert.diameter.plainly() - thread).abs() < SAME_LENGTH,
            _ => false,
        };
        let Some(part) = built_in().of_kind(PartKind::Insert).find(of_thread) else {
            let message = format!("there is no insert for a thread of {} mm in the tables", plain(thread));
            context
                .report(Problem::error(at, message).remedy("name an insert of your own, or tap the plate"));
            return None;
        };
        part
    } else {
        context.part(PartKind::Insert, &piece.insert, &at)?
    };
    let PartForm::Insert(insert) = &part.form else { return None };
    let catalogue = &context.catalogue;
    let own = catalogue.number(part, &insert.diameter, "diameter");
    let length = catalogue.number(part, &insert.length, "length");
    let outer = catalogue.number(part, &insert.outer, "outer");
    let hole = catalogue.number(part, &insert.hole, "hole");
    if (own - thread).abs() > SAME_LENGTH {
        context.report(
            Problem::error(
                at,
                format!("the insert's thread is {} mm, the screw's {} mm", plain(own), plain(thread)),
            )
            .remedy("choose an insert and a screw of one size"),
        );
    }
    let ring = 0.25 * PI * (hole * hole - own * own).max(0.0) * length;
    let seat = motion::InsertSeat {
        hole,
        outer,
        youngs: context.youngs_of(part),
        mass: context.mass_of(part, ring),
    };
    Some(Insert { length, seat })
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
    if piece.hole.holds() {
        let message = format!("a {} is not tapped and takes no insert; only a plate is", piece.kind.word());
        context.report(Problem::error(path, message).remedy("remove hole here"));
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
    insert: Option<f64>,
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
        if !piece.hole.holds() {
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
        let is_insert = piece.hole == ScrewHole::Insert;
        if is_insert && depth.is_some() {
            let message = "an insert has its own depth of thread";
            context.report(Problem::error(join(&at, "depth"), message).remedy("remove depth here"));
        }
        let depth = if is_insert { insert } else { depth };
        if let (true, Some(depth), Some(thickness)) = (is_insert, depth, thickness)
            && depth > thickness + SAME_LENGTH
        {
            let message =
                format!("the insert is {} mm long, the plate {} mm thick", plain(depth), plain(thickness));
            context.report(
                Problem::error(join(&at, "insert"), message)
                    .remedy("take a shorter insert, or a thicker plate"),
            );
        }
        // A hole for an insert goes right through under it where the plate is no thicker.
        let depth = depth.filter(|depth| !is_insert || thickness.is_none_or(|thick| *depth < thick));
        if let (false, Some(depth), Some(thickness)) = (is_insert, depth, thickness)
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
        expansion: plate.material.expansion.unwrap_or(0.0),
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
        motion::PieceKind::Nut { form, .. } => {
            (form.area(outer) - 0.25 * PI * bore * bore) * thickness.nominal
        }
        _ => 0.25 * PI * (outer * outer - bore * bore) * thickness.nominal,
    };
    let mass = match &kind {
        motion::PieceKind::Wheel(wheel) => wheel.mass,
        _ => context.mass_of(part, volume),
    };
    let name = if piece.part == part.name { part.name.clone() } else { piece.part.clone() };
    let name =
        if piece.name.is_empty() || name == piece.name { name } else { format!("{name} ({})", piece.name) };
    // Of a wheel, the screw clamps the bearings' inner rings.
    let clamped = match &part.form {
        PartForm::Wheel(wheel) => context.catalogue.part(&wheel.bearing).unwrap_or(part),
        _ => part,
    };
    let youngs = context.youngs_of(clamped);
    let expansion = context.expansion_of(clamped);
    Some(motion::Piece { name, path, kind, thickness, outer, bore, mass, youngs, expansion })
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
            kind: motion::PieceKind::Nut {
                locking: nut.locking,
                form: nut_form(catalogue, part, nut),
                proof: {
                    let diameter = catalogue.number(part, &nut.diameter, "diameter");
                    let pitch = catalogue.number(part, &nut.pitch, "pitch");
                    motion::nut_proof_stress(&nut.class, diameter)
                        .map(|stress| stress * motion::stress_area(diameter, pitch))
                },
            },
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

/// What a nut looks like.
fn nut_form(catalogue: &Catalogue<'_>, part: &Part, nut: &NutPart) -> motion::NutForm {
    let known = |size: &Option<Length>, name| size.as_ref().map(|size| catalogue.number(part, size, name));
    match nut.form {
        NutForm::Hexagon => motion::NutForm::Hexagon,
        NutForm::Square => motion::NutForm::Square,
        NutForm::Flanged => known(&nut.flange, "flange")
            .map_or(motion::NutForm::Hexagon, |flange| motion::NutForm::Flanged { flange }),
        NutForm::Slot => known(&nut.length, "length")
            .map_or(motion::NutForm::Square, |length| motion::NutForm::Slot { length }),
    }
}

/// Everything must slide over the screw, and nuts must fit its thread.
fn check_bores(context: &mut Context<'_>, stack: &motion::Stack) {
    let (screw, on_shoulder) = (&stack.screw, stack.on_shoulder());
    for (place, piece) in stack.pieces.iter().enumerate() {
        let shoulder = screw.shoulder.filter(|_| place < on_shoulder);
        let diameter = shoulder.map_or(screw.diameter, |shoulder| shoulder.nominal - shoulder.half_width());
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
        catalogue: Catalogue::new(document, values),
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
