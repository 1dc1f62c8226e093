//! Runs of needle points → [`Kind`]: what sort of stitching they are, told from their geometry alone.
//!
//! A design from elsewhere does not say what it is. Running lines are told from satin by zig-zag steps, from fills by
//! the length of line on the cloth, and single from triple lines by how many steps lie on top of each other, whether or
//! not the passes share their holes. Limits: thresholds are common practice, so a very close stipple may be taken for
//! a fill.

use std::collections::BTreeMap;

use kurbo::{Point, Vec2};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Line};

use super::needle::{Hole, Run, hole, place};
use super::steps;

/// Steps this near to each other that run the same way are passes of one line, mm: rows of a fill lie further apart.
pub const SAME_LINE_MM: f64 = 0.2;
/// Steps whose directions differ by less run the same way, degrees.
pub const SAME_WAY_DEG: f64 = 30.0;
/// A step that turns back by at least this is a zig or a zag, degrees.
pub const ZIGZAG_DEG: f64 = 135.0;
/// A zig-zag comes down this far from the hole before last, mm; nearer it is a line sewn back in its own holes, further
/// it is a sharp corner.
pub const ZIGZAG_PITCH_MM: std::ops::RangeInclusive<f64> = 0.25..=1.5;
/// Side of the patches in which line is added up, mm.
pub const PATCH_MM: f64 = 5.0;
/// Line on the cloth from which a patch counts as filled, mm in a mm²: rows 0.8 mm apart, where fills are sewn at about
/// 0.4 mm, and quilting lines hardly ever closer than 2 mm.
pub const FILLED_MM_PER_MM2: f64 = 1.25;

/// What the stitching is.
#[derive(Debug, Clone, PartialEq)]
pub struct Kind {
    /// The part of all steps that are zig-zags, 0 to 1.
    pub zigzag: f64,
    /// The part of the line that lies in filled patches, 0 to 1.
    pub filled: f64,
    /// From a number of passes to the part of the line that is sewn so often, 0 to 1.
    pub passes: BTreeMap<usize, f64>,
}

/// Tells what sort of stitching `runs` are.
#[must_use]
pub fn tell(runs: &[Run]) -> Kind {
    let stitches: Vec<Stitch> =
        steps::passes_of(runs).into_iter().map(|(ends, count)| stitch(ends, count)).collect();
    let tree = RTree::bulk_load(stitches.clone());
    let mut passes: BTreeMap<usize, f64> = BTreeMap::new();
    let mut patches: BTreeMap<(i64, i64), f64> = BTreeMap::new();
    let mut line = Vec::with_capacity(stitches.len());
    for stitch in &stitches {
        let (count, neighbours) = on_top_of(&tree, stitch);
        // Passes that do not share their holes are one line: each counts for its part of it.
        let length = way(stitch).hypot() / f64::from(neighbours.max(1));
        *passes.entry(count).or_insert(0.0) += length;
        *patches.entry(patch(stitch)).or_insert(0.0) += length;
        line.push(length);
    }
    let whole: f64 = line.iter().sum();
    let full =
        |p: (i64, i64)| patches.get(&p).is_some_and(|mm| *mm >= FILLED_MM_PER_MM2 * PATCH_MM * PATCH_MM);
    let filled = stitches.iter().zip(&line).filter(|(s, _)| full(patch(s))).map(|(_, length)| length).sum();
    for part in passes.values_mut() {
        *part = part_of(*part, whole);
    }
    Kind { zigzag: zigzag(runs), filled: part_of(filled, whole), passes }
}

impl Kind {
    /// The part of the line that is sewn at least `least` and at most `most` times.
    #[must_use]
    pub fn sewn(&self, least: usize, most: usize) -> f64 {
        self.passes.range(least..=most).fold(0.0, |all, (_, part)| all + part)
    }
}

/// A stitch with how often it is sewn in its own holes.
type Stitch = GeomWithData<Line<[f64; 2]>, usize>;

fn stitch((a, b): (Hole, Hole), count: usize) -> Stitch {
    let (a, b) = (place(a), place(b));
    GeomWithData::new(Line::new([a.x, a.y], [b.x, b.y]), count)
}

fn way(stitch: &Stitch) -> Vec2 {
    let Line { from, to } = *stitch.geom();
    Vec2::new(to[0] - from[0], to[1] - from[1])
}

fn middle(stitch: &Stitch) -> Point {
    let Line { from, to } = *stitch.geom();
    Point::new(f64::midpoint(from[0], to[0]), f64::midpoint(from[1], to[1]))
}

/// How many passes, and of how many different stitches, go over the middle of `stitch`.
fn on_top_of(tree: &RTree<Stitch>, stitch: &Stitch) -> (usize, u32) {
    let (at, along) = (middle(stitch), way(stitch));
    let near = tree.locate_within_distance([at.x, at.y], SAME_LINE_MM * SAME_LINE_MM);
    let same = near.filter(|other| {
        let theirs = way(other);
        let from = Point::new(other.geom().from[0], other.geom().from[1]);
        // Half-open, so that of two stitches that meet beside the middle only one counts.
        let part = (at - from).dot(theirs) / theirs.hypot2();
        let sine = along.cross(theirs).abs() / (along.hypot() * theirs.hypot());
        (0.0..1.0).contains(&part) && sine < SAME_WAY_DEG.to_radians().sin()
    });
    same.fold((0, 0), |(passes, stitches), other| (passes + other.data, stitches + 1))
}

