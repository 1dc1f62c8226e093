//! [`Stitches`] → the lines they follow, each once, and how often each is sewn.
//!
//! Ties are left out. Two stitches between the same two holes, in either direction, are two passes of one step. Steps
//! sewn equally often are joined to lines that end where lines meet, part or end, or where the passes change.
//! Limits: only passes through the very same holes are seen as such; a line sewn anew beside itself is another line.

use std::collections::BTreeMap;

use kurbo::{BezPath, Point};

use super::Stitches;
use super::grid::{cells, millimetres};
use crate::base::smooth::smooth_path;

/// A line as it was sewn.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// Its holes in order, mm; a closed line does not repeat its first.
    pub points: Vec<Point>,
    /// True if it closes on itself without meeting another line.
    pub closed: bool,
    /// How often it is sewn.
    pub passes: usize,
}

/// The lines of a design.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Unpicked {
    /// The lines, in the order and direction in which they were first sewn.
    pub lines: Vec<Line>,
    /// How many steps are sewn how often: passes → steps.
    pub passes: BTreeMap<usize, usize>,
}

impl Line {
    /// The curve that the line was sewn from, as well as its holes tell.
    #[must_use]
    pub fn path(&self) -> BezPath {
        smooth_path(&self.points, self.closed)
    }
}

/// The lines that `stitches` follow.
#[must_use]
pub fn unpick(stitches: &Stitches) -> Unpicked {
    let seam = Seam::of(stitches);
    let mut passes = BTreeMap::new();
    for step in &seam.steps {
        *passes.entry(step.passes).or_insert(0) += 1;
    }
    let mut done = vec![false; seam.steps.len()];
    let mut lines = Vec::new();
    for first in 0..seam.steps.len() {
        if !done[first] {
            lines.push(seam.line(first, &mut done));
        }
    }
    Unpicked { lines, passes }
}

struct SewnStep {
    ends: [usize; 2],
    passes: usize,
}

/// Holes and the steps between them, each once.
struct Seam {
    holes: Vec<(i64, i64)>,
    steps: Vec<SewnStep>,
    // Invariant: for every hole, the steps that end there.
    at: Vec<Vec<usize>>,
}

impl Seam {
    fn of(stitches: &Stitches) -> Self {
        let mut seam = Seam { holes: Vec::new(), steps: Vec::new(), at: Vec::new() };
        let mut hole_ids = BTreeMap::new();
        let mut step_ids = BTreeMap::new();
        for run in &stitches.pieces {
            let ids: Vec<usize> = run.body().iter().map(|p| seam.hole(*p, &mut hole_ids)).collect();
            for w in ids.windows(2).filter(|w| w[0] != w[1]) {
                let key = [w[0].min(w[1]), w[0].max(w[1])];
                let step = *step_ids.entry(key).or_insert_with(|| seam.add_step([w[0], w[1]]));
                seam.steps[step].passes += 1;
            }
        }
        seam
    }

    fn hole(&mut self, p: Point, ids: &mut BTreeMap<(i64, i64), usize>) -> usize {
        let hole = (cells(p.x), cells(p.y));
        *ids.entry(hole).or_insert_with(|| {
            self.holes.push(hole);
            self.at.push(Vec::new());
            self.holes.len() - 1
        })
    }

    fn add_step(&mut self, ends: [usize; 2]) -> usize {
        let id = self.steps.len();
        self.steps.push(SewnStep { ends, passes: 0 });
        for end in ends {
            self.at[end].push(id);
        }
        id
    }

    /// The step that goes on from `step` through `hole`, if the line goes through there.
    fn onward(&self, step: usize, hole: usize) -> Option<usize> {
        let &[a, b] = self.at[hole].as_slice() else { return None };
        (self.steps[a].passes == self.steps[b].passes).then_some(if a == step { b } else { a })
    }

    /// The line of which `first` is a step, in the direction of `first`.
    fn line(&self, first: usize, done: &mut [bool]) -> Line {
        done[first] = true;
        let [start, end] = self.steps[first].ends;
        let ahead = self.follow(first, end, done);
        let closed = ahead.last() == Some(&start) && self.onward(first, start).is_some();
        let mut holes = if closed { Vec::new() } else { self.follow(first, start, done) };
        holes.reverse();
        holes.extend([start, end]);
        holes.extend(ahead);
        if closed {
            holes.pop();
        }
        let place =
            |hole: usize| Point::new(millimetres(self.holes[hole].0), millimetres(self.holes[hole].1));
        let points = holes.into_iter().map(place).collect();
        Line { points, closed, passes: self.steps[first].passes }
    }

