//! Leaves beside a round flower: an oblong or pointed outline → where leaves grow, and their lines.
//!
//! A flower stretched into such an outline would have petals of all lengths. It stays round instead: from the tip of a petal
//! a leaf grows into every corner far off the circle, and at each end of an oblong three, to both corners and between them.

use kurbo::{BezPath, ParamCurve, Point, Vec2};
use std::f64::consts::TAU;

use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain::{nearest_on_segment, sides};
use crate::base::curve::path_through;
use crate::base::tolerance::CLEAR_MM;
use crate::block::region::{Region, Ring};
use crate::drawing::constructions::part::{Part, carry};
use crate::drawing::settings::Settings;

/// A side is the end of an oblong from this many times as far off the middle as the nearest one.
const END: f64 = 1.25;
/// A corner gets a leaf from this many times as far off as the nearest side; a right angle is at 1.41.
const POINTED: f64 = 1.3;
/// Outlines with a corner farther off than this get leaves; squares that lean by a tape's error do not.
const SHARP: f64 = 1.75;
/// In how many corners the circle is drawn.
const ROUND: u32 = 120;
/// Half widths of a leaf, as shares of its length.
const WIDTHS: [f64; 8] = [0.34, 0.3, 0.26, 0.23, 0.2, 0.17, 0.14, 0.11];
/// Where a leaf is widest, and what leaves side by side keep free of the angle between them.
const WIDEST: f64 = 0.5;
const FREE: f64 = 0.9;
/// A petal that ends nearer than this to the middle, in radii of the circle, has a cleft.
const CLEFT: f64 = 0.88;
/// The shortest leaf, mm.
const LEAST_MM: f64 = 8.0;
/// How often the length of a leaf is halved, and in how many places each curve of it is looked at.
const HALVINGS: u32 = 16;
const PLACES: u32 = 32;

/// A leaf to be.
pub struct Leaf {
    /// The direction of the petal from whose tip it grows.
    pub way: Vec2,
    /// Where it grows to.
    to: Point,
    /// The angle to the leaf beside it, radians.
    free: f64,
}

/// The leaves beside a round flower about `middle`; none where petals fill the outline themselves.
#[must_use]
pub fn leaves(region: &Region, middle: Point) -> Vec<Leaf> {
    let corners = region.outer.corners();
    if corners.len() < 3 || corners.len() > 4 {
        return Vec::new();
    }
    let radius = region.depth(middle);
    let far = |p: Point| p.distance(middle) / radius;
    let foot = |(a, b): (Point, Point)| nearest_on_segment(middle, a, b);
    let ends: Vec<(Point, Point)> = match corners.len() {
        4 => sides(&corners).filter(|side| far(foot(*side)) > END).collect(),
        _ => Vec::new(),
    };
    if ends.is_empty() && corners.iter().all(|c| far(*c) < SHARP) {
        return Vec::new();
    }
    let mut all = Vec::new();
    for side in &ends {
        let way = unit(foot(*side) - middle);
        let from = middle + way * radius;
        let free = |to: Point| turn_deg(foot(*side) - from, to - from).abs().to_radians();
        let (a, b) = (free(side.0), free(side.1));
        all.push(Leaf { way, to: side.0, free: a });
        all.push(Leaf { way, to: foot(*side), free: a.min(b) });
        all.push(Leaf { way, to: side.1, free: b });
    }
    let lone = corners.iter().filter(|c| far(**c) > POINTED && !ends.iter().any(|(a, b)| a == *c || b == *c));
    all.extend(lone.map(|c| Leaf { way: unit(*c - middle), to: *c, free: TAU / 4.0 }));
    all
}

/// The ways of the petals of a round flower, counter-clockwise: one for each leaf, the others evenly between them.
#[must_use]
pub fn ways(leaves: &[Leaf], settings: &Settings) -> Vec<(Vec2, bool)> {
    let each = TAU / f64::from(settings.whole("petals").max(3));
    let mut fixed: Vec<f64> = leaves.iter().map(|leaf| leaf.way.atan2().rem_euclid(TAU)).collect();
    fixed.sort_by(f64::total_cmp);
    fixed.dedup_by(|a, b| (*a - *b).abs() < 1e-6);
    let mut ways = Vec::new();
    for (i, from) in fixed.iter().enumerate() {
        let to = fixed.get(i + 1).copied().unwrap_or(fixed[0] + TAU);
        let count = ((to - from) / each).round().max(1.0);
        let mut k = 0.0;
        while k < count {
            ways.push((Vec2::from_angle(from + (to - from) * k / count), false));
            k += 1.0;
        }
    }
    ways
}

/// The circle about the middle, as a region.
#[must_use]
pub fn circle(region: &Region, middle: Point) -> Region {
    let radius = region.depth(middle);
    let at = |i: u32| middle + Vec2::from_angle(TAU * f64::from(i) / f64::from(ROUND)) * radius;
    let points: Vec<Point> = (0..ROUND).map(at).collect();
    Ring::from_points(&points).map_or_else(|| region.clone(), |outer| Region { outer, holes: Vec::new() })
}

