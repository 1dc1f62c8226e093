//! Every number of every motif file at ten extremes: told as out of range, refused, or drawn; never a panic, and soon.

use std::panic::catch_unwind;
use std::time::{Duration, Instant};

use rayon::iter::{IntoParallelRefIterator, ParallelIterator};
use thrice::block::shape::Shape;
use thrice::block::{Block, outline};
use thrice::drawing::library::FILES;
use thrice::drawing::motif;
use thrice::drawing::settings::resolve;

const EXTREMES: [&str; 10] = ["0", "-1", "1e-9", "0.1", "0.5", "1.5", "3.0", "20", "2147483648", "1e9"];

/// The byte ranges of the numbers in a motif file that are not in a text.
fn numbers(text: &str) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let (mut quoted, mut comment, mut start) = (false, false, None);
    for (i, c) in text.char_indices().chain([(text.len(), '\n')]) {
        if !quoted && !comment && (c.is_ascii_digit() || (c == '.' && start.is_some())) {
            start.get_or_insert(i);
            continue;
        }
        if let Some(from) = start.take()
            && !text[..from].ends_with(|c: char| c.is_alphanumeric() || c == '-' || c == '_')
        {
            found.push(from..i);
        }
        match c {
            '"' if !comment => quoted = !quoted,
            '#' if !quoted => comment = true,
            '\n' => comment = false,
            _ => {}
        }
    }
    found
}

fn blocks() -> [Block; 3] {
    let shapes = [
        Shape::Square { side: 150.0 },
        Shape::Rectangle { width: 300.0, height: 90.0 },
        Shape::HalfSquare { leg: 150.0 },
    ];
    shapes.map(|shape| outline(&shape, 6.35).unwrap())
}

/// What came of some cases.
#[derive(Default)]
struct Outcome {
    cases: usize,
    drawn: usize,
    refused: usize,
    wrong: Vec<String>,
}

impl Outcome {
    fn and(mut self, other: Self) -> Self {
        self.cases += other.cases;
        self.drawn += other.drawn;
        self.refused += other.refused;
        self.wrong.extend(other.wrong);
        self
    }
}

/// Sweeps the numbers of one motif file, a share of the cases if `quick`, another one at every number.
fn swept(name: &str, text: &str, blocks: &[Block], quick: bool) -> Outcome {
    let mut all = Outcome::default();
    for (n, at) in numbers(text).into_iter().enumerate() {
        let line = text[..at.end].lines().last().unwrap();
        for (e, extreme) in EXTREMES.iter().enumerate() {
            if quick && (n + 3 * e) % 19 != 0 {
                continue;
            }
            all.cases += 1;
            let changed = format!("{}{extreme}{}", &text[..at.start], &text[at.end..]);
            let begun = Instant::now();
            let outcome = catch_unwind(|| {
                let motif = motif::read(&changed).ok()?;
                let settings = resolve(name, &motif.settings, &[]).ok()?;
                let lines = |block: &Block| {
                    thrice::drawing::draw(&motif, &settings, block).ok().map(|d| d.lines.len())
                };
                Some(blocks.iter().filter_map(lines).sum::<usize>())
            });
            match outcome {
                Ok(Some(_)) => all.drawn += 1,
                Ok(None) => all.refused += 1,
                Err(_) => all.wrong.push(format!("{name}: {line} → {extreme} panics")),
            }
            if begun.elapsed() > Duration::from_secs(30) {
                all.wrong.push(format!("{name}: {line} → {extreme} takes {:?}", begun.elapsed()));
            }
        }
    }
    if !quick {
        eprintln!("{name}: {} cases, {} drawn, {:?}", all.cases, all.drawn, all.wrong);
    }
    all
}

/// In the gate a share of the cases; `SWEEP=all` takes all of them in three blocks, `SWEEP=cable,rope` those of these motifs.
#[test]
fn no_number_of_a_motif_file_breaks_or_stalls_the_drawing() {
    let sweep = std::env::var("SWEEP").ok();
    let is_asked = |name: &str| {
        sweep.as_ref().is_none_or(|names| names == "all" || names.split(',').any(|one| one == name))
    };
    let blocks = &blocks()[..if sweep.is_none() { 1 } else { 3 }];
    let files: Vec<_> = FILES.iter().filter(|(name, _)| is_asked(name)).collect();
    let all = files.par_iter().map(|(name, text)| swept(name, text, blocks, sweep.is_none()));
    let Outcome { cases, drawn, refused, wrong } = all.reduce(Outcome::default, Outcome::and);
    assert!(wrong.is_empty(), "of {cases} cases, {drawn} drawn and {refused} refused:\n{}", wrong.join("\n"));
    assert!(drawn > 10 && refused > 10, "{cases} cases, {drawn} drawn, {refused} refused");
}
