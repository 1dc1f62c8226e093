//! A region and a margin → what is left of it: everything at least the margin away from the outline and from the holes.
//!
//! Method: a convex straight outline is cut by its sides moved inwards, so its corners are exact. For any other, the strip
//! along every side is taken away (a rectangle a side, and at every corner that points inwards a mitre on the outline and a
//! round on a hole), by the boolean operations of `geo`; these snap to about a thousand-millionth of the size.
//! Limits: where an inward corner is sharper than [`MITRE_LIMIT`] allows, its mitre is cut off square.

#[cfg(test)]
mod tests;

use geo::bool_ops::{FillRule, OpType};
use geo::{BooleanOps, LineString, MultiPolygon, Polygon};
use kurbo::{Point, Vec2};

use super::chains::{FINE_MM, fine, line, ring_by_lines, ring_through};
use super::corners;
use super::deepest::{self, CLOSELY_MM};
use super::region::{Region, Ring};
use crate::base::angle::{left_of, turn_deg, unit};
use crate::base::chain;

/// How far a mitre may reach from its corner, in margins: past a turn of 120° it is cut off square.
pub const MITRE_LIMIT: f64 = 2.0;

/// A piece below this is dust of the cutting and is left out, mm².
pub const LEAST_PIECE_MM2: f64 = 1.0;

/// What is left of `region` at least `margin` mm from every edge, the largest piece first; empty if nothing is.
pub fn inset(region: &Region, margin: f64) -> Vec<Region> {
    if margin == 0.0 {
        return vec![region.clone()];
    }
    if is_convex(region) {
        return convex(region.outer.points(), margin).into_iter().collect();
    }
    if depth(region, margin) < margin {
        return Vec::new();
    }
    let rings = rings(region);
    let mut strips = Vec::new();
    for (n, ring) in rings.iter().enumerate() {
        push_strips(ring, margin, n > 0, &mut strips);
    }
    let whole =
        MultiPolygon(vec![Polygon::new(line(&rings[0]), rings[1..].iter().map(|r| line(r)).collect())]);
    let left = whole.boolean_op_with_fill_rule(&MultiPolygon(strips), OpType::Difference, FillRule::NonZero);
    let curved = rings.len() > 1 || !region.outer.is_straight();
    pieces(left, if curved { ring_through } else { ring_by_lines })
}

/// The largest margin below `too_much` that leaves something, mm, rounded down to a tenth.
pub fn largest_margin(region: &Region, too_much: f64) -> f64 {
    const HALVINGS: usize = 24;
    // A circle with a radius of this is as large as the least piece.
    let least = (LEAST_PIECE_MM2 / std::f64::consts::PI).sqrt();
    if !is_convex(region) {
        let most = depth(region, f64::INFINITY).min(too_much) - 2.0 * least;
        return (most.max(0.0) * 10.0).floor() / 10.0;
    }
    let bounds = region.bounds();
    let (mut fits, mut fails) = (0.0, too_much.min(bounds.width().min(bounds.height())));
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(fits, fails);
        if inset(region, middle).is_empty() { fails = middle } else { fits = middle }
    }
    (fits * 10.0).floor() / 10.0
}

/// How deep a region is at most, mm; only a lower bound once that is over `enough`.
fn depth(region: &Region, enough: f64) -> f64 {
    deepest::search(region, CLOSELY_MM, enough).1 + 2.0 * CLOSELY_MM
}

fn is_convex(region: &Region) -> bool {
    region.holes.is_empty() && region.outer.is_straight() && corners::is_convex(region.outer.points())
}

/// The pieces of a flattened result as regions, their rings made by `through`, without dust, the largest first.
pub fn pieces(left: MultiPolygon, through: impl Fn(&[Point]) -> Option<Ring>) -> Vec<Region> {
    let mut pieces: Vec<Region> = left.into_iter().filter_map(|p| piece(&p, &through)).collect();
    pieces.sort_by(|a, b| {
        let (p, q) = (a.bounds().center(), b.bounds().center());
        b.area().total_cmp(&a.area()).then(p.x.total_cmp(&q.x)).then(p.y.total_cmp(&q.y))
    });
    pieces
}

fn piece(polygon: &Polygon, through: &impl Fn(&[Point]) -> Option<Ring>) -> Option<Region> {
    let outer = through(&points(polygon.exterior()))?;
    let holes = polygon.interiors().iter().filter_map(|h| through(&points(h))).collect();
    Some(Region { outer, holes }).filter(|r| r.area() >= LEAST_PIECE_MM2)
}

