//! The whole command, from words to files: the processor time of every motif on an 8 in block, and how it grows with the area.
//!
//! Wanted, on one core: the median over all motifs at most 30 ms, stipple and pebbles at most 100 ms; sixteen times the area
//! at most twenty times the time; a stipple of 40 in in 3 s. Run it by `cargo bench --bench whole`; it prints and judges nothing.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use thrice::drawing::library;

/// Clock ticks of the kernel in a second, as `/proc` counts processor time.
const TICKS: f64 = 100.0;
/// How often a small block is made: a tick is shared among so many.
const TIMES: u32 = 20;

fn main() {
    // `cargo test --benches` only wants to know that it runs.
    if std::env::args().any(|a| a == "--test") {
        return;
    }
    every_motif();
    growth();
    for words in [["stipple", "40in"], ["cross-hatch", "120in"]] {
        println!("{} --square {}: {:.2} s", words[0], words[1], made(&[words[0], "--square", words[1]], 1));
    }
}

fn every_motif() {
    let mut times: Vec<(f64, &str)> =
        library::FILES.iter().map(|(name, _)| (eight_inches(name), *name)).collect();
    times.sort_by(|a, b| b.0.total_cmp(&a.0));
    println!("processor time of an 8 in block, or of 20 in of a 5 in border");
    for (s, name) in &times {
        println!("{:7.1} ms  {name}", s * 1000.0);
    }
    println!("{:7.1} ms  median", times[times.len() / 2].0 * 1000.0);
}

fn eight_inches(motif: &str) -> f64 {
    let shapes = [["--square", "8in"], ["--strip", "5in,20in"], ["--half-square", "8in"]];
    let runs = |shape: &&[&str; 2]| command(&[motif, shape[0], shape[1]]).status().is_ok_and(|s| s.success());
    let shape = shapes.iter().find(runs).expect("it suits one of these");
    made(&[motif, shape[0], shape[1]], TIMES)
}

fn growth() {
    println!("sixteen times the area of an 8 in block");
    for motif in ["stipple", "meander", "pebbles", "cross-hatch", "grid"] {
        let [small, large] =
            [("8in", TIMES), ("32in", 2)].map(|(side, times)| made(&[motif, "--square", side], times));
        println!("{:7.1} times  {motif} ({:.1} and {:.1} ms)", large / small, small * 1000.0, large * 1000.0);
    }
}

/// The processor time of one run, s, as a mean of several.
fn made(words: &[&str], times: u32) -> f64 {
    let (before, clock) = (of_children(), Instant::now());
    for _ in 0..times {
        let status = command(words).status().expect("the program is there");
        assert!(status.success(), "{words:?}");
    }
    let spent = before.zip(of_children()).map_or(clock.elapsed(), |(before, after)| after - before);
    spent.as_secs_f64() / f64::from(times)
}

fn command(words: &[&str]) -> Command {
    let out = Path::new(env!("CARGO_TARGET_TMPDIR")).join("bench");
    let mut command = Command::new(env!("CARGO_BIN_EXE_thrice"));
    command.arg("block").args(words).arg("--out").arg(out).args(["--name", "bench"]);
    command.stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// The processor time of all children that have ended, where the system tells it.
fn of_children() -> Option<Duration> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // The name in brackets may hold spaces; the 14th and 15th words after it are user and system time of ended children.
    let mut words = stat.rsplit_once(')')?.1.split_whitespace().skip(13);
    let [user, system] = [words.next()?, words.next()?].map(|ticks| ticks.parse::<f64>().ok());
    Some(Duration::from_secs_f64((user? + system?) / TICKS))
}
