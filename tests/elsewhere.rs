//! Designs from elsewhere: checked, sewn anew at other sizes, damaged.
//!
//! `ELSEWHERE=all cargo test --test elsewhere` takes every motif on a block of each kind, and says how far lines came back;
//! `ELSEWHERE=scroll,echo` takes these motifs.

#[path = "elsewhere/align.rs"]
mod align;
#[path = "elsewhere/damaged.rs"]
mod damaged;
#[path = "support/kept.rs"]
mod kept;
#[path = "elsewhere/made.rs"]
mod made;
#[path = "elsewhere/program.rs"]
mod program;
#[path = "elsewhere/round_trip.rs"]
mod round_trip;

/// What is to be gone through: motifs that are named with commas, or all; a few if nothing is asked for.
fn asked() -> Option<String> {
    std::env::var("ELSEWHERE").ok()
}

/// True if everything is to be gone through.
fn all() -> bool {
    asked().is_some_and(|words| words == "all")
}
