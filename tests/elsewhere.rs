//! Designs from elsewhere: checked, sewn anew at other sizes, damaged.
//!
//! `ELSEWHERE=all cargo test --test elsewhere` takes every motif on a block of each kind, and says how far lines came back.

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

/// True if everything is to be gone through.
fn all() -> bool {
    std::env::var("ELSEWHERE").is_ok_and(|word| word == "all")
}
