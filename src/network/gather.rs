//! Drawing and rings to travel → lines of spots, with ends, corners and the tangents at ends.

use std::collections::BTreeSet;

use kurbo::{BezPath, PathEl, PathSeg, Point};

use crate::base::curve::{self, Flat};
use crate::base::tolerance::{FLATTEN_MM, JOIN_MM, WELD_MM};
use crate::base::units::LONGEST_MM;
use crate::drawing::Drawing;
use crate::network::lines::Lines;
use crate::network::spots::{Spot, Spots, grains};
use crate::network::{EdgeKind, NetworkError};

/// A flattened line, before it has spots.
pub(super) struct Run {
    points: Vec<Point>,
    // Invariant: rising indices into `points` of ends and corners; a smooth closed line has none at its joint.
    features: Vec<usize>,
    kind: EdgeKind,
}

impl Run {
    /// A ring to travel along, its first point not repeated, with the places of its corners.
    pub(super) fn travel(ring: &[Point], corners: &[Point]) -> Self {
        let mut next = corners.iter().peekable();
        let mut features: Vec<usize> =
            (0..ring.len()).filter(|i| next.next_if(|c| **c == ring[*i]).is_some()).collect();
        if features.first() == Some(&0) {
            features.push(ring.len());
        }
        let points = ring.iter().chain(ring.first()).copied().collect();
        Self { points, features, kind: EdgeKind::Travel }
    }

    fn drawn(flat: Flat) -> Self {
        let last = flat.points.len() - 1;
        let mut features = flat.corners;
        if flat.corner_at_start {
            features.insert(0, 0);
            features.push(last);
        }
        features.dedup();
        Self { points: flat.points, features, kind: EdgeKind::Drawn }
    }
}

/// Flattens everything and gives every point its spot: ends and corners first, so that they stay where they are drawn.
pub(super) fn gather(drawing: &Drawing, travel: Vec<Run>) -> Result<(Lines, Spots), NetworkError> {
    let (mut lines, mut spots) = (Lines::new(), Spots::default());
    let mut runs = Vec::new();
    let mut tangents = Vec::new();
    for (line, path) in drawing.lines.iter().enumerate() {
        check(line, path)?;
        for (segments, flat) in curve::subpaths(path).iter().zip(curve::flatten(path, FLATTEN_MM)) {
            tangents.extend(end_tangents(segments));
            runs.push(Run::drawn(flat));
        }
    }
    runs.extend(travel);
    let mut ids: Vec<Vec<u32>> = runs.iter().map(|r| vec![0; r.points.len()]).collect();
    for (run, ids) in runs.iter().zip(&mut ids) {
        for i in &run.features {
            ids[*i] = spots.place(Spot::nearest(run.points[*i]), grains(JOIN_MM));
            spots.feature[ids[*i] as usize] = true;
            spots.corner[ids[*i] as usize] |= *i > 0 && *i + 1 < run.points.len() || is_closed(&run.points);
        }
    }
    for (p, tangent) in tangents {
        let spot = spots.place(Spot::nearest(p), grains(JOIN_MM));
        spots.leaving.push((spot, tangent));
    }
    spots.leaving.sort_by_key(|l| l.0);
    let mut seen = BTreeSet::new();
    for (run, mut ids) in runs.into_iter().zip(ids) {
        let mut features = run.features.iter().peekable();
        for (i, p) in run.points.iter().enumerate() {
            if features.next_if(|f| **f == i).is_none() {
                ids[i] = spots.place(Spot::nearest(*p), grains(WELD_MM));
            }
        }
        // A line drawn again, or backward, says nothing new.
        if ids.first() > ids.last() {
            ids.reverse();
        }
        if !seen.contains(&ids) {
            lines.add(&ids, run.kind);
            seen.insert(ids);
        }
    }
    Ok((lines, spots))
}

fn check(line: usize, path: &BezPath) -> Result<(), NetworkError> {
    let points = |element: &PathEl| match *element {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => vec![p],
        PathEl::QuadTo(p, q) => vec![p, q],
        PathEl::CurveTo(p, q, r) => vec![p, q, r],
        PathEl::ClosePath => Vec::new(),
    };
    for p in path.elements().iter().flat_map(points) {
        for value in [p.x, p.y] {
            if !value.is_finite() {
                return Err(NetworkError::NotANumber { line: line + 1 });
            }
            if !(-LONGEST_MM..=LONGEST_MM).contains(&value) {
                return Err(NetworkError::TooFar { line: line + 1, at_mm: value });
            }
        }
    }
    Ok(())
}

fn is_closed(points: &[Point]) -> bool {
    points.len() > 2 && points.first() == points.last()
}

/// The ends of an open subpath, each with the tangent that leads into it.
fn end_tangents(segments: &[PathSeg]) -> Vec<(Point, kurbo::Vec2)> {
    let flat_ends = segments.first().zip(segments.last());
    let Some((first, last)) = flat_ends else { return Vec::new() };
    let (start, end) = (kurbo::ParamCurve::start(first), kurbo::ParamCurve::end(last));
    if start.distance(end) < 1e-6 {
        return Vec::new();
    }
    vec![(start, curve::start_tangent(first)), (end, -curve::end_tangent(last))]
}
