//! Ends: lines cut at a drawing → the same lines, their ends moved to the drawing's own ends and corners close by, or to
//! each other.
//!
//! Where a line meets the drawing a hair beside the foot of a plume, or beside another line's end, the needle would have to
//! make a stitch shorter than it can. The end is moved to that foot or end, and the last curve of the line with it.

use kurbo::{BezPath, ParamCurve, PathEl, Point, Vec2};
use rstar::RTree;

use crate::base::angle::turn_deg;
use crate::base::curve::{end_tangent, flatten, start_tangent, subpaths};
use crate::base::tolerance::{CORNER_DEG, FLATTEN_MM, JOIN_MM};
use crate::block::Block;

/// Ends closer together than this are one, mm: above the shortest step that is sewn, 1 mm, by a grid of the machine's.
const NEAR_MM: f64 = 1.15;

/// `lines`, with the ends that lie beside an end or a corner of `drawing`, or an end of an earlier line, moved to it.
///
/// Lines shorter than twice the reach of a move, ends on the block's edge, and lines that would reach out of the block stay
/// as they are.
#[must_use]
pub fn gathered(lines: Vec<BezPath>, drawing: &[BezPath], block: &Block) -> Vec<BezPath> {
    let depth = |p: Point| block.inside.iter().map(|r| r.depth(p)).fold(f64::NEG_INFINITY, f64::max);
    let ends = drawing.iter().flat_map(|line| [first(line), last(line)]).flatten();
    let mut known = RTree::bulk_load(ends.chain(corners(drawing)).map(|p| [p.x, p.y]).collect());
    let mut settle = |p: Point| -> Vec2 {
        let near = known.nearest_neighbor(&[p.x, p.y]).map(|n| Point::new(n[0], n[1]));
        match near.filter(|n| n.distance(p) < NEAR_MM) {
            Some(near) if near.distance(p) > JOIN_MM && depth(p) > JOIN_MM => near - p,
            Some(_) => Vec2::ZERO,
            None => {
                known.insert([p.x, p.y]);
                Vec2::ZERO
            }
        }
    };
    let moved = |line: BezPath| {
        let (Some(from), Some(to)) = (first(&line), last(&line)) else { return line };
        if from.distance(to) < 2.0 * NEAR_MM {
            return line;
        }
        let mut other = line.clone();
        move_ends(&mut other, [from, to].map(&mut settle));
        let mut points = flatten(&other, FLATTEN_MM).into_iter().flat_map(|flat| flat.points);
        if points.all(|p| depth(p) > -JOIN_MM) { other } else { line }
    };
    lines.into_iter().map(moved).collect()
}

/// Where lines turn sharply.
fn corners(lines: &[BezPath]) -> Vec<Point> {
    let mut corners = Vec::new();
    for segments in lines.iter().flat_map(subpaths) {
        for pair in segments.windows(2) {
            if turn_deg(end_tangent(&pair[0]), start_tangent(&pair[1])).abs() > CORNER_DEG {
                corners.push(pair[1].start());
            }
        }
    }
    corners
}

fn first(line: &BezPath) -> Option<Point> {
    line.elements().first()?.end_point()
}

/// Where a line ends; nothing if it is closed.
fn last(line: &BezPath) -> Option<Point> {
    line.elements().last()?.end_point()
}

/// Moves the start and the end of a line, and the handles there.
fn move_ends(line: &mut BezPath, [start, end]: [Vec2; 2]) {
    let elements = line.elements_mut();
    if let [PathEl::MoveTo(p), next, ..] = elements {
        *p += start;
        match next {
            PathEl::CurveTo(c, _, _) => *c += start,
            PathEl::QuadTo(c, _) => *c += start / 2.0,
            _ => {}
        }
    }
    match elements.last_mut() {
        Some(PathEl::LineTo(p)) => *p += end,
        Some(PathEl::QuadTo(c, p)) => {
            *c += end / 2.0;
            *p += end;
        }
        Some(PathEl::CurveTo(_, c, p)) => {
            *c += end;
            *p += end;
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paths(all: &[&str]) -> Vec<BezPath> {
        all.iter().map(|d| BezPath::from_svg(d).unwrap()).collect()
    }

    /// Inside, from -10,-10 to 90,90.
    fn square() -> Block {
        use crate::block::region::{Region, Ring};
        let ring =
            Ring::from_points(&[(-10.0, -10.0), (90.0, -10.0), (90.0, 90.0), (-10.0, 90.0)].map(Point::from));
        let block = crate::block::outline(&crate::block::shape::Shape::Square { side: 100.0 }, 0.0).unwrap();
        Block { inside: vec![Region { outer: ring.unwrap(), holes: Vec::new() }], ..block }
    }

    fn shown(lines: &[BezPath]) -> Vec<String> {
        lines.iter().map(BezPath::to_svg).collect()
    }

    #[test]
    fn an_end_beside_a_foot_is_moved_to_it_with_its_handle() {
        let lines = paths(&["M0,0 L20,1", "M0,50 C5,50 15,9 20,0.5"]);
        let moved = gathered(lines, &paths(&["M20,0 L40,0"]), &square());
        assert_eq!(shown(&moved), ["M0,0 L20,0", "M0,50 C5,50 15,8.5 20,0"]);
    }

    #[test]
    fn an_end_beside_a_corner_is_moved_to_it() {
        let moved = gathered(paths(&["M0,0 L20,1"]), &paths(&["M30,10 L20,0 L30,-9"]), &square());
        assert_eq!(shown(&moved), ["M0,0 L20,0"]);
    }

    #[test]
    fn two_ends_side_by_side_become_one() {
        let lines = paths(&["M0,0 L20,0", "M0,9 L20,1", "M0,30 L20,2.5"]);
        let moved = gathered(lines, &[], &square());
        assert_eq!(shown(&moved), ["M0,0 L20,0", "M0,9 L20,0", "M0,30 L20,2.5"]);
    }

    #[test]
    fn ends_on_the_edge_lines_that_would_reach_out_and_short_and_closed_ones_stay() {
        let lines =
            paths(&["M0,0 L20,-10", "M70,-9.2 C60,-10.3 50,-9 30,0", "M20,1 L21,2", "M20.5,0 L30,9 L40,0 Z"]);
        let known = paths(&["M20,-9 L40,0", "M70,-9.9 L80,0", "M20,0 L40,9"]);
        let moved = gathered(lines.clone(), &known, &square());
        assert_eq!(moved, lines);
    }
}
