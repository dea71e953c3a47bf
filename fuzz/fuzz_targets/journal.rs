//! A journal from anywhere: whatever is in it, a whole document comes of it or none.
#![no_main]

use glidewright_project::parse;
use glidewright_project::store::Found;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    look(bytes);
    // Checksums keep the fuzzer out of the records: these it gets for nothing.
    let mut framed = Vec::new();
    for payload in bytes.split(|byte| *byte == 0) {
        framed.extend((payload.len() as u32).to_le_bytes());
        framed.extend(crc32fast::hash(payload).to_le_bytes());
        framed.extend(payload);
    }
    look(&framed);
});

fn look(bytes: &[u8]) {
    for (lies_beside, now) in [(false, None), (true, None), (true, Some(&b"something else"[..]))] {
        if let Found::Unsaved(recovery) = Found::in_bytes(bytes, lies_beside, now) {
            assert_eq!(parse(&recovery.text).as_ref(), Ok(&recovery.document));
        }
    }
}
