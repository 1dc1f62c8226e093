//! Petals: one shape, repeated round the middle of a block.
//!
//! On outlines that are as wide as high petals point to the corners, and if more are asked for to the sides between them, each
//! as long as the inner outline allows; where there are no corners they are spread evenly. On oblong and pointed outlines the
//! flower stays round, in the circle about the middle, and leaves beside it fill what that leaves (`beside`).
//!
//! A petal is drawn in a wedge: x from 0 at the ring in the middle to 1 at its tip, y from −1 to 1 between the borders that it
//! shares with its neighbours, left of its direction positive. Petals that keep to −1 ≤ y ≤ 1 never cross each other, and
//! petals that begin at 0,±1 share their points on the ring.
//!
//! Limits: made for outlines without inward corners.

mod beside;

use kurbo::{Arc, BezPath, ParamCurve, Point, Vec2};
use serde::Deserialize;

use super::part::{Part, carry};
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain;
use crate::base::tolerance::{CLEAR_MM, FLATTEN_MM};
use crate::base::units::{Units, show_length};
use crate::block::Block;
use crate::block::region::Region;
use crate::drawing::settings::Settings;
use crate::drawing::{DrawError, Drawing};

/// The numbers of a motif of petals.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Numbers {
    /// The lines of a petal, as path data in its wedge.
    petal: Vec<Part>,
    /// The lines of the petals that point to the sides; without them there are none.
    #[serde(default)]
    side_petal: Vec<Part>,
    /// The lines of the petals between those that point to the sides, if they are not those of other petals.
    #[serde(default)]
    corner_petal: Vec<Part>,
    /// The lines of a leaf beside a round flower: x from 0 at its foot to 1 at its tip, y from −1 to 1 across its width.
    #[serde(default)]
    leaf: Vec<Part>,
    /// The radius of the ring in the middle as a share of the distance from the middle to the nearest side; 0 is none.
    ring: f64,
    /// How much of its width a petal may lose at its tip where it points into a sharp corner.
    taper: f64,
}

/// The setting that petals read.
pub const NEEDS: &[crate::drawing::settings::Need] = &[("petals", "count")];

/// A petal shorter than this cannot be sewn, mm.
const LEAST_PETAL_MM: f64 = 8.0;
/// The widths that a petal may have, as shares of its wedge.
const WIDTHS: [f64; 6] = [1.0, 0.9, 0.8, 0.7, 0.6, 0.5];
/// The tapers that a petal may have, as shares of the most that its motif allows.
const TAPERS: [f64; 5] = [0.0, 0.25, 0.5, 0.75, 1.0];
/// How much less a petal is worth for all of its taper.
const SLIM: f64 = 0.55;
/// The widest half wedge, degrees: three petals have 60°.
const WIDEST_DEG: f64 = 75.0;
/// Into how many steps each curve of a petal is cut to choose its size, and to find how far it reaches: in 64, a curve of
/// 60 mm with a radius of 15 mm lies at most 0.007 mm off its points.
const COARSE: u32 = 6;
const FINE: u32 = 64;

/// One petal's place.
struct Wedge {
    middle: Point,
    ring: f64,
    /// Its direction, of length 1.
    way: Vec2,
    /// The angles to the borders on its right and on its left, radians.
    half: [f64; 2],
}

/// The size of one petal.
#[derive(Clone, Copy)]
struct Size {
    /// From the middle of the block to the tip, mm.
    length: f64,
    /// How much of its wedge it takes up.
    width: f64,
    /// How much of that it loses towards its tip.
    taper: f64,
}

impl Wedge {
    /// The point at wedge coordinates `p`.
    fn at(&self, p: Point, size: Size) -> Point {
        let Size { length, width, taper } = size;
        let half = self.half[usize::from(p.y > 0.0)];
        let (x, y) = (p.x, p.y);
        let base = Vec2::from_angle(y * half) * self.ring;
        let outer = Vec2::new(1.0, width * (1.0 - taper * x * x) * y * half.tan()) * length;
        let v = base * (1.0 - x) + outer * x;
        self.middle + self.way * v.x + left_of(self.way) * v.y
    }

    fn lines(&self, parts: &[Part], size: Size) -> Vec<BezPath> {
        parts.iter().map(|part| carry(part.path(), |p| self.at(p, size))).collect()
    }

    /// The size that fills its wedge best: of all widths and tapers the one with the most width × length⁴, so that a
    /// petal that points into a sharp corner grows slim, long and pointed.
    fn size(&self, parts: &[Part], most: f64, region: &Region) -> Size {
        let shapes = WIDTHS.iter().flat_map(|width| TAPERS.iter().map(move |taper| (*width, most * taper)));
        let sizes = shapes.map(|(width, taper)| {
            let size = Size { length: 0.0, width, taper };
            Size { length: self.reach(parts, size, COARSE, region), ..size }
        });
        let worth = |s: &Size| s.width * (1.0 - SLIM * s.taper) * s.length.powi(4);
        let start = Size { length: 0.0, width: 1.0, taper: 0.0 };
        let best = sizes.fold(start, |best, s| if worth(&s) > worth(&best) { s } else { best });
        Size { length: self.reach(parts, best, FINE, region), ..best }
    }

