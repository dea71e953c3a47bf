//! Whatever a file of up to 10 MB holds, it is read or refused within bounds of memory and time.
//!
//! Memory is counted by an allocator of this test's own. Time has no fixed measure in a test; each case only has to
//! end before a watch runs out that is set far beyond what any of them takes, so that a hang is noticed.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "tests fail by panicking")]
#![allow(unsafe_code, reason = "an allocator that counts cannot be written without")]

use glidewright_samples::COPY_STAND;
use std::alloc::{GlobalAlloc, Layout, System};
use std::fmt::Write;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, mpsc};
use std::time::Duration;

use glidewright_project::quantity::Quantity;
use glidewright_project::store::changes_between;
use glidewright_project::{
    Values, check_all, measured_sizes, parse, print, read_bytes, read_parts, read_readings, region_from_path,
    resolve,
};

struct Counting;

static NOW: AtomicUsize = AtomicUsize::new(0);
static PEAK: AtomicUsize = AtomicUsize::new(0);

// SAFETY: every call goes to the system's allocator unchanged; only numbers are kept beside it.
unsafe impl GlobalAlloc for Counting {
    unsafe fn alloc(&self, layout: Layout) -> *mut u8 {
        let now = NOW.fetch_add(layout.size(), Ordering::Relaxed) + layout.size();
        PEAK.fetch_max(now, Ordering::Relaxed);
        // SAFETY: as asked of this function.
        unsafe { System.alloc(layout) }
    }
    unsafe fn dealloc(&self, memory: *mut u8, layout: Layout) {
        NOW.fetch_sub(layout.size(), Ordering::Relaxed);
        // SAFETY: as asked of this function.
        unsafe { System.dealloc(memory, layout) }
    }
}

#[global_allocator]
static ALLOCATOR: Counting = Counting;

/// One case at a time, so that the count belongs to it.
static ONE: Mutex<()> = Mutex::new(());

/// Ten megabytes.
const TEN: usize = 10 * 1024 * 1024;
/// As much as is read of a file.
const READ: usize = glidewright_project::LARGEST_FILE;
/// Most memory a case may take beside its own text (bytes).
const MOST_MEMORY: usize = 700 * 1024 * 1024;
/// When a case is taken to hang.
const WATCH: Duration = Duration::from_secs(240);

/// Runs a case on a thread with the stack of a main thread; fails if it panics, hangs or takes too much memory.
fn bounded(name: &str, case: impl FnOnce() + Send + 'static) {
    let _one = ONE.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let before = NOW.load(Ordering::Relaxed);
    PEAK.store(before, Ordering::Relaxed);
    let (done, wait) = mpsc::channel();
    let start = std::time::Instant::now();
    let thread = std::thread::Builder::new()
        .stack_size(2 * 1024 * 1024)
        .spawn(move || {
            case();
            let _ = done.send(());
        })
        .unwrap();
    match wait.recv_timeout(WATCH) {
        Err(mpsc::RecvTimeoutError::Timeout) => panic!("{name} does not end"),
        _ => thread.join().unwrap_or_else(|_| panic!("{name} panics")),
    }
    let peak = PEAK.load(Ordering::Relaxed) - before;
    #[allow(clippy::print_stdout, reason = "figures to read beside the test")]
    {
        println!("{name}: {:.2} s, {} MB", start.elapsed().as_secs_f64(), peak / 1024 / 1024);
    }
    assert!(peak < MOST_MEMORY, "{name} takes {} MB", peak / 1024 / 1024);
}

/// Reads a document and, if it can be read, does with it what a window does.
fn whole(text: &str) {
    let Ok(read) = read_bytes(text.as_bytes()) else { return };
    let document = read.document;
    let resolved = resolve(&document, None);
    if let Some(trial) = document.trials.first() {
        let _ = resolve(&document, Some(&trial.name));
    }
    let _ = check_all(&document);
    let printed = print(&document);
    assert!(resolved.problems.iter().all(|problem| problem.to_string().chars().count() < 2000));
    if printed.len() <= READ {
        let again = parse(&printed).unwrap();
        let _ = changes_between(&document, &again);
    }
    let _ = measured_sizes(&document);
}

/// `unit` over and over up to a length.
fn repeated(unit: &str, length: usize) -> String {
    unit.repeat(length / unit.len())
}

const UNITS: &[&str] = &[
    "1",
    "(",
    "[",
    "{",
    ")",
    "\"",
    "\\",
    "'",
    "//",
    "/*",
    "*/",
    "//\n",
    "\n",
    " ",
    ",",
    ":",
    "r#",
    "r#\"",
    "(a:",
    "((((name:",
    "-",
    "1e9",
    "\u{0}",
    "\u{feff}",
    "🙂",
    "Some(",
    "a",
    "#![enable(",
    "0x",
    "format: 2,",
];

