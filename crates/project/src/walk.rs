//! Every size, part and choice of a document with its path.
//!
//! One walk serves evaluation, trials, renaming, lists of references and edits by path, so that a field
//! added to the document is known to all of them through one line here.

mod slots;

pub use slots::{PartUse, SizeSlot, Slot, SlotMut};

use crate::document::*;
use crate::path::Path;
use crate::size::{Kind, Size};

/// What is called at each slot.
pub type Visit<'v> = dyn for<'a> FnMut(&str, Slot<'a>) + 'v;
/// What is called at each slot, to change it.
pub type VisitMut<'v> = dyn for<'a> FnMut(&str, SlotMut<'a>) + 'v;

/// Something with sizes, parts or choices in it.
pub(crate) trait Walk {
    /// Visits every slot; `path` is where this stands.
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>);
    /// Visits every slot, to change it.
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>);
}

impl Document {
    /// Visits every size, part and choice with its path, in the order of the file.
    pub fn visit(&self, visit: &mut Visit<'_>) {
        self.walk(&mut Path::default(), visit);
    }

    /// Visits every size, part and choice with its path, to change it.
    pub fn visit_mut(&mut self, visit: &mut VisitMut<'_>) {
        self.walk_mut(&mut Path::default(), visit);
    }
}

impl Part {
    /// Visits every size and choice of the part with its name, e.g. `height` or `running/tip`.
    pub fn visit(&self, visit: &mut Visit<'_>) {
        self.walk(&mut Path::default(), visit);
    }
}

impl<K: Kind> Walk for Size<K> {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        visit(path.as_str(), Slot::Size(self));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        visit(path.as_str(), SlotMut::Size(self));
    }
}

impl<K: Kind> Walk for Option<Size<K>> {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        visit(path.as_str(), Slot::Size(self));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        visit(path.as_str(), SlotMut::Size(self));
    }
}

/// How one field is walked.
macro_rules! field {
    // A size, or something with slots of its own.
    ($walk:ident, $field:expr, $name:expr, $path:ident, $visit:ident, walk) => {
        $path.inside($name, |path| Walk::$walk($field, path, $visit))
    };
    // Something with slots of its own that need not be there.
    ($walk:ident, $field:expr, $name:expr, $path:ident, $visit:ident, maybe) => {
        if let Some(inner) = $field {
            $path.inside($name, |path| Walk::$walk(inner, path, $visit));
        }
    };
    // A list of named things.
    ($walk:ident, $field:expr, $name:expr, $path:ident, $visit:ident, named) => {
        $path.inside($name, |path| {
            for item in $field {
                let name = item.name().to_owned();
                path.inside(&name, |path| Walk::$walk(item, path, $visit));
            }
        })
    };
    // A list of nameless things, counted from 1.
    ($walk:ident, $field:expr, $name:expr, $path:ident, $visit:ident, counted) => {
        $path.inside($name, |path| {
            for (number, item) in (1..).zip($field) {
                path.inside(&number.to_string(), |path| Walk::$walk(item, path, $visit));
            }
        })
    };
}

/// Walks a structure field by field; `part(Kind) field` names a part, `choice field` holds a word.
macro_rules! walk_fields {
    ($type:ty { $($how:ident $(($use:expr))? $field:ident,)* }) => {
        impl Walk for $type {
            fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
                $(walk_fields!(@ref $how $(($use))? self, $field, path, visit);)*
            }
            fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
                $(walk_fields!(@mut $how $(($use))? self, $field, path, visit);)*
            }
        }
    };
    (@ref part($use:expr) $self:ident, $field:ident, $path:ident, $visit:ident) => {
        $path.inside(stringify!($field), |path| $visit(path.as_str(), Slot::Part($use, &$self.$field)))
    };
    (@mut part($use:expr) $self:ident, $field:ident, $path:ident, $visit:ident) => {
        $path.inside(stringify!($field), |path| $visit(path.as_str(), SlotMut::Part($use, &mut $self.$field)))
    };
    (@ref choice $self:ident, $field:ident, $path:ident, $visit:ident) => {
        $path.inside(stringify!($field), |path| $visit(path.as_str(), Slot::Choice(&$self.$field)))
    };
    (@mut choice $self:ident, $field:ident, $path:ident, $visit:ident) => {
        $path.inside(stringify!($field), |path| $visit(path.as_str(), SlotMut::Choice(&mut $self.$field)))
    };
    (@ref $how:ident $self:ident, $field:ident, $path:ident, $visit:ident) => {
        field!(walk, &$self.$field, stringify!($field), $path, $visit, $how)
    };
    (@mut $how:ident $self:ident, $field:ident, $path:ident, $visit:ident) => {
        field!(walk_mut, &mut $self.$field, stringify!($field), $path, $visit, $how)
    };
}

