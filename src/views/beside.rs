//! A hole and the thread round it → where its mark stands: beside the line, in the most open place near by.

use kurbo::{Line, ParamCurveNearest, Point, Rect, Vec2};

use crate::views::picture::Picture;
use crate::views::thread::{self, Stitch};

/// Directions that are tried.
const DIRECTIONS: u32 = 24;
/// How far the mark stands from its hole, as parts of what was asked for: further where there is more room.
const AWAY: [f64; 3] = [1.0, 1.35, 1.7];

/// The place for a mark of `size` mm across for the hole at `at`; `taken` are the places of other marks.
///
/// Of all places tried it is the one furthest from thread and other marks, and on the cloth if any of them is.
#[must_use]
pub fn place(picture: &Picture, at: Point, size: f64, taken: &[Point]) -> Point {
    let reach = size * (AWAY[2] + 1.5);
    let near = Rect::from_center_size(at, (2.0 * reach, 2.0 * reach));
    let stitches: Vec<Stitch> = thread::fresh(&picture.runs)
        .into_iter()
        .filter(|s| Rect::from_points(s.from, s.to).inflate(1e-9, 1e-9).overlaps(near))
        .collect();
    let bounds = picture.bounds();
    let open = |p: Point| {
        let thread = stitches.iter().map(|s| Line::new(s.from, s.to).nearest(p, 1e-9).distance_sq.sqrt());
        let marks = taken.iter().map(|t| t.distance(p) - size);
        let clear = thread.chain(marks).fold(size * 1.2, f64::min);
        if bounds.contains(p) { clear } else { clear - 10.0 * size }
    };
    let mut best = (f64::NEG_INFINITY, at);
    for away in AWAY {
        for i in 0..DIRECTIONS {
            let turn = f64::from(i) / f64::from(DIRECTIONS) * std::f64::consts::TAU;
            let p = at + Vec2::from_angle(turn) * size * away;
            let clear = open(p);
            // A later place has to be clearly better, so that marks stand close and always in the same place.
            if clear > best.0 + 0.02 * size {
                best = (clear, p);
            }
        }
    }
    best.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::units::Units;
    use crate::stitches::{Run, Stitches};
    use crate::views::from_stages::{self, Names};

    fn sewn(points: &[(f64, f64)]) -> Picture {
        let points = points.iter().map(|p| Point::from(*p)).collect();
        let stitches = Stitches::new(vec![Run { points, tie_in: 0, tie_off: 0 }]);
        let names = Names { title: "t", motif: "", size: "", units: Units::Inches };
        from_stages::picture(None, &stitches, names)
    }

    #[test]
    fn the_mark_stands_beside_the_line_and_on_the_cloth() {
        // A line along the lower edge: above it there is room.
        let picture = sewn(&[(-20.0, 0.0), (0.0, 0.0), (20.0, 0.0), (20.0, 30.0)]);
        let mark = place(&picture, Point::ZERO, 3.0, &[]);
        assert!(mark.y >= 2.9 && mark.distance(Point::ZERO) <= 3.0 * 1.7 + 1e-9, "{mark:?}");
    }

    #[test]
    fn two_marks_at_one_hole_keep_apart() {
        let picture = sewn(&[(-20.0, 0.0), (0.0, 0.0), (20.0, 0.0), (20.0, 30.0)]);
        let first = place(&picture, Point::ZERO, 3.0, &[]);
        let second = place(&picture, Point::ZERO, 3.0, &[first]);
        assert!(first.distance(second) >= 3.0, "{first:?} {second:?}");
    }
}
