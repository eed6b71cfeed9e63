//! Everything that reads a text, under fuzzing guided by coverage: no panic, no hang, faults with words, and what is
//! sound is laid out as a rig or refused with a reason.
#![no_main]

use libfuzzer_sys::fuzz_target;
use spanwright::app::Keymap;
use spanwright::plan::PlanFile;
use spanwright::review::in_view;
use spanwright::units::{self, Dim};

const DIMS: [Dim; 5] = [Dim::Length, Dim::Force, Dim::Mass, Dim::Angle, Dim::Temperature];

fuzz_target!(|data: &[u8]| {
    let Ok(text) = std::str::from_utf8(data) else { return };
    match text.as_bytes().first() {
        Some(b'=') => {
            for dim in DIMS {
                if let Ok(v) = units::parse(&text[1..], dim) {
                    assert!(v.is_finite());
                }
            }
        }
        Some(b'!') => {
            let (_, faults) = Keymap::read(&text[1..]);
            assert!(faults.iter().all(|f| !f.to_string().is_empty()));
        }
        _ => plan(text),
    }
});

fn plan(text: &str) {
    let Ok(file) = PlanFile::parse("mail.ron", text.to_owned()) else { return };
    if !file.is_sound() {
        assert!(!file.show_faults().trim().is_empty());
        return;
    }
    match in_view(&file) {
        Ok(_) => {}
        Err(faults) => assert!(faults.iter().all(|f| !f.message.is_empty()) && !faults.is_empty()),
    }
}
