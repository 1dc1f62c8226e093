//! Clipping: curves → the parts of them inside a region, still as curves.
//!
//! Crossings of two curves or two lines are found by `lyon_geom`, those of a curve with a line between its extremes, insides
//! by the region's own test. Curves that run along the outline are kept.

use kurbo::common::solve_quadratic;
use kurbo::{BezPath, ParamCurve, ParamCurveArclen, ParamCurveNearest, PathSeg, Point, Rect, Shape};

use crate::base::curve::{path_length, subpaths};
use crate::base::tolerance::{ARC_LENGTH_MM, WELD_MM};
use crate::block::region::Region;

/// What is left of a cut line is left out if it is no longer than this, mm: it would be a knot of stitches at the edge.
const STUB_MM: f64 = 1.5;

/// A line this close to an edge, or to the joint of two, meets it, mm: cutting there once more loses nothing.
const JOINT_MM: f64 = WELD_MM;

/// The parts of `lines` inside any of `regions`, in order; their ends lie on the outline they were cut at.
#[must_use]
pub fn clip(lines: &[BezPath], regions: &[Region]) -> Vec<BezPath> {
    let mut kept = Vec::new();
    for region in regions {
        let edges = region.rings().flat_map(|r| r.path().segments());
        let inside = |p| region.depth(p) > -WELD_MM / 5.0;
        kept.extend(cut(lines, edges, &inside, STUB_MM));
    }
    kept
}

/// The parts of `lines` between `edges` that `keep` wants, in order; `keep` is asked for a point in the middle of each part.
///
/// What is left of a cut line is left out if it is no longer than `stub` mm.
#[must_use]
pub fn cut(
    lines: &[BezPath],
    edges: impl Iterator<Item = PathSeg>,
    keep: &dyn Fn(Point) -> bool,
    stub: f64,
) -> Vec<BezPath> {
    let edges: Vec<(PathSeg, Rect)> =
        edges.map(|s| (s, s.bounding_box().inflate(WELD_MM, WELD_MM))).collect();
    let mut kept = Vec::new();
    for segments in lines.iter().flat_map(subpaths) {
        cut_subpath(&segments, &edges, keep, stub, &mut kept);
    }
    kept
}

/// The largest set of lines that hang together, in order: lines that cross or touch do.
#[must_use]
pub fn largest(lines: Vec<BezPath>) -> Vec<BezPath> {
    let group = groups(&lines);
    let length = |g: usize| -> f64 {
        let members = lines.iter().zip(&group).filter(|(_, of)| **of == g);
        members.map(|(line, _)| path_length(line)).sum()
    };
    let best = group.iter().copied().max_by(|a, b| length(*a).total_cmp(&length(*b)).then(b.cmp(a)));
    lines.into_iter().zip(group).filter(|(_, g)| Some(*g) == best).map(|(line, _)| line).collect()
}

/// For every line the number of its group: lines that cross or touch are in one.
#[must_use]
pub fn groups(lines: &[BezPath]) -> Vec<usize> {
    let segments: Vec<(usize, PathSeg, Rect)> = lines
        .iter()
        .enumerate()
        .flat_map(|(i, line)| line.segments().map(move |s| (i, s)))
        .map(|(i, s)| (i, s, s.bounding_box().inflate(WELD_MM, WELD_MM)))
        .collect();
    let mut group: Vec<usize> = (0..lines.len()).collect();
    for (n, m) in close(&segments) {
        let ((i, a, _), (j, b, _)) = (&segments[n], &segments[m]);
        if group[*i] != group[*j] && meet(a, b) {
            let (from, to) = (group[*i], group[*j]);
            group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
        }
    }
    group
}

