//! Screws: their lengths, shanks and what they weigh.

use std::f64::consts::PI;

use glidewright_motion as motion;
use motion::plain;

use super::Context;
use super::stack::SAME_LENGTH;
use crate::document::{HeadForm, Part, ScrewPart, Stack};
use crate::path::join;
use crate::problem::Problem;
use crate::size::Length;

/// Pitches of thread that should stand out of a nut (common practice).
pub const PITCHES_BEYOND: f64 = 1.0;

/// The screw of a stack of pieces, with what ends it.
pub(super) fn screw(
    context: &mut Context<'_>,
    part: &Part,
    form: &ScrewPart,
    stack: &Stack,
    pieces: &[motion::Piece],
    (end, insert): (motion::StackEnd, Option<motion::InsertSeat>),
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
            let youngs = insert.map_or(plate.youngs, |insert| insert.youngs);
            let least = motion::least_engagement(diameter, youngs);
            let room = depth.unwrap_or(thickness).min(thickness);
            Wanted { least: ahead + least.min(room), within: depth.map(|_| (ahead, ahead + room)) }
        }
        _ => Wanted { least: all + PITCHES_BEYOND * pitch, within: None },
    };
    let shoulder = form.shoulder.as_ref().map(|shoulder| catalogue.size(part, shoulder, "shoulder"));
    let threaded = Threaded::of(context, part, form);
    // A shoulder is as long as what it carries.
    let wanted = match shoulder {
        Some(shoulder) => {
            let carried = motion::pieces_on_shoulder(pieces, shoulder.nominal);
            let carried = pieces.iter().take(carried).map(|piece| piece.thickness.nominal).sum();
            Wanted { least: carried, within: None }
        }
        None => wanted,
    };
    let beyond = if shoulder.is_some() { threaded.thread.unwrap_or(0.0) } else { 0.0 };
    let named = match &stack.length {
        Some(length) => {
            let length = context.toleranced(length, path, "length");
            check_length(context, part, form, length.nominal, path);
            length
        }
        None => motion::Toleranced::exact(chosen_length(context, part, form, wanted, path)),
    };
    let length = motion::Toleranced { nominal: named.nominal + beyond, ..named };
    let unthreaded = threaded.plain_shank(length.nominal);
    // The thread is weighed at its pitch diameter, d − 0.6495·P (ISO 724).
    let core = diameter - 0.6495 * pitch;
    let thick = shoulder.map_or(diameter, |shoulder| shoulder.nominal);
    let shank = 0.25 * PI * (core * core * (length.nominal - unthreaded) + thick * thick * unthreaded);
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
    } + insert.map_or(0.0, |insert| insert.mass);
    let catalogue = &context.catalogue;
    let key = form.key.as_ref().map(|key| motion::Key {
        flats: catalogue.number(part, key, "key"),
        depth: form.key_depth.as_ref().map_or(0.0, |depth| catalogue.number(part, depth, "key_depth")),
    });
    let usual_torque =
        form.usual_torque.as_ref().map(|torque| catalogue.number(part, torque, "usual_torque"));
    motion::Screw {
        name: format!("{} × {}", part.name, plain(named.nominal)),
        path: join(path, "screw"),
        diameter,
        pitch,
        length,
        shank: unthreaded,
        shoulder,
        beyond,
        sold: form
            .lengths
            .iter()
            .map(|&length| motion::SoldLength {
                length: length + beyond,
                shank: threaded.plain_shank(length + beyond),
            })
            .collect(),
        torque: stack.torque.as_ref().map(|torque| context.number(torque, path, "torque")),
        usual_torque,
        yields: motion::screw_yields(&form.class),
        key,
        head_height,
        head_size,
        head_form: match form.head {
            HeadForm::Socket => motion::HeadForm::Socket,
            HeadForm::Button => motion::HeadForm::Button,
            HeadForm::Hexagon => motion::HeadForm::Hexagon,
            HeadForm::Countersunk => motion::HeadForm::Countersunk,
            HeadForm::Flanged => motion::HeadForm::Flanged,
            HeadForm::None => motion::HeadForm::None,
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

    /// How far the plain shank of a screw of a length reaches (mm), from where its length counts.
    fn plain_shank(self, length: f64) -> f64 {
        plain_shank(self.thread, self.to_head, length)
    }
}

/// How far the plain shank of a screw of a length reaches (mm), from where its length counts: what its thread leaves, unless
/// it is threaded to the head. `thread` is how long its thread is, `None` where it is threaded to the head in every length;
/// up to the length `to_head` it is all the same.
pub fn plain_shank(thread: Option<f64>, to_head: f64, length: f64) -> f64 {
    match thread {
        Some(thread) if length > to_head + SAME_LENGTH => (length - thread).max(0.0),
        _ => 0.0,
    }
}

/// Volume of a head (mm³). Sockets are taken as hexagons 0.8·d across flats and 0.5·d deep, a button head
/// as a spherical cap; countersunk heads as a cone down to the thread. Own estimates, for masses only.
fn head_volume(form: HeadForm, size: f64, height: f64, diameter: f64) -> f64 {
    let socket = motion::NutForm::Hexagon.area(0.8 * diameter) * (0.5 * diameter).min(height);
    let radius = 0.5 * size;
    let solid = match form {
        HeadForm::Hexagon => return motion::NutForm::Hexagon.area(size) * height,
        HeadForm::None => return -socket,
        HeadForm::Socket => PI * radius * radius * height,
        // A collar adds about what its narrower dome lacks.
        HeadForm::Button | HeadForm::Flanged => PI * height / 6.0 * (3.0 * radius * radius + height * height),
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
