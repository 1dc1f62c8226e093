//! Drawings of her own, fitted into a block.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::block::drawn::{svg_fills, svg_lines};
use thrice::block::outline;
use thrice::block::shape::Shape;

fuzz_target!(|text: &str| {
    let _ = svg_fills(text);
    if let Ok(lines) = svg_lines(text)
        && let Ok(block) = outline(&Shape::Square { side: 100.0 }, 6.0)
    {
        let _ = thrice::drawing::own::draw(&lines, &block);
    }
});
