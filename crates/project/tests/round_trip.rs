//! Whatever document there is, its text reads back as the same document.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]

use glidewright_project::document::*;
use glidewright_project::size::{AnySize, Formula, Kind, Size};
use glidewright_project::tolerance::{GeneralClass, Tolerance};
use glidewright_project::{parse, print, resolve};
use proptest::prelude::*;

/// A source of arbitrary documents.
struct Source {
    state: u64,
}

impl Source {
    fn next(&mut self) -> u64 {
        self.state =
            self.state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let x = self.state ^ (self.state >> 33);
        x.wrapping_mul(0xff51_afd7_ed55_8ccd) >> 7
    }
    fn below(&mut self, n: u64) -> usize {
        (self.next() % n) as usize
    }
    fn flag(&mut self) -> bool {
        self.below(2) == 0
    }
    fn pick<T: Clone>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64)].clone()
    }
    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        if self.flag() { Some(make(self)) } else { None }
    }
    fn some<T>(&mut self, make: impl Fn(&mut Self) -> T) -> Vec<T> {
        (0..self.below(4)).map(|_| make(self)).collect()
    }
    fn number(&mut self) -> f64 {
        match self.below(8) {
            0 => 0.0,
            1 => f64::from(self.below(1000) as u32) - 500.0,
            2 => f64::from(self.below(1000) as u32) / 10.0,
            3 => 1e300,
            4 => -5e-324,
            5 => 0.1 + 0.2,
            6 => 123_456_789_012_345_680.0,
            _ => {
                let x = f64::from_bits(self.next() << 7 ^ self.next());
                if x.is_finite() { x } else { 1.0 }
            }
        }
    }
    fn text(&mut self) -> String {
        let parts = [
            "a", "Ω", "\"", "\\", "\n", "\t", "// ", "/*", "*/", "'", "(", "]", "{", ",", ":", "\u{0}",
            "\u{7f}", "🙂", " ", "r#\"", "\r", "\u{feff}", "/", "name",
        ];
        (0..self.below(6)).map(|_| self.pick(&parts)).collect()
    }
    fn formula(&mut self) -> Formula {
        if self.flag() {
            Formula::Number(self.number())
        } else {
            // A text that reads as a number is one.
            Formula::typed(&self.text())
        }
    }
    fn tolerance(&mut self) -> Tolerance {
        match self.below(7) {
            0 => Tolerance::Exact,
            1 => Tolerance::PlusMinus(self.number()),
            2 => Tolerance::Normal(self.number()),
            3 => Tolerance::Between(self.number(), self.number()),
            4 => Tolerance::General(self.pick(&[
                GeneralClass::F,
                GeneralClass::M,
                GeneralClass::C,
                GeneralClass::V,
            ])),
            5 => Tolerance::Fit(self.text()),
            _ => Tolerance::Measured { readings: self.some(Self::number), resolution: self.number() },
        }
    }
    fn size<K: Kind>(&mut self) -> Size<K> {
        let mut size = Size::written(self.formula());
        if self.below(4) == 0 {
            size.tolerance = Some(self.tolerance());
            size.note = self.text();
        }
        size
    }
    fn spot(&mut self) -> Spot {
        Spot(self.size(), self.size())
    }
    fn point(&mut self) -> Point {
        Point(self.size(), self.size(), self.size())
    }
    fn turned(&mut self) -> Turned {
        Turned { about: self.point(), by: self.size(), at: self.maybe(Self::point) }
    }
    fn body(&mut self) -> Body {
        match self.below(5) {
            0 => Body::Box { from: self.point(), to: self.point(), turned: self.maybe(Self::turned) },
            4 => Body::Outline {
                shape: self.patch(),
                along: self.pick(&[Axis::X, Axis::Y, Axis::Z]),
                from: self.size(),
                to: self.size(),
                turned: self.maybe(Self::turned),
            },
            1 => Body::Cylinder { from: self.point(), to: self.point(), diameter: self.size() },
            2 => Body::Cone {
                from: self.point(),
                to: self.point(),
                from_diameter: self.size(),
                to_diameter: self.size(),
            },
            _ => Body::Ball { at: self.point(), diameter: self.size() },
        }
    }
    fn patch(&mut self) -> Patch {
        match self.below(4) {
            0 => Patch::Circle { at: self.spot(), diameter: self.size() },
            1 => Patch::Rectangle { from: self.spot(), to: self.spot(), corner: self.size() },
            2 => Patch::Slot { from: self.spot(), to: self.spot(), width: self.size() },
            _ => Patch::Path { d: self.text(), at: self.spot() },
        }
    }
    fn feature(&mut self) -> Feature {
        let name = self.text();
        let side = self.pick(&[PlateSide::Inside, PlateSide::Outside]);
        match self.below(5) {
            0 => Feature::Tab(FlatFeature { name, shape: self.patch() }),
            1 => Feature::Cut(FlatFeature { name, shape: self.patch() }),
            2 => Feature::Pocket(PocketFeature {
                name,
                shape: self.patch(),
                depth: self.size(),
                side,
                fill: self.maybe(|s| PocketFill { material: s.text(), packing: s.size() }),
            }),
            3 => Feature::Rib(RibFeature { name, shape: self.patch(), height: self.size(), side }),
            _ => Feature::Clamp(ClampFeature {
                name,
                at: self.spot(),
                length: self.size(),
                width: self.size(),
                height: self.size(),
                groove: self.size(),
                depth: self.size(),
                side,
            }),
        }
    }
    fn plate(&mut self) -> Plate {
        Plate {
            name: self.text(),
            outline: match self.below(4) {
                0 => PlateOutline::Around { margin: self.size(), corner: self.size() },
                1 => PlateOutline::Rectangle { from: self.spot(), to: self.spot(), corner: self.size() },
                2 => PlateOutline::Pads {
                    pad: self.size(),
                    web: self.size(),
                    webs: self.pick(&[Webs::Ring, Webs::All, Webs::Star]),
                    fillet: self.size(),
                },
                _ => PlateOutline::Path(self.text()),
            },
            thickness: self.size(),
            material: self.text(),
            fill: self.size(),
            features: self.some(Self::feature),
            level: self.maybe(Self::size),
        }
    }
    fn piece(&mut self) -> Piece {
        Piece {
            kind: self.pick(&PieceKind::ALL),
            part: self.text(),
            length: self.maybe(Self::size),
            turn: self.size(),
            hole: self.pick(&[ScrewHole::Clear, ScrewHole::Tapped, ScrewHole::Insert]),
            depth: self.maybe(Self::size),
            insert: self.text(),
            name: self.text(),
        }
    }
    fn stack(&mut self) -> Stack {
        Stack {
            screw: self.text(),
            length: self.maybe(Self::size),
            torque: self.maybe(Self::size),
            head: self.pick(&[HeadSide::Inside, HeadSide::Outside]),
            pieces: self.some(Self::piece),
        }
    }
    fn rider(&mut self) -> Rider {
        Rider {
            name: self.text(),
            note: self.text(),
            faces: self.pick(&[Facing::Front, Facing::Rear, Facing::Left, Facing::Right]),
            at: self.size(),
            moves: match self.below(3) {
                0 => Moves::Lead,
                1 => Moves::Linked(self.size()),
                _ => Moves::Free { from: self.size(), to: self.size(), at: self.size() },
            },
            stiffness: self.maybe(Self::size),
            stack: self.maybe(Self::stack),
            wheels: self.some(|s| WheelPlace {
                name: s.text(),
                track: s.maybe(Self::text),
                pair: s.maybe(Self::text),
                along: s.size(),
                press: s.size(),
                stiffness: s.maybe(Self::size),
                stack: s.maybe(Self::stack),
            }),
            bolts: self.some(|s| Bolt { name: s.text(), at: s.spot(), stack: s.stack() }),
            shoes: self.some(|s| Shoe {
                name: s.text(),
                track: s.text(),
                along: s.size(),
                length: s.size(),
                press: s.size(),
                material: s.text(),
                friction: s.maybe(Self::size),
                mass: s.maybe(Self::size),
                bodies: s.some(Self::body),
            }),
            plates: self.some(Self::plate),
            loads: self.some(|s| Load {
                name: s.text(),
                mass: s.size(),
                on: s.maybe(Self::text),
                bodies: s.some(Self::body),
                centre: s.maybe(Self::point),
                reach: s.maybe(|s| Reach {
                    direction: s.point(),
                    from: s.size(),
                    to: s.size(),
                    at: s.size(),
                }),
                ballast: s.flag(),
            }),
            grip: self.maybe(|s| Grip { name: s.text(), on: s.maybe(Self::text), at: s.point() }),
            forces: self.some(|s| AppliedForce {
                name: s.text(),
                acts: s.pick(&[ForceAction::Push, ForceAction::Drag]),
                on: s.maybe(Self::text),
                at: s.maybe(Self::point),
                table: s.some(|s| ForcePoint(s.size(), s.size())),
            }),
            points: self.some(|s| Watched { name: s.text(), on: s.maybe(Self::text), at: s.point() }),
        }
    }
    fn node(&mut self) -> Node {
        if self.flag() {
            return Node::Anchor(Anchor {
                name: self.text(),
                rider: self.maybe(Self::text),
                at: self.spot(),
                tail: self.maybe(Self::size),
            });
        }
        let roller = Roller {
            name: self.text(),
            part: self.text(),
            rider: self.maybe(Self::text),
            at: self.spot(),
            turn: self.pick(&[Turn::Left, Turn::Right]),
        };
        match self.below(3) {
            0 => Node::Idler(roller),
            1 => Node::Post(roller),
            _ => Node::Driven(roller),
        }
    }
    fn running(&mut self) -> Running {
        match self.below(4) {
            0 => Running::Vee { tip: self.size(), half_angle: self.size() },
            1 => Running::Flat,
            2 => Running::Crowned { radius: self.size() },
            _ => Running::Grooved { radius: self.size() },
        }
    }
    fn rail_part(&mut self) -> RailPart {
        match self.below(4) {
            0 => RailPart::Grooved(GroovedPart {
                module: self.size(),
                columns: self.size(),
                rows: self.size(),
                mouth: self.size(),
                half_angle: self.size(),
                channel: self.size(),
                lip: self.size(),
                cavity: self.size(),
                bottom: self.size(),
                depth: self.size(),
                corner: self.size(),
                bore: self.size(),
                chamber: self.size(),
            }),
            1 => RailPart::FlatBar { width: self.size(), depth: self.size(), corner: self.size() },
            2 => RailPart::Rod { diameter: self.size() },
            3 => RailPart::Rods { diameter: self.size(), apart: self.size() },
            _ => RailPart::Outline(OutlinePart {
                d: self.text(),
                tracks: self.some(|s| TrackPart {
                    name: s.text(),
                    at: s.spot(),
                    faces: s.size(),
                    profile: match s.below(3) {
                        0 => TrackForm::Vee { mouth: s.size(), half_angle: s.size(), lip: s.size() },
                        1 => TrackForm::Flat { width: s.size() },
                        _ => TrackForm::Round { radius: s.size() },
                    },
                }),
            }),
        }
    }
    fn form(&mut self) -> PartForm {
        let ring = |s: &mut Self| RingPart { hole: s.size(), outer: s.size(), length: s.size() };
        match self.below(12) {
            10 => PartForm::Insert(InsertPart {
                diameter: self.size(),
                pitch: self.size(),
                outer: self.size(),
                length: self.size(),
                hole: self.size(),
            }),
            0 => {
                PartForm::Washer(WasherPart { hole: self.size(), outer: self.size(), thickness: self.size() })
            }
            1 => PartForm::Nut(NutPart {
                diameter: self.size(),
                pitch: self.size(),
                flats: self.size(),
                height: self.size(),
                locking: self.flag(),
                form: self.pick(&[NutForm::Hexagon, NutForm::Flanged, NutForm::Square, NutForm::Slot]),
                flange: self.maybe(Self::size),
                length: self.maybe(Self::size),
                class: self.text(),
            }),
            2 => PartForm::Screw(ScrewPart {
                diameter: self.size(),
                pitch: self.size(),
                head: self.pick(&[
                    HeadForm::Socket,
                    HeadForm::Button,
                    HeadForm::Hexagon,
                    HeadForm::Countersunk,
                    HeadForm::Flanged,
                    HeadForm::None,
                ]),
                head_size: self.size(),
                head_height: self.size(),
                thread_length: self.maybe(Self::size),
                threaded_to_head: self.maybe(Self::size),
                shoulder: self.maybe(Self::size),
                key: self.maybe(Self::size),
                key_depth: self.maybe(Self::size),
                class: self.text(),
                usual_torque: self.maybe(Self::size),
                lengths: self.some(Self::number),
            }),
            3 => PartForm::Spacer(ring(self)),
            4 => PartForm::Shim(ring(self)),
            5 => PartForm::Eccentric(EccentricPart {
                hole: self.size(),
                outer: self.size(),
                length: self.size(),
                offset: self.size(),
                boss: self.maybe(Self::size),
            }),
            6 => PartForm::Wheel(WheelPart {
                running: self.running(),
                outer: self.size(),
                width: self.size(),
                hub: self.size(),
                bearing: self.text(),
                bearings: self.size(),
            }),
            7 => PartForm::Bearing(BearingPart {
                bore: self.size(),
                outer: self.size(),
                width: self.size(),
                no_load_torque: self.maybe(Self::size),
                flange: self.maybe(Self::size),
                flange_width: self.maybe(Self::size),
                inner_ring: self.maybe(Self::size),
                shaft_shoulder: self.maybe(Self::size),
                housing_shoulder: self.maybe(Self::size),
                dynamic_rating: self.maybe(Self::size),
                static_rating: self.maybe(Self::size),
                speed: self.maybe(Self::size),
                clearance: self.maybe(Self::size),
                runout: self.maybe(Self::size),
            }),
            8 => PartForm::Belt(BeltPart {
                kind: match self.below(3) {
                    0 => BeltKind::Toothed { pitch: self.size() },
                    1 => BeltKind::Flat,
                    _ => BeltKind::Cord,
                },
                width: self.size(),
                thickness: self.size(),
                mass_per_length: self.size(),
                working_pull: self.maybe(Self::size),
                pitch_line: self.maybe(Self::size),
                least_teeth: self.maybe(Self::size),
            }),
            9 => PartForm::Pulley(PulleyPart {
                rim: if self.flag() {
                    PulleyRim::Plain { diameter: self.size() }
                } else {
                    PulleyRim::Toothed { teeth: self.size(), pitch: self.size() }
                },
                width: self.size(),
                bore: self.size(),
                bearings: self.size(),
                inertia: self.maybe(Self::size),
            }),
            _ => PartForm::Rail(self.rail_part()),
        }
    }
    fn change(&mut self) -> Change {
        match self.below(5) {
            0 => Change::Swap { from: self.text(), to: self.text(), within: self.text() },
            1 => Change::Set { path: self.text(), to: self.formula() },
            2 => Change::Shift { path: self.text(), by: AnySize::written(self.formula()) },
            3 => Change::Turn { within: self.text() },
            _ => Change::Remove { path: self.text() },
        }
    }
    fn sizes(&mut self) -> SharedSizes {
        let mut sizes = SharedSizes::default();
        for number in 0..self.below(4) {
            sizes.entries.push((format!("{number}{}", self.text()), self.size()));
        }
        sizes
    }
    fn document(&mut self) -> Document {
        Document {
            format: FORMAT,
            name: self.text(),
            note: self.text(),
            sizes: self.sizes(),
            rail: Rail {
                section: self.text(),
                length: self.size(),
                stand: match self.below(3) {
                    0 => Stand::Upright,
                    1 => Stand::Lying,
                    _ => Stand::Inclined { incline: self.size(), roll: self.size() },
                },
                supports: self.some(Self::size),
            },
            riders: self.some(Self::rider),
            line: self.maybe(|s| Line {
                name: s.text(),
                part: s.text(),
                plane: if s.flag() {
                    LinePlane::Upright { y: s.size() }
                } else {
                    LinePlane::Flat { z: s.size() }
                },
                nodes: s.some(Self::node),
                bending_loss: s.maybe(Self::size),
                post_friction: s.maybe(Self::size),
                pretension: s.maybe(Self::size),
            }),
            obstacles: self.some(|s| Obstacle {
                name: s.text(),
                stop: s.flag(),
                give: s.maybe(Self::size),
                base: s.flag(),
                mass: s.maybe(Self::size),
                bodies: s.some(Self::body),
            }),
            stroke: Stroke { from: self.size(), to: self.size() },
            limits: Limits {
                gap: self.size(),
                effort: self.size(),
                tilt: self.size(),
                play: self.maybe(Self::size),
                coldest: self.maybe(Self::size),
                warmest: self.maybe(Self::size),
            },
            drive: if self.flag() {
                Drive::Hand
            } else {
                Drive::Motor(Motor {
                    name: self.text(),
                    efficiency: self.size(),
                    inertia: self.size(),
                    speed: self.size(),
                    acceleration: self.size(),
                    continuous: self.maybe(Self::size),
                    torque: self.some(|s| TorquePoint(s.size(), s.size())),
                })
            },
            resistance: Resistance {
                bearing: self.maybe(Self::size),
                no_load_torque: self.maybe(Self::size),
                flank: self.maybe(Self::size),
                hysteresis: self.maybe(Self::size),
                shoe: self.maybe(Self::size),
                start_factor: self.maybe(Self::size),
            },
            pulls: self.some(|s| MeasuredPull {
                rider: s.text(),
                towards: s.pick(&[Way::Growing, Way::Falling]),
                payload: s.size(),
                at: s.size(),
                line_off: s.flag(),
                force: s.size(),
                deviation: s.maybe(Self::size),
                note: s.text(),
            }),
            parts: self.some(|s| Part {
                name: s.text(),
                also: s.some(Self::text),
                form: s.form(),
                material: s.text(),
                mass: s.maybe(Self::size),
                cost: s.maybe(Self::number),
                cost_per_mm: s.maybe(Self::number),
                pack: s.maybe(|s| s.below(200) as u32),
                certainty: s.maybe(|s| s.pick(&Certainty::ALL)),
                certainty_of: s.some(|s| (s.text(), s.pick(&Certainty::ALL))).into_iter().collect(),
                origin: s.text(),
                note: s.text(),
            }),
            materials: self.some(|s| Material {
                name: s.text(),
                density: s.size(),
                youngs: s.size(),
                poisson: s.size(),
                allowable_pressure: s.maybe(Self::size),
                strength: s.maybe(Self::size),
                expansion: s.maybe(Self::size),
                lasting: s.maybe(Self::size),
                certainty: s.maybe(|s| s.pick(&Certainty::ALL)),
                certainty_of: s.some(|s| (s.text(), s.pick(&Certainty::ALL))).into_iter().collect(),
                note: s.text(),
            }),
            measured: self.some(|s| Measured {
                part: s.text(),
                size: s.text(),
                readings: s.some(Self::number),
                resolution: s.number(),
                note: s.text(),
            }),
            currency: self.text(),
            costs: self.some(|s| (s.text(), s.number())).into_iter().collect(),
            trials: self.some(|s| Trial {
                name: s.text(),
                note: s.text(),
                over: s.some(Self::text),
                changes: s.some(Self::change),
            }),
            comments: Default::default(),
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn print_then_parse_gives_the_same(seed in any::<u64>()) {
        let document = Source { state: seed }.document();
        let text = print(&document);
        let read = match parse(&text) {
            Ok(read) => read,
            Err(problems) => panic!("{problems:?}\n{text}"),
        };
        prop_assert_eq!(&read, &document, "{}", text);
        prop_assert_eq!(print(&read), text);
    }

    #[test]
    fn whatever_it_says_it_resolves_without_panic(seed in any::<u64>()) {
        let document = Source { state: seed }.document();
        let resolved = resolve(&document, None);
        // Such documents make no sense; that must be told.
        prop_assert!(resolved.has_errors());
        for trial in &document.trials {
            let _ = resolve(&document, Some(&trial.name));
        }
    }
}
