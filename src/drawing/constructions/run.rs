//! Runs: lines → the same lines, those joined of which one smoothly runs on where another ends.

use kurbo::{BezPath, ParamCurve, Point, Vec2};

use crate::base::angle::turn_deg;
use crate::base::curve::{end_tangent, start_tangent};

/// Ends this close meet, mm.
const JOINT_MM: f64 = 0.01;
/// Lines that bend less than this where they meet run on, degrees.
const SMOOTH_DEG: f64 = 3.0;

/// Lines of which one smoothly runs on where another ends, as one line each; in the order of their beginnings.
///
/// The parallels of two repeats meet at a right angle to their strand, which is not quite where a leaning end of a block
/// cuts them: without this a stub would be left there.
#[must_use]
pub fn run_together(lines: &[BezPath]) -> Vec<BezPath> {
    let ends: Vec<Option<[(Point, Vec2); 2]>> = lines.iter().map(ends).collect();
    let next = |i: usize, free: &dyn Fn(usize) -> bool| {
        let [_, (end, way)] = ends[i]?;
        let runs_on = |j: &usize| {
            ends[*j].is_some_and(|[(start, onward), _]| {
                start.distance(end) < JOINT_MM && turn_deg(way, onward).abs() < SMOOTH_DEG
            })
        };
        (0..lines.len()).find(|j| *j != i && free(*j) && runs_on(j))
    };
    let mut follows = vec![None; lines.len()];
    let mut led = vec![false; lines.len()];
    for (i, follow) in follows.iter_mut().enumerate() {
        *follow = next(i, &|j| !led[j]);
        if let Some(j) = *follow {
            led[j] = true;
        }
    }
    let mut joined = Vec::new();
    let mut used = vec![false; lines.len()];
    // Lines that run on round a ring have no beginning: any of them will do.
    for first in (0..lines.len()).filter(|i| !led[*i]).chain(0..lines.len()) {
        if used[first] {
            continue;
        }
        let (mut line, mut at) = (lines[first].clone(), first);
        used[first] = true;
        while let Some(on) = follows[at].filter(|on| !used[*on]) {
            line.extend(lines[on].elements().iter().skip(1).copied());
            (at, used[on]) = (on, true);
        }
        joined.push(line);
    }
    joined
}

/// Where a line begins and ends, and which way it goes there.
fn ends(line: &BezPath) -> Option<[(Point, Vec2); 2]> {
    let first = line.segments().next()?;
    let last = line.segments().last()?;
    Some([(first.start(), start_tangent(&first)), (last.end(), end_tangent(&last))])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_that_run_on_become_one_and_rings_are_kept() {
        let told = |svg: &[&str]| {
            let lines: Vec<BezPath> = svg.iter().map(|d| BezPath::from_svg(d).unwrap()).collect();
            run_together(&lines).iter().map(|l| l.segments().count()).collect::<Vec<_>>()
        };
        assert_eq!(told(&["M10,0 L20,0", "M0,0 L10,0", "M20,0 L20,9"]), [2, 1]);
        let half = ["M0,0 C0,13 20,13 20,0", "M20,0 C20,-13 0,-13 0,0"];
        assert_eq!(told(&half), [2]);
        assert_eq!(told(&[half[1], "M30,0 L40,0", half[0]]), [1, 2]);
    }
}
