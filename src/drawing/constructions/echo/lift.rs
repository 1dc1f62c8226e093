//! Lifting: a point of a ring → the point above it, nearer to the outline, at a depth asked for.

use kurbo::{Point, Vec2};

use crate::base::angle::{turn_deg, unit};
use crate::base::chain;
use crate::base::tolerance::CORNER_DEG;
use crate::block::region::Region;

/// True if the ring turns a corner at a point.
#[must_use]
pub fn is_corner(ring: &[Point], i: usize) -> bool {
    let n = ring.len();
    turn_deg(ring[i] - ring[(i + n - 1) % n], ring[(i + 1) % n] - ring[i]).abs() > CORNER_DEG
}

/// The point above the `i`-th of a ring at depth `depth`: straight towards the nearest edge, or along the middle of the
/// angle at a corner.
#[must_use]
pub fn lifted(ring: &[Point], i: usize, depth: f64, region: &Region) -> Point {
    let (n, p) = (ring.len(), ring[i]);
    let (before, after) = (unit(ring[(i + n - 1) % n] - p), unit(ring[(i + 1) % n] - p));
    if is_corner(ring, i) && before.cross(after) < 0.0 {
        // Sine of half the angle between the sides.
        let half = ((1.0 - before.dot(after)) / 2.0).sqrt().max(1e-6);
        return along(p, -unit(before + after), (region.depth(p) - depth) / half, depth, region);
    }
    let foot = foot(p, region);
    let away = p - foot;
    foot + away * (depth / away.hypot().max(1e-9))
}

/// The point at depth `depth` on the way from `p`, at most `far` mm along.
fn along(p: Point, way: Vec2, far: f64, depth: f64, region: &Region) -> Point {
    if (region.depth(p + way * far) - depth).abs() < 1e-6 {
        return p + way * far;
    }
    let (mut near, mut far) = (0.0, far);
    for _ in 0..40 {
        let middle = f64::midpoint(near, far);
        if region.depth(p + way * middle) > depth { near = middle } else { far = middle }
    }
    p + way * near
}

/// The point of the edges nearest to `p`.
fn foot(p: Point, region: &Region) -> Point {
    let sides = region.rings().flat_map(|r| chain::sides(r.points()));
    let feet = sides.map(|(a, b)| chain::nearest_on_segment(p, a, b));
    feet.min_by(|a, b| a.distance_squared(p).total_cmp(&b.distance_squared(p))).unwrap_or(p)
}

/// Puts `p` into the ring where it lies, and hands back its index; `None` if it lies more than `off` mm beside the ring.
pub fn insert(ring: &mut Vec<Point>, p: Point, off: f64) -> Option<usize> {
    let away = |(a, b): (Point, Point)| chain::nearest_on_segment(p, a, b).distance(p);
    let (side, least) = chain::sides(ring).map(away).enumerate().min_by(|a, b| a.1.total_cmp(&b.1))?;
    if least > off {
        return None;
    }
    for i in [side, (side + 1) % ring.len()] {
        if ring[i].distance(p) < off {
            ring[i] = p;
            return Some(i);
        }
    }
    ring.insert(side + 1, p);
    Some(side + 1)
}