#[test]
fn ten_megabytes_of_one_thing() {
    for unit in UNITS {
        bounded(unit, move || {
            let text = repeated(unit, TEN);
            assert!(read_bytes(text.as_bytes()).is_err());
            assert!(parse(&text).is_err());
            assert!(read_parts(&text).is_err());
            assert!(read_readings(text.as_bytes()).is_err());
            assert!(region_from_path(&text).is_err());
            assert!(Values::default().try_formula(&text, Quantity::Length).is_err());
        });
    }
}

#[test]
fn as_much_as_is_read_of_one_thing() {
    for unit in UNITS {
        bounded(unit, move || {
            for text in [
                repeated(unit, READ),
                format!("(format: 2, name: {}", repeated(unit, READ - 20)),
                format!("(format: 2, name: \"{}", repeated(unit, READ - 20)),
                format!("{}{}", COPY_STAND, repeated(unit, READ - COPY_STAND.len())),
            ] {
                whole(&text);
                let _ = read_parts(&text);
            }
            for text in [
                repeated(unit, READ),
                format!("part,size,reading\n{}", repeated(unit, READ - 20)),
                format!("part,size,reading\na,b,{}", repeated(unit, READ - 30)),
            ] {
                let _ = read_readings(text.as_bytes());
            }
        });
    }
}

/// The demo with more between two of its fields, up to the limit.
fn demo_with(field: &str, item: impl Fn(usize) -> String, close: &str) -> String {
    let mut text = COPY_STAND.trim_end().strip_suffix(')').unwrap().to_owned();
    text.push_str(field);
    let mut number = 0;
    loop {
        let next = item(number);
        if text.len() + next.len() + close.len() + 8 > READ {
            break;
        }
        text.push_str(&next);
        number += 1;
    }
    text.push_str(close);
    text.push(')');
    text
}

/// Whatever the demo has of a field is taken out, so that another can be put in.
fn demo_without(field: &str) -> String {
    let text = COPY_STAND;
    let start = text.find(&format!("\n    {field}: ")).unwrap_or_else(|| panic!("{field}"));
    let rest = &text[start + 1..];
    let end = [rest.find("\n    ],"), rest.find("\n    },")].into_iter().flatten().min().unwrap();
    format!("{}{}", &text[..start], &rest[end + "\n    ],".len()..])
}

fn filled(base: &str, field: &str, item: impl Fn(usize) -> String, close: &str) -> String {
    demo_with(field, item, close).replacen(
        COPY_STAND.trim_end().strip_suffix(')').unwrap(),
        base.trim_end().strip_suffix(')').unwrap(),
        1,
    )
}

fn checked(name: &str, text: String) {
    assert!(text.len() <= READ, "{name} is {} long", text.len());
    if let Err(problems) = parse(&text) {
        panic!("{name} cannot be read, so that it proves nothing: {problems:?}");
    }
    bounded(name, move || whole(&text));
}

#[test]
fn many_things() {
    let bare = demo_without("trials");
    checked(
        "obstacles",
        filled(
            &demo_without("obstacles"),
            "obstacles: [",
            |n| format!("(name:\"{n}\",bodies:[ball(at:(0,0,0),diameter:1)]),"),
            "],",
        ),
    );
    checked(
        "parts",
        demo_with("parts: [", |n| format!("(name:\"p{n}\",form:bearing(bore:1,outer:2,width:3)),"), "],"),
    );
    checked(
        "materials",
        demo_with("materials: [", |n| format!("(name:\"m{n}\",density:1,youngs:1,poisson:0),"), "],"),
    );
    checked("costs", demo_with("costs: {", |n| format!("\"DIN 98{n} M6\":1,"), "},"));
    checked(
        "measured",
        demo_with("measured: [", |n| format!("(part:\"DIN {n} M6\",size:\"height\",readings:[1]),"), "],"),
    );
    checked(
        "readings",
        demo_with(
            "measured: [(part:\"vee wheel 48, bore 6\",size:\"hub\",readings:[",
            |_| "13,".to_owned(),
            "])],",
        ),
    );
    checked(
        "trials",
        filled(
            &bare,
            "trials: [",
            |n| format!("(name:\"{n}\",changes:[set(path:\"sizes/platx\",to:1)]),"),
            "],",
        ),
    );
    checked(
        "trials that stand on each other",
        filled(
            &bare,
            "trials: [",
            |n| {
                let mut over = String::new();
                for below in 0..n.min(450) {
                    let _ = write!(over, "\"{below}\",");
                }
                if n < 450 {
                    format!("(name:\"{n}\",over:[{over}],changes:[shift(path:\"sizes/plate\",by:1)]),")
                } else {
                    " ".to_owned()
                }
            },
            "],",
        ),
    );
    checked(
        "trials that stand on nothing",
        filled(&bare, "trials: [(name:\"a\",changes:[],over:[", |n| format!("\"{n}\","), "])],"),
    );
    checked(
        "changes",
        filled(
            &bare,
            "trials: [(name:\"a\",changes:[",
            |n| format!("set(path:\"sizes/plate\",to:{n}),"),
            "])],",
        ),
    );
    checked(
        "changes that fail",
        filled(
            &bare,
            "trials: [(name:\"a\",changes:[",
            |n| format!("swap(from:\"V{n}\",to:\"vee wheel 22, bore 6\"),"),
            "])],",
        ),
    );
    checked(
        "shifts",
        filled(
            &bare,
            "trials: [(name:\"a\",changes:[",
            |_| "shift(path:\"sizes/plate\",by:1),".to_owned(),
            "])],",
        ),
    );
}

