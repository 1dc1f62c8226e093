//! Boards: whole columns and rows laid over an inner outline, on which lattices and lines are drawn.
//!
//! A board is `columns` × `rows` wide in board coordinates (x right, y up, from 0,0 at the bottom left) and maps them to
//! the block. On four straight sides the map is bilinear (the Coons map of straight sides; it folds only on non-convex
//! outlines); on three sides it is the affine map of the half board below the diagonal; on any other outline it is the
//! bounding box, and what is drawn has to be clipped.

use kurbo::{Point, Vec2};

use crate::base::angle::turn_deg;
use crate::base::tolerance::CEIL_GUARD;
use crate::block::lie::Lie;
use crate::block::region::Region;

/// How far corners may be from right angles for cells to follow the sides of a triangle, or of four sides for cells that
/// are to stay upright, degrees; beyond that they would be sheared, and one side's would look unlike the other's.
pub const LEAN_DEG: f64 = 12.0;

/// What a board lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ground {
    /// Four straight sides, convex: corners bottom left, bottom right, top right, top left.
    Four([Point; 4]),
    /// Three straight sides: the corner with the widest angle first, then counter-clockwise.
    Three([Point; 3]),
    /// Anything else: its bounding box, corners as for four sides.
    Around([Point; 4]),
    /// The ground of the whole quilt: columns and rows are those of one module of it.
    Quilt(Lie),
}

/// Whole columns and rows over a [`Ground`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Board {
    /// What it lies on.
    pub ground: Ground,
    /// How many columns along x; at least 1.
    pub columns: u32,
    /// How many rows along y; at least 1, and as many as columns on three sides.
    pub rows: u32,
}

impl Ground {
    /// The ground under an inner outline.
    #[must_use]
    pub fn of(region: &Region) -> Self {
        let corners = region.outer.corners();
        let plain = region.outer.is_polygon() && is_convex(&corners);
        match corners[..] {
            [a, b, c, d] if plain => Self::Four(from_bottom_left([a, b, c, d])),
            [a, b, c] if plain => Self::Three(from_widest([a, b, c])),
            _ => Self::around(region),
        }
    }

    /// As [`Ground::of`], but its bounding box if it has four sides of which one leans more than `most` degrees: for what
    /// is round and would look crushed.
    #[must_use]
    pub fn upright(region: &Region, most: f64) -> Self {
        let ground = Self::of(region);
        let Self::Four(corners) = ground else { return ground };
        let leans = |i: usize| (turn_at(&corners, i) - 90.0).abs() > most;
        if (0..4).any(leans) { Self::around(region) } else { ground }
    }

    /// The bounding box of an inner outline, whatever its shape.
    #[must_use]
    pub fn around(region: &Region) -> Self {
        let r = region.bounds();
        Self::Around([(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)].map(Point::from))
    }

    /// The mean length along x and along y, mm.
    #[must_use]
    pub fn size(&self) -> (f64, f64) {
        match self {
            Self::Four([a, b, c, d]) | Self::Around([a, b, c, d]) => {
                ((a.distance(*b) + d.distance(*c)) / 2.0, (a.distance(*d) + b.distance(*c)) / 2.0)
            }
            Self::Three([a, b, c]) => (a.distance(*b), a.distance(*c)),
            Self::Quilt(lie) => lie.module,
        }
    }

    /// The same ground with its left side as the bottom: what ran up now runs along. Three sides stay as they are.
    #[must_use]
    pub fn turned(self) -> Self {
        match self {
            Self::Four([a, b, c, d]) => Self::Four([d, a, b, c]),
            Self::Around([a, b, c, d]) => Self::Around([d, a, b, c]),
            Self::Three(_) | Self::Quilt(_) => self,
        }
    }

    /// The stretch of the same ground from `from` to `to` of the way along x; three sides stay as they are.
    #[must_use]
    pub fn between(self, from: f64, to: f64) -> Self {
        let cut = |[a, b, c, d]: [Point; 4]| [a.lerp(b, from), a.lerp(b, to), d.lerp(c, to), d.lerp(c, from)];
        match self {
            Self::Four(corners) => Self::Four(cut(corners)),
            Self::Around(corners) => Self::Around(cut(corners)),
            Self::Three(_) | Self::Quilt(_) => self,
        }
    }

