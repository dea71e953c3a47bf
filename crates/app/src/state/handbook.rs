//! The handbook that the program carries: pages of sections, and which section tells about what.

use std::sync::OnceLock;

use glidewright_sheet::views::StripKind;

/// A page of the handbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Chapter {
    /// How things are done.
    HowTo,
    /// How every figure is computed.
    HowComputed,
}

impl Chapter {
    /// Both.
    pub const ALL: [Self; 2] = [Self::HowTo, Self::HowComputed];

    /// Its name.
    pub const fn title(self) -> &'static str {
        match self {
            Self::HowTo => "How to",
            Self::HowComputed => "How it is computed",
        }
    }

    const fn text(self) -> &'static str {
        match self {
            Self::HowTo => include_str!("../../../../assets/handbook/how-to.md"),
            Self::HowComputed => include_str!("../../../../assets/handbook/how-computed.md"),
        }
    }
}

/// A section of the handbook.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Section {
    /// The page it is in.
    pub chapter: Chapter,
    /// Its title; empty for what stands before the first.
    pub title: &'static str,
    /// Its text without the title, as Markdown; formulas are code within the line.
    pub text: String,
}

impl Section {
    /// Whether all of some words are in it, whatever their case.
    pub fn has(&self, words: &str) -> bool {
        let text = format!("{} {}", self.title, self.text).to_lowercase();
        words.to_lowercase().split_whitespace().all(|word| text.contains(word))
    }
}

/// All sections in order.
pub fn sections() -> &'static [Section] {
    static ALL: OnceLock<Vec<Section>> = OnceLock::new();
    ALL.get_or_init(|| Chapter::ALL.into_iter().flat_map(cut).collect())
}

/// The number of the section with a title.
pub fn section_named(title: &str) -> Option<usize> {
    sections().iter().position(|section| section.title == title)
}

fn cut(chapter: Chapter) -> Vec<Section> {
    let mut all = Vec::new();
    for part in chapter.text().split("\n## ").skip(1) {
        let (title, text) = part.split_once('\n').unwrap_or((part, ""));
        all.push(Section { chapter, title: title.trim(), text: with_formulas(text.trim()) });
    }
    all
}

/// Indented formulas as code within the line, each on a line of its own: a block of code would come with a frame
/// and a button, as if one were to run it.
fn with_formulas(text: &str) -> String {
    let line = |line: &str| match line.strip_prefix("    ") {
        Some(formula) => format!("`{}`  \n", formula.trim_end()),
        None => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

/// Which section tells how the figure of a finding is computed, by the finding's code.
pub fn about_finding(code: &str) -> &'static str {
    let (family, kind) = code.split_once('.').unwrap_or((code, ""));
    match (family, kind) {
        ("gap", "clear_by_passing" | "clear_by_gap") => "What kind of gap",
        ("gap", _) => "The gap",
        ("builds", _) => "How many builds foul",
        ("tolerance", _) => "The tolerance of a gap",
        ("balance", _) => "Does it stay where it is left",
        ("hazard", _) => "What falls, what pinches",
        ("travel" | "place", _) => "The ends of the stroke",
        ("plate", "skew") => "The stack and where the plate stands",
        ("plate", "crushed" | "bending") | ("screw", "bending" | "torque") => "Clamping and bending",
        ("plate" | "print", _) => "Printed parts",
        ("rider", "swings") => "The rail and what it stands on",
        ("rider", "slides") => "What holds a rider along the rail",
        ("rider", _) | ("wheel", "unloaded" | "unloaded_moving" | "play") => {
            "Tilt, play and wheels that carry nothing"
        }
        ("eccentric" | "preload" | "heat", _) => "Eccentrics and preload",
        ("wheel", "speed") => "Speed of wheels and bearings",
        ("wheel", "shallow" | "wrong_profile" | "falls_in" | "bottoms" | "on_shoulders" | "barely_held") => {
            "Where a wheel sits"
        }
        ("wheel", "pressure" | "parked" | "beyond_hertz") => "Contact pressure",
        ("wheel" | "loads", _) => "What the wheels carry",
        ("effort", _) => "Imbalance and effort",
        ("resistance" | "calibration" | "coefficients", _) => "Resistance to motion",
        ("drive" | "motor", _) => "Drive torque",
        ("belt" | "line", _) => "Belt and cord",
        ("binding" | "shoe", _) => "Binding",
        ("bearing", "abutment" | "hub" | "load" | "shoulder") | ("screw", "shoulder") => {
            "What bears on a bearing"
        }
        ("screw" | "nut" | "stack", _) => "Thread in the nut",
        ("access", _) => "Key and spanner",
        ("rail" | "stand", _) => "The rail and what it stands on",
        ("stop", _) => "Run against a stop",
        ("bearing", _) => "How a bearing sits on its screw",
        _ => "The gap",
    }
}

/// Which section tells about the curves of a strip.
pub const fn about_strip(kind: StripKind) -> &'static str {
    match kind {
        StripKind::Clearance => "The gap",
        StripKind::Effort => "Imbalance and effort",
        StripKind::Torque => "Drive torque",
        StripKind::WheelLoads => "What the wheels carry",
        StripKind::Resistance => "Resistance to motion",
    }
}