/// Walks the fields of an enum's structure variants; variants not listed have nothing to walk.
macro_rules! walk_variants {
    ($type:ident { $($variant:ident { $($field:ident),* })* } $($rest:tt)*) => {
        impl Walk for $type {
            fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
                match self {
                    $(Self::$variant { $($field,)* .. } => {
                        $(path.inside(stringify!($field), |path| $field.walk(path, visit));)*
                    })*
                    $($rest)*
                }
            }
            fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
                match self {
                    $(Self::$variant { $($field,)* .. } => {
                        $(path.inside(stringify!($field), |path| $field.walk_mut(path, visit));)*
                    })*
                    $($rest)*
                }
            }
        }
    };
}

/// Walks an enum whose variants hold one structure each.
macro_rules! walk_payloads {
    ($type:ident { $($variant:ident),* } $($rest:tt)*) => {
        impl Walk for $type {
            fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
                match self { $(Self::$variant(inner) => inner.walk(path, visit),)* $($rest)* }
            }
            fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
                match self { $(Self::$variant(inner) => inner.walk_mut(path, visit),)* $($rest)* }
            }
        }
    };
}

impl Walk for SharedSizes {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        for (name, size) in &self.entries {
            path.inside(name, |path| size.walk(path, visit));
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        for (name, size) in &mut self.entries {
            path.inside(name, |path| size.walk_mut(path, visit));
        }
    }
}

impl Walk for Spot {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        path.inside("along", |path| self.0.walk(path, visit));
        path.inside("across", |path| self.1.walk(path, visit));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        path.inside("along", |path| self.0.walk_mut(path, visit));
        path.inside("across", |path| self.1.walk_mut(path, visit));
    }
}

impl Walk for Point {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        path.inside("x", |path| self.0.walk(path, visit));
        path.inside("y", |path| self.1.walk(path, visit));
        path.inside("z", |path| self.2.walk(path, visit));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        path.inside("x", |path| self.0.walk_mut(path, visit));
        path.inside("y", |path| self.1.walk_mut(path, visit));
        path.inside("z", |path| self.2.walk_mut(path, visit));
    }
}

/// A piece's part stands at the piece's own path, its sizes below it.
impl Walk for Piece {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        visit(path.as_str(), Slot::Part(PartUse::of_piece(self.kind), &self.part));
        path.inside("length", |path| self.length.walk(path, visit));
        if self.kind == PieceKind::Eccentric {
            path.inside("turn", |path| self.turn.walk(path, visit));
        }
        if self.kind == PieceKind::Plate {
            path.inside("hole", |path| visit(path.as_str(), Slot::Choice(&self.hole)));
            path.inside("depth", |path| self.depth.walk(path, visit));
            if self.hole == ScrewHole::Insert {
                let part_use = PartUse::Kind(PartKind::Insert);
                path.inside("insert", |path| visit(path.as_str(), Slot::Part(part_use, &self.insert)));
            }
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        visit(path.as_str(), SlotMut::Part(PartUse::of_piece(self.kind), &mut self.part));
        path.inside("length", |path| self.length.walk_mut(path, visit));
        if self.kind == PieceKind::Eccentric {
            path.inside("turn", |path| self.turn.walk_mut(path, visit));
        }
        if self.kind == PieceKind::Plate {
            path.inside("hole", |path| visit(path.as_str(), SlotMut::Choice(&mut self.hole)));
            path.inside("depth", |path| self.depth.walk_mut(path, visit));
            if self.hole == ScrewHole::Insert {
                let part_use = PartUse::Kind(PartKind::Insert);
                path.inside("insert", |path| visit(path.as_str(), SlotMut::Part(part_use, &mut self.insert)));
            }
        }
    }
}