    /// The longest petal of a width and taper that stays inside, looked at in `steps` places of each curve.
    ///
    /// Every point of a petal moves straight and evenly as the petal grows, so each side of the outline sets its own
    /// length for it.
    fn reach(&self, parts: &[Part], size: Size, steps: u32, region: &Region) -> f64 {
        let at = |length: f64| self.lines(parts, Size { length, ..size });
        let mut longest = f64::INFINITY;
        for (none, one) in at(0.0).iter().zip(&at(1.0)) {
            for (a, b) in none.segments().zip(one.segments()) {
                for k in 0..=steps {
                    let t = f64::from(k) / f64::from(steps);
                    let (from, to) = (a.eval(t), b.eval(t));
                    for (p, q) in chain::sides(region.outer.points()) {
                        let inward = left_of(unit(q - p));
                        let (room, nearer) = (inward.dot(from - p) - CLEAR_MM, -inward.dot(to - from));
                        if nearer > 0.0 {
                            longest = longest.min(room.max(0.0) / nearer);
                        }
                    }
                }
            }
        }
        longest
    }
}

/// Draws the petals in every region inside the block.
///
/// # Errors
/// [`DrawError::NoRoom`] if a petal would be too short to sew.
pub fn draw(numbers: &Numbers, settings: &Settings, block: &Block) -> Result<Drawing, DrawError> {
    let mut drawing = Drawing::default();
    for region in &block.inside {
        let middle = middle(region);
        let leaves = beside::leaves(region, middle);
        // The outline that petals keep to: the circle where leaves fill the rest.
        let (ways, within) = if leaves.is_empty() {
            (ways(region, middle, numbers, settings), region.clone())
        } else {
            (beside::ways(&leaves, settings), beside::circle(region, middle))
        };
        let ring = numbers.ring * region.depth(middle).max(0.0);
        let lines = petals(numbers, &ways, (middle, ring), &within)?;
        let mut stems: Vec<BezPath> = Vec::new();
        for leaf in &leaves {
            let (foot, stem) = beside::foot(&lines, (middle, region.depth(middle)), leaf.way);
            drawing.lines.extend(leaf.lines(&numbers.leaf, foot, region));
            stems.extend(stem.filter(|stem| !stems.contains(stem)));
        }
        drawing.lines.extend(stems);
        drawing.lines.extend(lines);
    }
    Ok(drawing)
}

/// The petals that point in these ways, and the ring they stand on.
fn petals(
    numbers: &Numbers,
    ways: &[(Vec2, bool)],
    (middle, ring): (Point, f64),
    within: &Region,
) -> Result<Vec<BezPath>, DrawError> {
    let n = ways.len();
    let mixed = ways.iter().any(|(_, to_side)| *to_side) && !numbers.corner_petal.is_empty();
    let mut lines = Vec::new();
    for (i, (way, to_side)) in ways.iter().enumerate() {
        let gap = |a: Vec2, b: Vec2| (turn_deg(a, b).rem_euclid(360.0) / 2.0).min(WIDEST_DEG).to_radians();
        let half = [gap(ways[(i + n - 1) % n].0, *way), gap(*way, ways[(i + 1) % n].0)];
        let wedge = Wedge { middle, ring, way: *way, half };
        let parts = match to_side {
            true => &numbers.side_petal,
            false if mixed => &numbers.corner_petal,
            false => &numbers.petal,
        };
        let size = wedge.size(parts, numbers.taper, within);
        if size.length - ring < LEAST_PETAL_MM {
            let why = format!(
                "a petal would be {} long and needs {}; ask for a larger block or fewer petals",
                show_length((size.length - ring).max(0.0), Units::Inches),
                show_length(LEAST_PETAL_MM, Units::Inches)
            );
            return Err(DrawError::NoRoom { motif: "a flower".into(), why });
        }
        lines.extend(wedge.lines(parts, size));
        if ring > 0.0 {
            lines.push(arc(middle, ring, way.atan2() - half[0], half[0] + half[1]));
        }
    }
    Ok(lines)
}

/// A piece of the ring, between two borders.
fn arc(middle: Point, radius: f64, from: f64, sweep: f64) -> BezPath {
    let mut path = BezPath::new();
    path.move_to(middle + Vec2::from_angle(from) * radius);
    Arc::new(middle, (radius, radius), from, sweep, 0.0)
        .to_cubic_beziers(FLATTEN_MM / 10.0, |a, b, p| path.curve_to(a, b, p));
    path
}

/// The middle: of the inscribed circle of a triangle, of the area of anything else.
fn middle(region: &Region) -> Point {
    if let [a, b, c] = region.outer.corners()[..] {
        let (p, q, r) = (b.distance(c), c.distance(a), a.distance(b));
        return ((a.to_vec2() * p + b.to_vec2() * q + c.to_vec2() * r) / (p + q + r)).to_point();
    }
    let ring = region.outer.points();
    let origin = region.bounds().center();
    let moments = chain::sides(ring).map(|(a, b)| {
        let (a, b) = (a - origin, b - origin);
        (a + b) * a.cross(b) / 6.0
    });
    origin + moments.fold(Vec2::ZERO, |s, m| s + m) / chain::signed_area(ring)
}

