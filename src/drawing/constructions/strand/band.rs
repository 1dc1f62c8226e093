//! Bands: the middle line of a strand → the parallel lines that it is sewn as.

use kurbo::offset::offset_cubic;
use kurbo::{Affine, BezPath, ParamCurve, ParamCurveCurvature, PathSeg};

use crate::base::angle::{left_of, unit};
use crate::base::curve::subpaths;

/// A parallel line keeps at least this share of the radius of the bend it lies in, so that it stays round.
const KEPT_RADIUS: f64 = 0.25;
/// How closely a parallel line keeps its distance, mm.
const PARALLEL_MM: f64 = 1e-3;
/// Pieces of a parallel line whose ends are this close are one line, mm.
const JOINT_MM: f64 = 0.01;

/// The line `offset` mm to the left of a smooth line; `None` where a bend is too tight for it.
pub(super) fn parallel(path: &BezPath, offset: f64) -> Option<BezPath> {
    const SAMPLES: u32 = 32;
    let mut moved = BezPath::new();
    for segment in subpaths(path).iter().flatten() {
        let cubic = segment.to_cubic();
        let room = |t: f64| 1.0 - cubic.curvature(t) * offset;
        if (0..=SAMPLES).any(|i| room(f64::from(i) / f64::from(SAMPLES)) < KEPT_RADIUS) {
            return None;
        }
        let mut piece = BezPath::new();
        match segment {
            _ if offset == 0.0 => piece = BezPath::from_path_segments(std::iter::once(*segment)),
            PathSeg::Line(line) => {
                let aside = left_of(unit(line.p1 - line.p0)) * offset;
                piece = BezPath::from_path_segments(std::iter::once(Affine::translate(aside) * *segment));
            }
            _ => offset_cubic(cubic, offset, PARALLEL_MM, &mut piece),
        }
        join(&mut moved, &piece);
    }
    Some(moved)
}

/// Runs a line on by a piece that begins where it ends, or begins a new one.
fn join(line: &mut BezPath, piece: &BezPath) {
    let end = line.segments().last().map(|s| s.end());
    let start = piece.segments().next().map(|s| s.start());
    let joins = end.zip(start).is_some_and(|(end, start)| end.distance(start) < JOINT_MM);
    line.extend(piece.elements().iter().skip(usize::from(joins)).copied());
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;
    use crate::drawing::constructions::run::run_together;
    use kurbo::Point;

    #[test]
    fn a_parallel_line_keeps_its_distance_and_its_joints() {
        let wave = BezPath::from_svg("M0,20 C18,20 32,0 50,0 C68,0 82,20 100,20").unwrap();
        let beside = parallel(&wave, 3.0).unwrap();
        let (line, middle) = (flatten(&beside, 1e-3), flatten(&wave, 1e-3));
        assert_eq!(line.len(), 1);
        let off = |p: &Point| (crate::base::chain::distance_to_chain(*p, &middle[0].points) - 3.0).abs();
        let worst = line[0].points.iter().map(off).fold(0.0, f64::max);
        assert!(worst < 5e-3, "{worst}");
        assert_eq!((line[0].points[0].x, line[0].points[0].y), (0.0, 23.0));
    }

    #[test]
    fn a_bend_too_tight_for_its_band_is_told() {
        let tight = BezPath::from_svg("M0,20 C1,20 2,0 3,0 C4,0 5,20 6,20").unwrap();
        assert_eq!(parallel(&tight, 3.0), None);
    }

    #[test]
    fn lines_that_run_on_are_one_line_and_corners_stay_apart() {
        let lines = ["M5,0 L9,0", "M0,0 L5,0", "M9,0 L9,4"].map(|d| BezPath::from_svg(d).unwrap());
        let together = run_together(&lines);
        assert_eq!(together, ["M0,0 L5,0 L9,0", "M9,0 L9,4"].map(|d| BezPath::from_svg(d).unwrap()));
    }
}
