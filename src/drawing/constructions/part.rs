//! Parts: path data of a motif file, checked, and carried from the motif's own coordinates to the block.
//!
//! Curves are carried over by their ends and end tangents, so that what is smooth in the motif stays smooth in the block
//! however the block is askew. Limits: between its ends a carried curve follows the map only as far as a cubic with those
//! tangents does, so long curves are split before they are carried over a map that bends.

use kurbo::{Arc, BezPath, PathEl, Point, Vec2};
use serde::Deserialize;

use crate::base::angle::left_of;
use crate::drawing::ranges::PATH_REACH;

/// One part of a motif, checked: path data with at least one line in it.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(try_from = "String")]
pub struct Part(BezPath);

impl TryFrom<String> for Part {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let path = BezPath::from_svg(&text).map_err(|e| format!("`{text}` is not path data: {e}"))?;
        if path.segments().next().is_none() || !path.is_finite() {
            return Err(format!("`{text}` draws nothing"));
        }
        let reach = path.control_box();
        let furthest = [reach.x0, reach.x1, reach.y0, reach.y1].map(f64::abs).into_iter().fold(0.0, f64::max);
        if furthest > PATH_REACH {
            return Err(format!("`{text}` reaches {furthest}; it goes from -{PATH_REACH} to {PATH_REACH}"));
        }
        Ok(Self(path))
    }
}

impl Part {
    /// Its path, in the motif's own coordinates.
    #[must_use]
    pub fn path(&self) -> &BezPath {
        &self.0
    }
}

/// A path carried by `map`: ends by the map, end tangents by its slope there.
pub fn carry(path: &BezPath, map: impl Fn(Point) -> Point) -> BezPath {
    let mut carried = BezPath::new();
    let mut start = Point::ZERO;
    let mut last = Point::ZERO;
    for element in path.elements() {
        match *element {
            PathEl::MoveTo(p) => {
                carried.move_to(map(p));
                start = p;
            }
            PathEl::LineTo(p) => carried.line_to(map(p)),
            PathEl::QuadTo(c, p) => {
                let (c1, c2) = (last.lerp(c, 2.0 / 3.0), p.lerp(c, 2.0 / 3.0));
                carried.curve_to(handle(last, c1, &map), handle(p, c2, &map), map(p));
            }
            PathEl::CurveTo(c1, c2, p) => {
                carried.curve_to(handle(last, c1, &map), handle(p, c2, &map), map(p));
            }
            PathEl::ClosePath => carried.close_path(),
        }
        last = element.end_point().unwrap_or(start);
    }
    carried
}

fn handle(end: Point, control: Point, map: impl Fn(Point) -> Point) -> Point {
    const SHORT: f64 = 1e-4;
    let way = control - end;
    map(end) + (map(end + way * SHORT) - map(end)) / SHORT
}

/// The circular arc from `a` to `b` that rises `rise` mm to the left of the straight line between them.
#[must_use]
pub fn bow(a: Point, b: Point, rise: f64) -> BezPath {
    /// Far below what can be sewn, so that an arc drawn from either end is the same line.
    const ARC_MM: f64 = 1e-4;
    let chord = b - a;
    let half = chord.hypot() / 2.0;
    let mut path = BezPath::new();
    path.move_to(a);
    if rise.abs() < ARC_MM || half < ARC_MM {
        path.line_to(b);
        return path;
    }
    let radius = (half * half + rise * rise) / (2.0 * rise);
    let centre = a.midpoint(b) + left_of(chord) / (2.0 * half) * (rise - radius);
    let from = a - centre;
    // Leaving the chord to the left means turning right all the way along the arc.
    let sweep = -4.0 * (rise / half).atan();
    let arc = Arc::new(centre, Vec2::new(radius.abs(), radius.abs()), from.atan2(), sweep, 0.0);
    let mut last = None;
    arc.to_cubic_beziers(ARC_MM, |c1, c2, p| {
        last = Some(p);
        path.curve_to(c1, c2, p);
    });
    if last.is_some()
        && let Some(PathEl::CurveTo(c1, c2, _)) = path.pop()
    {
        path.curve_to(c1, c2, b);
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::base::curve::flatten;

    #[test]
    fn path_data_that_draws_nothing_is_refused() {
        assert!(Part::try_from("M0,0".to_owned()).is_err());
        assert!(Part::try_from("hello".to_owned()).is_err());
    }

    #[test]
    fn a_bow_has_its_ends_rise_and_radius() {
        // A chord of 50 mm with a rise of 10.355 mm is a quarter of a circle of 35.355 mm (derived: r = g/√2, rise = r − g/2).
        let (a, b) = (Point::new(10.0, 5.0), Point::new(10.0, 55.0));
        let rise = 25.0 * (2f64.sqrt() - 1.0);
        let chain = &flatten(&bow(a, b, rise), 1e-4)[0].points;
        assert_eq!((chain[0], chain[chain.len() - 1]), (a, b));
        let left = chain.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        assert!((left - (10.0 - 10.355)).abs() < 1e-3, "{left}");
        let centre = Point::new(10.0 + 25.0, 30.0);
        let off = chain.iter().map(|p| (p.distance(centre) - 35.355).abs()).fold(0.0, f64::max);
        assert!(off < 2e-3, "{off}");
    }

    #[test]
    fn a_bow_to_the_right_has_a_negative_rise() {
        let chain = flatten(&bow(Point::ZERO, Point::new(8.0, 0.0), -2.0), 1e-4).remove(0).points;
        assert!((chain.iter().map(|p| p.y).fold(0.0, f64::min) + 2.0).abs() < 1e-3);
        assert!(chain.iter().all(|p| p.y < 1e-9));
    }
}
