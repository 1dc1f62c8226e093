//! Needle points → the lines that thread makes: each drawn once, however often it is sewn.

use kurbo::{BezPath, PathEl, Point, Rect};
use rustc_hash::FxHashSet;

use crate::base::tolerance::SAME_HOLE_MM;

type Hole = (i64, i64);

/// One stitch as it is first sewn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stitch {
    /// Where the needle was.
    pub from: Point,
    /// Where it goes.
    pub to: Point,
    /// How many stitches of the whole design came before it.
    pub index: usize,
}

/// The stitches that lay thread where there was none, in sewing order.
#[must_use]
pub fn fresh(runs: &[Vec<Point>]) -> Vec<Stitch> {
    let mut seen: FxHashSet<(Hole, Hole)> = FxHashSet::default();
    let mut stitches = Vec::new();
    let mut index = 0;
    for run in runs {
        for pair in run.windows(2) {
            let (a, b) = (hole(pair[0]), hole(pair[1]));
            if a != b && seen.insert((a.min(b), a.max(b))) {
                stitches.push(Stitch { from: pair[0], to: pair[1], index });
            }
            index += 1;
        }
    }
    stitches
}

/// The whole design as one path of straight lines, each drawn once.
#[must_use]
pub fn lines(runs: &[Vec<Point>]) -> BezPath {
    joined(&fresh(runs))
}

/// Stitches as a path; one that starts where the last ended goes on from there.
#[must_use]
pub fn joined(stitches: &[Stitch]) -> BezPath {
    let mut path = BezPath::new();
    let mut at = None;
    for stitch in stitches {
        if at != Some(hole(stitch.from)) {
            path.move_to(stitch.from);
        }
        path.line_to(stitch.to);
        at = Some(hole(stitch.to));
    }
    path
}

/// Every stitch once, as a short line of its own that ends `short` mm before its holes.
#[must_use]
pub fn strands(runs: &[Vec<Point>], short: f64) -> BezPath {
    let mut path = BezPath::new();
    for stitch in fresh(runs) {
        let long = stitch.from.distance(stitch.to);
        let part = (short / long.max(1e-9)).min(0.3);
        path.move_to(stitch.from.lerp(stitch.to, part));
        path.line_to(stitch.to.lerp(stitch.from, part));
    }
    path
}

/// The needle holes, each once, in the order they are made.
#[must_use]
pub fn holes(runs: &[Vec<Point>]) -> Vec<Point> {
    let mut seen = FxHashSet::default();
    runs.iter().flatten().copied().filter(|p| seen.insert(hole(*p))).collect()
}

/// Dots as a path of lines without length, to be drawn with a round pen.
#[must_use]
pub fn dots(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for p in points {
        path.move_to(*p);
        path.line_to(*p);
    }
    path
}

/// The part of a path of straight lines that comes near `rect`: lines that lie wholly to one side are left out.
#[must_use]
pub fn near(path: &BezPath, rect: Rect) -> BezPath {
    let mut kept = BezPath::new();
    let mut from: Option<Point> = None;
    let mut joined = false;
    for element in path.elements() {
        let to = element.end_point();
        if let (PathEl::LineTo(_), Some(a), Some(b)) = (element, from, to) {
            let beside = a.x.max(b.x) < rect.x0 || a.x.min(b.x) > rect.x1;
            let above = a.y.max(b.y) < rect.y0 || a.y.min(b.y) > rect.y1;
            if beside || above {
                joined = false;
            } else {
                if !joined {
                    kept.move_to(a);
                }
                kept.line_to(b);
                joined = true;
            }
        } else {
            joined = false;
        }
        from = to;
    }
    kept
}

#[expect(clippy::cast_possible_truncation, reason = "no design is 9e13 m wide")]
fn hole(p: Point) -> Hole {
    ((p.x / SAME_HOLE_MM).round() as i64, (p.y / SAME_HOLE_MM).round() as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(text: &str) -> Vec<Point> {
        let numbers: Vec<f64> = text.split_whitespace().map(|n| n.parse().unwrap()).collect();
        numbers.chunks(2).map(|c| Point::new(c[0], c[1])).collect()
    }

    #[test]
    fn three_passes_are_one_line() {
        let run = points("0 0  2 0  0 0  2 0  4 0  2 0  4 0");
        assert_eq!(lines(&[run]).to_svg(), "M0,0 L2,0 L4,0");
    }

    #[test]
    fn strands_end_short_of_their_holes() {
        let run = points("0 0  2 0  0 0  2 0  2 1");
        assert_eq!(strands(&[run], 0.5).to_svg(), "M0.5,0 L1.5,0 M2,0.3 L2,0.7");
    }

    #[test]
    fn a_move_is_no_line() {
        let runs = [points("0 0  2 0"), points("5 5  7 5")];
        assert_eq!(lines(&runs).to_svg(), "M0,0 L2,0 M5,5 L7,5");
    }

    #[test]
    fn each_hole_is_listed_once() {
        assert_eq!(holes(&[points("0 0  2 0  0 0  2 0  4 0")]), points("0 0  2 0  4 0"));
    }

    #[test]
    fn what_lies_far_away_is_left_out() {
        let path = lines(&[points("0 0  10 0  20 0  30 0  20 5")]);
        assert_eq!(near(&path, Rect::new(-5.0, -5.0, 5.0, 5.0)).to_svg(), "M0,0 L10,0");
        assert_eq!(near(&path, Rect::new(25.0, -5.0, 35.0, 5.0)).to_svg(), "M20,0 L30,0 L20,5");
    }
}