#[expect(clippy::cast_possible_truncation, reason = "needle points are checked to lie within 20 m")]
fn patch(stitch: &Stitch) -> (i64, i64) {
    let at = middle(stitch);
    ((at.x / PATCH_MM).floor() as i64, (at.y / PATCH_MM).floor() as i64)
}

#[expect(clippy::cast_precision_loss, reason = "counts of stitches are far below 2^52")]
fn zigzag(runs: &[Run]) -> f64 {
    let (mut zigzags, mut all) = (0_usize, 0_usize);
    for run in runs {
        let line: Vec<(Point, Point)> = run.line_steps().filter(|(a, b)| hole(*a) != hole(*b)).collect();
        all += line.len();
        zigzags += line.windows(2).filter(|w| is_zigzag(w[0].0, w[0].1, w[1].1)).count();
    }
    part_of(zigzags as f64, all as f64)
}

fn is_zigzag(a: Point, b: Point, c: Point) -> bool {
    let turn_deg = crate::base::angle::turn_deg(b - a, c - b).abs();
    turn_deg >= ZIGZAG_DEG && ZIGZAG_PITCH_MM.contains(&a.distance(c))
}

fn part_of(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(points: &[(f64, f64)]) -> Kind {
        let points: Vec<Point> = points.iter().map(|p| Point::from(*p)).collect();
        tell(&[Run { points: &points, tie_in: 0, tie_off: 0 }])
    }

    /// A line along x from 0 to 50 mm with a hole every 2.5 mm, moved by `shift`.
    fn row(shift: f64, y: f64) -> Vec<(f64, f64)> {
        (0..=20).map(|i| (2.5 * f64::from(i) + shift, y)).collect()
    }

    fn there_and_back(rows: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let turned = |i: usize, mut r: Vec<(f64, f64)>| {
            if i % 2 == 1 {
                r.reverse();
            }
            r
        };
        rows.iter().enumerate().flat_map(|(i, (shift, y))| turned(i, row(*shift, *y))).collect()
    }

    #[test]
    fn a_single_line_is_sewn_once() {
        let kind = told(&row(0.0, 0.0));
        assert_eq!((kind.zigzag, kind.filled), (0.0, 0.0));
        assert_eq!(kind.passes, BTreeMap::from([(1, 1.0)]));
    }

    #[test]
    fn a_triple_line_is_no_zigzag() {
        let points: Vec<(f64, f64)> =
            row(0.0, 0.0).windows(2).flat_map(|w| [w[0], w[1], w[0], w[1]]).collect();
        let kind = told(&points);
        assert_eq!((kind.zigzag, kind.passes), (0.0, BTreeMap::from([(3, 1.0)])));
    }

    #[test]
    fn passes_in_holes_of_their_own_are_passes_all_the_same() {
        let kind = told(&there_and_back(&[(0.0, 0.0), (0.8, 0.1), (-0.8, 0.0)]));
        assert!(kind.sewn(3, 3) > 0.9, "{kind:?}");
        assert_eq!(kind.filled, 0.0);
    }

    #[test]
    fn satin_is_a_zigzag() {
        // A column 4 mm wide with a stitch every 0.2 mm.
        let points: Vec<(f64, f64)> =
            (0..100).map(|i| (0.2 * f64::from(i), if i % 2 == 0 { 0.0 } else { 4.0 })).collect();
        let kind = told(&points);
        assert!(kind.zigzag > 0.95, "{kind:?}");
    }

    #[test]
    fn rows_close_together_are_a_fill() {
        let rows: Vec<(f64, f64)> =
            (0..60).map(|i| (if i % 2 == 0 { 0.0 } else { 1.2 }, 0.4 * f64::from(i))).collect();
        let kind = told(&there_and_back(&rows));
        assert!(kind.filled > 0.8 && kind.zigzag < 0.05, "{kind:?}");
    }

    #[test]
    fn a_close_stipple_is_no_fill() {
        // Triple lines 2 mm apart are closer than quilting lines ever need to be.
        let rows: Vec<(f64, f64)> = (0..20).map(|i| (0.0, 2.0 * f64::from(i))).collect();
        let single = there_and_back(&rows);
        let triple: Vec<(f64, f64)> = single.windows(2).flat_map(|w| [w[0], w[1], w[0], w[1]]).collect();
        let kind = told(&triple);
        assert_eq!((kind.filled, kind.zigzag), (0.0, 0.0));
        assert!(kind.sewn(3, 3) > 0.99, "{kind:?}");
    }

    #[test]
    fn a_sharp_point_of_a_leaf_is_no_zigzag() {
        let kind = told(&[(0.0, 0.0), (2.5, 0.2), (5.0, 0.9), (2.5, 1.8), (0.0, 2.0)]);
        assert_eq!(kind.zigzag, 0.0);
    }

    #[test]
    fn nothing_sewn_is_nothing() {
        assert_eq!(tell(&[]), Kind { zigzag: 0.0, filled: 0.0, passes: BTreeMap::new() });
    }
}