/// The directions of the petals, counter-clockwise, each with whether it points to a side.
fn ways(region: &Region, middle: Point, numbers: &Numbers, settings: &Settings) -> Vec<(Vec2, bool)> {
    let corners = region.outer.corners();
    let unit = |p: Point| Vec2::from_angle((p - middle).atan2());
    if corners.len() < 3 {
        let count = settings.whole("petals").max(3);
        let turn = std::f64::consts::TAU / f64::from(count);
        let up = std::f64::consts::FRAC_PI_2;
        return (0..count).map(|i| (Vec2::from_angle(up + turn * f64::from(i)), false)).collect();
    }
    // As nearly as many as asked for, as many to each side as to every other.
    let each = match numbers.side_petal.is_empty() {
        true => 1.0,
        false => (f64::from(settings.whole("petals")) / corners.len() as f64).round().max(1.0),
    };
    let mut ways = Vec::new();
    for (a, b) in chain::sides(&corners) {
        let turn = turn_deg(unit(a), unit(b)).rem_euclid(360.0).to_radians() / each;
        let mut k = 0.0;
        while k < each {
            ways.push((Vec2::from_angle(unit(a).atan2() + turn * k), k > 0.0));
            k += 1.0;
        }
    }
    ways
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::block::region::Ring;

    pub fn region(xy: &[(f64, f64)]) -> Region {
        let points: Vec<Point> = xy.iter().map(|p| Point::from(*p)).collect();
        Region { outer: Ring::from_points(&points).unwrap(), holes: Vec::new() }
    }

    #[test]
    fn the_middle_of_a_triangle_is_that_of_its_inscribed_circle() {
        let triangle = region(&[(0.0, 0.0), (40.0, 0.0), (0.0, 30.0)]);
        assert!(middle(&triangle).distance((10.0, 10.0).into()) < 1e-9);
        let oblong = region(&[(0.0, 0.0), (40.0, 0.0), (40.0, 10.0), (0.0, 10.0)]);
        assert!(middle(&oblong).distance((20.0, 5.0).into()) < 1e-9);
    }

    #[test]
    fn a_petal_reaches_the_side_it_points_to() {
        let square = region(&[(-50.0, -50.0), (50.0, -50.0), (50.0, 50.0), (-50.0, 50.0)]);
        let part = Part::try_from("M0,-1 C.4,-1 1,-.6 1,0 C1,.6 .4,1 0,1".to_owned()).unwrap();
        let half = std::f64::consts::FRAC_PI_8;
        let wedge = Wedge { middle: Point::ZERO, ring: 5.0, way: Vec2::new(1.0, 0.0), half: [half; 2] };
        let size = Size { length: 0.0, width: 1.0, taper: 0.0 };
        let length = wedge.reach(std::slice::from_ref(&part), size, FINE, &square);
        assert!((length - (50.0 - CLEAR_MM)).abs() < 1e-9, "{length}");
        let lines = wedge.lines(&[part], Size { length, ..size });
        let start = lines[0].segments().next().map(|s| kurbo::ParamCurve::start(&s)).unwrap();
        assert!(start.distance(Point::ZERO + Vec2::from_angle(-half) * 5.0) < 1e-9);
    }

    #[test]
    fn a_petal_that_may_taper_reaches_further_into_a_sharp_corner() {
        // The corner of 45 degrees is 146.3 mm from the middle of a circle of 56 mm: a petal that keeps its width gets a
        // good half of the way there, one that tapers four fifths.
        let triangle = region(&[(0.0, 0.0), (191.2, 0.0), (0.0, 191.2)]);
        let part = Part::try_from(
            "M0,-1 C.25,-.75 .4,-.95 .65,-.92 C.88,-.88 1,-.5 1,0 C1,.5 .88,.88 .65,.92 C.4,.95 .25,.75 0,1"
                .to_owned(),
        )
        .unwrap();
        let middle = middle(&triangle);
        let corner = Point::new(191.2, 0.0) - middle;
        let wedge = Wedge { middle, ring: 9.0, way: unit(corner), half: [0.59, 0.59] };
        let part = std::slice::from_ref(&part);
        let (plain, tapered) = (wedge.size(part, 0.0, &triangle), wedge.size(part, 0.75, &triangle));
        assert!((corner.hypot() - 146.3).abs() < 0.1, "{}", corner.hypot());
        assert!(
            plain.length < 0.76 * 146.3 && tapered.length > 0.8 * 146.3,
            "{} {}",
            plain.length,
            tapered.length
        );
        let points = wedge.lines(part, tapered);
        let depth = points.iter().flat_map(|l| crate::base::curve::flatten(l, 1e-3)).flat_map(|f| f.points);
        let least = depth.map(|p| triangle.depth(p)).fold(f64::INFINITY, f64::min);
        assert!((0.0..0.02).contains(&least), "{least}");
    }
}
