//! Lengths as they are typed.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::base::units::{Units, read_length, show_length};

fuzz_target!(|text: &str| {
    if let Ok(mm) = read_length(text) {
        assert!((0.0..=20_000.0).contains(&mm));
        assert!(!show_length(mm, Units::Inches).is_empty());
    }
});
