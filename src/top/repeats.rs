//! A drawing along a border → how often it repeats, and how well it runs on into what comes next.
//!
//! Nothing is taken from the motif's word: repeats and joins are measured on the lines themselves. A drawing repeats n
//! times if every line, shifted by an nth of the length, lies on a line again.

use kurbo::{Affine, BezPath, Point, Rect, Vec2};
use rstar::primitives::{GeomWithData, Rectangle};
use rstar::{AABB, RTree};

use crate::base::angle::turn_deg;
use crate::base::chain::nearest_on_segment;
use crate::base::curve::{end_tangent, flatten, start_tangent, subpaths};
use crate::base::tolerance::{FLATTEN_MM, TOUCH_MM, TWIN_MM};

/// The shortest repeat that is looked for, mm: shorter ones are stitches, not a motif.
const SHORTEST_MM: f64 = 5.0;
/// How many points of a drawing are tried before it counts as repeating.
const SAMPLES: usize = 240;
/// A line's end this close to a join meets it, mm.
const AT_JOIN_MM: f64 = 0.01;

/// A line that leans less than this against an edge or a join runs along it, degrees.
const LEVEL_DEG: f64 = 0.1;

/// How well lines run on across a join.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Join {
    /// How many line ends meet the join on the side that has fewer.
    pub ends: usize,
    /// The furthest that an end stays from the nearest end on the other side, mm; infinite if there is none.
    pub gap_mm: f64,
    /// The sharpest bend at an end, degrees.
    pub bend_deg: f64,
}

type Piece = GeomWithData<Rectangle<[f64; 2]>, (Point, Point)>;

/// How many whole repeats a drawing `length` mm long, centred on 0, is made of; 1 if it does not repeat.
#[must_use]
pub fn count(lines: &[BezPath], length: f64) -> u32 {
    let segments: Vec<(Point, Point)> = lines
        .iter()
        .flat_map(|line| flatten(line, FLATTEN_MM))
        .flat_map(|flat| flat.points.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>())
        .collect();
    let tree = RTree::bulk_load(segments.iter().map(|s| boxed(*s)).collect());
    let stride = segments.len().div_ceil(SAMPLES).max(1);
    // Three points of each, as the middle of one line may lie on others.
    let along = |(a, b): &(Point, Point)| [0.21, 0.5, 0.68].map(|share| a.lerp(*b, share));
    let samples: Vec<Point> = segments.iter().step_by(stride).flat_map(along).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred")]
    let most = (length / SHORTEST_MM).clamp(1.0, 4000.0) as u32;
    let repeats = |n: &u32| {
        let step = length / f64::from(*n);
        let fits = |p: &Point, by: f64| {
            let q = *p + Vec2::new(by, 0.0);
            q.x.abs() > length / 2.0 - TWIN_MM || lies_on(&tree, q)
        };
        samples.iter().all(|p| fits(p, step) && fits(p, -step))
    };
    (2..=most).rev().find(repeats).unwrap_or(1)
}

fn boxed((a, b): (Point, Point)) -> Piece {
    GeomWithData::new(Rectangle::from_corners([a.x, a.y], [b.x, b.y]), (a, b))
}

fn lies_on(tree: &RTree<Piece>, p: Point) -> bool {
    // Twice: both the sample and the line it should lie on are chords of their curves.
    let near = 2.0 * TWIN_MM;
    let about = AABB::from_corners([p.x - near, p.y - near], [p.x + near, p.y + near]);
    tree.locate_in_envelope_intersecting(&about).any(|piece| {
        let (a, b) = piece.data;
        p.distance(nearest_on_segment(p, a, b)) <= near
    })
}

/// How the lines of `from` that end on the straight line x = `x` run on into those of `to`.
///
/// The border reaches `half` mm up and down. On its edges a line may also be thrown back as from a mirror, as it is
/// between two repeats of a zigzag: that is the motif's own corner, no bend. A line along an edge turns with it, and is
/// left out where others cross the join. At a border's `corner` its upper edge turns with it, and a third piece has its lines
/// there: neither gap nor bend is counted.
#[must_use]
pub fn join(from: &[BezPath], to: &[BezPath], (x, half): (f64, f64), corner: bool) -> Join {
    let met = |lines: &[BezPath]| {
        let mut ends = ends(lines, x);
        ends.retain(|(y, _)| !corner || *y < half - TOUCH_MM);
        across(ends, half)
    };
    let (left, right) = (met(from), met(to));
    let mut join = Join { ends: left.len().min(right.len()), ..Join::default() };
    for (some, others) in [(&left, &right), (&right, &left)] {
        for (y, way) in some {
            let gap = |other: &&(f64, Vec2)| (other.0 - y).abs();
            let nearest = others.iter().min_by(|a, b| gap(a).total_cmp(&gap(b))).map(|o| gap(&o));
            join.gap_mm = join.gap_mm.max(nearest.unwrap_or(f64::INFINITY));
            let met = others.iter().filter(|o| gap(o) <= nearest.unwrap_or(0.0) + AT_JOIN_MM);
            let on_edge = y.abs() >= half - TOUCH_MM;
            let mirrored =
                |o: &Vec2| if on_edge { bend_deg(*way, Vec2::new(o.x, -o.y)) } else { f64::INFINITY };
            let bend = met.map(|o| bend_deg(*way, o.1).min(mirrored(&o.1))).fold(f64::INFINITY, f64::min);
            join.bend_deg = join.bend_deg.max(if bend.is_finite() { bend } else { 0.0 });
        }
    }
    join
}