impl Walk for Stack {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        path.inside("screw", |path| {
            visit(path.as_str(), Slot::Part(PartUse::Kind(PartKind::Screw), &self.screw))
        });
        path.inside("length", |path| self.length.walk(path, visit));
        path.inside("torque", |path| self.torque.walk(path, visit));
        path.inside("head", |path| visit(path.as_str(), Slot::Choice(&self.head)));
        for (name, piece) in piece_names(&self.pieces).iter().zip(&self.pieces) {
            path.inside(name, |path| piece.walk(path, visit));
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        let screw = &mut self.screw;
        path.inside("screw", |path| {
            visit(path.as_str(), SlotMut::Part(PartUse::Kind(PartKind::Screw), screw))
        });
        path.inside("length", |path| self.length.walk_mut(path, visit));
        path.inside("torque", |path| self.torque.walk_mut(path, visit));
        path.inside("head", |path| visit(path.as_str(), SlotMut::Choice(&mut self.head)));
        for (name, piece) in piece_names(&self.pieces).iter().zip(&mut self.pieces) {
            path.inside(name, |path| piece.walk_mut(path, visit));
        }
    }
}

impl Walk for Moves {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        match self {
            Self::Lead => {}
            Self::Linked(ratio) => path.inside("ratio", |path| ratio.walk(path, visit)),
            Self::Free { from, to, at } => {
                path.inside("from", |path| from.walk(path, visit));
                path.inside("to", |path| to.walk(path, visit));
                path.inside("at", |path| at.walk(path, visit));
            }
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        match self {
            Self::Lead => {}
            Self::Linked(ratio) => path.inside("ratio", |path| ratio.walk_mut(path, visit)),
            Self::Free { from, to, at } => {
                path.inside("from", |path| from.walk_mut(path, visit));
                path.inside("to", |path| to.walk_mut(path, visit));
                path.inside("at", |path| at.walk_mut(path, visit));
            }
        }
    }
}

impl Walk for TorquePoint {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        path.inside("speed", |path| self.0.walk(path, visit));
        path.inside("torque", |path| self.1.walk(path, visit));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        path.inside("speed", |path| self.0.walk_mut(path, visit));
        path.inside("torque", |path| self.1.walk_mut(path, visit));
    }
}

impl Walk for ForcePoint {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        path.inside("travel", |path| self.0.walk(path, visit));
        path.inside("force", |path| self.1.walk(path, visit));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        path.inside("travel", |path| self.0.walk_mut(path, visit));
        path.inside("force", |path| self.1.walk_mut(path, visit));
    }
}