/// The rings of a region as fine chains: the outline counter-clockwise, the holes clockwise, so the inside is on the left.
fn rings(region: &Region) -> Vec<Vec<Point>> {
    let mut rings: Vec<Vec<Point>> = region.rings().map(|r| fine(r.path())).collect();
    for hole in &mut rings[1..] {
        hole.reverse();
    }
    rings
}

/// A closed line string as a chain, its first point not repeated.
fn points(line: &LineString) -> Vec<Point> {
    let mut points: Vec<Point> = line.coords().map(|c| Point::new(c.x, c.y)).collect();
    points.pop();
    points
}

/// Cuts a convex ring by each of its sides moved inwards by `margin`.
fn convex(ring: &[Point], margin: f64) -> Option<Region> {
    let mut left = ring.to_vec();
    for (a, b) in chain::sides(ring) {
        let inwards = left_of(unit(b - a));
        let depth = |p: Point| (p - a).dot(inwards) - margin;
        let mut kept = Vec::with_capacity(left.len() + 1);
        for (p, q) in chain::sides(&left) {
            let (here, there) = (depth(p), depth(q));
            if here >= 0.0 {
                kept.push(p);
            }
            if (here > 0.0 && there < 0.0) || (here < 0.0 && there > 0.0) {
                kept.push(p.lerp(q, here / (here - there)));
            }
        }
        left = kept;
    }
    let outer = ring_by_lines(&left)?;
    Some(Region { outer, holes: Vec::new() }).filter(|r| r.area() >= LEAST_PIECE_MM2)
}

/// The strips `margin` wide on the left of a ring's sides, and the fillings of its inward corners.
fn push_strips(ring: &[Point], margin: f64, round: bool, strips: &mut Vec<Polygon>) {
    let n = ring.len();
    for i in 0..n {
        let (a, b, c) = (ring[i], ring[(i + 1) % n], ring[(i + 2) % n]);
        let (before, after) = (left_of(unit(b - a)) * margin, left_of(unit(c - b)) * margin);
        strips.push(polygon(vec![a, b, b + before, a + before]));
        let turn = turn_deg(b - a, c - b);
        if turn < 0.0 {
            let filling = if round { sector(before, turn) } else { mitre(before, after, turn, margin) };
            strips.push(polygon(std::iter::once(b).chain(filling.into_iter().map(|v| b + v)).collect()));
        }
    }
}

/// A counter-clockwise polygon.
fn polygon(mut points: Vec<Point>) -> Polygon {
    if chain::signed_area(&points) < 0.0 {
        points.reverse();
    }
    Polygon::new(line(&points), Vec::new())
}

/// The outer points of a mitre between the offsets `before` and `after`, cut off square beyond [`MITRE_LIMIT`].
fn mitre(before: Vec2, after: Vec2, turn: f64, margin: f64) -> Vec<Vec2> {
    let half = (turn.abs() / 2.0).to_radians();
    let outwards = unit(before + after);
    let reach = 1.0 / half.cos();
    if reach.is_finite() && (0.0..=MITRE_LIMIT).contains(&reach) {
        return vec![before, outwards * (margin * reach), after];
    }
    // The square cut is at MITRE_LIMIT margins; it meets each side's own line this far along from its offset.
    let along = margin * (MITRE_LIMIT - half.cos()) / half.sin();
    let on = |v: Vec2, way: Vec2| v + way * along;
    vec![before, on(before, -left_of(before) / margin), on(after, left_of(after) / margin), after]
}

/// The points of an arc that starts at `from` and turns by `turn` degrees (clockwise, as it is negative).
fn sector(from: Vec2, turn: f64) -> Vec<Vec2> {
    let radius = from.hypot().max(FINE_MM);
    let step = 2.0 * (1.0 - FINE_MM / radius).acos().to_degrees();
    let count = (turn.abs() / step).ceil().clamp(1.0, 720.0);
    // Points of the arc's chords would stand inside it: pushing them out keeps the whole margin clear.
    let out = 1.0 / (turn.abs() / count / 2.0).to_radians().cos();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just above")]
    let count = count as u32;
    let start = from.atan2();
    let at = |i: u32| start + (turn * f64::from(i) / f64::from(count)).to_radians();
    let middle = (1..count).map(|i| Vec2::from_angle(at(i)) * radius * out);
    std::iter::once(from).chain(middle).chain([Vec2::from_angle(at(count)) * radius]).collect()
}