#[test]
fn many_things_on_a_rider() {
    let riders = |inside: &str, item: &dyn Fn(usize) -> String, close: &str| {
        filled(
            &demo_without("riders"),
            &format!("riders: [(name:\"r\",faces:front,at:100,{inside}"),
            item,
            &format!("{close})],"),
        )
    };
    let stack = "stack:(screw:\"ISO 4762 M6\",pieces:[";
    checked(
        "riders",
        filled(&demo_without("riders"), "riders: [", |n| format!("(name:\"{n}\",faces:front,at:1),"), "],"),
    );
    checked("wheels", riders("wheels:[", &|n| format!("(name:\"{n}\",pair:\"frnt\",along:1),"), "],"));
    checked(
        "loads",
        riders("loads:[", &|n| format!("(name:\"{n}\",mass:1,on:\"no\",centre:(0,0,0)),"), "],"),
    );
    checked(
        "plates",
        riders(
            "plates:[",
            &|n| format!("(name:\"{n}\",outline:around(margin:1,corner:1),thickness:1,material:\"PLAA\"),"),
            "],",
        ),
    );
    checked("pieces", riders(stack, &|_| "(nut:\"x\"),".to_owned(), "]),"));
    checked(
        "named pieces",
        riders(
            stack,
            &|n| if n % 2 == 0 { format!("(nut:\"x\",name:\"{n}\"),") } else { "(nut:\"y\"),".to_owned() },
            "]),",
        ),
    );
    let unknown = |n: usize| {
        let mut pieces = String::new();
        for piece in 0..60 {
            let _ = write!(pieces, "(nut:\"DIN 98 M{}\"),", n * 60 + piece);
        }
        format!("(name:\"{n}\",at:(0,0),stack:(screw:\"ISO\",pieces:[{pieces}])),")
    };
    checked("unknown parts", riders("bolts:[", &|n| if n < 100 { unknown(n) } else { " ".to_owned() }, "],"));
    let bolt = |n: usize| {
        format!(
            "(name:\"b{n}\",at:({},{}),stack:(screw:\"ISO 4762 M6\",pieces:[(plate:\"p\"),(nut:\"DIN 985 M6\")])),",
            n % 10 * 20,
            n / 10 * 20
        )
    };
    for (name, webs) in
        [("pads in a ring", "ring"), ("pads with all webs", "all"), ("pads in a star", "star")]
    {
        let plates = format!(
            "plates:[(name:\"p\",level:30,outline:pads(pad:30,web:10,webs:{webs},fillet:3),thickness:3,material:\"PLA\")],shoes:[(name:\"s\",track:\"left front\",along:0,length:9,material:\"POM\")],bolts:["
        );
        checked(name, riders(&plates, &|n| if n < 100 { bolt(n) } else { " ".to_owned() }, "],"));
    }
    let round = |n: usize| {
        let mut path = format!("M{} 0", n * 10);
        for step in 0..900 {
            let _ = write!(path, "l{} {}", if step % 2 == 0 { 1 } else { -1 }, 2);
        }
        path.push_str("h-5z");
        format!("cut(name:\"c{n}\",shape:path(d:\"{path}\")),")
    };
    let plates = "plates:[(name:\"p\",level:30,outline:rectangle(from:(-900,-900),to:(900,900),corner:3),thickness:3,material:\"PLA\",features:[";
    checked("drawn cuts", riders(plates, &|n| if n < 100 { round(n) } else { " ".to_owned() }, "])],"));
}