walk_fields!(Document {
    walk sizes,
    walk rail,
    named riders,
    maybe line,
    named obstacles,
    walk stroke,
    walk limits,
    walk drive,
    walk resistance,
    counted pulls,
    named parts,
    named materials,
});
walk_fields!(Rail { part(PartUse::Kind(PartKind::Rail)) section, walk length, walk stand, counted supports, });
walk_fields!(Rider {
    choice faces,
    walk at,
    walk moves,
    walk stiffness,
    maybe stack,
    named wheels,
    named bolts,
    named shoes,
    named plates,
    named loads,
    maybe grip,
    named forces,
    named points,
});
walk_fields!(WheelPlace { walk along, walk press, walk stiffness, maybe stack, });
walk_fields!(Bolt { walk at, walk stack, });
walk_fields!(Shoe { walk along, walk length, walk press, part(PartUse::Material) material, walk friction, walk mass, counted bodies, });
walk_fields!(AppliedForce { choice acts, maybe at, counted table, });
walk_fields!(MeasuredPull { choice towards, walk payload, walk at, walk force, walk deviation, });
walk_fields!(Plate {
    walk outline,
    walk thickness,
    part(PartUse::Material) material,
    walk fill,
    named features,
    walk level,
});
walk_fields!(FlatFeature { walk shape, });
walk_fields!(PocketFeature { walk shape, walk depth, choice side, maybe fill, });
walk_fields!(PocketFill { part(PartUse::Material) material, walk packing, });
walk_fields!(RibFeature { walk shape, walk height, choice side, });
walk_fields!(ClampFeature { walk at, walk length, walk width, walk height, walk groove, walk depth, choice side, });
walk_fields!(Load { walk mass, counted bodies, maybe centre, maybe reach, });
walk_fields!(Reach { walk direction, walk from, walk to, walk at, });
walk_fields!(Grip { walk at, });
walk_fields!(Watched { walk at, });
walk_fields!(Obstacle { walk give, walk mass, counted bodies, });
walk_fields!(Line {
    part(PartUse::Kind(PartKind::Belt)) part,
    walk plane,
    named nodes,
    walk bending_loss,
    walk post_friction,
    walk pretension,
});
walk_fields!(Anchor { walk at, walk tail, });
walk_fields!(Roller { part(PartUse::Kind(PartKind::Pulley)) part, walk at, choice turn, });
walk_fields!(Stroke { walk from, walk to, });
walk_fields!(Limits { walk gap, walk effort, walk tilt, walk play, walk coldest, walk warmest, });
walk_fields!(Motor {
    walk efficiency,
    walk inertia,
    walk speed,
    walk acceleration,
    walk continuous,
    counted torque,
});
walk_fields!(Resistance {
    walk bearing,
    walk no_load_torque,
    walk flank,
    walk hysteresis,
    walk shoe,
    walk start_factor,
});
/// A part's sizes stand at its own path, whatever it is.
impl Walk for Part {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        self.form.walk(path, visit);
        path.inside("mass", |path| self.mass.walk(path, visit));
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        self.form.walk_mut(path, visit);
        path.inside("mass", |path| self.mass.walk_mut(path, visit));
    }
}
walk_fields!(WasherPart { walk hole, walk outer, walk thickness, });
walk_fields!(NutPart { walk diameter, walk pitch, walk flats, walk height, choice form, walk flange, walk length, });
walk_fields!(InsertPart { walk diameter, walk pitch, walk outer, walk length, walk hole, });
walk_fields!(ScrewPart { walk diameter, walk pitch, choice head, walk head_size, walk head_height, walk thread_length, walk threaded_to_head, walk shoulder, walk key, walk key_depth, walk usual_torque, });
walk_fields!(RingPart { walk hole, walk outer, walk length, });
walk_fields!(EccentricPart { walk hole, walk outer, walk length, walk offset, walk boss, });
walk_fields!(WheelPart {
    walk running,
    walk outer,
    walk width,
    walk hub,
    part(PartUse::Kind(PartKind::Bearing)) bearing,
    walk bearings,
});
walk_fields!(BearingPart {
    walk bore,
    walk outer,
    walk width,
    walk no_load_torque,
    walk flange,
    walk flange_width,
    walk inner_ring,
    walk shaft_shoulder,
    walk housing_shoulder,
    walk dynamic_rating,
    walk static_rating,
    walk speed,
    walk clearance,
    walk runout,
});
walk_fields!(BeltPart { walk kind, walk width, walk thickness, walk mass_per_length, walk working_pull, walk pitch_line, walk least_teeth, });
walk_fields!(PulleyPart { walk rim, walk width, walk bore, walk bearings, walk inertia, });
walk_fields!(GroovedPart {
    walk module,
    walk columns,
    walk rows,
    walk mouth,
    walk half_angle,
    walk channel,
    walk lip,
    walk cavity,
    walk bottom,
    walk depth,
    walk corner,
    walk bore,
    walk chamber,
});
walk_fields!(Material { walk density, walk youngs, walk poisson, walk allowable_pressure, walk strength, walk expansion, walk lasting, });