    /// The holes beyond `hole`, coming from `step`, to the end of the line or back to its start.
    fn follow(&self, mut step: usize, mut hole: usize, done: &mut [bool]) -> Vec<usize> {
        let mut beyond = Vec::new();
        while let Some(next) = self.onward(step, hole).filter(|next| !done[*next]) {
            done[next] = true;
            let [a, b] = self.steps[next].ends;
            hole = if a == hole { b } else { a };
            step = next;
            beyond.push(hole);
        }
        beyond
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stitches::Run;

    /// The lines of runs written as "x y  x y …", one line of text each: passes, then holes, then "closed".
    fn unpicked(runs: &[&str]) -> String {
        let run = |text: &&str| {
            let numbers: Vec<f64> = text.split_whitespace().map(|n| n.parse().unwrap()).collect();
            Run::from_points(numbers.chunks(2).map(|xy| Point::new(xy[0], xy[1])).collect())
        };
        let unpicked = unpick(&Stitches::new(runs.iter().map(run).collect()));
        let show = |line: &Line| {
            let holes: Vec<String> = line.points.iter().map(|p| format!("{} {}", p.x, p.y)).collect();
            let closed = if line.closed { " closed" } else { "" };
            format!("{} × {}{closed}", line.passes, holes.join("  "))
        };
        unpicked.lines.iter().map(show).collect::<Vec<_>>().join("\n")
    }

    #[test]
    fn a_triple_line_is_one_line_sewn_three_times() {
        assert_eq!(unpicked(&["0 0  2 0  0 0  2 0  4 1  2 0  4 1"]), "3 × 0 0  2 0  4 1");
    }

    #[test]
    fn a_closed_line_is_closed() {
        assert_eq!(unpicked(&["0 0  2 0  2 2  0 2  0 0"]), "1 × 0 0  2 0  2 2  0 2 closed");
    }

    #[test]
    fn a_loop_on_a_stem_starts_at_the_stem() {
        let lines = unpicked(&["0 0  2 0  4 0  4 2  2 0"]);
        assert_eq!(lines, "1 × 0 0  2 0\n1 × 2 0  4 0  4 2  2 0");
    }

    #[test]
    fn lines_that_cross_in_a_hole_are_four() {
        let lines = unpicked(&["0 0  2 2  4 4", "0 4  2 2  4 0"]);
        assert_eq!(lines, "1 × 0 0  2 2\n1 × 2 2  4 4\n1 × 0 4  2 2\n1 × 2 2  4 0");
    }

    #[test]
    fn a_line_sewn_more_often_in_part_is_parted_there() {
        assert_eq!(unpicked(&["0 0  2 0  4 0  2 0"]), "1 × 0 0  2 0\n2 × 2 0  4 0");
    }

    #[test]
    fn a_line_first_met_in_its_middle_is_followed_both_ways() {
        // From the middle to one end, and from the middle to the other.
        assert_eq!(unpicked(&["2 0  4 0", "2 0  0 0"]), "1 × 0 0  2 0  4 0");
    }

    #[test]
    fn ties_and_stitches_in_place_are_no_lines() {
        assert_eq!(unpicked(&["0 0  0.8 0  1.6 0  0.8 0  0 0  2.5 0  2.5 0  5 0"]), "1 × 0 0  2.5 0  5 0");
        assert_eq!(unpicked(&[]), "");
        assert_eq!(unpicked(&["1 1"]), "");
    }

    #[test]
    fn steps_are_counted_by_their_passes() {
        let run = |xs: &[f64]| Run::from_points(xs.iter().map(|x| Point::new(*x, 0.0)).collect());
        let unpicked = unpick(&Stitches::new(vec![run(&[0.0, 2.0, 0.0, 2.0, 4.0, 2.0, 4.0, 6.0])]));
        assert_eq!(unpicked.passes, BTreeMap::from([(1, 1), (3, 2)]));
    }
}