/// Where leaves grow in direction `way`, and the stem from the petal there: its tip, but for a petal with a cleft, out of which a
/// stem grows to the circle.
#[must_use]
pub fn foot(lines: &[BezPath], (middle, radius): (Point, f64), way: Vec2) -> (Point, Option<BezPath>) {
    let tip = tip(lines, middle, way);
    if tip.distance(middle) > CLEFT * radius {
        return (tip, None);
    }
    let foot = middle + way * radius;
    (foot, Some(path_through(&[tip, foot], false)))
}

/// The end of a curve that lies farthest from the middle in direction `way`: the tip of the petal there.
fn tip(lines: &[BezPath], middle: Point, way: Vec2) -> Point {
    let ends = lines.iter().flat_map(BezPath::segments).map(|s| s.end());
    let on_way = ends.filter(|p| (*p - middle).cross(way).abs() < 1e-6);
    let far = |p: &Point| (*p - middle).dot(way);
    on_way.max_by(|a, b| far(a).total_cmp(&far(b))).unwrap_or(middle)
}

impl Leaf {
    /// Its lines from its foot: of all widths the one with the most width × length³, as long as the outline allows.
    #[must_use]
    pub fn lines(&self, parts: &[Part], foot: Point, region: &Region) -> Vec<BezPath> {
        // Three with another one in each would be a knot at the foot that they share.
        let parts = if self.free < TAU / 4.0 { &parts[..parts.len().min(1)] } else { parts };
        let way = unit(self.to - foot);
        let drawn = |length: f64, width: f64| -> Vec<BezPath> {
            let at = |p: Point| foot + (way * p.x + left_of(way) * (p.y * width)) * length;
            parts.iter().map(|part| carry(part.path(), at)).collect()
        };
        let fits = |lines: &[BezPath]| {
            let places = |k: u32| f64::from(k) / f64::from(PLACES);
            lines.iter().flat_map(BezPath::segments).all(|s| {
                (1..=PLACES).all(|k| {
                    let p = s.eval(places(k));
                    p.distance(foot) < 1.0 || region.depth(p) > CLEAR_MM
                })
            })
        };
        let longest = |width: f64| {
            let (mut short, mut long) = (0.0, self.to.distance(foot));
            for _ in 0..HALVINGS {
                let middle = f64::midpoint(short, long);
                if fits(&drawn(middle, width)) { short = middle } else { long = middle }
            }
            short
        };
        let most = WIDEST * FREE * (self.free / 2.0).tan();
        let last = WIDTHS[WIDTHS.len() - 1];
        let sizes = WIDTHS.into_iter().filter(|w| *w <= most.max(last)).map(|w| (longest(w), w));
        let worth = |(length, width): &(f64, f64)| width * length.powi(3);
        match sizes.max_by(|a, b| worth(a).total_cmp(&worth(b))) {
            Some((length, width)) if length > LEAST_MM => drawn(length, width),
            _ => Vec::new(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::constructions::petals::tests::region;

    #[test]
    fn an_oblong_has_three_leaves_at_each_end_and_a_triangle_one_to_each_corner() {
        let oblong = region(&[(-30.0, -45.0), (30.0, -45.0), (30.0, 45.0), (-30.0, 45.0)]);
        let all = leaves(&oblong, Point::ZERO);
        assert_eq!(all.len(), 6);
        assert!(all.iter().all(|leaf| leaf.way.y.abs() > 0.999), "a leaf grows from a petal to a long side");
        let triangle = region(&[(0.0, 0.0), (40.0, 0.0), (0.0, 30.0)]);
        assert_eq!(leaves(&triangle, Point::new(10.0, 10.0)).len(), 3);
        // As wide as high, or nearly: petals fill it.
        let nearly = region(&[(0.0, 0.0), (60.0, 2.0), (56.0, 60.0), (0.0, 55.0)]);
        assert!(leaves(&nearly, Point::new(29.0, 29.0)).is_empty());
    }

    #[test]
    fn a_leaf_grows_from_its_foot_and_stays_inside() {
        let triangle = region(&[(0.0, 0.0), (191.2, 0.0), (0.0, 191.2)]);
        let middle = Point::new(56.0, 56.0);
        let part = Part::try_from("M0,0 C.2,-.9 .6,-1.4 1,0 C.6,1.4 .2,.9 0,0".to_owned()).unwrap();
        for leaf in leaves(&triangle, middle) {
            let foot = middle + leaf.way * 55.9;
            let lines = leaf.lines(std::slice::from_ref(&part), foot, &triangle);
            let points: Vec<Point> =
                lines[0].segments().flat_map(|s| [s.start(), s.eval(0.5), s.end()]).collect();
            assert!(points[0].distance(foot) < 1e-9);
            assert!(points.iter().all(|p| triangle.depth(*p) > 0.0), "{points:?}");
            // The corner is at most as far off again as the leaf is long.
            let long = points.iter().map(|p| p.distance(foot)).fold(0.0, f64::max);
            assert!(long > 0.6 * leaf.to.distance(foot), "{long} of {}", leaf.to.distance(foot));
        }
    }
}