/// The pairs of segments of different lines whose boxes meet, in order; found by a sweep from left to right.
fn close(segments: &[(usize, PathSeg, Rect)]) -> Vec<(usize, usize)> {
    let mut order: Vec<usize> = (0..segments.len()).collect();
    order.sort_by(|a, b| segments[*a].2.x0.total_cmp(&segments[*b].2.x0).then(a.cmp(b)));
    let mut pairs = Vec::new();
    for (k, n) in order.iter().enumerate() {
        let (line, _, near) = &segments[*n];
        let later = order[k + 1..].iter().take_while(|m| segments[**m].2.x0 <= near.x1);
        let meets = |m: &&usize| {
            let (other, _, at) = &segments[**m];
            other != line && near.y0 <= at.y1 && at.y0 <= near.y1
        };
        pairs.extend(later.filter(meets).map(|m| (*n.min(m), *n.max(m))));
    }
    pairs.sort_unstable();
    pairs
}

/// True if a point lies on a line.
#[must_use]
pub fn lies_on(p: Point, line: &BezPath) -> bool {
    let near = |s: &PathSeg| s.nearest(p, WELD_MM / 10.0).distance_sq < WELD_MM * WELD_MM;
    line.bounding_box().inflate(WELD_MM, WELD_MM).contains(p) && line.segments().any(|s| near(&s))
}

fn meet(a: &PathSeg, b: &PathSeg) -> bool {
    let ends = |s: &PathSeg| [s.start(), s.end()];
    let touches = ends(a).iter().any(|p| ends(b).iter().any(|q| p.distance(*q) < WELD_MM));
    let on = |p: &Point, s: &PathSeg| s.nearest(*p, WELD_MM / 10.0).distance_sq < WELD_MM * WELD_MM;
    touches
        || ends(a).iter().any(|p| on(p, b))
        || ends(b).iter().any(|p| on(p, a))
        || !crossings(a, b).is_empty()
}

fn cut_subpath(
    segments: &[PathSeg],
    edges: &[(PathSeg, Rect)],
    keep: &dyn Fn(Point) -> bool,
    stub: f64,
    kept: &mut Vec<BezPath>,
) {
    let mut runs: Vec<Vec<PathSeg>> = Vec::new();
    let mut open = false;
    for segment in segments {
        for part in parts(segment, edges) {
            let inside = keep(part.eval(0.5));
            match runs.last_mut() {
                Some(run) if inside && open => run.push(part),
                _ if inside => runs.push(vec![part]),
                _ => {}
            }
            open = inside;
        }
    }
    let closes = |a: &[PathSeg], b: &[PathSeg]| match (a.last(), b.first()) {
        (Some(end), Some(start)) => end.end().distance(start.start()) < 1e-9,
        _ => false,
    };
    // A closed line whose start lies inside comes back as two runs that are one.
    if runs.len() > 1
        && let Some(last) = runs.last().cloned()
        && closes(&last, &runs[0])
    {
        runs.pop();
        runs[0].splice(0..0, last);
    }
    let length = |run: &[PathSeg]| -> f64 { run.iter().map(|s| s.arclen(ARC_LENGTH_MM)).sum() };
    let whole = length(segments);
    // A stub is left out, but not a line that is all there.
    runs.retain(|run| length(run) > stub.min(whole - stub));
    kept.extend(runs.iter().map(|run| BezPath::from_path_segments(run.iter().copied())));
}

/// A segment cut wherever it meets an edge; bits too short to matter are left on their neighbour.
fn parts(segment: &PathSeg, edges: &[(PathSeg, Rect)]) -> Vec<PathSeg> {
    let reach = segment.bounding_box().inflate(WELD_MM, WELD_MM);
    let mut cuts = vec![0.0, 1.0];
    for (edge, r) in edges {
        if r.x0 <= reach.x1 && r.x1 >= reach.x0 && r.y0 <= reach.y1 && r.y1 >= reach.y0 {
            cuts.extend(crossings(segment, edge));
            // A line through the joint of two edges may cross neither of them, by the last digits.
            let joint = segment.nearest(edge.start(), WELD_MM / 10.0);
            cuts.extend((joint.distance_sq < JOINT_MM * JOINT_MM).then_some(joint.t));
        }
    }
    cuts.sort_by(f64::total_cmp);
    let mut parts = Vec::new();
    let mut from = 0.0;
    for to in cuts {
        let part = segment.subsegment(from..to);
        if part.arclen(ARC_LENGTH_MM) > WELD_MM {
            parts.push(part);
            from = to;
        }
    }
    if from < 1.0 {
        match parts.pop() {
            Some(last) => parts.push(merge(segment, &last)),
            None => parts.push(*segment),
        }
    }
    parts
}

