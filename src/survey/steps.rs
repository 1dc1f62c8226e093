//! Runs of needle points → [`Steps`]: how many, how long, how often each was sewn, and how far out they reach.

use std::collections::BTreeMap;

use kurbo::Rect;

use super::SurveyError;
use super::needle::{Hole, Run, hole, sort_by_stitch};
use crate::base::chain;
use crate::base::tolerance::GRID_MM;

/// The shortest step that sews well, mm: a 75/11 needle is 0.75 mm thick, and a shorter step hits its own hole.
/// Source: recommended minimum of a running stitch, published [10] [11] [12].
pub const SHORTEST_MM: f64 = 1.0;
/// The longest step that sews well, mm; longer ones snag. Source: recommended maximum, published [10].
pub const LONGEST_MM: f64 = 5.0;

/// Lengths are worked out from whole steps of the machine; what is left of rounding is far below this, mm.
pub(super) const DUST_MM: f64 = 1e-6;

/// How the needle went.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// Needle holes, ties and repeats included.
    pub penetrations: usize,
    /// The shortest step of the line, ties left out, mm.
    pub shortest_mm: f64,
    /// The median of all steps of the line, every pass counted, mm.
    pub median_mm: f64,
    /// The longest step of the line, mm.
    pub longest_mm: f64,
    /// From a number of passes to how many stitches were sewn that often. A stitch is a pair of holes, whichever
    /// way it is sewn.
    pub passes: BTreeMap<usize, usize>,
    /// Stitches, each counted once, that are shorter than [`SHORTEST_MM`].
    pub too_short: usize,
    /// Stitches, each counted once, that are longer than [`LONGEST_MM`].
    pub too_long: usize,
    /// The bounding box of all needle points, mm.
    pub bounds: Rect,
}

impl Steps {
    /// How many different stitches there are, however often each is sewn.
    #[must_use]
    pub fn stitches(&self) -> usize {
        self.passes.values().sum()
    }

    /// How often the stitches were sewn, as measured: `3`, `3 or 4`, `1 to 4`.
    #[must_use]
    pub fn passes_in_words(&self) -> String {
        match (self.passes.keys().next(), self.passes.keys().next_back()) {
            (Some(least), Some(most)) if least == most => least.to_string(),
            (Some(least), Some(most)) if least + 1 == *most => format!("{least} or {most}"),
            (Some(least), Some(most)) => format!("{least} to {most}"),
            _ => String::new(),
        }
    }
}

/// Measures the steps of `runs`, of which `passes_of` are the stitches.
///
/// A step that stays in its hole counts as a penetration, not as a stitch.
///
/// # Errors
/// [`SurveyError::NoStitches`] if no step of any run leaves its hole.
pub fn measure(runs: &[Run], passes_of: &BTreeMap<(Hole, Hole), usize>) -> Result<Steps, SurveyError> {
    let mut lengths: Vec<f64> = line_lengths(runs);
    radsort::sort(&mut lengths);
    let (Some(&shortest_mm), Some(&longest_mm)) = (lengths.first(), lengths.last()) else {
        return Err(SurveyError::NoStitches);
    };
    let mut passes = BTreeMap::new();
    for count in passes_of.values() {
        *passes.entry(*count).or_insert(0) += 1;
    }
    let outside = |is_out: &dyn Fn(f64) -> bool| passes_of.keys().filter(|s| is_out(length(s))).count();
    Ok(Steps {
        penetrations: runs.iter().map(|r| r.points.len()).sum(),
        shortest_mm,
        median_mm: median(&lengths),
        longest_mm,
        too_short: outside(&|mm| mm < SHORTEST_MM - DUST_MM),
        too_long: outside(&|mm| mm > LONGEST_MM + DUST_MM),
        passes,
        bounds: bounds(runs),
    })
}

/// How often each stitch of the line is sewn; a stitch is a pair of holes, the lower one first.
#[must_use]
pub fn passes_of(runs: &[Run]) -> BTreeMap<(Hole, Hole), usize> {
    let moves = runs.iter().flat_map(Run::line_steps).map(|(a, b)| (hole(a), hole(b)));
    let moves = moves.filter(|(a, b)| a != b).map(|(a, b)| (a.min(b), a.max(b)));
    // Sorted first: a map of many keys is made several times as fast in their order.
    let mut moves: Vec<(Hole, Hole)> = moves.collect();
    sort_by_stitch(&mut moves, |stitch| *stitch);
    moves.chunk_by(|a, b| a == b).map(|same| (same[0], same.len())).collect()
}

fn line_lengths(runs: &[Run]) -> Vec<f64> {
    let moves = runs.iter().flat_map(Run::line_steps).filter(|(a, b)| hole(*a) != hole(*b));
    moves.map(|(a, b)| a.distance(b)).collect()
}

