//! Quilt files.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use thrice::drawing::library;
use thrice::drawing::motif::Motif;

static MOTIFS: OnceLock<Vec<Motif>> = OnceLock::new();

fuzz_target!(|text: &str| {
    let motifs = MOTIFS.get_or_init(|| library::read_all(&[]).unwrap_or_default());
    let _ = thrice::top::file::read(text, motifs, &["dst", "exp"]);
});