/// The ends without those of lines that only touch the join, nor of lines along an edge, unless these are all there is.
fn across(mut ends: Vec<(f64, Vec2)>, half: f64) -> Vec<(f64, Vec2)> {
    let along = |way: Vec2, x: f64, y: f64| bend_deg(way, Vec2::new(x, y)) < LEVEL_DEG;
    let on_edge = |y: f64| y.abs() >= half - TOUCH_MM;
    ends.retain(|(_, way)| !along(*way, 0.0, 1.0));
    let mut others = ends.clone();
    others.retain(|(y, way)| !on_edge(*y) || !along(*way, 1.0, 0.0));
    if others.is_empty() { ends } else { others }
}

/// The angle between two lines, whichever way they are drawn, degrees.
fn bend_deg(a: Vec2, b: Vec2) -> f64 {
    let turn = turn_deg(a, b).abs();
    turn.min(180.0 - turn)
}

/// The ends of lines on x = `x`: how high, and which way the line goes there.
fn ends(lines: &[BezPath], x: f64) -> Vec<(f64, Vec2)> {
    let mut found = Vec::new();
    for segments in lines.iter().flat_map(subpaths) {
        let (Some(first), Some(last)) = (segments.first(), segments.last()) else { continue };
        use kurbo::ParamCurve;
        for (at, way) in [(first.start(), start_tangent(first)), (last.end(), end_tangent(last))] {
            if (at.x - x).abs() <= AT_JOIN_MM {
                found.push((at.y, way));
            }
        }
    }
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

/// Lines moved by a placing.
#[must_use]
pub fn moved(lines: &[BezPath], placing: Affine) -> Vec<BezPath> {
    lines.iter().map(|line| placing * line.clone()).collect()
}

/// The box round lines; of no size if there are none.
#[must_use]
pub fn bounds(lines: &[BezPath]) -> Rect {
    use kurbo::Shape;
    lines.iter().map(Shape::bounding_box).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn paths(text: &[&str]) -> Vec<BezPath> {
        text.iter().map(|d| BezPath::from_svg(d).unwrap()).collect()
    }

    #[test]
    fn a_zigzag_of_five_repeats_five_times() {
        let zigzag = "M-50,0 L-45,5 L-40,0 L-30,0";
        let cells: Vec<BezPath> = (0..5)
            .map(|i| Affine::translate((20.0 * f64::from(i), 0.0)) * BezPath::from_svg(zigzag).unwrap())
            .collect();
        assert_eq!(count(&cells, 100.0), 5);
    }

    #[test]
    fn a_line_that_never_comes_again_does_not_repeat() {
        assert_eq!(count(&paths(&["M-50,0 L-20,8 L10,-3 L50,2"]), 100.0), 1);
    }

    #[test]
    fn a_join_tells_its_gap_and_its_bend() {
        let met = join(&paths(&["M0,0 L10,10"]), &paths(&["M10,10 L20,20"]), (10.0, 50.0), false);
        assert_eq!((met.ends, met.gap_mm), (1, 0.0));
        assert!(met.bend_deg < 1e-9);
        let bent = join(&paths(&["M0,0 L10,10"]), &paths(&["M10,10.5 L20,10.5"]), (10.0, 50.0), false);
        assert!((bent.gap_mm - 0.5).abs() < 1e-9 && (bent.bend_deg - 45.0).abs() < 1e-9, "{bent:?}");
        assert_eq!(join(&paths(&["M0,0 L10,10"]), &[], (10.0, 50.0), false).gap_mm, f64::INFINITY);
    }

    #[test]
    fn a_zigzag_turns_back_on_the_edge_and_nowhere_else() {
        let (up, down) = (paths(&["M0,0 L10,10"]), paths(&["M10,10 L20,0"]));
        assert!(join(&up, &down, (10.0, 10.0), false).bend_deg < 1e-9);
        assert!((join(&up, &down, (10.0, 20.0), false).bend_deg - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_line_along_the_edge_is_left_out_where_others_cross_the_join() {
        let run = paths(&["M0,0 L10,4", "M0,10 L10,10"]);
        let met = join(&run, &paths(&["M10,4 L20,8", "M10,10 L20,0"]), (10.0, 10.0), false);
        assert_eq!((met.ends, met.gap_mm), (1, 6.0));
        // The second end of the right side is level with nothing on the left.
        let met = join(&run, &paths(&["M10,4 L20,8", "M10,10 L20,10"]), (10.0, 10.0), false);
        assert_eq!((met.ends, met.gap_mm), (1, 0.0));
        let edges = join(&run[1..], &paths(&["M10,10 L20,10"]), (10.0, 10.0), false);
        assert_eq!((edges.ends, edges.gap_mm), (1, 0.0));
    }

    #[test]
    fn lines_whose_middles_lie_on_another_repeat_no_oftener_than_they_stand() {
        let grid = paths(&["M-60,0 L60,0", "M-40,-10 L-40,10", "M0,-10 L0,10", "M40,-10 L40,10"]);
        assert_eq!(count(&grid, 120.0), 3);
    }
}