#[test]
fn many_sizes() {
    let sizes = |item: &dyn Fn(usize) -> String| {
        filled(&demo_without("sizes"), "sizes: {", |n| if n < 2000 { item(n) } else { " ".to_owned() }, "},")
    };
    let long = |n: usize, name: &dyn Fn(usize) -> usize| {
        let mut formula = String::new();
        for term in 0..40 {
            let _ = write!(formula, "{}s{}", if term > 0 { "+" } else { "" }, name(n + term * 7));
        }
        while formula.len() < 900 {
            formula.push_str("+s0*s1");
        }
        format!("\"s{n}\":(value:\"{formula}\",tolerance:plus_minus(1)),")
    };
    checked("a circle of sizes", sizes(&|n| long(n, &|m| (m + 1) % 2000)));
    checked(
        "sizes made of sizes",
        sizes(&|n| {
            if n < 60 {
                format!("\"s{n}\":(value:{n},tolerance:plus_minus(1)),")
            } else {
                long(n, &|m| m % 60)
            }
        }),
    );
    checked("a chain of sizes", sizes(&|n| format!("\"s{n}\":\"s{} + s{}\",", n + 1, n + 1)));
    checked(
        "unknown names",
        filled(&demo_without("sizes"), "sizes: {", |n| format!("\"s{n}\":\"plaet{n}\","), "},"),
    );
    let deep = format!("{}1{}", "(".repeat(499), ")".repeat(499));
    checked("deep formulas", sizes(&|n| format!("\"s{n}\":\"{deep}\",")));
    let signs = "-".repeat(999);
    checked("signs", sizes(&|n| format!("\"s{n}\":\"{signs}1\",")));
    let powers = "9^".repeat(400);
    checked("powers", sizes(&|n| format!("\"s{n}\":\"{powers}9\",")));
    checked("one name twice", {
        let mut text = COPY_STAND.replacen("\"plate\"", "\"corner\"", 1);
        text.push(' ');
        if parse(&text).is_ok() { text } else { COPY_STAND.to_owned() }
    });
}

#[test]
fn many_comments() {
    let mut text = String::new();
    for number in 0..4000 {
        let _ = writeln!(text, "// {number}");
    }
    text.push_str(COPY_STAND);
    checked("comments before", text);
    checked("comments inside", demo_with("costs: {", |n| format!("// {n}\n\"DIN {n}\":1, // {n}\n"), "},"));
    checked(
        "comments in named things",
        demo_with(
            "materials: [",
            |n| format!("/*{n}*/(name:\"m{n}\",/*a*/density:1,/*b*/youngs:1,poisson:0),"),
            "],",
        ),
    );
    checked("comments of one line", demo_with("costs: {", |n| format!("/*{n}*/"), "},"));
}

#[test]
fn paths_that_are_long_and_twisted() {
    for (name, unit) in [
        ("lines", "l1 1"),
        ("curves", "c9 0 0 9 9 9"),
        ("arcs", "a9 9 0 1 1 1 1"),
        ("parts", "M0 0h1v1z"),
        ("large arcs", "a99999 99999 0 1 1 1 1"),
        ("numbers", " 1"),
    ] {
        bounded(name, move || {
            for length in [1000, 20_000, 200_000] {
                let _ = region_from_path(&format!("M0 0{}z", repeated(unit, length)));
            }
        });
    }
    bounded("a comb", || {
        let mut path = "M0 0".to_owned();
        for step in 0..1900 {
            let _ = write!(path, "{}", if step % 2 == 0 { "v9h.1" } else { "v-9h.1" });
        }
        path.push_str("v-20H0z");
        let _ = region_from_path(&path);
        let mut document = parse(COPY_STAND).unwrap();
        document.riders[0].plates[0].outline = glidewright_project::document::PlateOutline::Path(path);
        let _ = resolve(&document, None);
    });
}

#[test]
fn tables_of_readings() {
    let table = |line: &dyn Fn(usize) -> String| {
        let mut text = "part,size,reading,note\n".to_owned();
        let mut number = 0;
        while text.len() < READ - 100 {
            text.push_str(&line(number));
            number += 1;
        }
        text
    };
    for (name, text) in [
        ("one size", table(&|n| format!("V48,hub,{n},{n}\n"))),
        ("many sizes", table(&|n| format!("p{n},hub,{n},{n}\n"))),
        ("faults", table(&|_| "a,b,c\n".to_owned())),
        ("long notes", table(&|n| format!("V48,hub,1,{}{n}\n", "x".repeat(300)))),
        (
            "one line",
            format!("part,size,{}\na,b,{}", repeated("reading,", READ / 2), repeated("1,", READ / 4)),
        ),
    ] {
        bounded(name, move || {
            if let Ok(readings) = read_readings(text.as_bytes()) {
                let edited = glidewright_project::edit::take_readings(&parse(COPY_STAND).unwrap(), readings);
                if let Ok(edited) = edited {
                    let _ = resolve(&edited.document, None);
                }
            }
        });
    }
}