    /// True if drawing may run over the outline and has to be clipped.
    #[must_use]
    pub fn overhangs(&self) -> bool {
        matches!(self, Self::Around(_) | Self::Quilt(_))
    }
}

impl Board {
    /// The point at board coordinates `x`, `y`.
    #[must_use]
    pub fn at(&self, x: f64, y: f64) -> Point {
        let (u, v) = (x / f64::from(self.columns), y / f64::from(self.rows));
        match self.ground {
            Ground::Four([a, b, c, d]) | Ground::Around([a, b, c, d]) => a.lerp(b, u).lerp(d.lerp(c, u), v),
            Ground::Three([a, b, c]) => a + (b - a) * u + (c - a) * v,
            Ground::Quilt(lie) => lie.at(Point::new(u * lie.module.0, v * lie.module.1)),
        }
    }

    /// The straight line a·x + b·y = k across the board, from edge to edge.
    ///
    /// Its ends divide the sides evenly, and it is drawn straight between them, as with a ruler. `None` where the line
    /// only touches a corner, or runs along an edge.
    #[must_use]
    pub fn ruled(&self, a: f64, b: f64, k: f64) -> Option<(Point, Point)> {
        let (w, h) = (f64::from(self.columns), f64::from(self.rows));
        let edge: &[(f64, f64)] = match self.ground {
            Ground::Three(_) => &[(0.0, 0.0), (w, 0.0), (0.0, h)],
            _ => &[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)],
        };
        let mut ends: Vec<(f64, f64)> = Vec::new();
        for (i, p) in edge.iter().enumerate() {
            let q = edge[(i + 1) % edge.len()];
            let (f, g) = (a * p.0 + b * p.1 - k, a * q.0 + b * q.1 - k);
            if f.abs() < 1e-9 && g.abs() < 1e-9 {
                return None;
            }
            if f.min(g) < 1e-9 && f.max(g) > -1e-9 {
                let t = f / (f - g);
                let end = (p.0 + (q.0 - p.0) * t, p.1 + (q.1 - p.1) * t);
                if !ends.iter().any(|e| (e.0 - end.0).hypot(e.1 - end.1) < 1e-6) {
                    ends.push(end);
                }
            }
        }
        match ends[..] {
            [p, q] => Some((self.at(p.0, p.1), self.at(q.0, q.1))),
            _ => None,
        }
    }

    /// The largest and the smallest side of a cell, as a ratio of at least 1.
    #[must_use]
    pub fn spread(&self) -> f64 {
        let Ground::Four([a, b, c, d]) = self.ground else { return 1.0 };
        let ratio = |p: f64, q: f64| (p / q).max(q / p);
        ratio(a.distance(b), d.distance(c)).max(ratio(a.distance(d), b.distance(c)))
    }
}

