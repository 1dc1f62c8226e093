//! A region → its deepest place, the centre of the largest circle in it.
//!
//! Method: branch and bound over squares, the most hopeful first; no place in a square is deeper than its middle by more than
//! half its diagonal. A square looks only at the edges that can be the nearest to a place in it, those at most its diagonal
//! farther from its middle than the nearest edge, so the work grows about in step with the edges.

use std::cmp::Reverse;
use std::collections::BinaryHeap;
use std::f64::consts::SQRT_2;
use std::rc::Rc;

use kurbo::{Point, Vec2};

use super::region::Region;
use crate::base::chain;

/// How closely the greatest depth is found as a rule, mm.
pub const CLOSELY_MM: f64 = 0.01;

type Side = (Point, Point);

struct Square {
    middle: Point,
    /// Half its side, mm.
    half: f64,
    /// Of its middle, mm; negative outside.
    depth: f64,
    /// The edges among which the nearest to any place in it is.
    sides: Rc<[Side]>,
}

/// The deepest place of a region and its depth, mm, found to [`CLOSELY_MM`] as [`search`] says.
#[must_use]
pub fn deepest(region: &Region) -> (Point, f64) {
    search(region, CLOSELY_MM, f64::INFINITY)
}

/// The deepest place of a region and its depth, mm, which is short of the greatest by less than 2 `closely`; of several
/// places, one near the middle of the bounding box, which only a place deeper by `closely` takes over from. Ends early with a
/// place deeper than `enough`.
#[must_use]
pub fn search(region: &Region, closely: f64, enough: f64) -> (Point, f64) {
    let bounds = region.bounds();
    let sides = region.rings().flat_map(|ring| chain::sides(ring.points())).collect();
    let middle = bounds.center();
    let first = Square {
        middle,
        half: bounds.width().max(bounds.height()) / 2.0,
        depth: region.depth(middle),
        sides,
    };
    let mut best = (middle, first.depth);
    let rank = |hope: f64| whole(hope / closely);
    // By what they may hold, in whole parts of `closely`, then by age.
    let mut open = BinaryHeap::from([(rank(first.depth + first.half * SQRT_2), Reverse(0))]);
    let mut squares = vec![first];
    while let Some((hope, Reverse(number))) = open.pop() {
        if hope <= rank(best.1) + 1 || best.1 > enough {
            break;
        }
        for quarter in quarters(&squares[number], region) {
            if quarter.depth > best.1 + closely {
                best = (quarter.middle, quarter.depth);
            }
            open.push((rank(quarter.depth + quarter.half * SQRT_2), Reverse(squares.len())));
            squares.push(quarter);
        }
    }
    best
}

fn quarters(square: &Square, region: &Region) -> [Square; 4] {
    let reach = square.half * SQRT_2;
    let far = square.depth.abs() + 2.0 * reach;
    let near = square.sides.iter().filter(|s| away(square.middle, s) <= far);
    let sides: Rc<[Side]> = near.copied().collect();
    [(-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0), (1.0, 1.0)].map(|(x, y)| {
        let half = square.half / 2.0;
        let middle = square.middle + Vec2::new(x, y) * half;
        let off = sides.iter().map(|s| away(middle, s)).fold(f64::INFINITY, f64::min);
        // No edge crosses a square whose middle is farther from every edge than its corners are from the middle.
        let inside = if square.depth.abs() > reach { square.depth > 0.0 } else { region.contains(middle) };
        Square { middle, half, depth: if inside { off } else { -off }, sides: Rc::clone(&sides) }
    })
}

fn away(p: Point, side: &Side) -> f64 {
    p.distance(chain::nearest_on_segment(p, side.0, side.1))
}

/// Rounded down, nothing below zero.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates, which is what is meant"
)]
fn whole(quotient: f64) -> usize {
    quotient as usize
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring::from_points(&points.iter().map(|p| Point::from(*p)).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn the_deepest_place_of_a_square_is_its_middle() {
        let square =
            Region { outer: ring(&[(0.0, 0.0), (200.0, 0.0), (200.0, 200.0), (0.0, 200.0)]), holes: vec![] };
        assert_eq!(deepest(&square), (Point::new(100.0, 100.0), 100.0));
    }

    #[test]
    fn a_triangles_deepest_place_is_the_centre_of_its_inscribed_circle() {
        // Legs 30 and 40: the radius is (30 + 40 − 50) / 2.
        let triangle = Region { outer: ring(&[(0.0, 0.0), (40.0, 0.0), (0.0, 30.0)]), holes: vec![] };
        let (at, depth) = deepest(&triangle);
        assert!(
            (depth - 10.0).abs() < 2.0 * CLOSELY_MM && at.distance(Point::new(10.0, 10.0)) < 0.1,
            "{at:?}"
        );
        assert!(search(&triangle, CLOSELY_MM, 5.0).1 > 5.0);
    }

    #[test]
    fn a_place_is_as_deep_as_all_edges_say_holes_and_inward_corners_too() {
        let outer = ring(&[(0.0, 0.0), (90.0, 0.0), (90.0, 40.0), (40.0, 40.0), (40.0, 90.0), (0.0, 90.0)]);
        let holes = vec![ring(&[(10.0, 10.0), (30.0, 10.0), (30.0, 30.0), (10.0, 30.0)])];
        let region = Region { outer, holes };
        let (at, depth) = deepest(&region);
        assert_eq!(depth, region.depth(at));
        // In either arm a circle across its 40 mm.
        assert!((depth - 20.0).abs() < 2.0 * CLOSELY_MM, "{depth} at {at:?}");
    }
}
