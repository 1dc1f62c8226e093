//! Motif files, drawn in a small block where they can be read.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::block::outline;
use thrice::block::shape::Shape;
use thrice::drawing::{motif, settings};

fuzz_target!(|text: &str| {
    let Ok(motif) = motif::read(text) else { return };
    let Ok(settings) = settings::resolve(&motif.name, &motif.settings, &[]) else { return };
    if let Ok(block) = outline(&Shape::Square { side: 80.0 }, 6.0) {
        let _ = thrice::drawing::draw(&motif, &settings, &block);
    }
});
