//! Every number of every motif file at ten extremes: told as out of range, refused, or drawn; never a panic, and soon.

use std::panic::catch_unwind;
use std::time::{Duration, Instant};

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

#[test]
fn no_number_of_a_motif_file_breaks_or_stalls_the_drawing() {
    let quick = std::env::var_os("SWEEP").is_none();
    let (mut cases, mut drawn, mut refused) = (0, 0, 0);
    let mut wrong = Vec::new();
    let blocks = &blocks()[..if quick { 1 } else { 3 }];
    for (name, text) in FILES {
        for (n, at) in numbers(text).into_iter().enumerate() {
            for (e, extreme) in EXTREMES.iter().enumerate() {
                // In the gate a share of the cases, another one at every number; all with SWEEP set.
                if quick && (n + 3 * e) % 19 != 0 {
                    continue;
                }
                cases += 1;
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
                    Ok(Some(_)) => drawn += 1,
                    Ok(None) => refused += 1,
                    Err(_) => wrong.push(format!(
                        "{name}: {} → {extreme} panics",
                        &text[..at.end].lines().last().unwrap()
                    )),
                }
                if begun.elapsed() > Duration::from_secs(30) {
                    wrong.push(format!(
                        "{name}: {} → {extreme} takes {:?}",
                        &text[..at.end].lines().last().unwrap(),
                        begun.elapsed()
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "of {cases} cases, {drawn} drawn and {refused} refused:\n{}", wrong.join("\n"));
    assert!(drawn > 10 && refused > 10, "{cases} cases, {drawn} drawn, {refused} refused");
}
