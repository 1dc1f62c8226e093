//! Clipping: curves → the parts of them inside a region, still as curves.
//!
//! Crossings are found by `lyon_geom`, insides by the region's own test. Curves that run along the outline are kept.

use kurbo::{BezPath, ParamCurve, ParamCurveArclen, PathSeg, Rect, Shape};

use crate::base::curve::subpaths;
use crate::base::tolerance::{ARC_LENGTH_MM, WELD_MM};
use crate::block::region::Region;

/// The parts of `lines` inside any of `regions`, in order; their ends lie on the outline they were cut at.
#[must_use]
pub fn clip(lines: &[BezPath], regions: &[Region]) -> Vec<BezPath> {
    let mut kept = Vec::new();
    for region in regions {
        let edges: Vec<(PathSeg, Rect)> = region
            .rings()
            .flat_map(|r| r.path().segments())
            .map(|s| (s, s.bounding_box().inflate(WELD_MM, WELD_MM)))
            .collect();
        for segments in lines.iter().flat_map(subpaths) {
            clip_subpath(&segments, &edges, region, &mut kept);
        }
    }
    kept
}

fn clip_subpath(segments: &[PathSeg], edges: &[(PathSeg, Rect)], region: &Region, kept: &mut Vec<BezPath>) {
    let mut runs: Vec<Vec<PathSeg>> = Vec::new();
    let mut open = false;
    for segment in segments {
        for part in parts(segment, edges) {
            let inside = region.depth(part.eval(0.5)) > -WELD_MM / 5.0;
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
    kept.extend(runs.iter().map(|run| BezPath::from_path_segments(run.iter().copied())));
}

/// A segment cut wherever it meets an edge; bits too short to matter are left on their neighbour.
fn parts(segment: &PathSeg, edges: &[(PathSeg, Rect)]) -> Vec<PathSeg> {
    let reach = segment.bounding_box().inflate(WELD_MM, WELD_MM);
    let mut cuts: Vec<f64> = edges
        .iter()
        .filter(|(_, r)| r.x0 <= reach.x1 && r.x1 >= reach.x0 && r.y0 <= reach.y1 && r.y1 >= reach.y0)
        .flat_map(|(edge, _)| crossings(segment, edge))
        .collect();
    cuts.extend([0.0, 1.0]);
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

fn crossings(segment: &PathSeg, edge: &PathSeg) -> Vec<f64> {
    match (segment, edge) {
        (PathSeg::Line(a), PathSeg::Line(b)) => {
            as_line(a).intersection_t(&as_line(b)).map(|(t, _)| t).into_iter().collect()
        }
        (PathSeg::Line(a), _) => {
            let found = as_cubic(edge).line_segment_intersections_t(&as_line(a));
            found.iter().map(|(_, t)| *t).collect()
        }
        (_, PathSeg::Line(b)) => {
            let found = as_cubic(segment).line_segment_intersections_t(&as_line(b));
            found.iter().map(|(t, _)| *t).collect()
        }
        _ => as_cubic(segment).cubic_intersections_t(&as_cubic(edge)).iter().map(|(t, _)| *t).collect(),
    }
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
