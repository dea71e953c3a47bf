//! Times the clearance kernel against sampling with a general collision library, on the same output, in one run.
//!
//! `cargo bench -p glidewright-geometry` prints a table of what is found beside what is asked of it: one core, medians,
//! ratios taken turn by turn in one run. Absolute times move with the machine; ratios hold. It ends within a minute.
#![allow(clippy::print_stdout, reason = "the table is the output")]

mod fixture;
mod measure;
mod peer;
mod recheck;
mod singles;
mod variants;

fn main() {
    // `cargo test` runs benches too, with this flag: one small round shows that they still work.
    if std::env::args().any(|a| a == "--test") {
        let fixture = fixture::fixture(10, 4, 0.001);
        if let Some(mut built) = fixture.build() {
            built.scene.sweep(&recheck::ask());
        }
        return;
    }
    recheck::against_the_peer();
    recheck::growth();
    recheck::kept_scene();
    variants::variants();
    singles::singles();
}