/// Which section tells about what a view shows, by the view's name.
pub fn about_view(name: &str) -> &'static str {
    match name {
        "stacks" => "The chain of sizes",
        "seat" => "Where a wheel sits",
        "end" => "What the wheels carry",
        "plate" | "plates" => "Printed parts",
        "belt" | "line" => "Belt and cord",
        "drive" => "Drive torque",
        "gap" | "space" => "The gap",
        _ => "Read the strips",
    }
}

#[cfg(test)]
mod tests {
    use std::collections::HashSet;

    use super::*;
    use glidewright_samples::COPY_STAND;

    #[test]
    fn titles_are_one_of_a_kind_and_texts_are_there() {
        let mut seen = HashSet::new();
        for section in sections() {
            assert!(seen.insert(section.title), "{} twice", section.title);
            assert!(section.text.len() > 40, "{}: {}", section.title, section.text);
        }
        assert!(seen.len() > 20);
    }

    #[test]
    fn every_reference_is_a_section() {
        let codes = [
            "gap.fouls",
            "gap.marginal",
            "gap.clear_end_to_end",
            "gap.clear_side_by_side",
            "hazard.falling",
            "place.impossible",
            "figures.not_finite",
            "wheel.press",
            "travel.off_rail",
            "balance.drifts",
            "balance.holds",
            "plate.skew",
            "rider.unrestrained",
            "rider.unrestrained_moving",
            "rider.slides",
            "wheel.unloaded",
            "rider.tilt",
            "effort.high",
            "screw.engagement",
            "screw.shank",
            "screw.tapped",
            "screw.bottoms",
            "screw.through",
            "wheel.pressure",
            "wheel.falls_in",
            "wheel.beyond_hertz",
            "tolerance.share",
            "print.overhang",
            "binding.jam",
            "eccentric.hole",
            "eccentric.rim",
            "eccentric.range",
            "eccentric.turn",
            "preload.fixed",
            "heat.press",
            "wheel.speed",
            "wheel.shallow",
            "wheel.wrong_profile",
            "nut.plain",
            "nut.thin",
            "stack.loose",
            "screw.countersink",
            "screw.bending",
            "plate.crushed",
            "plate.bending",
            "bearing.abutment",
            "bearing.hub",
            "bearing.load",
            "bearing.shoulder",
            "screw.shoulder",
            "screw.torque",
            "rail.sag",
            "rail.swings",
            "rider.swings",
            "rider.play",
            "stand.tips",
            "stop.missing",
            "stop.hard",
            "belt.bend",
            "belt.axle",
            "belt.pretension",
            "balance.creeps",
            "access.tool",
            "access.eccentric",
            "belt.length",
            "x",
            "",
        ];
        for code in codes {
            assert!(section_named(about_finding(code)).is_some(), "{code}");
        }
        for kind in StripKind::ALL {
            assert!(section_named(about_strip(kind)).is_some(), "{kind:?}");
        }
        for view in glidewright_sheet::views::VIEWS {
            assert!(section_named(about_view(view.name)).is_some(), "{}", view.name);
        }
    }

    /// Codes of findings with a section of their own, as the fallback says little.
    #[test]
    fn findings_of_the_demos_are_told_about() {
        for text in [COPY_STAND, glidewright_project::sample_shuttle_text()] {
            let document = glidewright_project::parse(text).unwrap();
            let trials = std::iter::once(None).chain(document.trials.iter().map(|t| Some(t.name.as_str())));
            for trial in trials {
                let fixture = glidewright_project::resolve(&document, trial).fixture.unwrap();
                for finding in glidewright_motion::analyse(&fixture).findings {
                    let is_gap = finding.code.starts_with("gap.");
                    assert!(is_gap || about_finding(finding.code) != "The gap", "{}", finding.code);
                }
            }
        }
    }

    #[test]
    fn words_are_found() {
        let found = |words: &str| sections().iter().filter(|section| section.has(words)).count();
        assert!(found("capstan") == 0 && found("hertz") <= 2);
        assert_eq!(found("SALTELLI"), 1);
        assert_eq!(found(""), sections().len());
    }
}
