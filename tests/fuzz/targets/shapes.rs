//! Shapes as they are typed: the first letter picks the word.
#![no_main]

use libfuzzer_sys::fuzz_target;
use thrice::block::shape::Shape;
use thrice::block::{outline, words};

fuzz_target!(|input: (u8, &str)| {
    let key = words::KEYS[usize::from(input.0) % words::KEYS.len()];
    let shape = match key {
        "sides" => {
            let mut parts = input.1.split('|');
            Shape::from_sides(parts.next().unwrap_or_default(), parts.next(), parts.next())
        }
        _ => Shape::from_words(key, input.1),
    };
    if let Ok(block) = shape.and_then(|shape| outline(&shape, 6.35)) {
        assert!(!block.inside.is_empty());
    }
});