/// The last part, run on to the end of its segment.
fn merge(segment: &PathSeg, last: &PathSeg) -> PathSeg {
    match *last {
        PathSeg::Line(l) => PathSeg::Line(kurbo::Line::new(l.p0, segment.end())),
        PathSeg::Quad(mut q) => {
            q.p2 = segment.end();
            PathSeg::Quad(q)
        }
        PathSeg::Cubic(mut c) => {
            c.p3 = segment.end();
            PathSeg::Cubic(c)
        }
    }
}

/// Where on `segment` it crosses `edge`, 0 to 1.
pub(super) fn crossings(segment: &PathSeg, edge: &PathSeg) -> Vec<f64> {
    match (segment, edge) {
        (PathSeg::Line(a), PathSeg::Line(b)) => {
            as_line(a).intersection_t(&as_line(b)).map(|(t, _)| t).into_iter().collect()
        }
        (PathSeg::Line(a), _) => {
            let way = a.p1 - a.p0;
            let along = |p: Point| (p - a.p0).dot(way) / way.hypot2();
            curve_on_line(edge, a).into_iter().map(|t| along(edge.eval(t))).collect()
        }
        (_, PathSeg::Line(b)) => curve_on_line(segment, b),
        _ => as_cubic(segment).cubic_intersections_t(&as_cubic(edge)).iter().map(|(t, _)| *t).collect(),
    }
}

/// Where a curve crosses or touches a line, as parameters of the curve.
///
/// Between the extremes of its distance from the line a curve comes to it once at most, so that a hair's breadth past it and
/// back is found as well, which a closed formula for cubics loses in its last digits.
fn curve_on_line(curve: &PathSeg, line: &kurbo::Line) -> Vec<f64> {
    let (c, way) = (curve.to_cubic(), line.p1 - line.p0);
    let length = way.hypot();
    if length < JOINT_MM {
        return Vec::new();
    }
    let off = |p: Point| (p - line.p0).cross(way) / length;
    let at = |t: f64| off(curve.eval(t));
    let d = [c.p0, c.p1, c.p2, c.p3].map(off);
    // The derivative of the distance is a quadratic in Bernstein form.
    let [a, b, e] = [d[1] - d[0], d[2] - d[1], d[3] - d[2]];
    let mut knots: Vec<f64> = solve_quadratic(a, 2.0 * (b - a), a - 2.0 * b + e).into_iter().collect();
    knots.retain(|t| (0.0..=1.0).contains(t));
    knots.extend([0.0, 1.0]);
    knots.sort_by(f64::total_cmp);
    let on = |t: &f64| {
        let along = (curve.eval(*t) - line.p0).dot(way) / length;
        (-JOINT_MM..=length + JOINT_MM).contains(&along)
    };
    let touching = knots.iter().copied().filter(|t| at(*t).abs() < JOINT_MM);
    let crossing = knots.windows(2).filter_map(|w| root(&at, w[0], w[1]));
    touching.chain(crossing).filter(on).collect()
}

/// Where `f` changes its sign between `from` and `to`, where it only rises or only falls; by halving.
fn root(f: &impl Fn(f64) -> f64, mut from: f64, mut to: f64) -> Option<f64> {
    const HALVINGS: usize = 52;
    let below = f(from) < 0.0;
    if below == (f(to) < 0.0) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(from, to);
        if (f(middle) < 0.0) == below { from = middle } else { to = middle }
    }
    Some(f64::midpoint(from, to))
}

fn as_line(line: &kurbo::Line) -> lyon_geom::LineSegment<f64> {
    lyon_geom::LineSegment {
        from: lyon_geom::point(line.p0.x, line.p0.y),
        to: lyon_geom::point(line.p1.x, line.p1.y),
    }
}

