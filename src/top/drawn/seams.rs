//! Drawn patches → where they overlap and where they leave gaps.

use geo::{Area, BooleanOps, BoundingRect, Coord, LineString, MultiPolygon, Polygon};
use kurbo::{Point, Vec2};

use super::Patch;
use crate::base::chain::{self, sides};
use crate::base::units::{Units, show_length};

/// Patches that overlap by less than this share a seam, mm: what a drawing program rounds.
const SEAM_MM: f64 = 0.3;
/// Sides that lie further apart than this do not belong to one seam, mm.
const APART_MM: f64 = 6.0;
/// Sides of one seam run together for at least this, mm.
const TOGETHER_MM: f64 = 10.0;
/// Sides of one seam lean against each other by at most this, as a slope: about three degrees.
const LEAN: f64 = 0.05;

fn polygon(points: &[Point]) -> Polygon {
    let line: LineString = points.iter().map(|p| Coord { x: p.x, y: p.y }).collect();
    Polygon::new(line, Vec::new())
}

/// A sentence for each two patches that overlap.
pub fn overlaps(patches: &[Patch], units: Units) -> Vec<String> {
    let polygons: Vec<Polygon> = patches.iter().map(|p| polygon(&p.ring)).collect();
    let mut told = Vec::new();
    for (i, a) in patches.iter().enumerate() {
        for (j, b) in patches.iter().enumerate().skip(i + 1) {
            let both = a.bounds.intersect(b.bounds);
            if both.width() <= SEAM_MM || both.height() <= SEAM_MM {
                continue;
            }
            let over = polygons[i].intersection(&polygons[j]);
            let mm = over.0.iter().map(thickness).fold(0.0, f64::max);
            if mm > SEAM_MM {
                let mm = show_length(mm, units);
                told.push(format!("patches `{}` and `{}` overlap by {mm}; move them apart", a.name, b.name));
            }
        }
    }
    told
}

/// How thick a patch of overlap is: the lesser side of its box, or what its area leaves along its longer side.
fn thickness(polygon: &Polygon) -> f64 {
    let Some(r) = polygon.bounding_rect() else { return 0.0 };
    let long = r.width().hypot(r.height());
    r.width().min(r.height()).min(2.0 * polygon.unsigned_area() / long.max(1e-9))
}

/// A sentence for each place inside the top that no patch covers, and for each seam that does not close.
#[must_use]
pub fn gaps(patches: &[Patch], units: Units) -> Vec<String> {
    let mut told = holes(patches, units);
    for (i, a) in patches.iter().enumerate() {
        for b in &patches[i + 1..] {
            let near = a.bounds.inflate(APART_MM, APART_MM).intersect(b.bounds);
            if near.width() < 0.0 || near.height() < 0.0 {
                continue;
            }
            if let Some(mm) = apart(a, b) {
                told.push(format!(
                    "Patches `{}` and `{}` lie {} apart along a seam; nothing is quilted between them.",
                    a.name,
                    b.name,
                    show_length(mm, units)
                ));
            }
        }
    }
    told
}

fn holes(patches: &[Patch], units: Units) -> Vec<String> {
    let all: Vec<Polygon> = patches.iter().map(|p| polygon(&p.ring)).collect();
    let union: MultiPolygon = geo::unary_union(&all);
    let mut told = Vec::new();
    for hole in union.0.iter().flat_map(Polygon::interiors) {
        let hole = Polygon::new(hole.clone(), Vec::new());
        let Some(r) = hole.bounding_rect().filter(|_| thickness(&hole) > SEAM_MM) else { continue };
        told.push(format!(
            "There is a gap of {} by {} in the top that no patch covers.",
            show_length(r.width(), units),
            show_length(r.height(), units)
        ));
    }
    told
}

/// How far apart two sides of one seam lie, if they do.
fn apart(a: &Patch, b: &Patch) -> Option<f64> {
    let mut worst: Option<f64> = None;
    for (p, q) in sides(&a.ring) {
        let way = (q - p) / (q - p).hypot();
        for (r, s) in sides(&b.ring) {
            let other = s - r;
            // Neighbours lie left of their own sides, so their sides run against each other.
            if other.dot(way) >= 0.0 || other.cross(way).abs() > LEAN * other.hypot() {
                continue;
            }
            let [from, to] = [s, r].map(|x| (x - p).dot(way).clamp(0.0, (q - p).hypot()));
            let middle: Point = p + way * f64::midpoint(from, to);
            let off = Vec2::new(way.y, -way.x).dot(chain::nearest_on_segment(middle, r, s) - middle);
            if to - from > TOGETHER_MM && (SEAM_MM..APART_MM).contains(&off) {
                worst = Some(worst.map_or(off, |known: f64| known.max(off)));
            }
        }
    }
    worst
}
