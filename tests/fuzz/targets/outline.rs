//! Drawn outlines.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::block::drawn::svg_outline;
use thrice::block::outline;

fuzz_target!(|text: &str| {
    if let Ok(shape) = svg_outline(text) {
        let _ = outline(&shape, 3.0);
    }
});