fn length(stitch: &(Hole, Hole)) -> f64 {
    let ((ax, ay), (bx, by)) = *stitch;
    (f64::from(ax) - f64::from(bx)).hypot(f64::from(ay) - f64::from(by)) * GRID_MM
}

/// The median of sorted numbers; of an even count the mean of the middle two. 0 for none.
fn median(sorted: &[f64]) -> f64 {
    let middle = sorted.len() / 2;
    match (sorted.len(), sorted.len() % 2) {
        (0, _) => 0.0,
        (_, 1) => sorted[middle],
        _ => f64::midpoint(sorted[middle - 1], sorted[middle]),
    }
}

fn bounds(runs: &[Run]) -> Rect {
    let boxes = runs.iter().filter(|r| !r.points.is_empty()).map(|r| chain::bounds(r.points));
    boxes.reduce(|all, one| all.union(one)).unwrap_or(Rect::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Point;

    /// Measures pieces given as "x y  x y | x y …".
    fn measured(text: &str) -> Result<Steps, SurveyError> {
        let pieces: Vec<Vec<Point>> = text
            .split('|')
            .map(|piece| {
                let numbers: Vec<f64> = piece.split_whitespace().map(|n| n.parse().unwrap()).collect();
                numbers.chunks(2).map(|xy| Point::new(xy[0], xy[1])).collect()
            })
            .collect();
        let runs: Vec<Run> = pieces.iter().map(|points| Run { points, tie_in: 0, tie_off: 0 }).collect();
        measure(&runs, &passes_of(&runs))
    }

    #[test]
    fn a_triple_line_has_three_passes_and_each_stitch_counts_once() {
        let steps = measured("0 0  2.5 0  0 0  2.5 0  4.5 0  2.5 0  4.5 0").unwrap();
        assert_eq!(steps.penetrations, 7);
        assert_eq!(steps.passes, BTreeMap::from([(3, 2)]));
        assert_eq!(steps.stitches(), 2);
        assert_eq!((steps.shortest_mm, steps.median_mm, steps.longest_mm), (2.0, 2.25, 2.5));
        assert_eq!(steps.bounds, Rect::new(0.0, 0.0, 4.5, 0.0));
    }

    #[test]
    fn a_return_is_a_fourth_pass_and_travel_a_single_one() {
        let steps = measured("0 0  3 0  0 0  3 0  0 0  0 3").unwrap();
        assert_eq!(steps.passes, BTreeMap::from([(1, 1), (4, 1)]));
    }

    #[test]
    fn steps_of_two_pieces_are_not_joined() {
        let steps = measured("0 0  2 0 | 20 20  20 24").unwrap();
        assert_eq!(steps.passes, BTreeMap::from([(1, 2)]));
        assert_eq!(steps.longest_mm, 4.0);
        assert_eq!(steps.bounds, Rect::new(0.0, 0.0, 20.0, 24.0));
    }

    #[test]
    fn steps_out_of_range_are_counted_once_however_often_they_are_sewn() {
        let steps = measured("0 0  0.8 0  0 0  0.8 0  6.8 0  0.8 0  6.8 0  7.7 0").unwrap();
        assert_eq!((steps.too_short, steps.too_long), (2, 1));
    }

    #[test]
    fn holes_a_hair_apart_are_one_hole() {
        let steps = measured("0 0  2.5 0.001  0.001 0  2.499 0").unwrap();
        assert_eq!(steps.passes, BTreeMap::from([(3, 1)]));
    }

    #[test]
    fn a_strike_on_the_spot_is_no_step() {
        let steps = measured("0 0  0 0  3 0").unwrap();
        assert_eq!((steps.penetrations, steps.shortest_mm), (3, 3.0));
    }

    #[test]
    fn nothing_sewn_is_said_so() {
        for text in ["", "1 1", "1 1  1 1", "1 1 | 2 2"] {
            assert_eq!(measured(text), Err(SurveyError::NoStitches), "{text}");
        }
        assert_eq!(measure(&[], &BTreeMap::new()), Err(SurveyError::NoStitches));
    }

    #[test]
    fn ties_change_neither_steps_nor_passes() {
        let points: Vec<Point> = [0.0, 0.5, 0.0, 3.0, 6.0, 5.5].iter().map(|x| Point::new(*x, 0.0)).collect();
        let runs = [Run { points: &points, tie_in: 2, tie_off: 1 }];
        let steps = measure(&runs, &passes_of(&runs)).unwrap();
        assert_eq!((steps.penetrations, steps.shortest_mm, steps.longest_mm), (6, 3.0, 3.0));
        assert_eq!((steps.passes, steps.too_short), (BTreeMap::from([(1, 2)]), 0));
    }
}