fn as_cubic(segment: &PathSeg) -> lyon_geom::CubicBezierSegment<f64> {
    let c = segment.to_cubic();
    let [from, ctrl1, ctrl2, to] = [c.p0, c.p1, c.p2, c.p3].map(|p| lyon_geom::point(p.x, p.y));
    lyon_geom::CubicBezierSegment { from, ctrl1, ctrl2, to }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::outline;
    use crate::block::region::Ring;
    use crate::block::shape::Shape as Outline;

    #[test]
    fn a_line_through_the_joints_of_arcs_is_cut_at_them() {
        for inches in 2..=40 {
            let circle = Outline::Circle { diameter: f64::from(inches) * 25.4 };
            let region = &outline(&circle, 6.35).unwrap().inside[0];
            let radius = f64::from(inches) * 12.7 - 6.35;
            // Arcs meet at every eighth of a turn.
            let line = BezPath::from_svg(&format!("M{0},{0} L{1},{1}", -2.0 * radius, 2.0 * radius)).unwrap();
            let kept = clip(&[line], std::slice::from_ref(region));
            let length: f64 = kept.iter().map(path_length).sum();
            assert!((length - 2.0 * radius).abs() < 0.01, "{inches} in: {length} mm of {}", 2.0 * radius);
        }
    }

    #[test]
    fn lines_that_cross_or_touch_are_one_group_however_they_lie() {
        let mut random = oorandom::Rand64::new(5);
        let mut any = |reach: f64| reach * random.rand_float();
        let lines: Vec<BezPath> = (0..300)
            .map(|_| {
                let from = Point::new(any(200.0), any(200.0));
                let to = from + kurbo::Vec2::new(any(14.0) - 7.0, any(14.0) - 7.0);
                kurbo::Line::new(from, to).to_path(0.1)
            })
            .collect();
        let found = groups(&lines);
        // The same by looking at every pair, until nothing changes.
        let segments: Vec<PathSeg> = lines.iter().flat_map(BezPath::segments).collect();
        let mut plain: Vec<usize> = (0..lines.len()).collect();
        let mut changed = true;
        while changed {
            changed = false;
            for (i, a) in segments.iter().enumerate() {
                for (j, b) in segments.iter().enumerate() {
                    if plain[j] < plain[i] && meet(a, b) {
                        plain[i] = plain[j];
                        changed = true;
                    }
                }
            }
        }
        let count = |groups: &[usize]| groups.iter().collect::<std::collections::BTreeSet<_>>().len();
        assert!((100..290).contains(&count(&plain)), "{} groups", count(&plain));
        for i in 0..lines.len() {
            for j in 0..lines.len() {
                assert_eq!(found[i] == found[j], plain[i] == plain[j], "lines {i} and {j}");
            }
        }
    }

    #[test]
    fn a_hair_over_the_edge_is_cut_off() {
        let square = [(0.0, 0.0), (100.0, 0.0), (100.0, 50.0), (0.0, 50.0)].map(Point::from);
        let square = Region { outer: Ring::from_points(&square).unwrap(), holes: Vec::new() };
        // Its top is 3/4 of the handles' height: 50 mm and a hair.
        for hair in [0.003, 0.03, 0.3] {
            let top = (50.0 + hair) / 0.75;
            let arc = BezPath::from_svg(&format!("M10,0 C30,{top} 70,{top} 90,0")).unwrap();
            let kept = clip(&[arc], std::slice::from_ref(&square));
            let highest = kept.iter().map(|k| k.bounding_box().y1).fold(0.0, f64::max);
            assert!((highest - 50.0).abs() < 2e-3, "{hair}: {highest}");
        }
    }

    #[test]
    fn the_largest_part_that_hangs_together_is_kept() {
        let lines = ["M0,0 L9,0", "M20,0 C25,0 25,9 30,9", "M4,-3 L4,3", "M4,3 L4,5 L9,5", "M40,0 L44,0"];
        let lines: Vec<BezPath> = lines.iter().map(|l| BezPath::from_svg(l).unwrap()).collect();
        let kept = largest(lines.clone());
        assert_eq!(kept, [lines[0].clone(), lines[2].clone(), lines[3].clone()]);
        assert!(largest(Vec::new()).is_empty());
    }
}
