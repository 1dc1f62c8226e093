//! Lines → the places where they cross or touch, by `geo` and `rstar`: a judge that shares nothing with those who draw.

use geo::algorithm::line_intersection::{LineIntersection, line_intersection};
use geo::{Coord, Line};
use kurbo::{BezPath, PathEl, Point};
use rstar::RTree;
use rstar::primitives::{GeomWithData, Rectangle};

/// How far the chords may leave the curves, mm.
const CHORD_MM: f64 = 0.005;

/// A straight piece: of which line, and the how manieth of how many.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    line: usize,
    at: usize,
    of: usize,
    closed: bool,
    straight: Line,
}

impl Piece {
    /// True for pieces that hang together anyway.
    fn follows(&self, other: &Self) -> bool {
        let apart = self.at.abs_diff(other.at);
        self.line == other.line && (apart <= 1 || self.closed && apart == self.of - 1)
    }
}

fn corners(line: &BezPath) -> (Vec<Point>, bool) {
    let (mut points, mut closed) = (Vec::new(), false);
    kurbo::flatten(line, CHORD_MM, |element| match element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
        PathEl::ClosePath => closed = true,
        _ => unreachable!("flat"),
    });
    points.dedup_by(|a, b| a.distance(*b) < 1e-9);
    if closed && points.first().map(|p| p.distance(points[points.len() - 1]) > 1e-9) == Some(true) {
        points.push(points[0]);
    }
    let round = points.len() > 2 && points[0].distance(points[points.len() - 1]) < 1e-9;
    (points, round)
}

/// Every place where two pieces that do not follow each other meet.
pub fn places(lines: &[BezPath]) -> Vec<Point> {
    let mut pieces = Vec::new();
    for (line, path) in lines.iter().enumerate() {
        let (points, closed) = corners(path);
        let of = points.len().saturating_sub(1);
        let coord = |p: Point| Coord { x: p.x, y: p.y };
        pieces.extend(points.windows(2).enumerate().map(|(at, w)| {
            let straight = Line::new(coord(w[0]), coord(w[1]));
            GeomWithData::new(
                Rectangle::from_corners([w[0].x, w[0].y], [w[1].x, w[1].y]),
                Piece { line, at, of, closed, straight },
            )
        }));
    }
    let tree = RTree::bulk_load(pieces);
    let pairs = tree.intersection_candidates_with_other_tree(&tree).map(|(a, b)| (a.data, b.data));
    let each = pairs.filter(|(a, b)| (a.line, a.at) < (b.line, b.at) && !a.follows(b));
    let meets = each.filter_map(|(a, b)| line_intersection(a.straight, b.straight));
    meets
        .map(|meeting| match meeting {
            LineIntersection::SinglePoint { intersection, .. } => intersection,
            LineIntersection::Collinear { intersection } => intersection.start,
        })
        .map(|c| Point::new(c.x, c.y))
        .collect()
}

#[test]
fn a_figure_of_eight_crosses_once_and_a_ring_nowhere() {
    let of = |svg: &str| places(&[BezPath::from_svg(svg).unwrap()]);
    assert_eq!(of("M0,0 L10,10 L10,0 L0,10 Z"), [Point::new(5.0, 5.0)]);
    assert_eq!(of("M0,0 C0,10 10,10 10,0 C10,-10 0,-10 0,0 Z"), []);
    // A line that touches another is found too.
    let touching = ["M0,0 L10,0", "M5,0 L5,5"].map(|svg| BezPath::from_svg(svg).unwrap());
    assert_eq!(places(&touching), [Point::new(5.0, 0.0)]);
}