walk_variants!(Stand { Inclined { incline, roll } } Self::Upright | Self::Lying => {});
walk_variants!(PlateOutline {
    Around { margin, corner }
    Rectangle { from, to, corner }
    Pads { pad, web, webs, fillet }
} Self::Path(_) => {});
walk_variants!(Patch {
    Circle { at, diameter }
    Rectangle { from, to, corner }
    Slot { from, to, width }
    Path { at }
});
walk_variants!(TrackForm { Vee { mouth, half_angle, lip } Flat { width } Round { radius } });
walk_payloads!(Feature { Tab, Cut, Pocket, Rib, Clamp });
walk_fields!(OutlinePart { named tracks, });
walk_fields!(TrackPart { walk at, walk faces, walk profile, });

/// A word that is walked as a field of a variant.
macro_rules! walk_words {
    ($($type:ty),*) => {
        $(impl Walk for $type {
            fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
                visit(path.as_str(), Slot::Choice(self));
            }
            fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
                visit(path.as_str(), SlotMut::Choice(self));
            }
        })*
    };
}
walk_words!(Webs, Axis);

impl Walk for Option<Turned> {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        if let Some(turned) = self {
            turned.walk(path, visit);
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        if let Some(turned) = self {
            turned.walk_mut(path, visit);
        }
    }
}
walk_variants!(Body {
    Box { from, to, turned }
    Cylinder { from, to, diameter }
    Cone { from, to, from_diameter, to_diameter }
    Ball { at, diameter }
    Outline { shape, along, from, to, turned }
});
walk_fields!(Turned { walk about, walk by, maybe at, });
walk_variants!(LinePlane { Upright { y } Flat { z } });
walk_variants!(Running { Vee { tip, half_angle } Crowned { radius } Grooved { radius } } Self::Flat => {});
walk_variants!(BeltKind { Toothed { pitch } } Self::Flat | Self::Cord => {});
walk_variants!(PulleyRim { Plain { diameter } Toothed { teeth, pitch } });
walk_payloads!(Node { Anchor, Idler, Post, Driven });
walk_payloads!(Drive { Motor } Self::Hand => {});
walk_payloads!(PartForm {
    Washer,
    Nut,
    Screw,
    Insert,
    Spacer,
    Shim,
    Eccentric,
    Wheel,
    Bearing,
    Belt,
    Pulley,
    Rail
});

impl Walk for RailPart {
    fn walk(&self, path: &mut Path, visit: &mut Visit<'_>) {
        match self {
            Self::Grooved(grooved) => grooved.walk(path, visit),
            Self::FlatBar { width, depth, corner } => {
                path.inside("width", |path| width.walk(path, visit));
                path.inside("depth", |path| depth.walk(path, visit));
                path.inside("corner", |path| corner.walk(path, visit));
            }
            Self::Rod { diameter } => path.inside("diameter", |path| diameter.walk(path, visit)),
            Self::Rods { diameter, apart } => {
                path.inside("diameter", |path| diameter.walk(path, visit));
                path.inside("apart", |path| apart.walk(path, visit));
            }
            Self::Outline(outline) => outline.walk(path, visit),
        }
    }
    fn walk_mut(&mut self, path: &mut Path, visit: &mut VisitMut<'_>) {
        match self {
            Self::Grooved(grooved) => grooved.walk_mut(path, visit),
            Self::FlatBar { width, depth, corner } => {
                path.inside("width", |path| width.walk_mut(path, visit));
                path.inside("depth", |path| depth.walk_mut(path, visit));
                path.inside("corner", |path| corner.walk_mut(path, visit));
            }
            Self::Rod { diameter } => path.inside("diameter", |path| diameter.walk_mut(path, visit)),
            Self::Rods { diameter, apart } => {
                path.inside("diameter", |path| diameter.walk_mut(path, visit));
                path.inside("apart", |path| apart.walk_mut(path, visit));
            }
            Self::Outline(outline) => outline.walk_mut(path, visit),
        }
    }
}
