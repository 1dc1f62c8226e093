//! The last look at a drawn feather: lines may end on each other, but none may cross another or stand outside.

use kurbo::{Affine, BezPath, ParamCurve, Point, Rect, Shape};

use crate::block::deepest::deepest;
use crate::block::region::Region;

/// Straight pieces that a curve between two knots is looked at as.
const PIECES: usize = 5;

/// How far apart the ends of two pieces have to lie on either side of each other to count as crossing, mm²: T junctions
/// and shared feet, which meet exactly, stay far below.
const CROSSING_MM2: f64 = 1e-4;

/// How far a point of a line may stand outside, mm: lines as near as 0.02 mm are joined to the edge; the rest is for what lies
/// between the points.
const OUTSIDE_MM: f64 = 0.016;

/// Up to this far outside lines are drawn in, mm: they still touch the edge where they should.
const HAIR_MM: f64 = 0.1;

/// A curve between two knots.
struct Bit {
    box_: Rect,
    points: [Point; PIECES + 1],
}

/// True if no two lines cross, and no line crosses itself.
pub fn is_clean(lines: &[BezPath]) -> bool {
    let bits: Vec<Bit> = lines.iter().flat_map(BezPath::segments).map(|s| bit(&s)).collect();
    let mut order: Vec<usize> = (0..bits.len()).collect();
    order.sort_by(|i, j| bits[*i].box_.x0.total_cmp(&bits[*j].box_.x0).then(i.cmp(j)));
    let mut open: Vec<usize> = Vec::new();
    for i in order {
        let bit = &bits[i];
        open.retain(|j| bits[*j].box_.x1 >= bit.box_.x0);
        if open.iter().any(|j| cross(bit, &bits[*j])) {
            return false;
        }
        open.push(i);
    }
    true
}

/// Draws lines that stand a hair outside in towards the deepest place; false if some stand farther out.
pub fn draw_in(lines: &mut [BezPath], region: &Region) -> bool {
    let out = outside(lines, region);
    if out <= OUTSIDE_MM {
        return true;
    }
    if out > HAIR_MM {
        return false;
    }
    let (at, depth) = deepest(region);
    let fit = Affine::scale_about(1.0 - out / depth, at);
    lines.iter_mut().for_each(|line| line.apply_affine(fit));
    outside(lines, region) <= OUTSIDE_MM
}

/// How far the farthest point of the lines stands outside, mm.
fn outside(lines: &[BezPath], region: &Region) -> f64 {
    let bits = lines.iter().flat_map(BezPath::segments).map(|s| bit(&s));
    bits.flat_map(|bit| bit.points).map(|p| -region.depth(p)).fold(0.0, f64::max)
}

fn bit(segment: &kurbo::PathSeg) -> Bit {
    let points = std::array::from_fn(|k| segment.eval(k as f64 / PIECES as f64));
    Bit { box_: segment.bounding_box(), points }
}

fn cross(a: &Bit, b: &Bit) -> bool {
    if a.box_.y0 > b.box_.y1 || a.box_.y1 < b.box_.y0 {
        return false;
    }
    a.points.windows(2).any(|p| b.points.windows(2).any(|q| pieces_cross(p, q)))
}

fn pieces_cross(p: &[Point], q: &[Point]) -> bool {
    let apart = |a: Point, b: Point, c: Point, d: Point| {
        let (f, g) = ((b - a).cross(c - a), (b - a).cross(d - a));
        f * g < 0.0 && f.abs() > CROSSING_MM2 && g.abs() > CROSSING_MM2
    };
    apart(p[0], p[1], q[0], q[1]) && apart(q[0], q[1], p[0], p[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lines(svg: &[&str]) -> Vec<BezPath> {
        svg.iter().map(|d| BezPath::from_svg(d).unwrap()).collect()
    }

    #[test]
    fn ending_on_a_line_is_clean_and_crossing_it_is_not() {
        assert!(is_clean(&lines(&["M0,0 L5,0 L10,0", "M5,5 L5,0"])));
        assert!(!is_clean(&lines(&["M0,0 L5,0 L10,0", "M6.3,5 L6.3,-0.9"])));
        assert!(!is_clean(&lines(&["M0,0 L10,0 L10,5 L5,-5"])));
    }
}
