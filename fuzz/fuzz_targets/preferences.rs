//! Preferences from anywhere: they are read within sense, or not at all.
#![no_main]

use glidewright::Preferences;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let Ok(preferences) = Preferences::in_bytes(bytes) else { return };
    assert!(preferences.text_scale.is_finite());
    assert!(preferences.recent.len() <= 8);
    assert!(preferences.window.is_none_or(|window| window.is_sound()));
});
