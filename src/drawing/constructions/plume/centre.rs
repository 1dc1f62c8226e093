//! What stands in the middle of a ring: lines inside the circle that the inner heads touch.

use kurbo::{Affine, BezPath, Line, ParamCurve, PathSeg, Point, Shape, Vec2};
use serde::Deserialize;

use super::heads::Head;
use crate::base::angle::{left_of, unit};
use crate::base::chain::nearest_on_segment;
use crate::base::curve::flatten;
use crate::base::tolerance::{ARC_LENGTH_MM, FLATTEN_MM};
use crate::drawing::constructions::clip::cut;
use crate::drawing::constructions::part::Part;
use crate::drawing::constructions::wedge::{Round, circle};

/// What is left of a hatch line is left out if it is shorter than this, mm.
const BIT_MM: f64 = 6.0;
/// How far ends of hatch lines keep from each other and from where plumes meet, mm: nearly a stitch.
const CLEAR_MM: f64 = 2.2;
/// How many spacings are tried, a hundredth apart both ways.
const SPACINGS: u32 = 16;

/// The middle of a ring.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Centre {
    /// How far apart the lines of a cross-hatch are, in radii of the middle; 0 for none.
    #[serde(default)]
    hatch: f64,
    /// Lines, with the middle's circle as their unit: 0,-1 lies on the head straight below.
    #[serde(default)]
    parts: Vec<Part>,
    /// The lines of a petal in its wedge; 1,0 lies on a head.
    #[serde(default)]
    petal: Vec<Part>,
    /// The radius of the ring on which petals begin, in radii of the middle.
    #[serde(default)]
    ring: f64,
}

impl Centre {
    /// Its lines in a circle of `radius` round `middle` that the heads of some plumes touch, the first of them in the direction
    /// `begin`.
    pub fn lines(
        &self,
        middle: Point,
        radius: f64,
        begin: f64,
        (heads, lines): (&[Head], &[BezPath]),
    ) -> Vec<BezPath> {
        let around = lines;
        let place = Affine::translate(middle.to_vec2()) * Affine::scale(radius);
        let mut lines: Vec<BezPath> = self.parts.iter().map(|part| place * part.path().clone()).collect();
        if !self.petal.is_empty() {
            let ring = self.ring * radius;
            let count = petals(heads.len());
            lines.extend(Round { middle, radii: [ring, radius], begin, count }.lines(&self.petal));
            lines.push(circle(middle, ring));
        }
        if self.hatch > 0.0 {
            lines.extend(hatch(middle, self.hatch * radius, heads, around));
        }
        lines
    }
}

/// One for each head if there are few, or for every second, third … one: six to nine, if it goes.
fn petals(heads: usize) -> u32 {
    let every = (1..=heads).find(|n| heads.is_multiple_of(*n) && heads / n < 10).unwrap_or(1);
    u32::try_from(heads / every).unwrap_or(6)
}

/// Lines both ways across the middle, as far as the plumes' lines: as nearly so far apart as asked as keeps their ends clear
/// of each other and of the places where plumes meet.
fn hatch(middle: Point, spacing: f64, heads: &[Head], around: &[BezPath]) -> Vec<BezPath> {
    let knots: Vec<Point> = around.iter().filter_map(|l| l.segments().last()).map(|s| s.end()).collect();
    let clear = |lines: &[BezPath]| {
        let sides: Vec<(Point, Point)> =
            lines.iter().flat_map(BezPath::segments).map(|s| (s.start(), s.end())).collect();
        let from = |p: Point, i: usize| {
            let others = sides.iter().enumerate().filter(|(j, _)| *j != i);
            let lines = others.map(|(_, (a, b))| p.distance(nearest_on_segment(p, *a, *b)));
            lines.chain(knots.iter().map(|q| p.distance(*q))).fold(f64::INFINITY, f64::min)
        };
        sides.iter().enumerate().map(|(i, (a, b))| from(*a, i).min(from(*b, i))).fold(f64::INFINITY, f64::min)
    };
    let mut best = (0.0, Vec::new());
    for k in 0..2 * SPACINGS {
        let off = f64::from(k / 2) * if k % 2 == 0 { 0.01 } else { -0.01 };
        let lines = hatched(middle, spacing * (1.0 + off), heads, around);
        let least = clear(&lines);
        if least > best.0 {
            best = (least, lines);
        }
        if best.0 > CLEAR_MM {
            break;
        }
    }
    best.1
}

/// Lines both ways across the middle, so far apart.
fn hatched(middle: Point, spacing: f64, heads: &[Head], around: &[BezPath]) -> Vec<BezPath> {
    let far = heads.first().map_or(0.0, |h| h.centre.distance(middle));
    let edges: Vec<PathSeg> = around.iter().flat_map(BezPath::segments).collect();
    // The middle is what can be seen from its centre.
    let chains: Vec<Vec<Point>> =
        around.iter().flat_map(|line| flatten(line, FLATTEN_MM)).map(|flat| flat.points).collect();
    let hidden = |p: Point| {
        let parts = |a: Point, b: Point| (b - a).cross(middle - a) * (b - a).cross(p - a) < 0.0;
        let crosses = |a: Point, b: Point| {
            parts(a, b) && (p - middle).cross(a - middle) * (p - middle).cross(b - middle) < 0.0
        };
        chains.iter().any(|chain| chain.windows(2).any(|w| crosses(w[0], w[1])))
    };
    let half = (far / spacing).ceil();
    let mut lines = Vec::new();
    for way in [Vec2::new(1.0, 1.0), Vec2::new(1.0, -1.0)].map(unit) {
        let mut k = 0.5 - half;
        while k < half {
            let at = middle + left_of(way) * (k * spacing);
            let line = Line::new(at - way * far, at + way * far).to_path(ARC_LENGTH_MM);
            let keep = |p: Point| p.distance(middle) < far && !hidden(p);
            lines.extend(cut(&[line], edges.iter().copied(), &keep, BIT_MM));
            k += 1.0;
        }
    }
    lines
}
