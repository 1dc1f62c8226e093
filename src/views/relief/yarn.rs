//! Runs of needle points → the strands that show, each with the colour that the thread has there.

use std::collections::HashMap;

use kurbo::{Affine, Point};

use crate::base::colour::Colour;
use crate::base::tolerance::SAME_HOLE_MM;

/// Variegated thread keeps each of its colours for this long, mm of sewn line. Spools differ from one to a hundred
/// millimetres and more; from memory, no source.
pub const COLOUR_MM: f64 = 60.0;
/// The last part of each stretch in which a colour turns into the next.
const BLEND: f64 = 0.4;

/// One stitch as it shows: of several passes the last lies on top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strand {
    /// One hole.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// The thread's colour there.
    pub colour: Colour,
}

/// The strands of `runs`, in the order in which they come to lie, placed by `at`.
///
/// `thread` is one colour, or several for variegated thread: they follow each other along the sewn length and begin
/// anew after the last.
#[must_use]
pub fn strands(runs: &[Vec<Point>], thread: &[Colour], at: Affine) -> Vec<Strand> {
    let mut last: HashMap<(Hole, Hole), usize> = HashMap::new();
    let mut sewn = Vec::new();
    let mut along = 0.0;
    for pair in runs.iter().flat_map(|run| run.windows(2)) {
        let (a, b) = (hole(pair[0]), hole(pair[1]));
        let long = pair[0].distance(pair[1]);
        if a != b {
            last.insert((a.min(b), a.max(b)), sewn.len());
            sewn.push((pair[0], pair[1], along + long / 2.0));
        }
        along += long;
    }
    let mut shown: Vec<usize> = last.into_values().collect();
    shown.sort_unstable();
    let strand = |i: usize| {
        let (from, to, along) = sewn[i];
        Strand { from: at * from, to: at * to, colour: colour(thread, along) }
    };
    shown.into_iter().map(strand).collect()
}

/// The thread's colour after `along` mm.
fn colour(thread: &[Colour], along: f64) -> Colour {
    let [first, .., _] = thread else { return thread.first().copied().unwrap_or(Colour::new(0xff_ff_ff)) };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "no thread is 1e15 m long")]
    let index = (along / COLOUR_MM).max(0.0) as usize;
    let part = along / COLOUR_MM - index as f64;
    let now = thread.get(index % thread.len()).unwrap_or(first);
    let next = thread.get((index + 1) % thread.len()).unwrap_or(first);
    now.towards(*next, (part - 1.0 + BLEND) / BLEND)
}

type Hole = (i64, i64);

#[expect(clippy::cast_possible_truncation, reason = "no design is 9e13 m wide")]
fn hole(p: Point) -> Hole {
    ((p.x / SAME_HOLE_MM).round() as i64, (p.y / SAME_HOLE_MM).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    const RED: Colour = Colour::new(0xff_00_00);
    const BLUE: Colour = Colour::new(0x00_00_ff);

    fn line(xs: &[f64]) -> Vec<Vec<Point>> {
        vec![xs.iter().map(|x| Point::new(*x, 0.0)).collect()]
    }

    #[test]
    fn three_passes_show_one_strand_each_and_the_last_lies_on_top() {
        let got = strands(&line(&[0.0, 2.0, 0.0, 2.0, 4.0, 2.0, 4.0]), &[RED], Affine::translate((1.0, 5.0)));
        assert_eq!(got.len(), 2);
        assert_eq!((got[0].from, got[0].to), (Point::new(1.0, 5.0), Point::new(3.0, 5.0)));
        assert_eq!(got[1].to, Point::new(5.0, 5.0));
    }

    #[test]
    fn variegated_thread_changes_along_the_sewn_length_and_begins_anew() {
        assert_eq!(colour(&[RED, BLUE], 10.0), RED);
        assert_eq!(colour(&[RED, BLUE], COLOUR_MM * 0.8), Colour::new(0x7F_00_80));
        assert_eq!(colour(&[RED, BLUE], COLOUR_MM * 1.1), BLUE);
        assert_eq!(colour(&[RED, BLUE], COLOUR_MM * 2.0 + 1.0), RED);
        // Sewn three times, a stitch of 30 mm uses 90 mm: its last pass is blue.
        assert_eq!(strands(&line(&[0.0, 30.0, 0.0, 30.0]), &[RED, BLUE], Affine::IDENTITY)[0].colour, BLUE);
    }
}