/// How many whole repeats of `target` mm fit `length` mm best (at least 1), and the stretch this needs (0.1 is 10 %).
#[must_use]
pub fn repeats(length: f64, target: f64) -> (u32, f64) {
    // Half a repeat too much is one more, also where it is half but for dust.
    let n = (length / target + CEIL_GUARD).round().clamp(1.0, 100_000.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped just above")]
    (n as u32, (length / (n * target) - 1.0).abs())
}

/// As [`repeats`], but an even count.
#[must_use]
pub fn even_repeats(length: f64, target: f64) -> (u32, f64) {
    let (pairs, stretch) = repeats(length, 2.0 * target);
    (2 * pairs, stretch)
}

/// True if the first corner is near enough a right angle that square cells along its sides look square.
#[must_use]
pub fn is_upright([at, a, b]: [Point; 3]) -> bool {
    (90.0 - turn_deg(a - at, b - at)).abs() <= LEAN_DEG
}

/// As [`repeats`], but an odd count.
#[must_use]
pub fn odd_repeats(length: f64, target: f64) -> (u32, f64) {
    let (n, stretch) = repeats(length, target);
    if n % 2 == 1 {
        return (n, stretch);
    }
    let odd = if length / target < f64::from(n) { n - 1 } else { n + 1 };
    (odd, (length / (f64::from(odd) * target) - 1.0).abs())
}

/// True if the corners, in counter-clockwise order, turn left everywhere.
#[must_use]
pub fn is_convex(corners: &[Point]) -> bool {
    let n = corners.len();
    (0..n).all(|i| turn_at(corners, i) > 0.0)
}

fn turn_at(corners: &[Point], i: usize) -> f64 {
    let n = corners.len();
    let (before, at, after) = (corners[(i + n - 1) % n], corners[i], corners[(i + 1) % n]);
    turn_deg(at - before, after - at)
}

/// The corner towards the bottom left first.
fn from_bottom_left(mut corners: [Point; 4]) -> [Point; 4] {
    let centre = corners.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2() / 4.0);
    let reach = |p: &Point| {
        let v = p.to_vec2() - centre;
        v.x + v.y
    };
    let first = (0..4).min_by(|i, j| reach(&corners[*i]).total_cmp(&(reach(&corners[*j]) - 1e-9)));
    corners.rotate_left(first.unwrap_or(0));
    corners
}

/// The corner with the widest angle first; between equals the lowest, then the leftmost.
fn from_widest(mut corners: [Point; 3]) -> [Point; 3] {
    let key = |i: usize| ((turn_at(&corners, i) * 1e3).round(), corners[i].y.round(), corners[i].x.round());
    let first = (0..3).min_by(|i, j| {
        let (a, b) = (key(*i), key(*j));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)).then(a.2.total_cmp(&b.2))
    });
    corners.rotate_left(first.unwrap_or(0));
    corners
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square() -> Board {
        let corners = [(0.0, 0.0), (80.0, 0.0), (80.0, 80.0), (0.0, 80.0)].map(Point::from);
        Board { ground: Ground::Four(corners), columns: 4, rows: 4 }
    }

    #[test]
    fn a_ruled_line_divides_the_sides_evenly() {
        assert_eq!(square().ruled(1.0, 1.0, 1.0), Some(((20.0, 0.0).into(), (0.0, 20.0).into())));
        assert_eq!(square().ruled(1.0, -1.0, 0.0), Some(((0.0, 0.0).into(), (80.0, 80.0).into())));
    }

    #[test]
    fn a_line_through_a_corner_only_is_none() {
        assert_eq!(square().ruled(1.0, 1.0, 0.0), None);
        assert_eq!(square().ruled(1.0, 0.0, 0.0), None);
    }

    #[test]
    fn a_ground_that_leans_is_laid_over_its_bounding_box() {
        let leaning = |by: f64| {
            let corners = [(0.0, 0.0), (80.0, 0.0), (80.0 + by, 80.0), (by, 80.0)].map(Point::from);
            Region { outer: crate::block::region::Ring::from_points(&corners).unwrap(), holes: Vec::new() }
        };
        // 14 in 80 lean by 9.9 degrees, 15 by 10.6.
        assert!(!Ground::upright(&leaning(14.0), 10.0).overhangs());
        assert!(Ground::upright(&leaning(15.0), 10.0).overhangs());
    }

    #[test]
    fn the_widest_corner_comes_first() {
        let got = from_widest([(0.0, 0.0), (10.0, 0.0), (5.0, 5.0)].map(Point::from));
        assert_eq!(got[0], Point::new(5.0, 5.0));
    }

    #[test]
    fn repeats_are_whole_and_tell_the_stretch() {
        assert_eq!(repeats(75.0, 25.0), (3, 0.0));
        let (n, stretch) = repeats(75.0, 20.0);
        assert_eq!(n, 4);
        assert!((stretch - 0.0625).abs() < 1e-12);
        assert_eq!(repeats(1.0, 25.0).0, 1);
        assert_eq!(
            (even_repeats(74.0, 25.0).0, even_repeats(76.0, 25.0).0, even_repeats(1.0, 25.0).0),
            (2, 4, 2)
        );
    }
}
