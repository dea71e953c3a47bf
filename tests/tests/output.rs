//! What can't be read or written is told, with the status for it, and nothing is left half done.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on may stop")]

use glidewright_samples::COPY_STAND;
use std::ffi::OsString;
use std::io::{self, ErrorKind, Write};

use glidewright::cli::{Console, Outcome, run};
use glidewright_tests::{program, scratch};
use serde_json::Value;

/// A disk that takes so many bytes and no more.
struct Full(usize, ErrorKind);

impl Write for Full {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.0 == 0 {
            return Err(io::Error::from(self.1));
        }
        let taken = bytes.len().min(self.0);
        self.0 -= taken;
        Ok(taken)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn into_little_room(arguments: &[&str], room: usize, kind: ErrorKind) -> (Outcome, String) {
    let (mut out, mut error) = (Full(room, kind), Vec::new());
    let all = std::iter::once("glidewright").chain(arguments.iter().copied()).map(OsString::from);
    let outcome = run(all, &mut Console::new(&mut out, &mut error));
    (outcome, String::from_utf8(error).unwrap())
}

#[test]
fn results_that_cannot_be_written_are_a_failure() {
    for arguments in [&["figures", "--json"][..], &["figures"], &["check"], &["check", "--json"], &["--help"]]
    {
        let (outcome, error) = into_little_room(arguments, 500, ErrorKind::StorageFull);
        assert_eq!(outcome, Outcome::Unusable, "{arguments:?}");
        assert!(error.contains("could not be written: the disk is full"), "{error}");
    }
    // A reader that has seen enough is no failure.
    let (outcome, error) = into_little_room(&["check"], 500, ErrorKind::BrokenPipe);
    assert_eq!(outcome, Outcome::Fails, "{error}");
}

#[test]
fn unusable_input_is_told_in_json_too() {
    let folder = scratch("unusable");
    let broken = folder.join("broken.ron");
    std::fs::write(&broken, "(format: 1, name: \"x\", rail: (),").unwrap();
    let broken = broken.to_string_lossy().into_owned();
    for (arguments, place) in [
        (vec!["check", &*broken, "--json"], "line 1"),
        (vec!["figures", &*broken, "--json"], "line 1"),
        (vec!["check", "no such file.ron", "--json"], "the document"),
        (vec!["check", "--trial", "no such trial", "--json"], "trial"),
    ] {
        let said = program(&arguments);
        assert_eq!(said.outcome, Outcome::Unusable, "{arguments:?}");
        let json: Value = serde_json::from_str(&said.out).unwrap();
        assert_eq!(json["status"], "unusable");
        assert!(json["contract"].as_str().unwrap().starts_with("glidewright."));
        let problem = &json["problems"][0];
        assert!(problem["place"].as_str().unwrap().contains(place), "{problem}");
        for key in ["message", "remedy"] {
            assert!(!problem[key].as_str().unwrap().is_empty(), "{key} of {problem}");
        }
    }
}

#[cfg(unix)]
#[test]
fn devices_and_pipes_end_at_once() {
    let pipe = scratch("pipe").join("pipe");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    for file in ["/dev/zero", &*pipe.to_string_lossy()] {
        let said = program(&["check", file]);
        assert_eq!(said.outcome, Outcome::Unusable);
        assert!(said.error.contains("is not a regular file"), "{}", said.error);
    }
}

#[test]
fn a_mistyped_verb_is_told() {
    for (typed, meant) in
        [("chekc", "check"), ("chck", "check"), ("figure", "figures"), ("picutre", "picture")]
    {
        for more in [&[][..], &["a.ron"], &["--json"]] {
            let said = program(&[&[typed], more].concat());
            assert_eq!(said.outcome, Outcome::Unusable);
            assert!(said.error.contains(&format!("did you mean {meant}?")), "{}", said.error);
        }
    }
}

#[test]
fn senseless_numbers_are_refused() {
    let out = scratch("senseless").join("x.png");
    let out = out.to_string_lossy().into_owned();
    for odd in [
        &["--width", "0"][..],
        &["--width", "4000000000"],
        &["--window", "-inf,inf"],
        &["--window", "0,NaN"],
        &["--view", "space", "--turn", "inf"],
        &["--view", "space", "--lift", "1e300"],
        &["--at", "NaN"],
    ] {
        let said = program(&[&["picture", "--out", &*out], odd].concat());
        assert_eq!(said.outcome, Outcome::Unusable, "{odd:?}");
        assert!(!said.error.is_empty());
    }
    assert!(!std::path::Path::new(&out).exists());
}

#[test]
fn a_picture_never_replaces_the_project_it_is_of() {
    let folder = scratch("own");
    // A project of an odd name, and another name of the same file.
    let file = folder.join("stand.svg");
    std::fs::write(&file, COPY_STAND).unwrap();
    std::fs::hard_link(&file, folder.join("other.svg")).unwrap();
    for out in ["stand.svg", "./stand.svg", "other.svg"] {
        let out = folder.join(out);
        let said = program(&["picture", &file.to_string_lossy(), "--out", &out.to_string_lossy()]);
        assert_eq!(said.outcome, Outcome::Unusable);
        assert!(said.error.contains("the project itself"), "{}", said.error);
    }
    assert_eq!(std::fs::read_to_string(&file).unwrap(), COPY_STAND);
}

#[test]
fn solids_are_written_whole_or_not_at_all() {
    let folder = scratch("whole").join("out");
    let path = folder.to_string_lossy().into_owned();
    // A folder stands where the last of them should go.
    std::fs::create_dir_all(folder.join("index.json")).unwrap();
    let said = program(&["solids", "--at", "195", "--out", &path]);
    assert_eq!(said.outcome, Outcome::Unusable);
    assert_eq!(std::fs::read_dir(&folder).unwrap().count(), 1, "something was left behind");
}

#[test]
fn figures_are_a_table_to_read() {
    let said = program(&["figures"]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    assert!(serde_json::from_str::<Value>(&said.out).is_err());
    for words in ["Key figures", "tightest gap", "−0.5 mm", "Riders", "front tray", "yes"] {
        assert!(said.out.contains(words), "{words:?} is missing in\n{}", said.out);
    }
    for word in said.out.split_whitespace() {
        let digits: String = word.chars().filter(char::is_ascii_digit).collect();
        let digits = digits.trim_matches('0').len();
        let is_number = word.trim_start_matches('−').chars().all(|c| c.is_ascii_digit() || c == '.');
        assert!(!is_number || digits <= 6, "{word} has too many digits");
    }
}

#[test]
fn shells_and_man_learn_the_command_line() {
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let said = program(&["completions", shell]);
        assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
        for verb in ["check", "picture", "solids", "figures"] {
            assert!(said.out.contains(verb), "{verb} for {shell}");
        }
    }
    let said = program(&["man"]);
    assert_eq!(said.outcome, Outcome::Good, "{}", said.error);
    assert!(said.out.contains(".TH") && said.out.contains("\\-\\-json"), "{}", said.out);
    assert_eq!(program(&["completions", "nushel"]).outcome, Outcome::Unusable);
}
